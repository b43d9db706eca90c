"""Series of hours over leap years, meters of charges on power, and records of rates at the last of their limits."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from tariffs.test_edges import EVEN, PLAIN, tariff

from costsim.tariffs.bill import BillLine, bill, charged, hourly_price_per_j, house_profile_j, less, monthly_energy_j
from costsim.tariffs.charges import scaled_tariff
from costsim.tariffs.charges.base import UnitsError
from costsim.tariffs.charges.hourly_price import Series, read_series
from costsim.tariffs.charges.tariff import billing_month, hourly_rows, meter_hours, period_shares
from costsim.tariffs.rate_record import read_record
from costsim.tariffs.windows import parse_windows


def test_a_series_of_another_years_length_takes_or_leaves_29_february() -> None:
    plain, leap = Series(np.arange(8760.0), "$"), Series(np.arange(8784.0), "$")
    assert plain.of_year(8760) is plain.per_j
    assert leap.of_year(8784) is leap.per_j
    longer = plain.of_year(8784)
    assert (len(longer), longer[58 * 24 : 61 * 24].tolist()) == (
        8784,
        [*range(58 * 24, 59 * 24), *range(58 * 24, 59 * 24), *range(59 * 24, 60 * 24)],
    )
    shorter = leap.of_year(8760)
    assert (len(shorter), shorter[59 * 24 - 1], shorter[59 * 24], shorter[-1]) == (8760, 59 * 24 - 1, 60 * 24, 8783)


@pytest.mark.parametrize(
    ("charge", "meters"),
    [
        ({"step": [{"price": "9 $/kW"}]}, 1), ({"step": [{"price": "9 $/kW"}], "top_days": 3}, 31), ({"step": [{"price": "9 $/kW"}], "top_days": 31}, 31),
        ({"step": [{"price": "9 $/kW"}], "contracted": "9 kW"}, 0), ({"step": [{"price": "9 $/kW"}], "windows": ["16:00-20:00"]}, 1),
    ],
)  # fmt: skip
def test_a_charge_on_power_counts_the_meters_that_it_has(charge: dict[str, Any], meters: int) -> None:
    one = next(found for found in tariff({"kind": "power", **charge}).charges if getattr(found, "kind", "") == "power")
    masks = one.meters(PLAIN)
    assert len(masks) == one.n_meters(PLAIN) == meters
    if meters == 31:
        assert [int(mask.sum()) for mask in masks] == [12 * 24] * 28 + [11 * 24] * 2 + [7 * 24]
    if "windows" in charge:
        assert masks[0].sum() == 4 * 365


def test_tiers_that_end_nowhere_near_a_house_are_no_end() -> None:
    def told(most: float) -> list[str]:
        record = {
            "energyratestructure": [[{"rate": 0.1}]],
            "flatdemandstructure": [[{"rate": 3.0, "max": most}]],
            "flatdemandmonths": [0] * 12,
        }
        return [
            note for note in read_record(json.dumps(record).encode(), "r.json").left_out if "the last tier of" in note
        ]

    def told_of_use(most: Any) -> list[str]:
        record = {"energyratestructure": [[{"rate": 0.1, "max": 300}, {"rate": 0.2, "max": most}]]}
        read = {**record, "energyweekdayschedule": [[0] * 24] * 12, "energyweekendschedule": [[0] * 24] * 12}
        return [*read_record(json.dumps(read).encode(), "r.json").left_out]

    assert told_of_use(500) == ["the last tier ends at 500 kWh; use beyond it is billed at its price"]
    assert [len(told_of_use(most)) for most in (9.99e7, 1e8, 1.05e8, None)] == [1, 0, 0, 0]
    assert told(50)[0].endswith("ends at 50 kW; more is billed at its price")
    assert [len(told(most)) for most in (9.99e7, 1e8, 1.05e8)] == [1, 0, 0]


def test_prices_and_amounts_by_what_a_fuel_is_not_sold_by_are_refused_in_every_tier() -> None:
    good = [{"up_to": "5 kWh/month", "energy": "0.2 $/kWh"}, {"energy": "0.1 $/kWh"}]
    assert tariff({"kind": "tiers", "tier": good})
    for at, key, text in ((0, "energy", "0.1 $/gal"), (1, "energy", "3 $/kg")):
        bad = [dict(one) for one in good]
        bad[at][key] = text
        with pytest.raises(UnitsError) as caught:
            tariff({"kind": "tiers", "tier": bad})
        assert f"'{text}': Electricity is not sold that way" in str(caught.value)
        assert caught.value.key.endswith(f"tier[{at + 1}].{key}")
    with pytest.raises(UnitsError, match="Electricity is not sold that way"):
        tariff(energy="2 $/gal")
    assert tariff({"kind": "standing", "amount": "5 $/day"}, {"kind": "power", "step": [{"price": "5 $/kW/day"}]})


def test_many_bills_add_the_tax_on_the_whole_up_at_once_but_where_a_credit_must_see_it() -> None:
    # by hand: 12 * 10 fixed and 8,760 kWh at 0.10 are 996; 5 % on it 49.80; a credit of 10 % of both 104.58
    plain, credited = tariff(fixed="10 $/month", tax="5 %"), {"kind": "credit", "name": "off", "share": "10 %"}
    monthly = monthly_energy_j(plain, PLAIN, EVEN).T[None]
    usage = charged(plain, PLAIN, monthly, None)
    assert [item.label for item in usage.items] == ["fixed charge", "energy"]
    assert float(np.sum(usage.yearly)) == pytest.approx(49.80)
    assert float(usage.money().sum()) == pytest.approx(996.0)
    written = charged(plain, PLAIN, monthly, None, lines=True)
    assert [item.label for item in written.items][2:] == ["tax on fixed charge", "tax on energy"]
    assert (written.yearly, float(written.money().sum())) == (0.0, pytest.approx(1045.80))
    for lines in (False, True):
        seen = charged(tariff(credited, fixed="10 $/month", tax="5 %"), PLAIN, monthly, None, lines=lines)
        assert {"tax on fixed charge", "tax on energy"} <= {item.label for item in seen.items}
        assert (seen.yearly, float(seen.money().sum())) == (0.0, pytest.approx(941.22))
    # a charge that stands before the tax needs no lines of it
    early = charged(tariff({"kind": "standing", "amount": "1 $/month"}, tax="5 %"), PLAIN, monthly, None)
    assert float(np.sum(early.yearly)) == pytest.approx(0.05 * (876 + 12))


def test_what_is_remembered_of_a_tariff_cannot_be_written_over() -> None:
    metered = tariff(
        {"kind": "power", "step": [{"price": "9 $/kW"}]},
        period=[{"name": "night", "energy": "0.08 $/kWh", "windows": ["22:00-06:00"]}],
    )
    kept = (
        meter_hours(metered, PLAIN), hourly_rows(metered, PLAIN), period_shares(metered, PLAIN), hourly_price_per_j(metered, PLAIN),
        billing_month(11, PLAIN), house_profile_j(1e9, PLAIN), parse_windows(["22:00-06:00"]).share(PLAIN), PLAIN.month, PLAIN.weekday,
        PLAIN.clock_hour, PLAIN.day, PLAIN.day_of_month, PLAIN.is_holiday,
        read_series(("price [$/kWh]\n" + "0.1\n" * 8760).encode(), "p.csv").per_j,
    )  # fmt: skip
    for one in kept:
        with pytest.raises(ValueError, match="read-only"):
            one[...] = one


@pytest.mark.parametrize(("rate", "said"), [(0.0, (-2.0, 0.0, 0.0)), (-0.5, (2.0, 0.5, 1.0)), (0.5, (-2.0, 0.5, -1.0))])
def test_less_of_what_costs_nothing_stays_less(rate: float, said: tuple[float, float, float]) -> None:
    # 1 less 3: two less at 0 and at 0.50, but a lost credit of 2 at 0.50 is a cost of 1.00
    one, other = (BillLine(1, "x", amount, "J", rate, amount * rate) for amount in (1.0, 3.0))
    found = less(one, other)
    assert (found.quantity, found.rate, found.amount) == said


def test_a_factor_goes_on_the_price_of_every_charge_on_energy_in_each_hour() -> None:
    # 0.10 for all energy, and 0.20 more by a rider, a tier and a schedule: 0.30 a kWh, at a factor of 1.5 0.45
    day = ["a" * 24] * 12
    for charge in (
        {"kind": "rider", "name": "r", "energy": "0.20 $/kWh"},
        {"kind": "tiers", "tier": [{"energy": "0.20 $/kWh"}]},
        {"kind": "schedule", "name": "s", "weekday": day, "rate": [{"tier": [{"energy": "0.20 $/kWh"}]}]},
    ):
        for factor, price in ((1.0, 0.30), (1.5, 0.45), (0.0, 0.0)):
            scaled = scaled_tariff(tariff(charge), factor)
            assert hourly_price_per_j(scaled, PLAIN) * 3.6e6 == pytest.approx(np.full(8760, price))
            assert bill(scaled, PLAIN, EVEN).total == pytest.approx(8760 * price)


@pytest.mark.parametrize(("amount", "said"), [(6.0, (0.0, 0.0, 0.0)), (7.0, (1.0, 1.0, 1.0)), (5.0, (1.0, -1.0, -1.0))])
def test_at_another_rate_a_line_less_another_is_what_it_costs_more_once(
    amount: float, said: tuple[float, float, float]
) -> None:
    # 3 at 2.00 come to 6.00; where another bill comes to the same there is no line to show
    found = less(BillLine(1, "x", amount / 4, "month", 4.0, amount), BillLine(1, "x", 3.0, "month", 2.0, 6.0))
    assert (found.quantity, found.rate, found.amount) == said


@pytest.mark.parametrize(
    ("unit", "told"), [(None, []), ("kW", []), ("kVA", ["power by kVA, taken here as kW of the month's highest hour"])]
)
def test_power_by_another_unit_than_kilowatts_is_told(unit: str | None, told: list[str]) -> None:
    record = {
        "energyratestructure": [[{"rate": 0.1}]],
        "flatdemandstructure": [[{"rate": 3.0}]],
        "flatdemandmonths": [0] * 12,
    }
    read = read_record(json.dumps({**record, "flatdemandunit": unit}).encode(), "r.json")
    assert [*read.left_out] == told


def test_tiers_of_a_season_are_filled_by_the_season_alone() -> None:
    """One kilowatt all year and 300 kWh a month from 16 June: fifteen of June's thirty days have 150 kWh of tier and 360 of use."""

    def due(up_to: str, energy: np.ndarray = EVEN, **about: Any) -> tuple[np.ndarray, np.ndarray]:
        tier = [{"up_to": up_to, "energy": "1 $/kWh"}, {"energy": "1 $/kWh"}]
        found = bill(tariff({"kind": "tiers", "name": "t", "filled_by": "all", "tier": tier, **about}), PLAIN, energy)
        first, second = (
            np.array(
                [sum(x.amount for x in found.lines if (x.label, x.month) == (f"t, tier {n}", m)) for m in range(1, 13)]
            )
            for n in (1, 2)
        )
        return first, second

    first, second = due("300 kWh/month", months="Jun 16-Jul 31")
    assert first == pytest.approx(np.array([0, 0, 0, 0, 0, 150, 300, 0, 0, 0, 0, 0]))
    assert second == pytest.approx(np.array([0, 0, 0, 0, 0, 210, 444, 0, 0, 0, 0, 0]))
    # six hours of night have a quarter of each
    first, second = due("300 kWh/month", months="Jun 16-Jul 31", windows=["00:00-06:00"])
    assert (first[4:8], second[5]) == (pytest.approx(np.array([0, 37.5, 75, 0])), pytest.approx(52.5))
    # an event day: ten of its 24 kWh, whatever else June uses
    assert due("10 kWh/day", dates=["2025-06-20"])[0][5] == pytest.approx(10)
    # the year's tier goes on from January: 181 days of 24 kWh are gone before July
    assert due("4500 kWh/year", months="Jul-Dec")[0][5:8] == pytest.approx(np.array([0, 4500 - 4344, 0]))
    # use before the season fills nothing
    late = np.where(np.arange(8760) < 166 * 24, 9.0, 1.0) * EVEN
    assert due("300 kWh/month", late, months="Jun 16-Jul 31")[0][5] == pytest.approx(150)


