"""`fit_bills`: from bills and the weather of their days to loss per kelvin, balance point and design load."""

from __future__ import annotations

import numpy as np

from costsim.bills.away import asked_about
from costsim.bills.fit import Efficiency, Fit, measures, usual_efficiency
from costsim.bills.line import (
    HIGHEST_BALANCE_C,
    LOWEST_BALANCE_C,
    Line,
    Season,
    best_line,
    covariance,
    line_at,
    season_of,
    t_quantile,
)
from costsim.bills.model import Bills
from costsim.bills.outliers import odd_faults
from costsim.bills.temperatures import Temperatures
from costsim.errors import Fault, InputError, SolverError
from costsim.units.arrays import Floats
from costsim.units.table import DAY_S

SHORTEST_D, FEWEST, WINTER_D = 270.0, 6, 20
SPREAD_BASE_C, LEAST_SPREAD_K = 18.0, 5.0
CONFIDENCE = 0.90


def fit_bills(
    bills: Bills,
    temperatures: Temperatures,
    *,
    efficiency: Efficiency | None = None,
    design_c: float | None = None,
) -> Fit:
    """Fit base use, slope and balance point to bills.

    Parameters
    ----------
    bills : Bills
    temperatures : Temperatures
        That reach over the bills, or a typical year.
    efficiency : Efficiency, optional
        Seasonal; a usual one of the fuel by default, with a wide band.
    design_c : float, optional
        Outdoor design temperature [°C]; the weather's by default.

    Returns
    -------
    Fit

    Raises
    ------
    InputError
        Too few months, no winter, too little change of weather, use that does not rise with the cold, or a bill that is
        many times what the weather says.

    Notes
    -----
    ``use = base + slope · mean(max(0, balance − outdoor))`` over each period's own days, clipped hour by hour like
    `costsim.physics.demand.degree_hour_demand_w`, weighted by length. Bands take the residuals as independent, not as alike.
    """
    season = season_of(bills, temperatures)
    faults = _too_little(bills, temperatures, season)
    if faults:
        raise InputError(faults)
    faults = odd_faults(bills, season)
    if faults:
        raise InputError(faults)
    try:
        line = best_line(season, bills.mean_w)
    except SolverError as error:
        raise InputError(_no_rise(bills, str(error))) from None
    return _told(bills, temperatures, season, line, efficiency or usual_efficiency(bills.fuel), design_c)


def _no_rise(bills: Bills, what: str) -> Fault:
    return Fault("", what, "heating bills are meant: check fuel, dates and hemisphere of the weather", bills.name)


def _too_little(bills: Bills, temperatures: Temperatures, season: Season) -> list[Fault]:
    """Find what cannot carry a fit."""
    faults, days = [], float(bills.days.sum())
    winter = _winter_days(bills, temperatures)
    if days < SHORTEST_D:
        what = f"the bills reach over {days:.0f} days"
        what += "" if winter is None else f", {winter or 'none'} of them in the three coldest months of the weather"
        return [Fault("", what, "at least nine months are needed, among them winter months", bills.name)]
    if bills.n_periods < FEWEST:
        what = f"there {'is 1 period' if bills.n_periods == 1 else f'are {bills.n_periods} periods'}, too few for base, slope and balance point"
        faults.append(Fault("", what, f"give at least {FEWEST}", bills.name))
    if winter is not None and winter < WINTER_D:
        what = f"{winter or 'no'} days lie in the three coldest months of the weather"
        faults.append(Fault("", what, "add the bills of a winter", bills.name))
    spread = float(np.ptp(season.excess_k(SPREAD_BASE_C)))
    if spread < LEAST_SPREAD_K and not faults:
        what = f"degree-days below {SPREAD_BASE_C:g} °C differ by only {spread:.1f} K·d a day between bills"
        faults.append(
            Fault(
                "", what, "a range of at least 5 is needed: summer and winter bills of a place with winters", bills.name
            )
        )
    return faults


def _winter_days(bills: Bills, temperatures: Temperatures) -> int | None:
    """Days of the bills in the three coldest months; None where the weather holds less than a year."""
    year = temperatures.average_year()
    if year is None:
        return None
    first = np.datetime64("2023-01-01")
    months = (first + np.arange(365)).astype("datetime64[M]").astype(int) % 12
    means = np.bincount(months, weights=year.mean(axis=1)) / np.bincount(months)
    coldest = np.argsort(np.asarray(means))[:3]
    spans = [np.arange(start, end) for start, end in zip(bills.start_day, bills.end_day, strict=True)]
    days = np.concatenate(spans).astype("datetime64[M]").astype(int) % 12
    return int(np.isin(days, coldest).sum())


