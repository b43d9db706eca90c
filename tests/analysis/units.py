"""Small heat sources for tests by hand."""

from __future__ import annotations

from typing import Any

from cases import study

from costsim.sources import HeatSource

ELECTRIC: dict[str, Any] = {"kind": "electric", "output": "9 kW", "efficiency": "90 %"}
PROPANE: dict[str, Any] = {
    "kind": "gas",
    "fuel": "propane",
    "output": "9 kW",
    "efficiency": "90 %",
    "tank_volume": "1 m3",
}
FIRE: dict[str, Any] = {
    "kind": "wood",
    "charge": "20 kg",
    "burn_time": "4 h",
    "load_times": ["07:00", "19:00"],
    "efficiency": "60 %",
}
HELD: dict[str, Any] = {"kind": "electric", "output": "9 kW", "curtailment": {"coldest_hours": 10}}
TANK = {"tank__volume": "500 L"}


def unit(source: dict[str, Any], **tables: Any) -> HeatSource:
    """One source."""
    return study(source, **{**TANK, **tables}).options[0].sources[0]
