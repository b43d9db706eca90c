"""A floor given by areas, with the pumps that its load asks for: what `costsim layout` prints and what the year runs on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from costsim.engine.loop_checks import LoopCheck
from costsim.engine.loop_pumps import (
    Fed,
    Ground,
    PumpPlan,
    duty,
    fed_loops,
    mains_drop_pa,
    most_w,
    pumps_of,
    surface_most_c,
)
from costsim.physics.fluids import FluidProperties
from costsim.study.case import Case
from costsim.study.heat_loss import loss_of
from costsim.study.layout import Layout
from costsim.study.loop_group import Loops
from costsim.study.loops import Circuit, circuits_of
from costsim.study.plant import COMMON_PUMP, Floor, Pump

SHORT_SHARE = 0.005
"""A room that lacks less of its load than this is not short; rounding."""


SAME_K = 0.5
"""Water temperatures that differ by no more than this are the same."""
OWN_VALVE_K = 15.0 / 1.8
"""Loops whose water differs by more than about 15 °F are not fed through one mixing valve; common practice, no source."""


def own_valve(needs_c: float, most_c: float, supply_c: float) -> bool:
    """Whether loops need much cooler water than the others, or may not have theirs by their surface.

    Examples
    --------
    >>> own_valve(36.0, 50.0, 45.0), own_valve(40.0, 50.0, 45.0), own_valve(40.0, 44.0, 45.0)
    (True, False, True)
    """
    return needs_c < supply_c - OWN_VALVE_K or most_c < supply_c - SAME_K


@dataclass(frozen=True, slots=True)
class LoopWater:
    """What decides on a valve: the level and circuit of a loop, the water it needs for its load, and the most its surface bears [°C]."""

    level: str
    name: str
    needs_c: float
    most_c: float


def useful_c(loops: Iterable[LoopWater]) -> float:
    """Hottest water of use [°C]: a loop takes no more than it needs, nor than its surface bears.

    Examples
    --------
    A bath that would need 60 °C and may have 50 is helped by 50 °C and no more, beside a hall that needs 40.

    >>> useful_c([LoopWater("Up", "Bath", 60.0, 50.0), LoopWater("Up", "Hall", 40.0, 70.0)])
    50.0
    """
    return max(min(loop.needs_c, loop.most_c) for loop in loops)


def valves_of(loops: Sequence[LoopWater], supply_c: float) -> dict[str, str]:
    """Name of the mixing valve of each circuit with one of its own at a supply: of the level where all of it does, else of the circuit.

    None has one where all would, for then the main valve is theirs.

    Examples
    --------
    >>> from dataclasses import replace
    >>> hall, bath, bed = (LoopWater(*one) for one in (("Down", "Hall", 36, 50), ("Down", "Bath", 40, 44), ("Up", "Bed", 45, 60)))
    >>> valves_of([hall, bath, bed], 45.0), valves_of([replace(hall, needs_c=40), bath, bed], 45.0)
    ({'Hall': 'Down', 'Bath': 'Down'}, {'Bath': 'Bath'})
    """
    own = {loop.name for loop in loops if own_valve(loop.needs_c, loop.most_c, supply_c)}
    if all(loop.name in own for loop in loops):
        return {}
    whole = {loop.level for loop in loops} - {loop.level for loop in loops if loop.name not in own}
    return {loop.name: loop.level if loop.level in whole else loop.name for loop in loops if loop.name in own}


@dataclass(frozen=True, slots=True)
class ShortRoom:
    """A room that gets less than it asks for [W], the water it needs [°C], and whether its surface is what holds it back."""

    name: str
    gives_w: float
    asked_w: float
    needs_c: float
    surface: bool


@dataclass(frozen=True, slots=True)
class LaidFloor:
    """Circuits of a layout, the load of one loop of each [W], the pumps, and what all flow of a level passes [Pa]."""

    ground: Ground
    circuits: tuple[Circuit, ...]
    each_w: tuple[float, ...]
    pumps: tuple[PumpPlan, ...]
    fed: tuple[Fed, ...]
    lift_pa: dict[str, float]

    def needs_c(self, fed: Fed) -> float:
        """Water that a loop needs for its load at design [°C]."""
        return duty(self.ground, self.circuits[fed.circuit], fed.flow_m3_s, self.each_w[fed.circuit]).supply_c

    @property
    def reset_c(self) -> float:
        """Where the line of the outdoor reset ends at design [°C]: where the room that needs it hottest has its load.

        A room whose surface does not bear that is served along the same line up to `supply_c`, and is short beyond.
        """
        return min(max(self.needs_c(fed) for fed in self.fed), self.ground.max_supply_c)

    @property
    def supply_c(self) -> float:
        """Water at design [°C]: the hottest that is of use to a room, or the hottest there may be where that is less."""
        return min(useful_c(self.waters()), self.ground.max_supply_c)

    def most_c(self, fed: Fed) -> float:
        """Hottest water that leaves a loop's surface within its limit [°C]."""
        return surface_most_c(self.ground, self.circuits[fed.circuit], fed.flow_m3_s, self.each_w[fed.circuit])

    @property
    def top_c(self) -> float:
        """Hottest water that is of any use to a loop [°C]: what its surface and the water's own limit allow."""
        return min(max(self.most_c(fed) for fed in self.fed), self.ground.max_supply_c)

    def waters(self) -> list[LoopWater]:
        """What the loops need and bear."""
        return [
            LoopWater(
                self.circuits[fed.circuit].level, self.circuits[fed.circuit].name, self.needs_c(fed), self.most_c(fed)
            )
            for fed in self.fed
        ]

    def valves(self) -> dict[str, str]:
        """Name of the valve of each circuit that takes one of its own, by the circuit's name."""
        return valves_of(self.waters(), self.supply_c)

    def gives_w(self, fed: Fed, supply_c: float) -> float:
        """What like loops give at a supply, no more than is asked of them [W]."""
        load = self.each_w[fed.circuit]
        return fed.count * min(load, most_w(self.ground, self.circuits[fed.circuit], fed.flow_m3_s, load, supply_c))

    @property
    def given_w(self) -> float:
        """What all loops give on a design day [W]; without bound where no room is short."""
        short = self.short_at(self.ground.max_supply_c)
        return math.fsum(self.gives_w(fed, self.ground.max_supply_c) for fed in self.fed) if short else math.inf

    def short_at(self, supply_c: float) -> tuple[ShortRoom, ...]:
        """Rooms that get too little with water at a supply."""
        short_rooms = []
        for at, circuit in enumerate(self.circuits):
            here = [fed for fed in self.fed if fed.circuit == at]
            asked = math.fsum(fed.count * self.each_w[at] for fed in here)
            given = math.fsum(self.gives_w(fed, supply_c) for fed in here)
            if given < (1.0 - SHORT_SHARE) * asked:
                needs = max(self.needs_c(fed) for fed in here)
                short_rooms.append(ShortRoom(circuit.name, given, asked, needs, needs <= supply_c + 1e-6))
        return tuple(short_rooms)


