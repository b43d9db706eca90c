"""Rows of sizes, of what waits to be confirmed and of a diagram's title, from made-up results."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from report.bases import basis
from views.made import ELECTRIC, GAS, PRESSURE, SOURCE, STEP, but

from costsim.report import reader, sign, system_pages
from costsim.report.blocks import Heading, Items, Table, Text, table
from costsim.views.text_select import electric_lines, gas_lines

KW = 1000.0


def sized(*sources: Any, pumps: Any = ()) -> tuple[list[Table], list[str]]:
    """Tables and lines of an option's sizes."""
    found = SimpleNamespace(
        target_w=6600.0, margin_share=0.1, size_sources={"a": "list"}, pumps=pumps,
        options=(SimpleNamespace(option="A", sources=sources, circuit=PRESSURE, pumps=()),),
    )  # fmt: skip
    one: Any = SimpleNamespace(selection=found, system="si", case=SimpleNamespace(currency="$"))
    blocks = list(system_pages.size_pages(one))
    (items,) = [block for block in blocks if isinstance(block, Items)]
    return [block for block in blocks if isinstance(block, Table)], [line for _, line, _ in items.items]


def test_each_source_with_a_choice_of_sizes_has_its_table() -> None:
    (first,), lines = sized(
        but(SOURCE, steps=(STEP, but(STEP, chosen=False, size=12e3))), but(SOURCE, name="Stove", note="by hand")
    )
    assert first.title == "A: Boiler, 9.6 kW output"
    assert [row[0] for row in first.rows] == ["> 9.6 kW output", "12.0 kW output"]
    assert first.rows[0][1:] == ("9.6", "9.4", "1,234", "1.5", "1,000.00", "$1,500")
    assert first.aligned == "wrrrrrr"
    assert lines[:3] == ["Boiler must give 8.0 kW: 9.6 kW output, which leaves 9.4 kW.", "Boiler: entered: 9.6 kW output.",
                         "Stove: entered: 9.6 kW output."]  # fmt: skip
    assert lines[-1].startswith("Relief: each source its own valve")
    (none,), _ = sized(but(SOURCE, steps=(STEP,), chosen=None))
    assert none.title == "A: Boiler, no listed size"
    (spare,), lines = sized(
        but(SOURCE, steps=(but(STEP, chosen=False),), chosen=None, needed_w=0.0, note="no size is marked")
    )
    assert (spare.title, spare.rows[0][0]) == ("A: Boiler", "9.6 kW output")
    assert lines[0] == "Boiler need not carry the design load (no size is marked)."
    tables, lines = sized(but(SOURCE, steps=(STEP,), kept=True))
    assert tables == []
    assert lines[0] == "Boiler: existing, kept: 9.6 kW output; the load alone would ask for 8.0 kW output."
    pump = SimpleNamespace(name="Zone pumps", count=2, flow_m3_s=1e-4, head_pa=2e4, drop_k=None)
    (duty,), _ = sized(SOURCE, pumps=(pump,))
    assert duty.rows[0][:2] == ("Zone pumps", "2")


def test_circuits_are_those_of_the_size_entered() -> None:
    chosen, entered = ELECTRIC, but(ELECTRIC, load_w=4800.0)

    def circuit(one: Any) -> list[str]:
        return [line.strip() for line in electric_lines(one)]

    for given, wanted in (
        ({"electric": chosen, "entered_electric": entered}, circuit(entered)), ({}, []),
    ):  # fmt: skip
        _, lines = sized(but(SOURCE, **given))
        assert [line for line in lines if line.startswith(("Circuit", "Service"))] == wanted
    gas = [line.strip() for line in gas_lines(GAS, "si")]
    assert [line for line in sized(but(SOURCE, entered_gas=GAS))[1] if line in gas] == gas


def test_what_waits_is_told_by_its_own_sentence() -> None:
    blocks = (
        Heading("Head"),
        table("", ["a", "b"], [["row", "Seen. Two of it (value from memory). More"], ["other", "Plain (value from memory)"], ["no", "seen"]], "ww"),
        table("Titled", ["a"], [["x"]], "w", "A note (value from memory)"),
        table("", ["a"], [["x"]], "w", "Another note (value from memory)"),
        Items((("lead", "First. Second (value from memory)", ""),)),
        Text("Text (value from memory)"),
    )  # fmt: skip
    assert list(reader._waiting(blocks)) == [
        ("row", "Two of it (value from memory). More"),
        ("other", "Plain (value from memory)"),
        ("Titled", "A note (value from memory)"),
        ("Head", "Another note (value from memory)"),
        ("lead", "Second (value from memory)"),
    ]


def test_the_page_has_one_line_for_what_waits() -> None:
    rows = dict(sign.open_rows(basis(), 1))
    assert [*rows] == ["1 source"]
    assert [*dict(sign.open_rows(basis(), 2))] == ["2 sources"]
    missing = SimpleNamespace(what="tube", verdict="not given")
    assert [*dict(sign.open_rows(basis(signed__checks=(missing,))))] == ["1 rating of a part"]
