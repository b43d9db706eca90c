"""From areas to loops by geometry alone: how many, how long with their leads, and balanced."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from costsim.study.layout import Layout, LayoutLevel, LayoutRoom, Zone

BALANCE_SHARE = 0.10
"""Loops of one manifold differ in length by no more; common practice, no source."""
SHORT_SHARE = 0.5
"""A room whose loop would be shorter than this share of the longest is joined to a neighbor; our choice."""
MORE_LOOPS_SHARE = 0.25
"""Loops added for balance, at most, over the fewest that do; our choice."""


MOST_TRIES = 100
"""Loops added while looking for balance; beyond some hundred loops a few more change nothing."""


@dataclass(frozen=True, slots=True)
class Circuit:
    """Like loops that serve one room, or small rooms joined.

    Parameters
    ----------
    level, rooms, thermostat : str, tuple of str, str
    area_m2 : float
        Of all its loops together [m²].
    heat_loss_w : float or None
        As typed for its rooms [W]; None where their share by area counts.
    count : int
    leads_m : float
        There and back between manifold and room, of each loop [m].
    spacing_m, covering_m2k_w, zone, build_up, insulation_m2k_w, tube
        What lies in the floor; of the last three None where they are those of the whole house.
    """

    level: str
    rooms: tuple[str, ...]
    thermostat: str
    area_m2: float
    heat_loss_w: float | None
    count: int
    leads_m: float
    spacing_m: float
    covering_m2k_w: float
    zone: Zone
    build_up: str | None = None
    insulation_m2k_w: float | None = None
    tube: str | None = None

    @property
    def length_m(self) -> float:
        """One loop with its leads [m]."""
        return self.area_m2 / self.spacing_m / self.count + self.leads_m

    @property
    def name(self) -> str:
        """Level and rooms for people."""
        rooms = " + ".join(self.rooms)
        return rooms if rooms == self.level else f"{self.level}: {rooms}"

    def fewest(self, longest_m: float) -> int:
        """Loops it takes if none is longer than that."""
        return max(1, math.ceil(self.area_m2 / self.spacing_m / (longest_m - self.leads_m) - 1e-9))


def circuits_of(layout: Layout) -> tuple[Circuit, ...]:
    """Lay loops into every room.

    Parameters
    ----------
    layout : Layout

    Returns
    -------
    tuple of Circuit
        Level by level. No loop is longer than the longest allowed; small rooms of one level, thermostat and floor are
        joined; loops of a level are balanced to within a tenth where up to a quarter more loops can do that. Where the number
        of a level's loops is typed, they are as many, one for each room at least, however long they get.

    Notes
    -----
    ``length = area / spacing / loops + leads``.
    """
    circuits: list[Circuit] = []
    for level in layout.level:
        rooms = [_circuit(layout, level, room) for room in level.rooms]
        joined = _joined(rooms, layout.longest_m)
        circuits += _counted(joined, level.loops) if level.loops is not None else _balanced(joined, layout.longest_m)
    return tuple(circuits)


def spread_share(lengths_m: Sequence[float]) -> float:
    """How much shorter the shortest loop is than the longest, as a share.

    Examples
    --------
    >>> round(spread_share([90.0, 81.0]), 2)
    0.1
    """
    return 1.0 - min(lengths_m) / max(lengths_m)


def _circuit(layout: Layout, level: LayoutLevel, room: LayoutRoom) -> Circuit:
    away = room.distance_m if room.distance_m is not None else level.distance_m
    covering = room.covering_m2k_w if room.covering_m2k_w is not None else level.covering_m2k_w
    return Circuit(
        level=level.name,
        rooms=(room.name,),
        thermostat=room.thermostat or level.thermostat or level.name,
        area_m2=room.area_m2,
        heat_loss_w=room.heat_loss_w,
        count=1,
        leads_m=2.0 * away,
        spacing_m=layout.spacing_of(level, room),
        covering_m2k_w=covering,
        zone=room.zone,
        build_up=level.build_up,
        insulation_m2k_w=level.insulation_m2k_w,
    )


def _joined(rooms: list[Circuit], longest_m: float) -> list[Circuit]:
    """Join the smallest room to the next smaller one of its kind while its loop alone would be short."""
    rooms = list(rooms)
    while True:
        small = sorted(
            (circuit for circuit in rooms if circuit.length_m < SHORT_SHARE * longest_m),
            key=lambda circuit: circuit.length_m,
        )
        for circuit in small:
            alike = [other for other in rooms if other is not circuit and _alike(circuit, other)]
            if alike:
                other = min(alike, key=lambda other: other.area_m2)
                at = min(rooms.index(circuit), rooms.index(other))
                rooms = [room for room in rooms if room is not circuit and room is not other]
                rooms.insert(at, _both(circuit, other))
                break
        else:
            return rooms


def _alike(circuit: Circuit, other: Circuit) -> bool:
    same = ("level", "thermostat", "spacing_m", "covering_m2k_w", "zone")
    known = (circuit.heat_loss_w is None) == (other.heat_loss_w is None)
    return known and all(getattr(circuit, name) == getattr(other, name) for name in same)


def _both(circuit: Circuit, other: Circuit) -> Circuit:
    first, second = (circuit, other) if circuit.area_m2 >= other.area_m2 else (other, circuit)
    loss = None if first.heat_loss_w is None else first.heat_loss_w + float(second.heat_loss_w or 0.0)
    return replace(
        first,
        rooms=(*first.rooms, *second.rooms),
        area_m2=first.area_m2 + second.area_m2,
        heat_loss_w=loss,
        leads_m=max(first.leads_m, second.leads_m),
    )


def _counted(circuits: list[Circuit], count: int) -> list[Circuit]:
    """Share a number of loops out, each further one to the room whose loops are longest."""
    now = list(circuits)
    for _ in range(count - len(now)):
        at = max(range(len(now)), key=lambda i: now[i].length_m)
        now[at] = replace(now[at], count=now[at].count + 1)
    return now


def _balanced(circuits: list[Circuit], longest_m: float) -> list[Circuit]:
    """Choose the number of loops of each circuit so that their lengths come close together."""
    now = [replace(circuit, count=circuit.fewest(longest_m)) for circuit in circuits]
    more = min(max(1, int(MORE_LOOPS_SHARE * sum(circuit.count for circuit in now))), MOST_TRIES)
    best = now
    for _ in range(more):
        lengths = [circuit.length_m for circuit in best]
        if spread_share(lengths) <= BALANCE_SHARE:
            break
        at = max(range(len(now)), key=lambda i: now[i].length_m)
        now = [replace(circuit, count=circuit.count + (i == at)) for i, circuit in enumerate(now)]
        if spread_share([circuit.length_m for circuit in now]) < spread_share(lengths) - 1e-9:
            best = now
    return best
