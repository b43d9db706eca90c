"""Which loops serve which zone of the house, by the names that a zone gives."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from costsim.errors import Fault
from costsim.study.house import House
from costsim.study.loop_group import Loops
from costsim.study.plant import Floor
from costsim.study.schedules import HouseZone

REST = "Rest of the house"
LEAST_SHARE = 1e-6
"""Zones that leave less of the house than this leave no rest."""


def mean_kept_c(house: House) -> Any:
    """What the thermostats of a house are set to when nothing lowers them [°C], by their zones' shares of the heat loss.

    All that is told of water at design starts from here, as every hour of the year does.
    """
    zones = [(zone.share(house.floor_area_m2), zone.indoor_temperature_c) for zone in house.zone]
    kept = [(share, house.indoor_temperature_c if own is None else own) for share, own in zones]
    return house.indoor_temperature_c + sum(share * (own - house.indoor_temperature_c) for share, own in kept)


def rest_share(house: House) -> float:
    """Share of the heat loss that no zone has."""
    left = 1.0 - sum(zone.share(house.floor_area_m2) for zone in house.zone)
    return left if left > LEAST_SHARE else 0.0


def loops_are_named(house: House) -> bool:
    """Whether any zone names loops of its own."""
    return any(zone.loops for zone in house.zone)


def zone_of(group: Loops, zones: Sequence[HouseZone]) -> int | None:
    """Number of the zone that names a group of loops, or its level, or all its rooms; None where none does.

    Examples
    --------
    >>> rooms = HouseZone(name="Sleeping", load="40 %", loops=("Bed", "Upstairs: Bath"))
    >>> [zone_of(Loops(name=name, count=1, length="80 m"), [rooms]) for name in ("Upstairs: Bath + Bed", "Downstairs")]
    [0, None]
    """
    for number, zone in enumerate(zones):
        if group.name in zone.loops or all(_names(entry, zone.loops) for entry in _rooms(group)):
            return number
    return None


def zone_faults(house: House, floor: Floor | None, file: str) -> list[Fault]:
    """Find names of loops that no floor has, that two zones share or that part a circuit, and zones left without any."""
    if not loops_are_named(house):
        return []
    if floor is None:
        text = "names loops, but no floor is described"
        return [Fault("house.zone", text, "add [[floor.loops]] with names, or [floor.layout]", file)]
    faults = list(_unknown(house, floor, file))
    for group in floor.loops:
        served = [zone for zone in house.zone if any(_names(entry, zone.loops) for entry in _rooms(group))]
        owner = zone_of(group, house.zone)
        if len(served) > 1 or (served and owner is None):
            text = (
                f"'{group.name}' is one circuit, but {' and '.join(zone.name for zone in served)} takes only part of it"
            )
            remedy = "give rooms of different zones different thermostats, so that they get loops of their own"
            faults.append(Fault("house.zone", text, remedy, file))
    free = any(zone_of(group, house.zone) is None for group in floor.loops)
    bare = [zone.name for zone in house.zone if not zone.loops] + ([REST] if rest_share(house) else [])
    if bare and not free:
        text = f"{', '.join(bare)} has no loops: all are named by other zones"
        faults.append(Fault("house.zone", text, "name loops in each zone, or let the zones share the whole load", file))
    return faults


def _unknown(house: House, floor: Floor, file: str) -> Iterator[Fault]:
    known = {entry for group in floor.loops for room in _rooms(group) for entry in room} | {g.name for g in floor.loops}
    for number, zone in enumerate(house.zone, 1):
        for at, name in enumerate(zone.loops, 1):
            if name not in known or not name:
                names = ", ".join(sorted(known - {""})[:12])
                remedy = f"use one of {names}" if names else 'give [[floor.loops]] names, such as name = "Upstairs"'
                yield Fault(f"house.zone[{number}].loops[{at}]", f"no loops are called '{name}'", remedy, file)


def _rooms(group: Loops) -> list[tuple[str, ...]]:
    """What each room of a group may be called: itself, with its level, or by its level."""
    level, parted, rooms = group.name.partition(": ")
    if not parted:
        return [(group.name,)]
    return [(room, f"{level}: {room}", level) for room in rooms.split(" + ")]


def _names(entry: tuple[str, ...], loops: Sequence[str]) -> bool:
    return any(name in loops for name in entry)
