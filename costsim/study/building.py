"""A building as other files tell it: surfaces, air and set-point as texts of a study, with what was taken and what was not."""

from __future__ import annotations

import csv
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from costsim.bills.sheet import separator
from costsim.bills.text import decoded
from costsim.errors import Fault, InputError
from costsim.files import check_lines
from costsim.physics.envelope import TYPICAL
from costsim.study.case import Case
from costsim.study.edit import edited, study_text, write_copy
from costsim.study.heat_loss import Infiltration, Surface, loss_of
from costsim.units.fields import faults_of
from costsim.units.quantity import UnitError, read_quantity

AREA, U_VALUE, R_VALUE = (2, 0, 0, 0, 0), (0, 1, -3, -1, 0), (0, -1, 3, 1, 0)
MOST_SURFACES = 500
_EXAMPLE = "such as 'name,area [ft2],u_value [Btu/(h ft2 degF)]' or 'name,area [m2],typical'"
_COLUMNS = {
    "name": ("name", "surface", "element", "part"),
    "area": ("area", "gross area", "net area"),
    "u_value": ("u value", "u", "u factor", "uvalue"),
    "r_value": ("r value", "r", "rvalue", "r-value"),
    "typical": ("typical", "type", "kind"),
    "difference": ("difference", "share", "b", "temperature share"),
}


