"""`read_bills_csv`: bills typed or exported as a table; what the file leaves open is guessed and told, or refused."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from costsim.bills.columns import NO, YES, Table, headed, is_unit, unheaded
from costsim.bills.convert import TANK_FUELS, conversion, heat_content, named_fuel, plain_unit, typical_fuel
from costsim.bills.dates import is_date
from costsim.bills.model import Bills, Days, Floats, merge_estimated, raise_faults, span_faults
from costsim.bills.numbers import decimal_mark, split_amount, to_number
from costsim.bills.spans import spans
from costsim.errors import Fault, InputError
from costsim.files import check_lines, read_bytes
from costsim.physics.fuels import FUELS

MOST_BYTES, MOST_COLUMNS = 20_000_000, 500
_TOTALS = ("total", "sum", "summe", "average", "mean", "annual", "year")
_AN_EXAMPLE = "such as 'start,end,usage (therm)' or 'date,delivered (gal)'"


def read_bills_csv(
    path: str | Path,
    *,
    content: bytes | None = None,
    fuel: str = "",
    unit: str = "",
    heat: str = "",
) -> Bills:
    """Read bills from a table of text.

    Parameters
    ----------
    path : str or Path
        The file; with `content` only its name for messages.
    content : bytes, optional
        What was uploaded.
    fuel, unit : str
        Where the file does not tell them, or to overrule it.
    heat : str
        Heat content, such as ``"1.03 therm/CCF"``, in place of the fuel's default.

    Returns
    -------
    Bills

    Raises
    ------
    InputError
        With every fault found.
    """
    file = str(path) if content is not None else Path(path).name
    raw = content if content is not None else read_bytes(path, most=MOST_BYTES)
    table = _table(_text(raw, file), file)
    table.unit = unit or table.unit
    chosen = _fuel(table, fuel, file)
    return _assembled(table, chosen, heat, file)


def _text(raw: bytes, file: str) -> tuple[str, list[str]]:
    """Decode UTF-8 with or without a mark, UTF-16 with one, else Latin-1."""
    if not raw.strip():
        raise InputError(Fault("", "is empty", f"write one row a bill, {_AN_EXAMPLE}", file))
    if len(raw) > MOST_BYTES:
        raise InputError(Fault("", f"is {len(raw) / 1e6:.0f} MB large", "a table of bills has a few kB", file))
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return raw.decode("utf-16", errors="replace"), ["letters read as UTF-16"]
    if b"\x00" in raw[:4096] or raw[:2] == b"PK":
        raise InputError(Fault("", "is not text", "save the table as CSV", file))
    try:
        return raw.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace"), ["letters read as Latin-1"]


def _table(text_and_notes: tuple[str, list[str]], file: str) -> Table:
    text, notes = text_and_notes
    check_lines(text, file, "a table of bills has a few dozen short ones")
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    kept = [(i + 1, line) for i, line in enumerate(lines) if line.strip(" ,;\t") and not line.startswith("#")]
    if not kept:
        raise InputError(Fault("", "holds no rows", f"write one row a bill, {_AN_EXAMPLE}", file))
    try:
        mark = _separator([line for _, line in kept])
        rows = [next(csv.reader([line], delimiter=mark)) for _, line in kept]
    except csv.Error as error:
        raise InputError(Fault("", f"cannot be read as a table ({error})", "save it as plain CSV", file)) from None
    if (widest := max(map(len, rows))) > MOST_COLUMNS:
        raise InputError(Fault("columns", f"a row has {widest:,}", "a table of bills has a few", file))
    numbers = [number for number, _ in kept]
    table = headed(rows, numbers) or unheaded(rows, numbers)
    if table is None:
        seen = ", ".join(cell.strip() for cell in rows[0])[:80]
        remedy = f"head the columns, {_AN_EXAMPLE}"
        raise InputError(Fault("columns", f"dates and amounts were not found; the first row is '{seen}'", remedy, file))
    names = {",": "commas", ";": "semicolons", "\t": "tabs"}
    table.notes[:0] = [*notes, f"columns parted by {names[mark]}"]
    _drop_other_rows(table)
    if not table.rows:
        raise InputError(Fault("", "holds headings but no bills", "write one row a bill below them", file))
    return table


def _separator(lines: Sequence[str]) -> str:
    """Take the mark that parts most rows into the same number of columns, semicolons and tabs before commas."""

    def score(mark: str) -> int:
        counts = [len(next(csv.reader([line], delimiter=mark))) for line in lines[:50]]
        width = max(set(counts), key=counts.count)
        return counts.count(width) if width > 1 else 0

    return max((";", "\t", ","), key=score)


def _drop_other_rows(table: Table) -> None:
    """Leave out sums and empty rows."""
    key = "start" if "start" in table.places else "date"
    dates, amounts = table.column(key), table.column("amount")
    kept, sums = [], []
    for i, row in enumerate(table.rows):
        first = next((cell.strip().lower() for cell in row if cell.strip()), "")
        if not is_date(dates[i]) and first.startswith(_TOTALS):
            sums.append(table.lines[i])
        elif dates[i] or amounts[i]:
            kept.append(i)
    if sums:
        table.notes.append("left out as a sum: line " + ", ".join(map(str, sums)))
    table.rows, table.lines = [table.rows[i] for i in kept], [table.lines[i] for i in kept]


def _units(table: Table) -> list[str]:
    """Unit of each row: of its own cell, of the unit column, else of the heading."""
    own = [
        split[1] if (split := split_amount(text)) and is_unit(plain_unit(split[1])) else ""
        for text in table.column("amount")
    ]
    return [mine or theirs or table.unit for mine, theirs in zip(own, table.column("unit"), strict=True)]


def _fuel(table: Table, given: str, file: str) -> str:
    """Fuel as given, as named in a heading or the file's name, or as the units suggest."""
    if given:
        return given
    named = named_fuel(table.heading) or named_fuel(Path(file).stem)
    if named:
        table.notes.append(f"fuel taken from the words of the file: {FUELS[named].title.lower()}")
        return named
    units = sorted({plain_unit(unit) for unit in _units(table) if unit})
    typical = {typical_fuel(unit) for unit in units} - {""}
    if len(typical) > 1 and not {"electricity", "natural_gas"} >= typical:
        what = f"the amounts are in {' and '.join(units)}, which no one fuel is sold in"
        raise InputError(
            Fault("unit", what, "put each fuel into a file of its own, or name the fuel with --fuel", file)
        )
    if not typical:
        units_text = ", ".join(units) or "no unit"
        remedy = f"name it with --fuel: {', '.join(FUELS)}"
        raise InputError(
            [*_unit_faults(table, file), Fault("fuel", f"the file does not tell the fuel ({units_text})", remedy, file)]
        )
    fuel = "natural_gas" if "natural_gas" in typical else typical.pop()
    table.notes.append(
        f"fuel guessed from the unit {', '.join(units)}: {FUELS[fuel].title.lower()}; overrule it with --fuel"
    )
    return fuel


