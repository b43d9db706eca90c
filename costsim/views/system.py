"""What a schematic shows of an option: read off the study, its layout and its capacities."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from costsim.analysis.capacity import SourceCapacity
from costsim.analysis.layout_plan import LayoutResult, LoopPlan
from costsim.analysis.needs import mixture, needed_vessel_m3, supply_at_design_c
from costsim.engine.emitter_circuits import USUAL_DROP_K, mixed_drop_k
from costsim.engine.lower import LoweredStudy, option_study
from costsim.results.fires import burns_on, least_return_c
from costsim.sources import HeatSource
from costsim.study.case import Case, Option
from costsim.study.fluid import antifreeze_of, on_the_mix
from costsim.study.layout import FREEZE_MARGIN_K
from costsim.study.ratings import Ratings, relief_pa
from costsim.study.uses import AnyUse, HotWater
from costsim.views.emitter_marks import beside_emitters, emitter_zones, high_limit_c, mark_of
from costsim.views.schematic import SourceMark, System, ValveMark, ZoneMark
from costsim.views.schematic_uses import UseMark
from costsim.words import tr

MIXED_ABOVE_K = 0.5
"""A tank that may be hotter than the floor's supply at design by more than a rounding is drawn with mixing valve and high limit."""
MOST_ZONES, MOST_USES = 6, 4
NO_VALVES: Mapping[str, ValveMark] = {}


def system_of(
    common: LoweredStudy, option: Option, capacities: Sequence[SourceCapacity], layout: LayoutResult | None
) -> System:
    """Read off what a schematic shows.

    Parameters
    ----------
    common : LoweredStudy
        The study, lowered.
    option : Option
    capacities : sequence of SourceCapacity
        Of that option's sources, in their order.
    layout : LayoutResult or None
        Where the study has one.

    Returns
    -------
    System
    """
    common = option_study(common, option)
    layout = None if option.floor is not None else layout  # which is that of the study's own floor
    case, tank = common.case, common.case.tank
    typed = layout is not None and case.floor is not None and case.floor.loops_typed
    circuits = common.water.circuits
    supply = layout.supply_c if layout and typed and not circuits else supply_at_design_c(common)
    limit, valves = _limits(common, supply, layout)
    own = {valve.level: valve for valve in valves}
    described = _layout_zones(layout, own, supply) if layout else _group_zones(common, own, supply)
    zones = _merged([*described, *emitter_zones(common)])
    drop = mixed_drop_k(circuits) if circuits else _mixed_drop_k(common, zones, layout, own, supply)
    back = max(supply - drop, case.house.indoor_temperature_c)
    coldest = common.coldest_c
    plan = case.floor.layout if case.floor is not None else None
    stands_c = coldest - (plan.freeze_margin_k if plan is not None else FREEZE_MARGIN_K)
    top = tank.max_temperature_c if tank else common.water.hottest_c
    ratings = case.ratings or Ratings()
    return System(
        title=option.name,
        sources=tuple(
            SourceMark(
                capacity.name,
                source.symbol,
                capacity.rated_w,
                capacity.derated_w,
                source.flow_through_m3_s(),
                circuit_of(source, coldest, same_water=bool(on_the_mix(case, [source]))),
                source.outdoor_content_m3,
                stands_c if coldest < 0.0 else None,
                bool(burns_on([source])),
                least_return_c(source, back),
            )
            for source, capacity in zip(option.sources, capacities, strict=True)
        ),
        zones=zones,
        tank_m3=tank.volume_m3 if tank else None,
        open_circuit=tank is not None and tank.circuit == "open",
        mixing=tank is not None and must_mix(top_c=top, supply_c=supply),
        stratified=tank is not None and tank.stratification_share > 0.0,
        max_temperature_c=top,
        supply_c=supply,
        return_c=back,
        load_w=common.route.load_w,
        limit_c=limit,
        valves=valves,
        relief_pa=relief_pa(ratings),
        vessel_m3=needed_vessel_m3(common, ratings),
        fluid=fluid_words(case),
        uses=_uses(case.use),
    )


def circuit_of(source: HeatSource, coldest_c: float, *, same_water: bool = False) -> str:
    """What keeps a source outdoors from freezing, in a circuit of its own: ``"glycol"``, ``"drain_back"``, or nothing.

    `same_water` says that it stands on the mix that fills the whole system, without an exchanger before it.
    """
    return source.kept_from_frost() or ("glycol" if source.outdoors and coldest_c < 0.0 and not same_water else "")


