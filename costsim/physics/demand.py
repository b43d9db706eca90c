"""Heat demand by degree-hours: from a design heat loss to watts in every hour."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from costsim.units.arrays import Floats, Ints
from costsim.units.table import HOUR_S

ROUNDING_W = 0.5
"""A heat flow below half a watt is rounding: nothing runs for it, and its absence is not cold."""


def heat_loss_rate_w_k(*, design_loss_w: float, indoor_temperature_c: float, outdoor_c: float) -> float:
    """Turn a design heat loss into a loss per kelvin.

    Parameters
    ----------
    design_loss_w : float
        Heat loss at the design temperatures [W].
    indoor_temperature_c, outdoor_c : float
        Design temperatures [°C].

    Returns
    -------
    float
        UA [W/K].

    Raises
    ------
    ValueError
        The outdoor design temperature is not below the indoor one.

    Notes
    -----
    ``UA = Q / (T_in − T_out)``; steady state, no gains.

    Examples
    --------
    >>> round(heat_loss_rate_w_k(design_loss_w=7600.0, indoor_temperature_c=21.0, outdoor_c=-9.4), 1)
    250.0
    """
    if np.asarray(outdoor_c >= indoor_temperature_c).any():
        raise ValueError(
            f"the outdoor design temperature {outdoor_c:g} °C must be below the indoor one {indoor_temperature_c:g} °C"
        )
    return design_loss_w / (indoor_temperature_c - outdoor_c)


def degree_hour_demand_w(*, loss_w_k: float, balance_c: ArrayLike, outdoor_c: ArrayLike) -> Floats:
    """Heat demand in every hour.

    Parameters
    ----------
    loss_w_k : float
        UA [W/K].
    balance_c : float or array (n,)
        Outdoor temperature above which no heat is needed [°C].
    outdoor_c : array (n,)
        Outdoor temperature [°C].

    Returns
    -------
    array (n,)
        Demand [W], never negative.

    Notes
    -----
    ``D = UA · max(0, T_bal − T_out)``, clipped hour by hour and only then summed; ISO 15927-6:2007 names the sum
    accumulated hourly temperature difference.

    Examples
    --------
    >>> degree_hour_demand_w(loss_w_k=200.0, balance_c=17.0, outdoor_c=[7.0, 20.0])
    array([2000.,    0.])
    """
    excess = np.asarray(np.asarray(balance_c, dtype=float) - np.asarray(outdoor_c, dtype=float))
    np.maximum(excess, 0.0, out=excess)
    excess *= loss_w_k
    return excess


def balance_point_c(*, indoor_temperature_c: ArrayLike, gains_w: ArrayLike, loss_w_k: float) -> Floats:
    """Outdoor temperature at which gains carry the house: ``T_bal = T_in − gains / UA``.

    Parameters
    ----------
    indoor_temperature_c, gains_w : float or array (n,)
        Set-point [°C] and gains from people, appliances and sun [W].
    loss_w_k : float
        UA [W/K].

    Returns
    -------
    array (n,)
        Balance point [°C].

    References
    ----------
    Variable-base degree-day method, ASHRAE Handbook Fundamentals, energy estimating chapter (value from memory).

    Examples
    --------
    >>> float(balance_point_c(indoor_temperature_c=21.0, gains_w=880.0, loss_w_k=220.0))
    17.0
    """
    return np.asarray(indoor_temperature_c, dtype=float) - np.asarray(gains_w, dtype=float) / loss_w_k


def tank_step(
    *, heat_capacity_j_k: float, loss_w_k: float, step_s: float = HOUR_S
) -> tuple[float, float, float, float]:
    """Coefficients of a fully mixed tank over one step with constant heat flow, exact.

    Parameters
    ----------
    heat_capacity_j_k, loss_w_k : float
        Tank heat capacity [J/K] and loss to its room [W/K].
    step_s : float
        Length of the step [s].

    Returns
    -------
    keep, rise, loss_state, loss_net : float
        With ``x`` the excess over the room at the start and ``q`` the net heat:
        ``x_end = keep·x + rise·q`` [K] and ``mean loss = loss_state·x + loss_net·q`` [W].

    Notes
    -----
    Solution of ``C dx/dt = q − UA x``: ``keep = exp(−λ)``, ``rise = (1 − keep)/UA`` with ``λ = UA·Δt/C``,
    written with ``expm1`` so that a tank without loss is the limit.

    Examples
    --------
    >>> keep, rise, _, _ = tank_step(heat_capacity_j_k=4.0e6, loss_w_k=0.0)
    >>> keep, round(rise * 1000, 3)
    (1.0, 0.9)
    """
    rate = loss_w_k * step_s / heat_capacity_j_k
    if rate < 1e-6:  # series, since (1 − e^−λ)/λ loses digits as λ goes to nothing
        mean, mean_net = 1 - rate / 2 + rate**2 / 6, 0.5 - rate / 6
    else:
        mean = -np.expm1(-rate) / rate
        mean_net = (1 - mean) / rate
    return (
        float(np.exp(-rate)),
        float(step_s / heat_capacity_j_k * mean),
        float(loss_w_k * mean),
        float(rate * mean_net),
    )


def ahead_j(*, demand_w: Floats, hours: int) -> Floats:
    """Demand over the coming hours, which whoever loads a fire can foresee.

    Parameters
    ----------
    demand_w : array (n,)
        Heat demand [W]; nothing is wanted after its end.
    hours : int
        How far ahead, with the hour itself.

    Returns
    -------
    array (n,)
        Heat [J].

    Examples
    --------
    >>> ahead_j(demand_w=np.array([1.0, 2.0, 3.0]), hours=2)
    array([10800., 18000., 10800.])
    """
    n, sums = len(demand_w), np.zeros(len(demand_w) + hours)
    np.cumsum(demand_w, out=sums[1 : n + 1])
    sums[n + 1 :] = sums[n]
    energy = sums[hours:] - sums[:n]
    energy *= HOUR_S
    return energy


def until_j(*, demand_w: Floats, starts: Ints) -> Floats:
    """Demand from some hours until the next of them, which whoever loads a fire can foresee.

    Parameters
    ----------
    demand_w : array (n,)
        Heat demand [W]; nothing is wanted after its end.
    starts : array of int
        The hours, rising.

    Returns
    -------
    array (n,)
        Heat [J]; nothing in hours that are none of them.

    Examples
    --------
    >>> until_j(demand_w=np.array([1.0, 2.0, 3.0, 4.0]), starts=np.array([1, 3]))
    array([    0., 18000.,     0., 14400.])
    """
    wanted = np.zeros(len(demand_w))
    if len(starts):
        wanted[starts] = np.add.reduceat(demand_w, starts) * HOUR_S
    return wanted
