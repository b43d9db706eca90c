"""Lines, shares and clocks against arithmetic by hand, on both sides of every edge; many years at once against single bills."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.errors import InputError
from costsim.tariffs.bill import (
    BillLine,
    bill,
    billed_peaks_w,
    hourly_price_per_j,
    house_profile_j,
    marginal_bill,
    monthly_energy_j,
    monthly_peaks_w,
    period_shares,
    price_month_period,
)
from costsim.tariffs.calendar import SHORT_MONTHS, HourCalendar
from costsim.tariffs.charges import Block, Delivery, DemandCharge, FuelUnits, Period, Tariff, scaled_tariff
from costsim.tariffs.holidays import public_holidays
from costsim.tariffs.windows import parse_windows

PLAIN = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)
KWH = 3.6e6
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
EVEN = np.full(8760, KWH)
"""A kilowatt the whole year."""


def whole(**changed: object) -> Tariff:
    """A tariff with every kind of charge, in figures that a pencil can follow."""
    settings = {
        "fixed_per_month": 10.0,
        "periods": (Period("night", 0.05 / KWH, parse_windows(["22:00-06:00"])),),
        "blocks": (Block(100 * KWH, 0.10 / KWH), Block(300 * KWH, 0.20 / KWH), Block(400 * KWH, 0.30 / KWH)),
        "demand": (
            DemandCharge(2.0 / 1e3, parse_windows([])),
            DemandCharge(4.0 / 1e3, parse_windows(["12:00-13:00"])),
        ),
        "rent_per_year": 60.0,
        "minimum_use_j": 10_000 * KWH,
        "minimum_use_price_per_j": 0.01 / KWH,
        "minimum_use_fee": 25.0,
        "delivery": Delivery(3000 * KWH, fee=7.0, minimum_j=2800 * KWH, small_fee=5.0),
        **changed,
    }
    return Tariff("power", 0.0, **settings)  # type: ignore[arg-type]


def test_every_line_of_a_year_by_hand() -> None:
    found = bill(whole(), PLAIN, EVEN)
    lines = {(line.month, line.label): line for line in found.lines}
    for month, days in enumerate(DAYS, 1):
        # eight hours a night at 0.05; of the other sixteen 100 kWh at 0.10, 200 at 0.20, 100 at 0.30, and the rest at 0.30 too
        rest = days * 16 - 400
        by_hand = {
            "fixed charge": (1.0, 10.0), "night": (days * 8 * KWH, days * 8 * 0.05), "energy, block 1": (100 * KWH, 10.0),
            "energy, block 2": (200 * KWH, 40.0), "energy, block 3": (100 * KWH, 30.0), "energy": (rest * KWH, rest * 0.30),
            "charge 1, highest power": (1000.0, 2.0), "charge 2, highest power": (1000.0, 4.0),
        }  # fmt: skip
        mine = {label: line for (at, label), line in lines.items() if at == month}
        assert set(mine) == set(by_hand)
        for label, (quantity, amount) in by_hand.items():
            assert (mine[label].quantity, mine[label].amount) == (pytest.approx(quantity), pytest.approx(amount)), label
    # 8,760 kWh are two fills and one of 2,760 kWh, which is too small; 1,240 kWh are missing
    year = {label: (line.quantity, line.amount) for (at, label), line in lines.items() if at == 0}
    assert year == {
        "rent": (1.0, 60.0), "minimum use": (pytest.approx(1240 * KWH), pytest.approx(12.4)), "minimum use fee": (1.0, 25.0),
        "delivery": (3.0, 21.0), "small delivery": (1.0, 5.0),
    }  # fmt: skip
    assert {line.month for line in found.lines} == set(range(13))
    assert math.fsum(found.by_month()) == pytest.approx(found.total - (60 + 12.4 + 25 + 21 + 5))
    assert found.fixed == pytest.approx(120 + 60 + 12.4 + 25)
    assert found.without_heating is None
    # the worth of an hour goes by the first block
    assert found.hourly_worth == pytest.approx(365 * (8 * 0.05 + 16 * 0.10))


def test_enough_is_enough() -> None:
    found = bill(whole(minimum_use_j=8760 * KWH, delivery=Delivery(8760 * KWH, fee=7.0)), PLAIN, EVEN)
    year = {line.label: line.quantity for line in found.lines if line.month == 0 and line.label != "minimum use"}
    assert year == {"rent": 1.0, "delivery": 1.0}


def test_what_buys_no_energy_is_fixed() -> None:
    found = bill(whole(tax_share=0.2), PLAIN, EVEN)
    due = {"fixed charge", "rent", "minimum use", "minimum use fee"}
    fixed = {line.label for line in found.lines if line.is_fixed}
    assert fixed == due | {f"tax on {label}" for label in due}
    assert {"energy", "night", "charge 1, highest power", "delivery", "tax on energy"} <= {x.label for x in found.lines}
    assert not BillLine(1, "rent", 1.0, "", 1.0, 1.0, "energy").is_fixed  # a name says nothing


def test_lines_that_come_to_nothing_are_left_out_and_free_energy_is_not() -> None:
    free = Tariff("power", 0.20 / KWH, periods=(Period("free", 0.0, parse_windows(["00:00-06:00"])),))
    night = np.where(PLAIN.clock_hour < 6, KWH, 0.0)
    found = bill(free, PLAIN, night)
    assert {line.label for line in found.lines} == {"free"}
    assert len(found.lines) == 12
    assert bill(Tariff("power", 0.20 / KWH), PLAIN, np.zeros(8760)).lines == ()


def test_a_year_on_which_nothing_is_charged_is_plain() -> None:
    nothing = {one.name: getattr(Tariff("x", 1.0), one.name) for one in fields(Tariff)[2:]}
    assert nothing == {
        "fixed_per_month": 0.0, "periods": (), "blocks": (), "demand": (), "minimum_bill_per_month": 0.0, "minimum_use_j": 0.0,
        "rent_per_year": 0.0, "tax_share": 0.0, "energy_tax_share": 0.0, "tax_per_j": 0.0, "minimum_use_price_per_j": None,
        "minimum_use_fee": 0.0, "delivery": None, "extra": (), "fuel": FuelUnits("electricity", "J", 1.0), "energy_factor": 1.0,
        "read_day": 1,
    }  # fmt: skip
    charge = DemandCharge(1.0, parse_windows([]))
    assert (charge.minutes, charge.peak_factor, charge.ratchet_share) == (60, 1.0, 0.0)
    fill = Delivery(1.0)
    assert (fill.fee, fill.minimum_j, fill.small_fee) == (0.0, 0.0, 0.0)
    assert Block(1.0, 1.0).months == (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12)


def test_taxes_and_the_minimum_bill_by_hand() -> None:
    # 720 kWh a month of thirty days at 0.10 are 72 and the fixed 10; a twentieth off the 72 and 0.01 off each kWh: 71.2
    relieved = Tariff("power", 0.10 / KWH, fixed_per_month=10.0, energy_tax_share=-0.05, tax_per_j=-0.01 / KWH,
                      minimum_bill_per_month=100.0, tax_share=0.2)  # fmt: skip
    april = {line.label: line for line in bill(relieved, PLAIN, EVEN).lines if line.month == 4}
    amounts = {
        "fixed charge": 10.0,
        "energy": 72.0,
        "relief on use": -3.6,
        "relief by amount": -7.2,
        "minimum bill": 28.8,
    }
    for label, amount in amounts.items():
        assert april[label].amount == pytest.approx(amount)
        assert april[f"tax on {label}"].amount == pytest.approx(amount * 0.2)
        assert april[f"tax on {label}"].quantity == pytest.approx(amount)
    # taxes instead of reliefs come on top of the minimum: 82 raised to 100, then 3.6 and 7.2
    taxed = replace(relieved, energy_tax_share=0.05, tax_per_j=0.01 / KWH, tax_share=0.0)
    assert bill(taxed, PLAIN, EVEN).by_month()[3] == pytest.approx(100 + 3.6 + 7.2)
    assert bill(replace(taxed, minimum_bill_per_month=82.0), PLAIN, EVEN).by_month()[3] == pytest.approx(82 + 10.8)


def test_lines_of_the_margin_by_hand() -> None:
    other, heating = EVEN, np.where(PLAIN.month == 4, 0.5 * KWH, 0.0)
    tariff = replace(whole(), minimum_bill_per_month=300.0, minimum_use_price_per_j=None, price_per_j=0.02 / KWH)
    found = marginal_bill(tariff, PLAIN, heating, other)
    april = {line.label: line for line in found.lines if line.month == 4}
    # April: night 120 kWh more at 0.05, and 240 kWh at 0.30, and half a kilowatt on both demand charges;
    # without heating 10 + 12 + 80 + 24 + 6 = 132 were due, with it 132 + 6 + 72 + 1 + 2 = 213, both raised to 300
    by_hand = {
        "night": (120 * KWH, 6.0), "energy": (240 * KWH, 72.0), "charge 1, highest power": (500.0, 1.0), "charge 2, highest power": (500.0, 2.0),
        "minimum bill": (1.0, -81.0),
    }  # fmt: skip
    assert {label: (line.quantity, line.amount) for label, line in april.items()} == {
        label: (pytest.approx(quantity), pytest.approx(amount)) for label, (quantity, amount) in by_hand.items()
    }
    assert april["minimum bill"].rate == april["minimum bill"].amount
    # over the year 360 kWh less are missing at 0.02, and three full fills and one of 120 kWh stand for two and one of 2,760 kWh
    year = {line.label: (line.quantity, line.amount) for line in found.lines if line.month == 0}
    assert year == {
        "minimum use": (pytest.approx(-360 * KWH), pytest.approx(-7.2)), "delivery": (1.0, 7.0),
    }  # fmt: skip
    assert {line.month for line in found.lines} == {0, 4}
    assert found.without_heating == pytest.approx(bill(tariff, PLAIN, other).total)
    assert found.hourly_worth == pytest.approx(120 * 0.05 + 240 * 0.10)


def test_of_two_periods_that_share_half_an_hour_the_first_has_it() -> None:
    first = Period("first", 0.0, parse_windows(["06:00-07:30"]))
    second = Period("second", 0.0, parse_windows(["07:00-08:30"]))
    shares = period_shares(Tariff("power", 0.0, periods=(first, second)), PLAIN)
    assert shares[:, 6:9].tolist() == [[1.0, 0.5, 0.0], [0.0, 0.5, 0.5], [0.0, 0.0, 0.5]]
    assert (shares.sum(axis=0) == 1.0).all()


def test_the_price_of_an_hour_is_that_of_its_month_and_block() -> None:
    winter = (1, 2, 12)
    tariff = Tariff("power", 0.5 / KWH, blocks=(Block(10 * KWH, 0.1 / KWH, winter), Block(20 * KWH, 0.2 / KWH, winter)))
    for block, price in ((1, 0.1), (2, 0.2), (3, 0.2)):
        found = hourly_price_per_j(tariff, PLAIN, block) * KWH
        assert found[[0, 31 * 24, -1]] == pytest.approx(price)
        assert found[[59 * 24, 180 * 24]] == pytest.approx(0.5)
        assert tariff.block_price_per_j(1, block) * KWH == pytest.approx(price)
    assert tariff.block_price_per_j(6) * KWH == pytest.approx(0.5)


def test_the_highest_power_is_looked_for_in_the_windows_alone() -> None:
    charge = DemandCharge(1.0, parse_windows(["12:30-14:00"]))
    energy = np.zeros(8760)
    energy[[11, 14]], energy[12], energy[744 + 13] = 9 * KWH, 3 * KWH, 2 * KWH
    peaks = monthly_peaks_w(Tariff("power", 0.0, demand=(charge,)), PLAIN, energy)
    # an hour half inside counts whole
    assert peaks.tolist() == [[3000.0, 2000.0, *[0.0] * 10]]


def test_a_ratchet_by_hand() -> None:
    peaks = np.array([4e3, 1e3, 3e3, *[0.0] * 8, 2e3])
    charge = DemandCharge(1.0, parse_windows([], months="Dec-Mar"), peak_factor=1.5, ratchet_share=0.5)
    # with the factor 6, 1.5, 4.5 and 3 kW; at least half of 6 kW in the months of the charge
    assert billed_peaks_w(charge, peaks).tolist() == [6e3, 3e3, 4.5e3, *[0.0] * 8, 3e3]
    assert billed_peaks_w(replace(charge, ratchet_share=0.0), peaks).tolist() == [6e3, 1.5e3, 4.5e3, *[0.0] * 8, 3e3]


@pytest.mark.parametrize(("used", "number", "small"), [
    (0.0, 0, 0), (400.0, 1, 0), (400.0 * (1 + 5e-10), 1, 0), (400.0 * (1 + 5e-9), 2, 1), (1200.0 * (1 - 1e-10), 3, 0), (550.0, 2, 0),
    (550.0 * (1 - 1e-10), 2, 0), (549.99, 2, 1), (410.0, 2, 1),
])  # fmt: skip
def test_sums_in_another_order_make_no_delivery_more(used: float, number: int, small: int) -> None:
    delivery = Delivery(400 * KWH, fee=10.0, minimum_j=150 * KWH, small_fee=1.0)
    tariff = Tariff("propane", 0.0, delivery=delivery)
    energy = np.zeros(8760)
    energy[5000] = used * KWH
    assert bill(tariff, PLAIN, energy).total == number * 10 + small


def test_the_house_profile_by_its_own_words() -> None:
    # 0.7 from midnight to six; 0.35 more at half past seven and 0.8 more at seven in the evening, 37 % of that 1.8 and 2.8 h away;
    # a twentieth more than the mean on 1 January, a twentieth less in the middle of the year
    day = house_profile_j(1.0, PLAIN).reshape(365, 24)[182]
    night = day[2]
    e = math.exp
    assert day[19] / night == pytest.approx(1.5 / 0.7, rel=2e-3)
    assert day[22] / night == pytest.approx((0.7 + 0.8 * e(-((3 / 2.8) ** 2))) / 0.7, rel=2e-3)
    assert day[16] / night == pytest.approx((0.7 + 0.8 * e(-((3 / 2.8) ** 2))) / 0.7, rel=2e-3)
    for hour in (7, 8):
        assert day[hour] / night == pytest.approx((0.7 + 0.35 * e(-((0.5 / 1.8) ** 2))) / 0.7, rel=3e-3)
    for hour in (5, 10):
        assert day[hour] / night == pytest.approx((0.7 + 0.35 * e(-((2.5 / 1.8) ** 2))) / 0.7, rel=7e-3)
    year = house_profile_j(1.0, PLAIN)[12::24]
    assert year[0] / year[182] == pytest.approx(1.05 / 0.95, rel=1e-3)
    assert year[91] / year[182] == pytest.approx(1.0 / 0.95, rel=2e-3)
    assert year[274] / year[182] == pytest.approx(1.0 / 0.95, rel=2e-3)


@st.composite
def stepped(draw: st.DrawFn) -> Tariff:
    """A tariff with three blocks that end, in some months or all, and every charge that may go with the price or not."""
    sizes = sorted(draw(st.tuples(*[st.floats(1, 2000)] * 3)))
    months = draw(st.sampled_from([tuple(range(1, 13)), (1, 2, 12), (5, 6, 7)]))
    prices = draw(st.tuples(*[st.floats(0.01, 0.5)] * 6))
    return whole(
        blocks=tuple(Block(size * KWH, price / KWH, months) for size, price in zip(sizes, prices[:3], strict=True)),
        periods=(Period("night", prices[3] / KWH, parse_windows(["21:30-06:00"])), *whole().periods),
        minimum_use_j=draw(st.floats(0, 40_000)) * KWH,
        minimum_use_price_per_j=draw(st.sampled_from([None, 0.0, 0.07 / KWH])),
        minimum_bill_per_month=draw(st.floats(0, 400)),
        tax_share=draw(st.floats(0, 0.3)),
        energy_tax_share=draw(st.sampled_from([-0.2, 0.0, 0.2])),
        tax_per_j=draw(st.sampled_from([-0.01, 0.0, 0.01])) / KWH,
    )


@settings(max_examples=15, deadline=None)
@given(stepped(), st.lists(st.floats(0.3, 3.0), min_size=3, max_size=3), st.integers(0, 99))
def test_many_years_at_other_prices_cost_what_their_scaled_bills_say(
    tariff: Tariff, factors: list[float], seed: int
) -> None:
    tariff = replace(tariff, price_per_j=0.03 / KWH)
    years = np.random.default_rng(seed).uniform(0, 2 * KWH, (3, 8760)) * np.array([[0.1], [1.0], [2.0]])
    energy = np.stack([monthly_energy_j(tariff, PLAIN, year).T for year in years])
    peaks = np.stack([monthly_peaks_w(tariff, PLAIN, year) for year in years])
    bills = [bill(scaled_tariff(tariff, f), PLAIN, year).total for f, year in zip(factors, years, strict=True)]
    assert price_month_period(tariff, energy, peaks, price_factor=np.array(factors)) == pytest.approx(bills, rel=1e-9)
    # one year under many prices, and many years at one price
    one = [bill(scaled_tariff(tariff, f), PLAIN, years[0]).total for f in factors]
    found = price_month_period(tariff, energy[:1], peaks[:1], price_factor=np.array(factors))
    assert found == pytest.approx(one, rel=1e-9)
    same = [bill(scaled_tariff(tariff, factors[0]), PLAIN, year).total for year in years]
    assert price_month_period(tariff, energy, peaks, price_factor=factors[0]) == pytest.approx(same, rel=1e-9)


def test_a_scaled_tariff_by_hand() -> None:
    doubled = scaled_tariff(replace(whole(), price_per_j=0.03, minimum_use_price_per_j=None), 2.0)
    assert doubled.price_per_j == doubled.minimum_use_price_per_j == 0.06
    assert [one.price_per_j * KWH for one in (*doubled.periods, *doubled.blocks)] == pytest.approx([0.1, 0.2, 0.4, 0.6])
    assert (doubled.fixed_per_month, doubled.rent_per_year, doubled.demand) == (10.0, 60.0, whole().demand)
    assert doubled.missing_use_price_per_j == 0.06
    assert whole().missing_use_price_per_j * KWH == pytest.approx(0.01)


def test_what_is_kept_for_others_cannot_be_written() -> None:
    tariff = whole()
    kept = [period_shares(tariff, PLAIN), hourly_price_per_j(tariff, PLAIN), house_profile_j(1.0, PLAIN)]
    kept += [PLAIN.month, PLAIN.weekday, PLAIN.clock_hour, PLAIN.day, PLAIN.day_of_month, PLAIN.is_holiday]
    kept.append(parse_windows(["22:00-06:00"]).share(PLAIN))
    assert not any(array.flags.writeable for array in kept)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("00:00-00:01", {0: 1}),
        ("00:59-01:59", {0: 1, 1: 59}),
        ("23:59-24:00", {23: 1}),
        ("22:00-24:00", {22: 60, 23: 60}),
        ("6:00-0:00", dict.fromkeys(range(6, 24), 60)),
        ("06:00–07:00", {6: 60}),
    ],
)
def test_windows_end_where_they_say(text: str, minutes: dict[int, int]) -> None:
    of_day = [minutes.get(hour, 0) / 60 for hour in PLAIN.clock_hour[:24]]
    np.testing.assert_allclose(parse_windows([text]).share(PLAIN)[:24], of_day, atol=1e-12)


@pytest.mark.parametrize("text", ["24:00-06:00", "23:00-24:01", "00:60-02:00", "01:00-02:60", "00:00-00:00", "1-2", "001:00-02:00"])  # fmt: skip
def test_windows_beyond_the_clock_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a clock window"):
        parse_windows([text])


def test_months_have_their_short_names() -> None:
    assert " ".join(SHORT_MONTHS) == "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec"


def test_days_and_months_go_round_the_end() -> None:
    assert parse_windows([], days="Fri-Mon").days == (4, 5, 6, 0)
    assert parse_windows([], days="Mon-Sun").days == parse_windows([]).days == (0, 1, 2, 3, 4, 5, 6)
    assert parse_windows([], days="Wed-Wed").days == parse_windows([], days="Wed").days == (2,)
    assert parse_windows([], months="Nov-Feb").months == (11, 12, 1, 2)
    assert parse_windows([], months="Jan-Dec") == parse_windows([])
    assert parse_windows([], days="Mon, mon, Tue-Wed").days == (0, 1, 2)
    assert parse_windows([]).spans == ((0, 1440),)
    assert parse_windows(["22:15-06:30"]).spans == ((22 * 60 + 15, 30 * 60 + 30),)
    flags = {text: parse_windows([], days=text).holidays for text in ("", "Mon", "holidays", "Mon, not holidays")}
    assert flags == {"": None, "Mon": None, "holidays": True, "Mon, not holidays": False}
    assert parse_windows([], days="holidays").days == ()
    assert parse_windows([], days="not holidays").days == (0, 1, 2, 3, 4, 5, 6)


@pytest.mark.parametrize(("hours", "year", "taken"), [
    (8760, 2025, True), (8760, 2024, True), (8784, 2024, True), (8784, 2025, False), (8759, 2024, False), (8761, 2025, False), (8783, 2024, False),
    (8785, 2024, False),
])  # fmt: skip
def test_a_year_has_its_hours(hours: int, year: int, taken: bool) -> None:
    about = {"n_hours": hours, "utc_offset_h": 0.0, "timezone": None, "year": year}
    if taken:
        clock = HourCalendar.build(**about)
        assert (clock.n_hours, clock.year, clock.day[-1]) == (hours, year, hours // 24 - 1)
        assert (clock.month[-1], clock.day_of_month[-1]) == (12, 31)
        return
    with pytest.raises(InputError, match=r"place\.calendar_year.*does not fit.*8760 hours, or a leap year with 8784"):
        HourCalendar.build(**about)


def test_three_quarters_of_a_year_pass_for_standard_time() -> None:
    # Chile put its clocks back for 91 days of 2017, from 14 May to 13 August: its other time held for 274 of 365 days
    usual, winter = (
        HourCalendar.build(n_hours=8760, utc_offset_h=offset, timezone="America/Santiago", year=2017) for offset in (-3.0, -4.0)
    )  # fmt: skip
    assert usual.warning == ""
    assert winter.warning == ""
    # in 2025 from 5 April to 6 September: 211 days are too few
    now = HourCalendar.build(n_hours=8760, utc_offset_h=-3.0, timezone="America/Santiago", year=2025)
    assert "America/Santiago and the weather file's UTC-3 lie 1 h apart; check place.timezone" in now.warning


def test_holidays_are_those_of_the_country_and_year() -> None:
    import datetime as dt

    days = public_holidays("US", None, 2025)
    assert list(days) == sorted(days)
    assert {day.year for day in days} == {2025}
    assert {dt.date(2025, 1, 1), dt.date(2025, 7, 4), dt.date(2025, 12, 25)} <= set(days)
    with pytest.raises(ValueError, match="'ZZ' is not a known part of US: write a code such as AK"):
        public_holidays("US", "ZZ", 2025)
