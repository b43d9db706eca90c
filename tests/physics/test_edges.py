"""Edges, ends and defaults of the physics, each against arithmetic by hand or a rule in print."""

from __future__ import annotations

import math
from decimal import Decimal, getcontext

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from costsim.physics import combustion
from costsim.physics.combustion import (
    altitude_derate,
    condensing_efficiency,
    dew_point_c,
    propane_vaporisation_w,
    theoretical_efficiency,
)
from costsim.physics.demand import degree_hour_demand_w, heat_loss_rate_w_k, tank_step
from costsim.physics.floor import (
    BUILD_UPS,
    SURFACE_LIMIT_C,
    effectiveness,
    loop_heat,
    slab_resistance_mk_w,
    supply_conductance_w_k,
    surface_coefficient_w_m2k,
    surface_flux_w_m2,
    surface_limit_w_m2,
)
from costsim.physics.fluids import fluid_properties, freeze_point_c, mass_fraction_from_volume
from costsim.physics.fuels import FUELS, sold_amount
from costsim.physics.heat_pump import capacity_w, defrost_factor
from costsim.physics.hydraulics import (
    TUBES,
    PumpCurve,
    Tube,
    film_coefficient_w_m2k,
    flow_at_head_m3_s,
    friction_factor,
    nusselt_number,
    operating_point,
    pressure_drop_pa,
)
from costsim.physics.sun import plane_sun, solar_position
from costsim.physics.thermal_mass import hours_to
from costsim.units.quantity import BTU_J, CORD_M3, FOOT_M, GALLON_M3, HOUR_S, INCH_M, KWH_J, POUND_KG, THERM_J

HALF = Tube("1/2 in PEX of the least wall", 0.485 * 0.0254, 0.625 * 0.0254)
"""What the published figures were worked out for."""
WATER = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)


# burners


@pytest.mark.parametrize("flue_c", [65.0, 99.9, 100.5, 103.0, 110.0, 200.0])
def test_hot_flue_gas_keeps_all_its_vapour_by_hand(flue_c: float) -> None:
    # CH4 + 2.4 (O2 + 79/21 N2): 1 CO2, 0.4 O2, 2.4 × 79/21 N2 and 2 H2O leave; 44 kJ a mole of vapour, 890.58 kJ of fuel
    heat = 1 * 38.8 + 0.4 * 29.6 + 2.4 * 79 / 21 * 29.15 + 2 * 33.8
    by_hand = 1 - (heat * (flue_c - 25) + 2 * 44e3) / 890.58e3
    assert float(theoretical_efficiency(flue_c=flue_c, fuel="natural_gas")) == pytest.approx(by_hand, rel=1e-9)


def test_condensate_carries_the_heat_of_water() -> None:
    # liquid water at one bar, from 25 to 60 °C
    mean = np.mean([PropsSI("CPMOLAR", "T", t + 273.15, "P", 1e5, "Water") for t in (25, 40, 60)])
    assert pytest.approx(mean, rel=0.01) == combustion._CP_WATER


def test_cold_flue_gas_has_lost_what_saturation_does_not_hold() -> None:
    # propane at 30 °C, 20 % of air more than it needs: 3 CO2, 1 O2, 6 × 79/21 N2; vapour pressure of 30 °C is 4.247 kPa
    dry = 3 + 1 + 6 * 79 / 21
    vapour = dry * 4247 / (101325 - 4247)
    heat = 3 * 38.8 + 29.6 + 6 * 79 / 21 * 29.15 + vapour * 33.8 + (4 - vapour) * 75.3
    by_hand = 1 - (heat * 5 + vapour * 44e3) / 2219.17e3
    assert float(theoretical_efficiency(flue_c=30.0, fuel="propane")) == pytest.approx(by_hand, abs=2e-6)


