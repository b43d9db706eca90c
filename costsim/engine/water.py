"""The water side, lowered: how hot the tank must be for a demand, what the floor can give, what tank and slab store."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.engine.emitter_circuits import (
    EmitterCircuit,
    circuits_of,
    drop_k_w,
    flow_w_k,
    mixed_drop_k,
    part_of_slab,
)
from costsim.engine.laid_floor import LaidFloor, lay_floor, typed_floor, with_pumps
from costsim.engine.loop_checks import LoopCheck, circulating, loops_at_design
from costsim.engine.water_warnings import (
    at_turns,
    beyond_curves,
    beyond_pumps,
    floor_warnings,
    loads_add_up,
    short_rooms,
    too_warm,
)
from costsim.engine.zone_water import ZoneWater, neediest_k_w, zone_warnings, zone_waters
from costsim.physics.floor import (
    LoopHeat,
    supply_conductance_w_k,
    surface_coefficient_w_m2k,
    surface_limit_w_m2,
)
from costsim.physics.fluids import FluidProperties
from costsim.physics.thermal_mass import TwoNode, discretise
from costsim.sources.base import NOT_STORING
from costsim.study.build_ups import covered_m2k_w, may_lie_on_ground
from costsim.study.case import Case
from costsim.study.emitter_parts import floor_share, hottest_kind, reset_exponent
from costsim.study.fluid import antifreeze_of
from costsim.study.plant import Floor, Mass
from costsim.study.zone_loops import mean_kept_c
from costsim.units.arrays import Floats
from costsim.units.quantity import show_both
from costsim.words import tr

GROUND_M2K_W = 0.5
"""Resistance of the ground under a slab, beside its insulation; common practice, no source."""
HOTTEST_WATER_C = 95.0
"""No water is made hotter than this; only a tank has a highest temperature of its own."""


@dataclass(frozen=True, slots=True)
class MassSide:
    """Slab and room that store heat; what goes with the house is an array (houses,) of many."""

    slab_j_k: float
    room_j_k: Any
    floor_room_w_k: Any
    water_resistance_k_w: Any
    ground_w_k: float
    ground_c: float
    feedback: float
    room_ceiling_k: float
    precharge_k: float
    precharge_windows: tuple[str, ...]

    def house(self, loss_w_k: Any) -> TwoNode:
        """The two nodes with the house's loss."""
        return TwoNode(self.slab_j_k, self.room_j_k, self.floor_room_w_k, self.ground_w_k, loss_w_k)

    def matrices(self, loss_w_k: Any) -> tuple[Floats, Floats]:
        """What an hour does to slab and room."""
        return discretise(self.house(loss_w_k))


@dataclass(frozen=True, slots=True)
class WaterSide:
    """Water between sources and room. `resistance_k_w` is kelvin of tank over room for each watt of demand.

    `max_temperature_c` limits the water; `hottest_c` is the hottest that the study speaks of, for cautions and ratings.
    `drop_k_w` is how much the floor's water cools for each watt it gives, `zones_kept` what an hour of rest leaves of the
    difference between the tank's top and bottom, 0 for a mixed tank, `kept_hot` its share kept hot for uses; `floor` has a group for each of `loops`;
    `mass` is what slab and room store, where the study lets them; `short` says which rooms of a layout get too little;
    `zones` are the house's parts, where they name loops of their own; `circuits` those with water of their own, where emitters
    differ; `exponent` bends the reset; `supply_top_c` is the hottest water that is of use at design to a laid floor which heats
    the whole house, `loops_top_c` the hottest that any of its loops may have, in the hours of the year.
    Of many houses `resistance_k_w`, `limit_w` and `drop_k_w` are arrays (houses,).
    """

    resistance_k_w: Any
    limit_w: Any
    max_temperature_c: float
    hottest_c: float
    store_c: float
    tank_j_k: float
    tank_loss_w_k: float
    pump_w: float
    density_kg_m3: float
    heat_capacity_j_kgk: float
    drop_k_w: Any = 0.0
    zones_kept: float = 0.0
    kept_hot: float = 0.0
    mass: MassSide | None = None
    loops: tuple[LoopCheck, ...] = ()
    floor: Floor | None = None
    freeze_c: float = 0.0
    warnings: tuple[str, ...] = ()
    short: tuple[str, ...] = ()
    zones: tuple[ZoneWater, ...] = ()
    circuits: tuple[EmitterCircuit, ...] = ()
    exponent: float = 1.0
    supply_top_c: float = float("inf")
    loops_top_c: float = float("inf")


