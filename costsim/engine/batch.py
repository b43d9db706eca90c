"""One option under many draws: the same kernel, sums instead of hours, threads over the draws."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from costsim.engine import kernel as k
from costsim.engine.lower import Common, Plant
from costsim.tariffs.bill import house_profile_j, monthly_energy_j, period_shares, price_month_period
from costsim.tariffs.charges import Tariff

Floats = NDArray[np.float64]
ELECTRICITY = "electricity"
CHUNK = 64


@dataclass(frozen=True, slots=True)
class Many:
    """One option over many draws: sums (draws, kernel.SUMS) and energy (draws, sources + 1, 12, periods) [J]."""

    keys: tuple[str, ...]
    sums: Floats
    energy_j: Floats


def run_many(
    common: Common,
    plant: Plant,
    *,
    loss_w_k: Floats,
    shift_k: Floats,
    efficiency: Floats,
    threads: int | None = None,
    progress: Callable[[float], None] | None = None,
) -> Many:
    """Run one option under many draws.

    Parameters
    ----------
    common : Common
    plant : Plant
        Lowered once; capacities and efficiencies over the year stay those of the study's own load.
    loss_w_k, shift_k : arrays (draws,)
        Loss per kelvin [W/K] and shift of the balance point [K] of each draw.
    efficiency : array (draws, sources)
        Factor on heat per input.
    threads : int, optional
        All processors by default; the result does not depend on it.
    progress : callable, optional
        Told the share done.

    Returns
    -------
    Many
    """
    draws, count = len(loss_w_k), len(plant.offers)
    keys = (*(offer.price_key for offer in plant.offers), ELECTRICITY)
    shares = tariff_shares(common, keys)
    sums, energy = np.empty((draws, k.SUMS)), np.empty((draws, count + 1, 12, shares.shape[1]))
    pairs = np.column_stack([loss_w_k, shift_k])
    per_input = np.ascontiguousarray(np.stack([offer.heat_per_input for offer in plant.offers]))
    degrees = common.balance_c - common.weather.outdoor_c
    no_hours, no_kept, no_power = np.empty((k.RESULTS, 0)), np.empty((3, count, 0)), np.empty(0)

    def work(first: int) -> None:
        part = slice(first, first + CHUNK)
        k.dispatch(
            plant.scalars, plant.hours, plant.source_scalars, plant.source_hours, plant.order, degrees, per_input, shares,
            common.calendar.month, pairs[part], efficiency[part], sums[part], energy[part], no_hours, no_kept, no_power,
        )  # fmt: skip

    starts = range(0, draws, CHUNK)
    with ThreadPoolExecutor(threads or os.cpu_count() or 1) as pool:
        for done, _ in enumerate(pool.map(work, starts), 1):
            if progress is not None:
                progress(done / len(starts))
    return Many(keys, sums, energy)


def tariff_shares(common: Common, keys: tuple[str, ...]) -> Floats:
    """Periods of each source's tariff, filled up to the longest list (sources + 1, periods, n)."""
    n = common.weather.n_hours
    found = [
        period_shares(common.tariffs[key], common.calendar) if key in common.tariffs else np.ones((1, n))
        for key in keys
    ]
    shares = np.zeros((len(keys), max(len(one) for one in found), n))
    for row, one in zip(shares, found, strict=True):
        row[: len(one)] = one
    return shares


def price_many(common: Common, many: Many, factors: Mapping[str, Floats], demand: Floats | float = 0.0) -> Floats:
    """Price every draw.

    Parameters
    ----------
    common : Common
    many : Many
        As simulated; where only prices move it is used again.
    factors : mapping of arrays (draws,)
        Factor on the energy prices of each price table; absent tables stay as typed.
    demand : float or array (draws,)
        What demand charges come to, which monthly sums do not show.

    Returns
    -------
    array (draws,)
        Cost of the year.

    Notes
    -----
    Charges by energy go with the factor, fixed charges do not; so a draw costs the bill at today's prices plus
    ``(factor − 1)`` times its energy part.
    """
    total = np.zeros(len(many.sums)) + demand
    for key in dict.fromkeys(many.keys):
        if key not in common.tariffs:
            continue
        tariff = replace(common.tariffs[key], demand=())
        rows = [i for i, one in enumerate(many.keys) if one == key]
        energy = many.energy_j[:, rows].sum(axis=1)[:, :, : len(tariff.periods) + 1]
        if not energy.any():
            continue
        whole, still = _bills(common, tariff, energy, key)
        total += still + (whole - still) * factors.get(key, 1.0)
    return total


def _bills(common: Common, tariff: Tariff, energy_j: Floats, key: str) -> tuple[Floats, Floats]:
    """Whole cost of the energy, and the part of it that does not go with the energy price (draws,)."""
    free = tariff_without_energy(tariff)
    other = common.case.house.other_electricity_j_year
    if key != ELECTRICITY or other is None:
        return price_month_period(tariff, energy_j), price_month_period(free, energy_j)
    house = monthly_energy_j(tariff, common.calendar, house_profile_j(other, common.calendar)).T[None]
    both = [price_month_period(one, energy_j + house) - price_month_period(one, house) for one in (tariff, free)]
    return both[0], both[1]


def tariff_without_energy(tariff: Tariff) -> Tariff:
    """The same service with energy for nothing."""
    return scaled_tariff(tariff, 0.0)


def scaled_tariff(tariff: Tariff, factor: float) -> Tariff:
    """The same service with every energy price times a factor; fixed and demand charges stay."""
    return replace(
        tariff,
        price_per_j=tariff.price_per_j * factor,
        periods=tuple(replace(one, price_per_j=one.price_per_j * factor) for one in tariff.periods),
        blocks=tuple(replace(one, price_per_j=one.price_per_j * factor) for one in tariff.blocks),
    )
