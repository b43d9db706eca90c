"""What many homes pay, each at its own prices, from the energy they bought by month and period."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from costsim.engine.batch import charges_of, row_count
from costsim.engine.block import AnnualTotals
from costsim.engine.generation import export_terms, generation_j
from costsim.engine.lower import LoweredStudy
from costsim.portfolio.plan import PortfolioPlan, PreparedOption
from costsim.portfolio.table import HomeTable, OwnPrice
from costsim.study.case import Case
from costsim.study.services import ELECTRICITY, there_anyway
from costsim.tariffs.bill import bill, house_profile_j, monthly_energy_j, monthly_peaks_w, price_month_period
from costsim.tariffs.charges import Tariff
from costsim.tariffs.own_generation import added_cost
from costsim.units.arrays import Floats

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


def costs_of(recipe: PortfolioPlan, ready: PreparedOption, homes: HomeTable, years: AnnualTotals) -> Floats:
    """Cost of one option's year for each home (homes,).

    Notes
    -----
    A service is billed where a source of the option uses it, needed or not; electricity of pumps and fans alone is
    billed where there is any. Where the house's other use is known, electricity counts at the margin.
    """
    common, total = recipe.common, np.zeros(len(homes))
    owners = [*(offer.price_key for offer in ready.offers), ELECTRICITY]
    meters = np.array([key for key, _ in charges_of(common, tuple(owners))])
    for key in dict.fromkeys(owners):
        if key not in common.tariffs:
            continue
        rows = [i for i, owner in enumerate(owners) if owner == key]
        parts = years.energy_j[:, :, :, : row_count(common, key)]
        bought, peaks = parts[:, rows].sum(axis=1), years.peaks_w[:, meters == key]
        billed = np.ones(len(homes), dtype=bool) if key in owners[:-1] else bought.any(axis=(1, 2))
        own = homes.prices.get(key, AS_TYPED)
        if key == ELECTRICITY and _known(common, homes):
            tariff = own_tariff(_whole(common), own)
        else:  # what is due whatever heats the house is no cost of heating, whichever amount a home has typed
            tariff = own_tariff(
                common.tariffs[key], replace(own, per_month=None) if there_anyway(common.case, key) else own
            )
        if key != ELECTRICITY or not _known(common, homes):
            cost = price_month_period(tariff, bought, peaks, calendar=common.calendar)
        elif common.case.solar_electric is not None:
            cost = _generating(common, tariff, bought, peaks, parts[:, -1])
        else:
            house, alone = _other_use(common, homes)
            whole = price_month_period(tariff, bought + house, peaks, calendar=common.calendar)
            cost = whole - price_month_period(tariff, house, alone, calendar=common.calendar)
        total += np.where(billed, cost, 0.0)
    return total


def _generating(common: LoweredStudy, tariff: Tariff, bought_j: Floats, peaks_w: Floats, kept_j: Floats) -> Floats:
    """What heating adds to the bills of homes that generate, whose other electricity is the study's."""
    clock, terms = common.calendar, export_terms(common.case)
    net = common.case.other_electricity_j(clock) - generation_j(common.case, common.weather)
    taken, clocked = np.maximum(net, 0.0), common.tariffs[ELECTRICITY]
    house = monthly_energy_j(clocked, clock, taken if terms.net_metering == "none" else net).T[None]
    return added_cost(
        tariff, clock, terms, house_j=house, energy_j=bought_j, peaks_w=peaks_w,
        alone_w=monthly_peaks_w(clocked, clock, taken)[None], kept_j=kept_j,
    )  # fmt: skip


def houses_alone(recipe: PortfolioPlan, table: HomeTable) -> Floats:
    """Bill of each home's other electricity without heating (homes,); where that is not known what is due without any use."""
    common = recipe.common
    if ELECTRICITY not in common.tariffs or not (_known(common, table) or there_anyway(common.case, ELECTRICITY)):
        return np.zeros(len(table))
    tariff = own_tariff(_whole(common), table.prices.get(ELECTRICITY, AS_TYPED))
    return price_month_period(tariff, *_other_use(common, table), calendar=common.calendar)


def house_alone(case: Case, common: LoweredStudy) -> float:
    """The same of one home, with a study of its own."""
    if ELECTRICITY not in case.prices or not (case.other_electricity_known or there_anyway(case, ELECTRICITY)):
        return 0.0
    tariff = case.prices[ELECTRICITY].tariff(ELECTRICITY)
    return bill(tariff, common.calendar, case.other_electricity_j(common.calendar)).total


def _whole(common: LoweredStudy) -> Tariff:
    """All charges of the house's electricity, also those that are due whatever heats it."""
    return common.case.prices[ELECTRICITY].tariff(ELECTRICITY)


def _known(common: LoweredStudy, homes: HomeTable) -> bool:
    """Whether other electricity is known, of all homes or of none."""
    return common.case.other_electricity_known or "other_electricity_j_year" in homes.house


def _other_use(common: LoweredStudy, homes: HomeTable) -> tuple[Floats, Floats]:
    """Each home's other electricity by month and hourly row (homes, 12, rows) [J], and its peaks (homes, meters, 12) [W]."""
    tariff, clock, years = common.tariffs[ELECTRICITY], common.calendar, np.ones(len(homes))
    if common.case.house.other_electricity_profile:
        hours = common.case.other_electricity_j(clock)
    else:
        years, hours = homes.other_electricity_j(common.case), house_profile_j(1.0, clock)
    each = years[:, None, None]
    return each * monthly_energy_j(tariff, clock, hours).T, each * monthly_peaks_w(tariff, clock, hours)
