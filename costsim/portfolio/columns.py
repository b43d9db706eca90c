"""Headings of a table of homes: which field of the study each column overrides, and in which unit."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from costsim.errors import Fault, InputError
from costsim.portfolio.fuel_columns import Use, names_no_fuel, units_beside, use_by_rows, use_of
from costsim.portfolio.headings import HOME, WEIGHT, as_key, is_path, key_title, plain_heading, sample_of
from costsim.portfolio.own_columns import all_headings, is_own, near, today_column
from costsim.study.case import Case
from costsim.units.fields import OPEN, QuantityField
from costsim.units.quantity import UnitError
from costsim.units.system import default_units

MOST_COLUMNS = 64
KEPT, HEATS_NOW = "(kept, not used)", "Heating today"
BY_FUEL, BY_AREA = "(heat loss by the year's fuel)", "(heat loss by floor area)"
NO_LOSS = "no heat loss: "
"""Stands in place of a heat loss by fuel, before the reason why there is none."""
_HEADING = re.compile(r"(?P<path>\w+(?:\[\d{1,9}\])?(?:\.\w+(?:\[\d{1,9}\])?)*)\s*(?:\[(?P<unit>[^\[\]]*)\])?")
_PART = re.compile(r"(\w+)(?:\[(\d{1,9})\])?")
_TABLES = ("house", "floor", "tank", "prices", "option")
_PLACE = ("place.design_outdoor", "place.altitude")
_NO_EFFECT = ("name", "kind", "fuel", "first_cost", "rebate", "maintenance", "replacement", "replacement_year")
_OTHER_PLANT = ("kind", "fuel")
NAMES_FIRST = ("home", "id", "home id", "name", "home name")
PARCELS = ("parcel", "parcel id", "parcel number", "parcel no", "apn", "pin")
"""Headings that name a home where no address or name does."""
_LOADS = tuple(
    f"house.{key}"
    for key in (
        "design_heat_loss",
        "heat_loss_per_area",
        "heat_loss_rate",
        "surface",
        "room",
        "infiltration",
        "load_from",
    )
)
LOADS = _LOADS[:3]
"""Figures by any of which a home's heat loss is known."""
RIVALS: dict[str, tuple[str, ...]] = {
    **{key: tuple(other for other in _LOADS if other != key) for key in LOADS},
    "house.balance_point": ("house.gains",),
    "house.gains": ("house.balance_point",),
    "house.other_electricity": ("house.other_electricity_profile",),
    "house.other_electricity_profile": ("house.other_electricity",),
}
"""Fields of which a study uses one or the other: the column takes the place of the study's own."""
AS_ARRAYS = (
    "floor_area", "design_heat_loss", "heat_loss_per_area", "heat_loss_rate", "indoor_temperature", "balance_point", "gains",
    "other_electricity", "solar_aperture",
)  # fmt: skip
"""Figures of the house of which the lowering takes arrays."""
Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """One column that overrides a field: its heading, the field's key path, its unit (empty where it has none).

    With `in_cells` the unit stands in its cells, not in the heading; `unit` is that of the first.
    """

    heading: str
    key: str
    path: Path
    unit: str
    measured: bool
    in_cells: bool = False

    def text(self, number: str) -> str:
        """What a person would have typed into the study."""
        return f"{number} {self.unit}" if self.measured else number


@dataclass(frozen=True, slots=True)
class UnitOfCells:
    """The unit in the cells of a column whose heading has none; where it is empty, `problem` says which of them lack one.

    `use` is then a unit that the heading of a year's fuel may have had. `several` says that other cells have other units.
    """

    unit: str
    problem: str = ""
    use: str = ""
    several: bool = False


@dataclass(frozen=True, slots=True)
class Layout:
    """All columns of a table: where `home` and `weight` stand, what others override, and which are the planner's own, kept as they are.

    `uses` are those of the planner's own that hold a year's fuel. `filled` are the last columns, which stand in no table: heat losses
    that `costsim.portfolio.loads` works out by fuel, and by area.
    With `to_load` each home's sources are sized to its own load, as `costsim.portfolio.limits.to_load` does, and to the next of the sizes
    `sold`, lists by name as `costsim.portfolio.sold.lists_of` gives them, where there are any.
    """

    headings: tuple[str, ...]
    home: int
    weight: int | None
    columns: tuple[tuple[int, Column], ...]
    kept: tuple[tuple[int, str], ...] = ()
    uses: tuple[tuple[int, Use], ...] = ()
    filled: tuple[int, ...] = ()
    to_load: bool = False
    sold: tuple[tuple[str, tuple[float, ...]], ...] = ()

    @property
    def keys(self) -> tuple[str, ...]:
        """Key paths of the fields that are overridden."""
        return tuple(column.key for _, column in self.columns)