def _told(
    bills: Bills, temperatures: Temperatures, season: Season, line: Line, efficiency: Efficiency, design_c: float | None
) -> Fit:
    parameters = 2 if line.through_zero else 3
    quantile = t_quantile((1.0 + CONFIDENCE) / 2.0, bills.n_periods - parameters)
    spread = covariance(season, line, bills.mean_w)
    slope_se = float(np.sqrt(spread[1, 1]))
    slope, loss = line.slope_w_k, line.slope_w_k * efficiency.value
    half_efficiency = (efficiency.high - efficiency.low) / 2.0 / efficiency.value
    half_loss = loss * float(np.sqrt((quantile * slope_se / slope) ** 2 + half_efficiency**2))
    design = temperatures.design_c if design_c is None else design_c
    load, half_load = _design(line, spread, design, efficiency.value, quantile, half_efficiency)
    fitted = line.at(season.excess_k(line.balance_c)) * bills.days * DAY_S
    r2, cv, nmbe = measures(bills, fitted, parameters)
    annual, annual_band = _annual(line, spread, temperatures, quantile)
    band = _balance_band(season, bills.mean_w, line, bills.n_periods - parameters)
    return Fit(
        bills=bills,
        weather=temperatures.title,
        line=line,
        slope_se_w_k=slope_se,
        slope_band_w_k=(slope - quantile * slope_se, slope + quantile * slope_se),
        balance_band_c=band,
        efficiency=efficiency,
        loss_w_k=loss,
        loss_band_w_k=(max(loss - half_loss, 0.0), loss + half_loss),
        design_c=design,
        design_from=temperatures.design_from if design_c is None else "as given",
        design_load_w=load,
        design_band_w=(max(load - half_load, 0.0), load + half_load),
        annual_j=annual,
        annual_band_j=annual_band,
        annual_base_j=line.base_w * 365.0 * DAY_S,
        excess_k=season.excess_k(line.balance_c),
        fitted_j=fitted,
        residual_j=bills.energy_j - fitted,
        mean_c=season.mean_c(),
        deviation_k=season.deviation_k(),
        covariance=spread,
        r2=r2,
        cv_rmse=cv,
        nmbe=nmbe,
        parameters=parameters,
        notes=(*temperatures.notes, *_cautions(bills, season, line, band, r2)),
        away=asked_about(bills, season, line),
    )


def _design(
    line: Line, spread: Floats, design_c: float, efficiency: float, quantile: float, half_efficiency: float
) -> tuple[float, float]:
    """Load at design and half its band: slope and balance point are wrong together, so their covariance counts [W]."""
    below = max(line.balance_c - design_c, 0.0)
    load = efficiency * line.slope_w_k * below
    by = np.array([0.0, below, line.slope_w_k]) * efficiency
    return load, float(np.hypot(quantile * np.sqrt(max(float(by @ spread @ by), 0.0)), half_efficiency * load))


def _annual(
    line: Line, spread: Floats, temperatures: Temperatures, quantile: float
) -> tuple[float | None, tuple[float, float]]:
    """Fuel in the average year of the weather, and its band [J]."""
    year = temperatures.average_year()
    if year is None:
        return None, (np.nan, np.nan)
    excess = float(np.maximum(line.balance_c - year, 0.0).mean())
    cold = float((year < line.balance_c).mean())
    by = np.array([1.0, excess, line.slope_w_k * cold])
    mean, half = line.base_w + line.slope_w_k * excess, quantile * float(np.sqrt(max(float(by @ spread @ by), 0.0)))
    scale = 365.0 * DAY_S
    return mean * scale, ((mean - half) * scale, (mean + half) * scale)


def _balance_band(season: Season, use_w: Floats, line: Line, free: int) -> tuple[float, float]:
    """Balance points whose squares the best one does not clearly beat: the profile likelihood's band [°C]."""
    most = line.squares * (1.0 + float(np.square(t_quantile((1.0 + CONFIDENCE) / 2.0, free))) / free)

    def edge(step: float, limit: float) -> float:
        at = line.balance_c
        while (at < limit) if step > 0 else (at > limit):
            if line_at(season, use_w, at + step, through_zero=line.through_zero).squares > most:
                return at + step / 2.0
            at += step
        return limit

    return edge(-0.1, LOWEST_BALANCE_C), edge(0.1, HIGHEST_BALANCE_C)


def _cautions(bills: Bills, season: Season, line: Line, band: tuple[float, float], r2: float) -> list[str]:
    cautions = []
    if line.through_zero:
        cautions.append("nothing is used without heating: the base would have come out below zero and was set to zero")
    if season.excess_k(line.balance_c).min() > 0.25 * season.excess_k(line.balance_c).max():
        cautions.append("no bill is of a warm time, so base use and balance point can hardly be told apart")
    if band[1] - band[0] > 6.0:
        cautions.append(
            "the balance point is known only within its wide band; the heat needed at design is surer, since a balance point"
            " too low goes with a loss too high"
        )
    if r2 < 0.7:
        cautions.append(f"the weather explains only {r2:.0%} of what the use does; much else moves it")
    warm = season.excess_k(line.balance_c + 3.0) < 0.5
    if bills.fuel == "electricity" and warm.sum() >= 3:
        left = bills.mean_w[warm] - line.at(season.excess_k(line.balance_c))[warm]
        if np.corrcoef(season.mean_c()[warm], left)[0, 1] > 0.7 and np.ptp(left) > 0.2 * bills.mean_w.mean():
            cautions.append(
                "use rises with the heat of summer too, as with cooling, which the line does not know: the year's heating comes out too small"
            )
    return cautions
