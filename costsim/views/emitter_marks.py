"""What a schematic shows of a house whose parts have emitters of different kinds: a circuit each, and mixing valves before its floors."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from costsim.analysis.layout_plan import valve_c
from costsim.engine.emitter_circuits import EmitterCircuit
from costsim.engine.lower import LoweredStudy
from costsim.physics.emitters import EMITTERS
from costsim.physics.fluids import mixed
from costsim.study.fluid import antifreeze_of
from costsim.units.quantity import show
from costsim.views.schematic import ValveMark, ZoneMark
from costsim.words import tr

if TYPE_CHECKING:
    from costsim.analysis.layout_plan import LayoutResult, LoopPlan
    from costsim.results.result import Result

TRIP_MARGIN_K = 3.0
"""How far above the design supply a high limit is set at least, about 5 °F; common practice, no source."""


def label_of(circuit: EmitterCircuit) -> str:
    """A circuit's name on a drawing, with its emitter where the name does not say it.

    Examples
    --------
    >>> label_of(EmitterCircuit("Upstairs", 0.5, "baseboard", 75.0, 75.0, 10.0))
    'Upstairs: baseboard'
    >>> label_of(EmitterCircuit("Baseboard", 0.5, "baseboard", 75.0, 75.0, 10.0))
    'Baseboard'
    """
    kind = tr(EMITTERS[circuit.emitter].short) if circuit.emitter else tr("floor")
    name = tr(circuit.name)
    return name if kind.casefold() in name.casefold() else tr("{name}: {emitter}", name=name, emitter=kind)


def emitters_sentence(result: Result, system: str) -> str:
    """How the heat reaches the parts of the house, and what water that takes; empty where the whole house has one kind of emitter."""
    circuits = result.lowered.water.circuits
    if not circuits:
        return ""
    parts = "; ".join(
        tr(
            "{name} ({share} of the heat loss) takes {water} water at design",
            name=label_of(circuit),
            share=f"{circuit.load_share:.0%}",
            water=show(float(circuit.supply_c), "temperature", system, 0),
        )
        for circuit in circuits
    )
    hottest = show(float(circuits[0].tank_c), "temperature", system, 0)
    text = tr("{parts}: all heat is made for {hottest}, the hottest of them.", parts=parts, hottest=hottest)
    if any(circuit.valved for circuit in circuits):
        text += " " + tr("A mixing valve keeps the floor cooler, no warmer than its surface may be.")
    return text


def emitter_zones(common: LoweredStudy) -> tuple[ZoneMark, ...]:
    """A circuit for each part whose emitters are known by their kind alone.

    Notes
    -----
    Flow by load and drop: `P / (ρ c ΔT)`; of a floor that is not described it is left out.
    """
    fluid = mixed(*antifreeze_of(common.case), 60.0)
    marks = []
    for circuit in common.water.circuits:
        if circuit.emitter is None:
            continue
        load, floor = float(circuit.load_share * common.route.load_w), EMITTERS[circuit.emitter].floor
        flow = 0.0 if floor else load / (fluid.density_kg_m3 * fluid.heat_capacity_j_kgk * circuit.drop_k)
        water = float(circuit.supply_c if circuit.valved else circuit.tank_c)
        marks.append(
            ZoneMark(
                label_of(circuit),
                0,
                1,
                "",
                flow,
                0.0,
                water,
                circuit.valved,
                floor,
                load_w=load,
                drop_k=float(circuit.drop_k),
            )
        )
    return tuple(marks)


def high_limit_c(water_c: float, *, surface_c: float, allowed_c: float) -> float:
    """Where a high limit is set [°C]: at the water that takes the floor's surface to its own limit.

    At least so far above the design supply that the coldest night does not trip it, and never above what tube and floor are allowed.

    Examples
    --------
    >>> high_limit_c(42.0, surface_c=50.0, allowed_c=60.0), high_limit_c(48.0, surface_c=48.0, allowed_c=60.0)
    (50.0, 51.0)
    >>> high_limit_c(48.0, surface_c=48.0, allowed_c=49.0)
    49.0
    """
    return min(allowed_c, max(surface_c, min(water_c, surface_c) + TRIP_MARGIN_K))


def beside_emitters(
    common: LoweredStudy, layout: LayoutResult | None, tube_c: float
) -> tuple[float | None, tuple[ValveMark, ...]]:
    """Where the high limit behind the main valve is set, and the floors that take a mixing valve of their own.

    Parameters
    ----------
    common : LoweredStudy
        As the option sees it.
    layout : LayoutResult or None
    tube_c : float
        Hottest water that the tubes may have [°C].
    """
    valves: list[ValveMark] = []
    for circuit in common.water.circuits:
        if not circuit.valved:
            continue
        if circuit.emitter is not None:
            kind = tr(EMITTERS[circuit.emitter].short)
            valves.append(ValveMark(kind[:1].upper() + kind[1:], float(circuit.supply_c), None))
        elif layout is not None:
            valves += _of_layout(layout, tube_c)
        else:
            valves += _of_loops(common, float(circuit.supply_c), tube_c)
    return None, tuple(valves)


def _of_layout(layout: LayoutResult, tube_c: float) -> list[ValveMark]:
    """Each level, and each room that needs cooler water than the rest of its level."""
    groups = dict(layout.cooler)
    apart = {plan.circuit.name for loops in groups.values() for plan in loops}
    for plan in layout.loops:
        if plan.circuit.name not in apart:
            groups[plan.circuit.level] = (*groups.get(plan.circuit.level, ()), plan)
    return [mark_of(name, loops, tube_c) for name, loops in groups.items()]


def mark_of(name: str, loops: Sequence[LoopPlan], tube_c: float) -> ValveMark:
    """The valve of its own that laid-out loops share, with the high limit behind it."""
    water_c = min(valve_c(loops), tube_c)
    return ValveMark(
        name, water_c, high_limit_c(water_c, surface_c=min(plan.most_c for plan in loops), allowed_c=tube_c)
    )


def _of_loops(common: LoweredStudy, supply_c: float, tube_c: float) -> list[ValveMark]:
    """Each group of loops, no hotter than its surface may get."""
    indoor, floor, valves = common.case.house.indoor_temperature_c, common.water.floor, []
    for at, (group, check) in enumerate(zip(floor.loops if floor else (), common.water.loops, strict=True), 1):
        most = indoor + float(check.surface_limit_w) / (check.count * float(check.heat_w_k))
        water_c = min(supply_c, most, tube_c)
        limit_c = high_limit_c(water_c, surface_c=most, allowed_c=tube_c)
        valves.append(ValveMark(group.name or tr("Loops, group {at}", at=at), water_c, limit_c))
    return valves
