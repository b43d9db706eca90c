"""What a kind says follows the house is what does: it is asked again in other houses."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from cases import sample_weather, study

from costsim.engine.layout import PER_HEAT, SOURCE_HOURS
from costsim.engine.lower import lower_study, source_row, source_scalars_of
from costsim.portfolio.plan import ROW_OF
from costsim.sources import KINDS, HeatSource, Offer, Surroundings

GREENSBORO = sample_weather()
POINT = {"outdoor": "-7 degC", "supply": "34 degC", "output": "5 kW", "cop": 2.8}
MORE: list[dict[str, Any]] = [
    {"kind": "gas", "output": "12 kW", "condensing": True},
    {"kind": "gas", "output": "12 kW", "efficiency": "90 %", "flow": "0.7 gpm"},
    {"kind": "gas", "output": "12 kW", "condensing": True, "store": True, "flow": "0.7 gpm"},
    {"kind": "heat_pump", "test_point": [POINT, {**POINT, "supply": "55 degC", "output": "4 kW", "cop": 2.0}]},
    {
        "kind": "heat_pump",
        "outdoor": ["-7 degC", "7 degC"],
        "outputs": ["5 kW", "8 kW"],
        "max_outlet_temperature": "34 degC",
    },
    {"kind": "electric", "output": "9 kW", "store": True},
    {"kind": "electric", "output": "9 kW", "store": True, "windows": ["22:00-06:00"], "charging": "forecast"},
]


def other_houses(seen: Surroundings) -> list[Surroundings]:
    """Another load and another warmth."""
    return [
        replace(seen, demand_w=0.4 * seen.demand_w[::-1].copy(), water_c=seen.water_c - 4.0, room_c=seen.room_c - 3.0),
        replace(seen, demand_w=2.5 * seen.demand_w + 900.0, water_c=seen.water_c + 9.0, room_c=seen.room_c + 3.0),
    ]


def row(offer: Offer, number: int) -> np.ndarray:
    into = np.empty(len(offer.capacity_w))
    source_row(offer, number, into)
    return into


def scalars(offer: Offer) -> list[float]:
    return [*source_scalars_of(offer), offer.rank, offer.co2_kg_per_j, offer.biogenic]


@pytest.mark.parametrize(
    "source",
    [*(dict(KINDS[kind].example) for kind in sorted(KINDS)), *MORE],
    ids=lambda s: "-".join([s["kind"], *list(s)[1:]])[:40],
)
def test_what_follows_the_house_is_declared_and_nothing_else_is(source: dict[str, Any]) -> None:
    common = lower_study(study(source, tank__volume="400 L", tank__max_temperature="70 degC"), GREENSBORO)
    unit = common.case.options[0].sources[0]
    here, follows = unit.offer(common.surroundings), set()
    for seen in other_houses(common.surroundings):
        there = unit.offer(seen)
        rows = [number for number in (*range(SOURCE_HOURS), PER_HEAT)]
        changed = {number for number in rows if not np.array_equal(row(here, number), row(there, number))}
        follows |= {name for name, number in ROW_OF.items() if number in changed}
        follows |= {"scalars"} if scalars(here) != scalars(there) else set()
    said = set(unit.follows_house()) | ({"target"} if unit.charging == "forecast" else set())
    # a kind that does not say is asked for everything in each home: right, and slow
    assert follows == said or (follows <= said and type(unit).follows_house is HeatSource.follows_house)
