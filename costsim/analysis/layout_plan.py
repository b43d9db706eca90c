"""What a layout is made of: loops with what they do, rooms not served, what to fill in, and all of it as plain data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from costsim.engine.laid_floor import LoopWater, valves_of
from costsim.engine.loop_pumps import Duty, Fed, PumpPlan
from costsim.physics.hydraulics import flow_regime
from costsim.study.loops import Circuit

SPARE_SHARE = 0.10
"""Antifreeze bought beyond the content, for filling and the first tests; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing that would let a room be served: what, and its value in SI of `dimension` (None where words say all)."""

    what: str
    value: float | None = None
    dimension: str = ""


@dataclass(frozen=True, slots=True)
class Unserved:
    """A room whose loops cannot give its load: why, watts missing of all its loops, and what would do."""

    circuit: str
    why: str
    missing_w: float
    remedies: tuple[Remedy, ...]


@dataclass(frozen=True, slots=True)
class LoopPlan:
    """Like loops on like pumps, with what each does at design and at half load.

    Parameters
    ----------
    circuit : Circuit
    fed : Fed
    design, half : Duty
        At the design load and half of it, the supply following the load.
    limit_c : float
        Warmest the surface may be [°C].
    output_w : float
        What the loop gives with the supply of the whole layout at design, the surface limit kept [W].
    most_c : float
        Hottest supply that leaves its surface within its limit [°C].
    alone_share, alone_flow_share : float
        Its output and its flow over what it would have alone on its pump, at the same supply and speed.
    """

    circuit: Circuit
    fed: Fed
    design: Duty
    half: Duty
    limit_c: float
    output_w: float
    most_c: float
    alone_share: float
    alone_flow_share: float

    @property
    def regime(self) -> str:
        """Laminar, turbulent, or between, where figures are uncertain."""
        return flow_regime(self.fed.reynolds)


def valve_c(loops: Sequence[LoopPlan]) -> float:
    """Water that a mixing valve of these loops is set for [°C]: what the neediest takes, no hotter than any surface bears."""
    return min(max(plan.design.supply_c for plan in loops), *(plan.most_c for plan in loops))


@dataclass(frozen=True, slots=True)
class FluidPlan:
    """What the system is filled with.

    Parameters
    ----------
    content_m3 : dict
        Volume of each part [m³].
    antifreeze : str
    share, freeze_c : float
        By volume as typed, and its freezing point [°C].
    needed_share, needed_freeze_c : float
        For the coldest hour less the margin; no share does where `needed_share` is None.
    """

    content_m3: dict[str, float]
    antifreeze: str
    share: float
    freeze_c: float
    needed_share: float | None
    needed_freeze_c: float

    @property
    def total_m3(self) -> float:
        """All of it [m³]."""
        return math.fsum(self.content_m3.values())

    @property
    def antifreeze_m3(self) -> float:
        """Antifreeze to buy, the spare counted [m³]."""
        return self.total_m3 * self.share * (1.0 + SPARE_SHARE)

    @property
    def water_m3(self) -> float:
        """Water to fill in [m³]."""
        return self.total_m3 * (1.0 - self.share)


@dataclass(frozen=True, slots=True)
class LevelFloor:
    """What the tubes of a level lie in: the build-up's key, insulation below, and the spacings and coverings there are."""

    level: str
    build_up: str
    insulation_m2k_w: float
    spacings_m: tuple[float, ...]
    coverings_m2k_w: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class LayoutResult:
    """The whole layout.

    `supply_c` is the water at design for the room that needs it hottest, `year_supply_c` that of the year's simulation: the same,
    unless loops are typed beside the layout. `beside` names the parts of the house that other emitters heat, and `tank_c` is the
    water at design that serves them too: what the floor takes, where there are none. `fires` names the boilers for wood or
    pellets, which run hotter than the floor.
    """

    title: str
    tube: str
    design_load_w: float
    indoor_temperature_c: float
    supply_c: float
    year_supply_c: float
    half_supply_c: float
    loops: tuple[LoopPlan, ...]
    pumps: tuple[PumpPlan, ...]
    unserved: tuple[Unserved, ...]
    fluid: FluidPlan
    tappings: int
    source_tappings: int
    lift_pa: dict[str, float]
    spread_share: dict[str, float]
    notes: tuple[str, ...]
    floors: tuple[LevelFloor, ...] = ()
    fires: tuple[str, ...] = ()
    tank_c: float = 0.0
    beside: tuple[str, ...] = ()

    @property
    def cooler(self) -> dict[str, tuple[LoopPlan, ...]]:
        """Loops that take a mixing valve of their own, by level where those of a whole level do, else by room.

        They need much cooler water than the neediest, or may not have its water by their surface.
        """
        loops = [
            LoopWater(plan.circuit.level, plan.circuit.name, plan.design.supply_c, plan.most_c) for plan in self.loops
        ]
        valves = valves_of(loops, self.supply_c)
        return {
            valve: tuple(plan for plan in self.loops if valves.get(plan.circuit.name) == valve)
            for valve in dict.fromkeys(valves.values())
        }

    @property
    def loop_count(self) -> int:
        """Number of loops."""
        return sum(plan.fed.count for plan in self.loops)

    @property
    def tube_m(self) -> float:
        """Tube to buy, leads included [m]."""
        return math.fsum(plan.fed.count * plan.circuit.length_m for plan in self.loops)

    @property
    def thermostats(self) -> tuple[str, ...]:
        """Thermostats by name; each is a zone."""
        return tuple(dict.fromkeys(plan.circuit.thermostat for plan in self.loops))


def as_json(layout: LayoutResult) -> dict[str, Any]:
    """The layout as plain data, in SI; keys end in their unit."""
    fields = asdict(layout)
    totals = {"loop_count": layout.loop_count, "tube_m": layout.tube_m, "thermostats": list(layout.thermostats)}
    fluid = {key: getattr(layout.fluid, key) for key in ("total_m3", "antifreeze_m3", "water_m3")}
    for plan, typed in zip(fields["loops"], layout.loops, strict=True):
        plan["circuit"]["name"] = typed.circuit.name
        plan["circuit"]["length_m"] = typed.circuit.length_m
        plan["regime"] = typed.regime
    return {**fields, **totals, "fluid": fields["fluid"] | fluid}
