"""First and last days of bills from the columns of a table, with the order of day and month told from all of them."""

from __future__ import annotations

import datetime

import numpy as np

from costsim.bills.columns import Table
from costsim.bills.dates import ORDERS, evenness, possible_orders, read_date, to_days
from costsim.bills.model import Days
from costsim.errors import Fault


def spans(table: Table, file: str, faults: list[Fault]) -> tuple[Days, Days]:
    """Dates of all rows, ends exclusive; readings come back as start and end on the same day."""
    keys = ("start", "end") if "start" in table.places else ("date",)
    texts = [table.column(key) for key in keys]
    flat = [text for column in texts for text in column]
    orders = possible_orders(flat)
    order = orders[0] if len(orders) == 1 else ""
    if len(orders) > 1:
        order = _evenest(texts, orders)
    if not order:
        faults += _date_faults(table, texts, orders, file)
        return np.zeros(len(table.rows), "datetime64[D]"), np.zeros(len(table.rows), "datetime64[D]")
    if any(read_date(text, order) != read_date(text, other) for text in flat for other in ORDERS):
        table.notes.append(f"dates read as {ORDERS[order]}")
    faults += _future_faults(table, texts, order, file)
    start, end = to_days(texts[0], order), to_days(texts[-1], order)
    return (start, _exclusive(start, end, table)) if len(keys) == 2 else (start, start)


def _evenest(texts: list[list[str]], orders: list[str]) -> str:
    """Take the order of day and month that makes bills run on without breaks, if just one does."""
    if len(texts) == 1 and len(texts[0]) < 3:
        return ""
    scores = {}
    for order in orders:
        days = [to_days(column, order) for column in texts]
        if len(days) == 1:  # readings: each period runs to the next date, in the file's own order
            turned = days[0] if days[0][0] <= days[0][-1] else days[0][::-1]
            days = [turned[:-1], turned[1:]]
        scores[order] = evenness(days[0], days[1])
    ranked = sorted(scores, key=lambda order: scores[order])
    best, second = scores[ranked[0]], scores[ranked[1]]
    clear = best[0] < second[0] or (best[0] == second[0] and second[1] > best[1] + len(texts[0]) // 3)
    return ranked[0] if clear else ""


def _date_faults(table: Table, texts: list[list[str]], orders: list[str], file: str) -> list[Fault]:
    remedy = "write dates as year-month-day, such as 2024-03-31"
    if len(orders) > 1:
        sample = next(t for column in texts for t in column if len({read_date(t, o) for o in orders}) > 1)
        what = f"'{sample}' can be read as {' or as '.join(str(read_date(sample, order)) for order in orders)}"
        return [Fault("dates", f"{what}, and no other date of the file tells which", remedy, file)]
    fits = max(ORDERS, key=lambda order: sum(read_date(text, order) is not None for column in texts for text in column))
    faults = []
    for i, line in enumerate(table.lines):
        faults += [
            Fault(f"line {line}", f"'{column[i]}' is no date" if column[i] else "the date is missing", remedy, file)
            for column in texts
            if read_date(column[i], fits) is None
        ]
    return faults


def _future_faults(table: Table, texts: list[list[str]], order: str, file: str) -> list[Fault]:
    today = datetime.date.today() + datetime.timedelta(days=1)
    return [
        Fault(f"line {line}", f"'{text}' lies in the future", "check the year", file)
        for column in texts
        for line, text in zip(table.lines, column, strict=True)
        if (read_date(text, order) or today) > today
    ]


def _exclusive(start: Days, end: Days, table: Table) -> Days:
    """Ends as the day after the last: told from the seams between periods."""
    order = np.argsort(start, kind="stable")
    seams = (start[order][1:] - end[order][:-1]).astype(int)
    if int((seams == 1).sum()) > int((seams == 0).sum()):
        table.notes.append("ends are taken as the last day of each bill, since the next one begins a day later")
        return end + np.timedelta64(1, "D")
    table.notes.append("ends are taken as reading dates, which belong to the next bill")
    return end
