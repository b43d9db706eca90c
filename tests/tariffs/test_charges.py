"""Charges typed one by one, each against figures that a pencil gives, as a bill and for many years at once."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

import numpy as np
import pytest
from cases import demo, sample_weather

from costsim.errors import InputError
from costsim.study.case import case_from
from costsim.study.prices import Price
from costsim.study.services import heating_tariffs
from costsim.study_files import StudyFiles
from costsim.tariffs.bill import (
    bill,
    hourly_price_per_j,
    less,
    marginal_bill,
    monthly_energy_j,
    monthly_peaks_w,
    price_month_period,
)
from costsim.tariffs.calendar import HourCalendar, with_outdoor
from costsim.tariffs.charges import KINDS, BillLine, Item, Tariff, TypedCharge
from costsim.tariffs.holidays import holiday_dates
from costsim.units.faults import build
from costsim.units.fields import QuantityField

KWH = 3.6e6
CLOCK = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)
EVEN = np.full(8760, KWH)
DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
WEATHER = sample_weather()


def tariff(*charges: dict[str, Any], key: str = "electricity", **table: Any) -> Tariff:
    """A price table as typed, in the bill's own terms."""
    typed = {"energy": "0.10 $/kWh", "charge": list(charges), **table}
    return build(Price, typed).tariff(key)


def months(found: Any, label: str) -> list[float]:
    """Amounts of one line in each month."""
    return [math.fsum(x.amount for x in found.lines if x.month == month and x.label == label) for month in range(1, 13)]


def refused(*charges: dict[str, Any], **table: Any) -> str:
    """The one line that a wrong table gets."""
    with pytest.raises(InputError) as caught:
        build(Price, {"energy": "0.10 $/kWh", "charge": list(charges), **table}, "my.toml", "prices.electricity")
    assert len(caught.value.faults) == 1
    return str(caught.value.faults[0])


def test_a_daily_charge_counts_the_days_of_each_month_and_a_season_begins_inside_one() -> None:
    found = bill(tariff({"kind": "standing", "name": "daily", "amount": "0.50 $/day"}), CLOCK, EVEN)
    assert months(found, "daily") == pytest.approx(DAYS * 0.5)
    assert found.fixed == pytest.approx(365 * 0.5)
    season = {"kind": "standing", "name": "summer", "amount": "31 $/month", "months": "Jun 15-Sep 14"}
    by_hand = [0.0] * 5 + [31 * 16 / 30, 31, 31, 31 * 14 / 30] + [0.0] * 3
    assert months(bill(tariff(season), CLOCK, EVEN), "summer") == pytest.approx(by_hand)
    yearly = bill(tariff({"kind": "standing", "name": "yearly", "amount": "120 $/year"}), CLOCK, EVEN)
    assert months(yearly, "yearly") == pytest.approx([10.0] * 12)


def test_blocks_by_the_day_and_by_the_year_are_not_blocks_by_the_month() -> None:
    def of(up_to: str) -> list[float]:
        blocks = [{"up_to": up_to, "energy": "0.10 $/kWh"}, {"energy": "0.30 $/kWh"}]
        return bill(build(Price, {"block": blocks}).tariff("electricity"), CLOCK, EVEN).by_month()

    hours = DAYS * 24
    assert of("10 kWh/day") == pytest.approx(DAYS * 10 * 0.10 + (hours - DAYS * 10) * 0.30)
    # 4,000 kWh of the year at 0.10: all until mid June, which is hour 4,000 and not 333 kWh a month
    before = np.cumsum(hours) - hours
    cheap = np.clip(4000 - before, 0, hours)
    assert of("4000 kWh/year") == pytest.approx(cheap * 0.10 + (hours - cheap) * 0.30)
    assert of("500 kWh/month") == pytest.approx(500 * 0.10 + (hours - 500) * 0.30)
    assert "up_to has no day, month or year" in refused(block=[{"up_to": "5 kW", "energy": "0.1 $/kWh"}])