def must_mix(*, top_c: float, supply_c: float) -> bool:
    """Whether a tank needs a mixing valve and a high limit before the floor: it may be hotter than the floor's supply at design.

    Whatever heats it and whatever else it serves: a sensor that fails, a stove or a store leave the same water before the floor.

    Examples
    --------
    >>> must_mix(top_c=60.0, supply_c=42.0), must_mix(top_c=42.0, supply_c=42.0)
    (True, False)
    """
    return top_c > supply_c + MIXED_ABOVE_K


def _limits(
    common: LoweredStudy, supply_c: float, layout: LayoutResult | None
) -> tuple[float | None, tuple[ValveMark, ...]]:
    """Where the high limit is set, and the levels that take a mixing valve and a high limit of their own.

    A limit is `high_limit_c`: of the surface of every loop behind it, its tube's rating, and the hottest that the floor may have.
    """
    case, floor = common.case, common.water.floor
    tube = case.ratings.tube_temperature_c if case.ratings and case.ratings.tube_temperature_c is not None else math.inf
    if case.floor is not None and case.floor.layout is not None and case.floor.layout.max_supply_c is not None:
        tube = min(tube, case.floor.layout.max_supply_c)
    if common.water.circuits:
        return beside_emitters(common, layout, tube)
    if layout is not None:
        valves = tuple(mark_of(name, loops, tube) for name, loops in layout.cooler.items())
        cooler = {plan.circuit.name for loops in layout.cooler.values() for plan in loops}
        surface = min(plan.most_c for plan in layout.loops if plan.circuit.name not in cooler)
        return high_limit_c(supply_c, surface_c=surface, allowed_c=tube), valves
    if floor is None or not common.water.loops:
        return None, ()
    indoor, most = case.house.indoor_temperature_c, {}
    for at, (group, check) in enumerate(zip(floor.loops, common.water.loops, strict=True), 1):
        name = group.name or tr("Loops, group {at}", at=at)
        most[name] = indoor + float(check.surface_limit_w) / (check.count * float(check.heat_w_k))
    own = {name: min(limit, tube) for name, limit in most.items() if min(limit, tube) < supply_c - MIXED_ABOVE_K}
    own = own if len(own) < len(most) else {}
    valves = tuple(
        ValveMark(name, water, high_limit_c(water, surface_c=most[name], allowed_c=tube)) for name, water in own.items()
    )
    surface = min(limit for name, limit in most.items() if name not in own)
    return high_limit_c(supply_c, surface_c=surface, allowed_c=tube), valves


def _uses(uses: Sequence[AnyUse]) -> tuple[UseMark, ...]:
    """At most so many circuits of uses; the rest become one."""
    marks = [
        UseMark(
            use.name,
            "cylinder" if isinstance(use, HotWater) and use.exchanger == "stored" else use.kind,
            use.needs_c,
        )
        for use in uses
    ]
    if len(marks) <= MOST_USES:
        return tuple(marks)
    kept, rest = marks[: MOST_USES - 1], marks[MOST_USES - 1 :]
    return (*kept, UseMark(tr("{rest} further uses", rest=len(rest)), "zone", max(mark.needs_c for mark in rest)))


def fluid_words(case: Case) -> str:
    """What circulates.

    Examples
    --------
    >>> from costsim.study.case import read_study
    >>> fluid_words(read_study("net_loft"))
    '30% propylene glycol'
    """
    antifreeze, share = antifreeze_of(case)
    return tr("water") if antifreeze == "none" else f"{share * 100:g}% {antifreeze.replace('_', ' ')}"


def _valve_of(plan: LoopPlan, own: Mapping[str, ValveMark]) -> ValveMark | None:
    """The mixing valve that a loop shares with its level, or has for its room."""
    return own.get(plan.circuit.name) or own.get(plan.circuit.level)


def _layout_zones(layout: LayoutResult, own: Mapping[str, ValveMark], supply_c: float) -> tuple[ZoneMark, ...]:
    """A circuit for each thermostat; loops behind a valve of their own are a circuit of their own."""
    zones = []
    circuits = {name: at for at, name in enumerate(dict.fromkeys(plan.circuit.name for plan in layout.loops))}
    for name in layout.thermostats:
        mine = [plan for plan in layout.loops if plan.circuit.thermostat == name]
        valves = list(dict.fromkeys(_valve_of(plan, own) for plan in mine))
        free = [pump for pump in layout.pumps if pump.thermostat == name]
        for valve in valves:
            loops = [plan for plan in mine if _valve_of(plan, own) == valve]
            here = {circuits[plan.circuit.name] for plan in loops}
            pumps = [pump for pump in free if here & {*pump.loops}]
            free = [pump for pump in free if pump not in pumps]
            speed = " and ".join(f"{share * 100:.0f}%" for share in sorted({pump.speed_share for pump in pumps}))
            zones.append(
                ZoneMark(
                    name if len(valves) == 1 or valve is None else f"{name}, {valve.level}",
                    sum(plan.fed.count for plan in loops),
                    len(pumps),
                    speed,
                    math.fsum(plan.fed.count * plan.fed.flow_m3_s for plan in loops),
                    max((pump.head_pa for pump in pumps), default=max(plan.fed.head_pa for plan in loops)),
                    *_water(valve, own, supply_c),
                )
            )
    return tuple(zones)