def test_energy_at_a_mean_price_that_moved_is_told_by_what_was_added() -> None:
    # 10 at 0.30 are 3.00, 14 at 0.50 are 7.00: four more come to 4.00, one each
    found = less(BillLine(1, "x", 14.0, "J", 0.5, 7.0), BillLine(1, "x", 10.0, "J", 0.3, 3.0))
    assert (found.quantity, found.rate, found.amount) == (4.0, 1.0, 4.0)
    # a rate that differs by rounding alone is the same
    found = less(BillLine(1, "x", 14.0, "J", 0.3 + 1e-16, 4.2), BillLine(1, "x", 10.0, "J", 0.3, 3.0))
    assert (found.quantity, round(found.rate, 12)) == (4.0, 0.3)


def lines_of(table: Any, label: str, energy: Any = EVEN) -> list[tuple[float, float, float]]:
    """Quantity, rate and amount of a line in each month that has it."""
    return [(x.quantity, x.rate, x.amount) for x in bill(table, PLAIN, energy).lines if x.label == label]


def test_a_bill_of_two_months_counts_two_months_at_the_months_price() -> None:
    read = ["Jan 10", "Mar 11", "May 8", "Jul 1", "Sep 1", "Nov 9"]
    found = lines_of(tariff(read_dates=read, fixed="10 $/month"), "fixed charge")
    assert found == [(2.0, 10.0, 20.0)] * 6


