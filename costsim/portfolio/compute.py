"""A block of homes: each home's year by the compiled kernel, and the electricity of all homes hour by hour."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from costsim.engine.house_loss import altitude_m, route_of
from costsim.engine.lower import lower_study
from costsim.errors import Fault, InputError
from costsim.portfolio.costs import house_alone, houses_alone
from costsim.portfolio.home_facts import facts_of, home_facts
from costsim.portfolio.home_rows import rows_of_homes
from costsim.portfolio.homes import Block
from costsim.portfolio.impossible import no_house
from costsim.portfolio.limits import to_load
from costsim.portfolio.lowered import MOST_SUM_W, STEP_W, Lowered, lower_table, too_much, with_houses
from costsim.portfolio.no_homes import no_home
from costsim.portfolio.plan import PortfolioPlan
from costsim.portfolio.rows import Home, RejectedRow, RowError, read_row, row_error, shown_cell, tidy_cells
from costsim.portfolio.side_by_side import years_of
from costsim.portfolio.table import HomeTable, read_table
from costsim.portfolio.variants import blank_groups, shared_values, variant, without
from costsim.simulation import simulate_option
from costsim.study.services import ELECTRICITY
from costsim.units.arrays import Floats, Ints
from costsim.units.quantity import KWH_J


@dataclass(frozen=True, slots=True)
class Part:
    """What a block of homes gives: one row a home, the electricity of all, and the rows that were set aside.

    `values` is (homes, columns) in the order of `PortfolioPlan.columns`; `power` is (options, n), weighted, in steps of `STEP_W`;
    `kept` has the planner's own columns of the homes, in the order of `Layout.kept`; `facts` is (homes, facts), as
    `costsim.portfolio.home_facts.facts_of` names them.
    """

    number: int
    rows: Ints
    homes: tuple[str, ...]
    weights: Floats
    values: Floats
    power: Ints
    aside: tuple[RejectedRow, ...]
    kept: tuple[tuple[str, ...], ...] = ()
    facts: Floats | None = None


def run_block(recipe: PortfolioPlan, block: Block, threads: int | None = None) -> Part:
    """Compute every home of a block.

    Parameters
    ----------
    recipe : PortfolioPlan
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
    jobs: list[_Job] = []
    aside = _no_homes(recipe, block)
    for blank, places in blank_groups(recipe, block):
        homes = [place for place in places if place not in aside] if aside else places
        jobs += _jobs(without(recipe, blank) or recipe, block, homes) if homes else []

    def work(job: _Job) -> list[Part]:
        own = variant(job.recipe, job.values) if job.values is not None else None
        return _run_rows(own or job.recipe, block, job.places)

    with ThreadPoolExecutor(threads or os.cpu_count()) as pool:
        return _joined(recipe, block, [part for parts in pool.map(work, jobs) for part in parts], [*aside.values()])


def _no_homes(recipe: PortfolioPlan, block: Block) -> dict[int, RejectedRow]:
    """Rows of a block that are no homes, by their place."""
    rejected: dict[int, RejectedRow] = {}
    for place, cells in enumerate(block.rows):
        if reason := no_home(recipe.layout, cells):
            rejected[place] = RejectedRow(block.row_of(place), shown_cell(cells[recipe.layout.home].strip()), *reason)
    return rejected


@dataclass(frozen=True, slots=True)
class _Job:
    """Places of rows that are computed together, and the values for which a study of its own is made ready."""

    recipe: PortfolioPlan
    values: tuple[str, ...] | None
    places: list[int]


def _jobs(recipe: PortfolioPlan, block: Block, places: list[int]) -> list[_Job]:
    groups, others = shared_values(recipe, block, places) if recipe.slow else ([], places)
    size, all_of = recipe.at_once, [*groups, *([(None, others)] if others else [])]
    return [
        _Job(recipe, values, own_places[first : first + size])
        for values, own_places in all_of
        for first in range(0, len(own_places), size)
    ]


def _joined(recipe: PortfolioPlan, block: Block, parts: Sequence[Part], aside: Sequence[RejectedRow] = ()) -> Part:
    """All homes in the order of the table."""
    empty = np.zeros((len(recipe.options), recipe.weather.n_hours), dtype=np.int64)
    rows = np.concatenate([np.empty(0, dtype=np.int64), *(part.rows for part in parts)])
    back, homes = np.argsort(rows, kind="stable"), [home for part in parts for home in part.homes]
    places = np.searchsorted(block.numbers, rows[back]).tolist() if recipe.layout.kept else []
    facts_given = [part.facts for part in parts if part.facts is not None]
    kept = tuple(tuple(block.rows[place][at].strip() for place in places) for at, _ in recipe.layout.kept)
    return Part(
        block.number,
        rows[back],
        tuple(homes[at] for at in back.tolist()),
        np.concatenate([np.empty(0), *(part.weights for part in parts)])[back],
        np.concatenate([np.empty((0, len(recipe.columns))), *(part.values for part in parts)])[back],
        sum((part.power for part in parts), empty),
        tuple(
            sorted(
                (*aside, *(rejected for part in parts for rejected in part.aside)), key=lambda rejected: rejected.row
            )
        ),
        kept,
        np.concatenate(facts_given)[back] if facts_given else None,
    )


