"""The part of a report on load and design temperatures, by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from report.bases import basis

from costsim.report import sheet
from costsim.report.blocks import Facts, Table
from costsim.report.household import TON_W


def blocks(monkeypatch: pytest.MonkeyPatch, routes: int = 1, band: float = 0.15, **house: Any) -> list[Any]:
    monkeypatch.setattr(sheet, "duration_chart", lambda _: "duration")
    monkeypatch.setattr(sheet, "cost_chart", lambda _: "cost")
    monkeypatch.setattr(sheet, "route_rows", lambda *_: (["route", "a", "b", "c"], [["routes"] * 4]))
    monkeypatch.setattr(sheet, "_surface_rows", lambda _: (["part"] * 6, [["surfaces"] * 6]))
    facts = {
        "degree_days_k_d": 3000.0,
        "synthetic": False,
        "title": "A town",
        "source": "public",
        "coldest_c": -20.0,
    }
    made = basis(
        case__house=SimpleNamespace(**{"floor_area_m2": 100.0, "indoor_temperature_c": 20.0, "surface": (), "room": ()} | house),
        common=SimpleNamespace(design_outdoor_c=-10.0, design_outdoor_source="typed", demand_w=np.full(8760, 1000.0),
                               surroundings=SimpleNamespace(altitude_m=0.0)),
        result=SimpleNamespace(
            route=SimpleNamespace(load_w=8000.0, band=band, words="a calculation"), weather_facts=facts, load_routes=[1] * routes
        ),
    )  # fmt: skip
    return list(sheet.design_blocks(made))


def test_load_and_design_temperatures_by_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    _, facts, duration, cost = blocks(monkeypatch)
    assert isinstance(facts, Facts)
    told = dict(facts.rows)
    # 8 kW and 15 % of it; 80 W/m² on 100 m²; 8,760 kWh at 8 kW are 1,095 hours; 3,000 K d are 5,400 °F d
    assert "8.0 kW" in told["design heat loss"]
    assert told["design heat loss"].endswith("; a calculation")
    assert told["uncertainty band"].startswith("±15 %: 6.8")
    assert "9.2" in told["uncertainty band"]
    # 80 W/m² × 3.412 / 10.764 are 25.4 Btu/(h ft²)
    assert told["over the floor"].startswith("80.0 W/m²")
    assert "25.4 Btu/(h ft²)" in told["over the floor"]
    assert "20.0 °C" in told["indoor temperature"]
    assert "68.0 °F" in told["indoor temperature"]
    assert "-10.0 °C" in told["outdoor, design"]
    assert "14.0 °F" in told["outdoor, design"]
    assert "-4.0 °F" in told["outdoor, coldest hour of the weather year"]
    assert told["degree-days"].startswith("3,000 K d (5,400 °F d) below ")
    assert told["full-load hours"] == "1,095 h"
    assert told["weather"] == "A town; public"
    assert (duration, cost) == ("duration", "cost")


def test_a_wide_band_is_told_in_whole_per_cent(monkeypatch: pytest.MonkeyPatch) -> None:
    """60 % of 8 kW are 4.8 kW."""
    facts = blocks(monkeypatch, band=0.6)[1]
    assert dict(facts.rows)["uncertainty band"] == "±60 %: 3.2 kW to 12.8 kW"


def test_routes_are_compared_where_there_are_two_and_surfaces_where_there_are_any(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def tables(**more: Any) -> list[str]:
        return [one.rows[0][0] for one in blocks(monkeypatch, **more) if isinstance(one, Table)]

    assert tables() == []
    assert tables(routes=2) == ["routes"]
    assert tables(surface=(1,)) == ["surfaces"]
    assert tables(room=(1,)) == ["surfaces"]
    assert tables(routes=2, room=(1,)) == ["routes", "surfaces"]


def test_a_ton_is_that_of_the_tables() -> None:
    # NIST SP 811, appendix B.8: ton of refrigeration (12 000 Btu_IT/h), 3.516 853 E+03 W
    assert pytest.approx(3516.853, rel=1e-6) == TON_W
