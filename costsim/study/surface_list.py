"""A list of surfaces as people keep one: headings in several languages, units in headings or cells, U-values or R-values."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass

from costsim.bills.numbers import decimal_mark, split_amount, to_number
from costsim.bills.sheet import separator
from costsim.bills.text import decoded
from costsim.errors import Fault, InputError
from costsim.files import check_lines
from costsim.physics.envelope import TYPICAL
from costsim.study.building import Building
from costsim.units.quantity import UnitError, read_quantity

KINDS: dict[tuple[int, ...], str] = {(2, 0, 0, 0, 0): "area", (0, 1, -3, -1, 0): "u_value", (0, -1, 3, 1, 0): "r_value"}
MOST_SURFACES, MOST_ABOVE = 500, 15
_SUMS = ("total", "sum", "summe", "gesamt", "totaal")
_EXAMPLE = "such as 'name,area [ft2],u_value [Btu/(h ft2 degF)]' or 'name,area [m2],typical'"
_COLUMNS = {
    "name": (
        "name",
        "surface",
        "element",
        "part",
        "component",
        "description",
        "bauteil",
        "élément",
        "elemento",
        "paroi",
        "onderdeel",
        "assembly",
    ),
    "area": (
        "net area",
        "area",
        "gross area",
        "oppervlakte",
        "surface area",
        "fläche",
        "flaeche",
        "superficie",
        "aire",
        "área",
    ),
    "u_value": (
        "u value",
        "u",
        "u waarde",
        "assembly u",
        "u overall",
        "u factor",
        "uvalue",
        "u wert",
        "valeur u",
        "valor u",
    ),
    "r_value": (
        "r value",
        "r",
        "rc",
        "rc waarde",
        "assembly r",
        "effective r",
        "rvalue",
        "r wert",
        "valeur r",
        "valor r",
    ),
    "typical": ("typical", "type", "kind"),
    "difference": ("difference", "share", "b", "temperature share"),
}
_UNITS = {
    "area": {"us": "ft2", "si": "m2"},
    "u_value": {"us": "Btu/(h ft2 degF)", "si": "W/(m2 K)"},
    "r_value": {"us": "h ft2 degF/Btu", "si": "m2 K/W"},
}
_NAMED = {"area": "areas", "u_value": "U-values", "r_value": "R-values"}
_LIKE = {
    "area": "'40 m2', or the unit into the heading",
    "u_value": "'0.3 W/(m2 K)' or '0.05 Btu/(h ft2 degF)'",
    "r_value": "'13 h ft2 degF/Btu' or '2 m2 K/W'",
}
_SQUARE_FEET = {"ft2", "sqft", "sf", "squarefeet", "sqfeet"}
_SQUARE_METERS = {"m2", "sqm", "qm", "squaremeters", "squaremetres"}
_R_NUMBER = re.compile(r"r[- ]?(?=\d)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class _Column:
    """One quantity's column: its heading, its unit where the heading tells one, and whose units it has where it tells none."""

    at: int
    heading: str
    unit: str
    mark: str


