"""More sheets beside their pencils, in the layouts of Europe, Britain, Australia, New Zealand and Japan; invented too."""

from __future__ import annotations

import math

from tariffs.pencil import Hours, bills, daily_peaks, days_of, months, sheet, stepped, used


@sheet("""
[prices.electricity]
block = [{ up_to = "2500 kWh/year", energy = "31.9 ct/kWh" }, { up_to = "10000 kWh/year", energy = "29.4 ct/kWh" }, { energy = "28.1 ct/kWh" }]
[[prices.electricity.charge]]
kind = "standing"
name = "base price"
amount = "142.80 €/year"
[[prices.electricity.charge]]
kind = "tax"
name = "VAT"
share = "19 %"
""")
def annual_tiers(hours: Hours) -> float:
    return 1.19 * (142.80 + stepped(used(hours), (2500, 0.319), (10000, 0.294), (math.inf, 0.281)))


@sheet("""
[prices.electricity]
charge = [
  { kind = "rider", name = "day", part = "network", energy = "45.9 øre/kWh", windows = ["06:00-22:00"] },
  { kind = "rider", name = "night", part = "network", energy = "33.1 øre/kWh", windows = ["22:00-06:00"] },
  { kind = "power", name = "capacity", part = "network", top_days = 3, step = [
    { up_to = "2 kW", fee = "155 NOK/month" }, { up_to = "5 kW", fee = "250 NOK/month" }, { fee = "420 NOK/month" }] },
  { kind = "tiers", name = "supply", tier = [{ energy = "0.92 NOK/kWh" }] },
  { kind = "rider", name = "duty, winter", energy = "0.0979 NOK/kWh", months = "Jan-Mar" },
  { kind = "rider", name = "duty", energy = "0.1693 NOK/kWh", months = "Apr-Dec" },
  { kind = "tax", name = "VAT", share = "25 %" },
]
""")
def mean_of_the_three_highest_days(hours: Hours) -> float:
    total = 0.0
    for number, month in enumerate(months(hours), 1):
        mean = sum(daily_peaks(month)[:3]) / 3
        total += 155 if mean <= 2 else 250 if mean <= 5 else 420
        total += sum(kwh * (0.459 if 6 <= when.hour < 22 else 0.331) for when, kwh, _ in month)
        total += used(month) * (0.92 + (0.0979 if number < 4 else 0.1693))
    return 1.25 * total


@sheet("""
[prices.electricity]
energy = "0.1132 €/kWh"
charge = [
  { kind = "power", name = "capacity", part = "network", averaged_months = 12, minimum = "2.5 kW", step = [{ price = "47.14 €/kW/year" }] },
  { kind = "standing", name = "data", part = "network", amount = "15.76 €/year" },
  { kind = "rider", name = "network", energy = "5.38 ct/kWh" },
  { kind = "tiers", name = "excise", tier = [{ up_to = "3000 kWh/year", energy = "0.0503 €/kWh" }, { energy = "0.0461 €/kWh" }] },
  { kind = "tax", name = "VAT", share = "6 %" },
]
""")
def mean_of_twelve_monthly_peaks(hours: Hours) -> float:
    peaks = [max(max(h[1] for h in month), 2.5) for month in months(hours)]
    total = sum(peaks) / 12 * 47.14 + 15.76 + used(hours) * (0.1132 + 0.0538)
    return 1.06 * (total + stepped(used(hours), (3000, 0.0503), (math.inf, 0.0461)))


@sheet("""
[prices.electricity]
energy = "0.2068 €/kWh"
period = [{ name = "off-peak", energy = "0.1579 €/kWh", windows = ["23:30-07:30"] }]
charge = [
  { kind = "power", name = "subscription", contracted = "9 kVA", step = [
    { up_to = "6 kVA", fee = "15.74 €/month" }, { up_to = "9 kVA", fee = "19.81 €/month" }, { up_to = "12 kVA", fee = "23.76 €/month" }] },
  { kind = "rider", name = "excise", energy = "0.0225 €/kWh" },
  { kind = "tax", name = "reduced VAT", share = "5.5 %", on = ["subscription"] },
  { kind = "tax", name = "VAT", share = "20 %", on = ["energy"] },
]
""")
def subscription_and_two_rates_of_vat(hours: Hours) -> float:
    total = 0.0
    for when, kwh, _ in hours:
        night = 0.5 if when.hour in (7, 23) else float(when.hour < 7)
        total += kwh * (0.1579 * night + 0.2068 * (1 - night) + 0.0225)
    return 12 * 19.81 * 1.055 + total * 1.20