def _unit_faults(table: Table, file: str) -> list[Fault]:
    faults: list[Fault] = []
    for unit in sorted(set(_units(table))):
        if not unit or is_unit(plain_unit(unit)):
            continue
        try:
            conversion(unit, "electricity", None, file)
        except InputError as error:
            faults += error.faults
    return faults


def _assembled(table: Table, fuel: str, heat: str, file: str) -> Bills:
    faults: list[Fault] = []
    amounts = _amounts(table, file, faults)
    per_unit = _joule_per_unit(table, fuel, heat, file, faults)
    flags = _flags(table, file, faults)
    start, end = spans(table, file, faults)
    raise_faults(faults)
    lines = np.array(table.lines)
    order = np.argsort(end, kind="stable")
    if (order != np.arange(len(order))).any():
        table.notes.append("rows were put in the order of time")
    start, end, lines, flags = start[order], end[order], lines[order], flags[order]
    energy = (amounts * per_unit)[order]
    delivered = fuel in TANK_FUELS
    if "start" not in table.places:
        start, end, energy, lines, flags = _from_readings(end, energy, lines, flags)
        told = (
            "each delivery replaces what was burned since the one before"
            if delivered
            else "each amount was used since the date before"
        )
        table.notes.append(f"{told}; the first row has no period and is left out")
    raise_faults(_few_faults(start, file) + span_faults(file, start, end, lines.tolist(), table.notes))
    start, end, energy, merged, lines = merge_estimated(start, end, energy, flags, lines, table.notes)
    raise_faults(_few_faults(start, file))
    return Bills(file, fuel, start, end, energy, merged, lines, tuple(table.notes), delivered)


def _few_faults(start: Days, file: str) -> list[Fault]:
    what = "not one whole period is left between two readings"
    return [] if len(start) else [Fault("rows", what, "give at least nine months of bills", file)]