def test_a_baseline_allowance_lies_across_clock_periods() -> None:
    peak = {"name": "peak", "energy": "0.40 $/kWh", "windows": ["16:00-21:00"]}
    credit = {
        "kind": "tiers",
        "name": "baseline credit",
        "tier": [{"up_to": "8 kWh/day", "energy": "-0.09 $/kWh"}, {"energy": "0 $/kWh"}],
    }
    found = bill(tariff(credit, period=[peak]), CLOCK, EVEN)
    assert months(found, "baseline credit, tier 1") == pytest.approx(DAYS * 8 * -0.09)
    assert found.total == pytest.approx(8760 / 24 * (5 * 0.40 + 19 * 0.10) - 365 * 8 * 0.09)
    # of a season that begins inside a month only its own days count
    june = {**credit, "months": "Jun 16-Jun 30"}
    assert months(bill(tariff(june), CLOCK, EVEN), "baseline credit, tier 1")[5] == pytest.approx(15 * 8 * -0.09)


def test_meters_read_inside_the_month_cut_it_there() -> None:
    energy = np.where(CLOCK.month == 1, 2 * KWH, 0.0)
    found = bill(tariff(read_day=11), CLOCK, energy)
    # ten days of January end with January's bill, the other 21 with February's
    assert found.by_month()[:3] == pytest.approx([10 * 24 * 2 * 0.1, 21 * 24 * 2 * 0.1, 0.0])
    daily = bill(tariff({"kind": "standing", "name": "d", "amount": "1 $/day"}, read_day=11), CLOCK, energy)
    assert months(daily, "d") == pytest.approx([31, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])
    demand = [{"price": "10 $/kW"}]
    power = bill(tariff(read_day=11, demand=demand), CLOCK, np.where(CLOCK.day == 20, 5 * KWH, 0.0))
    assert months(power, "highest power")[:2] == pytest.approx([0.0, 50.0])


def test_power_by_steps_and_by_the_mean_of_the_highest_days() -> None:
    energy = np.zeros(8760)
    for day, kilowatts in ((1, 9), (3, 6), (7, 3), (9, 2)):
        energy[day * 24 + 8 : day * 24 + 10] = kilowatts * KWH
    steps = [{"up_to": "2 kW", "fee": "10 $/month"}, {"up_to": "5 kW", "fee": "20 $/month"}, {"fee": "35 $/month"}]
    three = {"kind": "power", "name": "capacity", "top_days": 3, "step": steps}
    # (9 + 6 + 3) / 3 is 6 kW in January, and the other months stay in the first step
    assert months(bill(tariff(three), CLOCK, energy), "capacity") == pytest.approx([35.0] + [10.0] * 11)
    one = {"kind": "power", "name": "kilowatts", "step": [{"up_to": "4 kW", "price": "2 $/kW"}, {"price": "5 $/kW"}]}
    found = bill(tariff(one), CLOCK, energy)
    january = {x.label: x.amount for x in found.lines if x.month == 1}
    assert (january["kilowatts, step 1"], january["kilowatts, step 2"]) == (pytest.approx(8.0), pytest.approx(25.0))
    contracted = {"kind": "power", "name": "subscription", "contracted": "9 kW", "step": steps}
    assert months(bill(tariff(contracted), CLOCK, energy), "subscription") == [35.0] * 12


def test_value_added_tax_of_two_rates_and_taxes_on_taxes() -> None:
    # 14.00 a month at 5.5 % and 73.0 kWh·… at 20 %: a sheet of two rates, each on its own base
    charges = (
        {"kind": "rider", "name": "excise", "energy": "0.02 $/kWh"},
        {"kind": "tax", "name": "reduced", "share": "5.5 %", "on": ["fixed"]},
        {"kind": "tax", "name": "full", "share": "20 %", "on": ["energy"]},
    )
    found = bill(tariff(*charges, fixed="14 $/month"), CLOCK, EVEN)
    assert found.total == pytest.approx(14 * 12 * 1.055 + 8760 * 0.12 * 1.20)
    on_tax = (
        {"kind": "tax", "name": "gross receipts", "share": "4 %"},
        {"kind": "tax", "name": "sales", "share": "7 %"},
    )
    assert bill(tariff(*on_tax), CLOCK, EVEN).total == pytest.approx(876 * 1.04 * 1.07)
    assert "on 'exercise', which is no line of this bill" in refused(
        {"kind": "tax", "share": "1 %", "on": ["exercise"]}
    )