def test_burners_without_further_words() -> None:
    plain = {"excess_air": 0.2, "pressure_pa": 101325.0}
    assert dew_point_c(fuel="propane") == dew_point_c(fuel="propane", **plain)
    for warm in (20.0, 45.0, 80.0):
        theory = float(theoretical_efficiency(flue_c=warm + 5.6, fuel="propane", **plain))
        assert float(theoretical_efficiency(flue_c=warm + 5.6, fuel="propane")) == theory
        assert float(condensing_efficiency(return_c=warm, fuel="propane")) == pytest.approx(theory - 0.02, abs=2e-4)
    curve = combustion._curve("propane", 0.2, 101325.0, 0.02)
    assert not any(array.flags.writeable for array in (curve.first, curve.slope))


def test_ends_of_what_a_burner_takes() -> None:
    assert float(condensing_efficiency(return_c=40.0, fuel="propane", approach_k=0.0, jacket_loss=0.0)) > 0.9
    assert float(condensing_efficiency(return_c=40.0, fuel="propane", jacket_loss=1.0)) == 0.0
    for wrong in ({"approach_k": -0.1}, {"jacket_loss": -0.001}):
        with pytest.raises(ValueError, match="must not be negative"):
            condensing_efficiency(return_c=40.0, fuel="propane", **wrong)
    assert dew_point_c(fuel="propane", excess_air=0.0) > dew_point_c(fuel="propane")


def test_ends_of_the_altitude_rule() -> None:
    for feet, total, above in (
        (2000.0, 1.0, 1.0), (2001.0, 0.91996, 0.99996), (24_000.0, 0.04, 0.12), (25_000.0, 0.0, 0.08), (27_500.0, 0.0, 0.0),
    ):  # fmt: skip
        assert altitude_derate(altitude_m=feet * FOOT_M) == pytest.approx(total, abs=1e-9)
        assert altitude_derate(altitude_m=feet * FOOT_M, reading="above_2000ft") == pytest.approx(above, abs=1e-9)


def test_a_propane_tank_by_its_rule() -> None:
    # D × L × K in inches and Btu/h at 0 °F, K by fill: 45 at a tenth full, then 60, 70, 80, 90 and 100 at six tenths and more
    tank = {"diameter_m": 40 * INCH_M, "length_m": 100 * INCH_M, "outdoor_c": -32 / 1.8}
    for fill, factor in ((0.05, 22.5), (0.1, 45), (0.2, 60), (0.3, 70), (0.4, 80), (0.5, 90), (0.6, 100), (0.8, 100)):
        assert float(propane_vaporisation_w(fill=fill, **tank)) * HOUR_S / BTU_J == pytest.approx(40 * 100 * factor)


# demand and tank


def test_outdoors_as_warm_as_indoors_is_no_design() -> None:
    with pytest.raises(ValueError, match="outdoor design temperature 20 °C must be below the indoor one 20 °C"):
        heat_loss_rate_w_k(design_loss_w=1e3, indoor_temperature_c=20.0, outdoor_c=20.0)
    assert heat_loss_rate_w_k(design_loss_w=1e3, indoor_temperature_c=20.0, outdoor_c=19.5) == 2000.0
    assert degree_hour_demand_w(loss_w_k=100.0, balance_c=15.0, outdoor_c=[15.0, 14.5, 15.5]).tolist() == [
        0.0,
        50.0,
        0.0,
    ]


@pytest.mark.parametrize("rate", [1e-9, 9e-7, 2e-6, 1e-3, 0.5, 4.0])
def test_a_tank_s_hour_to_ten_figures(rate: float) -> None:
    getcontext().prec = 60
    capacity, step = Decimal(4_000_000), Decimal(3600)
    loss = Decimal(rate) * capacity / step
    keep = (-Decimal(rate)).exp()
    mean = (1 - keep) / Decimal(rate)
    exact = keep, step / capacity * mean, loss * mean, 1 - mean
    found = tank_step(heat_capacity_j_k=4e6, loss_w_k=float(loss))
    assert found == pytest.approx([float(one) for one in exact], rel=1e-9)


def test_a_tank_without_loss_keeps_everything() -> None:
    assert tank_step(heat_capacity_j_k=3.6e6, loss_w_k=0.0) == (1.0, 1e-3, 0.0, 0.0)
    assert tank_step(heat_capacity_j_k=3.6e6, loss_w_k=0.0, step_s=7200.0) == (1.0, 2e-3, 0.0, 0.0)


