"""Tariff sheets as a stranger types them, each beside what a pencil makes of it: plain Python, nothing of the package.

Utilities, prices and allowances are invented in the layout of sheets of the countries named; hours are (time, amount, degree Celsius).
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
import random
from collections.abc import Callable, Iterable

Hour = tuple[dt.datetime, float, float]
Hours = list[Hour]
SHEETS: dict[str, tuple[str, Callable[[Hours], float]]] = {}
WINTER = (11, 12, 1, 2, 3, 4)


def year_of_hours(seed: int = 5) -> Hours:
    """A year of 2025 with uneven use and cold, with single peaks."""
    random.seed(seed)
    start = dt.datetime(2025, 1, 1)
    found = []
    for at in range(8760):
        when = start + dt.timedelta(hours=at)
        cold = 8 - 17 * math.cos(at / 8760 * math.tau) + random.gauss(0, 6)
        found.append((when, random.uniform(0.2, 1.6) + max(0.0, 12 - cold) * 0.06 + 4 * (random.random() > 0.98), cold))
    return found


def sheet(text: str) -> Callable[[Callable[[Hours], float]], Callable[[Hours], float]]:
    """Put a sheet beside its pencil."""

    def keep(pencil: Callable[[Hours], float]) -> Callable[[Hours], float]:
        SHEETS[pencil.__name__] = (text, pencil)
        return pencil

    return keep


def used(hours: Iterable[Hour]) -> float:
    """Use of some hours."""
    return math.fsum(one[1] for one in hours)


def months(hours: Hours) -> list[Hours]:
    """Hours of each calendar month."""
    return [[one for one in hours if one[0].month == month] for month in range(1, 13)]


def days_of(hours: Iterable[Hour]) -> int:
    """How many days some hours lie on."""
    return len({one[0].date() for one in hours})


def bills(hours: Hours, reads: list[tuple[int, int]]) -> list[Hours]:
    """Hours between readings (month, day); the end of the year stands for that before it."""
    marks = [dt.datetime(2025, *one) for one in reads]
    found = [[one for one in hours if a <= one[0] < b] for a, b in itertools.pairwise(marks)]
    return [[one for one in hours if one[0] < marks[0] or one[0] >= marks[-1]], *found]


def stepped(amount: float, *steps: tuple[float, float]) -> float:
    """Money of an amount in steps (end, price)."""
    money, start = 0.0, 0.0
    for end, price in steps:
        money += max(0.0, min(amount, end) - start) * price
        start = end
    return money


def daily_peaks(hours: Hours) -> list[float]:
    """Highest hour of each day, the highest first."""
    top: dict[dt.date, float] = {}
    for when, kwh, _ in hours:
        top[when.date()] = max(top.get(when.date(), 0.0), kwh)
    return sorted(top.values(), reverse=True)


@sheet("""
[prices.electricity]
holidays = "Jan 1, Jul 4, Sep 1, Dec 25"
period = [
  { name = "summer peak", energy = "0.17 $/kWh", windows = ["16:00-21:00"], days = "Mon-Fri, not holidays", months = "Jun-Sep" },
  { name = "winter peak", energy = "0.14 $/kWh", windows = ["16:00-21:00"], months = "Oct-May" },
]
energy = "0.11 $/kWh"
charge = [
  { kind = "rider", name = "distribution", part = "delivery", energy = "0.062 $/kWh" },
  { kind = "tiers", name = "baseline credit, summer", part = "delivery", months = "Jun-Sep", tier = [
    { up_to = "9.8 kWh/day", energy = "-0.03 $/kWh" }, { energy = "0 $/kWh" }] },
  { kind = "tiers", name = "baseline credit, winter", part = "delivery", months = "Oct-May", tier = [
    { up_to = "12.7 kWh/day", energy = "-0.03 $/kWh" }, { energy = "0 $/kWh" }] },
  { kind = "minimum", name = "minimum delivery", amount = "1.90 $/day", on = ["delivery"] },
  { kind = "tax", name = "city tax", share = "5 %" },
  { kind = "credit", name = "climate credit", amount = "55.17 $/month", months = "Apr, Oct" },
]
""")
def california(hours: Hours) -> float:
    total = 0.0
    closed = {(1, 1), (7, 4), (9, 1), (12, 25)}
    for number, month in enumerate(months(hours), 1):
        supply = 0.0
        for when, kwh, _ in month:
            peak = 16 <= when.hour < 21
            if number in (6, 7, 8, 9):
                peak = peak and when.weekday() < 5 and (when.month, when.day) not in closed
                supply += kwh * (0.17 if peak else 0.11)
            else:
                supply += kwh * (0.14 if peak else 0.11)
        allowance = (9.8 if number in (6, 7, 8, 9) else 12.7) * days_of(month)
        delivery = used(month) * 0.062 - min(used(month), allowance) * 0.03
        delivery = max(delivery, 1.90 * days_of(month))
        total += (supply + delivery) * 1.05 - (55.17 if number in (4, 10) else 0.0)
    return total


READS = [(1, 14), (2, 12), (3, 15), (4, 14), (5, 13), (6, 13), (7, 15), (8, 13), (9, 12), (10, 14), (11, 13), (12, 12)]


@sheet("""
[prices.electricity]
read_dates = ["Jan 14", "Feb 12", "Mar 15", "Apr 14", "May 13", "Jun 13", "Jul 15", "Aug 13", "Sep 12", "Oct 14", "Nov 13", "Dec 12"]
block = [{ up_to = "20 kWh/day", energy = "9.7 ct/kWh" }, { energy = "13.4 ct/kWh" }]
demand = [{ price = "2.5 $/kW" }]
[[prices.electricity.charge]]
kind = "standing"
amount = "0.2117 $/day"
""")
def meter_read_on_uneven_days(hours: Hours) -> float:
    return math.fsum(
        stepped(used(bill), (20 * days_of(bill), 0.097), (math.inf, 0.134)) + 0.2117 * days_of(bill) + 2.5 * max(h[1] for h in bill)
        for bill in bills(hours, READS)
    )  # fmt: skip


@sheet("""
[prices.electricity]
read_dates = ["Jan 20", "Mar 21", "May 20", "Jul 19", "Sep 18", "Nov 19"]
fixed = "6.80 C$/month"
block = [{ up_to = "675 kWh/month", energy = "0.1097 C$/kWh" }, { energy = "0.1408 C$/kWh" }]
charge = [
  { kind = "rider", name = "rate rider", energy = "-0.0021 C$/kWh" },
  { kind = "minimum", amount = "95 C$/month" },
  { kind = "tax", name = "GST", share = "5 %" },
]
""")
def bill_of_two_months(hours: Hours) -> float:
    reads = [(1, 20), (3, 21), (5, 20), (7, 19), (9, 18), (11, 19)]
    return 1.05 * math.fsum(
        max(13.60 + stepped(used(one), (1350, 0.1097), (math.inf, 0.1408)) - 0.0021 * used(one), 190.0) for one in bills(hours, reads)
    )  # fmt: skip


@sheet("""
[prices.electricity]
energy = "0.084 $/kWh"
charge = [
  { kind = "rider", name = "summer", energy = "0.0915 $/kWh", months = "Jun 15-Sep 14" },
  { kind = "tiers", name = "heating tail block", months = "Oct 16-Apr 15", tier = [
    { up_to = "800 kWh/month", energy = "0 $/kWh" }, { energy = "-0.021 $/kWh" }] },
  { kind = "standing", name = "winter service", amount = "14.50 $/month", months = "Nov-Apr" },
  { kind = "standing", name = "summer service", amount = "0.31 $/day", months = "May-Oct" },
]
""")
def seasons_inside_months(hours: Hours) -> float:
    total = used(hours) * 0.084 + 6 * 14.50 + 0.31 * (31 + 30 + 31 + 31 + 30 + 31)
    total += used(h for h in hours if (6, 15) <= (h[0].month, h[0].day) <= (9, 14)) * 0.0915
    for month in months(hours):
        cold = [h for h in month if not (4, 15) < (h[0].month, h[0].day) < (10, 16)]
        total -= max(used(cold) - 800 * days_of(cold) / days_of(month), 0.0) * 0.021
    return total


@sheet("""
[prices.electricity]
energy = "0.0538 CAD/kWh"
period = [{ name = "cold", energy = "0.3184 CAD/kWh", below = "-12 degC" }]
charge = [
  { kind = "standing", name = "access", amount = "0.4481 CAD/day" },
  { kind = "tax", name = "GST", share = "5 %", on = ["energy", "access"] },
  { kind = "tax", name = "QST", share = "9.975 %", on = ["energy", "access"] },
]
""")
def dual_energy_by_temperature(hours: Hours) -> float:
    return 1.14975 * (0.4481 * 365 + math.fsum(kwh * (0.3184 if cold < -12 else 0.0538) for _, kwh, cold in hours))


@sheet("""
[prices.electricity]
energy = "0.0466 CAD/kWh"
[[prices.electricity.charge]]
kind = "rider"
name = "event"
energy = "0.4996 CAD/kWh"
windows = ["06:00-09:00", "16:00-20:00"]
dates = ["2025-01-14", "2025-01-22", "2025-02-03", "2025-12-11"]
[[prices.electricity.charge]]
kind = "rider"
name = "critical days"
energy = "0.25 CAD/kWh"
coldest_days = 8
days = "Mon-Fri"
months = "Dec-Mar"
""")
def event_days(hours: Hours) -> float:
    called = {dt.date(2025, 1, 14), dt.date(2025, 1, 22), dt.date(2025, 2, 3), dt.date(2025, 12, 11)}
    by_day: dict[dt.date, list[float]] = {}
    for when, _, cold in hours:
        if when.weekday() < 5 and when.month in (12, 1, 2, 3):
            by_day.setdefault(when.date(), []).append(cold)
    coldest = set(sorted(by_day, key=lambda day: sum(by_day[day]) / 24)[:8])
    total = used(hours) * 0.0466
    for when, kwh, _ in hours:
        total += 0.4996 * kwh * (when.date() in called and (6 <= when.hour < 9 or 16 <= when.hour < 20))
        total += 0.25 * kwh * (when.date() in coldest)
    return total


@sheet("""
[prices.electricity]
fixed = "21 $/month"
demand = [{ price = "6.10 $/kW", peak_factor = 1.15, ratchet = "60 %" }]
charge = [
  { kind = "tiers", name = "hours of use", tier = [
    { up_to = "120 kWh/kW", energy = "0.104 $/kWh" }, { up_to = "250 kWh/kW", energy = "0.071 $/kWh" }, { energy = "0.052 $/kWh" }] },
  { kind = "power", name = "network demand", months = "Jun-Sep", windows = ["14:00-18:00"], days = "Mon-Fri", step = [
    { up_to = "3 kW", price = "1.25 $/kW" }, { price = "4.75 $/kW" }] },
  { kind = "tax", name = "gross receipts", share = "2.5641 %" },
  { kind = "tax", name = "sales tax", share = "7 %" },
]
""")
def hours_of_use_and_tiered_demand(hours: Hours) -> float:
    total, top = 12 * 21.0, max(h[1] for h in hours)
    for number, month in enumerate(months(hours), 1):
        peak = max(h[1] for h in month)
        total += 6.10 * 1.15 * max(peak, 0.60 * top)
        total += stepped(used(month), (120 * peak, 0.104), (250 * peak, 0.071), (math.inf, 0.052))
        if number in (6, 7, 8, 9):
            inside = [h[1] for h in month if 14 <= h[0].hour < 18 and h[0].weekday() < 5]
            total += stepped(max(inside), (3, 1.25), (math.inf, 4.75))
    return total * 1.025641 * 1.07


@sheet("""
[prices.propane]
rent = "75 $/year"
energy = "3.24 $/gal"
delivery = { fill = "200 gal", fee = "11.95 $", minimum = "100 gal", small_fee = "40 $" }
charge = [
  { kind = "prebuy", name = "pre-buy", amount = "600 gal", energy = "2.479 $/gal", refund = "80 %" },
  { kind = "price_cap", name = "cap", energy = "2.999 $/gal", fee = "150 $/year" },
  { kind = "tax", name = "excise", share = "3 %", on = ["energy"] },
]
""")
def propane_bought_ahead(gallons: Hours) -> float:
    # energy lines stand before the cap's relief, which is on what is not paid for ahead; the pre-buy is taken off at the list price
    amount = used(gallons)
    listed, relief = amount * 3.24, max(amount - 600, 0) * (3.24 - 2.999)
    bought, covered = 600 * 2.479, min(600, amount)
    energy = listed + bought - covered * 3.24 - (600 - covered) * 2.479 * 0.80
    number, rest = divmod(amount, 200)
    fees = (number + (rest > 0)) * 11.95 + (40 if 0 < rest < 100 else 0)
    return energy * 1.03 - relief + 150 + 75 + fees


@sheet("""
[prices.propane]
ticket = [
  { date = "2025-01-09", amount = "182.4 gal", total = "474.06 $" }, { date = "2025-02-20", amount = "151 gal", total = "407.55 $" },
  { date = "2025-11-30", amount = "96.6 gal", total = "231.74 $" },
]
minimum_use = "1500 gal/year"
minimum_use_price = "0.35 $/gal"
""")
def propane_tickets(gallons: Hours) -> float:
    price = (474.06 + 407.55 + 231.74) / (182.4 + 151 + 96.6)
    return used(gallons) * price + max(1500 - used(gallons), 0) * 0.35


@sheet("""
[prices.natural_gas]
read_day = 18
charge = [
  { kind = "standing", name = "customer charge", part = "delivery", amount = "0.4274 $/day" },
  { kind = "tiers", name = "distribution, winter", part = "delivery", months = "Nov-Apr", tier = [
    { up_to = "1.82 therm/day", energy = "0.61 $/therm" }, { energy = "0.94 $/therm" }] },
  { kind = "tiers", name = "distribution, summer", part = "delivery", months = "May-Oct", tier = [
    { up_to = "0.39 therm/day", energy = "0.61 $/therm" }, { energy = "0.94 $/therm" }] },
  { kind = "rider", name = "gas cost", part = "supply", energy = "0.4125 $/therm" },
  { kind = "minimum", amount = "160 $/year" },
  { kind = "tax", name = "franchise fee", share = "3 %", on = ["delivery"] },
  { kind = "tax", name = "state tax", share = "6 %" },
]
""")
def gas_by_season_and_climate(therms: Hours) -> float:
    delivery = 0.4274 * 365
    for bill in bills(therms, [(month, 18) for month in range(1, 13)]):
        for season, allowance in ((True, 1.82), (False, 0.39)):
            part = [h for h in bill if (h[0].month in WINTER) == season]
            delivery += stepped(used(part), (allowance * days_of(part), 0.61), (math.inf, 0.94))
    supply = used(therms) * 0.4125
    return (delivery * 1.03 + supply + max(160 - delivery - supply, 0)) * 1.06


@sheet("""
[prices.electricity]
holidays = "CA-ON"
energy = "0.076 CAD/kWh"
fixed = "0.25 CAD/month"
period = [
  { name = "on-peak, winter", energy = "0.158 CAD/kWh", windows = ["07:00-11:00", "17:00-19:00"], days = "Mon-Fri, not holidays", months = "Nov-Apr" },
  { name = "mid-peak, winter", energy = "0.122 CAD/kWh", windows = ["11:00-17:00"], days = "Mon-Fri, not holidays", months = "Nov-Apr" },
  { name = "on-peak, summer", energy = "0.158 CAD/kWh", windows = ["11:00-17:00"], days = "Mon-Fri, not holidays", months = "May-Oct" },
  { name = "mid-peak, summer", energy = "0.122 CAD/kWh", windows = ["07:00-11:00", "17:00-19:00"], days = "Mon-Fri, not holidays", months = "May-Oct" },
]
charge = [
  { kind = "standing", name = "delivery", part = "delivery", amount = "41.49 CAD/month" },
  { kind = "rider", name = "transmission", part = "delivery", energy = "0.0187 CAD/kWh" },
  { kind = "tax", name = "HST", share = "13 %" },
  { kind = "tax", name = "rebate", share = "-13.1 %", on = ["energy", "fixed charge", "delivery"] },
]
""")
def canadian_clock_periods_and_a_rebate_before_tax(hours: Hours) -> float:
    closed = {(1, 1), (2, 17), (4, 18), (5, 19), (7, 1), (9, 1), (10, 13), (12, 25), (12, 26)}
    total = 12 * (0.25 + 41.49) + used(hours) * 0.0187
    for when, kwh, _ in hours:
        price = 0.076
        if when.weekday() < 5 and (when.month, when.day) not in closed:
            middle, edge = 11 <= when.hour < 17, 7 <= when.hour < 11 or 17 <= when.hour < 19
            on, mid = (edge, middle) if when.month in WINTER else (middle, edge)
            price = 0.158 if on else 0.122 if mid else 0.076
        total += kwh * price
    return total * (1.13 - 0.131)
