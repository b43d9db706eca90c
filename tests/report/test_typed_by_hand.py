"""Typed values beside what they were read as: a pump's curve in SI, lists of tables by their place, titles left out."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from cases import demo

from costsim.report.typed import _field, _pump_si, typed_rows
from costsim.study.case import Case, case_from
from costsim.study.plant import Pump

CURVE = {"heads": ["20 kPa", "0.1 bar"], "flows": ["0 L/min", "6 L/min"]}
"""A bar is 100 kPa; 6 L/min are a ten-thousandth of a m³/s."""


@pytest.fixture(scope="module")
def pumped() -> Case:
    data: dict[str, Any] = copy.deepcopy(demo("valley_row"))
    data["floor"]["pump"] = {**CURVE, "loops_per_pump": 2}
    data["note"] = "two lines"
    return case_from(data)


def test_the_curve_of_a_pump_is_read_in_pascal_and_cubic_metres(pumped: Case) -> None:
    found = {key: (text, value) for key, text, value in typed_rows(pumped)}
    assert found["floor.pump.heads"] == ("20 kPa, 0.1 bar", "20000, 10000 Pa")
    assert found["floor.pump.flows"] == ("0 L/min, 6 L/min", "0, 0.0001 m³/s")
    assert found["floor.pump.loops_per_pump"] == ("2", "")
    us = {key: value for key, _, value in typed_rows(pumped, "us")}
    assert us["floor.pump.heads"] == us["floor.pump.flows"] == us["floor.pump.loops_per_pump"] == ""


def test_title_and_note_stand_on_top_and_not_among_the_values(pumped: Case) -> None:
    keys = [key for key, *_ in typed_rows(pumped)]
    assert not {"title", "note"} & {*keys}
    assert "place.weather" in keys
    assert len(keys) == len({*keys})
    assert keys.index("option[1].name") < keys.index("option[2].name")
    assert "option[0].name" not in keys


def test_a_field_is_found_by_its_own_name_and_by_the_one_that_is_typed() -> None:
    pump = Pump(heads=("20 kPa", "0.1 bar"), flows=("0 L/min", "6 L/min"))  # type: ignore[call-arg]
    assert _field(pump, "heads") == _field(pump, "heads_pa") == ("heads_pa", None)
    name, measured = _field(pump, "lift")
    assert name == "lift_pa"
    assert measured is not None
    assert measured.dimension == "head"
    assert _field(pump, "colour") == ("colour", None)
    assert _field({}, "energy") == ("energy", None)
    assert (_pump_si(pump, "heads_pa"), _pump_si(pump, "flows")) == ("20000, 10000 Pa", "0, 0.0001 m³/s")
