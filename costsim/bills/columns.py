"""Which column of a bill file is what: told from its heading, else from what stands in it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from costsim.bills.dates import is_date
from costsim.bills.numbers import split_amount
from costsim.units.quantity import UnitError, read_quantity

_ROLES: dict[str, tuple[str, ...]] = {
    "start": ("start", "from", "begin", "beginning", "first day", "von", "beginn", "anfang", "since"),
    "end": ("end", "to", "until", "through", "thru", "ending", "last day", "bis", "ende"),
    "date": ("date", "read", "reading date", "delivered on", "datum", "ablesung", "ablesedatum", "lieferdatum", "day"),
    "flag": ("estimated", "estimate", "est", "flag", "read type", "reading type", "estimated read", "geschätzt", "type", "code"),
    "unit": ("unit", "units", "uom", "einheit", "unit of measure"),
    "factor": ("factor", "heat content", "heating value", "brennwert"),
    "amount": (
        "amount", "usage", "use", "used", "quantity", "qty", "consumption", "consumed", "energy", "delivered", "delivery",
        "volume", "billed", "verbrauch", "menge", "gas", "electricity", "propane", "oil", "fill", "filled",
    ),
}  # fmt: skip
_MONEY = re.compile(
    r"[$€£]|\b(cost|charge|charges|price|paid|bill total|total due|betrag|kosten|usd|eur)\b", re.IGNORECASE
)
_BRACKET = re.compile(r"[\[(]([^\])]*)[\])]")
YES = {"e", "est", "est.", "estimate", "estimated", "y", "yes", "true", "1", "partial", "geschätzt", "x"}
NO = {"a", "act", "actual", "read", "n", "no", "false", "0", "", "full", "abgelesen", "customer", "c"}


@dataclass(slots=True)
class Table:
    """Rows of a bill file with the place of each column; `unit` is what the amount's heading says."""

    rows: list[list[str]]
    lines: list[int]
    places: dict[str, int]
    unit: str = ""
    factor_unit: str = ""
    heading: str = ""
    notes: list[str] = field(default_factory=list)

    def column(self, role: str) -> list[str]:
        """Texts of one column; empty texts where it is missing."""
        at = self.places.get(role, -1)
        return [row[at].strip() if 0 <= at < len(row) else "" for row in self.rows]


def is_unit(text: str) -> bool:
    """Whether a text names a unit of energy, volume or mass."""
    try:
        dims = read_quantity(f"1 {text}").dims
    except UnitError:
        return False
    return dims in ((2, 1, -2, 0, 0), (3, 0, 0, 0, 0), (0, 1, 0, 0, 0))


def _is_factor_unit(text: str) -> bool:
    try:
        return read_quantity(f"1 {text}").dims in ((-1, 1, -2, 0, 0), (2, 0, -2, 0, 0))
    except UnitError:
        return False


def _words(heading: str) -> str:
    return " ".join(re.sub(r"[^\w$€£³]+", " ", _BRACKET.sub(" ", heading).lower()).replace("_", " ").split())


def _unit_in(heading: str) -> str:
    """Find the unit that a heading tells, in brackets or as a word of its own."""
    for found in [*_BRACKET.findall(heading), *re.split(r"[\s,_()\[\]]+", heading)]:
        if found.strip() and (is_unit(found.strip()) or _is_factor_unit(found.strip())):
            return str(found.strip())
    return ""


def role_of(heading: str) -> str:
    """Say what a heading names: a role, ``"money"``, or nothing.

    Examples
    --------
    >>> [role_of(h) for h in ("Service start", "Usage (kWh)", "Read Date", "Cost ($)", "Est.", "Therms", "Note")]
    ['start', 'amount', 'date', 'money', 'flag', 'amount', '']
    """
    words = _words(heading)
    if _MONEY.search(heading):
        return "money"
    if "time" in words.split() and "date" not in words.split():
        return ""
    for role in ("factor", "unit", "flag"):
        if any(words == known or (len(known) > 5 and known in words) for known in _ROLES[role]):
            return role
    if _is_factor_unit(_unit_in(heading)):
        return "factor"
    for role in ("start", "end"):
        if any(re.search(rf"\b{known}\b", words) for known in _ROLES[role]):
            return role
    if "date" in words.split() or words in _ROLES["date"]:
        return "date"
    if _unit_in(heading) or any(re.search(rf"\b{known}\b", words) for known in _ROLES["amount"]):
        return "amount"
    return "date" if re.search(r"\bdate\b|datum", words) else ""


