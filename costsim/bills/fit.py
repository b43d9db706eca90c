"""What a regression of bills on weather says about the house, with bands; frozen results and the words for where they come from."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from costsim.bills.away import Away
from costsim.bills.line import Line, t_quantile
from costsim.bills.model import Bills
from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats
from costsim.units.quantity import UnitError, parse
from costsim.units.table import DAY_S

USUAL_BALANCE_C = (10.0, 20.0)  # of homes, from very well insulated to drafty; common practice, no source
CV_LIMIT, NMBE_LIMIT = 0.15, 0.05  # ASHRAE Guideline 14-2014, monthly calibration; seen in secondary copies only
SHORT_D, MONTH_D = 21, 28


@dataclass(frozen=True, slots=True)
class Efficiency:
    """Seasonal heat to the house for each higher heating value bought, with the band nine of ten lie in.

    `steady_w` is fuel that a study counts beside it, whatever the weather [W]: it is in the base use of bills, not in their slope.
    """

    value: float
    low: float
    high: float
    source: str
    steady_w: float = 0.0


_PRACTICE = "assumed, common practice without a source; tell yours with --efficiency"
DEFAULT_EFFICIENCY = {
    "electricity": Efficiency(1.0, 1.0, 1.0, "resistance heat; a heat pump gives more, tell it with --efficiency"),
    "natural_gas": Efficiency(0.82, 0.72, 0.92, _PRACTICE),
    "propane": Efficiency(0.82, 0.72, 0.92, _PRACTICE),
    "heating_oil": Efficiency(0.80, 0.72, 0.88, _PRACTICE),
    "wood": Efficiency(0.60, 0.45, 0.75, _PRACTICE),
    "pellets": Efficiency(0.80, 0.70, 0.90, _PRACTICE),
}


def usual_efficiency(fuel: str) -> Efficiency:
    """Of what burns a fuel, where nobody tells it."""
    return DEFAULT_EFFICIENCY.get(fuel, Efficiency(0.75, 0.60, 0.90, _PRACTICE))


def read_efficiency(text: str) -> Efficiency:
    """Read ``"85 %"`` or a band such as ``"80 % to 90 %"``; a heat pump's may exceed 100 %.

    Raises
    ------
    InputError
        It is no share, or out of reach.

    Examples
    --------
    >>> read_efficiency("80 % to 90 %").value
    0.8500000000000001
    """
    remedy = 'write "85 %" or "80 % to 90 %"'
    try:
        parts = [parse(part, "share").value for part in text.replace(" - ", " to ").split(" to ")]
    except UnitError as error:
        raise InputError(Fault("--efficiency", str(error), remedy)) from None
    if len(parts) > 2 or not 0.1 <= min(parts) <= max(parts) <= 6.0:
        raise InputError(Fault("--efficiency", f"'{text}' is no seasonal efficiency", remedy))
    source = "as given, taken as exact" if len(parts) == 1 else "as given"
    return Efficiency((parts[0] + parts[-1]) / 2.0, min(parts), max(parts), source)


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A house as its bills show it; bands are those in which nine of ten such fits hold the true value.

    Parameters
    ----------
    bills : Bills
        What was fitted.
    weather : str
        Title of the weather.
    line : Line
        Base use [W], fuel slope [W/K] (loss per kelvin over efficiency) and balance point [°C].
    slope_se_w_k : float
        Standard error of the fuel slope [W/K].
    slope_band_w_k, balance_band_c : tuple of float
        Bands; the balance point's by profile likelihood.
    efficiency : Efficiency
    loss_w_k, loss_band_w_k : float, tuple of float
        Loss per kelvin UA [W/K]; the band holds that of the efficiency too.
    design_c, design_from : float, str
        Outdoor design temperature [°C] and its source.
    design_load_w, design_band_w : float, tuple of float
        Heat at the design temperature net of gains: UA times (balance point minus design temperature) [W].
    annual_j, annual_band_j : float or None, tuple of float
        Fuel in the average year of the weather [J]; None where the weather holds less than a year.
    annual_base_j : float
        Base use in 365 days [J].
    excess_k, fitted_j, residual_j : array (n,)
        Mean excess, use by the line, and use minus that, of each period.
    mean_c : array (n,)
        Mean outdoor temperature of each period [°C].
    deviation_k : array (m,)
        Quantiles of how far hours lie from the mean of their period [K].
    covariance : array (3, 3)
        Of base, slope and balance point.
    r2, cv_rmse, nmbe : float
        Share of the variance explained; root of the squared residuals over n minus p, and mean residual, over the mean bill.
    parameters : int
        p.
    notes : tuple of str
        What weakens or explains the fit.
    away : tuple of Away
        Bills that may be of days on which nobody was at home.
    """

    bills: Bills
    weather: str
    line: Line
    slope_se_w_k: float
    slope_band_w_k: tuple[float, float]
    balance_band_c: tuple[float, float]
    efficiency: Efficiency
    loss_w_k: float
    loss_band_w_k: tuple[float, float]
    design_c: float
    design_from: str
    design_load_w: float
    design_band_w: tuple[float, float]
    annual_j: float | None
    annual_band_j: tuple[float, float]
    annual_base_j: float
    excess_k: Floats
    fitted_j: Floats
    residual_j: Floats
    mean_c: Floats
    deviation_k: Floats
    covariance: Floats
    r2: float
    cv_rmse: float
    nmbe: float
    parameters: int
    notes: tuple[str, ...]
    away: tuple[Away, ...] = ()

    @property
    def meets_limits(self) -> bool:
        """Whether residuals keep within the monthly limits of ASHRAE Guideline 14."""
        return self.cv_rmse <= CV_LIMIT and abs(self.nmbe) <= NMBE_LIMIT

    @property
    def usual_balance(self) -> bool:
        """Whether heating begins where it does in most homes."""
        return USUAL_BALANCE_C[0] <= self.line.balance_c <= USUAL_BALANCE_C[1]

    def curve(self, mean_c: Floats) -> tuple[Floats, Floats]:
        """Use by the line over mean outdoor temperature, and half its band of 90 % (k,) [W].

        Periods of one mean hold warmer and colder hours, as many as the bills' own: hence the bend instead of a kink.
        """
        below = self.line.balance_c - mean_c[:, None] - self.deviation_k
        excess, cold = np.maximum(below, 0.0).mean(axis=1), (below > 0).mean(axis=1)
        by = np.column_stack((np.ones_like(excess), excess, self.line.slope_w_k * cold))
        variance = np.einsum("ki,ij,kj->k", by, self.covariance, by)
        quantile = t_quantile(0.95, self.bills.n_periods - self.parameters)
        return self.line.at(excess), quantile * np.sqrt(np.maximum(variance, 0.0))