@sheet("""
[prices.electricity]
holidays = "Jan 1, Jan 6, May 1, Aug 15, Oct 12, Dec 6, Dec 8, Dec 25"
energy = "0.0923 €/kWh"
period = [
  { name = "peak", energy = "0.1928 €/kWh", windows = ["10:00-14:00", "18:00-22:00"], days = "Mon-Fri, not holidays" },
  { name = "shoulder", energy = "0.1207 €/kWh", windows = ["08:00-10:00", "14:00-18:00", "22:00-24:00"], days = "Mon-Fri, not holidays" },
]
charge = [
  { kind = "power", name = "power, day", contracted = "4.6 kW", step = [{ price = "0.0936 €/kW/day" }] },
  { kind = "power", name = "power, night", contracted = "4.6 kW", step = [{ price = "3.1 €/kW/year" }] },
  { kind = "standing", name = "meter", amount = "0.0266 €/day" },
  { kind = "tax", name = "electricity tax", share = "5.1127 %", on = ["energy", "power, day", "power, night"] },
  { kind = "tax", name = "VAT", share = "21 %" },
]
""")
def contracted_power_by_the_day_and_tax_on_tax(hours: Hours) -> float:
    closed = {(1, 1), (1, 6), (5, 1), (8, 15), (10, 12), (12, 6), (12, 8), (12, 25)}
    energy = 0.0
    for when, kwh, _ in hours:
        price = 0.0923
        if when.weekday() < 5 and (when.month, when.day) not in closed and when.hour >= 8:
            price = 0.1928 if 10 <= when.hour < 14 or 18 <= when.hour < 22 else 0.1207
        energy += kwh * price
    power = 4.6 * (0.0936 * 365 + 3.1)
    return 1.21 * ((energy + power) * 1.051127 + 0.0266 * 365)


@sheet("""
[prices.natural_gas]
heat_content = "10.57 kWh/m3"
charge = [
  { kind = "tiers", name = "gas", part = "supply", tier = [{ up_to = "480 m3/year", energy = "0.52 €/m3" }, { energy = "0.49 €/m3" }] },
  { kind = "standing", name = "retail", amount = "96 €/year" },
  { kind = "tax", name = "reduced VAT", share = "10 %", on = ["gas, tier 1"] },
  { kind = "tax", name = "VAT", share = "22 %", on = ["gas, tier 2", "retail"] },
]
""")
def vat_of_two_rates_by_use(cubic_metres: Hours) -> float:
    first = min(used(cubic_metres), 480)
    return first * 0.52 * 1.10 + ((used(cubic_metres) - first) * 0.49 + 96) * 1.22


@sheet("""
[prices.electricity]
energy = "29.41 p/kWh"
period = [{ name = "night", energy = "13.9 p/kWh", windows = ["00:30-07:30"] }]
charge = [{ kind = "standing", amount = "53.35 p/day" }, { kind = "tax", name = "VAT", share = "5 %" }]
""")
def british_two_rates(hours: Hours) -> float:
    total = 0.0
    for when, kwh, _ in hours:
        night = 0.5 if when.hour in (0, 7) else float(when.hour < 7)
        total += kwh * (0.139 * night + 0.2941 * (1 - night))
    return 1.05 * (total + 0.5335 * 365)


def spot(at: int) -> float:
    """Price of an hour in £/MWh, negative at times."""
    return round(70 + 90 * math.sin(at / 5) + 60 * math.cos(at / 31), 2)


@sheet("""
[prices.electricity]
charge = [
  { kind = "hourly_price", name = "most", file = "spot.csv", factor = 2.2, floor = "-0.05 £/kWh", cap = "0.33 £/kWh", windows = ["19:00-16:00"] },
  { kind = "hourly_price", name = "peak", file = "spot.csv", factor = 2.2, plus = "12 p/kWh", cap = "0.40 £/kWh", windows = ["16:00-19:00"] },
  { kind = "standing", amount = "47.85 p/day" },
  { kind = "tax", name = "VAT", share = "5 %" },
]
""")
def formula_of_an_hourly_price(hours: Hours) -> float:
    total = 0.4785 * 365
    for at, (when, kwh, _) in enumerate(hours):
        price = 2.2 * spot(at) / 1000
        total += kwh * (min(price + 0.12, 0.40) if 16 <= when.hour < 19 else min(max(price, -0.05), 0.33))
    return 1.05 * total


