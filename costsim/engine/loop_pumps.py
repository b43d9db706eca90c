"""Pumps for loops: how many loops one pump feeds, at which speed, and what each loop then gives."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from costsim.physics.floor import loop_heat, supply_conductance_w_k, surface_excess_k, surface_limit_w_m2
from costsim.physics.fluids import FluidProperties
from costsim.physics.hydraulics import (
    TUBES,
    PumpCurve,
    operating_point,
    pressure_drop_pa,
    pump_electric_w,
    reynolds_number,
)
from costsim.study.build_ups import BUILD_UPS, covered_m2k_w
from costsim.study.layout import Layout
from costsim.study.loops import BALANCE_SHARE, Circuit
from costsim.study.plant import Floor, Pump


@dataclass(frozen=True, slots=True)
class Ground:
    """What all loops share: floor, layout, pump, fluid, room temperature and hottest supply [°C]."""

    floor: Floor
    layout: Layout
    pump: Pump
    fluid: FluidProperties
    indoor_temperature_c: float
    max_supply_c: float

    @property
    def curve(self) -> PumpCurve:
        """The pump's curve at full speed."""
        return PumpCurve(self.pump.flow_values_m3_s, self.pump.head_values_pa)

    @property
    def capacity_j_m3k(self) -> float:
        """Heat capacity of what circulates, per volume."""
        return self.fluid.density_kg_m3 * self.fluid.heat_capacity_j_kgk


@dataclass(frozen=True, slots=True)
class Duty:
    """One loop at one flow under one load.

    Parameters
    ----------
    load_w : float
        Heat asked of it [W].
    supply_c, drop_k, surface_c : float
        Supply that gives that heat, what the water cools by, and mean floor surface.
    """

    load_w: float
    supply_c: float
    drop_k: float
    surface_c: float


@dataclass(frozen=True, slots=True)
class Fed:
    """Like loops of a circuit on like pumps.

    Parameters
    ----------
    circuit : int
        Which circuit, from 0.
    count, loops_per_pump : int
        Loops of this kind, and loops on each of their pumps, those of other rooms counted.
    speed_share, head_pa, flow_m3_s, reynolds : float
        Speed of the pump, head of pump or loop, and one loop's flow.
    serves : bool
        Whether load, hottest supply and temperature drop go together.
    """

    circuit: int
    count: int
    loops_per_pump: int
    speed_share: float
    head_pa: float
    flow_m3_s: float
    reynolds: float
    serves: bool


@dataclass(frozen=True, slots=True)
class PumpPlan:
    """One pump: its thermostat, the circuit of each of its loops, speed, flow, head and electricity."""

    level: str
    thermostat: str
    loops: tuple[int, ...]
    speed_share: float
    flow_m3_s: float
    head_pa: float
    electric_w: float
    flows_m3_s: tuple[float, ...]
    serves: bool


# a remedy asks for the same loop at the same flow again and again
@functools.lru_cache(maxsize=1024)
def _conductance(
    flow_m3_s: float, fluid: FluidProperties, tube: str, heated_m: float, spacing_m: float, build_up: str,
    covering_m2k_w: float, insulation_m2k_w: float, flux_w_m2: float,
) -> float:  # fmt: skip
    heat = loop_heat(
        flow_m3_s=flow_m3_s,
        tube=TUBES[tube],
        fluid=fluid,
        length_m=heated_m,
        spacing_m=spacing_m,
        build_up=BUILD_UPS[build_up],
        covering_m2k_w=covered_m2k_w(BUILD_UPS[build_up], covering_m2k_w),
        insulation_m2k_w=insulation_m2k_w,
        design_flux_w_m2=flux_w_m2,
    )
    return float(supply_conductance_w_k(flow_m3_s=flow_m3_s, fluid=fluid, conductance_w_k=heat.conductance_w_k))


