"""What `portfolio` prints: what a year costs the homes, who is cold, what the grid sees, and where it all stands."""

from __future__ import annotations

import textwrap
import time
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any, TextIO

from costsim.views.homes_heat import heat_share_lines
from costsim.views.homes_today import today_lines
from costsim.views.homes_totals import (
    MOST_SHOWN,
    NONE,
    Table,
    counted,
    heat_shown,
    peak_when,
    printed_looks,
    printed_totals,
    read_lines,
    remark_lines,
    slow_line,
)
from costsim.views.tables import money, text_table
from costsim.words import tr, trn

MOST_PAIRS = 15


class Homes:
    """A line on standard error: how many homes are done, and about how long the rest takes; in a log, every ten seconds."""

    def __init__(
        self, stream: TextIO, total: int = 0, clock: Callable[[], float] = time.monotonic, tariffs: int = 1
    ) -> None:
        self._stream, self._total, self._clock, self._start, self._next = stream, total, clock, clock(), 10.0
        self._first: tuple[float, int] | None = None
        self._unit = "homes" if tariffs == 1 else tr("homes under each of {tariffs} tariffs", tariffs=tariffs)

    def told(self, rows: int) -> None:
        """Say how many rows are done."""
        took = self._clock() - self._start
        line = f"{rows:,} {self._unit}, {took:,.0f} s{self._left(took, rows)}"
        if self._stream.isatty():
            print(f"\r{line:<90}", end="", file=self._stream, flush=True)
        elif took >= self._next:
            print(line, file=self._stream, flush=True)
            self._next = took + 10.0

    def _left(self, took: float, rows: int) -> str:
        """About how long the rest takes, by what was done since the first part, so that start and earlier runs do not count."""
        if self._first is None:
            self._first = (took, rows)
        since, before = self._first
        if rows <= before or self._total <= rows:
            return ""
        left = (took - since) / (rows - before) * (self._total - rows)
        return tr(
            ", about {left} s left of {total} {split}",
            left=f"{left:,.0f}",
            total=f"{self._total:,}",
            split=self._unit.split()[0],
        )

    def done(self) -> None:
        """End the line."""
        if self._stream.isatty():
            print(file=self._stream)


def printed_portfolio(summary: Mapping[str, Any], folder: str) -> str:
    """Print the summary of a table of homes.

    Parameters
    ----------
    summary : mapping
        As `costsim.portfolio.run.run_portfolio` gives it.
    folder : str
        Where the results stand.
    """
    parts = [_head(summary, folder)]
    if summary["homes"]:
        parts += ["\n".join(wrapped(remark_lines(summary)))] if remark_lines(summary) else []
        parts += [
            *printed_looks(summary),
            *printed_totals(summary),
            "\n".join(wrapped([*heat_share_lines(summary), peak_note()])),
        ]
        parts += [_costs(summary), text_table(*unmet_home_rows(summary))]
        parts += ["\n".join(wrapped(coldest_lines(summary)))] if summary["coldest"] else []
        parts.append(_grid(summary))
        parts += [_pairs(summary)] if summary["pairs"] or summary["today"] else []
    parts.append(
        tr(
            "In {folder}: totals.csv the first table, homes.csv and homes/ every home and option, hours.parquet"
            " the electricity\nof all homes hour by hour, set_aside.csv rows that could not be used and why,"
            " summary.json these figures.",
            folder=folder,
        )
    )
    return "\n\n".join(parts)


def peak_note() -> str:
    """What the peak is of, and why a tank, such as that of collectors, can raise it."""
    return tr(
        "The peak is of heating alone, with all homes in step: one weather and one clock, no spread between them; the year's first day, when"
        " tanks are filled, is left out. A tank can raise"
        " it, that of collectors too: the colder it gets, the warmer the water must be, and in an hour that turns colder the tank"
        " is warmed besides the house, in all homes at once."
    )


def _head(summary: Mapping[str, Any], folder: str) -> str:
    title, aside = summary["study"], summary["homes_set_aside"]
    lines = [
        title,
        "=" * len(title),
        counted(summary),
    ]
    lines += wrapped([summary.get("note", ""), *read_lines(summary)])
    if aside:
        rows = tr("1 row was") if aside == 1 else tr("{aside} rows were", aside=f"{aside:,}")
        lines.append(tr("{rows} set aside and in no total: {folder}/set_aside.csv says why.", rows=rows, folder=folder))
        lines += _asides(summary)
    lines += wrapped([swallowed_line(summary), slow_line(summary)])
    return "\n".join(lines)


