"""A building as other files tell it: surfaces, air and set-point as texts of a study, with what was taken and what was not."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from costsim.errors import Fault, InputError
from costsim.study.case import Case
from costsim.study.edit import edited, study_text, write_copy
from costsim.study.heat_loss import Infiltration, Surface, loss_of
from costsim.units.faults import faults_of


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
        surfaces: list[Surface] = []
        for surface in self.surfaces:
            try:
                surfaces.append(Surface.model_validate(surface))
            except ValidationError as error:
                faults += [
                    replace(fault, field=f"{surface['name']}: {fault.field}")
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
        return tuple(surfaces), air

    @property
    def loss_w_k(self) -> float:
        """Loss per kelvin of all surfaces and the air, as at sea level, since a building says nothing of its place [W/K]."""
        surfaces, air = self.models()
        return loss_of(surfaces, air, 0.0)


def in_feet(building: Building) -> bool:
    """Whether its areas are in square feet."""
    return any("ft" in surface.get("area", "") for surface in building.surfaces)


def study_keys(building: Building) -> dict[str, Any]:
    """Keys of ``[house]`` that the building gives."""
    keys: dict[str, Any] = dict(building.house)
    if building.infiltration:
        keys["infiltration"] = dict(building.infiltration)
    keys["surface"] = [dict(surface) for surface in building.surfaces]
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
    for surface in surfaces:
        lines += ["", "[[house.surface]]", *(f"{key} = {_quoted(value)}" for key, value in surface.items())]
    for surface in building.without_area:
        lines += ["", "# the file tells no area of this one: write it in and take out the marks"]
        lines += [
            "# [[house.surface]]",
            *(f"# {key} = {_quoted(value)}" for key, value in surface.items()),
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
