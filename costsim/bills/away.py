"""Bills of days on which nobody was at home: those that somebody marks are left out, one that looks like it is asked about."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from costsim.bills.columns import Table
from costsim.bills.line import Line, Season, best_line, covariance, jacobian, t_quantile
from costsim.bills.model import ONE_DAY, Bills, Days
from costsim.errors import Fault, InputError, SolverError
from costsim.units.arrays import Bools, Floats
from costsim.units.calendar_words import month_or_day

Span = tuple[np.datetime64, np.datetime64]
CHANCE = 0.01
"""Share of houses whose bills all follow the weather of which one is asked about by chance, at most; a rule of ours."""
LEAST_LOW, LEAST_MOVED = 0.15, 0.05
"""A bill that is less below the others' line, or moves the heat loss less, is not asked about; a rule of ours."""
TRIED, FEWEST_FREE = 3, 3
"""Bills that are looked at, and degrees of freedom that the others must leave."""
SMALLEST_SCATTER = 0.01
"""Of the mean use: what bills that fit a line exactly are taken to scatter all the same."""
_MARKED = re.compile(
    r"^(?:(?:we|i|nobody|no one) (?:were|was) )?(?:away|absent|on vacation|vacation|not home|leave out|left out)\b"
    r"|^(?:nobody|no one|not at) home\b",
    re.IGNORECASE,
)
_ALL = "all bills are left out as away"
_YES = {"x", "y", "yes", "true", "1"}
_NO = {"", "n", "no", "false", "0", "home", "at home", "-"}


@dataclass(frozen=True, slots=True)
class Away:
    """A bill that may be of days away: its first and last day, and what the others say.

    `low_share` is how far the bill is below their line, `slope_w_k` what fuel they show for each kelvin.
    """

    start_day: np.datetime64
    last_day: np.datetime64
    low_share: float
    slope_w_k: float


def marked_lines(table: Table, file: str, faults: list[Fault]) -> frozenset[int]:
    """Lines of a table that somebody marked as away: in a column headed so, or by a note that begins with the word.

    Words that every line has, such as the name of a rate, mark none.
    """
    marked = set[int]()
    for line, cell in zip(table.lines, table.column("away"), strict=True):
        text = cell.lower()
        if text in _YES or _MARKED.search(text):
            marked.add(line)
        elif text not in _NO:
            what = f"'{cell}' does not say whether you were away"
            faults.append(Fault(f"line {line}", what, "write yes, or leave it empty", file))
    for at in set(range(len(table.headings))) - set(table.places.values()):
        noted = {line for line, cell in zip(table.lines, table.at(at), strict=True) if _MARKED.search(cell[:60])}
        if len(noted) < len(table.lines):
            marked |= noted
    if marked and marked >= set(table.lines):
        faults.append(_all_marked(table, file))
    return frozenset(marked)


def _all_marked(table: Table, file: str) -> Fault:
    """Say of a table whose every line is marked in which column, and by which words."""
    where = table.headings[table.places["away"]] if "away" in table.places else ""
    cells = ", ".join(f"'{cell}'" for cell in dict.fromkeys(table.column("away")) if cell)
    what = f"all bills are left out as away: column '{where}' says {cells}" if where and cells else _ALL
    return Fault("away", what, "empty it on lines when you were at home; keep at least nine months of bills", file)


def leave_out(bills: Bills, gone: Bools) -> Bills:
    """The bills without those of days away, which are told, and are no gap.

    Raises
    ------
    InputError
        None is left.
    """
    if not gone.any():
        return bills
    if gone.all():
        raise InputError(Fault("away", _ALL, "keep at least nine months of bills", bills.name))
    spans = tuple(zip(bills.start_day[gone], bills.end_day[gone], strict=True))
    shown = ", ".join(f"{start} to {end - ONE_DAY}" for start, end in spans[:3]) + (" …" if len(spans) > 3 else "")
    note = f"left out of the fit, as you were away: {shown}"
    return replace(bills.part(~gone), notes=(*bills.notes, note), left_out=(*bills.left_out, *spans))


def over(start: Days, end: Days, spans: Sequence[Span]) -> Bools:
    """Whether periods hold a day of one of the spans (n,); ends are exclusive."""
    held = [(start < last) & (end > first) for first, last in spans]
    return np.logical_or.reduce(held) if held else np.zeros(len(start), dtype=bool)