def read_layout(
    headings: Sequence[str],
    case: Case,
    file: str,
    cells: Mapping[int, UnitOfCells] | None = None,
    meant: Mapping[int, str] | None = None,
) -> Layout:
    """Match the headings of a table to the fields of a study.

    Parameters
    ----------
    headings : sequence of str
        ``home``, optionally ``weight``, and key paths with their unit, such as ``house.design_heat_loss [kW]``, or plain words for
        them, such as ``Address`` and ``Heat loss (kW)``. Any other heading, such as ``Utility``, is the planner's own: kept, not used.
    case : Case
        The study that the columns override.
    file : str
        Name of the table for messages.
    cells : mapping of int to UnitOfCells, optional
        Of columns whose heading has no unit, as `costsim.portfolio.cell_units.units_of_cells` finds them.
    meant : mapping of int to str, optional
        Headings that count in place of those of the table, by number of the column; `KEPT` of one that is kept, whatever it is called.

    Returns
    -------
    Layout

    Raises
    ------
    InputError
        With every heading that is unknown, stands twice, lacks its unit or has a wrong one.
    """
    meant = meant or {}
    names = [HEATS_NOW if meant.get(at) == HEATS_NOW else heading.strip() for at, heading in enumerate(headings)]
    if len(names) > MOST_COLUMNS:
        raise InputError(
            Fault("heading", f"{len(names)} columns", f"keep the {MOST_COLUMNS} that differ from home to home", file)
        )
    faults: list[Fault] = []
    columns: list[tuple[int, Column]] = []
    kept: list[tuple[int, str]] = []
    uses: list[tuple[int, Use]] = []
    typed = tuple(names)
    says_today = today_column(enumerate(typed)) is not None
    pair = _units_beside(typed, case, meant, faults, file)
    for at, name in enumerate(typed):
        own = (cells or {}).get(at, UnitOfCells(""))
        choice = meant.get(at, "")
        if choice == KEPT:
            kept.append((at, name))
            names[at] = ""
            continue
        if at in pair:
            kept.append((at, name))
            uses += [(at, use_by_rows(name, pair[1], case))] if at == pair[0] else []
            continue
        try:
            whole = choice or (f"{name} [{own.unit}]" if own.unit else name)
            names[at] = as_key(whole, case, file)
            if names[at] == whole and whole not in (HOME, WEIGHT) and is_own(choice or name, case):
                kept.append((at, name))
                by_row = not choice and (says_today or own.several) and names_no_fuel(name)
                if use := use_of(whole, case, file, by_row):
                    uses.append((at, replace(use, heading=name)))
                elif own.use and not choice:
                    remedy = f'write the heading as "{name} [{own.use}]", in the unit of its numbers'
                    faults.append(Fault(name, f"has no unit{own.problem}", remedy, file))
                continue
            if names[at] not in (HOME, WEIGHT):
                columns.append(
                    (at, replace(read_column(names[at], name, case, file, own.problem), in_cells=bool(own.unit)))
                )
        except InputError as error:
            faults += error.faults
    names = _one_name_of_homes(names, typed, kept, [at for at, choice in meant.items() if choice == HOME])
    faults += _doubled(names, [column for _, column in columns], [name for _, name in kept], file)
    unread = not columns and not uses and not faults
    if HOME not in names:
        faults.append(
            Fault("heading", "no column 'home'", "add a column Home with a name or number for each home", file)
        )
    if unread:
        remedy = f"add {_examples(case)[1]}, or another figure of the homes"
        faults.append(Fault("heading", "no column overrides the study", remedy, file))
    read = {at: key_title(column.key) for at, column in columns} | {at: "a year's fuel" for at, _ in uses}
    read |= {
        at: {HOME: "name of the home", WEIGHT: "number of homes"}.get(name, "")
        for at, name in enumerate(names)
        if at not in read
    }
    if (unread or HOME not in names) and (unread_note := all_headings(typed, read, [at for at, _ in kept], case)):
        faults.append(Fault("all headings", unread_note, "rename those that hold figures of the homes", file))
    if faults:
        raise InputError(faults)
    weight = names.index(WEIGHT) if WEIGHT in names else None
    return Layout(typed, names.index(HOME), weight, tuple(columns), tuple(sorted(kept)), tuple(uses))


