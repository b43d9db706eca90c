"""Amounts of a table as energy: numbers, units, the fuel, heat contents, and which readings were estimated."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from costsim.bills.columns import MISSING, NO, YES, Table
from costsim.bills.convert import conversion, gas_around, heat_content, named_fuel, plain_unit, typical_fuel
from costsim.bills.numbers import MOST_AMOUNT, decimal_mark, split_amount, to_number
from costsim.bills.stamps import kind_of
from costsim.bills.words import MASS, VOLUME, dims_of, is_unit
from costsim.errors import Fault, InputError
from costsim.physics.fuels import FUELS
from costsim.units.arrays import Bools, Floats

LEAST_CORRECTION = 0.6
MOST_DAYS = 800
"""More are no days between two bills, two years and some."""
MOST_NEGATIVE = 12
"""More of them are no credits of bills."""


def units_of(table: Table) -> list[str]:
    """Unit of each row: of its own cell, of the unit column, else of the heading."""
    cells = table.column("amount")
    known = {
        cell: split[1] if (split := split_amount(cell)) and split[1] and is_unit(plain_unit(split[1])) else ""
        for cell in dict.fromkeys(cells)
    }
    own = [known[cell] for cell in cells]
    return [mine or theirs or table.unit for mine, theirs in zip(own, table.column("unit"), strict=True)]


def fuel_of(table: Table, given: str, file: str) -> str:
    """Fuel as given, as named in a heading or the file's name, or as the units suggest."""
    if given:
        return given
    named = named_fuel(table.heading) or named_fuel(Path(file).stem)
    if named:
        table.notes.append(f"fuel taken from the words of the file: {FUELS[named].title.lower()}")
        return named
    units = sorted({plain_unit(unit) for unit in units_of(table) if unit})
    around = {named_fuel(text) for text in (*table.headings, *table.above)} - {""}
    if (
        len(around) == 1 and units and {typical_fuel(unit) for unit in units} <= {"", "pellets"}
    ):  # units that hold anything
        table.notes.append(f"fuel taken from the words around the amounts: {FUELS[min(around)].title.lower()}")
        return around.pop()
    typical = {typical_fuel(unit) for unit in units} - {""}
    if len(typical) > 1 and not {"electricity", "natural_gas"} >= typical:
        what = f"the amounts are in {' and '.join(units)}, which no one fuel is sold in"
        raise InputError(
            Fault(
                "unit",
                what,
                "put each fuel into a file of its own, or name the fuel with --fuel",
                file,
                "fuel",
                tuple(sorted(typical)),
            )
        )
    if not units:
        what = f"the amounts{f' in {table.heading!r}' if table.heading else ''} have no unit"
        remedy = "say it with --unit, such as therm, CCF, gal, kWh, or W for mean power; where that leaves the fuel open, add --fuel"
        raise InputError(
            Fault("unit", what, remedy, file, "unit", ("therm", "CCF", "Mcf", "m3", "kWh", "MJ", "GJ", "gal", "L"))
        )
    if not typical:
        units_text = ", ".join(units) or "no unit"
        remedy = f"name it with --fuel: {', '.join(FUELS)}"
        raise InputError(
            [
                *_unit_faults(table, file),
                Fault("fuel", f"the file does not tell the fuel ({units_text})", remedy, file, "fuel", tuple(FUELS)),
            ]
        )
    if typical == {"electricity"} and (word := gas_around([*table.headings, *table.above])):
        table.notes.append(f"fuel taken from the word '{word}' in the file: natural gas; overrule it with --fuel")
        return "natural_gas"
    fuel = "natural_gas" if "natural_gas" in typical else typical.pop()
    table.notes.append(
        f"fuel guessed from the unit {', '.join(units)}: {FUELS[fuel].title.lower()}; overrule it with --fuel"
    )
    return fuel


def _unit_faults(table: Table, file: str) -> list[Fault]:
    faults: list[Fault] = []
    for unit in sorted(set(units_of(table))):
        if not unit or is_unit(plain_unit(unit)):
            continue
        try:
            conversion(unit, "electricity", None, file)
        except InputError as error:
            faults += error.faults
    return faults


def amounts_of(table: Table, file: str, faults: list[Fault]) -> Floats:
    """Amounts (n,), of several columns added up."""
    total = np.zeros(len(table.rows))
    for place in table.amounts:
        total = total + _amounts_at(table, table.at(place), table.headings[place], file, faults)
    if table.per_day:
        days = np.array(
            [to_number(parts[0], ".") if (parts := split_amount(cell)) else np.nan for cell in table.column("days")]
        )
        faults += [
            no_amount(line, "", table.headings[table.places["days"]], file)
            for line, number in zip(table.lines, days, strict=True)
            if np.isnan(number)
        ]
        table.notes.append(f"'{table.heading}' is an average a day, taken times the days of each bill")
        far = np.abs(days) > MOST_DAYS
        faults += [
            Fault(f"line {line}", "counts more days than a bill has", f"write at most {MOST_DAYS}", file)
            for line, too_long in zip(table.lines, far, strict=True)
            if too_long
        ]
        total = total * np.where(far, 0.0, np.nan_to_num(days))
    return total if "correction" not in table.places else total * _corrections(table, file, faults)


