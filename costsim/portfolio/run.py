"""A whole table of homes by one study, block by block into a folder."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim import __version__
from costsim.errors import Fault, InputError
from costsim.files import may_be_formula, write_text, write_whole
from costsim.portfolio.compute import Part, run_block
from costsim.portfolio.homes import Block, Homes, open_homes
from costsim.portfolio.plan import PortfolioPlan, prepare
from costsim.portfolio.rows import is_number
from costsim.portfolio.store import Store, alone, open_store, weather_digest
from costsim.portfolio.summary import PeakHours, read_peak_hours, summarize
from costsim.results.clock import clock_labels
from costsim.study.case import Case
from costsim.weather import Weather

BLOCK = 4096
MOST_BLOCK = 1_000_000
PEAK_HOURS = "17:00-20:00"
Compute = Callable[[PortfolioPlan, Iterable[Block]], Iterator[Part]]


def run_portfolio(
    case: Case,
    weather: Weather,
    homes: str | Path,
    folder: str | Path,
    *,
    block: int = BLOCK,
    peak_hours: str = PEAK_HOURS,
    threads: int | None = None,
    progress: Callable[[int], None] | None = None,
    compute: Compute | None = None,
) -> dict[str, Any]:
    """Compute a study for every home of a table.

    Parameters
    ----------
    case : Case
        The template.
    weather : Weather
    homes : str or Path
        A table, ``.csv`` or ``.parquet``; see `costsim.portfolio.columns.read_layout` for its headings.
    folder : str or Path
        Gets ``homes/part-*.parquet`` with ``sums``, ``hours.parquet``, ``set_aside.csv``, ``summary.json`` and ``run.json``.
    block : int
        Homes computed at a time; memory goes with it.
    peak_hours : str
        Clock windows on winter's weekdays over which the electricity of all homes is averaged.
    threads : int, optional
        All processors by default.
    progress : callable, optional
        Told how many rows are done.
    compute : callable, optional
        Turns blocks into parts, in any order; on this machine by default.

    Returns
    -------
    dict
        The summary, as written to ``summary.json``.

    Raises
    ------
    InputError
        Headings, windows or the folder cannot be used, or another run is at it; a row never raises, it is set aside.

    Notes
    -----
    A run that was cut off is taken up again by the same call: parts that are whole stay, the others are computed.
    """
    if not 1 <= block <= MOST_BLOCK:
        raise InputError(Fault("--block", f"{block} homes at a time", f"give a number from 1 to {MOST_BLOCK:,}"))
    table = open_homes(homes, case)
    recipe = prepare(case, weather, table.layout)
    peak = read_peak_hours(peak_hours, recipe)
    facts = _facts(case, weather, table, block)
    with alone(folder):
        return _into(folder, recipe, table, facts, peak, progress, compute or on_this_machine(threads))


def _into(
    folder: str | Path,
    recipe: PortfolioPlan,
    table: Homes,
    facts: Mapping[str, Any],
    peak: PeakHours,
    progress: Callable[[int], None] | None,
    compute: Compute,
) -> dict[str, Any]:
    """Fill a folder that no other run is at, and sum up what stands in it."""
    homes, block = str(table.path), int(facts["block"])
    store = open_store(folder, facts, [one.option.name for one in recipe.options], recipe.columns)
    numbers, new = _fill(recipe, store, table, block, progress, compute)
    if table.digest() != facts["homes"]:
        store.drop(new)
        remedy = "run the same command again once nothing writes to it"
        raise InputError(Fault("", "was changed while it was read, so its homes were not kept", remedy, homes))
    power_w = store.power_w(numbers, recipe.weather.n_hours)
    summary = summarize(recipe, store, numbers, peak, power_w)
    _write_aside(store, numbers, homes)
    _write_hours(recipe, store, power_w)
    write_text(store.folder / "summary.json", json.dumps(summary, indent=2, ensure_ascii=False) + "\n")
    return summary


def _facts(case: Case, weather: Weather, table: Homes, block: int) -> dict[str, Any]:
    """What the results depend on."""
    return {
        "version": __version__,
        "study": case.typed,
        "weather": weather_digest(weather),
        "homes": table.digest(),
        "block": block,
    }


def on_this_machine(threads: int | None = None) -> Compute:
    """Compute blocks one after the other, on threads of this process."""

    def compute(recipe: PortfolioPlan, blocks: Iterable[Block]) -> Iterator[Part]:
        for block in blocks:
            yield run_block(recipe, block, threads)

    return compute


def _fill(
    recipe: PortfolioPlan,
    store: Store,
    table: Homes,
    size: int,
    progress: Callable[[int], None] | None,
    compute: Compute,
) -> tuple[list[int], list[int]]:
    """Compute every block that is not there yet; give the numbers of all, and of the new ones."""
    rows: dict[int, int] = {}
    new: list[int] = []
    done = 0

    def missing() -> Iterator[Block]:
        nonlocal done
        for block in table.blocks(size):
            rows[block.number] = len(block.rows)
            if store.has(block.number):
                done += len(block.rows)
            else:
                yield block

    for part in compute(recipe, missing()):
        store.put(part)
        new.append(part.number)
        done += rows[part.number]
        if progress is not None:
            progress(done)
    return sorted(rows), new


def _write_aside(store: Store, numbers: list[int], file: str) -> None:
    """Every cell that kept a row out, with file, row, column, value and reason."""

    def write(beside: Path) -> None:
        with beside.open("w", encoding="utf-8", newline="") as stream:
            out = csv.writer(stream)
            out.writerow(["file", "row", "home", "column", "value", "reason"])
            for one in store.aside(numbers):
                out.writerow([_harmless(file), one.row, *map(_harmless, (one.home, one.column, one.value, one.reason))])

    write_whole(store.folder / "set_aside.csv", write)


def _harmless(text: str) -> str:
    """Text that a spreadsheet would run as a formula gets a quotation mark; numbers stay.

    Examples
    --------
    >>> _harmless("=1+1"), _harmless("-3"), _harmless("gas"), _harmless(" =1")
    ("'=1+1", '-3', 'gas', "' =1")
    """
    return f"'{text}" if may_be_formula(text) and not is_number(text) else text


def _write_hours(recipe: PortfolioPlan, store: Store, power_w: NDArray[np.float64]) -> None:
    """Electricity of all homes, hour by hour and option by option."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    columns: dict[str, Any] = {"hour of the year": np.arange(power_w.shape[1])}
    columns["local clock"] = list(clock_labels(recipe.common.calendar))
    columns |= {f"{name} [kW]": row / 1e3 for name, row in zip(store.options, power_w, strict=True)}
    write_whole(store.folder / "hours.parquet", lambda beside: pq.write_table(pa.table(columns), beside))
