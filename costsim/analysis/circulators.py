"""What circulators must do: those of floors, of baseboards and radiators, and of the sources."""

from __future__ import annotations

import math
from dataclasses import dataclass

from costsim.analysis.layout import layout
from costsim.engine.emitter_circuits import USUAL_DROP_K
from costsim.engine.lower import LoweredStudy
from costsim.physics.emitters import EMITTERS
from costsim.physics.fluids import FluidProperties, mixed
from costsim.physics.hydraulics import PIPES, pressure_drop_pa
from costsim.results.fires import burns_on
from costsim.study.case import Case, Option
from costsim.study.fluid import antifreeze_of
from costsim.study.selection import Selection
from costsim.weather import Weather
from costsim.words import tr

WARM_C = 60.0
"""Water in emitters and sources whose flow is told by what it carries."""
LIFT_DROP_K = 5.0
"""How much a heat pump's water cools on its round, 9 °F; common practice, no source."""


@dataclass(frozen=True, slots=True)
class PumpDuty:
    """Like pumps: how many, and flow and head of each; None where it is not known.

    `drop_k` is what the water is taken to cool by where the flow is told by the heat it carries [K], `load_share` the share of the
    design load that emitters have behind it; None for floors and sources.
    """

    name: str
    count: float
    flow_m3_s: float | None
    head_pa: float | None
    drop_k: float | None = None
    load_share: float | None = None


def room_pumps(case: Case, weather: Weather, common: LoweredStudy) -> tuple[PumpDuty, ...]:
    """Duty of the pumps of floor and emitters: of the layout, else of the loops as typed; of emitters by their load and run."""
    return (*_floor_pumps(case, weather, common), *_emitter_pumps(common))


def source_pumps(case: Case, option: Option) -> tuple[PumpDuty, ...]:
    """Duty of the pump of each source of an option: flow as typed or by its heat, head by the drop of its circuit where that is typed.

    The flow of collectors and fires is as their sheets have it: that of the drop where it is typed, else not known.
    """
    duties = []
    for source in option.sources:
        drop_pa, stated = source.circuit_head_pa, source.circuit_head_flow_m3_s
        if source.collects_sun or burns_on([source]):
            duties.append(PumpDuty(source.label, 1, stated, drop_pa))
            continue
        typed = source.flow_through_m3_s()
        drop = LIFT_DROP_K if source.outdoors else USUAL_DROP_K
        flow = (
            typed if typed is not None else _flow_m3_s(source.nameplate_w(), drop, mixed(*antifreeze_of(case), WARM_C))
        )
        head = None if drop_pa is None else drop_at_pa(drop_pa, stated or flow, flow)
        duties.append(PumpDuty(source.label, 1, flow, head, None if typed is not None else drop))
    return tuple(duties)


def drop_at_pa(drop_pa: float, stated_m3_s: float, flow_m3_s: float) -> float:
    """Pressure drop of a circuit at another flow [Pa].

    Notes
    -----
    By the square of the flow: Darcy and Weisbach with the friction factor of turbulent flow as it is.

    Examples
    --------
    >>> drop_at_pa(20e3, 1e-3, 1.5e-3)
    45000.0
    """
    return drop_pa * (flow_m3_s / stated_m3_s) ** 2


def _flow_m3_s(watts: float, drop_k: float, fluid: FluidProperties) -> float:
    return watts / (fluid.density_kg_m3 * fluid.heat_capacity_j_kgk * drop_k)


def _emitter_pumps(common: LoweredStudy) -> list[PumpDuty]:
    """Circuits of emitters that are known by their kind, but for floors that are not described.

    Notes
    -----
    Flow by load and drop, ``P / (ρ c ΔT)``; head of all of it through the longest run, where that is typed.
    """
    case, load_w = common.case, float(common.route.load_w)
    if common.water.circuits:
        parts = [
            (
                tr("{name}, {emitter}", name=circuit.name, emitter=tr(EMITTERS[circuit.emitter].short)),
                circuit.emitter,
                circuit.load_share,
                float(circuit.drop_k),
            )
            for circuit in common.water.circuits
            if circuit.emitter is not None
        ]
    elif case.floor is None:
        parts = [(tr(EMITTERS[case.house.emitter].short), case.house.emitter, 1.0, USUAL_DROP_K)]
    else:
        return []
    fluid, selection = mixed(*antifreeze_of(case), WARM_C), case.selection or Selection()
    duties = []
    for name, kind, share, drop in parts:
        if EMITTERS[kind].floor:
            continue
        flow = _flow_m3_s(float(share) * load_w, drop, fluid)
        duties.append(PumpDuty(name, 1, flow, run_head_pa(selection, flow, fluid), drop, float(share)))
    return duties


def run_head_pa(selection: Selection, flow_m3_s: float, fluid: FluidProperties) -> float | None:
    """Head of a flow through the longest run of baseboards or radiators [Pa]; None where its length is not typed."""
    if selection.run_length_m is None:
        return None
    tube = PIPES[selection.run_pipe]
    return pressure_drop_pa(flow_m3_s=flow_m3_s, tube=tube, length_m=selection.run_length_m, fluid=fluid)


def _floor_pumps(case: Case, weather: Weather, common: LoweredStudy) -> tuple[PumpDuty, ...]:
    """Duty of the floor's pumps: of the layout, else of the loops as typed."""
    if case.floor is None:
        return ()
    if case.floor.layout is not None:
        counts: dict[tuple[str, float, float], int] = {}
        for pump in layout(case, weather).pumps:
            key = (pump.thermostat, round(pump.flow_m3_s, 9), round(pump.head_pa, 3))
            counts[key] = counts.get(key, 0) + 1
        return tuple(PumpDuty(name, count, flow, head) for (name, flow, head), count in counts.items())
    duties = []
    floor = common.water.floor or case.floor
    for group, check in zip(floor.loops, common.water.loops, strict=True):
        typed = case.floor.pump
        each = group.loops_per_pump or (min(typed.loops_per_pump, group.count) if typed else 1)
        duties.append(PumpDuty(check.name, math.ceil(group.count / each), check.flow_m3_s * each, check.head_pa))
    return tuple(duties)