@dataclass(frozen=True, slots=True)
class Building:
    """What a file tells of a building, as the texts of a study's ``[house]``.

    Parameters
    ----------
    name : str
        Of the file and the building in it.
    surfaces : tuple of dict
        ``name``, ``area``, ``u_value`` or ``typical``, and ``difference`` of each.
    infiltration : dict
        ``volume`` and ``changes``; empty where it is not known.
    house : dict
        Other keys of ``[house]``: ``floor_area``, ``indoor_temperature``.
    without_area : tuple of dict
        Surfaces whose U-value is known and whose area is not.
    notes : tuple of str
        What was taken for granted.
    unused : tuple of str
        What the file says besides.
    """

    name: str
    surfaces: tuple[dict[str, str], ...]
    infiltration: dict[str, str] = field(default_factory=dict)
    house: dict[str, str] = field(default_factory=dict)
    without_area: tuple[dict[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    unused: tuple[str, ...] = ()

    def models(self) -> tuple[tuple[Surface, ...], Infiltration | None]:
        """Surfaces and air, checked.

        Raises
        ------
        InputError
            With every fault.
        """
        faults: list[Fault] = []
        found: list[Surface] = []
        for one in self.surfaces:
            try:
                found.append(Surface.model_validate(one))
            except ValidationError as error:
                faults += [
                    replace(fault, field=f"{one['name']}: {fault.field}")
                    for fault in faults_of(error, Surface, self.name)
                ]
        air = None
        if self.infiltration:
            try:
                air = Infiltration.model_validate(self.infiltration)
            except ValidationError as error:
                faults += faults_of(error, Infiltration, self.name)
        if faults:
            raise InputError(faults)
        return tuple(found), air

    @property
    def loss_w_k(self) -> float:
        """Loss per kelvin of all surfaces and the air [W/K]."""
        surfaces, air = self.models()
        return loss_of(surfaces, air)


def read_surfaces(raw: bytes, file: str) -> Building:
    """Read a CSV list of surfaces: one row each, with units in the headings or in the cells.

    Raises
    ------
    InputError
        With every fault of every row.
    """
    text, notes = decoded(raw, file)
    check_lines(text, file, f"a list of surfaces has short rows, {_EXAMPLE}")
    lines = [
        (n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip(" ,;\t") and not line.startswith("#")
    ]
    if len(lines) < 2:
        raise InputError(Fault("", "holds no surfaces", f"write one row a surface below headings, {_EXAMPLE}", file))
    if len(lines) > MOST_SURFACES + 1:
        raise InputError(
            Fault("", f"has {len(lines):,} rows", f"a building has at most {MOST_SURFACES} surfaces", file)
        )
    mark = separator([line for _, line in lines])
    rows = [[cell.strip() for cell in next(csv.reader([line], delimiter=mark), [])] for _, line in lines]
    places = _places(rows[0], file)
    faults: list[Fault] = []
    found = [
        _surface(row, rows[0], places, f"line {number}", file, faults)
        for row, (number, _) in zip(rows[1:], lines[1:], strict=True)
    ]
    if faults:
        raise InputError(faults)
    unused = tuple(f"column '{head}'" for at, head in enumerate(rows[0]) if at not in places.values() and head)
    made = Building(file, tuple(found), notes=tuple(notes), unused=unused)
    made.models()
    return made


def _plain(heading: str) -> str:
    return " ".join(heading.partition("[")[0].partition("(")[0].replace("_", " ").replace("-", " ").lower().split())


def _unit_of(heading: str) -> str:
    """What stands in the heading's outer brackets, which may hold others, as in ``U (W/(m2 K))``; empty without them."""
    for opening, closing in ("[]", "()"):
        first, last = heading.find(opening), heading.rfind(closing)
        if 0 <= first < last:
            return heading[first + 1 : last]
    return ""


def _places(headings: list[str], file: str) -> dict[str, int]:
    places: dict[str, int] = {}
    for at, heading in enumerate(headings):
        for role, names in _COLUMNS.items():
            if _plain(heading) in names and role not in places:
                places[role] = at
    if "area" not in places or not {"u_value", "r_value", "typical"} & set(places):
        seen = ", ".join(headings)[:120]
        what = f"has no columns of area and of U-value, R-value or typical kind; it has '{seen}'"
        raise InputError(Fault("columns", what, f"head them {_EXAMPLE}", file))
    return places


def _surface(
    row: list[str], headings: list[str], places: dict[str, int], where: str, file: str, faults: list[Fault]
) -> dict[str, str]:
    def cell(role: str) -> str:
        at = places.get(role, -1)
        return row[at] if 0 <= at < len(row) else ""

    def quantity(role: str, dims: tuple[int, ...], example: str) -> str:
        text = cell(role)
        unit = _unit_of(headings[places[role]])
        whole = f"{text} {unit}" if unit and not any(letter.isalpha() for letter in text) else text
        try:
            if read_quantity(whole).dims == dims:
                return whole
            problem = f"'{whole}' is of another kind"
        except UnitError as error:
            problem = str(error)
        faults.append(Fault(f"{where}, {headings[places[role]]}", problem, f"write it like {example}", file))
        return ""

    made = {"name": cell("name") or where, "area": quantity("area", AREA, "'40 m2', or the unit into the heading")}
    if cell("u_value"):
        made["u_value"] = quantity("u_value", U_VALUE, "'0.3 W/(m2 K)' or '0.05 Btu/(h ft2 degF)'")
    elif cell("r_value"):
        value = quantity("r_value", R_VALUE, "'13 h ft2 degF/Btu' or '2 m2 K/W'")
        resistance = read_quantity(value).value if value else 1.0
        if resistance <= 0:
            faults.append(
                Fault(
                    f"{where}, {headings[places['r_value']]}",
                    f"'{value}' is no resistance",
                    "write a number above zero",
                    file,
                )
            )
        else:
            made["u_value"] = f"{1.0 / resistance:.6g} W/(m2 K)"
    elif cell("typical"):
        made["typical"] = cell("typical").lower().replace(" ", "_")
        if made["typical"] not in TYPICAL:
            faults.append(
                Fault(
                    f"{where}, typical", f"'{cell('typical')}' is not known", f"use one of {', '.join(TYPICAL)}", file
                )
            )
            made["typical"] = next(iter(TYPICAL))
    else:
        faults.append(Fault(where, "has neither U-value nor typical kind", "give one of them", file))
    if cell("difference"):
        text = cell("difference")
        made["difference"] = text if "%" in text else f"{text} %" if "%" in headings[places["difference"]] else text
    return made


def study_keys(building: Building) -> dict[str, Any]:
    """Keys of ``[house]`` that the building gives."""
    keys: dict[str, Any] = dict(building.house)
    if building.infiltration:
        keys["infiltration"] = dict(building.infiltration)
    keys["surface"] = [dict(one) for one in building.surfaces]
    return keys


def fragment(building: Building) -> str:
    """The building as part of a study file; surfaces without an area stand in it as comments, to be completed."""
    keys = study_keys(building)
    surfaces, air = keys.pop("surface"), keys.pop("infiltration", None)
    lines = [f"# from {_comment(building.name)}; put this into your study", "[house]"]
    lines += [f"{key} = {_quoted(value)}" for key, value in keys.items()]
    if air:
        mark = "" if surfaces else "# "  # without a surface a study takes no air
        body = ["[house.infiltration]", *(f"{key} = {_quoted(value)}" for key, value in air.items())]
        lines += ["", *(mark + line for line in body)]
    for one in surfaces:
        lines += ["", "[[house.surface]]", *(f"{key} = {_quoted(value)}" for key, value in one.items())]
    for one in building.without_area:
        lines += ["", "# the file tells no area of this one: write it in and take out the marks"]
        lines += [
            "# [[house.surface]]",
            *(f"# {key} = {_quoted(value)}" for key, value in one.items()),
            '# area = "? ft2"',
        ]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    plain = (
        "".join(letter if letter.isprintable() else " " for letter in text).replace("\\", "\\\\").replace('"', '\\"')
    )
    return f'"{plain}"'


def _comment(text: str) -> str:
    return "".join(letter if letter.isprintable() else " " for letter in text)


def write_with_building(case: Case, building: Building, target: str | Path, *, overwrite: bool = False) -> None:
    """Write a copy of a study with the building's envelope in its house.

    Raises
    ------
    InputError
        The building has no surface with an area, the target is there already, or the copy would be no valid study.
    """
    if not building.surfaces:
        what = "no surface has an area, so a study's house cannot be made of it"
        raise InputError(Fault("-o", what, "write a fragment without --study, and put the areas in", building.name))
    keys = {"house": study_keys(building) | {"load_from": "envelope"}}
    comment = f"the envelope is from {_comment(building.name)}"
    write_copy(
        edited(study_text(case), keys, {"house": ("surface", "infiltration")}, comment), target, overwrite=overwrite
    )
