"""Bills against arithmetic that a person can do with a pencil."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.tariffs.bill import bill, hourly_price_per_j, house_profile_j, marginal_bill
from costsim.tariffs.calendar import HourCalendar, parse_windows
from costsim.tariffs.charges import Block, DemandCharge, Period, Tariff

CLOCK = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone="America/New_York", year=2025)
KWH = 3.6e6
ALL_DAY = parse_windows([])


def january(kwh: float) -> np.ndarray:
    """So much energy, spread over January."""
    hours = CLOCK.month == 1
    return np.where(hours, kwh * KWH / hours.sum(), 0.0)


def test_the_published_two_block_bill(published) -> None:
    # 1,000 kWh at 0.103 and 500 kWh at 0.125, by hand
    tariff = Tariff("power", 0.0, blocks=(Block(1000 * KWH, 0.103 / KWH), Block(math.inf, 0.125 / KWH)))
    found = bill(tariff, CLOCK, january(1500))
    published("tariffs")["two_block_bill"].check(found.total)
    assert [round(line.quantity / KWH) for line in found.lines] == [1000, 500]


def test_windows_are_billed_by_the_wall_clock() -> None:
    night = Period("night", 0.05 / KWH, parse_windows(["22:00-06:00"]))
    found = bill(Tariff("power", 0.20 / KWH, periods=(night,)), CLOCK, np.full(8760, KWH))
    march = {line.label: line.quantity / KWH for line in found.lines if line.month == 3}
    assert march["night"] == pytest.approx(31 * 8 - 1)
    assert found.total == pytest.approx(8 * 365 * 0.05 + 16 * 365 * 0.20)


def test_demand_charge_with_peak_factor_and_ratchet() -> None:
    energy = np.full(8760, KWH)
    energy[(CLOCK.month == 1).argmax() + 12] = 10 * KWH
    charge = DemandCharge(9.0 / 1e3, ALL_DAY, minutes=15, peak_factor=1.2, ratchet_share=0.5)
    found = bill(Tariff("power", 0.0, demand=(charge,)), CLOCK, energy)
    # January 10 kW × 1.2 × 9; every other month half of the year's highest, 6 kW × 9
    assert found.total == pytest.approx(12 * 9 + 11 * 6 * 9)


def test_minimum_use_rent_minimum_bill_and_tax() -> None:
    tariff = Tariff("propane", 0.1 / KWH, minimum_use_j=3000 * KWH, rent_per_year=90.0, tax_share=0.1)
    found = bill(tariff, CLOCK, january(1000))
    assert found.total == pytest.approx((300 + 90) * 1.1)
    assert found.fixed == pytest.approx((200 + 90) * 1.1)
    assert bill(Tariff("x", 0.1 / KWH, minimum_bill_per_month=20.0), CLOCK, january(1000)).total == pytest.approx(
        100 + 11 * 20
    )
    assert bill(tariff, CLOCK, np.zeros(8760)).total == pytest.approx((300 + 90) * 1.1)


def test_the_margin_of_a_second_use() -> None:
    tariff = Tariff(
        "power", 0.0, fixed_per_month=14.0, blocks=(Block(600 * KWH, 0.10 / KWH), Block(math.inf, 0.15 / KWH))
    )
    found = marginal_bill(tariff, CLOCK, january(1000), np.where(CLOCK.month > 0, 500 * KWH / 730, 0.0))
    other = 500 * 744 / 730  # January has 744 of the year's 8,760 hours
    assert found.total == pytest.approx((600 - other) * 0.10 + (1000 - (600 - other)) * 0.15)
    assert found.fixed == 0.0


def test_price_of_an_hour() -> None:
    night = Period("night", 0.05 / KWH, parse_windows(["22:30-06:00"]))
    price = hourly_price_per_j(Tariff("power", 0.20 / KWH, periods=(night,), tax_share=0.1), CLOCK) * KWH
    assert price[12] == pytest.approx(0.22)
    assert price[2] == pytest.approx(0.055)
    assert price[22] == pytest.approx((0.20 + 0.05) / 2 * 1.1)


def test_the_house_profile_adds_up() -> None:
    profile = house_profile_j(7200 * KWH, CLOCK)
    assert profile.sum() == pytest.approx(7200 * KWH)
    assert profile.min() > 0


TARIFFS = st.builds(
    lambda fixed, price, night, block, demand, minimum, tax: Tariff(
        "any", price / KWH, fixed_per_month=fixed, tax_share=tax, minimum_bill_per_month=minimum,
        periods=(Period("night", night / KWH, parse_windows(["22:00-06:00"], days="Mon-Fri")),),
        blocks=(Block(block * KWH, price / KWH), Block(math.inf, price * 1.3 / KWH)),
        demand=(DemandCharge(demand / 1e3, ALL_DAY, ratchet_share=0.3),),
    ),
    *(st.floats(0, 30), st.floats(0.01, 0.5), st.floats(0, 0.3), st.floats(1, 2000), st.floats(0, 15), st.floats(0, 40), st.floats(0, 0.3)),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(TARIFFS, st.integers(0, 99), st.floats(0, 0.2))
def test_a_bill_is_the_sum_of_its_lines_and_rises_with_the_price(tariff: Tariff, seed: int, dearer: float) -> None:
    energy = np.random.default_rng(seed).uniform(0, 5 * KWH, 8760)
    found = bill(tariff, CLOCK, energy)
    assert found.total == math.fsum(line.amount for line in found.lines)
    for line in found.lines:
        assert line.amount == pytest.approx(line.quantity * line.rate, rel=1e-12)
    assert sum(x.quantity for x in found.lines if x.unit == "J") == pytest.approx(energy.sum())
    raised = replace(
        tariff, blocks=tuple(replace(block, price_per_j=block.price_per_j + dearer / KWH) for block in tariff.blocks)
    )
    assert bill(raised, CLOCK, energy).total >= found.total - 1e-9


@settings(max_examples=40, deadline=None)
@given(TARIFFS, st.integers(0, 99))
def test_the_margin_is_the_difference_of_two_bills(tariff: Tariff, seed: int) -> None:
    rng = np.random.default_rng(seed)
    heating, other = rng.uniform(0, 5 * KWH, 8760), rng.uniform(0, KWH, 8760)
    expected = bill(tariff, CLOCK, heating + other).total - bill(tariff, CLOCK, other).total
    assert marginal_bill(tariff, CLOCK, heating, other).total == pytest.approx(expected, abs=1e-6)
