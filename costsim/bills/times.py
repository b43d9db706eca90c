"""When each reading of a table began, how long it lasted, and on which local day it lies: every layout of dates and times."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from costsim.bills.columns import Table
from costsim.bills.dates import ORDERS, evenness, possible_orders, read_date, to_days
from costsim.bills.numbers import split_amount
from costsim.bills.stamps import NO_TIME, Moment, Seconds, moment, months_named, possible, seconds_of, span, time_of_day
from costsim.bills.words import words_of
from costsim.errors import Fault
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S

NONE = np.iinfo(np.int64).min
LONGEST_INTERVAL_S = int(1.6 * WHOLE_DAY_S)
NEAR_D, SHORTEST_BILL_D, LONGEST_BILL_D = 5.0, 5.0, 100.0
_OF_MONTHS = {"bill", "billed", "billing", "bills", "invoice", "statement", "month", "monthly"}
_OF_DAYS = {"daily", "day", "interval"}
_REMEDY = "write dates as year-month-day, such as 2024-03-31"


@dataclass(frozen=True, slots=True, eq=False)
class Times:
    """What the columns of dates and times say, row by row (n,); seconds of the local clock since 1970.

    Parameters
    ----------
    start_s : array of int (n,)
        As the single date, where there is no end.
    end_s : array of int (n,) or None
    offset_s : array of int (n,) or None
        From UTC, where each row tells it.
    timed : bool
        Whether a time of day is given.
    month : bool
        Whether only months are named.
    day_s : array of int (n,) or None
        Midnight of each row's date, where hours are numbered through the day: days of 23 and 25 hours show by their last number.
    end_offset_s : array of int (n,) or None
        As `offset_s`, of the ends.
    """

    start_s: Seconds
    end_s: Seconds | None
    offset_s: Seconds | None
    timed: bool
    month: bool = False
    day_s: Seconds | None = None
    end_offset_s: Seconds | None = None

    def rows(self, chosen: Ints | Bools) -> Times:
        """Some of the rows."""
        return replace(
            self,
            start_s=self.start_s[chosen],
            end_s=None if self.end_s is None else self.end_s[chosen],
            offset_s=None if self.offset_s is None else self.offset_s[chosen],
            day_s=None if self.day_s is None else self.day_s[chosen],
            end_offset_s=None if self.end_offset_s is None else self.end_offset_s[chosen],
        )

    @property
    def step_s(self) -> int:
        """The usual length of a reading, or step from one date to the next [s]; 0 where one row tells none."""
        stamps = np.unique(self.start_s)
        lengths = stamps[1:] - stamps[:-1] if self.end_s is None else self.end_s - self.start_s
        lengths = lengths[lengths > 0]
        return int(np.median(lengths)) if len(lengths) else 0

    @property
    def is_interval(self) -> bool:
        """Whether readings are of a day or shorter."""
        if self.month or len(self.start_s) < 3:
            return False
        if self.timed and self.end_s is not None and self.step_s == 0:
            return True
        return 0 < self.step_s <= LONGEST_INTERVAL_S


def times_of(table: Table, file: str, faults: list[Fault]) -> Times | None:
    """Read the columns of dates and times; None where that fails, with the faults.

    Parameters
    ----------
    table : Table
        With its places; its notes take what was decided.
    file : str
        For messages.
    faults : list of Fault
    """
    columns = [table.column(key) for key in (("start", "end") if "start" in table.places else ("date",))]
    if len(columns) == 1:
        parted = {cell: None if moment(cell) else span(cell) for cell in dict.fromkeys(columns[0])}
        if any(parted.values()):
            columns = [[(parted[cell] or (cell, cell))[i] for cell in columns[0]] for i in (0, 1)]
            table.notes.append("each period stands in one cell, from its first to its last date")
    known = {cell: moment(cell) for column in columns for cell in dict.fromkeys(column)}
    months = {cell: months_named(cell) for cell in known} if not all(known.values()) else {}
    if months and sum(named is not None for named in months.values()) * 2 > len(months) and len(columns) == 1:
        return _months(table, columns[0], months, file, faults)
    order = _order(table, columns, known, file, faults)
    if not order:
        return None
    moments = [[known[cell] for cell in column] for column in columns]
    faults += _date_faults(table, columns, known, order, file)
    seconds = [seconds_of(column, order) for column in moments]
    if (np.stack(seconds) == NONE).any():
        return None
    _tell_order(table, known, order)
    start, end = seconds[0], seconds[1] if len(seconds) == 2 else None
    timed = any(stamp is not None and stamp.second != NO_TIME for stamp in known.values())
    if end is None and not timed and _are_months(table, start):
        table.notes.append("each date is the first of a month: each amount is taken as the use of that calendar month")
        first = start.astype("datetime64[s]").astype("datetime64[M]")
        return Times(
            start, (first + np.timedelta64(1, "M")).astype("datetime64[s]").astype(np.int64), None, False, month=True
        )
    until = _offsets(moments[1]) if len(moments) == 2 else None
    times = Times(start, end, _offsets(moments[0]), timed, end_offset_s=until)
    return _with_times_of_day(table, times, file, faults)


def _are_months(table: Table, start_s: Seconds) -> bool:
    """Whether dates headed as months are each the first of another one, as workbooks keep months."""
    heading = set(words_of(table.headings[table.places["date"]]).split()) if "date" in table.places else set()
    days = start_s.astype("datetime64[s]").astype("datetime64[D]")
    first = bool((days == days.astype("datetime64[M]")).all()) and len(np.unique(days)) == len(days)
    return (
        first
        and "days" not in table.places
        and bool(heading & _MONTH_WORDS)
        and not heading & {"end", "ending", "read"}
    )


_MONTH_WORDS = {"month", "monat", "mes", "mois"}


def _months(
    table: Table,
    column: list[str],
    months: Mapping[str, tuple[datetime.date, int] | None],
    file: str,
    faults: list[Fault],
) -> Times | None:
    for line, cell in zip(table.lines, column, strict=True):
        if months[cell] is None:
            faults.append(Fault(f"line {line}", f"'{cell}' is no month", "write months such as 'Mar 2024'", file))
    if faults:
        return None
    named = [month for cell in column if (month := months[cell])]
    first = np.array([day for day, _ in named], dtype="datetime64[M]")
    ends = (first + np.array([count for _, count in named])).astype("datetime64[s]").astype(np.int64)
    what = "quarter" if any(count == 3 for _, count in named) else "month"
    table.notes.append(f"only {what}s are named: each amount is taken as the use of that calendar {what}")
    return Times(first.astype("datetime64[s]").astype(np.int64), ends, None, False, month=True)


def _offsets(moments: list[Moment | None]) -> Seconds | None:
    offsets = [stamp.offset_s if stamp else None for stamp in moments]
    return None if any(offset_s is None for offset_s in offsets) else np.array(offsets, dtype=np.int64)


def _order(
    table: Table, columns: list[list[str]], known: dict[str, Moment | None], file: str, faults: list[Fault]
) -> str:
    """Order of day, month and year in which the dates make sense; empty, with a fault, where there is none or several."""
    texts = [[stamp.date for cell in column if (stamp := known[cell])] for column in columns]
    flat = list(dict.fromkeys(text for column in texts for text in column))
    if not flat:
        faults += _date_faults(table, columns, known, "ymd", file)
        return ""
    orders = possible_orders(flat)
    if table.order and flat and table.order not in orders and table.order in possible(flat):
        return table.order  # another order gives the same dates
    if table.order:
        orders = [table.order] if table.order in orders else []
    if not orders:
        fits = table.order or max(ORDERS, key=lambda order: sum(read_date(text, order) is not None for text in flat))
        faults += _date_faults(table, columns, known, fits, file)
        return ""
    if len(orders) == 1:
        return orders[0]
    if all(len(column) == len(texts[0]) for column in texts) and (order := _evenest(table, texts, orders)):
        return order
    sample = next(text for text in flat if len({read_date(text, order) for order in orders}) > 1)
    what = f"'{sample}' can be read as {' or as '.join(str(read_date(sample, order)) for order in orders)}"
    remedy = f"say it with --date-order {' or '.join(orders)}, or write dates as 2024-03-31"
    faults.append(
        Fault("dates", f"{what}, and nothing else in the file tells which", remedy, file, "date_order", tuple(orders))
    )
    return ""


def _evenest(table: Table, texts: list[list[str]], orders: list[str]) -> str:
    """Take the order of day and month that makes readings run on without breaks, if just one does.

    Twelve days in a row may be twelve months in a row: a number of days beside them or a word in a heading tells, or it is asked.
    """
    unique = [list(dict.fromkeys(column)) for column in texts]
    repeated = len(unique[0]) * 2 < len(texts[0])  # several readings a day: the days follow one another
    if len(texts) == 1 or repeated:
        if len(unique[0]) < (2 if repeated else 3):
            return ""
        if repeated:
            steps = {
                order: int((np.abs(np.diff(to_days(unique[0], order).astype(int))) != 1).sum()) for order in orders
            }
            ranked = sorted(steps, key=lambda order: steps[order])
            return ranked[0] if steps[ranked[0]] < steps[ranked[1]] else ""
    scores, lengths, longest = {}, {}, {}
    for order in orders:
        days = [to_days(column, order) for column in (unique[:1] if len(texts) == 1 else texts)]
        if len(days) == 1:  # readings: each period runs to the next date, in the file's own order
            turned = days[0] if days[0][0] <= days[0][-1] else days[0][::-1]
            days = [turned[:-1], turned[1:]]
        scores[order] = evenness(days[0], days[1])
        spread = (days[1] - days[0]).astype(int)
        lengths[order] = float(np.median(spread)) if len(spread) else 0.0
        longest[order] = int(spread.max(initial=0))
    ranked = sorted(scores, key=lambda order: scores[order])
    best, second = scores[ranked[0]], scores[ranked[1]]
    short, long = sorted(ranked[:2], key=lambda order: lengths[order])
    in_a_row = longest[short] < SHORTEST_BILL_D < lengths[long] and longest[long] < LONGEST_BILL_D
    if best[0] == second[0] == 0 and in_a_row:
        usual = _usual_length(table)
        near = [order for order in orders if abs(lengths[order] - usual) <= NEAR_D]
        return near[0] if usual and len(near) == 1 else ""
    clear = best[0] < second[0] or (best[0] == second[0] and second[1] > best[1] + len(texts[0]) // 3)
    return ranked[0] if clear else ""


def _usual_length(table: Table) -> float:
    """Length of a row's period by the number of days beside it or a word of the headings [d]; 0 where nothing tells it."""
    if (days := days_column(table)) is not None:
        return float(np.median(days))
    words = set(re.split(r"[^a-z]+", " ".join(table.headings).lower()))
    return 30.0 if words & _OF_MONTHS else 1.0 if words & _OF_DAYS else 0.0


