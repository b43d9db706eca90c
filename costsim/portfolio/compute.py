"""A block of homes: each home's year by the compiled kernel, and the electricity of all homes hour by hour."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from costsim.engine import kernel as k
from costsim.engine.batch import ELECTRICITY
from costsim.engine.lower import Common, house_rows, lower_common, with_house
from costsim.engine.run import simulate_option
from costsim.errors import Fault, InputError
from costsim.portfolio.costs import costs_of, own_tariff
from costsim.portfolio.homes import Block
from costsim.portfolio.recipe import CO2, COST, SHORT, SHORT_HOURS, WORST, Ready, Recipe
from costsim.portfolio.rows import Aside, Home, RowError, read_row, row_error
from costsim.tariffs.bill import hourly_price_per_j
from costsim.units import KWH_J

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
CHUNK = 32
STEP_W = 2.0**-20
"""Electricity is summed in whole steps of about a microwatt, so that sums do not depend on the order of homes."""
MOST_SUM_W = 4e12


@dataclass(frozen=True, slots=True)
class Part:
    """What a block of homes gives: one row a home, the electricity of all, and the rows that were set aside.

    `values` is (homes, columns) in the order of `Recipe.columns`; `power` is (options, n), weighted, in steps of `STEP_W`.
    """

    number: int
    rows: Ints
    homes: tuple[str, ...]
    weights: Floats
    values: Floats
    power: Ints
    aside: tuple[Aside, ...]


@dataclass(frozen=True, slots=True)
class _Year:
    """One home's year: its row of results, energy bought by option, and hourly electricity (options, n) [W]."""

    values: Floats
    energy_j: tuple[Floats, ...]
    watts: Floats


def run_block(recipe: Recipe, block: Block, threads: int | None = None) -> Part:
    """Compute every home of a block.

    Parameters
    ----------
    recipe : Recipe
    block : Block
    threads : int, optional
        All processors by default; the result does not depend on it.

    Returns
    -------
    Part
        Rows that cannot be used stand in `aside`, each with its reasons.

    Notes
    -----
    Memory goes with the block. A home is what `simulate` makes of the study with its values, to 1e-9.
    """
    firsts = range(0, len(block.rows), CHUNK)
    with ThreadPoolExecutor(threads or os.cpu_count() or 1) as pool:
        return _joined(recipe, block.number, list(pool.map(lambda first: _run_rows(recipe, block, first), firsts)))


def _joined(recipe: Recipe, number: int, parts: Sequence[Part]) -> Part:
    empty = np.zeros((len(recipe.options), recipe.weather.n_hours), dtype=np.int64)
    return Part(
        number,
        np.concatenate([np.empty(0, dtype=np.int64), *(part.rows for part in parts)]),
        tuple(home for part in parts for home in part.homes),
        np.concatenate([np.empty(0), *(part.weights for part in parts)]),
        np.concatenate([np.empty((0, len(recipe.columns))), *(part.values for part in parts)]),
        sum((part.power for part in parts), empty),
        tuple(one for part in parts for one in part.aside),
    )


def _run_rows(recipe: Recipe, block: Block, first: int) -> Part:
    """Some rows of a block, one after the other."""
    homes: list[Home] = []
    years: list[_Year] = []
    aside: list[Aside] = []
    power = np.zeros((len(recipe.options), recipe.weather.n_hours), dtype=np.int64)
    for at, cells in enumerate(block.rows[first : first + CHUNK], block.first_row + first + 1):
        try:
            home = read_row(recipe, at, cells)
            year = (_slow_year if recipe.slow else _fast_year)(recipe, home)
            steps = in_steps(home.weight * year.watts)
        except RowError as error:
            aside += error.reasons
        except InputError as error:
            aside += row_error(recipe, at, [cell.strip() for cell in cells], error).reasons
        else:
            power += steps
            homes.append(home)
            # without its hours
            years.append(replace(year, watts=np.empty(0)))
    values = np.array([year.values for year in years]).reshape(len(years), len(recipe.columns))
    if not recipe.slow and homes:
        _put_costs(recipe, homes, years, values)
    rows = np.array([home.row for home in homes], dtype=np.int64)
    weights = np.array([home.weight for home in homes])
    return Part(block.number, rows, tuple(home.name for home in homes), weights, values, power, tuple(aside))


def in_steps(watts: Floats) -> Ints:
    """Round electricity to whole steps, whose sums are exact.

    Raises
    ------
    InputError
        More than all the world's power stations give, and than whole steps can hold.
    """
    if float(watts.max(initial=0.0)) > MOST_SUM_W:
        raise InputError(Fault("weight", "the homes take more than 4,000 GW", "give smaller weights"))
    return np.rint(watts / STEP_W).astype(np.int64)


