"""Zones of the house hour by hour: what each wants, what its loops let through, and how its own slab and rooms fare."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from costsim.engine import layout as k
from costsim.engine.emitter_circuits import quick_mass
from costsim.engine.lower import LoweredStudy, house_rows
from costsim.engine.one_year import one_year
from costsim.engine.setpoint import ZonePart, zone_setpoints
from costsim.engine.water import WaterSide, water_side
from costsim.engine.zone_demand import zone_demands_w
from costsim.physics.demand import balance_point_c
from costsim.sources.offer import NOT_STORING
from costsim.units.arrays import Floats

PASSES = 3
"""How often zones are run until they agree on who gets how much of what the sources have; our choice."""


@dataclass(frozen=True, slots=True)
class ZoneHours:
    """One zone hour by hour (n,): heat wanted, missing because of its loops, and missing in all [W]; its rooms [°C], with mass only."""

    part: ZonePart
    demand_w: Floats
    beyond_loops_w: Floats
    unmet_w: Floats
    room_c: Floats | None = None


def zone_hours(common: LoweredStudy, *, unmet_w: Floats, ready_w: Floats) -> tuple[ZoneHours, ...]:
    """The zones of a year.

    Parameters
    ----------
    common : LoweredStudy
        As the option sees it.
    unmet_w : array (n,)
        What the house lacked [W].
    ready_w : array (n,)
        What sources and tank could give the floor [W].

    Returns
    -------
    tuple of ZoneHours
        Empty for a house without zones. Without thermal mass what they lack is together what the house lacks: first what a
        zone's own loops do not let through, then of the rest to each its share of what was asked of the sources. With mass each
        zone is run on slab and loops of its own, and where the sources are short each gets its share of what it calls for.
    """
    if not common.case.house.zone:
        return ()
    parts = zone_setpoints(common.case.house, common.calendar)
    wanted = zone_demands_w(common, parts)
    if common.water.mass is not None:
        return _with_mass(common, parts, wanted, ready_w)
    most = np.array([zone.limit_w for zone in common.water.zones] or [np.inf] * len(parts))[:, None]
    beyond = np.maximum(wanted - most, 0.0)
    asked = wanted - beyond
    whole, left = asked.sum(axis=0), np.maximum(unmet_w - beyond.sum(axis=0), 0.0)
    share = np.divide(asked, whole, out=np.zeros_like(asked), where=whole > 0)
    return tuple(
        ZoneHours(part, want, over, over + left * own)
        for part, want, over, own in zip(parts, wanted, beyond, share, strict=True)
    )


def _with_mass(
    common: LoweredStudy, parts: tuple[ZonePart, ...], wanted: Floats, ready_w: Floats
) -> tuple[ZoneHours, ...]:
    """Run each zone on its own slab, all of them until they agree on what each gets."""
    zones = [
        _zone_study(common, part, want, at) for at, (part, want) in enumerate(zip(parts, wanted, strict=True))
    ]  # fmt: skip
    years = [_year(zone, np.full(len(ready_w), np.inf)) for zone in zones]
    alone = [out[k.SHORT] for out, _ in years]
    for _ in range(PASSES):
        calls = np.stack([heat for _, heat in years])
        whole = calls.sum(axis=0)
        share = np.divide(calls, whole, out=np.full_like(calls, 1.0 / len(calls)), where=whole > 0)
        most = np.where(whole > ready_w, ready_w * share, np.maximum(ready_w - whole, 0.0) + calls)
        years = [_year(zone, own) for zone, own in zip(zones, most, strict=True)]
    return tuple(
        ZoneHours(part, want, np.minimum(over, out[k.SHORT]), out[k.SHORT], out[k.ROOM_T])
        for part, want, over, (out, _) in zip(parts, wanted, alone, years, strict=True)
    )


def _year(zone: LoweredStudy, most_w: Floats) -> tuple[Floats, Floats]:
    """Run a zone on one source that gives at most so much (n,): hours of the house, and heat given (n,) [W]."""
    scalars, hours = house_rows(zone)
    source = np.zeros((1, k.SOURCE_HOURS, len(most_w)))
    source[0, k.CAPACITY], source[0, k.TARGET] = np.minimum(most_w, 1e9), NOT_STORING
    order = np.zeros((1, len(most_w)), dtype=np.int64)
    out, heat, _, _ = one_year(scalars, hours, np.zeros((1, k.BILLED_SCALARS)), source, order)
    return out, heat[0]


def _zone_study(common: LoweredStudy, part: ZonePart, demand_w: Floats, at: int) -> LoweredStudy:
    """A zone as a house of its own: its share of loss and gains, its set-point, its loops, no tank."""
    case, water, share = common.case, common.water, part.load_share
    zones, backs = case.house.zone, case.house.setback
    typed = zones[at].set_backs(backs) if at < len(zones) else backs
    house = case.house.model_copy(
        update={"indoor_temperature_c": part.indoor_temperature_c, "setback": typed, "zone": (), "absence": ()}
    )
    house = house.model_copy(update={"floor_area_m2": case.house.floor_area_m2 * share})
    own, floor = _share_of(water, share), water.floor
    if water.zones and not water.zones[at].groups and own.mass is not None:
        own = replace(own, mass=quick_mass(own.mass, water.zones[at]), limit_w=water.zones[at].limit_w)
    elif water.zones and floor is not None:
        groups = water.zones[at].groups
        together = sum(zone.load_share for zone in water.zones if zone.groups == groups)
        loops = tuple(floor.loops[i].model_copy(update={"load_share": None}) for i in groups)
        floor = floor.model_copy(update={"loops": loops, "layout": None})
        area = {"floor_area_m2": case.house.floor_area_m2 * together}
        alone = case.model_copy(update={"house": house.model_copy(update=area), "floor": floor})
        load_w, coldest = common.route.load_w * together, float(common.weather.outdoor_c.min())
        high = common.surroundings.altitude_m
        own = water_side(alone, design_load_w=load_w, coldest_c=coldest, altitude_m=high)
        own = _share_of(own, share / together)
    loss = common.loss_w_k * share
    gains = common.gains_w * share
    balance = balance_point_c(indoor_temperature_c=part.setpoint_c, gains_w=gains, loss_w_k=loss)
    return replace(
        common, case=case.model_copy(update={"house": house}), loss_w_k=loss, gains_w=gains, setpoint_c=part.setpoint_c,
        balance_c=np.asarray(balance), demand_w=demand_w, uses=None, water=replace(own, tank_j_k=0.0, tank_loss_w_k=0.0, zones=()),
    )  # fmt: skip


def _share_of(water: WaterSide, share: float) -> WaterSide:
    """A share of the floor."""
    mass = water.mass
    if mass is not None:
        mass = replace(
            mass, slab_j_k=mass.slab_j_k * share, room_j_k=mass.room_j_k * share, ground_w_k=mass.ground_w_k * share,
            floor_room_w_k=mass.floor_room_w_k * share, water_resistance_k_w=mass.water_resistance_k_w / share,
        )  # fmt: skip
    return replace(water, resistance_k_w=water.resistance_k_w / share, limit_w=water.limit_w * share, mass=mass)
