"""What bills came to: the column of money of a table, or the cost fields of Green Button readings, put to the periods."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from costsim.bills.amounts import bare
from costsim.bills.columns import MISSING, Table, take_paid
from costsim.bills.model import Bills, Days
from costsim.bills.numbers import decimal_mark, split_amount, to_number
from costsim.bills.words import role_of, words_of
from costsim.units.arrays import Floats

_NO_BILL = re.compile(
    r"\b(fixed|standing|budget|installment|instalment|levelized|level|grundpreis|abschlag|abonnement|vat|mwst|tva|iva|basic|customer charge"
    r"|service charge|meter charge|price|rate|balance|payment|payments|tax|taxes|per|precio|preis|credit)\b|/",
    re.IGNORECASE,
)
_WHOLE = ("total", "cost", "charge", "charges", "kosten", "betrag", "coste", "coût", "amount due")
_SIGNS = {"$": "$", "€": "€", "£": "£", "usd": "$", "eur": "€", "gbp": "£"}
CURRENCIES = {840: "$", 978: "€", 826: "£", 124: "$"}
"""Signs of ISO 4217 codes in Green Button files; the Canadian dollar has the sign of the other one."""


def costs_of(table: Table) -> tuple[Floats | None, str]:
    """Money of each row (n,), NaN where there is none, and the sign of its currency; None where the table holds no such column.

    Of several columns that which is the sum of the others, or alone has a word for the whole, is taken; else none, which is told.
    """
    costs = {}
    for at, heading in enumerate(table.headings):
        if at in table.places.values() or at in table.amounts or _NO_BILL.search(heading):
            continue
        if role_of(heading) == "money" and (values := _money(table, at)) is not None:
            costs[at] = values
    chosen = _whole(table, costs)
    if chosen is None:
        if len(costs) > 1:
            names = ", ".join(f"'{table.headings[at]}'" for at in costs)
            table.notes.append(f"columns of money {names}: none was taken as what was paid; tell it with --paid")
        return None, ""
    take_paid(table, chosen)
    return costs[chosen], _sign(table, chosen)


def _whole(table: Table, costs: dict[int, Floats]) -> int | None:
    if len(costs) < 2:
        return next(iter(costs), None)
    for at, values in costs.items():
        rest = np.sum([other for place, other in costs.items() if place != at], axis=0)
        if np.allclose(values, rest, rtol=1e-3, atol=0.02, equal_nan=True):
            return at
    for word in _WHOLE[:2]:
        named = [at for at in costs if word in words_of(table.headings[at]).split()]
        if len(named) == 1:
            return named[0]
    return None


def _money(table: Table, at: int) -> Floats | None:
    cells = [bare(cell) for cell in table.at(at)]
    split = [split_amount(cell) if cell.lower() not in MISSING else None for cell in cells]
    texts = [amount[0] for amount in split if amount]
    if len(texts) < 0.5 * len(cells) or not texts:
        return None
    mark, _ = decimal_mark(texts, "columns parted by semicolons" in table.notes)
    if mark == "?":
        return None
    return np.array([to_number(amount[0], mark) if amount else np.nan for amount in split], dtype=np.float64)


def _sign(table: Table, at: int) -> str:
    texts = [table.headings[at], *table.at(at)[:20]]
    signs = {sign for text in texts for word, sign in _SIGNS.items() if word in text.lower()}
    return signs.pop() if len(signs) == 1 else ""


def with_costs(bills: Bills, days: Days, cost: Floats, currency: str) -> Bills:
    """Put money to the periods in which its days lie; a period without any has NaN.

    Parameters
    ----------
    bills : Bills
    days : array of datetime64[D] (m,)
        A day of each amount.
    cost : array (m,)
        Money; NaN counts as none.
    currency : str
    """
    at = np.searchsorted(bills.start_day, days, side="right") - 1
    inside = (at >= 0) & np.isfinite(cost)
    inside[inside] &= days[inside] < bills.end_day[at[inside]]
    total, count = np.zeros(bills.n_periods), np.zeros(bills.n_periods)
    np.add.at(total, at[inside], cost[inside])
    np.add.at(count, at[inside], 1.0)
    if not count.any():
        return bills
    return replace(bills, cost=np.where(count > 0, total, np.nan), currency=currency)