# tubes and pumps


def test_tubes_are_as_thick_as_their_standard_says(published) -> None:
    # copper tube size: an eighth of an inch more than the nominal size; SDR 9: nine times the wall, but never under 0.070 in, and
    # half of what the standard allows more
    nominal = {"3/8 in PEX": 3 / 8, "1/2 in PEX": 1 / 2, "5/8 in PEX": 5 / 8, "3/4 in PEX": 3 / 4, "1 in PEX": 1.0}
    for name, size in nominal.items():
        tube = TUBES[name]
        outside, wall = (one / INCH_M for one in (tube.outside_diameter_m, (tube.outside_diameter_m - tube.inside_diameter_m) / 2))  # fmt: skip
        assert outside == pytest.approx(size + 1 / 8)
        assert wall == pytest.approx(max(outside / 9, 0.070) + (0.0065 if size == 1.0 else 0.005), abs=6e-4)
        published("hydraulics")[f"bore_{name}"].check(tube.inside_diameter_m / INCH_M)
    for name in ("16x2", "17x2", "20x2"):
        outside, wall = map(float, name.split("x"))
        assert TUBES[name].outside_diameter_m * 1e3 == pytest.approx(outside)
        assert TUBES[name].inside_diameter_m * 1e3 == pytest.approx(outside - 2 * wall)
    assert set(TUBES) == {*nominal, "16x2", "17x2", "20x2"}
    for tube in TUBES.values():
        assert 0.35 <= tube.conductivity_w_mk <= 0.41  # cross-linked polyethylene, range of data sheets, from memory
        assert tube.area_m2 == pytest.approx(math.pi * (tube.inside_diameter_m / 2) ** 2)


def test_flow_regimes_end_where_they_say() -> None:
    assert friction_factor(reynolds=2300.0) == pytest.approx(64 / 2300)
    # Haaland for a smooth tube as usually printed: 1/√f = 1.8 log10(Re/6.9); with roughness (e/3.7d)^1.11 beside
    for reynolds in (2301.0, 4000.0, 1e5):
        assert friction_factor(reynolds=reynolds) == pytest.approx((1.8 * math.log10(reynolds / 6.9)) ** -2)
    rough = -1.8 * math.log10((1e-3 / 3.7) ** 1.11 + 6.9 / 1e5)
    assert friction_factor(reynolds=1e5, relative_roughness=1e-3) == pytest.approx(rough**-2)
    assert nusselt_number(reynolds=2300.0, prandtl=7.0) == 3.66
    # Gnielinski: (f/8)(Re - 1000)Pr / (1 + 12.7 √(f/8) (Pr^(2/3) - 1))
    for reynolds, prandtl in ((4000.0, 5.0), (2e4, 12.0)):
        f8 = (1.8 * math.log10(reynolds / 6.9)) ** -2 / 8
        by_hand = f8 * (reynolds - 1000) * prandtl / (1 + 12.7 * math.sqrt(f8) * (prandtl ** (2 / 3) - 1))
        assert nusselt_number(reynolds=reynolds, prandtl=prandtl) == pytest.approx(by_hand)
    low, high = 3.66, nusselt_number(reynolds=4000.0, prandtl=5.0)
    assert nusselt_number(reynolds=2300.0 + 170.0, prandtl=5.0) == pytest.approx(0.9 * low + 0.1 * high)


