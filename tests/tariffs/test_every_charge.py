"""What every kind of charge must do alone: follow the price in scenarios, and name the price of the next kilowatt-hour to rules by price."""

from __future__ import annotations

import numpy as np
import pytest

from costsim.study.prices import Price
from costsim.tariffs.bill import bill, charged, hourly_price_per_j, monthly_energy_j, monthly_peaks_w
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import KINDS, Tariff
from costsim.units.faults import build

KWH = 3.6e6
CLOCK = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)
EVEN = np.full(8760, KWH)
FROM_FILES, BY_LEVEL, AGREED = {"hourly_price"}, {"tiers", "power", "power_schedule"}, {"prebuy"}
"""Kinds whose prices stand in a file, whose next kilowatt-hour goes with what was used before, and whose price is agreed ahead."""


def of(kind: str) -> Tariff:
    """Electricity at 0.10 $/kWh with a kind's own example."""
    return build(Price, {"energy": "0.10 $/kWh", "charge": [dict(KINDS[kind].example)]}).tariff("electricity")


@pytest.mark.parametrize("kind", sorted(set(KINDS) - FROM_FILES - AGREED))
def test_prices_of_energy_follow_the_scenario(kind: str) -> None:
    """At half as much again for energy, each line of energy is half as much again: `Usage.extra_price` does that for a typed price."""
    table = of(kind)
    energy, peaks = monthly_energy_j(table, CLOCK, EVEN).T[None], monthly_peaks_w(table, CLOCK, EVEN)[None]
    factors = np.array([[1.0], [1.5]])
    usage = charged(table, CLOCK, energy, peaks, factors, lines=True)
    lines = [item for item in usage.items if item.group == "energy" and item.unit == "J"]
    assert lines, "the table's own energy at least"
    for item in lines:
        amount = np.broadcast_to(item.amount, (2, *item.amount.shape[1:]))
        assert amount[1] == pytest.approx(1.5 * amount[0]), item.label


@pytest.mark.parametrize("kind", sorted(set(KINDS) - FROM_FILES - BY_LEVEL))
def test_the_next_kilowatt_hour_costs_what_the_hour_s_price_says(kind: str) -> None:
    """A hundredth of a kilowatt-hour more in an hour, by the bill, against the price that `cheapest_now` and foresight look at (`price_per_j`)."""
    table = of(kind)
    price, before = hourly_price_per_j(table, CLOCK), bill(table, CLOCK, EVEN).total
    for hour in (100, 3000, 5011):
        more = EVEN.copy()
        more[hour] += 0.01 * KWH
        assert bill(table, CLOCK, more).total - before == pytest.approx(0.01 * KWH * price[hour], rel=1e-6)


def test_each_kind_stands_in_a_file_of_its_name() -> None:
    own = {kind: found.__module__ for kind, found in KINDS.items() if found.__module__.startswith("costsim.")}
    assert len(own) >= 12
    assert own == {kind: f"costsim.tariffs.charges.{kind}" for kind in own}
