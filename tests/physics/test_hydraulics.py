"""Tubes and pumps against tables made by arithmetic before the code."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from physics_names import mixture

from costsim.physics.fluids import FluidProperties, fluid_properties
from costsim.physics.hydraulics import (
    PumpCurve,
    Tube,
    film_coefficient_w_m2k,
    friction_factor,
    nusselt_number,
    operating_point,
    pressure_drop_pa,
    pump_electric_w,
    reynolds_number,
)  # fmt: skip
from costsim.units.quantity import BTU_J, FOOT_M, GALLON_M3

HALF = Tube("1/2 in PEX of the least wall", 0.485 * 0.0254, 0.625 * 0.0254)
"""What the published figures were worked out for."""
GPM = GALLON_M3 / 60
FOOT_PA = 2989.067
LOOP_M = 300 * FOOT_M


def at_40(fluid: str = "water", fraction: float = 0.0) -> FluidProperties:
    """Properties at 40 °C."""
    return fluid_properties(fluid=fluid, mass_fraction=fraction, temperature_c=40.0)


def drop(gpm: float, fluid: FluidProperties) -> float:
    return pressure_drop_pa(flow_m3_s=gpm * GPM, tube=HALF, length_m=LOOP_M, fluid=fluid)


@pytest.mark.parametrize("gpm", [0.4, 0.6, 0.8, 1.0])
def test_pressure_drop_of_a_half_inch_loop(published, gpm: float) -> None:
    rows, name = published("hydraulics"), f"tube_{gpm:.1f}".replace(".", "_")
    assert any(key.startswith("tube_") for key in rows)
    reynolds = reynolds_number(flow_m3_s=gpm * GPM, tube=HALF, fluid=at_40())
    rows[f"{name}_reynolds"].check(reynolds)
    rows[f"{name}_friction"].check(
        friction_factor(reynolds=reynolds, relative_roughness=1.5e-6 / HALF.inside_diameter_m)
    )
    rows[f"{name}_drop"].check(drop(gpm, at_40()) / 1e3)
    rows[f"{name}_blasius"].check(drop(gpm, at_40()) / FOOT_PA)


def test_antifreeze_in_the_loop(published) -> None:
    rows = published("fluids")
    water = at_40()
    film = film_coefficient_w_m2k(flow_m3_s=0.6 * GPM, tube=HALF, fluid=water)
    carried = water.density_kg_m3 * water.heat_capacity_j_kgk
    for key in (key for key in rows if key.startswith("loop_")):
        _, short, what = key.split("_", 2)
        fluid = at_40(*mixture(short))
        values = {
            "reynolds": reynolds_number(flow_m3_s=0.6 * GPM, tube=HALF, fluid=fluid),
            "film_ratio": film_coefficient_w_m2k(flow_m3_s=0.6 * GPM, tube=HALF, fluid=fluid) / film,
            "flowcp_ratio": fluid.density_kg_m3 * fluid.heat_capacity_j_kgk / carried,
            "drop_ratio": drop(0.6, fluid) / drop(0.6, water),
            "drop_feet": drop(0.6, fluid) / FOOT_PA,
        }
        rows[key].check(values[what])


def test_more_antifreeze_is_not_always_more_head() -> None:
    heads = [drop(0.6, at_40("propylene_glycol", share)) for share in (0.3, 0.4, 0.5)]
    assert heads[1] < heads[0]
    assert heads[1] < heads[2]


def test_heat_carried_and_pump_power(published) -> None:
    rows, water = published("hydraulics"), at_40()
    rows["carried_500"].check(0.6 * GPM * water.density_kg_m3 * water.heat_capacity_j_kgk * 20 / 1.8 * 3600 / BTU_J)
    rows["pump_2_4_gpm_5_ft"].check(pump_electric_w(flow_m3_s=2.4 * GPM, head_pa=5 * FOOT_PA, efficiency=0.2))


def test_laminar_and_blended_regimes() -> None:
    assert friction_factor(reynolds=1000.0) == pytest.approx(0.064)
    assert nusselt_number(reynolds=2000.0, prandtl=10.0) == 3.66
    middle = nusselt_number(reynolds=3150.0, prandtl=5.0)
    assert middle == pytest.approx((3.66 + nusselt_number(reynolds=4000.0, prandtl=5.0)) / 2)


def test_turbulent_heat_transfer_is_near_dittus_and_boelter() -> None:
    # an older correlation for heating, Nu = 0.023 Re^0.8 Pr^0.4: the two agree within about a quarter
    for reynolds in (1e4, 3e4, 1e5):
        assert nusselt_number(reynolds=reynolds, prandtl=4.3) == pytest.approx(
            0.023 * reynolds**0.8 * 4.3**0.4, rel=0.25
        )


PUMP = PumpCurve((0.0, 2.0 * GPM, 4.0 * GPM), (18 * FOOT_PA, 14 * FOOT_PA, 6 * FOOT_PA))


def test_two_loops_on_one_pump_share_by_resistance() -> None:
    water = at_40()
    one = operating_point(curve=PUMP, speed=1.0, tube=HALF, lengths_m=[LOOP_M], fluid=water)
    two = operating_point(curve=PUMP, speed=1.0, tube=HALF, lengths_m=[LOOP_M, LOOP_M * 0.6], fluid=water)
    assert two.flows_m3_s[1] > two.flows_m3_s[0]
    assert one.flows_m3_s[0] > two.flows_m3_s[0]
    assert sum(two.flows_m3_s) > one.flows_m3_s[0]
    for flow, length in zip(two.flows_m3_s, (LOOP_M, LOOP_M * 0.6), strict=True):
        assert pressure_drop_pa(flow_m3_s=flow, tube=HALF, length_m=length, fluid=water) == pytest.approx(
            two.head_pa, rel=1e-3
        )
    assert PUMP.head_pa(sum(two.flows_m3_s)) == pytest.approx(two.head_pa, rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.4, 1.0), st.floats(0.4, 1.0), st.sampled_from([0.0, 0.2, 0.4, 0.5]))
def test_a_faster_pump_never_moves_less(slow: float, fast: float, glycol: float) -> None:
    fluid = at_40("propylene_glycol", glycol)
    slow, fast = sorted((slow, fast))
    flows = [
        operating_point(curve=PUMP, speed=s, tube=HALF, lengths_m=[LOOP_M], fluid=fluid).flows_m3_s[0]
        for s in (slow, fast)
    ]
    assert flows[0] <= flows[1] * (1 + 1e-9)


def test_a_slower_pump_follows_the_affinity_laws() -> None:
    # flow goes with the speed, head with its square, also beyond the last point of the curve
    curve = PumpCurve(flows_m3_s=(0.0, 1e-4, 2e-4), heads_pa=(50e3, 40e3, 20e3))
    for flow in (0.0, 0.7e-4, 1.9e-4, 2.2e-4, 2.6e-4):
        for speed in (0.5, 0.8):
            assert curve.head_pa(flow * speed, speed) == pytest.approx(curve.head_pa(flow) * speed**2)
    assert curve.head_pa(2.5e-4) == pytest.approx(10e3)
    assert curve.head_pa(3.1e-4) == 0.0