def conductance_w_k(ground: Ground, circuit: Circuit, flow_m3_s: float, load_w: float) -> float:
    """Heat of one loop for each kelvin its supply is over the room [W/K], as the year's simulation has it."""
    area = circuit.area_m2 / circuit.count
    limit = surface_limit_w_m2(zone=circuit.zone, room_c=ground.indoor_temperature_c)
    below = circuit.insulation_m2k_w
    insulation = ground.floor.insulation_m2k_w if below is None else below
    return _conductance(
        flow_m3_s, ground.fluid, circuit.tube or ground.layout.tube, circuit.length_m - circuit.leads_m, circuit.spacing_m,
        circuit.build_up or ground.floor.build_up, circuit.covering_m2k_w, insulation, min(load_w / area, limit),
    )  # fmt: skip


def duty(ground: Ground, circuit: Circuit, flow_m3_s: float, load_w: float) -> Duty:
    """What one loop needs in order to give a heat.

    Notes
    -----
    ``supply = room + load / (ε ṁ c)``, ``drop = load / (ṁ c)``; surface by the basic curve of EN 1264-2.
    """
    area = circuit.area_m2 / circuit.count
    per_k = conductance_w_k(ground, circuit, flow_m3_s, load_w)
    return Duty(
        load_w,
        ground.indoor_temperature_c + load_w / per_k,
        load_w / (flow_m3_s * ground.capacity_j_m3k),
        ground.indoor_temperature_c + float(surface_excess_k(flux_w_m2=load_w / area)),
    )


def most_w(ground: Ground, circuit: Circuit, flow_m3_s: float, load_w: float, supply_c: float) -> float:
    """Most that one loop gives with a supply, its surface limit kept [W]; `load_w` is what it is laid for."""
    limit = surface_limit_w_m2(zone=circuit.zone, room_c=ground.indoor_temperature_c) * circuit.area_m2 / circuit.count
    per_k = conductance_w_k(ground, circuit, flow_m3_s, load_w)
    return float(min(per_k * (supply_c - ground.indoor_temperature_c), limit))


def surface_most_c(ground: Ground, circuit: Circuit, flow_m3_s: float, load_w: float) -> float:
    """Hottest supply that leaves a loop's surface within its limit [°C]; `load_w` is what it is laid for."""
    limit = surface_limit_w_m2(zone=circuit.zone, room_c=ground.indoor_temperature_c) * circuit.area_m2 / circuit.count
    return ground.indoor_temperature_c + float(limit) / conductance_w_k(ground, circuit, flow_m3_s, load_w)


def serves(ground: Ground, circuit: Circuit, flow_m3_s: float, load_w: float) -> bool:
    """Whether a flow carries the load at the hottest supply, within the largest drop."""
    if flow_m3_s <= 0.0:
        return False
    pump_duty = duty(ground, circuit, flow_m3_s, load_w)
    return (
        pump_duty.supply_c <= ground.max_supply_c + 1e-6 and pump_duty.drop_k <= ground.layout.temperature_drop_k + 1e-6
    )


def mains_drop_pa(ground: Ground, mains_m: float, load_w: float) -> float:
    """Pressure drop of a level's mains, there and back, at the flow that its load and the largest drop ask for."""
    flow = load_w / (ground.capacity_j_m3k * ground.layout.temperature_drop_k)
    tube = TUBES[ground.layout.mains_tube]
    return pressure_drop_pa(flow_m3_s=flow, tube=tube, length_m=2.0 * mains_m, fluid=ground.fluid)


def pumps_of(
    ground: Ground, circuits: Sequence[Circuit], loads_w: Sequence[float], members: Sequence[int], lift_pa: float
) -> tuple[PumpPlan, ...]:
    """Choose the pumps of one thermostat on one level.

    Parameters
    ----------
    ground : Ground
    circuits, loads_w : sequence
        All circuits, and the load of one loop of each [W].
    members : sequence of int
        The circuits of this thermostat.
    lift_pa : float
        Resistance that all flow of a pump passes beside its loops [Pa].

    Returns
    -------
    tuple of PumpPlan
        As few pumps as carry the load, each at the lowest speed that does; loops on one pump differ in length by a tenth
        at most. Where no choice serves every loop, the fewest pumps that serve as many as one each at full speed.
    """
    plans = [
        _with(ground, circuits, loads_w, members, most, lift_pa)
        for most in range(ground.layout.max_loops_per_pump, 0, -1)
    ]
    best = max(sum(len(pump.loops) for pump in plan if pump.serves) for plan in plans)
    return next(plan for plan in plans if sum(len(pump.loops) for pump in plan if pump.serves) == best)