def test_credits_come_off_the_whole_bill() -> None:
    climate = {"kind": "credit", "name": "climate", "amount": "55.17 $/month", "months": "Apr, Oct"}
    found = bill(tariff(climate, tax="7 %"), CLOCK, EVEN)
    assert found.total == pytest.approx(876 * 1.07 - 2 * 55.17)
    assert months(found, "climate")[3] == pytest.approx(-55.17)
    rates = {line.month: line.rate for line in found.lines if line.label == "climate"}
    assert {month for month, rate in rates.items() if rate} == {4, 10}  # in other months there is none to tell of
    share = bill(tariff({"kind": "credit", "name": "rebate", "share": "10 %"}, tax="7 %"), CLOCK, EVEN)
    assert share.total == pytest.approx(876 * 1.07 * 0.9)
    poor = {"kind": "credit", "name": "floor", "amount": "500 $/month", "refundable": False}
    assert bill(tariff(poor), CLOCK, EVEN).total == pytest.approx(0.0)
    assert bill(tariff({**poor, "refundable": True}), CLOCK, EVEN).total == pytest.approx(876 - 6000)


def test_prices_by_outdoor_temperature_and_by_event_days() -> None:
    clock = with_outdoor(CLOCK, WEATHER)
    cold = {"name": "cold", "energy": "0.30 $/kWh", "below": "-5 degC"}
    hours = int((WEATHER.outdoor_c < -5.0).sum())
    assert bill(tariff(period=[cold]), clock, EVEN).total == pytest.approx(hours * 0.30 + (8760 - hours) * 0.10)
    event = {"kind": "rider", "name": "event", "energy": "0.50 $/kWh", "coldest_days": 5, "windows": ["17:00-20:00"]}
    assert bill(tariff(event), clock, EVEN).total == pytest.approx(876 + 5 * 3 * 0.5)
    means = np.bincount(CLOCK.day, WEATHER.outdoor_c) / 24
    named = np.flatnonzero(tariff(event).extra[0].hours().share(clock))  # type: ignore[attr-defined]
    assert set((named // 24).tolist()) == set(np.argsort(means, kind="stable")[:5].tolist())
    dates = {"kind": "rider", "name": "event", "energy": "0.50 $/kWh", "dates": ["2025-01-14", "2025-12-31"]}
    assert bill(tariff(dates), CLOCK, EVEN).total == pytest.approx(876 + 48 * 0.5)
    assert "'14.1.' is not a day" in refused({**dates, "dates": ["14.1."]})


def test_an_hourly_series_may_be_negative_and_is_billed_hour_by_hour() -> None:
    prices = 0.10 + 0.2 * np.sin(np.arange(8760) / 7.0)
    energy = KWH * (1.0 + np.cos(np.arange(8760) / 11.0))
    raw = "hour,price [$/MWh]\n" + "\n".join(f"{i},{1000 * p:.6f}" for i, p in enumerate(prices))
    typed = build(Price, {"charge": [{"kind": "hourly_price", "file": "p.csv", "factor": 1.1, "plus": "0.02 $/kWh"}]})
    files = StudyFiles(opened={"p.csv": raw.encode()})
    assert list(typed.charge[0].open_files(files, "k", "s")) == [("k.file", "$")]
    spot = typed.tariff("electricity")
    by_hand = float(((1.1 * prices + 0.02) * energy / KWH).sum())
    assert bill(spot, CLOCK, energy).total == pytest.approx(by_hand, rel=1e-7)
    assert hourly_price_per_j(spot, CLOCK)[100] * KWH == pytest.approx(1.1 * prices[100] + 0.02, rel=1e-6)
    assert prices.min() < 0
    short = StudyFiles(opened={"p.csv": raw.rpartition("\n")[0].encode()})
    with pytest.raises(InputError, match="8,759 prices are no whole year; give one for each of 8,760 hours"):
        list(typed.charge[0].open_files(short, "k", "s"))


def test_heating_pays_the_prices_that_were_read_though_another_file_of_that_name_was_before() -> None:
    typed = demo()
    typed["prices"]["electricity"] = {"charge": [{"kind": "hourly_price", "file": "p.csv"}]}
    for cents in (10.0, 25.0):
        raw = "price [$/MWh]\n" + f"{cents * 10}\n" * 8760
        case = case_from(typed, files=StudyFiles(opened={"p.csv": raw.encode()}))
        one = bill(heating_tariffs(case)["electricity"], CLOCK, EVEN)
        assert one.total == pytest.approx(EVEN.sum() / KWH * cents / 100)


def test_propane_bought_ahead_and_a_cap_on_its_price() -> None:
    gallon_j = 96.4868e6
    propane = {"key": "propane", "energy": "3.00 $/gal"}
    ahead = {"kind": "prebuy", "name": "ahead", "amount": "400 gal", "energy": "2.20 $/gal", "refund": "50 %"}
    for gallons, cost in ((500, 400 * 2.20 + 100 * 3.00), (300, 400 * 2.20 - 100 * 1.10)):
        table = tariff(ahead, **propane)
        j = table.fuel.content_j_per_unit * 3.785411784e-3
        assert j == pytest.approx(gallon_j, rel=1e-3)
        assert bill(table, CLOCK, np.full(8760, gallons * j / 8760)).total == pytest.approx(cost)
    lost = tariff({key: text for key, text in ahead.items() if key != "refund"}, **propane)
    assert bill(lost, CLOCK, np.full(8760, 300 * j / 8760)).total == pytest.approx(400 * 2.20)  # nothing comes back
    cap = {"kind": "price_cap", "name": "cap", "energy": "3.10 $/gal", "fee": "150 $/year"}
    capped = tariff(cap, **propane)
    energy = np.full(8760, 500 * j / 8760)
    sums = monthly_energy_j(capped, CLOCK, energy).T[None]
    found = price_month_period(capped, sums, price_factor=np.array([1.0, 1.5]), calendar=CLOCK)
    assert found.tolist() == pytest.approx([1500 + 150, 500 * 3.10 + 150])
    both = tariff(ahead, cap | {"energy": "2.80 $/gal"}, **propane)
    for gallons, cost in ((500, 400 * 2.20 + 100 * 2.80 + 150), (300, 400 * 2.20 - 100 * 1.10 + 150)):
        # a gallon paid for ahead costs what was paid for it, and the cap gives nothing back on it
        assert bill(both, CLOCK, np.full(8760, gallons * j / 8760)).total == pytest.approx(cost)
    second = ahead | {"name": "second", "amount": "300 gal", "energy": "2.40 $/gal"}
    # of 500 gallons 400 are the first contract's; 200 of the second's are left, of which half the price comes back
    two = tariff(ahead, second, **propane)
    assert bill(two, CLOCK, energy).total == pytest.approx(400 * 2.20 + 300 * 2.40 - 200 * 1.20)


def test_tickets_of_deliveries_give_the_mean_price_by_amount() -> None:
    tickets = [
        {"date": "2025-01-14", "amount": "150 gal", "total": "390 $"},
        {"date": "2025-11-02", "amount": "50 gal", "total": "110 $"},
    ]
    price = build(Price, {"ticket": tickets})
    gallon = build(Price, {"energy": "2.50 $/gal"})
    assert price.base_per_j("propane") == pytest.approx(gallon.base_per_j("propane"))
    assert "energy is given twice" in refused(ticket=tickets)
    with pytest.raises(InputError, match="'Jan 14' is not a day"):
        build(Price, {"ticket": [{**tickets[0], "date": "Jan 14"}]})


def test_lists_of_holidays() -> None:
    assert len(holiday_dates("US-CA", 2025)) >= len(holiday_dates("US", 2025))
    assert [day.isoformat() for day in holiday_dates("Dec 24, 2025-01-02", 2025)] == ["2025-01-02", "2025-12-24"]
    with pytest.raises(ValueError, match="not a day such as"):
        holiday_dates("Dec 42", 2025)


EVERY: list[dict[str, Any]] = [
    *(one.example for one in KINDS.values() if "file" not in one.example),
    {"kind": "rider", "name": "night", "energy": "0.01 $/kWh", "windows": ["22:00-06:30"], "part": "delivery"},
    {"kind": "tiers", "tier": [{"up_to": "300 kWh/month", "energy": "0.03 $/kWh"}, {"energy": "0.05 $/kWh"}]},
    {"kind": "tiers", "name": "y", "tier": [{"up_to": "4000 kWh/year", "energy": "0.03 $/kWh"}, {"energy": "0.05 $/kWh"}]},
    {"kind": "power", "top_days": 3, "step": [{"up_to": "2 kW", "price": "1 $/kW"}, {"price": "3 $/kW"}]},
    {"kind": "schedule", "name": "s", "weekday": ["a" * 16 + "b" * 8] * 12, "weekend": ["a" * 24] * 12, "rate": [
        {"tier": [{"up_to": "9 kWh/day", "energy": "0.02 $/kWh"}, {"energy": "0.03 $/kWh"}]}, {"tier": [{"energy": "0.05 $/kWh"}]}]},
    {"kind": "power_schedule", "name": "p", "weekday": ["a" * 12 + "b" * 12] * 12, "rate": [
        {"step": [{"price": "0 $/kW"}]}, {"step": [{"up_to": "2 kW", "price": "1 $/kW"}, {"price": "4 $/kW"}]}]},
    {"kind": "credit", "name": "low", "share": "3 %"},
    {"kind": "minimum", "name": "m", "amount": "4 $/day", "on": ["energy"]},
    {"kind": "tiers", "name": "h", "filled_by": "all", "days": "Mon-Fri", "months": "Feb 9-Nov 20", "tier": [
        {"up_to": "150 kWh/kW", "energy": "0.03 $/kWh"}, {"energy": "0.01 $/kWh"}]},
    {"kind": "tiers", "name": "w", "whole_use": True, "tier": [{"up_to": "900 kWh/month", "energy": "0.03 $/kWh"}, {"energy": "0.05 $/kWh"}]},
    {"kind": "power", "name": "a", "averaged_months": 12, "minimum": "2.95 kW", "step": [{"price": "40 $/kW/year"}]},
]  # fmt: skip


@pytest.mark.parametrize("reading", [{}, {"read_day": 17}, {"read_dates": ["Jan 9", "Apr 10", "Jul 10", "Oct 9"]}])
@pytest.mark.parametrize("chosen", [*range(len(EVERY)), slice(None)])
def test_bill_scenarios_and_margin_ask_the_same_objects(chosen: Any, reading: dict[str, Any]) -> None:
    charges = EVERY[chosen] if isinstance(chosen, slice) else [EVERY[chosen]]
    demand = [{"price": "2 $/kW", "windows": ["17:00-20:00"]}]
    table = tariff(*charges, fixed="3 $/month", minimum_bill="20 $/month", tax="5 %", demand=demand, **reading)
    rng = np.random.default_rng(3)
    years = rng.uniform(0, 3 * KWH, (3, 8760))
    bills = [bill(table, CLOCK, year) for year in years]
    sums = np.stack([monthly_energy_j(table, CLOCK, year).T for year in years])
    peaks = np.stack([monthly_peaks_w(table, CLOCK, year) for year in years])
    assert price_month_period(table, sums, peaks, calendar=CLOCK) == pytest.approx(
        [one.total for one in bills], rel=1e-9
    )
    added = marginal_bill(table, CLOCK, years[0], years[1])
    assert added.total == pytest.approx(bill(table, CLOCK, years[0] + years[1]).total - bills[1].total, rel=1e-9)


@pytest.mark.parametrize("name", ["minimum bill", "least due", ""])
def test_the_name_of_a_line_changes_no_money_at_the_margin(name: str) -> None:
    charge = {"kind": "minimum", "amount": "50 $/month"} | ({"name": name} if name else {})
    table = tariff(charge, energy="0.10 $/kWh")
    first = np.concatenate([[True], CLOCK.month[1:] != CLOCK.month[:-1]])
    other = np.where(first, 300 * KWH, 0.0)
    heating = np.zeros(8760)
    heating[0] = 100 * KWH
    found = marginal_bill(table, CLOCK, heating, other)
    # 30 of energy a month leaves 20 to the minimum of 50; January's 10 more of energy leave 10
    assert found.fixed == pytest.approx(-10.0)
    assert found.total == pytest.approx(0.0, abs=1e-9)


SEYMOUR = {
    "fixed": "7.50 $/month",
    "tax": "1 %",
    "charge": [{"kind": "rider", "name": "power cost", "energy": "0.085 $/kWh"}],
    "block": [
        {"up_to": "250 kWh/month", "energy": "0.064 $/kWh"},
        {"up_to": "700 kWh/month", "energy": "0.049 $/kWh"},
        {"up_to": "1250 kWh/month", "energy": "0.0475 $/kWh", "months": "Jun-Sep"},
        {"energy": "0.0446 $/kWh"},
    ],
}


def test_sample_bills_that_utilities_publish(published) -> None:
    rows = published("tariffs")
    month = CLOCK.month
    for key, number, kwh in (("bill_seymour_winter", 1, 1200.0), ("bill_seymour_summer", 7, 2000.0)):
        energy = np.where(month == number, kwh * KWH / (month == number).sum(), 0.0)
        rows[key].check(bill(build(Price, SEYMOUR).tariff("electricity"), CLOCK, energy).by_month()[number - 1])
    energy = np.where(month == 3, 1110 * KWH / (month == 3).sum(), 0.0)
    jackson = build(Price, {"fixed": "18.48 $/month", "energy": "0.0951 $/kWh"}).tariff("electricity")
    rows["bill_jcpb"].check(bill(jackson, CLOCK, energy).by_month()[2])
    # a customer charge by the days of the billing period, as a twelfth of a year of 365 days
    daily = tariff({"kind": "standing", "name": "customer", "amount": f"{9.75 * 12 / 365:.9f} $/day"})
    rows["bill_otter_tail_customer"].check(29 / 30 * months(bill(daily, CLOCK, EVEN), "customer")[3])


def test_a_period_whose_hours_all_belong_to_others_is_refused() -> None:
    data = demo()
    data["prices"]["electricity"]["period"] = [
        {"name": "summer", "energy": "0.2 $/kWh", "months": "May-Sep"},
        {"name": "july", "energy": "0.3 $/kWh", "months": "Jul"},
    ]
    with pytest.raises(
        InputError, match=r"prices\.electricity\.period\[2\]: all its hours belong to periods before it"
    ):
        case_from(data)
    data["prices"]["electricity"]["period"].reverse()
    assert case_from(data).prices["electricity"].period[0].name == "july"


@pytest.mark.parametrize(
    ("charge", "line"),
    [
        ({"kind": "tiers", "tier": [{"up_to": "9 kWh/day", "energy": "0 $/kWh"}]}, "the last tier has an end"),
        ({"kind": "magic"}, "charge[1].kind: 'magic' is not a kind; use one of "),
        ({"kind": "standing", "amount": "5 $/h"}, "amount has no day, month or year"),
        ({"kind": "credit", "share": "5 %", "amount": "5 $/month"}, "a credit has an amount or a share"),
        ({"kind": "rider", "energy": "0.1 $/kWh", "months": "Jun 31-Aug"}, "'Jun 31-Aug' is not a season such as"),
        ({"kind": "tiers", "whole_use": True, "tier": [{"up_to": "9 kWh/year", "energy": "0 $/kWh"}, {"energy": "0 $/kWh"}]}, "by the year"),
        ({"kind": "minimum", "amount": "5 $/h"}, "amount has no day, month or year"),
        ({"kind": "power", "step": [{"price": "1 $/kWh"}]}, "a step's price is money for energy"),
        ({"kind": "tax", "share": "5 %", "on": ["gas, tier 1"]}, "on 'gas', which is no line of this bill"),
        ({"kind": "power", "step": [{"fee": "1 $/month"}, {"fee": "2 $/month"}]}, "a step ends no higher than the one before"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_one_line(charge: dict[str, Any], line: str) -> None:
    assert line in refused(charge)


def test_a_charge_that_lacks_something_says_so_when_it_is_made_or_runs() -> None:
    with pytest.raises(TypeError, match=r"Odd lacks an example with its kind; items\(usage\)"):

        class Odd(TypedCharge):
            kind: Literal["odd"] = "odd"

    with pytest.raises(TypeError, match=r"'price', 'Price'\) gives a Quantity"):

        class Wrong(TypedCharge):
            energy: Annotated[float, QuantityField("price", "Price")]

    with pytest.raises(ValueError, match="the group of 'x' is 'odd'; use one of energy, fixed"):
        Item("x", np.ones((1, 12)), "month", 1.0, np.ones((1, 12)), "odd")
    with pytest.raises(ValueError, match=r"'x' has the shape \(12,\); make it \(scenarios, 12\)"):
        Item("x", np.ones(12), "month", 1.0, np.ones(12), "energy")


def test_a_credit_that_heating_loses_is_a_cost_once() -> None:
    low = Tariff(
        "power",
        0.0,
        extra=(build(Price, {"energy": "0.1 $/kWh", "charge": [{"kind": "credit", "amount": "35 $/month"}]}).charge),
    )
    with_it, lost = (bill(low, CLOCK, EVEN).lines[-1], BillLine(12, "credit", 0.0, "month", -35.0, 0.0, "fixed"))
    line = less(lost, with_it)
    assert (line.quantity, line.rate, line.amount) == (1.0, 35.0, 35.0)
