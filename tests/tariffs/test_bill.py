"""Bills against arithmetic that a person can do with a pencil."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.tariffs.bill import (
    bill,
    hourly_price_per_j,
    house_profile_j,
    marginal_bill,
    monthly_energy_j,
    monthly_peaks_w,
    period_shares,
    price_month_period,
    prices_of_many_per_j,
)
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import Block, Delivery, DemandCharge, Period, Tariff
from costsim.tariffs.windows import parse_windows

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


def test_prices_of_many_homes_carry_every_tax() -> None:
    """By hand: 0.10 and 0.30 by day, 0.05 at night; 5 % and 0.01 on energy, then 20 % on all."""
    night = Period("night", 0.05 / KWH, parse_windows(["00:00-06:00"]))
    tariff = Tariff("power", 9.0, periods=(night,), energy_tax_share=0.05, tax_per_j=0.01 / KWH, tax_share=0.2)
    found = prices_of_many_per_j(tariff, CLOCK, np.array([0.10, 0.30]) / KWH, np.array([3, 12])) * KWH
    dark, low, high = ((price * 1.05 + 0.01) * 1.2 for price in (0.05, 0.10, 0.30))
    np.testing.assert_allclose(found, [[dark, dark], [low, high]], rtol=1e-12)


def test_the_house_profile_adds_up() -> None:
    profile = house_profile_j(7200 * KWH, CLOCK)
    assert profile.sum() == pytest.approx(7200 * KWH)
    assert profile.min() > 0


def test_the_house_profile_is_the_day_it_says() -> None:
    # low from midnight to six, a morning and a larger evening rise, a tenth more in winter than in summer
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)
    day = house_profile_j(7200 * KWH, clock).reshape(365, 24)
    mean = day.mean(axis=0) / day.mean()
    assert mean[:5].max() < 0.85
    assert mean.argmax() == 19
    assert mean[:12].argmax() in (7, 8)
    assert mean[12] < mean[8] < mean[19] < 2.0
    assert day[:15].mean() / day[175:190].mean() == pytest.approx(1.1, abs=0.01)


def in_month(month: int, kwh: float) -> np.ndarray:
    """So much energy, spread over one month."""
    hours = CLOCK.month == month
    return np.where(hours, kwh * KWH / hours.sum(), 0.0)


def test_blocks_by_season(published) -> None:
    winter, summer = (11, 12, 1, 2, 3, 4), (5, 6, 7, 8, 9, 10)
    blocks = tuple(
        Block(up_to * KWH, price / KWH, months)
        for months, first in ((winter, 1000.0), (summer, 600.0))
        for up_to, price in ((first, 0.103), (math.inf, 0.125))
    )
    tariff = Tariff("power", 0.0, blocks=blocks)
    published("tariffs")["two_block_bill"].check(bill(tariff, CLOCK, in_month(1, 1500)).total)
    published("tariffs")["two_block_summer"].check(bill(tariff, CLOCK, in_month(7, 1500)).total)
    assert hourly_price_per_j(tariff, CLOCK, 1)[0] * KWH == pytest.approx(0.103)
    assert hourly_price_per_j(tariff, CLOCK, 2)[0] * KWH == pytest.approx(0.125)
    assert hourly_price_per_j(tariff, CLOCK, 9)[0] * KWH == pytest.approx(0.125)


def test_minimum_use_at_its_own_price(published) -> None:
    gallon_j = 96.5e6  # any heat content: the example counts in gallons
    tariff = Tariff("propane", 2.5 / gallon_j, minimum_use_j=300 * gallon_j, minimum_use_price_per_j=0.89 / gallon_j)
    lines = {x.label: x for x in bill(tariff, CLOCK, in_month(1, 200 * gallon_j / KWH)).lines}
    published("tariffs")["minimum_use_89"].check(lines["minimum use"].amount)
    assert lines["energy"].amount == pytest.approx(500)


def test_a_fee_where_too_little_is_used() -> None:
    tariff = Tariff(
        "propane", 0.1 / KWH, minimum_use_j=3000 * KWH, minimum_use_price_per_j=0.0, minimum_use_fee=75.0, tax_share=0.1
    )
    assert bill(tariff, CLOCK, in_month(1, 1000)).total == pytest.approx((100 + 75) * 1.1)
    assert bill(tariff, CLOCK, in_month(1, 1000)).fixed == pytest.approx(75 * 1.1)
    assert bill(tariff, CLOCK, in_month(1, 3000)).total == pytest.approx(300 * 1.1)
    # half a joule short is short
    short, enough = np.zeros(8760), np.zeros(8760)
    short[0], enough[0] = 3000 * KWH - 0.5, 3000 * KWH
    assert [bill(tariff, CLOCK, used).fixed for used in (short, enough)] == [pytest.approx(75 * 1.1), 0.0]


def test_the_published_ratchet(published) -> None:
    energy = np.zeros(8760)
    energy[int((CLOCK.month == 3).argmax()) + 5] = 1000 * KWH
    charge = DemandCharge(1.0, ALL_DAY, ratchet_share=0.8)
    lines = [x for x in bill(Tariff("power", 0.0, demand=(charge,)), CLOCK, energy).lines if x.unit == "W"]
    assert {x.month for x in lines} == set(range(1, 13))
    assert next(x.quantity for x in lines if x.month == 3) == pytest.approx(1000e3)
    for line in lines:
        if line.month != 3:
            published("tariffs")["ratchet_800"].check(line.quantity / 1e3)


def test_a_charge_of_the_summer_leaves_the_winter_alone() -> None:
    charge = DemandCharge(10.0 / 1e3, parse_windows([], months="Jun-Aug"), ratchet_share=0.5)
    energy = np.full(8760, KWH)
    energy[CLOCK.month == 7] = 4 * KWH
    found = bill(Tariff("power", 0.0, demand=(charge,)), CLOCK, energy)
    # July 4 kW, June and August half of it, all other months nothing
    assert [round(x, 6) for x in found.by_month()] == [0.0] * 5 + [20.0, 40.0, 20.0] + [0.0] * 4


def test_taxes_on_use_by_amount_and_on_everything() -> None:
    tariff = Tariff(
        "power", 0.10 / KWH, fixed_per_month=14.0, energy_tax_share=0.05, tax_per_j=0.02 / KWH, tax_share=0.2
    )
    found = bill(tariff, CLOCK, in_month(1, 1000))
    # 1,000 kWh at 0.10, 5 % of that, 20 by amount, twelve fixed charges, and a fifth on all of it
    assert found.total == pytest.approx((100 + 5 + 20 + 12 * 14) * 1.2)
    assert hourly_price_per_j(tariff, CLOCK)[0] * KWH == pytest.approx((0.10 * 1.05 + 0.02) * 1.2)
    relief = bill(replace(tariff, energy_tax_share=0.0, tax_per_j=-0.03 / KWH), CLOCK, in_month(1, 1000))
    assert relief.total == pytest.approx((100 - 30 + 12 * 14) * 1.2)
    assert "relief by amount" in {x.label for x in relief.lines}


def test_a_minimum_bill_comes_before_tax() -> None:
    tariff = Tariff("power", 0.10 / KWH, minimum_bill_per_month=120.0, tax_per_j=0.05 / KWH)
    assert bill(tariff, CLOCK, in_month(1, 1000)).total == pytest.approx(12 * 120 + 50)


@pytest.mark.parametrize(
    ("used", "fees"), [(0, 0), (100, 10 + 75), (400, 10), (450, 20 + 75), (550, 20), (1200, 30), (1201, 40 + 75)]
)
def test_deliveries_are_counted(used: int, fees: int) -> None:
    # fills of 400, 10 each, and 75 for a fill of less than 150
    delivery = Delivery(400 * KWH, fee=10.0, minimum_j=150 * KWH, small_fee=75.0)
    found = bill(Tariff("propane", 0.1 / KWH, delivery=delivery), CLOCK, in_month(2, used))
    assert found.total == pytest.approx(used * 0.1 + fees)
    assert found.fixed == 0.0


@st.composite
def tariffs(draw: st.DrawFn) -> Tariff:
    """Any tariff, with every kind of charge; both periods and both demand charges may bear one name."""
    price, block = draw(st.floats(0.01, 0.5)), draw(st.floats(1, 2000))
    weekdays = parse_windows(["22:00-06:00"], days="Mon-Fri")
    return Tariff(
        "any",
        price / KWH,
        fixed_per_month=draw(st.floats(0, 30)),
        tax_share=draw(st.floats(0, 0.3)),
        energy_tax_share=draw(st.floats(-0.2, 0.2)),
        tax_per_j=draw(st.floats(-0.05, 0.05)) / KWH,
        minimum_bill_per_month=draw(st.floats(0, 400)),
        periods=(
            Period("night", draw(st.floats(0, 0.3)) / KWH, weekdays),
            Period("night", draw(st.floats(0, 0.3)) / KWH, parse_windows(["21:30-23:00"], months="Nov-Mar")),
        ),
        blocks=(Block(block * KWH, price / KWH), Block(math.inf, price * 1.3 / KWH)),
        demand=(
            DemandCharge(draw(st.floats(0, 15)) / 1e3, ALL_DAY, ratchet_share=draw(st.floats(0, 1))),
            DemandCharge(draw(st.floats(0, 15)) / 1e3, weekdays, minutes=15, peak_factor=1.2),
        ),
        rent_per_year=draw(st.floats(0, 90)),
        minimum_use_j=draw(st.floats(0, 40_000)) * KWH,
        minimum_use_price_per_j=draw(st.none() | st.floats(0, 0.2).map(lambda x: x / KWH)),
        minimum_use_fee=draw(st.floats(0, 90)),
        delivery=Delivery(draw(st.floats(200, 5000)) * KWH, 10.0, 150 * KWH, 75.0),
    )


@settings(max_examples=25, deadline=None)
@given(tariffs(), st.integers(0, 99), st.floats(0, 0.2))
def test_a_bill_is_the_sum_of_its_lines_and_rises_with_the_price(tariff: Tariff, seed: int, dearer: float) -> None:
    energy = np.random.default_rng(seed).uniform(0, 5 * KWH, 8760)
    found = bill(tariff, CLOCK, energy)
    assert found.total == math.fsum(line.amount for line in found.lines)
    for line in found.lines:
        assert line.amount == pytest.approx(line.quantity * line.rate, rel=1e-12)
    used = sum(x.quantity for x in found.lines if x.label == "night" or x.label.startswith("energy"))
    assert used == pytest.approx(energy.sum())
    for raised in dearer_ones(tariff, dearer):
        assert bill(raised, CLOCK, energy).total >= found.total - 1e-6
    # a higher tax moves a bill away from zero: up, unless reliefs are drawn so large that money comes back
    taxed = bill(replace(tariff, tax_share=tariff.tax_share + dearer), CLOCK, energy).total
    assert taxed == pytest.approx(
        found.total / (1 + tariff.tax_share) * (1 + tariff.tax_share + dearer), rel=1e-9, abs=1e-6
    )


def dearer_ones(tariff: Tariff, more: float) -> list[Tariff]:
    """The tariff with one kind of price raised at a time."""
    return [
        replace(tariff, blocks=tuple(replace(x, price_per_j=x.price_per_j + more / KWH) for x in tariff.blocks)),
        replace(tariff, periods=tuple(replace(x, price_per_j=x.price_per_j + more / KWH) for x in tariff.periods)),
        replace(tariff, demand=tuple(replace(x, price_per_w=x.price_per_w + more / 1e3) for x in tariff.demand)),
        replace(tariff, price_per_j=tariff.price_per_j + more / KWH),
        replace(tariff, fixed_per_month=tariff.fixed_per_month + more),
    ]


@settings(max_examples=15, deadline=None)
@given(tariffs(), st.integers(0, 99))
def test_the_margin_is_the_difference_of_two_bills(tariff: Tariff, seed: int) -> None:
    rng = np.random.default_rng(seed)
    heating, other = rng.uniform(0, 5 * KWH, 8760), rng.uniform(0, KWH, 8760)
    expected = bill(tariff, CLOCK, heating + other).total - bill(tariff, CLOCK, other).total
    found = marginal_bill(tariff, CLOCK, heating, other)
    assert found.total == pytest.approx(expected, abs=1e-6)
    for line in found.lines:
        assert line.amount == pytest.approx(line.quantity * line.rate, rel=1e-6, abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(tariffs(), st.integers(0, 99))
def test_many_years_at_once_cost_what_their_bills_say(tariff: Tariff, seed: int) -> None:
    years = np.random.default_rng(seed).uniform(0, 3, (3, 1)) * np.random.default_rng(seed + 1).uniform(
        0, KWH, (3, 8760)
    )
    winter = (replace(tariff.blocks[0], months=(1, 2, 12)), replace(tariff.blocks[1], months=(1, 2, 3)))
    for one in (tariff, replace(tariff, blocks=()), replace(tariff, blocks=winter)):
        energy = np.stack([monthly_energy_j(one, CLOCK, year).T for year in years])
        peaks = np.stack([monthly_peaks_w(one, CLOCK, year) for year in years])
        bills = [bill(one, CLOCK, year).total for year in years]
        assert price_month_period(one, energy, peaks) == pytest.approx(bills, rel=1e-9)


def test_demand_charges_need_their_peaks() -> None:
    tariff = Tariff("power", 0.0, demand=(DemandCharge(0.01, ALL_DAY),))
    with pytest.raises(ValueError, match="give the peaks"):
        price_month_period(tariff, np.zeros((1, 12, 1)))


def test_two_demand_charges_at_the_margin() -> None:
    demand = (DemandCharge(5.0 / 1e3, parse_windows(["12:00-18:00"])), DemandCharge(3.0 / 1e3, ALL_DAY))
    noon = np.where(CLOCK.clock_hour == 12, 2 * KWH, 0.0)
    night = np.where(CLOCK.clock_hour == 2, 6 * KWH, 0.0)
    found = marginal_bill(Tariff("power", 0.0, demand=demand), CLOCK, night, noon)
    # heating by night leaves the noon charge as it is and raises the other from 2 kW to 6 kW
    assert found.total == pytest.approx(12 * 4 * 3)


def test_without_a_minimum_a_relief_takes_a_bill_to_nothing_and_no_further() -> None:
    # 100 kWh at 10 cents and a fixed charge of 5 are 15; a relief of 20 cents a kilowatt-hour would be 20
    given = Tariff("power", price_per_j=0.10 / KWH, fixed_per_month=5.0, tax_per_j=-0.20 / KWH)
    assert bill(given, CLOCK, in_month(1, 100)).by_month()[0] == pytest.approx(0.0, abs=1e-9)
    # 5 cents a kilowatt-hour are 5, less than is charged
    less = bill(replace(given, tax_per_j=-0.05 / KWH), CLOCK, in_month(1, 100))
    assert less.by_month()[0] == pytest.approx(10.0)


def test_a_relief_never_undercuts_the_minimum_bill() -> None:
    # 50 of energy less a fifth is 40, held up to 60; dearer energy of 70 less a fifth is 56, still 60; 100 less a fifth is 80
    for price, expected in ((0.05, 60.0), (0.07, 60.0), (0.10, 80.0)):
        tariff = Tariff("power", price / KWH, energy_tax_share=-0.2, minimum_bill_per_month=60.0)
        assert bill(tariff, CLOCK, in_month(2, 1000)).by_month()[1] == pytest.approx(expected)


@pytest.mark.parametrize("tax_share", [0.0, 0.1])
def test_lines_stand_in_the_order_of_the_year_and_are_called_what_they_are(tax_share: float) -> None:
    base = Tariff("power", 0.10 / KWH, fixed_per_month=5.0, rent_per_year=60.0, tax_share=tax_share)
    energy = np.full(8760, KWH)
    for taxed, labels in ((0.05, {"tax on use", "duty"}), (-0.05, {"relief on use", "relief by amount"})):
        lines = bill(replace(base, energy_tax_share=taxed, tax_per_j=taxed * 0.1 / KWH), CLOCK, energy).lines
        months = [line.month or 13 for line in lines]
        assert months == sorted(months)
        assert months[-1] == 13  # rent, and the tax on it, stand last
        assert labels <= {line.label for line in lines}
        assert all(line.amount * taxed > 0 for line in lines if line.label in labels)
        assert any(line.label.startswith("tax on fixed") for line in lines) == (tax_share > 0)


def test_minutes_that_two_periods_share_are_billed_once_by_the_first() -> None:
    early = Period("early", 0.30 / KWH, parse_windows(["00:00-00:30"]))
    same = Period("same half hour", 0.10 / KWH, parse_windows(["00:00-00:30"]))
    across = Period("across", 0.20 / KWH, parse_windows(["00:20-00:40"]))
    shares = period_shares(Tariff("power", 0.0, periods=(early, same, across)), CLOCK)
    # of the first hour: half for the first, nothing for its double, ten minutes for what reaches beyond, the rest outside
    assert shares[:, 0].tolist() == pytest.approx([1 / 2, 0.0, 1 / 6, 1 / 3])
    assert np.allclose(shares.sum(axis=0), 1.0)
    whole = period_shares(Tariff("power", 0.0, periods=(across, early)), CLOCK)
    assert whole[:, 0].tolist() == pytest.approx([1 / 3, 1 / 3, 1 / 3])
