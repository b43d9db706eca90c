"""`fit_house`: the fit of the house as it stands now, with the change that its bills show, if any."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.bills.change import Change, find_change
from costsim.bills.fit import CV_LIMIT, NMBE_LIMIT, Efficiency, Fit
from costsim.bills.line import season_of
from costsim.bills.model import ONE_DAY, Bills
from costsim.bills.regression import fit_bills
from costsim.bills.settle import settled
from costsim.bills.temperatures import Temperatures
from costsim.errors import InputError
from costsim.units.quantity import KWH_J

WEEK_D = 7


@dataclass(frozen=True, slots=True, eq=False)
class HouseFit:
    """Fits of one fuel's bills.

    Parameters
    ----------
    now : Fit
        Of the bills since the change where there is one and they suffice, else of all.
    before : Fit or None
        Of the bills before the change, where they suffice.
    change : Change or None
    """

    now: Fit
    before: Fit | None
    change: Change | None

    @property
    def is_part(self) -> bool:
        """Whether `now` rests on the bills since a change only."""
        return self.change is not None and bool(self.now.bills.start_day[0] == self.change.day)


def fit_house(
    bills: Bills, temperatures: Temperatures, *, efficiency: Efficiency | None = None, design_c: float | None = None
) -> HouseFit:
    """Fit all bills, look for a change, and fit what came after it.

    Parameters
    ----------
    bills, temperatures, efficiency, design_c
        As for `fit_bills`.

    Raises
    ------
    InputError
        The bills do not carry a fit.
    """
    bills = _by_week(settled(bills, temperatures))
    whole = fit_bills(bills, temperatures, efficiency=efficiency, design_c=design_c)
    # with a typical year a mild winter after a cold one would look like a change of the house
    change = None if temperatures.typical else find_change(bills, season_of(bills, temperatures))
    if change is None:
        return HouseFit(whole, None, None)

    def part(chosen: slice) -> Fit | None:
        try:
            return fit_bills(bills.part(chosen), temperatures, efficiency=efficiency, design_c=design_c)
        except InputError:
            return None

    return HouseFit(part(slice(change.index, None)) or whole, part(slice(change.index)), change)


def _by_week(bills: Bills) -> Bills:
    """Put daily use together into weeks: a house remembers yesterday, and weekends differ, which bands take for chance."""
    if float(np.median(bills.days)) >= WEEK_D - 1:
        return bills
    weeks = bills.grouped(WEEK_D)
    note = "daily use was put together into weeks, so that the house's memory of yesterday and weekends do not pass for chance"
    return replace(weeks, notes=(*bills.notes, note))


def as_json(house_fit: HouseFit) -> dict[str, Any]:
    """Give a fit as plain data: energy in kWh, power in kW, temperatures in °C, W/K."""
    fit, change = house_fit.now, house_fit.change
    fit_json = _fit_json(fit)
    fit_json["change"] = change and {
        "day": str(change.day),
        "kind": change.kind,
        "slope_ratio": change.ratio,
        "slope_ratio_band": list(change.ratio_band),
        "bic_drop": change.bic_drop,
        "fitted_since_then": bool(house_fit.is_part),
    }
    fit_json["before_change"] = house_fit.before and _fit_json(house_fit.before)
    return fit_json


def _fit_json(fit: Fit) -> dict[str, Any]:
    bills = fit.bills
    return {
        "bills": bills.name,
        "fuel": bills.fuel,
        "weather": fit.weather,
        "first_day": str(bills.start_day[0]),
        "last_day": str(bills.end_day[-1] - ONE_DAY),
        "fuel_slope_w_k": fit.line.slope_w_k,
        "fuel_slope_band_w_k": list(fit.slope_band_w_k),
        "fuel_slope_standard_error_w_k": fit.slope_se_w_k,
        "efficiency": fit.efficiency.value,
        "efficiency_band": [fit.efficiency.low, fit.efficiency.high],
        "loss_w_k": fit.loss_w_k,
        "loss_band_w_k": list(fit.loss_band_w_k),
        "balance_c": fit.line.balance_c,
        "balance_band_c": list(fit.balance_band_c),
        "base_kwh_day": fit.line.base_w * 0.024,
        "design_c": fit.design_c,
        "design_load_kw": fit.design_load_w / 1e3,
        "design_load_band_kw": [value / 1e3 for value in fit.design_band_w],
        "normal_year_kwh": None if fit.annual_j is None else fit.annual_j / KWH_J,
        "normal_year_band_kwh": None if fit.annual_j is None else [value / KWH_J for value in fit.annual_band_j],
        "r2": fit.r2,
        "cv_rmse": fit.cv_rmse,
        "nmbe": fit.nmbe,
        "limits": {"cv_rmse": CV_LIMIT, "nmbe": NMBE_LIMIT, "met": fit.meets_limits},
        "periods": [
            {
                "first_day": str(bills.start_day[i]),
                "last_day": str(bills.end_day[i] - ONE_DAY),
                "use_kwh": float(bills.energy_j[i] / KWH_J),
                "fitted_kwh": float(fit.fitted_j[i] / KWH_J),
                "mean_excess_k": float(np.round(fit.excess_k[i], 6)),
                "estimated_within": bool(bills.estimated[i]),
            }
            for i in range(bills.n_periods)
        ],
        "notes": [*bills.notes, *fit.notes],
    }