def _put_costs(recipe: Recipe, homes: Sequence[Home], years: Sequence[_Year], values: Floats) -> None:
    for i, ready in enumerate(recipe.options):
        energy = np.stack([year.energy_j[i] for year in years])
        values[:, ready.sheet.last.start + COST] = costs_of(recipe, ready, homes, energy)


def _fast_year(recipe: Recipe, home: Home) -> _Year:
    """The kernel's sums for one home; costs are put in later, many homes at once."""
    common = with_house(recipe.common, home.case)
    if recipe.looks_at_prices:
        common = _with_prices(common, home)
    scalars, hours = house_rows(common)
    degrees, n = common.balance_c - common.weather.outdoor_c, common.weather.n_hours
    load = np.array([[common.loss_w_k, 0.0]])
    values, watts = np.zeros(len(recipe.columns)), np.zeros((len(recipe.options), n))
    energies = []
    for i, ready in enumerate(recipe.options):
        own, own_hours, order, per_input = ready.rows_for(common.surroundings)
        count = len(own)
        sums, energy = np.empty((1, k.SUMS + count)), np.empty((1, count + 1, 12, ready.shares.shape[1]))
        k.dispatch(
            scalars, hours, own, own_hours, order, degrees, per_input, ready.shares, common.calendar.month, load,
            np.ones((1, count)), sums, energy, np.empty((0, n)), np.empty((0, count + 1)), np.empty((1, 0, 12)),
            np.empty((k.RESULTS, 0)), np.empty((3, count, 0)), watts[i],
        )  # fmt: skip
        _put_sums(values, ready, sums[0], energy[0], common)
        energies.append(energy[0])
    return _Year(values, tuple(energies), watts)


def _with_prices(common: Common, home: Home) -> Common:
    """What sources and rules see of this home's prices."""
    prices = dict(common.surroundings.price_per_j)
    for key in home.prices:
        prices[key] = hourly_price_per_j(own_tariff(common, home, key), common.calendar)
    return replace(common, surroundings=replace(common.surroundings, price_per_j=prices))


def _put_sums(values: Floats, ready: Ready, sums: Floats, energy_j: Floats, common: Common) -> None:
    sheet, inputs = ready.sheet, energy_j.sum(axis=(1, 2))
    values[sheet.first], values[sheet.heat] = sums[k.SUM_DEMAND], sums[k.SUMS :]
    used = dict.fromkeys(sheet.keys, 0.0)
    co2 = inputs[-1] * common.surroundings.co2_kg_per_j[ELECTRICITY]
    used[ELECTRICITY] += inputs[-1]
    for offer, joule in zip(ready.offers, inputs, strict=False):
        if offer.price_key in used:
            used[offer.price_key] += joule
        co2 += 0.0 if offer.biogenic else joule * offer.co2_kg_per_j
    values[sheet.used] = [joule / KWH_J for joule in used.values()]
    last = values[sheet.last]
    last[SHORT], last[SHORT_HOURS], last[WORST] = (
        sums[k.SUM_SHORT] / KWH_J,
        sums[k.SHORT_HOURS],
        sums[k.WORST_SHORT] / 1e3,
    )
    last[CO2] = co2


def _slow_year(recipe: Recipe, home: Home) -> _Year:
    """The whole simulation with a study of this home's own."""
    common = lower_common(home.case, recipe.weather)
    values, watts = np.zeros(len(recipe.columns)), np.zeros((len(recipe.options), recipe.weather.n_hours))
    for i, (ready, option) in enumerate(zip(recipe.options, home.case.options, strict=True)):
        found, sheet = simulate_option(common, option), ready.sheet
        used = dict.fromkeys(sheet.keys, 0.0)
        used[ELECTRICITY] += found.pump_j + sum(source.auxiliary_j for source in found.sources)
        watts[i] = found.hourly.pump_w + found.hourly.auxiliary_w.sum(axis=0)
        for source, input_w in zip(found.sources, found.hourly.input_w, strict=True):
            if source.price_key in used:
                used[source.price_key] += source.input_j
            watts[i] += input_w if source.fuel == ELECTRICITY else 0.0
        values[sheet.first], values[sheet.heat] = found.demand_j, [source.heat_j for source in found.sources]
        values[sheet.used] = [joule / KWH_J for joule in used.values()]
        short = found.shortfall
        values[sheet.last] = found.cost_total, short.energy_j / KWH_J, short.hours, short.worst_w / 1e3, found.co2_kg
    return _Year(values, (), watts)
