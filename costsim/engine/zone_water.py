"""What the loops of each zone of the house can give, and how hot the water must be for the neediest of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from costsim.physics.emitters import EMITTERS
from costsim.study.emitter_parts import emitter_supply_c, emitters_differ
from costsim.study.house import House
from costsim.study.loop_group import Loops
from costsim.study.zone_loops import REST, loops_are_named, rest_share, zone_of
from costsim.units.quantity import show_both
from costsim.words import tr

LEAST_EXCESS_K = 0.1
"""Water is at least so much warmer than the room that it heats."""


class LoopGroup(Protocol):
    """A group of loops, as the water side lowers it."""

    @property
    def count(self) -> int:
        """Loops of the group."""

    @property
    def heat_w_k(self) -> float:
        """Heat of one loop for each kelvin of water over room [W/K]."""

    @property
    def surface_limit_w(self) -> float:
        """Most that the floor over the group may give [W]."""


@dataclass(frozen=True, slots=True)
class ZoneWater:
    """A zone's loops: which groups, heat for each kelvin of water over room [W/K], and the most they may give [W].

    A zone with an emitter of its own has no groups.
    """

    name: str
    load_share: float
    indoor_temperature_c: float
    groups: tuple[int, ...]
    heat_w_k: float
    limit_w: float


def zone_waters(
    house: House, loops: Sequence[Loops], checks: Sequence[LoopGroup], top_c: float, *, design_load_w: float = 0.0
) -> tuple[ZoneWater, ...]:
    """Loops of each zone, the rest of the house last; none where no zone names loops or has an emitter of its own.

    Parameters
    ----------
    house : House
    loops, checks : sequences
        Groups of loops as typed or laid, and what each can give.
    top_c : float
        Hottest the water may be [°C].
    design_load_w : float
        Of the whole house [W], which an emitter without loops is sized for.

    Notes
    -----
    A zone without loops of its own has its share of those that no zone names.
    """
    if not loops_are_named(house) and not emitters_differ(house):
        return ()
    owners = [zone_of(group, house.zone) for group in loops]
    free = [at for at, owner in enumerate(owners) if owner is None]
    rest = rest_share(house)
    parts = [
        (zone.name, zone.share(house.floor_area_m2), zone.indoor_temperature_c, number, bool(zone.loops), zone.emitter)
        for number, zone in enumerate(house.zone)
    ]
    parts += [(REST, rest, None, len(house.zone), False, None)] if rest else []
    sharing = sum(share for _, share, _, _, named, emitter in parts if not named and not emitter)
    waters = []
    for name, share, typed_c, number, named, emitter in parts:
        if emitter:
            waters.append(
                _emitters(
                    house, ZoneWater(name, share, _kept_c(house, typed_c), (), 0.0, 0.0), emitter, top_c, design_load_w
                )
            )
            continue
        groups = tuple(at for at, owner in enumerate(owners) if owner == number) if named else tuple(free)
        part = 1.0 if named else share / sharing
        indoor = _kept_c(house, typed_c)
        heat = part * sum(checks[at].count * checks[at].heat_w_k for at in groups)
        most = part * sum(checks[at].surface_limit_w for at in groups)
        waters.append(ZoneWater(name, share, indoor, groups, heat, min(most, max(top_c - indoor, 0.0) * heat)))
    return tuple(waters)


def _kept_c(house: House, typed_c: float | None) -> float:
    return house.indoor_temperature_c if typed_c is None else typed_c


def _emitters(house: House, zone: ZoneWater, emitter: str, top_c: float, design_load_w: float) -> ZoneWater:
    """A zone whose emitters give its share of the design load with the water that their kind needs."""
    over_k = max(emitter_supply_c(house, emitter, floor=True) - zone.indoor_temperature_c, LEAST_EXCESS_K)
    load = zone.load_share * design_load_w
    share = max(top_c - zone.indoor_temperature_c, 0.0) / over_k
    return replace(zone, heat_w_k=load / over_k, limit_w=load * share ** EMITTERS[emitter].exponent)


def neediest_k_w(zones: Sequence[ZoneWater], *, design_load_w: float, room_c: float, top_c: float) -> float:
    """Kelvin of water over room for each watt of the whole house, so that the zone that needs it hottest is served at design.

    Parameters
    ----------
    zones : sequence of ZoneWater
    design_load_w : float
        Of the whole house [W].
    room_c : float
        Mean set-point [°C].
    top_c : float
        Hottest the water may be [°C]; a zone that needs more stays short.

    Examples
    --------
    >>> pair = [ZoneWater("A", 0.5, 20.0, (0,), 200.0, 9e3), ZoneWater("B", 0.5, 20.0, (1,), 100.0, 9e3)]
    >>> neediest_k_w(pair, design_load_w=6000.0, room_c=20.0, top_c=60.0) * 6000.0
    30.0
    """
    given = [min(zone.load_share * design_load_w, zone.limit_w) for zone in zones]
    needs = [zone.indoor_temperature_c + watts / zone.heat_w_k for zone, watts in zip(zones, given, strict=True)]
    return max(min(max(needs), top_c) - room_c, 0.1) / max(sum(given), 1e-9)


def _too_cool(zone: ZoneWater, load_w: float) -> str:
    """Say that a zone's emitters get water that is too cool for its share of the design load."""
    return tr(
        "the emitters of {zone} give at most {most} with the hottest water there is, but its design load is {load}: allow a hotter tank,"
        " or plan emitters for cooler water",
        zone=zone.name,
        most=show_both(zone.limit_w, "power"),
        load=show_both(load_w, "power"),
    )


def zone_warnings(zones: Sequence[ZoneWater], design_load_w: float) -> list[str]:
    """Say which zones' loops, or emitters, are too small for their share of the design load."""
    return [
        _too_cool(zone, zone.load_share * design_load_w)
        if not zone.groups
        else f"the loops of {zone.name} give at most {show_both(zone.limit_w, 'power')} but its design load is"
        f" {show_both(zone.load_share * design_load_w, 'power')}: add loops, lay them closer, or choose a thinner covering; sources cannot help"
        for zone in zones
        if zone.limit_w < 0.999 * zone.load_share * design_load_w
    ]
