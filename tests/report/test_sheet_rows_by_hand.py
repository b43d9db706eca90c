"""Rows of the calculation sheet on failures, missing heat, winters and assumptions, from made-up results."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from report.bases import basis, option

from costsim.report import sheet, short
from costsim.report.blocks import Chart, Facts, Heading, Items, Table, Text, table

KW = 1000.0


def look(*, hours: int = 0, tank_hours: float | None = None) -> Any:
    source = SimpleNamespace(name="Boiler", tank_hours=tank_hours)
    return SimpleNamespace(option="A", sources=[source], curtailment=SimpleNamespace(hours=hours, propane_m3=0.0379))


def test_failures_of_the_sheet_tell_the_utilitys_hours_and_the_propane(monkeypatch: pytest.MonkeyPatch) -> None:
    """0.0379 m³ are 10 gal, 38 L."""
    monkeypatch.setattr(sheet, "failure_lines", lambda look, system: ["  without power: cold"])
    assert sheet._failure_lines(look(), "us") == ["without power: cold"]
    told = sheet._failure_lines(look(hours=6, tank_hours=1234.4), "us")
    assert told[1].startswith("held off by the utility for at most 6 h in a row")
    assert told[1].endswith("10 gal of propane in it")
    assert told[2] == "Boiler: the propane tank lasts 1,234 h at design load"
    assert sheet._failure_lines(look(hours=1), "si")[1].endswith("38 L of propane in it")
    assert len(sheet._failure_lines(look(tank_hours=0.0), "si")) == 2


def test_heat_that_is_missing_has_a_row_for_each_cause(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two kilowatt-hours; a kilojoule is none."""
    chart = Chart("c", "<svg/>", "about")
    monkeypatch.setattr(sheet, "short_chart", lambda _: chart)
    made = basis(result__options=[option("A", 3), option("B")])
    made.result.options[0].unmet.by_cause_j = {"floor": 7.2e6, "capacity": 1e3}
    made.result.options[1].unmet.by_cause_j = {"floor": 1.1e3}
    head, drawn, rows = sheet._short(made)
    assert head == Heading("Where heat is missing")
    assert drawn is chart
    assert isinstance(rows, Table)
    assert [row[:2] for row in rows.rows] == [("A", "2.00"), ("B", "<0.01")]
    assert rows.headings[1] == "heat missing, kWh"
    monkeypatch.setattr(sheet, "short_chart", lambda _: None)
    assert list(sheet._short(made)) == []


def test_options_and_sources_of_the_sheet_stand_below_each_other(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet, "capacity_cells", lambda source, system: [source.name, "1", "2", "3", "4", "5"])
    assert sheet._capacity_rows(look(), "si") == [["A", "", "", "", "", ""], ["– Boiler", "1", "2", "3", "4", "5"]]


def test_assumptions_have_their_key_and_warnings_a_list_of_their_own() -> None:
    made = basis(
        result__assumptions=[SimpleNamespace(what="w", value="v", source="s", key=key) for key in ("house.area", "")],
        result__warnings=("take 15 % more",),
    )
    head, rows, second, notes = sheet._assumptions(made)
    assert head == Heading("Every assumption")
    assert isinstance(rows, Table)
    assert [row[-1] for row in rows.rows] == ["house.area", "–"]
    assert second == Heading("Worth a second look")
    assert isinstance(notes, Items)
    assert notes.items == (("", "Take 15% more.", ""),)
    made.result.warnings = ()
    assert len(list(sheet._assumptions(made))) == 2


def test_costs_of_scenarios_and_winters_stand_by_option(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in (
        ("spreads", {"design load": "15 %"}),
        ("payment_lines", ["P."]),
        ("waiting_lines", ["W."]),
        ("driver_title", "T"),
    ):
        monkeypatch.setattr(sheet, name, lambda *_, value=value: value)
    monkeypatch.setattr(sheet, "driver_rows", lambda _: (["a", "b"], [["x", "1%"]]))
    monkeypatch.setattr(sheet, "swing_rows", lambda _: (["a", "b", "c", "d"], []))
    found = SimpleNamespace(
        scenarios=2000, seed=7, options=[SimpleNamespace(name="A", band=lambda: (800.0, 1000.4, 1234.0))],
        winters=[SimpleNamespace(name="2010", cost=(950.0, 7.0), unmet_hours=(1234, 0)), SimpleNamespace(name="2011", cost=(960.0, 8.0), unmet_hours=(0, 5))],
    )  # fmt: skip
    made = basis(case__options=[SimpleNamespace(name="A"), SimpleNamespace(name="B")], uncertainty=found, decision=None)
    _, costs, winters, _, spread, drivers, _ = sheet._doubt(made)
    assert isinstance(costs, Table)
    assert costs.title == "Cost a year over 2,000 scenarios"
    assert costs.rows == (("A", "$800", "$1,000", "$1,234"),)
    assert isinstance(winters, Table)
    assert winters.rows == (("A", "$950, 1,234 h unmet", "$960, 0 h unmet"), ("B", "$7, 0 h unmet", "$8, 5 h unmet"))
    assert winters.aligned == "wrr"
    assert spread == Facts((("design load", "15 %"),))
    assert isinstance(drivers, Table)
    assert drivers.note == "P. W."


def test_a_short_report_leaves_charts_out_and_says_what_the_full_one_adds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        short, "design_blocks", lambda _: iter([Heading("load"), Chart("c", "<svg/>", "about"), Text("kept")])
    )
    monkeypatch.setattr(short, "year_by_source", lambda _: table("t", ["a"], [["1"]], "w"))
    monkeypatch.setattr(short, "fingerprint", lambda _: "abcdef")
    found = short.sheet_summary(None)  # type: ignore[arg-type]
    assert [type(block) for block in found] == [Heading, Text, Heading, Table, Text]
    assert found[-1].text.endswith("both are of study abcdef.")  # type: ignore[union-attr]
