"""Invented records of different kinds in the published layout of the open rate database, and an independent bill.

The bill here is plain Python over a list of hours: nothing of the package is used, so that both can be held together.
"""

from __future__ import annotations

import datetime as dt
import math
import random
from typing import Any

FLAT = [[0] * 24 for _ in range(12)]


def grid(hours: dict[range, int], months: range = range(12), base: list[list[int]] | None = None) -> list[list[int]]:
    """A schedule with rates put into hours of some months."""
    rows = [list(row) for row in (base or FLAT)]
    for month in months:
        for span, rate in hours.items():
            for hour in span:
                rows[month][hour] = rate
    return rows


def one(rate: float, **more: float) -> list[dict[str, Any]]:
    """A rate of one tier."""
    return [{"rate": rate, "unit": "kWh", **more}]


def energy(
    structure: list[Any], weekday: list[list[int]] = FLAT, weekend: list[list[int]] | None = None
) -> dict[str, Any]:
    """The keys of energy."""
    return {
        "energyratestructure": structure,
        "energyweekdayschedule": weekday,
        "energyweekendschedule": weekend or weekday,
    }


SUMMER = grid({range(24): 1}, range(5, 9))
PEAK = grid({range(16, 21): 2}, range(12), SUMMER)
RECORDS: dict[str, dict[str, Any]] = {
    "flat": {"fixedchargefirstmeter": 11.5, "fixedchargeunits": "$/month", **energy([one(0.1234)])},
    "daily charge": {"fixedchargefirstmeter": 0.437, "fixedchargeunits": "$/day", **energy([one(0.31, adj=-0.02)])},
    "two tiers": energy([[{"max": 500, "rate": 0.09, "unit": "kWh"}, {"rate": 0.14, "unit": "kWh"}]]),
    "daily tiers": energy([[{"max": 12.5, "rate": 0.2, "unit": "kWh daily"}, {"rate": 0.33, "unit": "kWh daily"}]]),
    "seasons": energy([one(0.11), one(0.17)], SUMMER),
    "time of use": energy([one(0.08), one(0.12), one(0.35)], PEAK, SUMMER),
    "tiers by season": energy(
        [
            [{"max": 300, "rate": 0.1, "unit": "kWh"}, {"max": 700, "rate": 0.2, "unit": "kWh"}, {"rate": 0.3, "unit": "kWh"}],
            [{"max": 200, "rate": 0.15, "unit": "kWh"}, {"rate": 0.45, "unit": "kWh"}],
        ],
        SUMMER,
    ),
    "tiers in time of use": energy(
        [one(0.07), [{"max": 60, "rate": 0.2, "unit": "kWh"}, {"rate": 0.28, "unit": "kWh"}]], grid({range(7, 11): 1, range(17, 22): 1})
    ),
    "flat demand": {
        **energy([one(0.06)]), "flatdemandstructure": [[{"rate": 4.0}], [{"rate": 9.5}]], "flatdemandunit": "kW",
        "flatdemandmonths": [0, 0, 0, 0, 0, 1, 1, 1, 1, 0, 0, 0],
    },
    "tiered demand by hours": {
        **energy([one(0.05)]), "demandratestructure": [[{"rate": 0.0}], [{"max": 3, "rate": 2.0}, {"rate": 7.25}]],
        "demandweekdayschedule": grid({range(14, 19): 1}), "demandweekendschedule": FLAT, "demandrateunit": "kW",
    },
    "fuel adjustment": {
        **energy([one(0.1)]), "fixedmonthlycharge": 8.0,
        "fueladjustmentsmonthly": [0.01, 0.012, 0.0, -0.004, 0, 0, 0.02, 0.02, 0.015, 0, 0, 0.011],
    },
    "hours of use": energy([[{"max": 150, "rate": 0.11, "unit": "kWh/kW"}, {"max": 300, "rate": 0.08, "unit": "kWh/kW"}, {"rate": 0.05}]]),
    "look-back": {
        **energy([one(0.06)]), "flatdemandstructure": [[{"rate": 10.5}], [{"max": 2, "rate": 4.0}, {"rate": 11.5}]], "flatdemandunit": "kW",
        "flatdemandmonths": [0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 0, 0], "lookbackpercent": 0.85, "lookbackmonths": [1] * 12,
    },
    "daily demand": {
        **energy([one(0.06)]), "flatdemandstructure": [[{"rate": 0.2, "adj": 0.03}], [{"rate": 0.35}]], "flatdemandunit": "kW daily",
        "flatdemandmonths": [0, 0, 0, 0, 1, 1, 1, 1, 1, 0, 0, 0],
    },
    "minimum by the day": {**energy([one(0.1)]), "mincharge": 3.3, "minchargeunits": "$/day"},
    "minimum of the year": {**energy([one(0.1)]), "annualmincharge": 1500.0, "fixedchargefirstmeter": -2.0, "fixedchargeunits": "$/month"},
    "minimum bill": {**energy([one(0.1)]), "mincharge": 95.0, "minchargeunits": "$/month", "fixedchargefirstmeter": 5.0,
                     "fixedchargeunits": "$/month"},
}  # fmt: skip


