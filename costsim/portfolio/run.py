"""A whole table of homes by one study, block by block into a folder."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from costsim import __version__
from costsim.errors import Fault, InputError
from costsim.files import write_text, write_whole
from costsim.portfolio.columns import with_filled
from costsim.portfolio.compute import Part, run_block
from costsim.portfolio.home_facts import fact_columns
from costsim.portfolio.homes import Block, Homes, open_homes
from costsim.portfolio.loads import with_loads
from costsim.portfolio.looks import Seen, idle_columns, look_over, still_idle
from costsim.portfolio.plan import PortfolioPlan, prepare
from costsim.portfolio.sold import lists_of
from costsim.portfolio.store import Store, alone, open_store, weather_digest
from costsim.portfolio.summary import Asked, kept_names, own_names, read_peak_hours, summarize
from costsim.portfolio.today import TODAYS, Today
from costsim.portfolio.totals import MOST_LISTED, as_csv, harmless, homes_csv
from costsim.results.clock import clock_labels
from costsim.study.case import Case
from costsim.units.arrays import Floats
from costsim.weather import Weather

BLOCK = 4096
MOST_BLOCK = 1_000_000
FIRST_REASONS = 3
PEAK_HOURS = "17:00-20:00"
Compute = Callable[[PortfolioPlan, Iterable[Block]], Iterator[Part]]


def run_portfolio(
    case: Case,
    weather: Weather,
    homes: str | Path | Opened,
    folder: str | Path,
    *,
    block: int = BLOCK,
    peak_hours: str = PEAK_HOURS,
    threads: int | None = None,
    progress: Callable[[int], None] | None = None,
    compute: Compute | None = None,
    system: str = "si",
    by: str = "",
    overwrite: bool = False,
    sizes: str = "study",
) -> dict[str, Any]:
    """Compute a study for every home of a table.

    Parameters
    ----------
    case : Case
        The template.
    weather : Weather
    homes : str or Path
        A table, ``.csv``, ``.xlsx`` or ``.parquet``; see `costsim.portfolio.columns.read_layout` for its headings. One that
        `opened` gave is not opened again: its heat losses stay those of the study it was opened with.
    folder : str or Path
        Gets ``homes/part-*.parquet`` with ``sums``, ``hours.parquet``, ``set_aside.csv``, ``summary.json``, ``totals.csv``,
        ``homes.csv`` of tables that are no larger than `costsim.portfolio.totals.MOST_LISTED`, and ``run.json``.
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
    system : str
        ``"us"`` or ``"si"``: units of the totals.
    by : str
        Heading of a column of the planner's own, whose every value gets totals.
    overwrite : bool
        Whether what another run left in the folder is deleted.
    sizes : str
        ``"study"``: sources as large as the study's in every home; ``"load"``: in the same proportion to each home's own load as the study's
        have to the study's; ``"sold"``: the next size over that which can be bought.

    Returns
    -------
    dict
        The summary, as written to ``summary.json``.

    Raises
    ------
    InputError
        Headings, windows or the folder cannot be used, or another run is at it. A row that cannot be used is set aside; where none
        can, the first reasons are raised.

    Notes
    -----
    A run that was cut off is taken up again by the same call: parts that are whole stay, the others are computed.
    """
    if not 1 <= block <= MOST_BLOCK:
        raise InputError(Fault("--block", f"{block} homes at a time", f"give a number from 1 to {MOST_BLOCK:,}"))
    open_table = homes if isinstance(homes, Opened) else opened(case, weather, homes, sizes=sizes)
    if open_table.recipe.case is not case:
        open_table = replace(open_table, recipe=prepare(case, weather, open_table.table.layout))
    table = open_table.table
    asked = Asked(read_peak_hours(peak_hours, open_table.recipe), system, _group_column(by, table), overwrite)
    facts = _facts(case, weather, table, block)
    with alone(folder):
        return _into(folder, open_table, facts, asked, progress, compute or on_this_machine(threads))


@dataclass(frozen=True, slots=True)
class Opened:
    """A table of homes whose heat losses are filled in, what is made ready for it, and how the heat losses were found."""

    table: Homes
    recipe: PortfolioPlan
    loads: Mapping[str, Any]


def opened(
    case: Case, weather: Weather, homes: str | Path, *, sizes: str = "study", meant: Mapping[int, str] | None = None
) -> Opened:
    """Open a table of homes; see `run_portfolio`, and `open_homes` for `meant`."""
    table = open_homes(homes, case, meant)
    sold = lists_of(case) if sizes == "sold" else ()
    table = replace(table, layout=replace(with_filled(table.layout, case), to_load=sizes != "study", sold=sold))
    recipe = prepare(case, weather, table.layout)
    filled, loads = with_loads(table, recipe)
    return Opened(filled, recipe, loads)


def _group_column(by: str, table: Homes) -> str:
    """The heading that homes are grouped by, as it stands in the table.

    Raises
    ------
    InputError
        There is none of that name among the planner's own columns.
    """
    own = [name for _, name in table.layout.kept]
    if not by:
        return ""
    for name in own:
        if name.lower() == by.strip().lower():
            return name
    remedy = f"use one of {', '.join(own)}" if own else "add one to the table, such as Utility"
    raise InputError(Fault("--by", f"'{by}' is no column of your own", remedy, str(table.path)))


def _into(
    folder: str | Path,
    open_table: Opened,
    facts: Mapping[str, Any],
    asked: Asked,
    progress: Callable[[int], None] | None,
    compute: Compute,
) -> dict[str, Any]:
    """Fill a folder that no other run is at, and sum up what stands in it."""
    table, recipe = open_table.table, open_table.recipe
    homes, block = str(table.path), int(facts["block"])
    options, kept = [option.option.name for option in recipe.options], list(kept_names(recipe))
    today = Today(recipe, own_names(recipe))
    kept += [TODAYS] if today.known else []
    store = open_store(folder, facts, options, recipe.columns, kept, fact_columns(recipe), overwrite=asked.overwrite)
    idle = idle_columns(recipe, table)
    seen = Seen(recipe)
    numbers, new = _fill(recipe, store, table, block, progress, compute, seen, today)
    if table.digest() != facts["homes"]:
        store.drop(new)
        remedy = "run the same command again once nothing writes to it"
        raise InputError(Fault("", "was changed while it was read, so its homes were not kept", remedy, homes))
    power_w = store.power_w(numbers, recipe.weather.n_hours)
    summary = summarize(recipe, store, numbers, asked, power_w)
    summary |= {"loads": open_table.loads, "note": table.note} | look_over(
        recipe, seen, {rejected.row for rejected in store.aside(numbers)}
    )
    summary["changes_nothing"] = still_idle(recipe, idle, summary["loads_found"])
    _write_aside(store, numbers, homes)
    if not summary["homes"]:
        raise InputError(_no_row(store, numbers, homes))
    _write_hours(recipe, store, power_w)
    write_text(store.folder / "totals.csv", as_csv([*summary["all_homes"], *summary["by_group"]]))
    if summary["homes"] <= MOST_LISTED:
        write_text(store.folder / "homes.csv", homes_csv(recipe, store, numbers, asked.system))
    write_text(store.folder / "summary.json", json.dumps(summary, indent=2, ensure_ascii=False) + "\n")
    return summary


def _no_row(store: Store, numbers: list[int], file: str) -> list[Fault]:
    """Why no home could be computed: the first reasons."""
    reasons = list(islice(store.aside(numbers), FIRST_REASONS))
    if not reasons:
        return [Fault("", "holds no row below its headings", "add a row for each home", file)]
    faults = [
        Fault(f"row {reason.row}", ": ".join(filter(None, (reason.column, reason.value))), reason.reason, file)
        for reason in reasons
    ]
    return [
        Fault("", "no row could be used", f"the first reasons follow, all stand in {store.folder}/set_aside.csv", file),
        *faults,
    ]


def _facts(case: Case, weather: Weather, table: Homes, block: int) -> dict[str, Any]:
    """What the results depend on."""
    return {
        "version": __version__,
        "study": case.typed,
        "weather": weather_digest(weather),
        "homes": table.digest(),
        "block": block,
        "kept": [name for _, name in table.layout.kept],
        **({"sizes": "sold" if table.layout.sold else "load"} if table.layout.to_load else {}),
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
    seen: Seen,
    today: Today,
) -> tuple[list[int], list[int]]:
    """Compute every block that is not there yet; give the numbers of all, and of the new ones. What is read is noted in `seen`."""
    rows: dict[int, int] = {}
    new: list[int] = []
    done = 0

    def missing() -> Iterator[Block]:
        nonlocal done
        for block in table.blocks(size):
            rows[block.number] = len(block.rows)
            seen.add(block)
            if store.has(block.number):
                done += len(block.rows)
                seen.computed += len(block.rows) - len({rejected.row for rejected in store.aside([block.number])})
            else:
                yield block

    for part in compute(recipe, missing()):
        store.put(_with_today(part, today, store))
        new.append(part.number)
        seen.computed += len(part.rows)
        done += rows[part.number]
        if progress is not None:
            progress(done)
    return sorted(rows), new


def _with_today(part: Part, today: Today, store: Store) -> Part:
    """A part with the name of each home's option of today behind the planner's own columns, where anything tells it."""
    if not today.known:
        return part
    texts = part.kept[store.kept.index(today.column)] if today.column else ()
    return replace(part, kept=(*part.kept, today.names(texts, len(part.rows))))


def _write_aside(store: Store, numbers: list[int], file: str) -> None:
    """Every cell that kept a row out, with file, row, column, value and reason."""

    def write(beside: Path) -> None:
        with beside.open("w", encoding="utf-8", newline="") as stream:
            out = csv.writer(stream)
            out.writerow(["file", "row", "home", "column", "value", "reason"])
            for rejected in store.aside(numbers):
                out.writerow(
                    [
                        harmless(file),
                        rejected.row,
                        *map(harmless, (rejected.home, rejected.column, rejected.value, rejected.reason)),
                    ]
                )

    write_whole(store.folder / "set_aside.csv", write)


def _write_hours(recipe: PortfolioPlan, store: Store, power_w: Floats) -> None:
    """Electricity of all homes, hour by hour and option by option."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    columns: dict[str, Any] = {"hour of the year": np.arange(power_w.shape[1])}
    columns["local clock"] = list(clock_labels(recipe.common.calendar))
    columns |= {f"{name} [kW]": row / 1e3 for name, row in zip(store.options, power_w, strict=True)}
    write_whole(store.folder / "hours.parquet", lambda beside: pq.write_table(pa.table(columns), beside))
