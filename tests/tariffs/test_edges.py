"""Clocks, seasons, charges and records on both sides of every limit, each against a pencil."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.study.prices import Price
from costsim.study_files import StudyFiles
from costsim.tariffs.bill import (
    bill,
    blocks_reached,
    hourly_price_per_j,
    monthly_energy_j,
    price_and_fixed,
    price_month_period,
)
from costsim.tariffs.calendar import HourCalendar, short_months, standard_offset_h, with_outdoor
from costsim.tariffs.charges import Block, Tariff
from costsim.tariffs.charges.hourly_price import Series, read_series
from costsim.tariffs.charges.tariff import billing_month, ends_in
from costsim.tariffs.holidays import holiday_dates, read_dates
from costsim.tariffs.windows import parse_windows
from costsim.units.faults import build

KWH = 3.6e6
PLAIN = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)
EVEN = np.full(8760, KWH)
DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


class Outdoors:
    """Weather of which a price asks the temperature alone."""

    def __init__(self, outdoor_c: np.ndarray) -> None:
        self.outdoor_c = outdoor_c


def tariff(*charges: dict[str, Any], key: str = "electricity", **table: Any) -> Tariff:
    return build(Price, {"energy": "0.10 $/kWh", "charge": list(charges), **table}).tariff(key)


def amounts(found: Any, label: str) -> list[float]:
    """Amounts of one line in each month; the year's last."""
    return [sum(x.amount for x in found.lines if x.month == month and x.label == label) for month in (*range(1, 13), 0)]


def refused(*charges: dict[str, Any], **table: Any) -> str:
    with pytest.raises(InputError) as caught:
        build(Price, {"energy": "0.10 $/kWh", "charge": list(charges), **table}, "t.toml", "prices.electricity")
    return str(caught.value)


# clocks and seasons


def test_seasons_by_the_day_go_round_the_year_and_end_on_their_days() -> None:
    def days(months: str, clock: HourCalendar = PLAIN) -> list[str]:
        inside = parse_windows([], months=months).share(clock) > 0
        return [
            f"{m}/{d}"
            for m, d in sorted(
                {(int(m), int(d)) for m, d in zip(clock.month[inside], clock.day_of_month[inside], strict=True)}
            )
        ]

    assert days("Jun 29-Jul 2") == ["6/29", "6/30", "7/1", "7/2"]
    assert days("Dec 30-Jan 2") == ["1/1", "1/2", "12/30", "12/31"]
    assert days("Feb 27-Mar") == ["2/27", "2/28", *[f"3/{d}" for d in range(1, 32)]]
    assert days("Jan 1, Feb") == ["1/1", *[f"2/{d}" for d in range(1, 29)]]
    assert days("Jan-Jan 2") == ["1/1", "1/2"]
    assert len(days("Feb 29")) == 0
    leap = HourCalendar.build(n_hours=8784, utc_offset_h=0.0, timezone=None, year=2024)
    assert days("Feb 29", leap) == ["2/29"]
    for wrong in ("Jun 31-Aug 2", "Jun 0-Aug 2", "Jun 1-Jul 2-Aug 3", "Ju 1-Aug 2", "Jun 100", "Jun x1"):
        with pytest.raises(ValueError, match="is not a season"):
            parse_windows([], months=wrong)
    whole = parse_windows([], months="Jun 16-Jul 15")
    assert whole.days_of_month(PLAIN, PLAIN.month.astype(np.int64)).tolist() == [0.0] * 5 + [15.0, 15.0] + [0.0] * 5
    shifted = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone="America/New_York", year=2025, guessed=True)
    assert shifted.warning == ""
    # a clock five hours behind: the file's first five hours are no whole day of December
    assert parse_windows([]).days_of_month(shifted, shifted.month.astype(np.int64)).sum() == 365


