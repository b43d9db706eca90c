"""Parts of a house with emitters of their own: how much of the heat loss each has, and what gives its heat."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.errors import Fault
from costsim.physics.emitters import EMITTERS
from costsim.study.house import House
from costsim.study.zone_loops import LEAST_SHARE, REST, rest_share
from costsim.words import tr


@dataclass(frozen=True, slots=True)
class EmitterPart:
    """A part of the house: its name, its share of the heat loss, and its kind of emitter, or None for the floor that is described."""

    name: str
    load_share: float
    emitter: str | None


def emitters_differ(house: House) -> bool:
    """Whether any zone has a kind of emitter of its own."""
    return any(zone.emitter for zone in house.zone)


def floor_share(house: House) -> float:
    """Share of the heat loss that a floor which is described has: all that no zone with an emitter of its own has.

    Examples
    --------
    >>> from costsim.study.schedules import HouseZone
    >>> up = HouseZone(name="Upstairs", load="60 %", emitter="baseboard")
    >>> floor_share(House(floor_area="100 m2", heat_loss_rate="200 W/K", indoor_temperature="20 degC", gains="0 W", zone=(up,)))
    0.4
    """
    return 1.0 - sum(zone.share(house.floor_area_m2) for zone in house.zone if zone.emitter)


def emitter_parts(house: House, *, floor: bool) -> tuple[EmitterPart, ...]:
    """Each zone with an emitter of its own, and all others together last; none where the whole house has one kind.

    Parameters
    ----------
    house : House
    floor : bool
        Whether a floor is described, which then heats all that has no emitter of its own.
    """
    if not emitters_differ(house):
        return ()
    area, rest = house.floor_area_m2, floor_share(house)
    parts = [EmitterPart(zone.name, zone.share(area), zone.emitter) for zone in house.zone if zone.emitter]
    if rest > LEAST_SHARE:
        others = [zone.name for zone in house.zone if not zone.emitter]
        name = others[0] if len(others) == 1 and not rest_share(house) else REST
        parts.append(EmitterPart(name, rest, None if floor else house.emitter))
    return tuple(parts)


def emitters_of(house: House, *, floor: bool) -> tuple[str | None, ...]:
    """Kinds of emitter of the house, each once; None stands for a floor that is described."""
    parts = emitter_parts(house, floor=floor)
    return tuple(dict.fromkeys(part.emitter for part in parts)) or (None if floor else house.emitter,)


def emitters_named(house: House, *, floor: bool) -> str:
    """What gives the heat to the rooms, inside a sentence: a floor that is described, and kinds of emitter."""
    kinds = emitters_of(house, floor=floor)
    first, *others = dict.fromkeys(tr("the floor") if kind is None else tr(EMITTERS[kind].named) for kind in kinds)
    for other in others:
        first = tr("{name} and {other}", name=first, other=other)
    return first


def hottest_kind(house: House) -> tuple[float, str]:
    """Water at the design load for the kind of emitter that needs the hottest, where no floor is described [°C], and where that is from."""
    kinds = [EMITTERS[kind] for kind in emitters_of(house, floor=False) if kind is not None]
    hottest = max(kinds, key=lambda emitter: emitter.supply_c)
    words = f"{tr(hottest.title)}: {tr(hottest.source)}"
    if len(kinds) > 1:
        words = tr("{emitter}; of the house's emitters the one that needs the hottest water", emitter=words)
    return hottest.supply_c, words


def reset_exponent(house: House, *, floor: bool) -> float:
    """How the heat goes with the excess of the hottest water over the room: that of the emitter which needs it; 1 for floors.

    Parameters
    ----------
    house : House
    floor : bool
        Whether a floor is described, which needs cooler water than any other emitter of the house.
    """
    kinds = [EMITTERS[kind] for kind in emitters_of(house, floor=floor) if kind is not None]
    return max(kinds, key=lambda emitter: emitter.supply_c).exponent if kinds else 1.0


def emitter_supply_c(house: House, emitter: str, *, floor: bool) -> float:
    """Water at the design load for a kind of emitter of the house [°C]: the usual, and of the kind that needs the hottest what was typed.

    Parameters
    ----------
    house : House
    emitter : str
        A key of `EMITTERS`.
    floor : bool
        Whether a floor is described, whose water its loops settle.
    """
    own, typed = EMITTERS[emitter].supply_c, house.design_supply_temperature_c
    if typed is None:
        return own
    hottest = max(EMITTERS[kind].supply_c for kind in emitters_of(house, floor=floor) if kind is not None)
    return typed if own >= hottest else min(own, typed)


def emitter_faults(house: House, *, floor: bool, file: str) -> list[Fault]:
    """Find a floor that is described although every part of the house has another emitter."""
    if floor and emitters_differ(house) and floor_share(house) <= LEAST_SHARE:
        text = "gives every part of the house an emitter, and nothing is left for the floor that is described"
        return [Fault("house.zone", text, "take out the emitter of what the floor heats, or take out [floor]", file)]
    return []
