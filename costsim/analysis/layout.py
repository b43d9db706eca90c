"""From floor areas to a system: loops, pumps, thermostats, and the water and antifreeze to buy."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from costsim.analysis.layout_plan import FluidPlan, LayoutResult, LevelFloor, LoopPlan, Remedy, Unserved, as_json
from costsim.analysis.needs import contents_m3, floor_supply_c, supply_at_design_c
from costsim.engine.laid_floor import lay_floor
from costsim.engine.loop_checks import circulating
from costsim.engine.loop_pumps import (
    Duty,
    Fed,
    Ground,
    PumpPlan,
    conductance_w_k,
    duty,
    most_w,
    run_pump,
    surface_most_c,
)
from costsim.engine.lower import lower_study
from costsim.engine.water import HOTTEST_WATER_C
from costsim.errors import Fault, InputError
from costsim.physics.emitters import EMITTERS
from costsim.physics.floor import surface_excess_k, surface_limit_w_m2
from costsim.physics.fluids import freeze_point_c, mass_fraction_from_volume
from costsim.results.fires import solid
from costsim.study.case import Case
from costsim.study.emitter_parts import floor_share
from costsim.study.fluid import antifreeze_of
from costsim.study.layout import Layout
from costsim.study.loops import BALANCE_SHARE, Circuit, spread_share
from costsim.study.plant import Floor
from costsim.units.quantity import INCH_M, show_both
from costsim.weather import Weather
from costsim.words import tr

CLOSER_SPACINGS_M = tuple(INCH_M * inch for inch in (10, 9, 8, 6, 4))
HIGHEST_VOLUME_SHARE = 0.57
LEAST_FLOW_M3_S = 1e-7
"""Below it a pump does not push water at all: its head is less than what mains and valves take."""


def layout(case: Case, weather: Weather) -> LayoutResult:
    """Lay out the floor of a study.

    Parameters
    ----------
    case : Case
        With a ``[floor.layout]``.
    weather : Weather
        For the design load and the coldest that things outdoors must stand.

    Returns
    -------
    LayoutResult

    Raises
    ------
    InputError
        The study has no layout, or case and weather do not fit each other.

    Notes
    -----
    Lengths by ``area / spacing / loops + leads``; flows where pump curve and loops meet (Darcy and Weisbach); outputs by
    the same resistances as the year's simulation; surfaces by the basic curve of EN 1264-2.
    """
    floor = case.floor
    if floor is None or floor.layout is None:
        remedy = tr('add [[floor.layout.level]] with name = "Ground floor" and area = "1125 ft2" for each level')
        raise InputError(Fault("floor.layout", "is missing", remedy, case.file))
    common = lower_study(case, weather)
    fluid, freeze = circulating(*antifreeze_of(case))
    plan, top = floor.layout, case.tank.max_temperature_c if case.tank else HOTTEST_WATER_C
    load = floor_share(case.house) * common.route.load_w
    laid = lay_floor(case, floor, plan, fluid, load_w=load, top_c=top, altitude_m=common.surroundings.altitude_m)
    ground, circuits, each, pumps, lift = laid.ground, laid.circuits, laid.each_w, laid.pumps, laid.lift_pa
    fed, hottest = laid.fed, ground.max_supply_c
    loads = [load * circuit.count for load, circuit in zip(each, circuits, strict=True)]
    supply = laid.supply_c if floor.loops_typed else max(laid.supply_c, floor_supply_c(common))
    half = max(_duty(ground, circuits, loop, each, 0.5).supply_c for loop in fed)
    loops = tuple(_loop_plan(ground, circuits, loop, each, supply, lift) for loop in fed)
    return LayoutResult(
        title=case.title,
        tube=plan.tube,
        design_load_w=load,
        indoor_temperature_c=ground.indoor_temperature_c,
        supply_c=supply,
        year_supply_c=floor_supply_c(common),
        half_supply_c=min(half, hottest),
        loops=loops,
        pumps=pumps,
        unserved=_unserved(ground, loops, lift),
        fluid=_fluid_plan(case, plan, freeze, common.coldest_c),
        tappings=_tappings(plan, pumps),
        source_tappings=2 * max(len(option.sources) for option in case.options),
        lift_pa=lift,
        spread_share={
            level.name: spread_share([circuit.length_m for circuit in circuits if circuit.level == level.name])
            for level in plan.level
        },
        notes=_notes(case, plan, circuits, loads, load),
        floors=_floors(floor, plan, circuits),
        tank_c=supply_at_design_c(common),
        beside=tuple(
            f"{circuit.name} ({tr(EMITTERS[circuit.emitter].short)})"
            for circuit in common.water.circuits
            if circuit.emitter
        ),
        fires=tuple(dict.fromkeys(fire.label for option in case.options for fire in solid(option.sources))),
    )


def _duty(ground: Ground, circuits: Sequence[Circuit], fed: Fed, each_w: Sequence[float], share: float = 1.0) -> Duty:
    return duty(ground, circuits[fed.circuit], fed.flow_m3_s, each_w[fed.circuit] * share)


def _loop_plan(
    ground: Ground, circuits: Sequence[Circuit], fed: Fed, each_w: Sequence[float], supply_c: float,
    lift: dict[str, float],
) -> LoopPlan:  # fmt: skip
    circuit, load = circuits[fed.circuit], each_w[fed.circuit]
    limit = surface_limit_w_m2(zone=circuit.zone, room_c=ground.indoor_temperature_c)

    def output(flow_m3_s: float) -> float:
        return conductance_w_k(ground, circuit, flow_m3_s, load) * (supply_c - ground.indoor_temperature_c)

    alone = run_pump(ground, circuits, each_w, (fed.circuit,), fed.speed_share, lift[circuit.level])
    return LoopPlan(
        circuit=circuit,
        fed=fed,
        design=_duty(ground, circuits, fed, each_w),
        half=_duty(ground, circuits, fed, each_w, 0.5),
        limit_c=ground.indoor_temperature_c + float(surface_excess_k(flux_w_m2=limit)),
        output_w=most_w(ground, circuit, fed.flow_m3_s, load, supply_c),
        most_c=surface_most_c(ground, circuit, fed.flow_m3_s, load),
        alone_share=output(fed.flow_m3_s) / output(alone.flow_m3_s),
        alone_flow_share=fed.flow_m3_s / alone.flow_m3_s if alone.flow_m3_s > 0 else 1.0,
    )


def _unserved(ground: Ground, loops: Sequence[LoopPlan], lift: dict[str, float]) -> tuple[Unserved, ...]:
    """Rooms whose loops do not carry their load, each with what would do."""
    unserved: dict[str, Unserved] = {}
    for plan in loops:
        too_warm = plan.design.surface_c > plan.limit_c + 0.05
        short = plan.design.supply_c > ground.max_supply_c + 1e-6
        dropping = plan.design.drop_k > ground.layout.temperature_drop_k + 1e-6
        if not (too_warm or short or dropping) or plan.circuit.name in unserved:
            continue
        stuck = plan.fed.flow_m3_s < LEAST_FLOW_M3_S
        why = "surface" if too_warm else "flow" if stuck else "supply" if short else "drop"
        able = most_w(ground, plan.circuit, plan.fed.flow_m3_s, plan.design.load_w, ground.max_supply_c)
        missing = max(plan.design.load_w - able, 0.0) * plan.circuit.count
        ways = [Remedy(tr("wider or shorter mains, or a pump of more head"))] if stuck else []
        ways += [] if too_warm or stuck else list(_remedies(ground, plan, lift[plan.circuit.level]))
        if missing > 0.5:
            ways.append(Remedy(tr("a panel or another emitter that gives"), missing, "power"))
        unserved[plan.circuit.name] = Unserved(plan.circuit.name, why, missing, tuple(ways))
    return tuple(unserved.values())


def _remedies(ground: Ground, plan: LoopPlan, lift_pa: float) -> list[Remedy]:
    """What would serve a room, each tried alone, at full speed and with a pump for each loop."""
    circuit, load = plan.circuit, plan.design.load_w * plan.circuit.count

    def does(other: Circuit, speed: float = 1.0) -> bool:
        each = [load / other.count]
        return run_pump(ground, [other], each, (0,), speed, lift_pa).serves

    ways = []
    fastest = ground.layout.speed_shares[-1]
    if plan.fed.loops_per_pump > 1 and does(circuit, fastest):
        ways.append(Remedy(tr("one loop on each pump")))
    elif fastest < 1.0 and does(circuit):
        ways.append(Remedy(tr("a pump speed of"), 1.0, "share"))
    for more in range(1, 4):
        if does(replace(circuit, count=circuit.count + more), fastest):
            ways.append(Remedy(tr("{more} more loop{value}, each shorter", more=more, value="s" if more > 1 else "")))
            break
    for spacing in CLOSER_SPACINGS_M:
        other = replace(circuit, spacing_m=spacing)
        other = replace(other, count=other.fewest(ground.layout.longest_m))
        if spacing < circuit.spacing_m and does(other, fastest):
            ways.append(Remedy(tr("{count} loops at a spacing of", count=other.count), spacing, "small_length"))
            break
    if circuit.covering_m2k_w > 0 and does(replace(circuit, covering_m2k_w=0.0), fastest):
        low, high = 0.0, circuit.covering_m2k_w
        for _ in range(20):
            middle = (low + high) / 2
            low, high = (middle, high) if does(replace(circuit, covering_m2k_w=middle), fastest) else (low, middle)
        ways.append(Remedy(tr("a covering of no more than"), low, "r_value"))
    return ways


def _fluid_plan(case: Case, plan: Layout, freeze_c: float, coldest_c: float) -> FluidPlan:
    """Content of every part, and what antifreeze it takes."""
    filled, filled_share = antifreeze_of(case)
    wanted = coldest_c - plan.freeze_margin_k
    fluid = filled if filled != "none" else "propylene_glycol"
    steps = (percent / 100.0 for percent in range(round(HIGHEST_VOLUME_SHARE * 100) + 1))
    needed = next((share for share in steps if _freezes_c(fluid, share) <= wanted), None)
    return FluidPlan(
        contents_m3(case),
        filled,
        filled_share,
        freeze_c,
        needed,
        wanted,
    )


def _freezes_c(fluid: str, share: float) -> float:
    mass = mass_fraction_from_volume(fluid=fluid, volume_fraction=share)
    return freeze_point_c(fluid=fluid, mass_fraction=mass) if share > 0 else 0.0


def _tappings(plan: Layout, pumps: Sequence[PumpPlan]) -> int:
    """Connections of the floor at the tank: two for a level on mains, else two for each pump."""
    on_mains = {level.name for level in plan.level if level.mains_m > 0}
    return 2 * len(on_mains) + 2 * sum(1 for pump in pumps if pump.level not in on_mains)


def _floors(floor: Floor, plan: Layout, circuits: Sequence[Circuit]) -> tuple[LevelFloor, ...]:
    """What the tubes of each level lie in, and how far apart."""
    floors = []
    for level in plan.level:
        here = [circuit for circuit in circuits if circuit.level == level.name]
        below = floor.insulation_m2k_w if level.insulation_m2k_w is None else level.insulation_m2k_w
        spacings = tuple(sorted({circuit.spacing_m for circuit in here}))
        coverings = tuple(sorted({circuit.covering_m2k_w for circuit in here}))
        floors.append(LevelFloor(level.name, level.build_up or floor.build_up, below, spacings, coverings))
    return tuple(floors)


def _notes(
    case: Case, plan: Layout, circuits: Sequence[Circuit], loads_w: Sequence[float], design_w: float
) -> tuple[str, ...]:
    notes = []
    total, area = math.fsum(loads_w), math.fsum(circuit.area_m2 for circuit in circuits)
    if abs(total - design_w) > 0.1 * design_w:
        notes.append(
            tr(
                "the rooms' heat losses add up to {total} of the design heat loss; find out which is right",
                total=f"{total / design_w:.0%}",
            )
        )
    if area > 1.001 * case.house.floor_area_m2:
        notes.append(
            tr(
                "the layout covers {area} of the heated floor area; check both",
                area=f"{area / case.house.floor_area_m2:.0%}",
            )
        )
    for level in dict.fromkeys(circuit.level for circuit in circuits):
        spread = spread_share([circuit.length_m for circuit in circuits if circuit.level == level])
        if spread > BALANCE_SHARE + 1e-9:
            notes.append(
                tr(
                    "{level}: loops differ in length by {spread} %; those of one pump by no more than a tenth,"
                    " and a common manifold needs balancing valves",
                    level=level,
                    spread=f"{spread * 100:.0f}",
                )
            )
    for typed in plan.level:
        here = [circuit for circuit in circuits if circuit.level == typed.name]
        longest, laid = max(circuit.length_m for circuit in here), sum(circuit.count for circuit in here)
        if typed.loops is not None and longest > plan.longest_m + 0.05:
            notes.append(
                tr(
                    "{level}: the longest of the {count} loops is {length}, more than the {limit} allowed; {more} loops keep to it",
                    level=typed.name,
                    count=laid,
                    length=show_both(longest, "length", 0),
                    limit=show_both(plan.longest_m, "length", 0),
                    more=sum(circuit.fewest(plan.longest_m) for circuit in here),
                )
            )
        if typed.loops is not None and laid > typed.loops:
            notes.append(
                tr("{level}: {laid} loops, one for each room, are more than the {count} entered", level=typed.name, laid=laid,
                   count=typed.loops)
            )  # fmt: skip
    joined = [circuit.name for circuit in circuits if len(circuit.rooms) > 1]
    if joined:
        notes.append(tr("small rooms share loops: {joined}", joined="; ".join(joined)))
    if case.floor is not None and not case.floor.pump_typed:
        notes.append(tr("the pump is a curve of common size, no maker's: enter the curve of the pump you will use"))
    return tuple(notes)


__all__ = ["LayoutResult", "LoopPlan", "Unserved", "as_json", "layout"]