def _run_rows(recipe: PortfolioPlan, block: Block, places: Sequence[int]) -> list[Part]:
    """Some rows of a block: what can be is read and lowered at once, the others one after the other."""
    if not recipe.in_arrays:
        return [_one_by_one(recipe, block, places)]
    numbers = block.numbers[places]
    table, odd = read_table(recipe, numbers, [block.rows[place] for place in places])
    others, parts = [places[at] for at in odd], []
    wrong = no_house(recipe, with_houses(table, recipe.case)) if len(table) else np.zeros(0, dtype=bool)
    if wrong.any():
        others += np.searchsorted(block.numbers, table.rows[wrong]).tolist()
        table = table.pick(~wrong)
    if len(table):
        lowered = lower_table(recipe, table)
        heavy = too_much(recipe, table, lowered)
        if heavy.any():  # they are told one by one
            others += np.searchsorted(block.numbers, table.rows[heavy]).tolist()
            table = table.pick(~heavy)
            lowered = lower_table(recipe, table) if len(table) else lowered
    if len(table):
        power = np.zeros((len(recipe.options), recipe.weather.n_hours), dtype=np.int64)
        values = rows_of_homes(recipe, table, years_of(recipe, table, lowered, power))
        facts = _facts(recipe, table, lowered)
        parts.append(Part(block.number, table.rows, table.names, table.weights, values, power, (), facts=facts))
    return [*parts, _one_by_one(recipe, block, others)] if others else parts


def _facts(recipe: PortfolioPlan, table: HomeTable, lowered: Lowered) -> Floats:
    """What each home of a table is (homes, facts)."""
    case, alone = with_houses(table, recipe.case), houses_alone(recipe, table)
    load_w = route_of(case, recipe.common.design_outdoor_c, altitude_m(case, recipe.weather)).load_w
    return home_facts(case, lowered.point.loss_w_k, load_w, alone)


def _one_by_one(recipe: PortfolioPlan, block: Block, places: Sequence[int]) -> Part:
    """Rows of a block, each a study of its own, simulated one after the other."""
    power = np.zeros((len(recipe.options), recipe.weather.n_hours), dtype=np.int64)
    homes: list[Home] = []
    values: list[Floats] = []
    facts: list[Floats] = []
    aside: list[RejectedRow] = []
    for place in places:
        at, cells = block.row_of(place), block.rows[place]
        try:
            home = read_row(recipe, at, cells)
            year, fact = _simulated(recipe, home, power)
        except RowError as error:
            aside += error.reasons
        except InputError as error:
            aside += row_error(recipe, at, tidy_cells(recipe.layout, cells, recipe.case), error).reasons
        else:
            homes.append(home)
            values.append(year)
            facts.append(fact)
    rows = np.array([home.row for home in homes], dtype=np.int64)
    weights = np.array([home.weight for home in homes])
    rows_of = np.array(values) if values else np.empty((0, len(recipe.columns)))
    names, facts_array = tuple(home.name for home in homes), np.array(facts).reshape(len(facts), len(facts_of(recipe)))
    return Part(block.number, rows, names, weights, rows_of, power, tuple(aside), facts=facts_array)


def in_steps(watts: Floats) -> Ints:
    """Round electricity to whole steps, whose sums are exact.

    Raises
    ------
    InputError
        More than all the world's power stations give, and than whole steps can hold.
    """
    if (watts > MOST_SUM_W).any():
        raise InputError(Fault("weight", "the homes take more than 4,000 GW", "give smaller weights"))
    return np.rint(watts / STEP_W).astype(np.int64)


def _simulated(recipe: PortfolioPlan, home: Home, power: Ints) -> tuple[Floats, Floats]:
    """A home's row and facts by the whole simulation with a study of its own; its electricity is added."""
    case = to_load(home.case, recipe) if recipe.layout.to_load else home.case
    common = lower_study(case, recipe.weather)
    values, watts = np.zeros(len(recipe.columns)), np.zeros((len(recipe.options), recipe.weather.n_hours))
    for i, (ready, option) in enumerate(zip(recipe.options, case.options, strict=True)):
        hourly, sheet = simulate_option(common, option), ready.sheet
        used = dict.fromkeys(sheet.keys, 0.0)
        used[ELECTRICITY] += hourly.running_j
        watts[i] = hourly.hourly.pump_w + hourly.hourly.auxiliary_w.sum(axis=0)
        for source, input_w in zip(hourly.sources, hourly.hourly.input_w, strict=True):
            if source.price_key in used:
                used[source.price_key] += source.input_j
            watts[i] += input_w if source.fuel == ELECTRICITY else 0.0
        values[sheet.first], values[sheet.heat] = hourly.demand_j, [source.heat_j for source in hourly.sources]
        values[sheet.used] = [joule / KWH_J for joule in used.values()]
        short = hourly.unmet
        values[sheet.last] = hourly.cost_total, short.energy_j / KWH_J, short.hours, short.worst_w / 1e3, hourly.co2_kg
    power += in_steps(home.weight * watts)
    return values, home_facts(case, common.loss_w_k, common.route.load_w, house_alone(case, common))[0]
