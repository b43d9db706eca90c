"""What many homes pay, each at its own prices, from the energy they bought by month and period."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.engine.batch import ELECTRICITY, row_count
from costsim.engine.lower import LoweredStudy
from costsim.portfolio.plan import PortfolioPlan, PreparedOption
from costsim.portfolio.rows import Home, OwnPrice
from costsim.study.case import Case
from costsim.tariffs.bill import bill, house_profile_j, monthly_energy_j, price_month_period
from costsim.tariffs.charges import Tariff

Floats = NDArray[np.float64]
AS_TYPED = OwnPrice()


def own_tariff(common: LoweredStudy, home: Home, key: str) -> Tariff:
    """One home's tariff of one service."""
    return _changed(common.tariffs[key], [home.prices.get(key, AS_TYPED)], lambda found: found[0])


def _changed(tariff: Tariff, own: Sequence[OwnPrice], shape: Any) -> Tariff:
    """The tariff with the homes' own energy price and fixed charge; `shape` makes one value of all homes'."""
    changes: dict[str, Any] = {}
    if any(one.per_j is not None for one in own):
        changes["price_per_j"] = shape([one.per_j for one in own])
    if any(one.per_month is not None for one in own):
        changes["fixed_per_month"] = shape([one.per_month for one in own])
    return replace(tariff, **changes)


def costs_of(recipe: PortfolioPlan, ready: PreparedOption, homes: Sequence[Home], energy_j: Floats) -> Floats:
    """Cost of one option's year for each home.

    Parameters
    ----------
    recipe : PortfolioPlan
    ready : PreparedOption
    homes : sequence of Home
    energy_j : array (homes, sources + 1, 12, periods)
        Input of each source by month and period, the electricity of pumps, fans and controls in the last row.

    Returns
    -------
    array (homes,)

    Notes
    -----
    A service is billed where a source of the option uses it, needed or not; electricity of pumps and fans alone is
    billed where there is any. Where the house's other use is known, electricity counts at the margin.
    """
    common, total = recipe.common, np.zeros(len(homes))
    owners = [*(offer.price_key for offer in ready.offers), ELECTRICITY]
    for key in dict.fromkeys(owners):
        if key not in common.tariffs:
            continue
        tariff = common.tariffs[key]
        rows = [i for i, owner in enumerate(owners) if owner == key]
        bought = energy_j[:, rows].sum(axis=1)[:, :, : row_count(common, key)]
        billed = np.ones(len(homes), dtype=bool) if key in owners[:-1] else bought.any(axis=(1, 2))
        total += np.where(billed, _price(common, tariff, homes, key, bought), 0.0)
    return total


def house_alone(recipe: PortfolioPlan, homes: Sequence[Home]) -> Floats:
    """Bill of each home's other electricity without heating (homes,); nothing where it is not known."""
    common = recipe.common
    if ELECTRICITY not in common.tariffs:
        return np.zeros(len(homes))
    if recipe.slow:
        return np.array([_one_house_alone(home.case, common) for home in homes])
    if not homes[0].case.other_electricity_known:
        return np.zeros(len(homes))
    tariff = _of_homes(common.tariffs[ELECTRICITY], homes, ELECTRICITY)
    return price_month_period(tariff, _other_use(common, homes, ELECTRICITY), calendar=common.calendar)


def _one_house_alone(case: Case, common: LoweredStudy) -> float:
    if not case.other_electricity_known:
        return 0.0
    tariff = case.prices[ELECTRICITY].tariff(ELECTRICITY)
    return bill(tariff, common.calendar, case.other_electricity_j(common.calendar)).total


def _of_homes(tariff: Tariff, homes: Sequence[Home], key: str) -> Tariff:
    """The tariff with an own price for each home, shaped to be met with arrays (homes, 12, periods)."""
    own = [home.prices.get(key, AS_TYPED) for home in homes]
    # price for price: by home where it stands alone, by home and month where it is added to a month's sum
    tariff = _changed(tariff, own, np.array)
    if any(one.per_month is not None for one in own):
        tariff = replace(tariff, fixed_per_month=np.asarray(tariff.fixed_per_month)[:, None])  # type: ignore[arg-type]
    return tariff


def _price(common: LoweredStudy, tariff: Tariff, homes: Sequence[Home], key: str, bought_j: Floats) -> Floats:
    tariff = _of_homes(tariff, homes, key)
    if key != ELECTRICITY or not homes[0].case.other_electricity_known:
        return price_month_period(tariff, bought_j, calendar=common.calendar)
    house = _other_use(common, homes, key)
    whole = price_month_period(tariff, bought_j + house, calendar=common.calendar)
    return whole - price_month_period(tariff, house, calendar=common.calendar)


def _other_use(common: LoweredStudy, homes: Sequence[Home], key: str) -> Floats:
    """Each home's other electricity by month and period (homes, 12, periods + 1) [J]."""
    tariff, clock = common.tariffs[key], common.calendar
    if common.case.house.other_electricity_profile:
        known = monthly_energy_j(tariff, clock, common.case.other_electricity_j(clock)).T
        return np.broadcast_to(known, (len(homes), *known.shape))
    years = np.array([home.case.house.other_electricity_j_year for home in homes], dtype=float)
    return np.asarray(years[:, None, None] * monthly_energy_j(tariff, clock, house_profile_j(1.0, clock)).T)