def test_a_price_cap_names_what_it_counts_and_by_how_much_the_price_lies_above() -> None:
    cap = {"kind": "price_cap", "energy": "0.15 $/kWh"}
    (quantity, rate, amount) = lines_of(tariff(cap, energy="0.19 $/kWh"), "price cap")[0]  # January, 744 kWh
    assert (quantity / 3.6e6, rate * 3.6e6, amount) == pytest.approx((744.0, -0.04, -29.76))
    assert not lines_of(tariff(cap, energy="0.14 $/kWh"), "price cap")


def test_a_minimum_of_some_lines_stands_on_the_bill_that_a_minimum_bill_holds() -> None:
    # February: nothing used, 5 $ fixed. Energy is held to 33 $, so the bill is 38 $, and a bill of 40 $ lacks 2 $ more.
    part = {"kind": "minimum", "name": "of energy", "amount": "33 $/month", "on": ["energy"]}
    whole = {"kind": "minimum", "name": "of all", "amount": "45 $/month"}
    year = {"kind": "minimum", "name": "of the year", "amount": "600 $/year"}
    nothing = np.zeros(8760)
    for charges in ((year, whole, part), (part, whole, year)):
        table = tariff(*charges, fixed="5 $/month", minimum_bill="40 $/month")
        due = {
            label: lines_of(table, label, nothing) for label in ("of energy", "minimum bill", "of all", "of the year")
        }
        assert [one[-1] for one in due["of energy"]] == [33.0] * 12
        assert [one[-1] for one in due["minimum bill"]] == pytest.approx([2.0] * 12)
        assert [one[-1] for one in due["of all"]] == pytest.approx([5.0] * 12)
        assert [one[-1] for one in due["of the year"]] == pytest.approx([60.0])  # 600 less 12 times 45
        assert bill(table, PLAIN, nothing).total == pytest.approx(600.0)
    # 100 kWh in January: energy 10 $ lacks 23 $
    few = np.zeros(8760)
    few[:100] = 3.6e6
    assert lines_of(tariff(part, minimum_bill="20 $/month"), "of energy", few)[0][-1] == pytest.approx(23.0)
    assert bill(tariff(part, minimum_bill="20 $/month"), PLAIN, few).by_month()[0] == pytest.approx(33.0)


