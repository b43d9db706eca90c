"""The house by zones: design load, what its loops give, hours too cold and whose fault they are, recovery of its own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from costsim.engine.lower import LoweredStudy
from costsim.engine.zones import ZoneHours, zone_hours
from costsim.physics.demand import ROUNDING_W
from costsim.results.recovery import Recovery, recovery_of
from costsim.results.result import Hourly, ZoneSeason
from costsim.study.zone_loops import mean_kept_c
from costsim.units.arrays import Bools
from costsim.units.quantity import HOUR_S


def house_and_zones(common: LoweredStudy, hourly: Hourly) -> tuple[Hourly, tuple[ZoneSeason, ...]]:
    """The house's hours with what its zones' loops do not let through, and each zone over the season, the rest of the house last.

    Parameters
    ----------
    common : LoweredStudy
        As the option sees it.
    hourly : Hourly
        The house's hours.

    Notes
    -----
    Without thermal mass the house's hours know of the loops already. With it slab and room are those of the whole house, so
    that what its zones lack beyond it is added here: a house is as warm as its coldest zone. What a zone lacks because of its own
    loops is load that the floor cannot give; the rest goes to what the house lacks in that hour most, else to capacity.
    """
    if not common.case.house.zone:
        return hourly, ()
    ready = np.maximum(hourly.available_w.sum(axis=0) - hourly.use_delivered_w, hourly.delivered_w)
    zones = zone_hours(common, unmet_w=hourly.unmet_w, ready_w=ready)
    if common.water.mass is not None:
        causes = dict(hourly.unmet_by_cause_w)
        beyond = np.sum([zone.beyond_loops_w for zone in zones], axis=0) if common.water.zones else 0.0
        floor = np.maximum(beyond - causes["floor"], 0.0)
        lacking = np.sum([zone.unmet_w for zone in zones], axis=0)
        rest = np.maximum(lacking - hourly.unmet_w - floor, 0.0)
        names = [name for name in causes if name != "floor"] or ["floor"]
        most = np.argmax([causes[name] for name in names], axis=0)
        causes["floor"] = causes["floor"] + floor
        for at, name in enumerate(names):
            causes[name] = causes[name] + np.where(most == at, rest, 0.0)
        hourly = replace(hourly, unmet_w=hourly.unmet_w + floor + rest, unmet_by_cause_w=causes).locked()
    # what the house counts is counted in each zone, so that zones add up to it
    counted = hourly.unmet_w > ROUNDING_W
    return hourly, tuple(_season(common, zone, at, counted) for at, zone in enumerate(zones))


def _season(common: LoweredStudy, zone: ZoneHours, at: int, counted: Bools) -> ZoneSeason:
    part, water = zone.part, common.water
    lacking, beyond = zone.unmet_w > ROUNDING_W, zone.beyond_loops_w > ROUNDING_W
    design = part.load_share * common.loss_w_k * (part.indoor_temperature_c - common.design_outdoor_c)
    supply, gives, loops = _loops_at_design(common, at)
    return ZoneSeason(
        name=part.name,
        load_share=part.load_share,
        indoor_temperature_c=part.indoor_temperature_c,
        design_load_w=design,
        loops=loops,
        supply_c=supply,
        loops_give_w=gives,
        heat_j=float(zone.demand_w.sum()) * HOUR_S,
        unmet_j=float(zone.unmet_w[lacking | counted].sum()) * HOUR_S,
        unmet_hours=int(np.count_nonzero(lacking)),
        loops_short_j=float(zone.beyond_loops_w[beyond | counted].sum()) * HOUR_S,
        loops_short_hours=int(np.count_nonzero(beyond)),
        recovery=_recovery(common, zone) if water.mass is not None else None,
        coldest_c=float(zone.room_c.min()) if zone.room_c is not None else None,
    )


def _recovery(common: LoweredStudy, zone: ZoneHours) -> Recovery | None:
    if zone.room_c is None:
        return None
    return recovery_of(setpoint_c=zone.part.setpoint_c, room_c=zone.room_c, outdoor_c=common.weather.outdoor_c)


def _loops_at_design(common: LoweredStudy, at: int) -> tuple[float | None, float | None, int | None]:
    """Water at the design load [°C], what the zone's loops give with it [W], and how many they are; None where none are named."""
    water = common.water
    if not water.zones:
        return None, None, None
    zone = water.zones[at]
    load = sum(min(zone_water.load_share * common.route.load_w, zone_water.limit_w) for zone_water in water.zones)
    supply = mean_kept_c(common.case.house) + water.resistance_k_w * load
    supply = min(supply, water.supply_top_c, water.max_temperature_c)
    if zone.groups:  # a floor beside hotter emitters has a mixing valve of its own
        supply = min(
            [supply, *(circuit.supply_c for circuit in water.circuits if circuit.emitter is None and circuit.valved)]
        )
    gives = min(zone.limit_w, zone.heat_w_k * max(supply - zone.indoor_temperature_c, 0.0))
    return supply, gives, sum(water.loops[group].count for group in zone.groups)
