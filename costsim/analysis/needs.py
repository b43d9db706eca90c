"""What a case asks of the parts of its circuit: temperatures, content, swelling, and the heat that relief must carry."""

from __future__ import annotations

import math

from costsim.engine.lower import LoweredStudy
from costsim.physics.fluids import FluidProperties, boiling_c, fluid_properties, mass_fraction_from_volume
from costsim.physics.hydraulics import TUBES
from costsim.study.case import Case
from costsim.study.ratings import Needs, Ratings, vessel_volume_m3

FILL_C = 10.0
"""Temperature of the water that the circuit is filled with; common practice, no source."""


def mixture(case: Case, temperature_c: float) -> FluidProperties:
    """What circulates, at a temperature."""
    name, share = (case.floor.antifreeze, case.floor.concentration_share) if case.floor else ("none", 0.0)
    if name == "none":
        return fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=temperature_c)
    mass = mass_fraction_from_volume(fluid=name, volume_fraction=share)
    return fluid_properties(fluid=name, mass_fraction=mass, temperature_c=temperature_c)


def tube_content_m3(case: Case) -> float:
    """What the tubes of the floor hold [m³]."""
    groups = case.floor.loops if case.floor else ()
    return math.fsum(group.count * group.length_m * TUBES[group.tube].area_m2 for group in groups)


def needs_of(common: LoweredStudy) -> Needs:
    """What the case asks of its parts."""
    case, water = common.case, common.water
    cold, hot = mixture(case, FILL_C).density_kg_m3, mixture(case, water.hottest_c).density_kg_m3
    return Needs(
        max_temperature_c=water.hottest_c,
        coldest_c=float(common.weather.outdoor_c.min()),
        freeze_c=water.freeze_c,
        antifreeze=case.floor is not None and case.floor.antifreeze != "none",
        floor=case.floor is not None,
        tank=case.tank is not None,
        source_w=max(sum(source.nameplate_w() for source in option.sources) for option in case.options),
        content_m3=(case.tank.volume_m3 if case.tank else 0.0) + tube_content_m3(case),
        swell_share=cold / hot - 1.0,
        density_kg_m3=cold,
        open_circuit=case.tank is not None and case.tank.circuit == "open",
        pump_head_pa=case.floor.pump.head_values_pa[0] if case.floor and case.floor.pump else 0.0,
        boiling_c=boiling_c(altitude_m=common.surroundings.altitude_m),
    )


def needed_vessel_m3(common: LoweredStudy, ratings: Ratings) -> float | None:
    """Expansion vessel by content and pressures; None where the pressures are not known or leave it no room."""
    needs = needs_of(common)
    fill, relief = ratings.fill_pressure_pa, ratings.relief_pressure_pa
    if fill is None or relief is None or needs.content_m3 <= 0:
        return None
    return vessel_volume_m3(
        content_m3=needs.content_m3 + ratings.extra_water_volume_m3,
        swell_share=needs.swell_share,
        fill_pa=fill,
        relief_pa=relief,
    )