def test_pressure_drop_by_hand() -> None:
    flow = 1.0 * GALLON_M3 / 60
    speed = flow / (math.pi / 4 * (0.485 * INCH_M) ** 2)
    reynolds = WATER.density_kg_m3 * speed * 0.485 * INCH_M / WATER.viscosity_pa_s
    factor = friction_factor(reynolds=reynolds, relative_roughness=1.5e-6 / (0.485 * INCH_M))
    by_hand = factor * 50.0 / (0.485 * INCH_M) * WATER.density_kg_m3 * speed**2 / 2
    where = {"flow_m3_s": flow, "tube": HALF, "length_m": 50.0, "fluid": WATER}
    assert pressure_drop_pa(**where) == pytest.approx(by_hand)
    assert pressure_drop_pa(**{**where, "flow_m3_s": 0.0}) == 0.0
    assert flow_at_head_m3_s(head_pa=by_hand, tube=HALF, length_m=50.0, fluid=WATER) == pytest.approx(flow)
    film = nusselt_number(reynolds=reynolds, prandtl=WATER.prandtl) * WATER.conductivity_w_mk / (0.485 * INCH_M)
    assert film_coefficient_w_m2k(flow_m3_s=flow, tube=HALF, fluid=WATER) == pytest.approx(film)
    assert WATER.prandtl == pytest.approx(4.34, abs=0.03)  # of water at 40 °C, handbooks of heat transfer


def test_valves_take_their_part_of_the_head() -> None:
    pump = PumpCurve((0.0, 4e-4), (60e3, 0.0))
    where = {"curve": pump, "tube": HALF, "lengths_m": [60.0, 90.0], "fluid": WATER}
    for speed, lift in ((1.0, 0.0), (1.0, 15e3), (0.7, 5e3)):
        found = operating_point(speed=speed, lift_pa=lift, **where)
        # the pump's line: head falls from 60 kPa × speed² to nothing at 4e-4 m³/s × speed
        assert found.head_pa == pytest.approx(60e3 * speed**2 * (1 - sum(found.flows_m3_s) / 4e-4 / speed), rel=1e-6)
        for flow, length in zip(found.flows_m3_s, (60.0, 90.0), strict=True):
            drop = pressure_drop_pa(flow_m3_s=flow, tube=HALF, length_m=length, fluid=WATER)
            assert drop == pytest.approx(found.head_pa - lift, rel=1e-3)
    stuck = operating_point(speed=1.0, lift_pa=70e3, **where)
    assert max(stuck.flows_m3_s) < 1e-9


# floor


def test_layers_are_what_their_names_and_materials_say() -> None:
    # thickness, cover [mm], conductivity, volumetric heat capacity: materials from memory, as told beside the table
    by_hand = {
        "concrete_100": (100, 50, 1.7, 2300e3), "concrete_150": (150, 75, 1.7, 2300e3), "screed_65": (65, 45, 1.4, 2000e3),
        "gypsum_38": (38, 20, 0.8, 1850e3), "plates": (30, 12, 1.0, 1000e3),
    }  # fmt: skip
    for name, (thick, cover, conducts, holds) in by_hand.items():
        layer = BUILD_UPS[name]
        assert (layer.thickness_m * 1e3, layer.cover_m * 1e3) == (pytest.approx(thick), pytest.approx(cover))
        assert (layer.conductivity_w_mk, layer.volumetric_heat_capacity_j_m3k) == (conducts, holds)
        assert layer.heat_capacity_j_m2k == pytest.approx(thick / 1e3 * holds)
    assert BUILD_UPS["gypsum_38"].depths_m(0.016) == (pytest.approx(0.028), pytest.approx(0.010))
    assert BUILD_UPS["gypsum_38"].depths_m(0.032) == (pytest.approx(0.036), pytest.approx(0.016))


