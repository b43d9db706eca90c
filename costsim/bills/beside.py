"""Months or years that stand side by side in a table, put one below the other."""

from __future__ import annotations

import datetime
from itertools import pairwise

from costsim.bills.columns import Table
from costsim.bills.dates import month_number
from costsim.bills.numbers import split_amount
from costsim.bills.stamps import month
from costsim.bills.words import role_of, unit_in, words_of

SEARCHED, FEWEST_MONTHS, FEWEST_YEARS = 40, 10, 2


def months_beside(rows: list[list[str]], lines: list[int]) -> Table | None:
    """Find months as headings with a year in each row, years as headings with a month in each row, or months of years in one row.

    Parameters
    ----------
    rows, lines : list
        Cells of each row, and its line of the file.

    Returns
    -------
    Table or None
        Columns of the month and of the use, without places; None where the table is none of these.
    """
    for at, row in enumerate(rows[:SEARCHED]):
        cells = [cell.strip() for cell in row]
        named = {i: number for i, cell in enumerate(cells) if i and (number := _month(cell))}
        years = {i: year for i, cell in enumerate(cells) if i and (year := _year_in(cell))}
        body_at = at + 1
        if len(years) >= FEWEST_YEARS and (spread := _over_uses(years, rows[at + 1 : at + 2])):
            years, body_at = spread, at + 2
            cells = ["", *map(str, years)]
        whole = {
            i: day
            for i, cell in enumerate(cells)
            if i and not _is_year(cell) and (day := month(cell) or _month_in(cell))
        }
        headed = bool(whole) and not any(month(cells[i]) for i in whole)
        if len(named) < FEWEST_MONTHS and len(years) < FEWEST_YEARS and len(whole) < FEWEST_MONTHS:
            continue
        body: list[list[str]] = []
        kept: list[int] = []
        for line, below in zip(lines[body_at:], rows[body_at:], strict=True):
            head = next((cell.strip() for cell in below if cell.strip()), "")
            readings: list[tuple[int, str]] = []
            if len(set(named.values())) >= FEWEST_MONTHS and _is_year(head):
                readings = [(i, f"{head}-{number:02}") for i, number in named.items()]
            elif (
                len(years) >= FEWEST_YEARS
                and len(years) >= len(cells) - 2 - _moneys(cells)
                and (number := _month(head))
            ):
                readings = [(i, f"{year}-{number:02}") for i, year in years.items()]
            elif len(whole) >= FEWEST_MONTHS and not body and (headed or role_of(head) == "amount"):
                readings = [(i, f"{day:%Y-%m}") for i, day in whole.items()]
            taken = [[name, below[i]] for i, name in readings if i < len(below) and split_amount(below[i].strip())]
            body += taken
            kept += [line] * len(taken)
        if len(body) >= FEWEST_MONTHS and len({name for name, _ in body}) == len(body):
            body, kept = (list(part) for part in zip(*sorted(zip(body, kept, strict=True)), strict=True))
            head = _use(rows[: body_at + 1])
            table = Table(body, kept, ["Month", head])
            table.notes.append(f"{len(body)} months that stand side by side were put one below the other")
            return table
    return None


def _over_uses(years: dict[int, int], below: list[list[str]]) -> dict[int, int]:
    """Years by the column of use under each, where a year stands over use, cost and the like; empty where it does not."""
    heads = [cell.strip() for cell in below[0]] if below else []
    if not any(role_of(head) == "amount" for head in heads):
        return {}
    places: dict[int, int] = {}
    edges = [*sorted(years), len(heads)]
    for first, end in pairwise(edges):
        uses = [i for i in range(first, min(end, len(heads))) if role_of(heads[i]) == "amount"]
        if len(uses) != 1:
            return {}
        places[uses[0]] = years[first]
    return places


def _month(text: str) -> int:
    """Number of a month that is named by letters; 0 where it is none."""
    return month_number(text) if text and not text[:1].isdigit() else 0


def _is_year(text: str) -> bool:
    return len(text) == 4 and text.isascii() and text.isdigit() and 1970 <= int(text) <= 2100


def _year_in(heading: str) -> int:
    """Year that a heading tells, alone or with a unit or a word for the use, as in '2023 (therms)'; 0 where it is none."""
    if _is_year(heading):
        return int(heading)
    years = [word for word in words_of(heading).split() if _is_year(word)]
    rest = heading.replace(years[0], " ", 1).strip() if len(years) == 1 else ""
    return (
        int(years[0])
        if rest and role_of(rest) == "amount" and not any(letter.isdigit() for letter in words_of(rest))
        else 0
    )


def _month_in(heading: str) -> datetime.date | None:
    """Month of a year that a heading tells before the unit or a word for the use, as in 'Jan-24 Therms'; None where it is none."""
    first, _, rest = heading.strip().rpartition(" ")
    return month(first) if first and role_of(rest) == "amount" else None


def _moneys(cells: list[str]) -> int:
    return sum(role_of(cell) == "money" for cell in cells)


def _use(rows: list[list[str]]) -> str:
    """Heading of the use: the first cell above the amounts, or before them, that tells a unit or the use."""
    cells = [cell.strip() for row in rows for cell in row if cell.strip()]
    unit_cell = next((cell for cell in cells if unit_in(cell)), "") or next(
        (c for c in cells if role_of(c) == "amount"), ""
    )
    return unit_cell or "usage"
