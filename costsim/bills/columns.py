"""Which column of a table is what: told from its heading and from what stands in it; two candidates are a question."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from costsim.bills.convert import named_fuel, typical_fuel
from costsim.bills.distinct import distinct, numbers_at
from costsim.bills.numbers import split_amount
from costsim.bills.parts import are_parts
from costsim.bills.stamps import kind_of
from costsim.bills.two_fuels import fuels_of, two_fuels
from costsim.bills.words import (
    ENERGY,
    POWER,
    dims_of,
    is_factor_unit,
    is_other_date,
    is_unit,
    role_of,
    unit_in,
    words_of,
)
from costsim.errors import Fault, InputError

YES = {
    "e",
    "est",
    "est.",
    "estimate",
    "estimated",
    "y",
    "yes",
    "true",
    "1",
    "partial",
    "geschätzt",
    "x",
    "estimada",
    "estimé",
}
NO = {
    "removed", "installed", "initial", "final", "new", "old", "ausbau", "einbau",
    "a", "act", "actual", "read", "n", "no", "false", "0", "", "full", "abgelesen", "customer", "c", "r", "real", "réel", "v", "valid",
    "good", "g", "m", "measured", "ok", "regular",
}  # fmt: skip
_SAMPLE = 60
_DATES = ("date", "month", "span")
MISSING = ("", "nan", "null", "none", "n/a", "na", "-", "--", "#n/a", "missing")


@dataclass(slots=True)
class Table:
    """Rows of a table with the place of each role.

    Parameters
    ----------
    rows, lines : list
        Cells of each row, and its line of the file.
    headings : list of str
        Of each column; empty where there are none.
    places : dict
        Column of each role; the first one of the amounts.
    amounts : list of int
        Columns whose numbers are added up to the use.
    unit, factor_unit : str
        What the headings say; empty where they do not.
    heading : str
        Of the amounts.
    lone : str
        What a single date is by its heading: ``"start"``, ``"end"``, or ``"date"``, which leaves it open.
    register : bool
        Whether the amounts are states of a register.
    zone, utc : str, bool
        The clock that a person tells, and whether the file's times are in UTC.
    order : str
        Of day, month and year, as a person tells it: a key of `ORDERS`.
    notes : list of str
    above : list of str
        Cells of the lines above the headings.
    comma : bool
        Whether columns are parted by semicolons, as where decimals have commas.
    per_day : bool
        Whether the amounts are averages a day, beside the number of days.
    """

    rows: list[list[str]]
    lines: list[int]
    headings: list[str]
    places: dict[str, int] = field(default_factory=dict)
    amounts: list[int] = field(default_factory=list)
    unit: str = ""
    factor_unit: str = ""
    heading: str = ""
    lone: str = ""
    register: bool = False
    zone: str = ""
    utc: bool = False
    order: str = ""
    notes: list[str] = field(default_factory=list)
    above: list[str] = field(default_factory=list)
    comma: bool = False
    per_day: bool = False

    def at(self, place: int) -> list[str]:
        """Texts of a column by its place."""
        return [row[place].strip() if place < len(row) else "" for row in self.rows]

    def column(self, role: str) -> list[str]:
        """Texts of one role's column; empty texts where it is missing."""
        place = self.places.get(role, -1)
        return self.at(place) if place >= 0 else [""] * len(self.rows)

    def keep(self, rows: Sequence[int]) -> None:
        """Keep some rows."""
        self.rows, self.lines = [self.rows[i] for i in rows], [self.lines[i] for i in rows]