def _asides(summary: Mapping[str, Any]) -> list[str]:
    """The first cells that kept rows out, each with its row, column, value and what to do."""
    lines = [
        ", ".join(
            filter(
                None, (tr("row {row}", row=rejected["row"]), rejected["home"], rejected["column"], rejected["value"])
            )
        )
        + f": {rejected['reason']}"
        for rejected in summary.get("set_aside", [])[:MOST_SHOWN]
    ]
    return [part for line in lines for part in textwrap.wrap(line, 115, initial_indent="  ", subsequent_indent="    ")]


def swallowed_line(summary: Mapping[str, Any]) -> str:
    """How many rows lie in a cell of another; empty where none does."""
    count = int(summary["rows_in_cells"])
    return (
        trn(
            "A quotation mark may not be closed: {count} more row lies in a cell of a row set aside, and is not counted.",
            "A quotation mark may not be closed: {count} more rows lie in a cell of a row set aside, and are not counted.",
            count,
        )
        if count
        else ""
    )


def wrapped(lines: Sequence[str]) -> list[str]:
    """Sentences on lines that a terminal is wide enough for."""
    return [part for line in lines for part in textwrap.wrap(line, 115, break_long_words=False)]


def _percent(share: float | None) -> str:
    return NONE if share is None else f"{share:.1%}"


def _headings(summary: Mapping[str, Any]) -> list[str]:
    return [tr("median") if share == 0.5 else f"{share:.0%}" for share in summary["quantiles"]]


def _five(spread: Mapping[str, Any], write: Any) -> list[str]:
    quantiles: Sequence[float] | None = spread["quantiles"]
    return [NONE] * 5 if quantiles is None else [write(value) for value in quantiles]


def cost_rows(summary: Mapping[str, Any]) -> Table:
    """Headings and rows of what a year costs the homes."""
    coin, options = summary["currency"], summary["options"]
    rows = [
        [
            option["name"],
            *_five(option["cost"], lambda value: money(value, coin)),
            _percent(option["cheapest_share"]),
            _percent(option["cheapest_warm_share"]),
        ]
        for option in options
    ]
    return [tr("a year's cost"), *_headings(summary), tr("cheapest for"), tr("cheapest with enough heat")], rows


def _costs(summary: Mapping[str, Any]) -> str:
    most = summary["warm_at_most_hours_short"]
    note = tr(
        "Enough heat: at most {most} unmet hours a year. Homes that no option heats enough count for none.", most=most
    )
    return f"{text_table(*cost_rows(summary))}\n{note}"


def unmet_home_rows(summary: Mapping[str, Any]) -> Table:
    """Headings and rows of who is cold."""
    options, system = summary["options"], summary.get("units", "si")
    rows = [
        [
            option["name"],
            *_five(option["unmet_kwh"], partial(heat_shown, system=system)),
            _percent(option["homes_short_share"]),
        ]
        for option in options
    ]
    most = summary["warm_at_most_hours_short"]
    return [tr("unmet heat in a year"), *_headings(summary), tr("homes with over {most} unmet h", most=most)], rows


def coldest_lines(summary: Mapping[str, Any], *, on_page: bool = False) -> list[str]:
    """Which homes lack heat for longest, a line for each option that leaves any short; a page names its button, not a file."""
    lines = []
    for option in summary["coldest"]:
        named = ", ".join(
            tr("{home} {hours} h", home=each["home"], hours=f"{each['hours']:,.0f}") for each in option["homes"]
        )
        left = option["rows"] - len(option["homes"])
        where = tr("the file of “{button}”", button=tr("Every home as CSV")) if on_page else "homes.csv"
        more = tr("; {left} more stand in {where}", left=f"{left:,}", where=where) if left else ""
        lines.append(
            tr(
                "Unmet hours with {option}, longest first: {homes}{more}.",
                option=option["option"],
                homes=named,
                more=more,
            )
        )
    return lines


