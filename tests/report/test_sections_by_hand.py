"""Sections of the calculation sheet from made-up parts: each table with its title, its rows below each other, and none where there is nothing."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from report.bases import basis, option

from costsim.report import household, sheet, system_pages
from costsim.report.blocks import Block, Facts, Heading, Items, Table, Text, table
from costsim.views.text_layout import SHARING

ONE = (["what", "value"], [["a", "1"]])


def titles(blocks: list[Block]) -> list[str]:
    return [block.title for block in blocks if isinstance(block, Table)]


def test_loops_have_a_table_where_there_are_any(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet, "fluid_facts", lambda _: (("what circulates", "water"),))
    loops = table("", *ONE, "wr")
    for found, count in ((loops, 3), (None, 2)):
        monkeypatch.setattr(sheet, "loop_table", lambda _, found=found: found)
        blocks = list(sheet._water(basis()))
        assert len(blocks) == count
        assert blocks[:2] == [Heading("A: floor, fluid and tank"), Facts((("what circulates", "water"),))]


def test_each_bill_of_an_option_has_its_table_without_the_column_of_months(monkeypatch: pytest.MonkeyPatch) -> None:
    """The months are added up, so that their column says nothing."""
    made = option("Gas", bills={"natural_gas": 1, "electricity": 2})
    monkeypatch.setattr(sheet, "by_line", lambda one: one)
    monkeypatch.setattr(sheet, "own_generation_rows", lambda _: ([], []))
    heads = ["month", "line", "quantity", "rate", "amount"]
    monkeypatch.setattr(
        sheet, "bill_rows", lambda case, one, system: [(heads, [["", key, "2", "3", "6"]]) for key in one.bills]
    )
    _, gas, power, total = sheet._bills(basis(result__options=[made, option("Pump", bills={})]))
    assert isinstance(gas, Table)
    assert isinstance(power, Table)
    assert (gas.title, gas.headings, gas.rows) == (
        "Gas: natural gas",
        ("line", "quantity", "rate", "amount"),
        (("natural_gas", "2", "3", "6"),),
    )
    assert power.title == "Gas: electricity"
    assert isinstance(total, Text)
    assert total.text.startswith("All bills of a year: Gas $100.00, Pump $100.00. Month by month")


def test_sources_tell_their_season_where_they_have_anything_to_tell(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet, "capacity_headings", lambda _: ["h"] * 6)
    monkeypatch.setattr(sheet, "_capacity_rows", lambda look, system: [[look.option, *[""] * 5]])
    monkeypatch.setattr(sheet, "year_by_source", lambda basis, title: title)
    monkeypatch.setattr(sheet, "_failure_lines", lambda look, system: ["cold", "colder"])

    def blocks(facts: dict[str, Any]) -> list[Any]:
        sources = [SimpleNamespace(name="Stove", facts=facts), SimpleNamespace(name="Coil", facts={})]
        one = basis(
            result__options=[option("A", sources=sources)],
            closer=SimpleNamespace(options=[SimpleNamespace(option="A")]),
        )
        return list(sheet._sources(one))

    _, _, year, told, fails = blocks({"loads": 546.0})
    assert year == "The year by source"
    assert told.rows == (("A", "Stove: loads 546"),)
    assert fails.rows == (("A", "cold"), ("", "colder"))
    assert len(blocks({})) == 4


def test_ratings_cautions_and_other_drawings_stand_in_full(monkeypatch: pytest.MonkeyPatch) -> None:
    check = SimpleNamespace(
        what="tube", verdict="fail", ground="why", given_text=lambda system: f"given {system}", needed_text=lambda system: "needed"
    )  # fmt: skip
    head, found = sheet._ratings(basis(signed__checks=[check]))
    assert head == Heading("A: pressures and temperatures against the ratings of the parts")
    assert isinstance(found, Table)
    assert (found.rows, found.marks) == ((("tube", "given si", "needed", "fail", "why"),), ("fail", "take care"))
    note = SimpleNamespace(title="Hot water", text="It scalds.", check="Look.", source="EN 806")
    _, cautions = sheet._cautions(basis(cautions=[note]))
    assert cautions == Items((("Hot water", "It scalds.", "Look. Source: EN 806."),))
    for drawn, count in ((("one", "two"), 3), ((), 0)):
        monkeypatch.setattr(sheet, "other_diagrams", lambda _, drawn=drawn: drawn)
        assert len(list(sheet._others(basis()))) == count
    monkeypatch.setattr(sheet, "tank_sections", lambda *_: [("Tank", ["warm", "cold"])])
    assert list(sheet._tank(basis())) == [Heading("Tank"), Text("warm."), Text("cold.")]


def test_the_year_by_source_and_what_was_typed_have_their_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet, "season_rows", lambda *_: (["source", *["m3"] * 7], [["Boiler", *["1"] * 7]]))
    found = sheet.year_by_source(basis(), "The year")
    assert (found.title, found.headings[:2], found.rows) == ("The year", ("source", "m³"), (("Boiler", *["1"] * 7),))
    monkeypatch.setattr(sheet, "typed_rows", lambda case, system: [["key", "typed", system]])
    monkeypatch.setattr(sheet, "fingerprint", lambda _: "abc")
    _, typed, last = sheet._inputs(basis())
    assert isinstance(typed, Table)
    assert typed.rows == (("key", "typed", "si"),)
    assert isinstance(last, Text)
    assert "; study abc; the same study" in last.text


def test_a_household_is_told_who_wins_without_what_it_costs(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last column's figures stand in the tables above."""
    whole = table("Verdict", ["by", "who", "how likely", "cost"], [["price", "Gas", "95%", "$100"]], "wwrr")
    monkeypatch.setattr(household, "verdicts", lambda _: whole)
    found = household.sure(basis(decision=SimpleNamespace(scenarios=2000)))
    assert (found.headings, found.rows) == (("by", "who", "how likely"), (("price", "Gas", "95%"),))
    assert (found.aligned, found.note) == ("wwr", "By 2,000 scenarios of winters, prices and efficiencies.")


def test_a_layout_has_its_tables_and_lines_and_no_layout_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system_pages, "summary", lambda *_: "in sum")
    monkeypatch.setattr(system_pages, "supply_note", lambda *_: "supply")
    for name, columns in (("loop_rows", 12), ("half_rows", 6), ("pump_rows", 7)):
        rows = (["h"] * columns, [[name] * columns])
        monkeypatch.setattr(system_pages, name, lambda *_, rows=rows: rows)
    monkeypatch.setattr(system_pages, "unserved_lines", lambda *_: ["unserved"])
    monkeypatch.setattr(system_pages, "fill_lines", lambda *_: ["filled"])
    found = list(system_pages.layout_pages(basis(signed__layout=SimpleNamespace(notes=["by hand"]))))
    assert found[:3] == [Heading("A: layout, from areas to loops and pumps"), Text("in sum"), Text("supply")]
    assert [block.rows[0][0] for block in found if isinstance(block, Table)] == ["loop_rows", "half_rows", "pump_rows"]
    assert [block.note for block in found if isinstance(block, Table)] == ["", SHARING, ""]
    assert found[-1] == Items((("", "unserved", ""), ("", "filled", ""), ("", "By hand.", "")))
    assert list(system_pages.layout_pages(basis(signed__layout=None))) == []
