"""`read_bills_csv`: bills or readings as a table; what the file leaves open is told, asked, or refused in one line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from costsim.bills.amounts import amounts_of, flags_of, fuel_of, fuels_in, joule_per_unit, units_of
from costsim.bills.away import leave_out, marked_lines, over
from costsim.bills.columns import MISSING, Table, is_read_date, power_unit
from costsim.bills.convert import TANK_FUELS
from costsim.bills.cost import costs_of, with_costs
from costsim.bills.green_button import Channel, ReadingType
from costsim.bills.intervals import readings_to_bills, readings_to_year
from costsim.bills.local_time import ReadClock
from costsim.bills.meters_beside import on_one_register, one_meter
from costsim.bills.model import Bills, Days, merge_estimated, raise_faults, span_faults
from costsim.bills.nem12 import as_table, is_nem12
from costsim.bills.numbers import split_amount
from costsim.bills.periods import days_of, periods_of
from costsim.bills.register import differences
from costsim.bills.sheet import table_of
from costsim.bills.text import decoded
from costsim.bills.times import Times, times_of
from costsim.bills.unfold import differing, unfolded
from costsim.bills.words import IS_BOUGHT, goes_out
from costsim.bills.zone import on_clock
from costsim.errors import Fault, InputError
from costsim.files import read_bytes
from costsim.physics.fuels import FUELS
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.table import WHOLE_HOUR_S

MOST_BYTES = 40_000_000
MOST_DIFFERING, MOST_AGAIN, LEAST_RISING, LEAST_CODED = 0.01, 0.6, 10, 6
_USE = ("use", "usage", "consum", "verbrauch", "deliver", "quantity", "billed", "menge", "amount", "gallon")


def read_bills_csv(
    file: str,
    *,
    content: bytes,
    fuel: str = "",
    unit: str = "",
    heat: str = "",
    column: Sequence[str] = (),
    meter: str = "",
    dates: str = "",
    zone: str = "",
    utc: bool = False,
    order: str = "",
) -> list[Bills]:
    """Read bills, deliveries, states of a register or interval readings from a table of text.

    Parameters
    ----------
    file : str
        Its name, for messages.
    content : bytes
        What it holds.
    fuel, unit : str
        Where the file does not tell them, or to overrule it.
    heat : str
        Heat content, such as ``"1.03 therm/CCF"``, in place of the fuel's default.
    column : sequence of str
        Headings of the columns of use, which are added up, where several could be meant.
    meter : str
        Which meter's rows count, where the table holds several.
    dates : str
        ``"start"`` or ``"end"``: what a single date is.
    zone : str
        Name of the house's time zone, for times in UTC or clocks whose changes the file does not show.
    utc : bool
        Whether times without an offset are in UTC.
    order : str
        Of month, day and year in dates of numbers: a key of `ORDERS`.

    Returns
    -------
    list of Bills
        One for each fuel that the table tells row by row, else one; by day, where readings are of a day or shorter.

    Raises
    ------
    InputError
        With every fault found.
    """
    table, _ = _table(file, content, column, fuel, zone, utc, order)
    named = {} if fuel else fuels_in(table)
    more = {"unit": unit, "heat": heat, "meter": meter, "dates": dates}
    if len(named) < 2:
        return [_bills(table, file, fuel=fuel, **more)]
    return [_bills(_table(file, content, column, name, zone, utc, order)[0], file, fuel=name, **more) for name in named]


def _bills(table: Table, file: str, *, fuel: str, unit: str, heat: str, meter: str, dates: str) -> Bills:
    times, amounts, joule, chosen, flags = _read(table, file, fuel, unit, heat, meter, dates)
    if times.is_interval:
        cost, currency = costs_of(table)
        channel, energy, clock = _readings(table, times, amounts, joule, flags, file)
        bills = readings_to_bills(channel, energy, clock, chosen, file, table.notes)
        late_s = times.start_s.min() - clock.clock(channel.start_s[:1])[0]  # where times are those of ends
        return bills if cost is None else with_costs(bills, days_of(times.start_s - late_s), cost, currency)
    return _as_bills(table, times, amounts, joule, flags, chosen, file)


def read_hours_csv(
    path: str | Path, *, content: bytes | None = None, column: Sequence[str] = (), meter: str = ""
) -> tuple[Floats, list[str]]:
    """Read a table of electricity by the hour or shorter as a year of hours from 1 January, standard time [J]; and its notes.

    Raises
    ------
    InputError
        It is none, or more than a day of the year is missing.
    """
    table, file = _table(path, content, column, "electricity")
    times, amounts, joule, _, flags = _read(table, file, "electricity", "", "", meter, "")
    if not times.is_interval or times.step_s > WHOLE_HOUR_S:
        what = "has no readings of an hour or shorter"
        raise InputError(Fault("rows", what, "download interval data of twelve months", file))
    channel, energy, clock = _readings(table, times, amounts, joule, flags, file)
    year, notes = readings_to_year(channel, energy, clock, file)
    return year, [*table.notes, *notes]


def _table(
    path: str | Path, content: bytes | None, column: Sequence[str], fuel: str, zone: str = "", utc: bool = False, order: str = ""
) -> tuple[Table, str]:  # fmt: skip
    file = str(path) if content is not None else Path(path).name
    raw = content if content is not None else read_bytes(path, most=MOST_BYTES)
    text, notes = decoded(raw, file)
    text = as_table(text, notes, file) if is_nem12(text) else text
    table = table_of(text, notes, file, column, fuel)
    _drop_payments(table)
    table.zone, table.utc, table.order = zone, utc or _says_utc(table), order
    return table, file


def _says_utc(table: Table) -> bool:
    """Whether the headings of dates and times say that these are in UTC."""
    places = (table.places.get(role, -1) for role in ("date", "start", "end", "time", "start_time"))
    words = " ".join(table.headings[at] for at in places if at >= 0).lower().replace("_", " ")
    return bool({"utc", "gmt"} & set(re.split(r"[^a-z]", words)))


def _read(
    table: Table, file: str, fuel: str, unit: str, heat: str, meter: str, dates: str
) -> tuple[Times, Floats, Floats, str, Bools]:
    """Times, amounts, energy of a unit, fuel and flags of estimated readings, row by row."""
    named = fuels_in(table)
    if len(named) > 1 and fuel in named:
        table.keep(named[fuel])
        table.notes.append(f"rows of {FUELS[fuel].title.lower()} alone were taken")
    table.unit = unit or table.unit
    table.lone = dates if dates and table.lone else table.lone
    _drop_what_went_out(table)
    if len(named) == 1 and not fuel:
        (fuel,) = named
        table.notes.append(f"fuel taken from the words of the rows: {FUELS[fuel].title.lower()}")
    chosen = fuel_of(table, fuel, file)
    one_meter(table, meter, file)
    faults: list[Fault] = []
    _drop_without_amount(table)
    amounts = on_one_register(table, amounts_of(table, file, faults))
    joule = joule_per_unit(table, chosen, heat, file, faults)
    flags = flags_of(table, file, faults)
    times = times_of(table, file, faults)
    raise_faults(faults)
    if times is None:
        raise InputError(Fault("dates", "the dates cannot be read", "write them as 2024-03-31", file))
    times = on_clock(times, table.zone, table.utc, table.notes)
    table.register = table.register or _only_rises(table, times, amounts)
    return times, amounts, joule, chosen, flags


_PAYMENT = re.compile(
    r"\b(payment|thank you|autopay|deposit|refund|fee|surcharge|tax|tank rent|zahlung|paiement|pago|betaling)\b",
    re.IGNORECASE,
)


def _drop_payments(table: Table) -> None:
    """Leave out rows of an account's history that tell a payment or a fee and no use, by words that no row with a use has."""
    used, gone = [bool(cell) for cell in table.column("amount")], set[int]()
    if all(used):
        return
    for at in set(range(len(table.headings))) - set(table.places.values()):
        payments = [bool(_PAYMENT.search(cell[:60])) for cell in table.at(at)]
        if not any(payment and use for payment, use in zip(payments, used, strict=True)):
            gone |= {i for i, payment in enumerate(payments) if payment}
    if gone and len(gone) < len(used):
        table.notes.append(f"{len(gone)} rows of payments and fees, without use, are left out")
        table.keep([i for i in range(len(used)) if i not in gone])