def grid_rows(summary: Mapping[str, Any]) -> Table:
    """Headings and rows of what the grid sees."""
    rows = []
    for option in summary["options"]:
        mean = option["peak_hours_mean_kw"]
        rows.append(
            [
                option["name"],
                f"{option['coincident_peak_kw']:,.1f} kW",
                peak_when(option),
                NONE if mean is None else f"{mean:,.1f} kW",
                f"{option['peak_hours_highest_kw']:,.1f} kW",
            ]
        )
    return [
        tr("electricity for heat, all homes"),
        tr("highest"),
        tr("at"),
        tr("mean in peak hours"),
        tr("highest in them"),
    ], rows


def _grid(summary: Mapping[str, Any]) -> str:
    return tr(
        "{text_table}\nPeak hours: {summary}.",
        text_table=text_table(*grid_rows(summary)),
        summary=summary["peak_hours"],
    )


def pair_rows(summary: Mapping[str, Any]) -> Table:
    """Headings and rows of what each option saves against today; against each other where the study knows no today."""
    coin, today = summary["currency"], summary["today"]
    headings = [*_headings(summary), tr("saves for"), tr("enough heat, both"), tr("their mean saving")]
    if today is not None and today["rows"]:
        rows = [
            [
                row["option"],
                *_five(row["saves"], lambda value: money(value, coin)),
                _percent(row["saves_share"]),
                *_warm_in_both(row["homes_warm_in_both"], row["saves_warm_in_both_mean"], coin),
            ]
            for row in today["rows"]
        ]
        return [tr("saves a year against today"), *headings], rows
    rows = []
    for pair in summary["pairs"][:MOST_PAIRS]:
        more, mean = pair["second_costs_more_by"]["quantiles"], pair["second_costs_more_mean_of_warm_in_both"]
        saves = {"quantiles": None if more is None else [0.0 - value for value in reversed(more)]}
        rows.append(
            [
                tr("{one} rather than {one_2}", one=pair["second"], one_2=pair["first"]),
                *_five(saves, lambda value: money(value, coin)),
                _percent(pair["second_is_cheaper_share"]),
                *_warm_in_both(pair["homes_warm_in_both"], None if mean is None else -mean, coin),
            ]
        )
    return [tr("saves a year"), *headings], rows


def _warm_in_both(homes: float, mean: float | None, coin: str) -> list[str]:
    """How many homes are warm under both options, and what those save on average: heat that is not delivered is no saving."""
    return [f"{homes:,.6g}", NONE if mean is None else money(mean, coin)]


def shift_rows(summary: Mapping[str, Any]) -> Table:
    """Headings and rows of the electricity that moves out of the peak hours, and what comes back elsewhere."""
    today = summary["today"]
    moved = [(row["option"], row) for row in today["rows"] if "peak_hours_less_kwh" in row] if today else []
    moved = moved or [
        (tr("{one} rather than {one_2}", one=pair["second"], one_2=pair["first"]), pair)
        for pair in summary["pairs"][:MOST_PAIRS]
    ]
    rows = [
        [
            words,
            f"{round(-row['peak_hours_less_kwh']):+,d} kWh",
            f"{round(row['other_hours_more_kwh']):+,d} kWh",
            f"{row['other_hours_most_more_kw']:,.1f} kW",
        ]
        for words, row in moved
    ]
    return [
        tr("electricity against today") if today and today["option"] else tr("electricity of all homes"),
        tr("in peak hours"),
        tr("in all others"),
        tr("largest rise in an hour"),
    ], rows


def _under_first(summary: Mapping[str, Any], rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """Rows of pairs under the option that they are instead of, so that a terminal is wide enough."""
    under: list[list[str]] = []
    last = ""
    for pair, row in zip(summary["pairs"], rows, strict=False):
        if pair["first"] != last:
            last = pair["first"]
            under.append([tr("rather than {option}:", option=last), *[""] * (len(row) - 1)])
        under.append([f"  {pair['second']}", *row[1:]])
    return under


def _pairs(summary: Mapping[str, Any]) -> str:
    lines = "\n".join(wrapped(today_lines(summary)))
    headings, rows = pair_rows(summary)
    if not (summary["today"] and summary["today"]["rows"]):
        rows = _under_first(summary, rows)
    text = f"{text_table(headings, rows)}\n{lines}"
    if summary["pairs"]:
        text += f"\n\n{text_table(*shift_rows(summary))}"
    left = 0 if summary["today"] and summary["today"]["rows"] else len(summary["pairs"]) - MOST_PAIRS
    return text + (tr("\n{left} more pairs stand in summary.json.", left=left) if left > 0 else "")