def lay_floor(
    case: Case, floor: Floor, plan: Layout, fluid: FluidProperties, *, load_w: float, top_c: float, altitude_m: float
) -> LaidFloor:
    """Lay loops and choose pumps.

    Parameters
    ----------
    case : Case
        For room temperature and the rooms' own heat losses.
    floor, plan, fluid
        The floor, its layout, and what circulates.
    load_w : float
        Design heat loss [W].
    top_c : float
        Hottest the water may be [°C].
    altitude_m : float
        Of the place [m], by which the rooms' air weighs.
    """
    pump = floor.pump if floor.pump_typed and floor.pump is not None else Pump(**COMMON_PUMP)
    hottest = min(top_c, plan.max_supply_c) if plan.max_supply_c is not None else top_c
    ground = Ground(floor, plan, pump, fluid, case.house.indoor_temperature_c, hottest)
    circuits = circuits_of(plan)
    loads = circuit_loads_w(case, circuits, load_w, altitude_m)
    each = tuple(load / circuit.count for load, circuit in zip(loads, circuits, strict=True))
    valves: dict[str, str] = {}
    for last in (False, False, True):  # loops that leave a pump change what the others flow, and so which take a valve
        pumps, lift = _all_pumps(ground, circuits, each, valves)
        laid = LaidFloor(ground, circuits, each, pumps, fed_loops(ground, pumps), lift)
        apart = laid.valves()
        if last or all(len({apart.get(circuits[i].name) for i in pump.loops}) == 1 for pump in pumps):
            break
        valves = {circuit.name: circuit.name for circuit in circuits} if valves else apart
    return laid


