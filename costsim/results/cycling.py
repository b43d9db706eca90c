"""Starts of units over a season, from smallest output, load, tank and differential; told where there are too many."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from costsim.engine.lower import LoweredStudy
from costsim.physics.cycling import starts_per_hour
from costsim.sources import Offer
from costsim.units.arrays import Floats
from costsim.words import tr

MOST_STARTS = 6.0
"""Starts an hour beyond which makers of boilers and compressors warn of wear; common practice, no source."""


def starts_of(offer: Offer, heat_w: Floats, cycle_j: float) -> dict[str, Any]:
    """Starts of the season and the most in an hour, as facts of a source; none where it does not cycle or there is no tank."""
    if offer.min_fire_w <= 0 or cycle_j <= 0 or offer.must_run:
        return {}
    starts = starts_per_hour(load_w=heat_w, smallest_w=offer.min_fire_w, store_j=cycle_j)
    return {"starts": float(starts.sum()), "most_starts_per_hour": float(starts.max(initial=0.0))}


def too_many_starts(offer: Offer, facts: Mapping[str, Any], cycle_j: float) -> str:
    """Warn of a unit that starts too often, with the tank that would halt it; empty where it does not."""
    most = float(facts.get("most_starts_per_hour", 0.0))
    if most <= MOST_STARTS:
        return ""
    return tr(
        "{name} starts up to {most} times an hour, {facts} times a season, since it gives {min_fire}"
        " kW at least and the tank takes {cycle} kWh between its switching temperatures: {most_2}"
        " times the tank or the differential, or a unit that modulates further, keeps it at"
        " {most_starts} an hour",
        name=offer.name,
        most=f"{most:.1f}",
        facts=f"{facts['starts']:,.0f}",
        min_fire=f"{offer.min_fire_w / 1000.0:.1f}",
        cycle=f"{cycle_j / 3600000.0:.2f}",
        most_2=f"{most / MOST_STARTS:.1f}",
        most_starts=f"{MOST_STARTS:.0f}",
    )


def switching_j(common: LoweredStudy) -> float:
    """Heat that the tank takes between the temperatures at which a unit stops and starts [J]; nothing without a tank."""
    tank = common.case.tank
    return common.water.tank_j_k * tank.differential_k if tank is not None else 0.0