def test_resistances_of_a_loop_by_hand() -> None:
    flow, settings = 5e-5, {"length_m": 80.0, "spacing_m": 0.2, "build_up": BUILD_UPS["screed_65"], "covering_m2k_w": 0.1, "insulation_m2k_w": 1.5}  # fmt: skip
    found = loop_heat(flow_m3_s=flow, tube=TUBES["16x2"], fluid=WATER, design_flux_w_m2=52.4, **settings)
    film = film_coefficient_w_m2k(flow_m3_s=flow, tube=TUBES["16x2"], fluid=WATER)
    assert found.film_mk_w == pytest.approx(1 / (math.pi * 0.012 * film))
    assert found.wall_mk_w == pytest.approx(math.log(16 / 12) / (2 * math.pi * TUBES["16x2"].conductivity_w_mk))
    covered = 0.1 + 5 / 52.4  # EN 1264: 52.4 W/m² at 5 K
    assert found.surface_mk_w == pytest.approx(covered / 0.2, rel=1e-3)
    # tubes 53 mm under the top and 12 mm over the bottom; 0.17 m² K/W under a floor (ISO 6946)
    up, down = 0.053 / 1.4 + covered, 0.012 / 1.4 + 1.5 + 0.17
    assert found.upward_share == pytest.approx(down / (up + down), rel=1e-3)
    beyond = 0.1 + 1 / surface_coefficient_w_m2k(flux_w_m2=52.4)
    plane = slab_resistance_mk_w(
        spacing_m=0.2, above_m=0.053, below_m=0.012, outside_diameter_m=0.016, conductivity_w_mk=1.4, upper_w_m2k=1 / beyond,
        lower_w_m2k=1 / 1.67,
    )  # fmt: skip
    assert found.slab_mk_w == pytest.approx(plane + 0.053 / 1.4 / 0.2)
    parts = found.film_mk_w + found.wall_mk_w + found.slab_mk_w + found.surface_mk_w
    assert found.conductance_w_k == pytest.approx(80 / parts)
    carried = flow * WATER.density_kg_m3 * WATER.heat_capacity_j_kgk
    by_hand = carried * (1 - math.exp(-80 / parts / carried))
    assert supply_conductance_w_k(flow_m3_s=flow, fluid=WATER, conductance_w_k=80 / parts) == pytest.approx(by_hand)


def test_ends_of_the_surface() -> None:
    assert float(surface_flux_w_m2(excess_k=-1.0)) == 0.0
    assert surface_coefficient_w_m2k(flux_w_m2=52.4) == pytest.approx(52.4 / 5, rel=1e-3)
    # below 1 W/m² the law's own slope would vanish: (1/8.92)^(1/1.1) K for 1 W/m²
    for flux in (0.0, 1.0):
        assert surface_coefficient_w_m2k(flux_w_m2=flux) == pytest.approx(8.92 ** (1 / 1.1))
    assert SURFACE_LIMIT_C == {"occupied": 29.0, "perimeter": 35.0}  # EN 1264
    assert surface_limit_w_m2(zone="occupied", room_c=28.0) == pytest.approx(8.92)
    assert surface_limit_w_m2(zone="bathroom", room_c=30.0) == pytest.approx(8.92 * 9**1.1)
    assert effectiveness(conductance_w_k=0.5, capacity_flow_w_k=0.5) == pytest.approx(1 - math.exp(-1))


# fluids


def test_mixtures_end_where_the_table_does() -> None:
    def at(temperature_c: float) -> float:
        return fluid_properties(fluid="ethylene_glycol", mass_fraction=0.6, temperature_c=temperature_c).viscosity_pa_s

    assert freeze_point_c(fluid="ethylene_glycol", mass_fraction=0.6) < -36
    assert at(-60.0) == at(-35.0) > at(-34.0)
    assert at(96.0) == at(95.0) < at(94.5)
    assert freeze_point_c(fluid="water", mass_fraction=0.3) == 0.0
    for wrong in (-0.01, 0.61):
        with pytest.raises(ValueError, match=r"a mass fraction of .* lies outside 0 to 0\.6"):
            fluid_properties(fluid="propylene_glycol", mass_fraction=wrong, temperature_c=20.0)
    assert [mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=x) for x in (0.0, 1.0)] == [0.0, 1.0]


# fuels and wood


