"""Sample bills that utilities and handbooks publish: each sheet typed, each figure to the cent."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest

from costsim.study.tariff_file import price_models
from costsim.tariffs.bill import Bill, bill
from costsim.tariffs.calendar import HourCalendar
from costsim.units.fields import QuantityField

KWH = 3.6e6
CLOCK = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)


def billed(text: str, energy_j: np.ndarray) -> Bill:
    """The year's bill of a typed table."""
    ((key, price),) = price_models(tomllib.loads(text)["prices"], "sheet.toml").items()
    return bill(price.tariff(key), CLOCK, energy_j)


def in_month(month: int, amount_j: float) -> np.ndarray:
    """An amount spread over a month."""
    return np.where(CLOCK.month == month, amount_j / (CLOCK.month == month).sum(), 0.0)


def test_power_by_the_highest_hours(published) -> None:
    rows = published("tariffs")
    sheet = """
    [prices.electricity]
    energy = "0 SEK/kWh"
    charge = [
      { kind = "power", top_days = 3, windows = ["07:00-19:00"], days = "Mon-Fri, not holidays", months = "Apr-Oct", step = [{ price = "55.75 SEK/kW" }] },
      { kind = "power", top_days = 3, windows = ["07:00-19:00"], days = "Mon-Fri, not holidays", months = "Nov-Mar", step = [{ price = "111.50 SEK/kW" }] },
    ]
    """
    energy = np.zeros(8760)
    for first in (0, 181):  # 1 January and 1 July, a Wednesday and a Tuesday
        for day, hour, kilowatts in ((1, 8, 6.7), (2, 18, 5.7), (6, 12, 4.7), (1, 20, 9.0), (3 + (first > 0), 12, 9.5)):
            energy[(first + day) * 24 + hour] = kilowatts * KWH
    found = billed(sheet, energy).by_month()
    rows["power_three_peaks_winter"].check(found[0])
    rows["power_three_peaks_summer"].check(found[6])
    energy = np.zeros(8760)
    energy[[160 * 24 + 9, 320 * 24 + 17]] = 4 * KWH, 8 * KWH
    found = billed(
        '[prices.electricity]\nenergy = "0 SEK/kWh"\ndemand = [{ price = "29.50 SEK/kW" }]', energy
    ).by_month()
    rows["power_highest_hour_june"].check(found[5])
    rows["power_highest_hour_november"].check(found[10])


def test_the_mean_of_twelve_monthly_peaks(published) -> None:
    peaks = (9.2, 5.0, 4.12, 4.88, 0.632, 4.6, 0.0, 1.028, 3.444, 4.164, 4.564, 6.0)  # January first
    energy = np.zeros(8760)
    for month, kilowatts in enumerate(peaks, 1):
        energy[np.flatnonzero(CLOCK.month == month)[200]] = kilowatts * KWH
    sheet = """
    [prices.electricity]
    energy = "0 €/kWh"
    charge = [{ kind = "power", averaged_months = 12, minimum = "2.5 kW", step = [{ price = "1 €/kW/year" }] }]
    """
    found = billed(sheet, energy)
    published("tariffs")["mean_monthly_peak"].check(found.total / 2.5)
    assert found.by_month() == pytest.approx([found.total / 12] * 12)


def test_blocks_of_a_month_and_thresholds_of_the_bills_own_days(published) -> None:
    rows = published("tariffs")
    tokyo = """
    [prices.electricity]
    block = [{ up_to = "120 kWh/month", energy = "19.88 ¥/kWh" }, { up_to = "300 kWh/month", energy = "26.48 ¥/kWh" }, { energy = "30.57 ¥/kWh" }]
    """
    rows["tokyo_400"].check(billed(tokyo, in_month(5, 400 * KWH)).by_month()[4])
    # a dollar for each kilowatt-hour of the first step shows how long it is
    step = """
    [prices.electricity]
    read_dates = ["Jan 10", "Mar 11", "May 8", "Jul 1", "Sep 1", "Nov 9"]
    block = [{ up_to = "%s kWh/day", energy = "1 CAD/kWh" }, { energy = "0 CAD/kWh" }]
    """
    plenty = np.full(8760, 5 * KWH)
    found = billed(step % "22.1918", plenty).by_month()
    rows["british_columbia_60"].check(found[2])
    rows["british_columbia_58"].check(found[4])
    rows["quebec_62"].check(billed(step % "40", plenty).by_month()[8])


def test_riders_service_charge_power_and_tax(published) -> None:
    rows = published("tariffs")
    gas = """
    [prices.natural_gas]
    fixed = "80 $/month"
    tax = "5.8 %"
    block = [{ up_to = "10000 CCF/month", energy = "0.4374 $/CCF" }, { up_to = "30000 CCF/month", energy = "0.4222 $/CCF" }, { energy = "0.41 $/CCF" }]
    charge = [
      { kind = "rider", name = "purchased gas adjustment", energy = "-0.0097 $/CCF" },
      { kind = "rider", name = "demand-side management", energy = "0.0020 $/CCF" },
    ]
    """
    price = price_models(tomllib.loads(gas)["prices"], "sheet.toml")["natural_gas"]
    ccf = price.joules(QuantityField("amount", "Amount").read("1 CCF"), "natural_gas")
    found = billed(gas, in_month(1, 47_500 * ccf)).by_month()
    rows["gas_three_blocks"].check(found[0])
    rows["gas_nothing_used"].check(found[1])
    power = """
    [prices.electricity]
    fixed = "3.74 $/month"
    energy = "0.09444 $/kWh"
    demand = [{ price = "8.744667 $/kW", months = "Jun-Sep" }]
    charge = [{ kind = "rider", name = "energy cost adjustment", energy = "-0.017192 $/kWh" }]
    """
    june = np.flatnonzero(CLOCK.month == 6)
    energy = np.zeros(8760)
    energy[june] = (17_588 - 30) * KWH / (len(june) - 1)
    energy[june[220]] = 30 * KWH
    rows["new_jersey_june"].check(billed(power, energy).by_month()[5])
    units = '[prices.electricity]\nenergy = "15.4 p/kWh"\ncharge = [{ kind = "tax", name = "VAT", share = "5 %" }]'
    rows["british_units"].check(billed(units, in_month(2, 479 * KWH)).by_month()[1])
