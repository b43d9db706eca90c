"""From text to a table: which mark parts the columns, where the headings stand, and wide tables made long."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Sequence
from itertools import pairwise

from costsim.bills.amounts import no_amount
from costsim.bills.beside import months_beside
from costsim.bills.columns import Table, choose
from costsim.bills.dates import month_number
from costsim.bills.numbers import split_amount
from costsim.bills.stamps import kind_of, months_named, time_of_day
from costsim.bills.text import EXAMPLE
from costsim.bills.words import role_of, unit_in, words_of
from costsim.errors import Fault, InputError
from costsim.files import check_lines
from costsim.packed_tables import is_title, passed_over, without_breaks

MOST_COLUMNS, SEARCHED = 500, 60
_TOTALS = ("total", "sum", "summe", "average", "mean", "annual", "year")
_NAMES = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_QUARTERS = {"quarter", "quartal", "trimestre"}
_YEARS, _MONTHS = {"year", "jahr", "año", "année"}, {"month", "monat", "mes", "mois"}
FIRST_SERIAL, LAST_SERIAL = 32874, 55153
"""Days since the end of 1899 of 1990 and 2050."""
_FISCAL = re.compile(r"\bfiscal\b|\bFY ?'?\d\d|\bgeschäftsjahr\b|\bexercice\b", re.IGNORECASE)
_HOUR_LABEL = re.compile(r"(?:he|h|hour|hr|stunde|kwh|interval|int|v|p)?[ _.\-]?(\d{1,2})", re.IGNORECASE)


def table_of(text: str, notes: list[str], file: str, column: Sequence[str] = (), fuel: str = "") -> Table:
    """Take a table apart and find its columns.

    Parameters
    ----------
    text : str
        What stands in the file.
    notes : list of str
        What has been told so far.
    file : str
        For messages.
    column : sequence of str
        Columns of the use that were asked for.
    fuel : str
        The fuel that was asked for, which may choose among columns.

    Raises
    ------
    InputError
        Dates or amounts are not found, or can be found two ways.
    """
    check_lines(text, file, "a table of bills has a few dozen short ones")
    lines = without_breaks(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))
    kept = [(i + 1, line) for i, line in enumerate(lines) if line.strip(" ,;\t\ufeff") and not line.startswith("#")]
    if not kept:
        raise InputError(Fault("", "holds no rows", f"write one row a bill, {EXAMPLE}", file))
    try:
        mark = separator([line for _, line in kept])
        rows = [
            next(csv.reader([line.replace("\x00", "")], delimiter=mark, skipinitialspace=True), [""])
            for _, line in kept
        ]
        if all(len(row) == 1 for row in rows) and any(
            "," in row[0] for row in rows
        ):  # each line as a whole in quotation marks
            mark = separator([row[0] for row in rows])
            rows = [next(csv.reader([row[0]], delimiter=mark, skipinitialspace=True), [""]) for row in rows]
    except csv.Error as error:
        raise InputError(Fault("", f"cannot be read as a table ({error})", "save it as plain CSV", file)) from None
    if (widest := max(map(len, rows))) > MOST_COLUMNS:
        raise InputError(Fault("columns", f"a row has {widest:,}", "a table of bills has a few", file))
    table = _headed(rows, [number for number, _ in kept], file, column, fuel, comma=mark == ";")
    table.notes[:0] = [*notes, f"columns parted by {_NAMES[mark]}"]
    _drop_other_rows(table)
    if not table.rows:
        raise InputError(Fault("", "holds headings but no bills", "write one row a bill below them", file))
    return table


def separator(lines: Sequence[str]) -> str:
    """Take the mark that parts most rows into the same number of columns, semicolons and tabs before commas."""
    step = max(1, len(lines) // SEARCHED)

    def score(mark: str) -> int:
        counts = [len(next(csv.reader([line], delimiter=mark), [])) for line in lines[::step]]
        width = max(set(counts), key=counts.count)
        return counts.count(width) if width > 1 else 0

    return max((";", "\t", "|", ","), key=score)


def _headed(
    rows: list[list[str]], lines: list[int], file: str, column: Sequence[str], fuel: str, *, comma: bool
) -> Table:
    """Find where the data begin, and the headings above them."""
    parted = months_beside(rows, lines)
    if parted is not None and choose(parted, column, file, fuel):
        return parted
    first = _first_of_data(rows)
    if first is None:
        parted = _months_apart(rows, lines)
        if parted is not None and choose(parted, column, file, fuel):
            return parted
        fiscal = any(_FISCAL.search(cell[:60]) for row in rows[:SEARCHED] for cell in row)
        if any(_is_headings(row) for row in rows[:40]) and not any(_is_data(row) for row in rows) and not fiscal:
            raise InputError(_without_numbers(rows, lines, file))
        raise _not_found(rows, file)
    first = _with_spoilt(rows, first)
    width = max(len(row) for row in rows[first : first + SEARCHED])
    best: tuple[int, Table] | None = None
    question: InputError | None = None
    for above in (1, 2, 3) if first else ():
        if above > first or any(_is_data(row) for row in rows[first - above : first]):
            break
        headings = _joined([row for row in rows[first - above : first]], width)
        if above == 1 and _is_wide(headings):
            return _long(rows[first:], lines[first:], headings, first, file, column)
        if is_title(headings):
            continue
        table = Table(list(rows[first:]), list(lines[first:]), headings, comma=comma)
        try:
            if not choose(table, column, file, fuel):
                continue
        except InputError as error:
            question = question or error
            continue
        score = len({role_of(heading) for heading in headings} - {""}) + bool(table.unit)
        if first - above:
            table.notes.append(passed_over(first - above))
        table.above = [cell for row in rows[: first - above] for cell in row if cell.strip()]
        table.unit = table.unit or (_told_unit(rows[: first - above]) if "unit" not in table.places else "")
        if best is None or score > best[0]:
            best = (score, table)
    if best is not None:
        return best[1]
    if question is not None:
        raise question
    if any(_is_headings(row) for row in rows[:first]) and (faults := _without_numbers(rows, lines, file)):
        raise InputError(faults)
    bare = Table(list(rows[first:]), list(lines[first:]), [""] * width, comma=comma)
    if not choose(bare, column, file, fuel):
        raise _not_found(rows, file)
    return bare


def _not_found(rows: list[list[str]], file: str) -> InputError:
    if any(_FISCAL.search(cell[:60]) for row in rows[:SEARCHED] for cell in row):
        remedy = "write the calendar month of each, such as 2024-03, or its first and last day"
        return InputError(
            Fault("dates", "the periods are those of a fiscal year, which begins in any month", remedy, file)
        )
    seen = ", ".join(cell.strip() for cell in rows[0])[:80]
    what = f"dates and amounts were not found; the first row is '{seen}'"
    return InputError(Fault("columns", what, f"head the columns, {EXAMPLE}", file))


def _is_headings(row: list[str]) -> bool:
    roles = {role_of(cell) for cell in row}
    return bool(roles & {"amount", "register"}) and bool(roles & {"date", "start", "end"})


def _is_data(row: list[str]) -> bool:
    kinds = [kind_of(cell.strip()) for cell in row]
    dates = [at for at, kind in enumerate(kinds) if kind in ("date", "month", "span")]
    return bool(dates) and any(
        at != dates[0]
        and split_amount(cell.strip()) is not None
        and not (kinds[at] == "date" and len(dates) > 1 and len(row) == 2)
        for at, cell in enumerate(row)
        if cell.strip()
    )


def _dated(row: list[str]) -> bool:
    return any(kind_of(cell.strip()) in ("date", "month", "span") for cell in row)


def _without_numbers(rows: list[list[str]], lines: list[int], file: str) -> list[Fault]:
    """What is wrong with a table none of whose rows holds a number: each row with a date, by the cell that should be one."""
    at = next(i for i, row in enumerate(rows) if _is_headings(row))
    place = next(i for i, cell in enumerate(rows[at]) if role_of(cell) in ("amount", "register"))
    spoilt = [i for i in range(at + 1, len(rows)) if _dated(rows[i])]
    day = next((i for i, cell in enumerate(rows[at]) if role_of(cell) in ("date", "start", "end")), 0)
    cells_below = [row[day].strip() for row in rows[at + 1 : at + 4] if day < len(row)]
    if (
        not spoilt
        and cells_below
        and all(cell.isdecimal() and FIRST_SERIAL <= int(cell[:6]) <= LAST_SERIAL for cell in cells_below)
    ):
        what = f"'{cells_below[0]}' is a day as spreadsheets count them inside"
        return [
            Fault(
                f"line {lines[at + 1]}",
                what,
                f"give column '{rows[at][day].strip()}' the form of a date and save the table again",
                file,
            )
        ]
    if not spoilt:
        return [Fault("", "holds headings but no bills", "write one row a bill below them", file)]
    cells = {i: rows[i][place].strip() if place < len(rows[i]) else "" for i in spoilt}
    bad = [i for i in spoilt if split_amount(cells[i]) is None]
    if not bad:
        return [Fault("", "holds no row that reads as a bill", "write dates and one amount in each row", file)]
    return [no_amount(lines[i], cells[i], rows[at][place], file) for i in bad[:20]]


def _with_spoilt(rows: list[list[str]], first: int) -> int:
    """The first row of data with those before it whose amount is no number, back to the headings: they are told as faults."""
    for at in range(first - 1, -1, -1):
        if _is_headings(rows[at]):
            return at + 1
        if not _dated(rows[at]) or len(rows[at]) != len(rows[first]):
            break
    return first


def _first_of_data(rows: list[list[str]]) -> int | None:
    """The first row with a date and a number that is followed by more of its kind."""
    known: dict[int, bool] = {}

    def is_data(at: int) -> bool:
        if at not in known:
            known[at] = _is_data(rows[at])
        return known[at]

    for at in range(min(len(rows), SEARCHED + 10)):
        if is_data(at) and not _is_told_before(rows, at, is_data):
            after = [is_data(i) for i in range(at + 1, min(at + 9, len(rows), SEARCHED + 10))]
            if (
                not after
                or sum(after) * 2 >= len(after)
                or not any(map(is_data, range(at + 9, min(at + 40, len(rows)))))
            ):
                return at
    return None


def _is_told_before(rows: list[list[str]], at: int, is_data: Callable[[int], bool]) -> bool:
    """Whether a row of what is told of the whole file stands above the real headings, as dates of the order do."""
    if at + 2 >= min(len(rows), SEARCHED + 10) or is_data(at + 1) or not is_data(at + 2):
        return False
    cells = [cell.strip() for cell in rows[at + 1] if cell.strip()]
    roles = {role_of(cell) for cell in cells}
    return len(cells) > 1 and not any(letter.isdigit() for cell in cells for letter in cell) and "date" in roles


def _told_unit(rows: list[list[str]]) -> str:
    """A unit that a heading and the row below it tell of the whole file."""
    for heads, values in pairwise(rows):
        for head, value in zip(heads, values, strict=False):
            if role_of(head) == "unit" and unit_in(value):
                return unit_in(value)
    return ""


def _joined(rows: list[list[str]], width: int) -> list[str]:
    """Headings of one row or more, one below the other; a heading over several columns counts for each."""
    parts = []
    for row in rows:
        cells = [cell.strip() for cell in row[:width]] + [""] * (width - len(row))
        if len(rows) > 1 and row is not rows[-1]:
            last = ""
            for at, cell in enumerate(cells):
                last = cells[at] = cell or last
        parts.append(cells)
    return [" ".join(part for part in column if part) for column in zip(*parts, strict=True)]


def _months_apart(rows: list[list[str]], lines: list[int]) -> Table | None:
    """A table with year and month in columns of their own, as one with months."""
    for at, row in enumerate(rows[:40]):
        names = [set(words_of(cell).split()) for cell in row]
        year = next((i for i, words in enumerate(names) if words & _YEARS), -1)
        month = next((i for i, words in enumerate(names) if words & (_MONTHS | _QUARTERS)), -1)
        if year < 0 or month < 0 or year == month:
            continue
        wide = max(year, month)
        body, kept = [], []
        for line, cells in zip(lines[at + 1 :], rows[at + 1 :], strict=True):
            quarter = f"Q{cells[month].strip().upper().strip('QT')} {cells[year].strip()}" if len(cells) > wide else ""
            number = month_number(cells[month]) if len(cells) > wide else 0
            named = quarter if names[month] & _QUARTERS else f"{cells[year].strip()}-{number:02}" if number else ""
            if months_named(named) and len(cells[year].strip()) == 4 and cells[year].strip().isdigit():
                body.append([named, *cells])
                kept.append(line)
        return (
            Table(
                body, kept, ["Month", *(cell.strip() if i not in (year, month) else "" for i, cell in enumerate(row))]
            )
            if body
            else None
        )
    return None


def _is_wide(headings: list[str]) -> bool:
    """Whether hours or parts of them stand side by side."""
    return sum(1 for heading in headings if heading and _label(heading) is not None) >= 23


def _label(heading: str) -> str | None:
    """A heading as a time or number of an hour; None where it is none."""
    text = heading.strip()
    if ":" in text:
        first = text.split(" - ")[0].split("-")[0].strip()
        return first if time_of_day(first) else None
    match = _HOUR_LABEL.fullmatch(text)
    return match[1] if match else None


def _long(
    rows: list[list[str]], lines: list[int], headings: list[str], first: int, file: str, column: Sequence[str]
) -> Table:
    """A table with one reading a row, from one with a day a row."""
    labels = {at: label for at, heading in enumerate(headings) if (label := _label(heading)) is not None}
    clock = sum(":" in label for label in labels.values()) * 2 > len(labels)
    labels = {at: label for at, label in labels.items() if (":" in label) == clock}
    rest = [
        at
        for at in range(len(headings))
        if at not in labels and role_of(headings[at]) not in ("amount", "money", "average")
    ]
    body, numbers = [], []
    for line, row in zip(lines, rows, strict=True):
        kept = [row[at] if at < len(row) else "" for at in rest]
        for at, label in labels.items():
            if at < len(row) and row[at].strip():
                body.append([*kept, label, row[at]])
                numbers.append(line)
    unit = next((text for heading in headings for text in heading.split() if text.lower() in ("kwh", "wh")), "")
    table = Table(
        body,
        numbers,
        [*(headings[at] for at in rest), "time" if clock else "hour", f"usage ({unit})" if unit else "usage"],
    )
    if not choose(table, [], file):
        raise _not_found([headings], file)
    table.notes.append(f"{len(labels)} columns of times of day were put one below the other")
    return table


def _drop_other_rows(table: Table) -> None:
    """Leave out sums and empty rows."""
    key = "start" if "start" in table.places else "date"
    dates, amounts = table.column(key), table.column("amount")
    kept, sums = [], []
    for i, row in enumerate(table.rows):
        first = next((cell.strip().lower() for cell in row if cell.strip()), "")
        if first.startswith(_TOTALS) and not kind_of(dates[i]):
            sums.append(table.lines[i])
        elif dates[i] or amounts[i]:
            kept.append(i)
    if sums:
        table.notes.append("left out as a sum: line " + ", ".join(map(str, sums)))
    table.keep(kept)