def _with(
    ground: Ground, circuits: Sequence[Circuit], loads_w: Sequence[float], members: Sequence[int], most: int,
    lift_pa: float,
) -> tuple[PumpPlan, ...]:  # fmt: skip
    """Pumps of up to so many loops."""
    loops = sorted((i for i in members for _ in range(circuits[i].count)), key=lambda i: -circuits[i].length_m)
    chunks: list[list[int]] = []
    for loop in loops:
        near = chunks and circuits[loop].length_m >= (1.0 - BALANCE_SHARE) * circuits[chunks[-1][0]].length_m
        if near and len(chunks[-1]) < most:
            chunks[-1].append(loop)
        else:
            chunks.append([loop])
    known: dict[tuple[int, ...], PumpPlan] = {}
    for chunk in chunks:
        if tuple(chunk) not in known:
            known[tuple(chunk)] = _pump(ground, circuits, loads_w, tuple(chunk), lift_pa)
    return tuple(known[tuple(chunk)] for chunk in chunks)


def _pump(
    ground: Ground, circuits: Sequence[Circuit], loads_w: Sequence[float], loops: tuple[int, ...], lift_pa: float
) -> PumpPlan:
    """One pump at the lowest speed that serves all its loops; at full speed where none does."""
    plan = None
    for speed in ground.layout.speed_shares:
        plan = run_pump(ground, circuits, loads_w, loops, speed, lift_pa)
        if plan.serves:
            return plan
    assert plan is not None
    return plan


@functools.lru_cache(maxsize=512)
def _point(
    curve: PumpCurve, speed: float, tube: str, lengths_m: tuple[float, ...], fluid: FluidProperties, lift_pa: float
) -> tuple[tuple[float, ...], float]:
    point = operating_point(
        curve=curve, speed=speed, tube=TUBES[tube], lengths_m=lengths_m, fluid=fluid, lift_pa=lift_pa
    )
    return point.flows_m3_s, point.head_pa


def run_pump(
    ground: Ground, circuits: Sequence[Circuit], loads_w: Sequence[float], loops: tuple[int, ...], speed: float,
    lift_pa: float,
) -> PumpPlan:  # fmt: skip
    """One pump with its loops at one speed."""
    lengths = tuple(circuits[i].length_m for i in loops)
    flows, head = _point(ground.curve, speed, ground.layout.tube, lengths, ground.fluid, lift_pa)
    pump = ground.pump
    power = pump_electric_w(flow_m3_s=math.fsum(flows), head_pa=head, efficiency=pump.efficiency_share)
    fine = all(serves(ground, circuits[i], flow, loads_w[i]) for i, flow in zip(loops, flows, strict=True))
    return PumpPlan(
        circuits[loops[0]].level,
        circuits[loops[0]].thermostat,
        loops,
        speed,
        math.fsum(flows),
        head,
        pump.electric_w if pump.electric_w is not None else power,
        flows,
        fine,
    )


def fed_loops(ground: Ground, pumps: Sequence[PumpPlan]) -> tuple[Fed, ...]:
    """Like loops on like pumps, counted."""
    counts: dict[tuple[int, int, float], int] = {}
    flows: dict[tuple[int, int, float], tuple[float, float, bool]] = {}
    for pump in pumps:
        for i, flow in zip(pump.loops, pump.flows_m3_s, strict=True):
            key = (i, len(pump.loops), pump.speed_share)
            counts[key] = counts.get(key, 0) + 1
            flows[key] = min(flows.get(key, (flow, pump.head_pa, pump.serves)), (flow, pump.head_pa, pump.serves))
    tube = TUBES[ground.layout.tube]
    return tuple(
        Fed(
            i,
            counts[i, each, speed],
            each,
            speed,
            flows[i, each, speed][1],
            flows[i, each, speed][0],
            reynolds_number(flow_m3_s=flows[i, each, speed][0], tube=tube, fluid=ground.fluid),
            flows[i, each, speed][2],
        )
        for i, each, speed in sorted(counts)
    )