def _water(valve: ValveMark | None, own: Mapping[str, ValveMark], supply_c: float) -> tuple[float | None, bool]:
    """A circuit's water, said where circuits differ [°C], and whether a valve of its own makes it."""
    return (None if not own else valve.water_c if valve else supply_c), valve is not None


def _group_zones(
    common: LoweredStudy, own: Mapping[str, ValveMark] = NO_VALVES, supply_c: float = math.nan
) -> tuple[ZoneMark, ...]:
    floor = common.water.floor
    if floor is None and common.water.circuits:
        return ()
    if floor is None:
        laid = common.case.house.emitter.startswith("radiant_floor")
        return (ZoneMark(tr("Radiant floor") if laid else tr("Emitters"), 0, 1, "", 0.0, 0.0, floor=laid),)
    zones = []
    for at, (group, check) in enumerate(zip(floor.loops, common.water.loops, strict=True), 1):
        each = (group.loops_per_pump or min(floor.pump.loops_per_pump, group.count)) if floor.pump else 0
        share = (group.pump_speed_share or floor.pump.speed_share) if floor.pump else 0.0
        name = group.name or tr("Loops, group {at}", at=at)
        zones.append(
            ZoneMark(
                name,
                group.count,
                math.ceil(group.count / each) if each else 0,
                f"{share * 100:.0f}%" if share else "",
                check.flow_m3_s * group.count,
                check.head_pa,
                *_water(own.get(name), own, supply_c),
            )
        )
    return tuple(zones)


def _mixed_drop_k(
    common: LoweredStudy,
    zones: Sequence[ZoneMark],
    layout: LayoutResult | None,
    own: Mapping[str, ValveMark],
    supply_c: float,
) -> float:
    """What the mains cool by at design, as the returns of all circuits mix [K].

    Loops that cool water of `s` by `d` at a flow `v` take `v d / (mains - s + d)` from the mains: a valve of their own sends the rest
    round once more. What goes down into the ground or the room below counts.
    """
    fluid, load = mixture(common.case, supply_c), common.route.load_w
    carried = fluid.density_kg_m3 * fluid.heat_capacity_j_kgk
    flow = math.fsum(zone.flow_m3_s for zone in zones)
    if flow <= 0:
        return USUAL_DROP_K
    if not own:
        return load / (flow * carried)
    loops: list[tuple[float, float, float]] = []
    if layout is not None:
        for plan in layout.loops:
            valve = _valve_of(plan, own)
            loops.append(
                (plan.fed.flow_m3_s * plan.fed.count, plan.design.drop_k, valve.water_c if valve else supply_c)
            )
    else:
        indoor = common.case.house.indoor_temperature_c
        groups = common.water.floor.loops if common.water.floor else ()
        for at, (group, check) in enumerate(zip(groups, common.water.loops, strict=True), 1):
            valve = own.get(group.name or tr("Loops, group {at}", at=at))
            water = valve.water_c if valve else supply_c
            drop = check.heat_w_k * (water - indoor) / (check.flow_m3_s * carried) if check.flow_m3_s > 0 else 0.0
            loops.append((check.flow_m3_s * check.count, drop, water))
    taken = [v * d / (supply_c - s + d) for v, d, s in loops if v > 0 and d > 0]
    return math.fsum(v * d for v, d, _ in loops) / math.fsum(taken) if taken else USUAL_DROP_K


def _merged(zones: list[ZoneMark]) -> tuple[ZoneMark, ...]:
    """At most so many zones; the rest become one."""
    if len(zones) <= MOST_ZONES:
        return tuple(zones)
    kept, rest = zones[: MOST_ZONES - 1], zones[MOST_ZONES - 1 :]
    return (
        *kept,
        ZoneMark(
            tr("{rest} further zones", rest=len(rest)),
            sum(zone.loops for zone in rest),
            sum(zone.pumps for zone in rest),
            "",
            math.fsum(zone.flow_m3_s for zone in rest),
            max(zone.head_pa for zone in rest),
            None,
            any(zone.valved for zone in rest),
        ),
    )