def measures(bills: Bills, fitted_j: Floats, parameters: int) -> tuple[float, float, float]:
    """R², CV(RMSE) and NMBE of the bills' energies.

    Parameters
    ----------
    bills : Bills
    fitted_j : array (n,)
        Energy by the line [J].
    parameters : int
        Fitted parameters p; both measures divide by n − p.

    Notes
    -----
    The limits are monthly, so periods shorter than three weeks are put together into four and more before they are measured.
    With a base in the line the weighted residuals add up to nothing, so NMBE says something only where base use is nothing.
    """
    left = bills.energy_j - fitted_j
    short = float(np.median(bills.days)) < SHORT_D
    months, errors = bills.grouped(MONTH_D) if short else bills, replace(bills, energy_j=left)
    per_month = errors.grouped(MONTH_D).energy_j if short else left
    mean = float(months.energy_j.mean())
    free = max(months.n_periods - parameters, 1)
    middle = float((bills.days * bills.mean_w).sum() / bills.days.sum())
    spread = float((bills.days * (bills.mean_w - middle) ** 2).sum())
    explained = 1.0 - float((left**2 / bills.days).sum()) / DAY_S**2 / spread if spread > 0 else 0.0
    return explained, float(np.sqrt((per_month**2).sum() / free)) / mean, float(left.sum()) / (free * mean)