def _corrections(table: Table, file: str, faults: list[Fault]) -> Floats:
    """Factor of each row (n,) from the volume that a gas meter counts to that which is billed; 1 of energies and corrected volumes."""
    none, heading = np.ones(len(table.rows)), table.headings[table.places["correction"]]
    volumes = all(dims_of(plain_unit(unit)) == VOLUME for unit in units_of(table))
    split = [split_amount(text) for text in table.column("correction")]
    if not volumes or "corrected" in table.heading.lower():
        return none
    if not all(split):
        faults += [
            no_amount(line, text, heading, file)
            for line, text, amount in zip(table.lines, table.column("correction"), split, strict=True)
            if not amount
        ]
        return none
    mark, _ = decimal_mark([amount[0] for amount in split if amount], _comma_likely(table))
    numbers = np.array([to_number(amount[0], "." if mark == "?" else mark) for amount in split if amount])
    if not ((numbers > LEAST_CORRECTION) & (numbers < 1.0 / LEAST_CORRECTION)).all():
        what = f"'{heading}' holds numbers that are no correction of a volume, which are near 1"
        faults.append(Fault("correction", what, "mend them, or take the column out", file))
        return none
    table.notes.append(f"volumes are multiplied by '{heading}'")
    return numbers


def no_amount(line: int, cell: str, heading: str, file: str) -> Fault:
    """What is wrong with a cell that should hold an amount."""
    where = f" in column '{heading.strip()}'" if heading.strip() else ""
    what = f"'{cell}'{where} is no amount" if cell else f"the amount{where} is missing"
    return Fault(f"line {line}", what, "write a number; a bill without use has the amount 0", file)


def _amounts_at(table: Table, cells: list[str], heading: str, file: str, faults: list[Fault]) -> Floats:
    known = {cell: split_amount(cell) for cell in dict.fromkeys(cells)}
    blank = table.lone == "start" and cells[-1].lower() in MISSING  # a last date that only ends the one before it
    body = cells[:-1] if blank else cells
    below = sum(1 for cell in body if (split := known[cell]) and split[0].startswith("-"))
    if below > MOST_NEGATIVE:
        what = f"{below:,} amounts in column '{heading}' are negative, as where a house feeds the grid"
        faults.append(Fault("amounts", what, "download what was delivered to the house alone", file))
        return np.zeros(len(cells))
    for line, cell in zip(table.lines, body, strict=False):
        split = known[cell]
        if split is None:
            faults.append(no_amount(line, cell, heading, file))
        elif split[0].startswith("-"):
            what = f"the amount {cell} is negative"
            faults.append(Fault(f"line {line}", what, "add a credit to the bill that it belongs to", file))
    split_cells = {cell: split for cell, split in known.items() if split}
    digits = [split[0] for split in split_cells.values()]
    mark, at = decimal_mark(digits, _comma_likely(table))
    mark = mark if mark != "?" else _mark_elsewhere(table) or "?"
    if mark == "?":
        where = table.lines[cells.index(list(split_cells)[at])]
        what = f"'{digits[at]}' can be read as thousands or as a decimal"
        faults.append(Fault(f"line {where}", what, "write a point for decimals and nothing between thousands", file))
        return np.zeros(len(cells))
    if mark == "," and "decimal commas" not in table.notes:
        table.notes.append("decimal commas")
    value = {cell: to_number(split[0], mark) for cell, split in split_cells.items()}
    for cell in [cell for cell, number in value.items() if np.isnan(number)]:
        where = table.lines[cells.index(cell)]
        remedy = "write a point for decimals and nothing between thousands"
        faults.append(Fault(f"line {where}", f"'{cell}' is no amount", remedy, file))
    for cell in [cell for cell, number in value.items() if abs(number) > MOST_AMOUNT]:
        where = table.lines[cells.index(cell)]
        faults.append(Fault(f"line {where}", f"'{cell:.20}' is more than any meter counts", "mend it", file))
        value[cell] = 0.0
    return np.array([value.get(cell, 0.0) for cell in cells])


def _mark_elsewhere(table: Table) -> str:
    """Decimal mark that the other columns of numbers show, where all of them show one; else empty."""
    marks = set()
    for at in range(len(table.headings)):
        cells = [] if at in table.amounts else [bare(cell) for cell in table.at(at) if not kind_of(cell)]
        for split in filter(None, map(split_amount, cells)):
            match = re.search(r"([.,])(\d{1,2}|\d{4,})$", split[0])
            marks |= {match[1]} if match else set()
    return marks.pop() if len(marks) == 1 else ""


def bare(cell: str) -> str:
    """A cell of money without the sign of its currency."""
    for sign in ("$", "€", "£", "¥", "円", "USD", "EUR", "GBP"):
        cell = cell.replace(sign, "")
    return cell.strip()


