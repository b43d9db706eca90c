"""The floor against the standard's table, arithmetic, and what an expert expects of one loop."""

from __future__ import annotations

import pytest

from costsim.physics.floor import (
    BUILD_UPS,
    effectiveness,
    loop_heat,
    slab_resistance_mk_w,
    supply_conductance_w_k,
    surface_excess_k,
    surface_flux_w_m2,
    surface_limit_w_m2,
)  # fmt: skip
from costsim.physics.fluids import fluid_properties
from costsim.physics.hydraulics import TUBES, PumpCurve, operating_point
from costsim.units import FOOT_M, GALLON_M3

GPM, LOOP_M, FOOT_PA = GALLON_M3 / 60, 300 * FOOT_M, 2989.067
HALF = TUBES["1/2 in PEX"]


def loop(flow_m3_s: float, fluid: str = "water", fraction: float = 0.0, **changed) -> float:
    """Heat of one 300 ft loop for each kelvin of supply over the room [W/K]."""
    mixture = fluid_properties(fluid=fluid, mass_fraction=fraction, temperature_c=40.0)
    settings = {
        "length_m": LOOP_M, "spacing_m": 0.3048, "build_up": BUILD_UPS["concrete_100"], "covering_m2k_w": 0.0, "insulation_m2k_w": 1.8,
        "design_flux_w_m2": 60.0, **changed,
    }  # fmt: skip
    found = loop_heat(flow_m3_s=flow_m3_s, tube=HALF, fluid=mixture, **settings)
    return supply_conductance_w_k(flow_m3_s=flow_m3_s, fluid=mixture, conductance_w_k=found.conductance_w_k)


def test_the_standards_table_all_eight_rows(published) -> None:
    rows = published("floor")
    found = [key for key in rows if key.startswith("en1264_dt")]
    assert len(found) == 8
    for key in found:
        flux = float(surface_flux_w_m2(excess_k=float(key.removeprefix("en1264_dt"))))
        rows[key].check(flux)
        assert round(flux, 1) == rows[key].value
        assert float(surface_excess_k(flux_w_m2=flux)) == pytest.approx(float(key[-1]))


def test_limits_and_the_example(published) -> None:
    rows = published("floor")
    rows["floor_example"].check(100 * float(surface_flux_w_m2(excess_k=3.0)))
    rows["limit_occupied"].check(surface_limit_w_m2(zone="occupied"))
    rows["limit_perimeter"].check(surface_limit_w_m2(zone="perimeter"))


def test_heat_capacities_come_from_thickness_and_material(published) -> None:
    rows, slab = published("floor"), BUILD_UPS["concrete_100"]
    rows["concrete_100"].check(slab.heat_capacity_j_m2k / 3600)
    rows["slab_hours"].check(slab.heat_capacity_j_m2k / 10.8 / 3600)
    assert BUILD_UPS["concrete_150"].heat_capacity_j_m2k == pytest.approx(1.5 * slab.heat_capacity_j_m2k)


def test_the_slab_resistance_in_closed_cases() -> None:
    # far-apart tubes do not see each other: the row becomes the single buried cylinder, ln(4 z / d) / (2 π λ)
    import math

    alone = slab_resistance_mk_w(spacing_m=50.0, cover_m=0.05, outside_diameter_m=0.016, conductivity_w_mk=1.7)
    assert alone == pytest.approx(math.log(4 * 0.058 / 0.016) / (2 * math.pi * 1.7), rel=1e-3)
    # a dense row is a plate: its resistance grows like depth over (λ s)
    deep, deeper = (
        slab_resistance_mk_w(spacing_m=0.05, cover_m=c, outside_diameter_m=0.016, conductivity_w_mk=1.7)
        for c in (0.10, 0.15)
    )
    assert deeper - deep == pytest.approx(0.05 / (1.7 * 0.05), rel=1e-4)


def test_one_loop_gives_what_an_expert_expects() -> None:
    # 300 ft of half-inch tube at 12 in spacing, 0.6 gpm, supply 110 °F into a 70 °F room: 1.5 to 2.5 kW, common practice, no source
    heat = loop(0.6 * GPM) * (110 - 70) / 1.8
    assert 1500 < heat < 2500
    assert heat <= 0.6 * GPM * 992 * 4179 * (110 - 70) / 1.8


def test_half_antifreeze_takes_heat_and_a_speed_step_gives_some_back(published) -> None:
    # whole-floor derates computed for the project at equal mean water temperature: 50 % propylene glycol 0.75 to 0.81
    pump = PumpCurve((0.0, 2.0 * GPM, 4.0 * GPM), (9 * FOOT_PA, 7 * FOOT_PA, 3 * FOOT_PA))
    heats = {}
    for name, fraction, speed in (("water", 0.0, 0.7), ("half", 0.5, 0.7), ("faster", 0.5, 1.0)):
        mixture = fluid_properties(fluid="propylene_glycol", mass_fraction=fraction, temperature_c=40.0)
        point = operating_point(curve=pump, speed=speed, tube=HALF, lengths_m=[LOOP_M], fluid=mixture)
        heats[name] = loop(point.flows_m3_s[0], "propylene_glycol", fraction)
    assert 0.65 < heats["half"] / heats["water"] < 0.92
    assert heats["half"] < heats["faster"] < heats["water"]


def test_at_equal_mean_temperature_glycol_acts_through_the_film() -> None:
    def conductance(fraction: float, covering: float) -> float:
        mixture = fluid_properties(fluid="propylene_glycol", mass_fraction=fraction, temperature_c=40.0)
        return loop_heat(
            flow_m3_s=0.6 * GPM, tube=HALF, fluid=mixture, length_m=LOOP_M, spacing_m=0.3048, build_up=BUILD_UPS["concrete_100"],
            covering_m2k_w=covering, insulation_m2k_w=1.8, design_flux_w_m2=50.0,
        ).conductance_w_k  # fmt: skip

    bare = [conductance(f, 0.0) / conductance(0.0, 0.0) for f in (0.2, 0.3, 0.4, 0.5)]
    carpet = [conductance(f, 0.15) / conductance(0.0, 0.15) for f in (0.2, 0.3, 0.4, 0.5)]
    # published for this comparison at downstream conductances of 4 to 6 W/(m² K): 0.98, 0.91, 0.80, 0.78 in the middle
    for found, expected in zip(bare, (0.98, 0.91, 0.80, 0.78), strict=True):
        assert found == pytest.approx(expected, abs=0.05)
    assert all(c > b for b, c in zip(bare, carpet, strict=True))


def test_effectiveness_has_its_limits() -> None:
    assert effectiveness(conductance_w_k=1.0, capacity_flow_w_k=0.0) == 0.0
    assert effectiveness(conductance_w_k=1e9, capacity_flow_w_k=1.0) == pytest.approx(1.0)
    assert effectiveness(conductance_w_k=1e-6, capacity_flow_w_k=1.0) == pytest.approx(1e-6)