def _units_beside(
    typed: Sequence[str], case: Case, meant: Mapping[int, str], faults: list[Fault], file: str
) -> tuple[int, ...]:
    """Places of a column of yearly use and of its units; empty without such a pair."""
    try:
        return units_beside(typed, case, [at for at, choice in meant.items() if choice]) or ()
    except InputError as error:
        faults += [replace(fault, file=file) for fault in error.faults]
        return ()


def with_filled(layout: Layout, case: Case) -> Layout:
    """The layout with columns behind it for heat losses that follow from fuel, and from the area of a home whose load is not known."""
    keys, names = set(layout.keys), [BY_FUEL] if layout.uses else []
    if "house.floor_area" in keys and (layout.uses or keys & set(LOADS)) and case.house.route_used != "area":
        names.append(BY_AREA)
    places = tuple(range(len(layout.headings), len(layout.headings) + len(names)))
    columns = [Column(name, LOADS[2], ("house", "heat_loss_rate"), "W/K", True) for name in names]
    return replace(
        layout,
        headings=(*layout.headings, *names),
        columns=(*layout.columns, *zip(places, columns, strict=True)),
        filled=places,
    )


def _one_name_of_homes(
    names: Sequence[str], typed: Sequence[str], kept: list[tuple[int, str]], chosen: Sequence[int]
) -> list[str]:
    """Of several columns that may name the homes, such as id and Address, the one chosen or called so, else the first; the others are kept.

    All that are chosen stay, so that two are a fault.
    """
    places = [at for at, name in enumerate(names) if name == HOME]
    named = [at for at in places if typed[at].lower() in NAMES_FIRST]
    plain = [at for at in places if plain_heading(typed[at]) not in PARCELS]
    first = [*chosen, *named, *plain, *places, -1][0]
    own = (first, *chosen)
    others = [at for at in places if at not in own and typed[at].lower() != typed[first].lower()]
    kept += [(at, typed[at]) for at in others]
    return ["" if at in others else name for at, name in enumerate(names)]


def _examples(case: Case) -> tuple[str, str]:
    """Headings with units that a reader uses."""
    us = default_units(case.typed) == "us"
    return ('"Floor area [ft2]"', '"Heat loss [kBtu/h]"') if us else ('"Floor area [m2]"', '"Heat loss [kW]"')


def _doubled(names: Sequence[str], columns: Sequence[Column], kept: Sequence[str], file: str) -> list[Fault]:
    keys = [*(name for name in names if name in (HOME, WEIGHT)), *(column.key for column in columns), *kept]
    faults = [
        Fault(key, f"{keys.count(key)} columns give it", "keep one of them", file)
        for key in dict.fromkeys(keys)
        if keys.count(key) > 1
    ]
    return faults + [
        Fault(key, f"stands beside {other}", "give one of the two", file)
        for key in dict.fromkeys(keys)
        for other in RIVALS.get(key, ())
        if other in keys and key < other
    ]


