"""The floor that a layout begins with where a study describes none: what no other emitter heats, shared evenly by so many levels."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from costsim.errors import Fault, InputError
from costsim.physics.emitters import EMITTERS
from costsim.study.case import Case, case_from
from costsim.study.emitter_parts import floor_share
from costsim.study.zone_loops import LEAST_SHARE
from costsim.units.fields import QuantityField
from costsim.units.quantity import FOOT_M, parse
from costsim.words import tr

AREA = QuantityField("area", "Heated floor area", above=0)
LOOPS_OF_A_FLOOR = 8
"""Loops that one pump may feed in a new layout, so that each floor has one; common practice, no source."""
BUILT = {"radiant_floor_joists": "joists", "radiant_floor_dry": "plates"}
"""What tubes lie in, for kinds of emitter that tell it; a slab else."""


def floors_of(house: Mapping[str, Any], count: int, system: str) -> dict[str, Any]:
    """A layout of so many floors, as a study holds it, for a house as typed.

    Examples
    --------
    >>> upstairs = {"name": "Upstairs", "area": "1400 ft2", "emitter": "baseboard"}
    >>> floors_of({"floor_area": "2400 ft2", "zone": [upstairs]}, 1, "us")["level"]
    [{'name': 'Floor 1', 'area': '1000 ft2'}]
    """
    area = share_of_floor(house, count, system)
    names = [tr("Floor {number}", number=at + 1) for at in range(count)]
    return {"max_loops_per_pump": LOOPS_OF_A_FLOOR, "level": [{"name": name, "area": area} for name in names]}


def share_of_floor(house: Mapping[str, Any], count: int, system: str) -> str:
    """Area of one of so many floors that share evenly what of the house no other emitter heats; as typed where it cannot be read."""
    text = str(house.get("floor_area") or AREA.sample)
    others = [zone for zone in house.get("zone") or [] if zone.get("emitter")]
    if count == 1 and not others:
        return text
    try:
        whole_m2 = float(AREA.read(text))
        area_m2 = (whole_m2 - sum(_area_m2(zone, whole_m2) for zone in others)) / count
    except ValueError:
        return text
    if area_m2 <= 0.0:
        return text
    return f"{area_m2 / FOOT_M**2:.0f} ft2" if system == "us" else f"{area_m2:.1f} m2"


def _area_m2(zone: Mapping[str, Any], whole_m2: float) -> float:
    """Area of a part of the house [m²], by its share where that is typed."""
    if zone.get("area"):
        return float(AREA.read(str(zone["area"])))
    return whole_m2 * parse(str(zone.get("load", "0 %")), "share").value


def with_assumed_floor(case: Case, count: int, system: str) -> Case:
    """A study with a floor on so many levels where it describes none and a floor heats the house; else the study itself.

    Raises
    ------
    InputError
        No floor heats any part of the house.
    """
    house = case.house
    if case.floor is not None:
        return case
    if not EMITTERS[house.emitter].floor or floor_share(house) <= LEAST_SHARE:
        kind = tr(EMITTERS[house.emitter].named)
        problem = tr("is missing, and no floor heats this house but {emitter}", emitter=kind)
        if EMITTERS[house.emitter].floor:
            problem = tr("is missing, and zones with another emitter have all of this house")
        remedy = tr(
            'add [[floor.layout.level]] with name and area for each level with tubes, such as area = "1000 ft2"'
        )
        raise InputError(Fault("floor.layout", problem, remedy, case.file))
    typed, built = case.typed, BUILT.get(house.emitter)
    floor: dict[str, Any] = {"build_up": built} if built else {}
    floor |= {"layout": floors_of(typed["house"], count, system)}
    if built == "joists":  # whoever typed that lays two tubes in each bay
        floor["layout"]["level"] = [level | {"build_up": built} for level in floor["layout"]["level"]]
    return case_from(typed | {"floor": floor}, file=case.file, files=case.files)