def _tell_order(table: Table, known: dict[str, Moment | None], order: str) -> None:
    dates = {stamp.date for stamp in known.values() if stamp}
    if any(read_date(text, order) != read_date(text, other) for text in dates for other in ORDERS):
        table.notes.append(f"dates read as {ORDERS[order]}")


def _date_faults(
    table: Table, columns: list[list[str]], known: dict[str, Moment | None], order: str, file: str
) -> list[Fault]:
    today = datetime.date.today() + datetime.timedelta(days=1)
    verdict: dict[str, tuple[str, str]] = {}
    for cell, stamp in known.items():
        day = read_date(stamp.date, order) if stamp else None
        if day is None:
            verdict[cell] = (f"'{cell}' is no date" if cell else "the date is missing", _REMEDY)
        elif day > today:
            verdict[cell] = (f"'{cell}' lies in the future", "check the year")
    if not verdict:
        return []
    return [
        Fault(f"line {line}", *verdict[column[i]], file)
        for i, line in enumerate(table.lines)
        for column in columns
        if column[i] in verdict
    ]


def _with_times_of_day(table: Table, times: Times, file: str, faults: list[Fault]) -> Times | None:
    """Add what columns of their own say: start and end times, one time, a span of times, or numbers of hours."""
    if times.timed:
        return times
    places = table.places
    if "hour" in places:
        return _numbered(table, times, file, faults)
    if "time" in places:
        cells = table.column("time")
        parted = {cell: span(cell) for cell in dict.fromkeys(cells)}
        if all(parted.values()):
            starts, ends = ([(parted[cell] or ("", ""))[i] for cell in cells] for i in (0, 1))
            return _timed(table, times, starts, ends, file, faults)
        return _timed(table, times, cells, None, file, faults)
    if "start_time" in places:
        until = table.column("end_time") if "end_time" in places else None
        return _timed(table, times, table.column("start_time"), until, file, faults)
    if "end_time" in places:
        table.lone = "end"
        return _timed(table, times, table.column("end_time"), None, file, faults)
    return times