def read_spans(texts: Sequence[str]) -> list[Span]:
    """Days, or runs of days, that somebody was away.

    Raises
    ------
    InputError
        One is no day.

    Examples
    --------
    >>> [(str(first), str(last)) for first, last in read_spans(["2024-12-20 to 2025-01-05", "Feb 3, 2025"])]
    [('2024-12-20', '2025-01-06'), ('2025-02-03', '2025-02-04')]
    """
    spans = list[Span]()
    for text in texts:
        try:
            parts = [month_or_day(part.strip()) for part in re.split(r" to | [-–] ", text.strip())]
            days = [np.datetime64(part, "D") for part in parts]
            if len(days) > 2 or days[-1] < days[0] or any(len(part) != len("2024-12-24") for part in parts):
                raise ValueError
        except ValueError:
            remedy = 'write a day of the bill, such as "Dec 24, 2024", or "2024-12-20 to 2025-01-05"'
            raise InputError(Fault("--away", f"'{text}' is no day, and no days one after the other", remedy)) from None
        spans.append((days[0], days[-1] + ONE_DAY))
    return spans


def without_days(bills: Sequence[Bills], texts: Sequence[str]) -> list[Bills]:
    """Leave out every bill that holds one of the days.

    Raises
    ------
    InputError
        One is no day, or no bill holds it.
    """
    spans = read_spans(texts)
    for text, span in zip(texts, spans, strict=True):
        if not any(over(part.start_day, part.end_day, [span]).any() for part in bills):
            raise InputError(Fault("--away", f"no bill holds {text}", "give a day of the bill that is to be left out"))
    return [_without(part, spans) for part in bills]


def _without(bills: Bills, spans: Sequence[Span]) -> Bills:
    other = None if bills.other is None else _without(bills.other, spans)
    return replace(leave_out(bills, over(bills.start_day, bills.end_day, spans)), other=other)


def asked_about(bills: Bills, season: Season, line: Line) -> tuple[Away, ...]:
    """Bills, one or two, that are far below what the others say and bend the line by more than its band.

    Notes
    -----
    Those of the largest Cook's distance are left out one by one, then by two, since two months away hide each other. They are named if
    their residuals against the line of the others are beyond Student's t by Bonferroni (Cook and Weisberg, Residuals and Influence in
    Regression, 1982; formulas from memory), and if leaving them out moves the slope by more than the band of 90 % it has without them.
    """
    rows = _influential(season, bills.mean_w, line)
    for count in (1, 2):
        tried = (_left_out(season, bills.mean_w, chosen, line) for chosen in combinations(rows, count))
        odd = [away for away in tried if away is not None]
        if odd:
            chosen, low, slope_w_k, _ = max(odd, key=lambda away: away[-1])
            return tuple(
                Away(bills.start_day[row], bills.end_day[row] - ONE_DAY, share, slope_w_k)
                for row, share in sorted(zip(chosen, low, strict=True))
            )
    return ()


def _influential(season: Season, use_w: Floats, line: Line) -> list[int]:
    """Rows clearly below the line, those with the largest Cook's distances first."""
    expected, root = line.at(season.excess_k(line.balance_c)), np.sqrt(season.days)
    columns, left = jacobian(season, line) * root[:, None], (use_w - expected) * root
    leverage = np.minimum(np.einsum("ij,ji->i", columns, np.linalg.pinv(columns)), 0.95)
    distance = left**2 * leverage / (1.0 - leverage) ** 2
    below = use_w < (1.0 - LEAST_LOW / 3.0) * expected  # the bill itself draws the line down
    return [int(row) for row in np.argsort(-distance) if below[row]][:TRIED]


def _left_out(
    season: Season, use_w: Floats, rows: tuple[int, ...], line: Line
) -> tuple[tuple[int, ...], list[float], float, float] | None:
    """Rows, shares they are below the line of the others, its slope, and how odd they are; None where they are not."""
    rest = np.ones(len(use_w), dtype=bool)
    rest[list(rows)] = False
    free = int(rest.sum()) - 3
    if free < FEWEST_FREE:
        return None
    others = season.chosen(rest)
    try:
        without = best_line(others, use_w[rest])
    except SolverError:
        return None
    scatter2 = max(without.squares / free, (SMALLEST_SCATTER * float(use_w.mean())) ** 2 * float(season.days.mean()))
    columns = jacobian(others, without) * np.sqrt(others.days)[:, None]
    inner, every = np.linalg.pinv(columns.T @ columns), jacobian(season, without)
    limit, low, odds = t_quantile(1.0 - CHANCE / len(use_w), free), list[float](), list[float]()
    expected = without.at(season.excess_k(without.balance_c))
    for row in rows:
        spread2 = scatter2 * (1.0 / float(season.days[row]) + float(every[row] @ inner @ every[row]))
        odds.append((float(expected[row]) - float(use_w[row])) / float(np.sqrt(spread2)))
        low.append(1.0 - float(use_w[row]) / max(float(expected[row]), 1e-9))
    if min(odds) <= limit or min(low) < LEAST_LOW:
        return None
    band = t_quantile(0.95, free) * float(np.sqrt(covariance(others, without, use_w[rest])[1, 1]))
    moved = abs(without.slope_w_k - line.slope_w_k)
    return (rows, low, without.slope_w_k, min(odds)) if moved > max(band, LEAST_MOVED * line.slope_w_k) else None
