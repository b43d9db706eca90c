"""Every tariff sheet of `pencil.py`, typed as a stranger types it, agrees with the pencil to the cent."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest
from tariffs.pencil import SHEETS, year_of_hours
from tariffs.pencil_abroad import spot

from costsim.study.tariff_file import price_models
from costsim.study_files import StudyFiles
from costsim.tariffs.bill import bill, marginal_bill, monthly_energy_j, monthly_peaks_w, price_month_period
from costsim.tariffs.calendar import HourCalendar, with_outdoor
from costsim.units.fields import QuantityField

HOURS = year_of_hours()
SOLD = {"electricity": "1 kWh", "propane": "0.1 gal", "natural_gas": "0.1 therm"}
"""What an hour's amount stands for."""


class Outdoor:
    """Weather of the pencil's hours."""

    outdoor_c = np.array([cold for _, _, cold in HOURS])


CLOCK = with_outdoor(HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025), Outdoor())
SPOT = "price [£/MWh]\n" + "\n".join(str(spot(at)) for at in range(8760))


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_agrees_with_a_pencil_to_the_cent(name: str) -> None:
    text, pencil = SHEETS[name]
    tables = tomllib.loads(text)["prices"]
    ((key, price),) = price_models(tables, "sheet.toml", StudyFiles(opened={"spot.csv": SPOT.encode()})).items()
    tariff = price.tariff(key)
    unit = "0.1 m3" if "m3" in text else SOLD[key]
    amount = float(unit.split()[0])
    hours = [(when, used * amount, cold) for when, used, cold in HOURS]
    energy = np.array([used for _, used, _ in HOURS]) * price.joules(QuantityField("amount", "Amount").read(unit), key)
    expected = pencil(hours)
    assert bill(tariff, CLOCK, energy).total == pytest.approx(expected, abs=0.005)
    # the same objects price many scenarios, and what heating adds
    sums, peaks = monthly_energy_j(tariff, CLOCK, energy).T[None], monthly_peaks_w(tariff, CLOCK, energy)[None]
    found = price_month_period(tariff, sums, peaks, calendar=CLOCK)
    assert found == pytest.approx([expected], abs=0.005)
    added = marginal_bill(tariff, CLOCK, 0.75 * energy, 0.25 * energy)
    assert added.total + (added.without_heating or 0.0) == pytest.approx(expected, abs=0.005)