def hours_of_use(seed: int, year: int = 2025) -> list[tuple[dt.datetime, float]]:
    """Each hour of a year with its kilowatt-hours."""
    random.seed(seed)
    start = dt.datetime(year, 1, 1)
    return [
        (start + dt.timedelta(hours=i), random.uniform(0.1, 2.5) + 2.0 * (random.random() > 0.97)) for i in range(8760)
    ]


def plain_bill(record: dict[str, Any], use: list[tuple[dt.datetime, float]]) -> float:
    """The year's bill of a record, hour by hour and month by month."""
    total = []
    for month in range(12):
        hours = [(when, kwh) for when, kwh in use if when.month == month + 1]
        days = len({when.date() for when, _ in hours})
        by_rate: dict[int, float] = {}
        for when, kwh in hours:
            table = record["energyweekendschedule" if when.weekday() > 4 else "energyweekdayschedule"]
            rate = table[month][when.hour]
            by_rate[rate] = by_rate.get(rate, 0.0) + kwh
        peak = max(k for _, k in hours)
        money = sum(_tiers(record["energyratestructure"][rate], kwh, days, peak) for rate, kwh in by_rate.items())
        adjustments = record.get("fueladjustmentsmonthly")
        money += adjustments[month] * sum(kwh for _, kwh in hours) if adjustments else 0.0
        if "flatdemandstructure" in record:
            tiers = record["flatdemandstructure"][record["flatdemandmonths"][month]]
            billed = max(peak, record.get("lookbackpercent", 0.0) * max(k for _, k in use))
            if record.get("flatdemandunit") == "kW daily":
                billed = sum(max(k for when, k in hours if when.day == day) for day in range(1, days + 1))
            money += _tiers(tiers, billed, days)
        if "demandratestructure" in record:
            peaks: dict[int, float] = {}
            for when, kwh in hours:
                rate = record["demandweekendschedule" if when.weekday() > 4 else "demandweekdayschedule"][month][
                    when.hour
                ]
                peaks[rate] = max(peaks.get(rate, 0.0), kwh)
            money += sum(_tiers(record["demandratestructure"][rate], peak, days) for rate, peak in peaks.items())
        fixed = record.get("fixedchargefirstmeter", record.get("fixedmonthlycharge", 0.0))
        money += fixed * (days if record.get("fixedchargeunits") == "$/day" else 1)
        least = record.get("mincharge", 0.0) * (days if record.get("minchargeunits") == "$/day" else 1)
        total.append(max(money, least))
    return max(math.fsum(total), record.get("annualmincharge", 0.0))


def _tiers(tiers: list[dict[str, Any]], amount: float, days: int, peak: float = 1.0) -> float:
    money, start = 0.0, 0.0
    for tier in tiers:
        end = tier.get("max", math.inf) * {"kWh daily": days, "kWh/kW": peak}.get(tier.get("unit", ""), 1)
        money += max(0.0, min(amount, end) - start) * (tier["rate"] + tier.get("adj", 0.0))
        start = end
    return money