def read_column(heading: str, typed: str, case: Case, file: str, cells: str = "") -> Column:
    """One column that overrides a field, by a heading as key and unit; `cells` says which cells lack a unit.

    Raises
    ------
    InputError
        The heading is unknown, or its unit lacks or is wrong.
    """
    match = _HEADING.fullmatch(heading)
    if match is None or not is_path(heading):
        what = f"'{typed}' is not a heading that is known" if typed else "a column has no heading"
        meant, (area, load) = near(typed, case), _examples(case)
        remedy = f"say what it is with its unit, such as {area} or {load}; one of your own may have any other name"
        raise InputError(Fault("heading", what, f'did you mean "{meant}"?' if meant else remedy, file))
    key, unit = match["path"], (match["unit"] or "").strip()
    path = _path(key)
    field = _field(key, path, case, file)
    measured = next((item for item in field.metadata if isinstance(item, QuantityField)), None)
    if measured is None:
        return _plain(typed, key, path, unit, field, file)
    sample = measured.sample.split(maxsplit=1)[-1]
    if not unit:
        name = typed.split("[")[0].strip()
        own = sample_of(measured, key, case)
        either = f'"{name} [Btu/h]" or "{name} [kBtu/h]", whichever its numbers are in'
        meant = either if own == "kBtu/h" else f'"{name} [{own}]"'
        raise InputError(Fault(name, f"has no unit{cells}", f"write the heading as {meant}", file))
    try:
        quantity = measured.quantity(f"1 {unit}")
        if measured.dimension in OPEN and path[0] == "prices" and measured.dimension == "price":
            case.prices[str(path[1])].per_j(quantity, str(path[1]))
    except (UnitError, ValueError) as error:
        problem = f"the unit [{unit}] cannot be used: {error}"
        raise InputError(Fault(key, problem, f'write the heading as "{key} [{sample}]"', file)) from None
    if quantity.currency and quantity.currency != case.currency:
        problem = f"is in {quantity.currency}, but the study is in {case.currency}"
        raise InputError(Fault(key, problem, "write all prices in one currency", file))
    return Column(typed, key, path, unit, True)


def _plain(heading: str, key: str, path: Path, unit: str, field: FieldInfo, file: str) -> Column:
    """A column of numbers or words without a unit."""
    if unit:
        raise InputError(Fault(key, f"has no unit, but [{unit}] was given", f'write the heading as "{key}"', file))
    if field.annotation not in (int, float, bool, str) and "Literal" not in str(field.annotation):
        raise InputError(Fault(key, "is no single value", "leave it to the study file", file))
    return Column(heading, key, path, "", False)


def _path(key: str) -> Path:
    """Split a key path; people count from 1.

    Examples
    --------
    >>> _path("option[1].source[2].output")
    ('option', 0, 'source', 1, 'output')
    """
    path: list[str | int] = []
    for name, number in _PART.findall(key):
        path.append(name)
        if number:
            path.append(int(number) - 1)
    return tuple(path)


def _field(key: str, path: Path, case: Case, file: str) -> FieldInfo:
    """Follow a key path through the built study to the field it names."""
    if path[0] not in _TABLES and key not in _PLACE:
        tables = ", ".join((*_TABLES, *_PLACE))
        raise InputError(Fault(key, "cannot differ from home to home", f"use a key of {tables}", file))
    if path[0] == "option" and path[-1] in _OTHER_PLANT and len(path) > 2:
        remedy = "leave it to the study: an option of its own for each kind of plant, and a column Today that names each home's"
        raise InputError(Fault(key, "cannot differ by home", remedy, file))
    bills_it = path[0] == "option" and path[-1] == "price"  # of a demand charge it is an amount of money
    if path[-1] in _NO_EFFECT or bills_it or len(path) < 2:
        raise InputError(Fault(key, "does not change what a year takes and costs", "take the column out", file))
    node: Any = case
    for at, part in enumerate(path[:-1]):
        known = _children(node)
        if part not in known:
            raise InputError(_unknown(key, path[: at + 1], [str(name) for name in known], file))
        node = known[part]
        if node is None:
            raise InputError(Fault(key, f"the study has no [{part}]", f"add [{part}] to the study first", file))
    fields = {f.alias or name: f for name, f in type(node).model_fields.items()} if isinstance(node, BaseModel) else {}
    if path[-1] not in fields:
        raise InputError(_unknown(key, path, list(fields), file))
    return fields[str(path[-1])]


def _children(node: Any) -> dict[str | int, Any]:
    if isinstance(node, BaseModel):
        return {f.alias or name: getattr(node, name) for name, f in type(node).model_fields.items()}
    if isinstance(node, tuple):
        return dict(enumerate(node))
    return dict(node) if isinstance(node, dict) else {}


def _unknown(key: str, path: Path, known: Sequence[str], file: str) -> Fault:
    last = path[-1]
    if isinstance(last, int):
        remedy = f"count from 1 to {len(known)}" if known else f"{path[-2]} is a list, which is the same in every home"
        return Fault(
            key, f"the study has no {path[-2]}[{last + 1}]" if known else "cannot differ by home", remedy, file
        )
    near = difflib.get_close_matches(last, known)
    remedy = f"did you mean {near[0]}?" if near else f"use one of {', '.join(known)}" if known else "take it out"
    return Fault(key, f"'{last}' is not a known key", remedy, file)
