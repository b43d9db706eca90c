"""A year's cost by one simulation of one option, for searches that go another way."""

from __future__ import annotations

from costsim.engine.lower import LoweredStudy, priced
from costsim.simulation import simulate_option
from costsim.study.case import Option


def cost_of(common: LoweredStudy, option: Option, factors: dict[str, float]) -> float:
    """Cost of a year of one option at changed prices, simulated anew since a rule may follow the prices."""
    return simulate_option(priced(common, factors), option).cost_total