def _timed(
    table: Table, times: Times, starts: list[str], ends: list[str] | None, file: str, faults: list[Fault]
) -> Times | None:
    columns = [starts] if ends is None else [starts, ends]
    known = {cell: time_of_day(cell) for column in columns for cell in dict.fromkeys(column)}
    if any(time is None for time in known.values()):
        bad = next(cell for cell, time in known.items() if time is None)
        line = next(n for i, n in enumerate(table.lines) if any(column[i] == bad for column in columns))
        faults.append(Fault(f"line {line}", f"'{bad}' is no time of day", "write times such as 13:30", file))
        return None

    def put(column: list[str]) -> Seconds:
        return np.array([(known[cell] or (0, None))[0] for cell in column], dtype=np.int64)

    start = times.start_s + put(starts)
    offsets = [(known[cell] or (0, None))[1] for cell in starts]
    offset = None if any(offset_s is None for offset_s in offsets) else np.array(offsets, dtype=np.int64)
    if ends is None:
        return replace(times, start_s=start, end_s=None, offset_s=offset, timed=True)
    end = (times.end_s if times.end_s is not None else times.start_s) + put(ends)
    end = np.where(end <= start, end + np.where(put(ends) < put(starts), WHOLE_DAY_S, 0), end)
    end = np.where((put(ends) == 0) & (put(starts) == 0) & (end == start), end + WHOLE_DAY_S, end)
    return replace(times, start_s=start, end_s=end, offset_s=offset, timed=True)