@sheet("""
[prices.electricity]
read_dates = ["Jan 9", "Apr 10", "Jul 10", "Oct 9"]
block = [{ up_to = "15 kWh/day", energy = "31.06 ¢/kWh" }, { energy = "33.88 ¢/kWh" }]
charge = [
  { kind = "standing", name = "supply charge", amount = "1.1297 A$/day" },
  { kind = "rider", name = "winter demand saver", energy = "-2.4 ¢/kWh", months = "Jun-Aug", windows = ["10:00-15:00"] },
  { kind = "tax", name = "GST", share = "10 %" },
]
""")
def australian_quarter(hours: Hours) -> float:
    total = 1.1297 * 365 - 0.024 * used(h for h in hours if h[0].month in (6, 7, 8) and 10 <= h[0].hour < 15)
    for bill in bills(hours, [(1, 9), (4, 10), (7, 10), (10, 9)]):
        total += stepped(used(bill), (15 * days_of(bill), 0.3106), (math.inf, 0.3388))
    return 1.10 * total


@sheet("""
[prices.electricity]
energy = "21.3 ct/kWh"
charge = [
  { kind = "standing", name = "low user", part = "lines", amount = "0.90 NZ$/day" },
  { kind = "rider", name = "lines", part = "lines", energy = "0.1042 NZ$/kWh" },
  { kind = "tax", name = "prompt payment", share = "-3.5 %", on = ["lines"] },
  { kind = "tax", name = "GST", share = "15 %" },
]
""")
def discount_on_delivery_alone(hours: Hours) -> float:
    return 1.15 * (used(hours) * 0.213 + (0.90 * 365 + used(hours) * 0.1042) * 0.965)


FUEL = (-2.1, -2.3, -1.8, -0.9, 0.4, 1.2, 1.1, 0.8, 0.0, -0.6, -1.3, -1.9)
NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@sheet(
    """
[prices.electricity]
read_day = 5
fixed = "935.25 ¥/month"
block = [{ up_to = "120 kWh/month", energy = "29.80 ¥/kWh" }, { up_to = "300 kWh/month", energy = "36.40 ¥/kWh" }, { energy = "40.49 ¥/kWh" }]
charge = [
  { kind = "rider", name = "renewables levy", energy = "3.98 ¥/kWh" },
"""
    + "".join(
        f'  {{ kind = "rider", name = "fuel {name}", energy = "{one} ¥/kWh", months = "{name}" }},\n'
        for name, one in zip(NAMES, FUEL, strict=True)
        if one
    )
    + "]\n"
)
def japanese_ampere(hours: Hours) -> float:
    total = 12 * 935.25 + 3.98 * used(hours) + math.fsum(h[1] * FUEL[h[0].month - 1] for h in hours)
    for bill in bills(hours, [(month, 5) for month in range(1, 13)]):
        total += stepped(used(bill), (120, 29.80), (300, 36.40), (math.inf, 40.49))
    return total


@sheet("""
[prices.electricity]
charge = [
  { kind = "tiers", name = "day", filled_by = "all", windows = ["07:00-21:00"], days = "Mon-Fri", tier = [
    { up_to = "400 kWh/month", energy = "24.1 Rp/kWh" }, { energy = "27.9 Rp/kWh" }] },
  { kind = "tiers", name = "night", filled_by = "all", windows = ["00:00-07:00", "21:00-24:00"], days = "Mon-Fri", tier = [
    { up_to = "400 kWh/month", energy = "16.2 Rp/kWh" }, { energy = "19 Rp/kWh" }] },
  { kind = "tiers", name = "weekend", filled_by = "all", days = "Sat, Sun", tier = [
    { up_to = "400 kWh/month", energy = "17 Rp/kWh" }, { energy = "20 Rp/kWh" }] },
  { kind = "tiers", name = "levy on all use", whole_use = true, tier = [
    { up_to = "700 kWh/month", energy = "1.1 Rp/kWh" }, { up_to = "1100 kWh/month", energy = "2.3 Rp/kWh" }, { energy = "3.4 Rp/kWh" }] },
  { kind = "credit", name = "solidarity", amount = "35 CHF/month", months = "Jun-Aug", refundable = false },
]
""")
def tiers_shared_by_clock_periods(hours: Hours) -> float:
    prices = {"day": (0.241, 0.279), "night": (0.162, 0.19), "weekend": (0.17, 0.20)}
    total = 0.0
    for number, month in enumerate(months(hours), 1):
        whole = used(month)
        groups: dict[str, float] = {}
        for when, kwh, _ in month:
            key = "weekend" if when.weekday() > 4 else "day" if 7 <= when.hour < 21 else "night"
            groups[key] = groups.get(key, 0.0) + kwh
        below = min(whole, 400) / whole
        money = sum(kwh * (below * prices[key][0] + (1 - below) * prices[key][1]) for key, kwh in groups.items())
        money += whole * (0.011 if whole <= 700 else 0.023 if whole <= 1100 else 0.034)
        total += money - (min(35, money) if number in (6, 7, 8) else 0)
    return total