def read_surfaces(raw: bytes, file: str) -> Building:
    """Read a CSV list of surfaces: one row each, with units in the headings or in the cells.

    U-values and R-values without a unit go with the unit of the areas, which is told.

    Raises
    ------
    InputError
        With every fault.
    """
    if not raw.strip():
        raise InputError(Fault("", "is empty", f"write one row a surface, {_EXAMPLE}", file))
    text, notes = decoded(raw, file)
    check_lines(text, file, f"a list of surfaces has short rows, {_EXAMPLE}")
    lines = [
        (n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip(" ,;\t") and not line.startswith("#")
    ]
    if len(lines) < 2:
        raise InputError(Fault("", "holds no surfaces", f"write one row a surface below headings, {_EXAMPLE}", file))
    if len(lines) > MOST_SURFACES + 1:
        remedy = f"a building has at most {MOST_SURFACES} surfaces"
        raise InputError(Fault("", f"has {len(lines):,} rows", remedy, file))
    mark = separator([line for _, line in lines])
    rows = [[cell.strip() for cell in next(csv.reader([line], delimiter=mark), [])] for _, line in lines]
    above = next((at for at, row in enumerate(rows[:MOST_ABOVE]) if _found(row)), 0)
    rows, lines = rows[above:], lines[above:]
    places = _places(rows, file)
    sums = [
        at for at, row in enumerate(rows) if at and row[0].lower().startswith(_SUMS) and not _has_value(row, places)
    ]
    if sums:
        notes.append(f"left out as a sum: line {', '.join(str(lines[at][0]) for at in sums)}")
        kept = [at for at in range(len(rows)) if at not in sums]
        rows, lines = [rows[at] for at in kept], [lines[at] for at in kept]
    faults: list[Fault] = []
    columns = _columns(rows, places, mark != ",", notes, file, faults)
    if faults:
        raise InputError(faults)
    surfaces = [
        _surface(row, rows[0], places, columns, f"line {number}", file, faults)
        for row, (number, _) in zip(rows[1:], lines[1:], strict=True)
    ]
    if faults:
        raise InputError(faults)
    unused = tuple(f"column '{head}'" for at, head in enumerate(rows[0]) if at not in places.values() and head)
    made = Building(file, tuple(surfaces), notes=tuple(notes), unused=unused)
    made.models()
    return made


def unit_of(text: str) -> tuple[str, str]:
    """What a unit measures, and how this program writes it; twice nothing where it is none of an area, a U-value or an R-value.

    Examples
    --------
    >>> unit_of("sq ft"), unit_of("W/m²K"), unit_of("Btu/hr-ft2-F"), unit_of("kWh")
    (('area', 'ft2'), ('u_value', 'W/(m2 K)'), ('u_value', 'Btu/(h ft2 degF)'), ('', ''))
    """
    plain = re.sub(r"[\s.^·°]", "", text[:60].lower().replace("²", "2"))
    if plain in _SQUARE_FEET | _SQUARE_METERS:
        return "area", _UNITS["area"]["us" if plain in _SQUARE_FEET else "si"]
    try:
        if kind := KINDS.get(read_quantity(f"1 {text[:60]}").dims, ""):
            return kind, text.strip()
    except UnitError:
        pass
    for system, power, per, degrees in (
        ("us", "btu", "ft2", "f"),
        ("si", "w", "m2", "kc"),
    ):  # as in W/m²K, without brackets
        rest = plain.replace(per, "").replace(power, "")
        if per in plain and any(letter in rest for letter in degrees):
            if plain.startswith(power):
                return "u_value", _UNITS["u_value"][system]
            if plain.endswith(power):
                return "r_value", _UNITS["r_value"][system]
    return "", ""


def _parted(heading: str) -> tuple[str, str]:
    """Words of a heading, and the unit in its brackets or behind them; brackets may hold others, as in ``U (W/(m2 K))``."""
    words = heading.split()
    for count in range(1, min(len(words), 3) + 1):
        unit = " ".join(words[-count:])
        unit = unit[1:-1] if unit[:1] in ("(", "[") and unit[-1:] in (")", "]") else unit
        if unit_of(unit)[0]:
            return _plain(" ".join(words[:-count])).removesuffix(" in"), unit
    for opening, closing in ("[]", "()"):
        first, last = heading.find(opening), heading.rfind(closing)
        if 0 <= first < last:
            return _plain(heading[:first]), heading[first + 1 : last]
    return _plain(heading), ""


def _plain(heading: str) -> str:
    return " ".join(heading.replace("_", " ").replace("-", " ").lower().split())


def _found(headings: list[str]) -> dict[str, int]:
    """Columns by role; nothing where areas or losses are missing."""
    places: dict[str, int] = {}
    for at, heading in enumerate(headings):
        words, unit = _parted(heading)
        kind = unit_of(unit)[0] if unit else ""
        role = kind or next((role for role, names in _COLUMNS.items() if words in names), "")
        if role and (role not in places or (role == "area" and words.startswith("net"))):
            places[role] = at
    return places if "area" in places and {"u_value", "r_value", "typical"} & set(places) else {}


def _places(rows: list[list[str]], file: str) -> dict[str, int]:
    """Columns by role, where no heading names the surfaces the first one of words.

    Raises
    ------
    InputError
        There are no areas, or nothing that tells a loss.
    """
    places = _found(rows[0])
    if not places:
        seen = ", ".join(rows[0])[:120]
        what = f"has no columns of area and of U-value, R-value or typical kind; it has '{seen}'"
        raise InputError(Fault("columns", what, f"head them {_EXAMPLE}", file))
    if "name" not in places:
        free = [at for at in range(len(rows[0])) if at not in places.values()]
        words = [
            at for at in free if all(at < len(row) and row[at] and split_amount(row[at]) is None for row in rows[1:])
        ]
        places |= {"name": words[0]} if words else {}
    return places


def _has_value(row: list[str], places: dict[str, int]) -> bool:
    return any(row[at] for role in ("u_value", "r_value", "typical") if 0 <= (at := places.get(role, -1)) < len(row))


def _columns(
    rows: list[list[str]], places: dict[str, int], comma: bool, notes: list[str], file: str, faults: list[Fault]
) -> dict[str, _Column]:
    """Units and decimal marks of the columns; what no cell and no heading tells goes with the areas, or is one fault."""
    columns, system = dict[str, _Column](), ""
    for role in ("area", "u_value", "r_value"):
        if role not in places:
            continue
        at = places[role]
        heading = rows[0][at]
        split = [amount for row in rows[1:] if at < len(row) and (amount := split_amount(_R_NUMBER.sub("", row[at])))]
        unit_text = _parted(heading)[1]
        unit = unit_of(unit_text)[1] or unit_text
        in_cells = [unit_said for _, unit_said in split if unit_said]
        if not unit and not in_cells and split:
            if role != "area" and not system:
                continue  # the areas' unit is asked for first
            if role == "area":
                what = f"the {_NAMED[role]} have no unit"
                remedy = f"write it into the heading, such as '{heading} [{_UNITS[role]['us']}]' or '{heading} [{_UNITS[role]['si']}]'"
                faults.append(Fault(heading, what, remedy, file))
                continue
            unit = _UNITS[role][system]
            notes.append(f"the {_NAMED[role]} have no unit: {unit} is taken, as it goes with the areas")
        if role == "area":
            system = "us" if "ft" in (unit or " ".join(in_cells)).replace("sq", "") or "sf" in unit else "si"
        mark, bad = decimal_mark([digits for digits, _ in split], comma)
        if mark == "?" and role != "area":  # thousands would be no U-value or R-value of a building
            mark = "," if "," in split[bad][0] else "."
        elif mark == "?" and not comma:  # in a table parted by commas a comma stands between thousands
            mark = "."
        if mark == "?":
            what = f"'{split[bad][0]}' can be read with a comma or a point as its decimal mark"
            faults.append(Fault(heading, what, "write numbers without marks between thousands", file))
        columns[role] = _Column(at, heading, unit, mark)
    return columns


def _surface(
    row: list[str], headings: list[str], places: dict[str, int], columns: dict[str, _Column], where: str, file: str, faults: list[Fault]
) -> dict[str, str]:  # fmt: skip
    def cell(role: str) -> str:
        at = places.get(role, -1)
        return row[at] if 0 <= at < len(row) else ""

    def quantity(role: str) -> str:
        column, text = columns[role], cell(role)
        amount = split_amount(_R_NUMBER.sub("", text))
        whole = text
        if amount is not None:
            unit = unit_of(amount[1])[1] or amount[1] or column.unit
            number = to_number(amount[0], column.mark)
            whole = f"{number:.10g} {unit}".strip() if number == number else text
        try:
            if KINDS.get(read_quantity(whole).dims) == role:
                return whole
            problem = f"'{whole[:60]}' is of another kind"
        except UnitError as error:
            problem = str(error)
        faults.append(Fault(f"{where}, {column.heading}", problem, f"write it like {_LIKE[role]}", file))
        return ""

    made = {"name": cell("name") or where, "area": quantity("area")}
    if cell("u_value"):
        made["u_value"] = quantity("u_value")
    elif cell("r_value"):
        value = quantity("r_value")
        resistance = read_quantity(value).value if value else 1.0
        if resistance > 0:
            made["u_value"] = f"{1.0 / resistance:.6g} W/(m2 K)"
        else:
            what = f"'{value}' is no resistance"
            faults.append(Fault(f"{where}, {headings[places['r_value']]}", what, "write a number above zero", file))
    elif cell("typical"):
        made["typical"] = cell("typical").lower().replace(" ", "_")
        if made["typical"] not in TYPICAL:
            what = f"'{cell('typical')}' is not known"
            faults.append(Fault(f"{where}, typical", what, f"use one of {', '.join(TYPICAL)}", file))
            made["typical"] = next(iter(TYPICAL))
    else:
        faults.append(Fault(where, "has neither U-value nor typical kind", "give one of them", file))
    if cell("difference"):
        text = cell("difference")
        made["difference"] = text if "%" in text else f"{text} %" if "%" in headings[places["difference"]] else text
    return made