def test_every_fuel_in_the_units_it_is_sold_in() -> None:
    heat = {name: fuel.heat_content_j_per_unit for name, fuel in FUELS.items()}
    sizes = {
        "us": {"electricity": (KWH_J, "kWh"), "natural_gas": (THERM_J, "therms"), "propane": (heat["propane"] * GALLON_M3, "gal"),
               "heating_oil": (heat["heating_oil"] * GALLON_M3, "gal"), "wood": (heat["wood"] * CORD_M3, "cords"),
               "pellets": (heat["pellets"] * 2000 * POUND_KG, "short tons")},
        "si": {"electricity": (KWH_J, "kWh"), "natural_gas": (KWH_J, "kWh"), "propane": (heat["propane"] / 1e3, "L"),
               "heating_oil": (heat["heating_oil"] / 1e3, "L"), "wood": (heat["wood"], "m³ stacked"), "pellets": (heat["pellets"] * 1e3, "t")},
    }  # fmt: skip
    for system, fuels in sizes.items():
        assert set(fuels) == set(FUELS)
        for fuel, (size, unit) in fuels.items():
            assert sold_amount(fuel, 7 * size, system) == (pytest.approx(7.0), unit)


# heat pumps, collectors, sun and slab


def test_ends_of_a_heat_pump_s_curves() -> None:
    assert defrost_factor(outdoor_c=[-6.0, 6.0, 0.0]).tolist() == pytest.approx([0.95, 0.95, 0.9])
    two = {"test_outdoor_c": (-7.0, 7.0), "test_capacity_w": (7e3, 9.8e3)}
    assert capacity_w(outdoor_c=[-42.0, -42.1, -41.5, 7.0, 8.0], **two) == pytest.approx(
        [0.0, 0.0, 100.0, 9.8e3, 9.8e3]
    )


def test_the_sun_of_a_leap_year_and_of_the_night() -> None:
    place = {"latitude_deg": 36.0, "longitude_deg": -80.0, "altitude_m": 200.0, "utc_offset_h": -5.0}
    for hours in (8760, 8784):
        found = solar_position(**place, n_hours=hours)
        assert {len(one) for one in found} == {hours}
        assert not any(one.flags.writeable for one in found)
        # at 80° W clocks of 75° W show noon twenty minutes early; 90° - 36° + 23.44° at its highest, in the days around 21 June
        zenith = found[0]
        day = int(zenith.argmin()) // 24
        assert day == pytest.approx(171 + (hours == 8784), abs=3)
        assert zenith.min() == pytest.approx(36 - 23.44, abs=1.5)
        assert int(zenith.argmin()) % 24 == 12
        # the sun is nearest on about 3 January and farthest on about 4 July: 1,361 W/m² and 3.4 % either way
        assert found[2].max() == pytest.approx(1361 * 1.034, rel=5e-3)
        assert int(found[2].argmax()) // 24 <= 8
        # Spencer's series in the day's angle, 0 on 1 January
        for day in (0, 90, 180):
            b = 2 * math.pi * day / 365
            series = (
                1.00011
                + 0.034221 * math.cos(b)
                + 0.00128 * math.sin(b)
                + 0.000719 * math.cos(2 * b)
                + 7.7e-5 * math.sin(2 * b)
            )
            assert found[2][24 * day : 24 * day + 24] == pytest.approx(1366.1 * series, rel=1e-6)
    dark = np.zeros(8760)
    night = plane_sun(**place, ghi_w_m2=dark, dni_w_m2=dark, dhi_w_m2=dark, tilt_deg=60.0, azimuth_deg=180.0)
    assert not night.total_w_m2.any()


def test_the_ground_throws_a_fifth_back() -> None:
    # Liu and Jordan: albedo × global × (1 - cos tilt) / 2
    place = {"latitude_deg": 36.0, "longitude_deg": -80.0, "altitude_m": 200.0, "utc_offset_h": -5.0}
    bright = np.full(8760, 100.0)
    for tilt, seen in ((90.0, 0.5), (60.0, 0.25)):
        found = plane_sun(**place, ghi_w_m2=bright, dni_w_m2=0 * bright, dhi_w_m2=bright, tilt_deg=tilt, azimuth_deg=180.0)  # fmt: skip
        assert found.ground_w_m2 == pytest.approx(np.full(8760, 0.2 * 100 * seen))


def test_a_level_that_is_touched_is_not_passed() -> None:
    room = np.array([19.0, 16.0, 15.9, 17.0, 12.0])
    assert hours_to(room, 16.0) == 3
    assert hours_to(room, 19.5) == 1
    assert hours_to(room, 12.0) is None