def _comma_likely(table: Table) -> bool:
    dates = table.column("start" if "start" in table.places else "date")
    return "columns parted by semicolons" in table.notes or all("." in text for text in dates)


def joule_per_unit(table: Table, fuel: str, heat: str, file: str, faults: list[Fault]) -> Floats:
    """Energy of one unit of each row (n,) [J], or [W] where the unit is one of power; faults where it is not known."""
    units, contents = units_of(table), _contents(table, heat, file, faults)
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
    table.notes += [note for note in dict.fromkeys(per_measure.note for per_measure in known.values()) if note][:3]
    return np.array([known[key].joule_per_unit if key in known else 0.0 for key in zip(units, contents, strict=True)])


def _contents(table: Table, heat: str, file: str, faults: list[Fault]) -> list[float | None]:
    """Heat content of each row: of the argument, else of the file's own column (therms for each CCF by default)."""
    if heat:
        return [heat_content(heat)] * len(table.rows)
    if "factor" not in table.places or not any(
        dims_of(plain_unit(written)) in (VOLUME, MASS) for written in units_of(table)
    ):
        return [None] * len(table.rows)
    cells = [split_amount(text) for text in table.column("factor")]
    mark, _ = decimal_mark([cell[0] for cell in cells if cell], _comma_likely(table))
    unit = table.factor_unit or _factor_unit(
        [to_number(amount[0], "." if mark == "?" else mark) for amount in cells if amount]
    )
    if not table.factor_unit and unit:
        table.notes.append(f"the column of factors is taken as {unit}")
    if not unit:
        what = f"'{table.headings[table.places['factor']]}' tells no unit, and its numbers are no heat content of gas in a usual one"
        faults.append(Fault("heat content", what, "write it into the heading, such as 'heat content (MJ/m3)'", file))
        return [None] * len(table.rows)
    contents: list[float | None] = []
    for line, text, cell in zip(table.lines, table.column("factor"), cells, strict=True):
        value = to_number(cell[0], "." if mark == "?" else mark) if cell else 0.0
        if not value > 0:
            faults.append(Fault(f"line {line}", f"'{text}' is no heat content", f"write a number of {unit}", file))
        contents.append(heat_content(f"{value} {unit}", file) if value > 0 else None)
    return contents


_FACTORS = (("therm/CCF", 0.8, 1.4), ("kWh/m3", 8.0, 14.0), ("MJ/m3", 30.0, 50.0), ("Btu/ft3", 800.0, 1400.0))
"""Units of heat contents of natural gas, with the numbers that they have in it; these do not overlap."""


def _factor_unit(values: list[float]) -> str:
    """The unit in which all of the numbers are heat contents of natural gas; empty where there is none."""
    return next((unit for unit, low, high in _FACTORS if values and all(low <= value <= high for value in values)), "")


def flags_of(table: Table, file: str, faults: list[Fault]) -> Bools:
    """Whether each amount was estimated (n,), by a column of its own or by the words of a column of notes."""
    texts = [text.lower() for text in table.column("flag")]
    unknown: set[str] = set()
    for line, text in zip(table.lines, texts, strict=True):
        if text not in YES | NO and text not in unknown:
            unknown.add(text)
            what = f"'{text}' does not say whether the reading is estimated"
            faults.append(Fault(f"line {line}", what, "write E for estimated and A for actual", file))
    flags = np.array([text in YES for text in texts], dtype=bool)
    for at in range(len(table.headings)):
        if at in table.places.values():
            continue
        cells = [cell.lower() for cell in table.at(at)]
        said = np.array(["estimated" in cell or "geschätzt" in cell for cell in cells], dtype=bool)
        if said.any() and not said.all():
            table.notes.append(
                f"column '{table.headings[at]}' says of {int(said.sum())} amounts that they were estimated"
            )
            flags |= said
        if all(_LETTERED.search(cell) for cell in cells):  # as in '4123 E', or a kind of reading alone
            flags |= np.array(
                [re.search(r"(?:^|\d ?)e(?:st|stimate|stimated)?\.?$", cell) is not None for cell in cells], dtype=bool
            )
    return flags


_LETTERED = re.compile(
    r"(?:^|\d ?)(?:a|act|actual|r|reg|regular|read|customer|smart|metered|e|est|estimate|estimated)\.?$"
)


def fuels_in(table: Table) -> dict[str, list[int]]:
    """Rows by the fuel that a column of words names, where it names one in every row, as in 'Natural gas usage'."""
    for at in range(len(table.headings)):
        if at in table.places.values() and table.places.get("flag") != at:
            continue
        cells = table.at(at)
        words = {cell: named_fuel(cell) if not split_amount(cell) else "" for cell in dict.fromkeys(cells)}
        if all(words.values()):
            fuels: dict[str, list[int]] = {}
            for row, cell in enumerate(cells):
                fuels.setdefault(words[cell], []).append(row)
            return fuels
    return {}