def test_the_year_before_is_like_this_one_where_months_are_averaged_and_each_has_its_minimum() -> None:
    # peaks of 1 kW in January, 6 kW in December, 4 kW between: January is (2.5 + 6) / 2, February (2.5 + 4) / 2
    energy = 4 * EVEN
    energy[:744], energy[-744:] = EVEN[:744], 6 * EVEN[:744]
    power = {"kind": "power", "averaged_months": 2, "minimum": "2.5 kW", "step": [{"price": "2 $/kW"}]}
    found = bill(tariff(power, energy="0 $/kWh"), PLAIN, energy).by_month()
    assert found[:3] == pytest.approx([8.5, 6.5, 8.0])
    assert found[11] == pytest.approx(10.0)


def test_the_next_unit_costs_the_cap_where_every_price_of_the_month_lies_above_it() -> None:
    # 0.19 under a cap of 0.15, with 10 % on energy and 5 % on all: (0.19 · 1.1 − 0.04) · 1.05
    cap = {"kind": "price_cap", "energy": "0.15 $/kWh"}
    table = tariff(cap, energy="0.19 $/kWh", energy_tax="10 %", tax="5 %")
    hourly = hourly_price_per_j(table, PLAIN) * 3.6e6
    assert (hourly.min(), hourly.max()) == pytest.approx((0.177450, 0.177450))
    # as the bill has it: another kilowatt-hour in January
    more = EVEN.copy()
    more[10] += 3.6e6
    assert bill(table, PLAIN, more).total - bill(table, PLAIN, EVEN).total == pytest.approx(0.177450, abs=1e-9)
    # a night below the cap: the mean may lie under it, so each price stands as it is
    night = {"name": "night", "energy": "0.05 $/kWh", "windows": ["22:00-06:00"], "months": "Feb"}
    hourly = hourly_price_per_j(tariff(cap, energy="0.19 $/kWh", period=[night]), PLAIN) * 3.6e6
    assert hourly[[0, 12, 31 * 24, 31 * 24 + 12]] == pytest.approx([0.15, 0.15, 0.05, 0.19])