def test_prices_by_the_weather_choose_its_days_and_hours() -> None:
    outdoor = np.repeat(np.arange(365.0), 24)
    outdoor[10 * 24 + 5] = -50.0  # one hour makes 11 January a day of a mean of 7.5 °C
    clock = with_outdoor(PLAIN, Outdoors(outdoor))

    def hours(**about: Any) -> np.ndarray:
        found = tariff({"kind": "rider", "energy": "1 $/kWh", **about}).extra[0].hours().share(clock)  # type: ignore[attr-defined]
        return np.flatnonzero(found)

    assert set(hours(coldest_days=3) // 24) == {0, 1, 2}
    assert set(hours(coldest_days=8) // 24) == {0, 1, 2, 3, 4, 5, 6, 7}
    assert set(hours(coldest_days=9) // 24) == {0, 1, 2, 3, 4, 5, 6, 7, 10}
    assert set(hours(coldest_days=2, months="Feb") // 24) == {31, 32}
    assert hours(below="2 degC").tolist() == [*range(48), 10 * 24 + 5]
    assert hours(below="2 degC", windows=["22:00-02:00"]).tolist() == [0, 1, 22, 23, 24, 25, 46, 47]
    assert hours(dates=["2025-01-03"], windows=["22:00-02:00"]).tolist() == [48, 49, 70, 71]  # by the hour's own date
    assert len(hours(coldest_days=3, windows=["22:00-02:00"])) == 2 + 3 * 4 - 2
    for wrong, said in (
        ({"coldest_days": 367}, "366"),
        ({"coldest_days": -1}, "0"),
        ({"dates": ["2025-01-03"], "coldest_days": 1}, "given twice"),
    ):
        assert said in refused({"kind": "rider", "energy": "1 $/kWh", **wrong})


def test_holidays_of_lists_and_days_of_readings() -> None:
    assert [str(day) for day in holiday_dates("Feb 29, Jul 4", 2025)] == ["2025-02-28", "2025-07-04"]
    assert [str(day) for day in holiday_dates("Feb 29", 2024)] == ["2024-02-29"]
    assert holiday_dates(" , ", 2025) == ()
    for wrong in ("Jan 0", "Jan 32", "Apr 31", "Foo 3"):
        with pytest.raises(ValueError, match="is not a day such as Dec 24"):
            holiday_dates(wrong, 2025)
    assert read_dates([]) == ()
    assert read_dates(["Dec 31", "Jan 1"]) == (1, *[0] * 10, 31)
    with pytest.raises(ValueError, match="'monthly' is not a day such as Jan 14"):
        read_dates(["monthly"])
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025, holidays=[dt.date(2025, 7, 4)])
    own = tariff(holidays="2025-05-05", period=[{"name": "free", "energy": "0 $/kWh", "days": "holidays"}])
    found = bill(own, clock, EVEN)
    assert {line.month for line in found.lines if line.label == "free"} == {5}
    assert (standard_offset_h("Australia/Sydney", 2025), standard_offset_h("Europe/Berlin", 2025)) == (10.0, 1.0)
    nowhere = HourCalendar.build(n_hours=8760, utc_offset_h=float("nan"), timezone="Europe/Berlin", year=2025)
    assert (nowhere.warning, nowhere.clock_hour[0]) == ("", 0.0)
    assert short_months()[:2] == ["Jan", "Feb"]


def test_readings_inside_the_month_give_bills_their_months() -> None:
    before, after = ends_in((5, 0, 0, 20, *[0] * 8))
    assert before.tolist() == [0, 3, 3, 3, *[0] * 8]
    assert after.tolist() == [3, 3, 3, *[0] * 9]
    month = billing_month(11, PLAIN)
    assert [int(month[at]) for at in (0, 10 * 24 - 1, 10 * 24, 334 * 24 + 10 * 24)] == [1, 1, 2, 1]
    energy = np.where(PLAIN.month == 2, KWH, 0.0)
    twice = tariff(fixed="6 $/month", minimum_bill="8 $/month", read_dates=["Jan 15", "Jul 15"])
    found = bill(twice, PLAIN, energy)
    # two bills of six months each: 36 fixed, February's 672 kWh on July's; the minimum of 48 is short by 12 in January
    assert amounts(found, "fixed charge")[:12] == pytest.approx([36.0, *[0] * 5, 36.0, *[0] * 5])
    assert amounts(found, "energy")[6] == pytest.approx(67.2)
    assert amounts(found, "minimum bill")[:12] == pytest.approx([12.0, *[0] * 11])
    assert twice.months_billed.tolist() == [6.0, *[0.0] * 5, 6.0, *[0.0] * 5]
    assert (twice.splits, tariff().splits) == (2, 1)


# blocks, power and tiers


def test_the_block_that_the_next_joule_falls_into() -> None:
    blocks = (Block(100.0, 1.0), Block(300.0, 2.0))
    plain = Tariff("x", 0.5, blocks=blocks)
    assert [plain.block_number(1, used, 31.0, 0.0) for used in (0.0, 99.9, 100.0, 299.9, 300.0)] == [1, 1, 2, 2, 3]
    by_day = Tariff("x", 0.5, blocks=(Block(10.0, 1.0, per="day"),))
    assert [by_day.block_number(1, used, 28.0, 0.0) for used in (279.9, 280.0)] == [1, 2]
    by_year = Tariff("x", 0.5, blocks=(Block(1000.0, 1.0, per="year"),))
    assert [by_year.block_number(6, 10.0, 30.0, before) for before in (989.9, 990.0)] == [1, 2]
    winter = Tariff("x", 0.5, blocks=(Block(100.0, 1.0, (1, 2)),))
    assert (winter.block_number(3, 500.0, 31.0, 0.0), winter.block_price_per_j(3), winter.block_price_per_j(1, 7)) == (
        1,
        0.5,
        1.0,
    )
    stepped = build(
        Price, {"block": [{"up_to": "500 kWh/month", "energy": "0.1 $/kWh"}, {"energy": "0.3 $/kWh"}]}
    ).tariff("electricity")
    assert blocks_reached(stepped, PLAIN, EVEN * 500 / 730) == tuple(
        1 + (days * 24 * 500 / 730 >= 500) for days in DAYS
    )
    assert hourly_price_per_j(stepped, PLAIN, (1, 2) * 6)[[0, 40 * 24]] * KWH == pytest.approx([0.1, 0.3])
    energy = monthly_energy_j(stepped, PLAIN, EVEN).T[None]
    total, fixed = price_and_fixed(stepped, energy)
    assert (total[0], fixed[0]) == (pytest.approx(price_month_period(stepped, energy)[0]), 0.0)
    # 876 $ of energy and 120 $ fixed, each with a fifth of tax on top
    taxed = Tariff("x", 0.10 / KWH, fixed_per_month=10.0, tax_share=0.2)
    total, fixed = price_and_fixed(taxed, monthly_energy_j(taxed, PLAIN, EVEN).T[None])
    assert (total[0], fixed[0]) == (pytest.approx(996 * 1.2), pytest.approx(120 * 1.2))


def test_power_is_billed_by_month_day_or_year_by_its_highest_days() -> None:
    energy = np.zeros(8760)
    for day, kilowatts in ((0, 9), (1, 6), (2, 3), (31, 4)):
        energy[day * 24 + 12] = kilowatts * KWH

    def due(price: str = "2 $/kW", **about: Any) -> list[float]:
        charge = {"kind": "power", "name": "p", "step": [{"price": price}], **about}
        return amounts(bill(tariff(charge), PLAIN, energy), "p")[:2]

    assert due() == pytest.approx([18.0, 8.0])
    assert due("24 $/kW/year") == pytest.approx([18.0, 8.0])
    assert due("2 $/kW/month") == pytest.approx([18.0, 8.0])
    assert due("0.1 $/kW/day") == pytest.approx([0.1 * 31 * 9, 0.1 * 28 * 4])
    assert due(top_days=2) == pytest.approx([15.0, 4.0])
    assert due(top_days=31) == pytest.approx([2 * 18 / 31, 2 * 4 / 28])
    assert due(peak_factor=1.5, minimum="7 kW") == pytest.approx([27.0, 14.0])
    assert due(averaged_months=2) == pytest.approx([9.0, 13.0])  # the year before is taken to be like this one
    assert due(averaged_months=12) == pytest.approx([26 / 12] * 2)
    assert due(months="Feb") == pytest.approx([0.0, 8.0])
    steps = [{"up_to": "4 kW", "fee": "10 $/month"}, {"fee": "30 $/month"}]
    assert due(step=steps) == [30.0, 10.0]  # a step's end belongs to it
    fees = bill(
        tariff(
            {
                "kind": "power",
                "name": "p",
                "contracted": "4 kW",
                "step": [*steps[:1], {"up_to": "4 kW", "fee": "30 $/month"}][:1],
            }
        ),
        PLAIN,
        energy,
    )
    assert (amounts(fees, "p")[0], fees.fixed) == (10.0, 120.0)
    for wrong, said in (
        ({"top_days": 32, "step": steps}, "31"), ({"top_days": 0, "step": steps}, "1"), ({"averaged_months": 13, "step": steps}, "12"),
        ({"peak_factor": 0.9, "step": steps}, "1"), ({"peak_factor": 3.1, "step": steps}, "3"), ({"step": [{"up_to": "4 kW",
        "fee": "1 $/month"}]}, "the last step has an end"),
        ({"contracted": "5 kW", "step": [{"up_to": "4 kW", "fee": "1 $/month"}]}, "the last step has an end"),
        ({"step": [{"up_to": "4 kW", "price": "1 $/kW"}, {"up_to": "4 kW", "price": "1 $/kW"}, {"price": "1 $/kW"}]}, "ends no higher"),
        ({"step": [{"up_to": "4 kW", "fee": "1 $/month"}, {"price": "1 $/kW"}]}, "both fees and prices"),
        ({"contracted": "5 kW", "coldest_days": 2, "step": [{"fee": "1 $/month"}]}, "goes by no weather"),
    ):  # fmt: skip
        assert said in refused({"kind": "power", **wrong})


def test_tiers_end_by_day_month_year_or_power() -> None:
    def due(energy: np.ndarray = EVEN, **about: Any) -> tuple[list[float], list[float]]:
        charge = {"kind": "tiers", "name": "t", **about}
        found = bill(tariff(charge), PLAIN, energy)
        return amounts(found, "t, tier 1")[:12], amounts(found, "t, tier 2")[:12]

    def tiers(up_to: str) -> list[dict[str, str]]:
        return [{"up_to": up_to, "energy": "1 $/kWh"}, {"energy": "2 $/kWh"}]

    hours = DAYS * 24.0
    assert due(tier=tiers("10 kWh/day")) == (pytest.approx(DAYS * 10), pytest.approx(2 * (hours - DAYS * 10)))
    assert due(tier=tiers("300 kWh/month"))[0] == pytest.approx([300.0] * 12)
    june, july = due(tier=tiers("300 kWh/month"), months="Jun 16-Jul 31")[0][5:7]
    assert (june, july) == (pytest.approx(150.0), pytest.approx(300.0))
    assert due(tier=tiers("1000 kWh/year"))[0] == pytest.approx([744.0, 256.0, *[0] * 10])
    assert due(tier=tiers("300 kWh/kW"))[0] == pytest.approx([300.0] * 12)
    assert due(EVEN * 2, tier=tiers("300 kWh/kW"))[0] == pytest.approx([600.0] * 12)
    first, second = due(tier=tiers("720 kWh/month"), whole_use=True)
    assert first == pytest.approx(np.where(hours <= 720, hours, 0))
    assert second == pytest.approx(np.where(hours > 720, 2 * hours, 0))
    night = {"windows": ["00:00-06:00"], "filled_by": "all"}
    assert due(tier=tiers("300 kWh/month"), **night)[0] == pytest.approx([75.0] * 12)  # a quarter of the first 300
    assert due(tier=tiers("300 kWh/month"), windows=["00:00-06:00"])[0] == pytest.approx(np.minimum(DAYS * 6.0, 300))
    assert due(0 * EVEN, tier=tiers("300 kWh/month"), **night) == ([0] * 12, [0] * 12)
    price = tariff({"kind": "tiers", "windows": ["00:00-06:00"], "tier": tiers("300 kWh/month")})
    assert hourly_price_per_j(price, PLAIN)[[5, 6]] * KWH == pytest.approx([1.1, 0.1])
    for wrong, said in (
        ([{"energy": "1 $/kWh"}, {"energy": "2 $/kWh"}], "before the last has no end"), ([*tiers("9 kWh/day")[:1], *tiers("9 kWh/month")],
        "do not all count"),
        ([*tiers("9 kWh/day")[:1], *tiers("9 kWh/day")], "ends no higher"), ([*tiers("9 kWh/h")], "do not all count"),
    ):  # fmt: skip
        assert said in refused({"kind": "tiers", "tier": wrong})
    assert "whole_use goes with no tier by the year" in refused(
        {"kind": "tiers", "whole_use": True, "tier": tiers("9 kWh/year")}
    )


def test_schedules_by_letters_with_weekends_and_holidays() -> None:
    rates = [
        {"tier": [{"energy": "1 $/kWh"}]},
        {"name": "dear", "tier": [{"up_to": "10 kWh/month", "energy": "2 $/kWh"}, {"energy": "3 $/kWh"}]},
    ]
    about = {
        "kind": "schedule",
        "name": "s",
        "weekday": ["a" * 16 + "b" * 8] * 12,
        "weekend": ["a" * 24] * 12,
        "rate": rates,
    }
    january = np.where(PLAIN.month == 1, KWH, 0.0)
    found = bill(tariff(about), PLAIN, january)
    # 2025: 23 weekdays in January, of eight dear hours each
    assert amounts(found, "s a")[0] == pytest.approx(744 - 184)
    assert (amounts(found, "dear, tier 1")[0], amounts(found, "dear, tier 2")[0]) == (
        pytest.approx(20.0),
        pytest.approx(3 * 174.0),
    )
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025, holidays=[dt.date(2025, 1, 1)])
    assert amounts(bill(tariff({**about, "holidays_as_weekend": True}), clock, january), "s a")[0] == pytest.approx(
        744 - 176
    )
    assert amounts(bill(tariff(about), clock, january), "s a")[0] == pytest.approx(744 - 184)
    one = tariff({**about, "part": "supply", "weekday": ["a" * 24] * 12, "rate": rates[:1]})
    assert {line.label for line in bill(one, PLAIN, january).lines} == {"energy", "supply: s"}
    power = {"kind": "power_schedule", "name": "p", "weekday": [*["a" * 12 + "b" * 12] * 6, *["a" * 24] * 6], "ratchet": "50 %", "peak_factor": 1.2,
             "rate": [{"step": [{"price": "0 $/kW"}]}, {"step": [{"up_to": "2 kW", "price": "1 $/kW"}, {"price": "4 $/kW"}]}]}  # fmt: skip
    energy = np.zeros(8760)
    energy[[13, 40 * 24 + 13]] = [10 * KWH, 1 * KWH]
    found = bill(tariff(power), PLAIN, energy)
    # 10 kW and, in months that have the rate at all, at least half of the year's highest: 12 and 6 kW with the factor
    assert amounts(found, "p b, step 1")[:12] == pytest.approx([2.0] * 6 + [0.0] * 6)
    assert amounts(found, "p b, step 2")[:12] == pytest.approx([40.0] + [16.0] * 5 + [0.0] * 6)
    for wrong, said in (
        ({"weekday": ["a" * 24] * 11}, "12"), ({"weekend": ["a" * 24] * 11}, "weekend has 11 rows"), ({"weekday": ["a" * 23] * 12}, "has 23 hours"),
        ({"weekday": ["c" * 24] * 12}, "names a rate 'c'; write 24 letters from a to b"),
        ({"rate": [rates[0], {"tier": [{"up_to": "9 kWh/month", "energy": "0 $/kWh"}]}]}, "the last tier of rate b has an end"),
        ({"rate": [rates[0], {"tier": [{"up_to": "9 kWh/year", "energy": "0 $/kWh"}, {"energy": "0 $/kWh"}]}]}, "do not all count"),
        ({"rate": [rates[0], {"tier": [*rates[1]["tier"][:1], *rates[1]["tier"]]}]}, "tiers of rate b do not rise"),
    ):  # fmt: skip
        assert said in refused({**about, **wrong})
    for step, said in (
        ([{"up_to": "2 kW", "price": "1 $/kW"}], "do not rise"),
        ([{"price": "1 $/kW/year"}], "is not by the month"),
        ([{"fee": "1 $/month"}], "has a fee"),
    ):
        assert said in refused({**power, "rate": [power["rate"][0], {"step": step}]})


def test_minimums_standing_charges_and_credits_by_their_time() -> None:
    def due(charge: dict[str, Any], **table: Any) -> list[float]:
        return amounts(bill(tariff({"name": "x", **charge}, **table), PLAIN, EVEN), "x")

    # a month's energy is 0.10 times its hours; 2.50 a day is more where it is not: 2.50 - 2.40 each day
    assert due({"kind": "minimum", "amount": "2.50 $/day"})[:12] == pytest.approx(0.1 * DAYS)
    assert due({"kind": "minimum", "amount": "73 $/month"})[:12] == pytest.approx(np.maximum(73 - 2.4 * DAYS, 0))
    assert due({"kind": "minimum", "amount": "900 $/year"}) == pytest.approx([0.0] * 12 + [24.0])
    assert due({"kind": "minimum", "amount": "900 $/year"}, rent="10 $/year")[12] == pytest.approx(24.0)
    assert due({"kind": "minimum", "amount": "5 $/month", "on": ["fixed"]}, fixed="3 $/month")[:12] == pytest.approx(
        [2.0] * 12
    )
    assert due({"kind": "standing", "amount": "1 $/day", "months": "Jun 16-Jul 15"})[:12] == pytest.approx(
        [0] * 5 + [15, 15] + [0] * 5
    )
    assert due({"kind": "standing", "amount": "30 $/month", "months": "Jun 16-Jul 31"})[5:7] == pytest.approx(
        [15.0, 30.0]
    )
    assert due({"kind": "standing", "amount": "120 $/year"})[:12] == pytest.approx([10.0] * 12)
    assert due({"kind": "credit", "amount": "120 $/year", "months": "Jan-Mar"})[:4] == pytest.approx(
        [-40.0] * 3 + [0.0]
    )
    assert due({"kind": "credit", "amount": "5 $/month"})[:12] == pytest.approx([-5.0] * 12)
    half = {"kind": "credit", "share": "50 %", "months": "Jan"}
    assert due(half, rent="10 $/year") == pytest.approx([-37.2] + [0.0] * 12)
    assert due({"kind": "credit", "share": "50 %"}, rent="10 $/year")[12] == pytest.approx(-5.0)
    assert due({"kind": "credit", "amount": "70 $/month", "refundable": False})[:2] == pytest.approx([-70.0, -67.2])
    for wrong, said in (
        ({"amount": "1 $/day"}, "amount has no month or year"),
        ({"share": "101 %"}, "at most"),
        ({}, "a credit has an amount or a share"),
    ):
        assert said in refused({"kind": "credit", **wrong})


def test_hourly_prices_have_a_factor_a_floor_a_cap_and_their_hours() -> None:
    prices = np.linspace(-0.1, 0.9, 8760)
    raw = "price [$/kWh],x\n" + "\n".join(f"{one!r},1" for one in prices.tolist())

    def priced(**about: Any) -> np.ndarray:
        typed = build(Price, {"charge": [{"kind": "hourly_price", "file": "p.csv", **about}]})
        list(typed.charge[0].open_files(StudyFiles(opened={"p.csv": raw.encode()}), "k", "s"))
        return hourly_price_per_j(typed.tariff("electricity"), PLAIN) * KWH

    assert priced() == pytest.approx(prices)
    assert priced(factor=2, plus="0.1 $/kWh", floor="0 $/kWh", cap="0.5 $/kWh") == pytest.approx(
        np.clip(2 * prices + 0.1, 0, 0.5)
    )
    assert priced(windows=["00:00-01:00"]) == pytest.approx(np.where(np.arange(8760) % 24 == 0, prices, 0.0))
    for factor, said in ((-0.1, "0"), (10.1, "10")):
        with pytest.raises(InputError, match=said):
            priced(factor=factor)
    series = Series(np.arange(8760.0), "$")
    leap = series.of_year(8784)
    assert leap[58 * 24 : 61 * 24].tolist() == [
        *range(58 * 24, 59 * 24),
        *range(58 * 24, 59 * 24),
        *range(59 * 24, 60 * 24),
    ]
    assert Series(leap, "$").of_year(8760).tolist() == list(range(8760))
    rows = "\n".join(["1"] * 8760)
    assert read_series(f"PRICE [€/MWh]\n{rows}".encode(), "p").per_j[0] == pytest.approx(1 / (1000 * KWH))
    beside = "\n".join(["7,2,x"] * 8760)
    chosen = read_series(f"demand [kW],Price [$/kWh],price of gas\n{beside}".encode(), "p")
    assert chosen.per_j[-1] == pytest.approx(2 / KWH)
    for text, said in (
        (f"price [$/gal]\n{rows}", "is no money for energy"), (f"price [furlong]\n{rows}", r"\[furlong\] cannot be used"), (f"cost\n{rows}",
        "has no column headed"),
        (f"price [$/kWh]\nx\ny\n{rows[:-4]}", "row 2: 'x' is not a price, and 1 more"), (f"price [$/kWh]\n{rows[:-2]}", "8,759 prices are no whole year"),
        ("", "has no column headed"), (f"price [$/kWh]\n{rows[:-2]}\nz", "row 8761: 'z' is not a price;"),
    ):  # fmt: skip
        with pytest.raises(InputError, match=said):
            read_series(text.encode(), "p")