def kinds_of(table: Table) -> list[str]:
    """What most cells of each column are: ``date``, ``month``, ``span``, ``time``, ``number``, ``text``, or nothing."""
    n = len(table.rows)
    sample = table.rows if n <= _SAMPLE else [table.rows[i * (n - 1) // (_SAMPLE - 1)] for i in range(_SAMPLE)]
    column_kinds = []
    for at in range(len(table.headings)):
        cells = [row[at].strip() for row in sample if at < len(row) and row[at].strip().lower() not in MISSING]
        role = role_of(table.headings[at])
        kinds = [_kind(cell, role) for cell in cells]
        column_kinds.append(max(set(kinds), key=kinds.count) if kinds else "")
    return column_kinds


def _kind(cell: str, role: str) -> str:
    number = split_amount(cell) is not None
    if role == "time" and len(cell) == 4 and cell.isdigit() and cell[2:] in ("00", "15", "30", "45"):
        return "time"
    kind = "" if cell.isdigit() and len(cell) in (10, 13) and role not in ("date", "start", "end") else kind_of(cell)
    if number and (not kind or (cell.isdigit() and role not in ("date", "start", "end", ""))):
        return "number"
    return kind or "text"


def choose(table: Table, column: Sequence[str] = (), file: str = "", fuel: str = "") -> bool:
    """Find the places of all roles; false where dates or amounts are missing.

    Raises
    ------
    InputError
        Two columns can be the use, or the one that was asked for is not there.
    """
    kinds = kinds_of(table)
    roles = [role_of(heading) for heading in table.headings]
    if not _place_dates(table, kinds, roles):
        return False
    _place_others(table, kinds, roles)
    amounts = _asked_for(table, column, file) if column else _amounts(table, kinds, roles, file, fuel)
    if not amounts:
        return False
    at = amounts[0]
    table.amounts, table.places["amount"] = amounts, at
    table.heading, table.unit = (
        table.headings[at],
        "" if is_factor_unit(unit_in(table.headings[at])) else unit_in(table.headings[at]),
    )
    if table.unit == "short_ton" and (
        table.comma or any(sign in "".join([*table.headings, *table.rows[0]]) for sign in "€£")
    ):
        table.unit = "tonne"
    table.register = table.register or roles[at] == "register"
    named = [f"{role} '{table.headings[p]}'" for role, p in table.places.items() if table.headings[p]]
    named += [f"and '{table.headings[p]}', which are added up" for p in amounts[1:]]
    if named:
        table.notes.append("columns taken: " + ", ".join(named))
        if note := _passed_over(table):
            table.notes.append(note)
    else:
        places = ", ".join(f"{role} from column {place + 1}" for role, place in table.places.items())
        table.notes.append(f"no headings were found; {places}")
    return True


_PASSED = "columns passed over: "


def _passed_over(table: Table, *paid: int) -> str:
    used = {*table.places.values(), *table.amounts, *paid}
    left = [f"'{heading}'" for at, heading in enumerate(table.headings) if at not in used and heading]
    return f"{_PASSED}{', '.join(left)}"[:140] if left else ""


def take_paid(table: Table, at: int) -> None:
    """Say of a column that what was paid is taken from it, and no more that it is passed over."""
    notes = [_passed_over(table, at) if note.startswith(_PASSED) else note for note in table.notes]
    table.notes[:] = [note for note in notes if note]
    table.notes.append(f"what was paid is taken from '{table.headings[at]}'")


def _place_dates(table: Table, kinds: list[str], roles: list[str]) -> bool:
    dates = [at for at, kind in enumerate(kinds) if kind in _DATES]
    if any(not is_other_date(table.headings[at]) for at in dates):
        dates = [at for at in dates if not is_other_date(table.headings[at])]
    spans = [at for at in dates if kinds[at] == "span"]
    times = [at for at, kind in enumerate(kinds) if kind in ("time", "span") and at not in dates]
    time_spans = [at for at in dates if kinds[at] == "span" and _is_time_span(table, at)]
    if time_spans:
        dates, times = [at for at in dates if at not in time_spans], [*times, *time_spans]
        spans = [at for at in spans if at not in time_spans]
    if not dates:
        return False
    by_role = {role: [at for at in dates if roles[at] == role] for role in ("start", "end", "date")}
    # the meter was read before the bill was written
    by_role["date"].sort(key=lambda at: words_of(table.headings[at]) in ("bill date", "billing date"))
    places = table.places
    if spans:
        places["date"] = spans[0]
    elif by_role["start"] and by_role["end"]:
        places["start"], places["end"] = by_role["start"][0], by_role["end"][0]
    elif by_role["end"] and by_role["date"] and "month" not in (kinds[by_role["date"][0]], kinds[by_role["end"][0]]):
        places["start"], places["end"] = by_role["date"][0], by_role["end"][0]
    elif not any(table.headings) and len(dates) == 2:
        places["start"], places["end"] = dates
    else:
        chosen = next((at for role in ("date", "start", "end") for at in by_role[role]), dates[0])
        places["date"] = chosen
        table.lone = roles[chosen] if roles[chosen] in ("start", "end") else "date"
        if table.lone == "date" and is_read_date(table):
            table.lone = "end"
    _place_times(table, times, roles)
    return True


_READ = {
    "read", "read date", "reading date", "meter read date", "meter reading date", "delivered on", "delivery date", "delivered",
    "ablesung", "ablesedatum", "lieferdatum", "bill date", "billing date", "date of reading", "reading",
}  # fmt: skip


def is_read_date(table: Table) -> bool:
    """Whether the date is headed as that of a reading: the end of a bill, but with a time of day either end of a reading."""
    return words_of(table.headings[table.places["date"]]) in _READ if "date" in table.places else False


def _is_time_span(table: Table, at: int) -> bool:
    first = next((cell for cell in table.at(at) if cell), "")
    return ":" in first and not any(mark in first.split(":")[0] for mark in "-/. ")


def _place_times(table: Table, times: list[int], roles: list[str]) -> None:
    starts = [at for at in times if roles[at] == "start"]
    ends = [at for at in times if roles[at] == "end"]
    rest = [at for at in times if roles[at] not in ("start", "end")]
    if starts or ends:
        table.places |= {"start_time": starts[0]} if starts else {}
        table.places |= {"end_time": ends[0]} if ends else {}
        if rest and not starts:
            table.places["start_time"] = rest[0]
    elif len(rest) == 2:
        table.places |= {"start_time": rest[0], "end_time": rest[1]}
    elif rest:
        table.places["time"] = rest[0]


def _place_others(table: Table, kinds: list[str], roles: list[str]) -> None:
    for role in ("factor", "correction", "days", "unit", "flag", "away", "meter", "generation"):
        wanted = {
            "factor": ("number", ""),
            "correction": ("number",),
            "days": ("number",),
            "unit": ("text",),
            "generation": ("text",),
        }
        for at, one_role in enumerate(roles):
            if (
                one_role == role
                and at not in table.places.values()
                and kinds[at] in wanted.get(role, ("text", "number", ""))
            ):
                if role == "flag" and not _is_flag(table, at):
                    continue
                table.places[role if role != "generation" else "direction"] = at
                break
    if not any(table.headings):
        for at, kind in enumerate(kinds):
            cells = table.at(at)
            if kind == "text" and all(cell and is_unit(cell) for cell in cells):
                table.places["unit"] = at
            elif kind == "text" and {cell.lower() for cell in cells} <= YES | NO:
                table.places["flag"] = at
    if "start_time" not in table.places and "time" not in table.places:
        for at, one_role in enumerate(roles):
            if (
                one_role in ("time", "date")
                and kinds[at] == "number"
                and at not in table.places.values()
                and _is_hour(table, at)
            ):
                table.places["hour"] = at
                break
    if "factor" in table.places:
        unit = unit_in(table.headings[table.places["factor"]])
        table.factor_unit = unit if is_factor_unit(unit) else ""


def _is_hour(table: Table, at: int) -> bool:
    cells = table.at(at)
    return all(cell.isdecimal() and int(cell[:6]) <= 100 for cell in cells if cell) and len(set(cells)) > 3


def _is_flag(table: Table, at: int) -> bool:
    """Whether a column tells estimated readings: one called 'estimated' always does, others by what stands in them."""
    if words_of(table.headings[at]).startswith(("estimat", "est", "geschätzt", "read type", "reading type")):
        return True
    return {cell.lower() for cell in table.at(at)} <= YES | NO


def _amounts(table: Table, kinds: list[str], roles: list[str], file: str, fuel: str) -> list[int]:
    """Columns that can be the use, the likeliest kind of them; more than one is refused."""
    free = [at for at, kind in enumerate(kinds) if kind == "number" and at not in table.places.values()]
    units = {at: unit_in(table.headings[at]) for at in free}
    named = [
        at
        for at in free
        if roles[at] == "amount" or (roles[at] in ("start", "end", "date", "time") and is_unit(units[at] or "-"))
    ]
    if any(units[at] for at in named):
        named = [at for at in named if units[at]]
    if not named and "days" in table.places:
        named = [at for at in free if roles[at] == "average" and units[at] and _PER_DAY.search(table.headings[at])]
        table.per_day = len(named) == 1
    if not named:
        for role in ("register", "power", ""):
            named = [at for at in free if roles[at] == role]
            if named:
                break
    if fuel:
        named = [at for at in named if _fuel_of(table.headings[at], units[at]) == fuel] or named
    if (
        len(named) > 1
        and (fuels := fuels_of({at: (table.headings[at], units[at], numbers_at(table, at)) for at in named}))
        and not fuel
    ):
        raise two_fuels({table.headings[at]: column_fuel for at, column_fuel in fuels.items()}, file)
    if any(dims_of(units[at] or "-") == ENERGY for at in named):
        named = [at for at in named if dims_of(units[at] or "-") == ENERGY]  # therms before the CCF beside them
    if len(named) > 1:
        plain = [at for at in named if not units[at][:1].isdigit()]  # kilograms before the cylinders that hold them
        corrected = [at for at in plain if "corrected" in words_of(table.headings[at]).split()]
        named = distinct(table, corrected or plain or named)
    if len(named) > 1 and are_parts(headings := [table.headings[at] for at in named]):
        table.notes.append(f"the use is {' + '.join(headings)}: parts of one meter's use, which add up")
        return named
    if len(named) > 1:
        fuel_by = {table.headings[at] or str(at + 1): _fuel_of(table.headings[at], units[at]) for at in named}
        if len(set(fuel_by.values()) - {""}) > 1:
            raise two_fuels(fuel_by, file)
        names = " and ".join(f"'{table.headings[at] or f'column {at + 1}'}'" for at in named[:6])
        remedy = f"choose with --column '{next(iter(fuel_by))}'; given again, columns are added up"
        raise InputError(Fault("columns", f"{names} can each be the use", remedy, file, "column", tuple(fuel_by)))
    return named


_PER_DAY = re.compile(r"\bper day\b|/ ?day\b|\bdaily\b|\bpro tag\b|/ ?tag\b|\bpar jour\b|/ ?jour\b", re.IGNORECASE)


def _fuel_of(heading: str, unit: str) -> str:
    return named_fuel(heading) or typical_fuel(unit)


def _asked_for(table: Table, column: Sequence[str], file: str) -> list[int]:
    places = []
    for name in column:
        low = name.strip().lower()
        exact = [at for at, heading in enumerate(table.headings) if heading.strip().lower() == low]
        part = exact or [at for at, heading in enumerate(table.headings) if low and low in heading.lower()]
        if not part and name.isdecimal() and 1 <= int(name) <= len(table.headings):
            part = [int(name) - 1]
        if len(part) != 1:
            names = (
                ", ".join(f"'{heading}'" for heading in table.headings if heading)[:300]
                or f"1 to {len(table.headings)}"
            )
            what = f"'{name}' is {'none' if not part else 'more than one'} of the columns {names}"
            raise InputError(Fault("--column", what, "give one of these names", file))
        places += part
    if {role for role, at in table.places.items() if at in places} & {"start", "end", "date"}:
        raise InputError(Fault("--column", "the column of dates cannot be the use", "name the column of amounts", file))
    for role in [role for role, at in table.places.items() if at in places]:
        del table.places[role]
    if len({unit_in(table.headings[at]) for at in places}) > 1:
        raise InputError(Fault("--column", "the columns are in different units", "name columns of one unit", file))
    return places


def power_unit(unit: str) -> bool:
    """Whether a unit is one of power."""
    return dims_of(unit) == POWER