def typed_floor(
    case: Case, floor: Floor, checks: Sequence[LoopCheck], fluid: FluidProperties, *, load_w: float, top_c: float
) -> LaidFloor:
    """Loops that were typed with the share of the heat that each group carries, on their own flows.

    Parameters
    ----------
    case, floor, fluid
        As for `lay_floor`.
    checks : sequence of LoopCheck
        One for each group of loops.
    load_w : float
        Design heat loss of the floor [W].
    top_c : float
        Hottest the water may be [°C].
    """
    plan = floor.layout or Layout.model_construct(level=(), tube=floor.loops[0].tube, max_supply_c=None)
    hottest = min(top_c, plan.max_supply_c) if plan.max_supply_c is not None else top_c
    pump = floor.pump or Pump(**COMMON_PUMP)
    ground = Ground(floor, plan, pump, fluid, case.house.indoor_temperature_c, hottest)
    circuits = tuple(
        Circuit(
            level=group.name, rooms=(group.name,), thermostat=group.name, area_m2=group.count * group.area_m2, heat_loss_w=None,
            count=group.count, leads_m=group.leads_m, spacing_m=group.spacing_m, covering_m2k_w=group.covering_m2k_w, zone=group.zone,
            build_up=group.build_up, insulation_m2k_w=group.insulation_m2k_w, tube=group.tube,
        )
        for group in floor.loops
    )  # fmt: skip
    each = tuple((group.load_share or 0.0) * load_w / group.count for group in floor.loops)
    fed = tuple(
        Fed(
            at, check.count, group.loops_per_pump or pump.loops_per_pump, group.pump_speed_share or pump.speed_share,
            check.head_pa, check.flow_m3_s, check.reynolds, True,
        )
        for at, (group, check) in enumerate(zip(floor.loops, checks, strict=True))
    )  # fmt: skip
    return LaidFloor(ground, circuits, each, (), fed, {})


def circuit_loads_w(case: Case, circuits: Sequence[Circuit], design_w: float, altitude_m: float) -> list[float]:
    """Load of each circuit [W]: as typed; the rest by the house's rooms of the same names, or by area."""
    rest = max(design_w - math.fsum(circuit.heat_loss_w or 0.0 for circuit in circuits), 0.0)
    rooms = {room.name: loss_of(room.surface, room.infiltration, altitude_m) for room in case.house.room}
    known = all(name in rooms for circuit in circuits if circuit.heat_loss_w is None for name in circuit.rooms)
    weights = [
        math.fsum(rooms[name] for name in circuit.rooms) if known and rooms else circuit.area_m2 for circuit in circuits
    ]
    total = math.fsum(weight for weight, circuit in zip(weights, circuits, strict=True) if circuit.heat_loss_w is None)
    return [
        circuit.heat_loss_w if circuit.heat_loss_w is not None else rest * weight / total
        for weight, circuit in zip(weights, circuits, strict=True)
    ]


def with_pumps(laid: LaidFloor) -> Floor:
    """The floor with a group of loops for each kind of loop and pump, as a laid-out study holds them."""
    groups = []
    for fed in laid.fed:
        circuit = laid.circuits[fed.circuit]
        groups.append(
            Loops.model_construct(
                name=circuit.name,
                count=fed.count,
                length_m=circuit.length_m,
                tube=laid.ground.layout.tube,
                spacing_m=circuit.spacing_m,
                covering_m2k_w=circuit.covering_m2k_w,
                zone=circuit.zone,
                build_up=circuit.build_up,
                insulation_m2k_w=circuit.insulation_m2k_w,
                leads_m=circuit.leads_m,
                loops_per_pump=fed.loops_per_pump,
                pump_speed_share=fed.speed_share,
                lift_pa=laid.lift_pa[circuit.level],
            )
        )
    return laid.ground.floor.model_copy(update={"loops": tuple(groups)})


def _all_pumps(
    ground: Ground, circuits: Sequence[Circuit], each_w: Sequence[float], valves: Mapping[str, str]
) -> tuple[tuple[PumpPlan, ...], dict[str, float]]:
    """Pumps of every thermostat, apart for loops behind a valve of their own, and what flow passes beside the loops on each level [Pa]."""
    pumps: list[PumpPlan] = []
    lift: dict[str, float] = {}
    for level in ground.layout.level:
        here = [i for i, circuit in enumerate(circuits) if circuit.level == level.name]
        load = math.fsum(each_w[i] * circuits[i].count for i in here)
        lift[level.name] = ground.pump.lift_pa + mains_drop_pa(ground, level.mains_m, load)
        each = [(circuits[i].thermostat, valves.get(circuits[i].name)) for i in here]
        for shared in dict.fromkeys(each):
            members = [i for i, pair in zip(here, each, strict=True) if pair == shared]
            pumps += pumps_of(ground, circuits, each_w, members, lift[level.name])
    return tuple(pumps), lift
