"""What many homes pay, each at its own prices, from the energy they bought by month and period."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.engine.batch import ELECTRICITY, row_count
from costsim.engine.lower import LoweredStudy
from costsim.portfolio.plan import PortfolioPlan, PreparedOption
from costsim.portfolio.table import HomeTable, OwnPrice
from costsim.study.case import Case
from costsim.tariffs.bill import bill, house_profile_j, monthly_energy_j, price_month_period
from costsim.tariffs.charges import Tariff

Floats = NDArray[np.float64]
AS_TYPED = OwnPrice()


def own_tariff(tariff: Tariff, own: OwnPrice) -> Tariff:
    """The tariff of one home, or of many whose prices are arrays (homes,) to be met with arrays (homes, 12, periods)."""
    changes: dict[str, Any] = {}
    if own.per_j is not None:
        changes["price_per_j"] = own.per_j[:, None] if np.ndim(own.per_j) else own.per_j
    if own.per_month is not None:
        # price for price: by home where it stands alone, by home and month where it is added to a month's sum
        changes["fixed_per_month"] = own.per_month[:, None] if np.ndim(own.per_month) else own.per_month
    return replace(tariff, **changes) if changes else tariff


def costs_of(recipe: PortfolioPlan, ready: PreparedOption, homes: HomeTable, energy_j: Floats) -> Floats:
    """Cost of one option's year for each home.

    Parameters
    ----------
    recipe : PortfolioPlan
    ready : PreparedOption
    homes : HomeTable
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


def houses_alone(recipe: PortfolioPlan, table: HomeTable) -> Floats:
    """Bill of each home's other electricity without heating (homes,); nothing where it is not known."""
    common = recipe.common
    if ELECTRICITY not in common.tariffs or not _known(common, table):
        return np.zeros(len(table))
    tariff = own_tariff(common.tariffs[ELECTRICITY], table.prices.get(ELECTRICITY, AS_TYPED))
    return price_month_period(tariff, _other_use(common, table, ELECTRICITY), calendar=common.calendar)


def _known(common: LoweredStudy, homes: HomeTable) -> bool:
    """Whether other electricity is known, of all homes or of none."""
    return common.case.other_electricity_known or "other_electricity_j_year" in homes.house


def house_alone(case: Case, common: LoweredStudy) -> float:
    """The same of one home, with a study of its own."""
    if ELECTRICITY not in case.prices or not case.other_electricity_known:
        return 0.0
    tariff = case.prices[ELECTRICITY].tariff(ELECTRICITY)
    return bill(tariff, common.calendar, case.other_electricity_j(common.calendar)).total


def _price(common: LoweredStudy, tariff: Tariff, homes: HomeTable, key: str, bought_j: Floats) -> Floats:
    tariff = own_tariff(tariff, homes.prices.get(key, AS_TYPED))
    if key != ELECTRICITY or not _known(common, homes):
        return price_month_period(tariff, bought_j, calendar=common.calendar)
    house = _other_use(common, homes, key)
    whole = price_month_period(tariff, bought_j + house, calendar=common.calendar)
    return whole - price_month_period(tariff, house, calendar=common.calendar)


def _other_use(common: LoweredStudy, homes: HomeTable, key: str) -> Floats:
    """Each home's other electricity by month and period (homes, 12, periods + 1) [J]."""
    tariff, clock = common.tariffs[key], common.calendar
    if common.case.house.other_electricity_profile:
        known = monthly_energy_j(tariff, clock, common.case.other_electricity_j(clock)).T
        return np.broadcast_to(known, (len(homes), *known.shape))
    years = homes.other_electricity_j(common.case)
    return np.asarray(years[:, None, None] * monthly_energy_j(tariff, clock, house_profile_j(1.0, clock)).T)
