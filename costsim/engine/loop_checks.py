"""Each group of loops at design: how much flows through it, against which head, and how much heat it gives."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any

import numpy as np

from costsim.physics.floor import LoopHeat, loop_heat, supply_conductance_w_k, surface_limit_w_m2
from costsim.physics.fluids import FluidProperties, fluid_properties, freeze_point_c, mass_fraction_from_volume
from costsim.physics.hydraulics import (
    TUBES,
    PumpCurve,
    flow_regime,
    operating_point,
    pressure_drop_pa,
    pump_electric_w,
    reynolds_number,
)
from costsim.study.build_ups import covered_m2k_w
from costsim.study.loop_group import Loops
from costsim.study.plant import USUAL_PUMP_EFFICIENCY, Floor, Pump
from costsim.words import tr

WATER_C = 40.0
"""Temperature at which the water's properties are taken; common practice, no source."""

# the search for the operating point costs more than the year's simulation, and a sweep asks for it again and again
_operating_point = functools.lru_cache(maxsize=256)(operating_point)


@dataclass(frozen=True, slots=True)
class LoopCheck:
    """One group of loops at design, for the calculation sheet."""

    name: str
    count: int
    flow_m3_s: float
    reynolds: float
    head_pa: float
    heat_w_k: Any
    surface_limit_w: Any
    pump_w: float

    @property
    def regime(self) -> str:
        """Laminar, turbulent, or between, where figures are uncertain."""
        return flow_regime(self.reynolds)


@functools.lru_cache(maxsize=64)
def circulating(antifreeze: str, share: float) -> tuple[FluidProperties, float]:
    """Properties and freezing point of what circulates."""
    if antifreeze == "none":
        return fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=WATER_C), 0.0
    mass = mass_fraction_from_volume(fluid=antifreeze, volume_fraction=share)
    mixture = fluid_properties(fluid=antifreeze, mass_fraction=mass, temperature_c=WATER_C)
    return mixture, freeze_point_c(fluid=antifreeze, mass_fraction=mass)


def loops_at_design(
    floor: Floor, mixture: FluidProperties, design_load_w: Any, indoor_temperature_c: Any
) -> tuple[list[LoopCheck], list[LoopHeat]]:
    """Flow, head and heat of each group of loops."""
    flux = design_load_w / floor.area_m2
    checks, heats = [], []
    for number, group in enumerate(floor.loops, 1):
        tube, limit = TUBES[group.tube], surface_limit_w_m2(zone=group.zone, room_c=indoor_temperature_c)
        flow, head, pump_w = _flow(floor, group, mixture)
        build_up = floor.build_up_of(group)
        heat = loop_heat(
            flow_m3_s=flow,
            tube=tube,
            fluid=mixture,
            length_m=group.heated_length_m,
            spacing_m=group.spacing_m,
            build_up=build_up,
            covering_m2k_w=covered_m2k_w(build_up, group.covering_m2k_w),
            insulation_m2k_w=floor.insulation_of(group),
            design_flux_w_m2=np.minimum(flux, limit),
        )
        heats.append(heat)
        checks.append(
            LoopCheck(
                name=tr(
                    "{name}: {count} × {tube}",
                    name=group.name or tr("group {number}", number=number),
                    count=group.count,
                    tube=group.tube,
                ),
                count=group.count,
                flow_m3_s=flow,
                reynolds=reynolds_number(flow_m3_s=flow, tube=tube, fluid=mixture),
                head_pa=head,
                heat_w_k=supply_conductance_w_k(flow_m3_s=flow, fluid=mixture, conductance_w_k=heat.conductance_w_k),
                surface_limit_w=group.count * group.area_m2 * limit,
                pump_w=pump_w,
            )
        )
    return checks, heats


def _flow(floor: Floor, group: Loops, mixture: FluidProperties) -> tuple[float, float, float]:
    """Flow of one loop, its head, and the electricity of all pumps of the group."""
    tube, pump = TUBES[group.tube], floor.pump
    if pump is None:
        flow = float(group.flow_m3_s or 0.0)
        head = pressure_drop_pa(flow_m3_s=flow, tube=tube, length_m=group.length_m, fluid=mixture)
        return flow, head, pump_electric_w(flow_m3_s=flow * group.count, head_pa=head, efficiency=USUAL_PUMP_EFFICIENCY)
    each, lift = loops_on_pump(pump, group), pump.lift_pa if group.lift_pa is None else group.lift_pa
    if group.flow_m3_s is not None:
        flow = group.flow_m3_s
        head = lift + pressure_drop_pa(flow_m3_s=flow, tube=tube, length_m=group.length_m, fluid=mixture)
    else:
        point = _operating_point(
            curve=PumpCurve(pump.flow_values_m3_s, pump.head_values_pa),
            speed=group.pump_speed_share or pump.speed_share,
            tube=tube,
            lengths_m=(group.length_m,) * each,
            fluid=mixture,
            lift_pa=lift,
        )
        flow, head = point.flows_m3_s[0], point.head_pa
    power = pump_electric_w(flow_m3_s=flow * group.count, head_pa=head, efficiency=pump.efficiency_share)
    return flow, head, power if pump.electric_w is None else pump.electric_w * group.count / each


def loops_on_pump(pump: Pump, group: Loops) -> int:
    """Loops of a group that share one pump."""
    return group.loops_per_pump or min(pump.loops_per_pump, group.count)
