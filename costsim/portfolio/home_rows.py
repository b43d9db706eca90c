"""Rows of the table of results, from the years of many homes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from costsim.engine import layout as k
from costsim.engine.block import AnnualTotals
from costsim.engine.lower import LoweredStudy
from costsim.physics.fuels import co2_kg
from costsim.portfolio.costs import costs_of
from costsim.portfolio.plan import CO2, COST, SHORT, SHORT_HOURS, WORST, PortfolioPlan, PreparedOption
from costsim.portfolio.table import HomeTable
from costsim.study.services import ELECTRICITY
from costsim.units.arrays import Floats
from costsim.units.quantity import KWH_J


def rows_of_homes(recipe: PortfolioPlan, homes: HomeTable, years: Sequence[AnnualTotals]) -> Floats:
    """The table's rows (homes, columns) from the years of all homes, one an option."""
    values = np.zeros((len(homes), len(recipe.columns)))
    for ready, year in zip(recipe.options, years, strict=True):
        _put(values, ready, year, recipe.common)
        values[:, ready.sheet.place(COST)] = costs_of(recipe, ready, homes, year)
    return values


def _period_rows(ready: PreparedOption, common: LoweredStudy) -> Floats:
    """Which hourly rows of each source's tariff part its energy among the periods (sources + 1, rows), as 0 or 1."""
    keys = [*(offer.price_key for offer in ready.offers), ELECTRICITY]
    counts = np.array([common.tariffs[key].n_periods if key in common.tariffs else 1 for key in keys])
    return (np.arange(ready.shares.shape[1]) < counts[:, None]).astype(float)


def _put(values: Floats, ready: PreparedOption, years: AnnualTotals, common: LoweredStudy) -> None:
    """Write the columns of an option, but for costs."""
    sheet, sums = ready.sheet, years.sums
    energy = years.energy_j[:, : len(ready.offers) + 1] * _period_rows(ready, common)[:, None, :]
    # one after the other, so that a home's sum does not depend on how many stand beside it
    inputs = energy.reshape(*energy.shape[:2], -1).cumsum(axis=-1)[..., -1]
    values[:, sheet.first] = sums[:, k.SUM_DEMAND]
    values[:, sheet.heat] = sums[:, k.SUMS :]
    used = {key: np.zeros(len(values)) for key in sheet.keys}
    used[ELECTRICITY] += inputs[:, -1]
    co2 = co2_kg(inputs[:, -1], common.surroundings.co2_kg_per_j[ELECTRICITY])
    for i, offer in enumerate(ready.offers):
        if offer.price_key in used:
            used[offer.price_key] += inputs[:, i]
        co2 = co2 + (0.0 if offer.biogenic else co2_kg(inputs[:, i], offer.co2_kg_per_j))
    values[:, sheet.used] = np.stack(list(used.values()), axis=1) / KWH_J
    values[:, sheet.place(SHORT)], values[:, sheet.place(SHORT_HOURS)] = (
        sums[:, k.SUM_SHORT] / KWH_J,
        sums[:, k.SHORT_HOURS],
    )
    values[:, sheet.place(WORST)], values[:, sheet.place(CO2)] = sums[:, k.WORST_SHORT] / 1e3, co2