def water_side(case: Case, *, design_load_w: Any, coldest_c: float, altitude_m: float) -> WaterSide:
    """Lower tank, floor and mass.

    Parameters
    ----------
    case : Case
    design_load_w : float or array (houses,)
        Design heat loss [W]; of many houses in one, whose `indoor_temperature_c` is an array too, nothing is warned of, and the
        floor is none that asks for pumps by the load.
    coldest_c : float
        Coldest hour of the weather [°C], for freeze protection.
    altitude_m : float
        Of the place [m]; rooms lose by it, and share the load between their loops.

    Returns
    -------
    WaterSide
        Without a tank nothing is stored and heat must be made in its hour; without a floor the design supply temperature,
        typed or by the emitter, settles how hot the water must be, and it falls with the load; without both the water is
        never the limit.
    """
    tank, room_c = case.tank, mean_kept_c(case.house)
    mixture, freeze = circulating(*antifreeze_of(case))
    top = tank.max_temperature_c if tank else HOTTEST_WATER_C
    exponent = reset_exponent(case.house, floor=case.floor is not None)
    if case.floor is not None:
        rooms = _by_floor(case, case.floor, mixture, load_w=design_load_w, top_c=top, altitude_m=altitude_m)
    else:
        rooms = _by_reset(case, load_w=design_load_w, top_c=top, exponent=exponent)
    at_design_c = room_c + rooms.resistance_k_w * design_load_w
    circuits = circuits_of(
        case,
        rooms.zones,
        rooms.laid.supply_c if rooms.laid else None,
        flow_w_k=flow_w_k(rooms.loops, mixture),
        load_w=design_load_w,
        tank_c=np.minimum(at_design_c, top),
    )
    if circuits:
        drop = np.minimum(mixed_drop_k(circuits) / design_load_w, rooms.resistance_k_w)
    else:
        drop = drop_k_w(
            rooms.loops,
            mixture,
            design_load_w,
            rooms.mass.water_resistance_k_w if rooms.mass else rooms.resistance_k_w,
        )
    return WaterSide(
        resistance_k_w=rooms.resistance_k_w,
        limit_w=rooms.surfaces_w if rooms.mass else rooms.limit_w,
        max_temperature_c=top,
        hottest_c=top if tank else _hottest_c(case, float(np.max(at_design_c))),
        store_c=(tank.store_c if tank.store_c is not None else top) if tank else NOT_STORING,
        tank_j_k=tank.volume_m3 * mixture.density_kg_m3 * mixture.heat_capacity_j_kgk if tank else 0.0,
        tank_loss_w_k=tank.loss_w_k if tank else 0.0,
        pump_w=sum(check.pump_w for check in rooms.loops) if rooms.loops else 0.0,
        density_kg_m3=mixture.density_kg_m3,
        heat_capacity_j_kgk=mixture.heat_capacity_j_kgk,
        drop_k_w=drop,
        zones_kept=tank.stratification_share ** (1 / 24) if tank else 0.0,
        kept_hot=tank.kept_hot_share if tank else 0.0,
        mass=rooms.mass,
        loops=tuple(rooms.loops),
        floor=rooms.floor,
        freeze_c=freeze,
        zones=rooms.zones,
        circuits=circuits,
        exponent=exponent,
        supply_top_c=float("inf") if circuits else rooms.supply_top_c,
        loops_top_c=rooms.laid.top_c if rooms.laid is not None and not circuits else float("inf"),
        short=short_rooms(case, rooms.laid) if rooms.laid is not None else (),
        warnings=() if np.ndim(design_load_w) else _warnings(case, rooms, freeze, coldest_c, design_load_w),
    )


@dataclass(frozen=True, slots=True)
class _Rooms:
    """What heats the rooms: kelvin of water over room for each watt, the most it gives [W], and the floor behind that.

    `limit_w` is what it gives with the hottest water that there may be, `surfaces_w` what its surfaces and emitters give whatever
    the water, which is the limit where slab and room store heat and the kernel sees the water itself.
    """

    resistance_k_w: Any
    limit_w: Any
    mass: MassSide | None = None
    floor: Floor | None = None
    laid: LaidFloor | None = None
    loops: Sequence[LoopCheck] = ()
    zones: tuple[ZoneWater, ...] = ()
    supply_top_c: float = float("inf")

    @property
    def surfaces_w(self) -> Any:
        """The limits of the floor's surfaces, and of emitters beside it [W]."""
        return sum(
            [check.surface_limit_w for check in self.loops] + [zone.limit_w for zone in self.zones if not zone.groups]
        )