def _numbered(table: Table, times: Times, file: str, faults: list[Fault]) -> Times | None:
    """Hours, half hours or quarter hours numbered through the day; from 1 on they name the end of each."""
    cells = table.column("hour")
    number = np.array([int(cell) if cell.isdecimal() else -1 for cell in cells], dtype=np.int64)
    if (number < 0).any():
        at = int(np.argmax(number < 0))
        faults.append(Fault(f"line {table.lines[at]}", f"'{cells[at]}' is no hour", "write hours as 1 to 24", file))
        return None
    first, most = int(number.min()), int(number.max())
    step = WHOLE_HOUR_S if most <= 25 else WHOLE_HOUR_S // 2 if most <= 50 else WHOLE_HOUR_S // 4
    if first:
        table.notes.append("hours are numbered from 1, so each number is the end of its hour")
    start = times.start_s + (number - (1 if first else 0)) * step
    return replace(times, start_s=start, end_s=start + step, timed=True, day_s=times.start_s)


def days_column(table: Table) -> Floats | None:
    """Lengths of the periods as a column of the file tells them (n,) [d]; None where it tells none."""
    if "days" not in table.places:
        return None
    cells = [split_amount(cell) for cell in table.column("days")]
    values = np.array(
        [float(cell[0].replace(",", "")) if cell and cell[0].count(".") < 2 else np.nan for cell in cells]
    )
    return values if bool(((values > 0) & (values < 400)).all()) else None