def _amounts(table: Table, file: str, faults: list[Fault]) -> Floats:
    split = [split_amount(text) for text in table.column("amount")]
    for line, text, found in zip(table.lines, table.column("amount"), split, strict=True):
        if found is None:
            what = f"'{text}' is no amount" if text else "the amount is missing"
            faults.append(Fault(f"line {line}", what, "write a number; a bill without use has the amount 0", file))
        elif found[0].startswith("-"):
            what = f"the amount {text} is negative"
            faults.append(Fault(f"line {line}", what, "add a credit to the bill that it belongs to", file))
    digits = [found[0] for found in split if found]
    mark, at = decimal_mark(digits, _comma_likely(table))
    if mark == "?":
        where = [line for line, found in zip(table.lines, split, strict=True) if found][at]
        what = f"'{digits[at]}' can be read as thousands or as a decimal"
        faults.append(Fault(f"line {where}", what, "write a point for decimals and nothing between thousands", file))
        return np.zeros(len(split))
    if mark == ",":
        table.notes.append("decimal commas")
    values = np.array([to_number(found[0], mark) if found else 0.0 for found in split])
    for at in np.flatnonzero(np.isnan(values)).tolist():
        what = f"'{table.column('amount')[at]}' is no amount"
        faults.append(
            Fault(f"line {table.lines[at]}", what, "write a point for decimals and nothing between thousands", file)
        )
    return values


def _comma_likely(table: Table) -> bool:
    dates = table.column("start" if "start" in table.places else "date")
    return "columns parted by semicolons" in table.notes or all("." in text for text in dates)


def _joule_per_unit(table: Table, fuel: str, heat: str, file: str, faults: list[Fault]) -> Floats:
    units, contents = _units(table), _contents(table, heat, file, faults)
    if "" in units:
        where = table.lines[units.index("")]
        faults.append(
            Fault(f"line {where}", "the amount has no unit", "write it into the heading, such as 'usage (kWh)'", file)
        )
        return np.zeros(len(units))
    known = {}
    for key in dict.fromkeys(zip(units, contents, strict=True)):
        try:
            known[key] = conversion(key[0], fuel, key[1], file)
        except InputError as error:
            faults += [fault for fault in error.faults if fault not in faults]
    if len({plain_unit(unit) for unit in units}) > 1:
        table.notes.append("several units were turned into energy: " + ", ".join(sorted(set(units))))
    table.notes += [note for note in dict.fromkeys(found.note for found in known.values()) if note][:3]
    return np.array([known[key].joule_per_unit if key in known else 0.0 for key in zip(units, contents, strict=True)])


def _contents(table: Table, heat: str, file: str, faults: list[Fault]) -> list[float | None]:
    """Heat content of each row: of the argument, else of the file's own column (therms for each CCF by default)."""
    if heat:
        return [heat_content(heat)] * len(table.rows)
    if "factor" not in table.places:
        return [None] * len(table.rows)
    unit = table.factor_unit or "therm/CCF"
    if not table.factor_unit:
        table.notes.append("the column of factors is taken as therm/CCF")
    found: list[float | None] = []
    cells = [split_amount(text) for text in table.column("factor")]
    mark, _ = decimal_mark([cell[0] for cell in cells if cell], _comma_likely(table))
    for line, text, cell in zip(table.lines, table.column("factor"), cells, strict=True):
        value = to_number(cell[0], "." if mark == "?" else mark) if cell else 0.0
        if not value > 0:
            faults.append(Fault(f"line {line}", f"'{text}' is no heat content", f"write a number of {unit}", file))
        found.append(heat_content(f"{value} {unit}", file) if value > 0 else None)
    return found


def _flags(table: Table, file: str, faults: list[Fault]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    texts = [text.lower() for text in table.column("flag")]
    for line, text in zip(table.lines, texts, strict=True):
        if text not in YES | NO:
            what = f"'{text}' does not say whether the reading is estimated"
            faults.append(Fault(f"line {line}", what, "write E for estimated and A for actual", file))
    return np.array([text in YES for text in texts], dtype=bool)


def _from_readings(
    dates: Days, energy: Floats, lines: np.ndarray, flags: np.ndarray
) -> tuple[Days, Days, Floats, np.ndarray, np.ndarray]:
    first = int(np.argmax(~flags)) if (~flags).any() else 0
    return dates[first:-1], dates[first + 1 :], energy[first + 1 :], lines[first + 1 :], flags[first + 1 :]