def _by_reset(case: Case, *, load_w: Any, top_c: float, exponent: float) -> _Rooms:
    """Where no floor is described: water by the load, from the design supply temperature down."""
    room_c = mean_kept_c(case.house)
    resistance = np.maximum(design_supply(case)[0] - room_c, 0.1) / load_w
    if case.tank is None:
        return _Rooms(resistance, float("inf"))
    hottest_share = np.maximum(top_c - room_c, 0.0) / (resistance * load_w)
    return _Rooms(resistance, load_w * hottest_share**exponent)


def _by_floor(
    case: Case, floor: Floor, mixture: FluidProperties, *, load_w: Any, top_c: float, altitude_m: float
) -> _Rooms:
    """Where a floor is described: water by its loops, as typed or as laid for the load, for the room that needs it hottest."""
    house = case.house
    indoor_c, room_c, share = house.indoor_temperature_c, mean_kept_c(house), floor_share(house)
    laid = _laid(case, mixture, share * load_w, altitude_m)
    floor = with_pumps(laid) if laid is not None else floor
    loops, heats = loops_at_design(floor, mixture, share * load_w, indoor_c)
    if floor.loads_typed and laid is None:
        laid = typed_floor(case, floor, loops, mixture, load_w=share * load_w, top_c=top_c)

    given_w_k = sum(check.count * check.heat_w_k for check in loops)
    surfaces_w = sum(check.surface_limit_w for check in loops)
    resistance: Any = share / given_w_k
    top, limit = float("inf"), np.minimum(surfaces_w, np.maximum(top_c - indoor_c, 0.0) * given_w_k)
    mass = _mass(case, floor, mixture, loops, heats, load_w) if floor.mass else None

    zones = zone_waters(house, floor.loops, loops, top_c, design_load_w=load_w)
    if zones:
        neediest = neediest_k_w(zones, design_load_w=load_w, room_c=room_c, top_c=top_c)
        mass = _with_hotter_water(mass, np.maximum(neediest - resistance, 0.0))
        resistance, limit = neediest, sum(zone.limit_w for zone in zones)
    else:  # rooms kept below the set-point of which the loops were asked
        resistance = resistance + np.maximum(indoor_c - room_c, 0.0) / load_w
    if laid is not None:  # one water for all rooms: that of the room which needs it hottest
        # a zone may need hotter water than its rooms do by the loads of their own
        top = max(laid.supply_c, min(room_c + resistance * load_w, laid.top_c)) if zones else laid.supply_c
        hotter = max((laid.reset_c - room_c) / load_w - resistance, 0.0)
        mass = _with_hotter_water(mass, hotter)
        resistance = resistance + hotter
        beside_w = sum(min(zone.limit_w, zone.load_share * load_w) for zone in zones if not zone.groups)
        limit = min(limit, max(top_c - room_c, 0.0) / resistance, laid.given_w + beside_w)
    return _Rooms(resistance, limit, mass, floor, laid, loops, zones, top)


def _with_hotter_water(mass: MassSide | None, by_k_w: Any) -> MassSide | None:
    """A slab whose water is hotter than its own loops ask for, as a zone or a room with more need has it."""
    return mass and replace(mass, water_resistance_k_w=mass.water_resistance_k_w + by_k_w)


def _warnings(case: Case, rooms: _Rooms, freeze_c: float, coldest_c: float, load_w: float) -> tuple[str, ...]:
    """What a reader should look at again in what heats the rooms."""
    loops, zones, floor = rooms.loops, rooms.zones, rooms.floor
    return (
        *floor_warnings(case, rooms.limit_w, freeze_c, coldest_c, load_w),
        *(zone_warnings(zones, load_w) if zones else too_warm(loops, load_w, load_w * rooms.resistance_k_w)),
        *((*loads_add_up(floor), *beyond_curves(floor, loops)) if floor is not None else ()),
        *beyond_pumps(loops),
        *at_turns(loops),
    )