def _only_rises(table: Table, times: Times, amounts: Floats) -> bool:
    """Whether amounts without a word for use in their heading only rise, over more rows than the use of a season could."""
    if (
        times.end_s is not None
        or "days" in table.places
        or len(amounts) < (least := LEAST_CODED if _has_code(table) else LEAST_RISING)
        or any(word in table.heading.lower() for word in _USE)
    ):
        return False
    rising = np.diff(amounts[np.argsort(times.start_s, kind="stable")])
    return bool((rising >= 0).all() and (rising > 0).sum() > least // 2 and amounts.min() > 2.0 * np.median(rising))


def _has_code(table: Table) -> bool:
    """Whether the heading of the amounts, or a column beside them, names the register of what is bought by its code."""
    first = table.rows[0] if table.rows else []
    return any(IS_BOUGHT.search(cell[:60]) for cell in (table.heading, *first))


def _drop_what_went_out(table: Table) -> None:
    """Leave out the rows of a table that a column of words names as fed into the grid."""
    for at in range(len(table.headings)):
        if at in table.places.values() and table.places.get("direction") != at:
            continue
        cells = [cell.lower() for cell in table.at(at)]
        out = {cell for cell in set(cells) if goes_out(cell) and (split_amount(cell) is None or cell.count(".") == 2)}
        if out and len(out) < len(set(cells)) <= 4:
            table.keep([i for i, cell in enumerate(cells) if cell not in out])
            table.notes.append(f"{sum(cell in out for cell in cells):,} rows of '{sorted(out)[0]}' are left out")


def _drop_without_amount(table: Table) -> None:
    """Leave out rows without an amount at either end, and of many rows all of them, which leaves gaps."""
    empty = [cell.lower() in MISSING for cell in table.column("amount")]
    if not any(empty) or all(empty):
        return
    first, last = empty.index(False), len(empty) - empty[::-1].index(False)
    inner = sum(empty[first:last])
    if inner and len(empty) < 300:
        first, last = 0, len(empty) - (1 if table.lone in ("start", "date") and empty[-1] else 0)
    if table.lone == "start" and last < len(empty):
        last += 1  # its date is the end of the one before it
    kept = [
        i
        for i, gone in enumerate(empty)
        if not gone or (inner and len(empty) < 300 and i < last) or (table.lone == "start" and i == last - 1)
    ]
    if len(kept) < len(empty):
        table.notes.append(f"{len(empty) - len(kept):,} rows without an amount are left out")
        table.keep(kept)


def _readings(
    table: Table, times: Times, amounts: Floats, joule: Floats, flags: Bools, file: str
) -> tuple[Channel, Floats, ReadClock]:
    """Readings of a day or shorter as a channel, their energies [J], and their clock."""
    lone = "start" if table.register else "date" if is_read_date(table) else table.lone
    start, length, clock, order = unfolded(times, lone, table.notes, table.zone)
    amounts, joule, flags = amounts[order], joule[order], flags[order]
    if table.register:
        amounts, note = differences(
            amounts, [table.lines[i] for i in order], file, start
        )  # not a number: another meter
        table.notes += note
        start, length, joule, flags = start[:-1], np.diff(start), joule[1:], flags[1:]
        kept = (length > 0) & np.isfinite(amounts)
        start, length, flags = start[kept], length[kept], flags[kept]
        joule, amounts = joule[kept], amounts[kept]
    energy = amounts * joule
    if power := _power(table, file):
        table.notes.append(f"{power} are taken as the mean power of each reading")
        energy = energy * length
    again = differing(start, energy)
    if again > MOST_DIFFERING * len(start) or int((np.diff(start) == 0).sum()) > MOST_AGAIN * len(start):
        what = (
            f"{again or int((np.diff(start) == 0).sum()):,} readings have a time that was there already"
            f"{', with another amount' if again else ', as where a column of times is not understood'}"
        )
        remedy = "choose one meter's rows with --meter, or give a file of one meter"
        raise InputError(Fault("rows", what, remedy, file))
    if times.offset_s is None:
        table.notes.append("times are taken as the clock on the wall, as the file tells no zone")
    elif (times.offset_s == 0).all():
        table.notes.append(
            "times are in UTC by the file, so days begin at midnight UTC; --zone turns them into a clock"
        )
    channel = Channel("", "", -1, ReadingType(), start, length, amounts, flags)
    return channel, energy, clock


def _power(table: Table, file: str) -> str:
    """The unit of power in which the amounts are; empty where they are energy or volume.

    Raises
    ------
    InputError
        Some are, and some are not.
    """
    units = set(units_of(table))
    power = {unit for unit in units if power_unit(unit)}
    if power and len(units) > 1:
        what = f"amounts are in {' and '.join(sorted(units))}"
        raise InputError(Fault("unit", what, "give energy or power alone", file))
    return power.pop() if power else ""


def _as_bills(table: Table, times: Times, amounts: Floats, joule: Floats, flags: Bools, fuel: str, file: str) -> Bills:
    """Bills over days or months; with the other reading beside it where a single date may be start or end."""
    if power := _power(table, file):
        what = f"amounts in {power} are no use of a period"
        raise InputError(Fault("unit", what, "give a column of energy", file))
    delivered = fuel in TANK_FUELS and not table.register
    costs = costs_of(table)
    energy = amounts * joule
    if table.register:
        order = np.argsort(times.start_s, kind="stable")
        use, rolled = differences(amounts[order], [table.lines[i] for i in order], file, times.start_s[order])
        table.notes += rolled
        energy[order[1:]] = use * joule[order[1:]]
    bills = [
        _finished(
            table,
            period.start,
            period.end,
            period.energy_j,
            period.flags,
            period.lines,
            period.notes,
            fuel,
            file,
            costs,
        )
        for period in periods_of(table, times, energy, flags, delivered)
    ]
    whole = replace(bills[0][0], delivered=delivered, told=bills[0][1])
    return (
        whole if len(bills) == 1 else replace(whole, other=replace(bills[1][0], delivered=delivered, told=bills[1][1]))
    )


def _finished(
    table: Table, start: Days, end: Days, energy: Floats, flags: Bools, lines: Ints, note: str, fuel: str,
    file: str, costs: tuple[Floats | None, str],
) -> tuple[Bills, str]:  # fmt: skip
    order = np.argsort(end, kind="stable")
    notes = list(table.notes)
    if (order != np.arange(len(order))).any():
        notes.append("rows were put in the order of time")
    start, end, energy, lines, flags = start[order], end[order], energy[order], lines[order], flags[order]
    faults = _few_faults(start, file)
    marked = np.isin(lines, list(marked_lines(table, file, faults)))
    away = list(zip(start[marked], end[marked], strict=True))
    raise_faults(faults + span_faults(file, start, end, lines.tolist(), notes))
    days, rows = start, np.searchsorted(table.lines, lines) if table.lines == sorted(table.lines) else None
    start, end, energy, merged, lines = merge_estimated(start, end, energy, flags, lines, notes)
    raise_faults(_few_faults(start, file))
    bills = Bills(file, fuel, start, end, energy, merged, lines, tuple(notes))
    cost, currency = costs
    bills = bills if cost is None or rows is None else with_costs(bills, days, cost[rows], currency)
    return leave_out(bills, over(bills.start_day, bills.end_day, away)), note


def _few_faults(start: Days, file: str) -> list[Fault]:
    what = "not one whole period is left between two readings"
    return [] if len(start) else [Fault("rows", what, "give at least nine months of bills", file)]