def headed(rows: Sequence[list[str]], lines: Sequence[int]) -> Table | None:
    """Take the first row whose headings name dates and an amount, and what stands below it."""
    for at, row in enumerate(rows[:40]):
        if any(is_date(cell) for cell in row):
            return None
        roles = [role_of(cell) for cell in row]
        if "amount" in roles and (
            "date" in roles or {"start", "end"} <= set(roles) or "end" in roles or "start" in roles
        ):
            table = Table(list(rows[at + 1 :]), list(lines[at + 1 :]), {})
            _place(table, row, roles)
            if at:
                table.notes.append(f"{at} lines above the headings were passed over")
            return table
    return None


def _place(table: Table, row: list[str], roles: list[str]) -> None:
    for role in ("start", "end", "date", "unit", "factor", "flag", "amount"):
        places = [i for i, found in enumerate(roles) if found == role]
        if role == "amount":
            places = _likeliest_amount(table, row, places)
        if places:
            table.places[role] = places[0]
    if "flag" in table.places and role_of(row[table.places["flag"]]) == "flag" and not _is_flag(table, row):
        del table.places["flag"]
    if "start" in table.places or "end" in table.places:
        _one_of_two(table)
    at = table.places["amount"]
    table.heading, table.unit = row[at].strip(), _unit_in(row[at])
    if "factor" in table.places:
        told = _unit_in(row[table.places["factor"]])
        table.factor_unit = told if _is_factor_unit(told) else ""
    named = [f"{role} '{row[place].strip()}'" for role, place in table.places.items()]
    table.notes.append("columns taken: " + ", ".join(named))
    left = [cell.strip() for i, cell in enumerate(row) if i not in table.places.values() and cell.strip()]
    if left:
        table.notes.append("columns passed over: " + ", ".join(f"'{cell}'" for cell in left)[:120])


def _one_of_two(table: Table) -> None:
    """Take a start or an end that stands alone as the date of the reading."""
    if {"start", "end"} <= set(table.places):
        table.places.pop("date", None)
        return
    lone = "start" if "start" in table.places else "end"
    at = table.places.pop(lone)
    if "date" not in table.places:
        table.places["date"] = at
    elif lone == "end":
        table.places["start"], table.places["end"] = table.places.pop("date"), at


def _is_flag(table: Table, row: list[str]) -> bool:
    """Whether a column called type or code tells estimated readings; one called 'estimated' always does."""
    if _words(row[table.places["flag"]]) not in ("type", "code", "flag"):
        return True
    return {cell.lower() for cell in table.column("flag")} <= YES | NO


def _likeliest_amount(table: Table, row: list[str], places: list[int]) -> list[int]:
    """Put the column of amounts first: with a unit in its heading, holding numbers and no money."""

    def uncertainty(at: int) -> tuple[int, int]:
        cells = [line[at].strip() for line in table.rows if at < len(line) and line[at].strip()]
        odd = sum(split_amount(cell) is None for cell in cells)
        return (odd * 2 > len(cells), not _unit_in(row[at]))

    return sorted(places, key=uncertainty)


def unheaded(rows: Sequence[list[str]], lines: Sequence[int]) -> Table | None:
    """Take columns by what stands in them where no headings do: one or two dates, then one number."""
    width = max(len(row) for row in rows)
    cells = [[row[at].strip() for row in rows if at < len(row)] for at in range(width)]
    dates = [at for at in range(width) if sum(map(is_date, cells[at])) * 2 > len(rows)]
    numbers = [at for at in range(width) if at not in dates and _mostly_numbers(cells[at])]
    if not dates or len(dates) > 2 or len(numbers) != 1:
        return None
    places = {"start": dates[0], "end": dates[1]} if len(dates) == 2 else {"date": dates[0]}
    rest = [at for at in range(width) if at not in (*dates, *numbers)]
    for at in rest:
        if all(cell and is_unit(cell) for cell in cells[at]):
            places["unit"] = at
        elif {cell.lower() for cell in cells[at]} <= YES | NO:
            places["flag"] = at
    table = Table(list(rows), list(lines), {**places, "amount": numbers[0]})
    told = ", ".join(f"{role} from column {at + 1}" for role, at in table.places.items())
    table.notes.append(f"no headings were found; {told}")
    return table


def _mostly_numbers(cells: Sequence[str]) -> bool:
    return sum(split_amount(cell) is not None for cell in cells if cell) * 2 > len(cells)