def design_supply(case: Case) -> tuple[float, str, str]:
    """Supply water at the design load where no floor is described [°C], in whose words, and the key that changes it."""
    house, tank = case.house, case.tank
    if tank is not None and tank.design_supply_temperature_c is not None:
        return tank.design_supply_temperature_c, tr("typed in the study"), "tank.design_supply_temperature"
    if house.design_supply_temperature_c is not None:
        supply, words = house.design_supply_temperature_c, tr("typed in the study")
    else:
        supply, words = hottest_kind(house)
    key = "house.emitter" if house.design_supply_temperature_c is None else "house.design_supply_temperature"
    if tank is not None and supply > tank.max_temperature_c:
        return (
            tank.max_temperature_c,
            tr(
                "the highest tank temperature, below what the emitter asks for, {supply}",
                supply=show_both(supply, "temperature", 0),
            ),
            "tank.max_temperature",
        )
    return supply, words, key


def _hottest_c(case: Case, at_design_c: float) -> float:
    """Hottest water without a tank [°C]: the hottest outlet of a source, or the supply at design."""
    sources = [source for option in case.options for source in option.sources]
    outlets = [source.hottest_outlet_c() or 0.0 for source in sources]
    return min(HOTTEST_WATER_C, max(at_design_c, *outlets))


def _laid(case: Case, mixture: FluidProperties, design_load_w: float, altitude_m: float) -> LaidFloor | None:
    """Loops and pumps that the load asks for, where the floor is given by areas alone."""
    floor = case.floor
    if floor is None or floor.loops_typed or floor.layout is None:
        return None
    top = case.tank.max_temperature_c if case.tank else HOTTEST_WATER_C
    return lay_floor(case, floor, floor.layout, mixture, load_w=design_load_w, top_c=top, altitude_m=altitude_m)


def slab_side(case: Case, design_load_w: float, altitude_m: float) -> MassSide | None:
    """What the floor could store, whether or not the study lets it; None where no floor is described."""
    floor = case.floor
    if floor is None:
        return None
    mixture, _ = circulating(*antifreeze_of(case))
    load = floor_share(case.house) * design_load_w
    laid = _laid(case, mixture, load, altitude_m)
    floor = with_pumps(laid) if laid is not None else floor
    loops, heats = loops_at_design(floor, mixture, load, case.house.indoor_temperature_c)
    return _mass(case, floor, mixture, loops, heats, design_load_w)


def _mass(
    case: Case,
    floor: Floor,
    mixture: FluidProperties,
    loops: list[LoopCheck],
    heats: list[LoopHeat],
    design_load_w: Any,
) -> MassSide:
    """Slab and room, and what lies between water, slab, room and ground."""
    settings = floor.mass or Mass()
    upward: Any = 0.0
    into_slab: Any = 0.0
    capacity = to_ground = 0.0
    flux = floor_share(case.house) * design_load_w / floor.area_m2
    for group, check, heat in zip(floor.loops, loops, heats, strict=True):
        build_up, area = floor.build_up_of(group), group.count * group.area_m2
        capacity += area * build_up.heat_capacity_j_m2k
        if settings.ground_c is not None and may_lie_on_ground(build_up):
            to_ground += area / (floor.insulation_of(group) + GROUND_M2K_W)
        surface = covered_m2k_w(build_up, group.covering_m2k_w) + 1.0 / surface_coefficient_w_m2k(
            flux_w_m2=np.minimum(flux, surface_limit_w_m2(zone=group.zone, room_c=case.house.indoor_temperature_c))
        )
        upward += area / surface
        between = group.heated_length_m / (heat.film_mk_w + heat.wall_mk_w + heat.slab_mk_w)
        into_slab += group.count * supply_conductance_w_k(
            flow_m3_s=check.flow_m3_s, fluid=mixture, conductance_w_k=between
        )
    whole = MassSide(
        slab_j_k=capacity,
        room_j_k=case.house.floor_area_m2 * settings.room_capacity_j_m2k,
        floor_room_w_k=upward,
        water_resistance_k_w=1.0 / into_slab,
        ground_w_k=to_ground,
        ground_c=settings.ground_c or 0.0,
        feedback=settings.feedback,
        room_ceiling_k=settings.room_ceiling_k,
        precharge_k=settings.precharge_k,
        precharge_windows=settings.precharge_windows,
    )
    return part_of_slab(whole, floor_share(case.house))
