"""Circuits, gas lines, envelopes, expansion, wet surfaces, mains and fuels at their edges, each against arithmetic by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from costsim.physics.circuits import BREAKERS_A, circuit_for, dwelling_load_va, next_breaker_a
from costsim.physics.emitters import EMITTERS
from costsim.physics.envelope import AIR_J_M3K, TYPICAL, air_loss_w_k, surface_loss_w_k
from costsim.physics.expansion import US_MARGIN_PA, en_vessel_m3, us_tank_m3
from costsim.physics.fuels import FUELS, co2_kg, sold_amount
from costsim.physics.gas_pipe import (
    GASES,
    STEEL_INSIDE_IN,
    USUAL_DROP_PA,
    combustion_air,
    next_pipe,
    pipe_capacity_m3_s,
    pipe_power_w,
    vent_category,
)
from costsim.physics.heat_pump import carnot_cop, certified_cop, cop_between_points
from costsim.physics.mains import cold_water_c
from costsim.physics.wet_surface import (
    FILM_C,
    dew_point_by_night_c,
    melting_w_m2,
    plate_coefficient_w_m2k,
    pool_loss_w_m2,
    radiation_w_m2,
    sky_temperature_c,
)
from costsim.units.quantity import Quantity

FOOT, INCH, BTU = 0.3048, 0.0254, 1055.05585262
WATER_IN_PA = 2989.067 / 12


# circuits and gas


def test_breakers_follow_one_another_and_a_hair_is_no_reason_for_the_next() -> None:
    # NFPA 70 240.6(A), as printed: see tests/published/circuits.csv
    printed = [*range(15, 50, 5), *range(50, 111, 10), 125, *range(150, 250, 25), *range(250, 550, 50), 600, 700, 800]
    assert list(BREAKERS_A) == printed
    assert [next_breaker_a((50.0 + more) / 1.25) for more in (0.95e-6, 1.05e-6)] == [50, 60]
    assert (next_breaker_a(640.0), next_breaker_a(640.1)) == (800, None)


def test_a_circuit_takes_the_first_wire_that_carries_its_breaker_and_its_drop() -> None:
    def wire(load_w: float, **more: float) -> str:
        found = circuit_for(load_w=load_w, volts_v=240.0, **more)
        return found.wire.name if found else ""

    # 12 A: 15 A on 14 AWG; 16 A: 20 A, for which 14 AWG is too thin though it carries 20 A (240.4(D))
    assert [wire(240.0 * amps) for amps in (12, 16, 16.1, 24, 40, 40.1)] == [
        "14 AWG", "12 AWG", "10 AWG", "10 AWG", "8 AWG", "6 AWG",
    ]  # fmt: skip
    # 40 A over 8 AWG, 0.778 ohm a thousand feet: 3 % of 240 V at 2 · 40 · 0.778 · L / 1000 = 7.2, L = 115.68 ft
    edge = 7.2 / (2 * 40 * 0.778) * 1000 * FOOT
    assert [wire(9600.0, length_m=edge * part) for part in (0.9999, 1.0001)] == ["8 AWG", "6 AWG"]
    assert wire(9600.0, length_m=edge * 2, most_drop_share=0.0601) == "8 AWG"
    # 304 A ask for 380 A: 500 kcmil carries just that
    assert [wire(240.0 * amps) for amps in (304, 305)] == ["500 kcmil", ""]
    assert circuit_for(load_w=9600.0, volts_v=240.0).drop_share == 0.0


def test_a_small_dwelling_counts_in_full() -> None:
    # nothing but 3,000 and 1,500 VA: below 10 kVA nothing is reduced; at 10 kVA and 1,000 more 400 VA come on top
    for appliances, by_hand in ((0.0, 4500.0), (5500.0, 10_000.0), (6500.0, 10_400.0)):
        assert dwelling_load_va(floor_area_m2=0.0, appliances_va=appliances, heating_va=0.0) == pytest.approx(by_hand)


def test_pipes_are_schedule_40_and_gas_runs_by_the_codes_equation() -> None:
    # outside diameter and wall of ASME B36.10M [in], values from memory
    steel = {"1/2 in": (0.840, 0.109), "3/4 in": (1.050, 0.113), "1 in": (1.315, 0.133), "1-1/4 in": (1.660, 0.140), "1-1/2 in": (1.900, 0.145),
             "2 in": (2.375, 0.154), "2-1/2 in": (2.875, 0.203), "3 in": (3.500, 0.216)}  # fmt: skip
    assert {name: round(outside - 2 * wall, 3) for name, (outside, wall) in steel.items()} == STEEL_INSIDE_IN
    assert pytest.approx(0.5 * WATER_IN_PA) == USUAL_DROP_PA
    for gas in GASES:
        for bore, feet, drop in ((0.622, 10.0, 0.5), (2.067, 150.0, 1.0)):
            flow = pipe_capacity_m3_s(inside_m=bore * INCH, length_m=feet * FOOT, drop_pa=drop * WATER_IN_PA, gas=gas)
            cfh = flow * 3600 / FOOT**3
            # IFGC 402.4: D = Q^0.381 / (19.17 (H / (Cr L))^0.206), Cr 0.6094 and 1.2462
            cr = {"natural_gas": 0.6094, "propane": 1.2462}[gas]
            assert cfh**0.381 / (19.17 * (drop / cr / feet) ** 0.206) == pytest.approx(bore)
    # 1,036 Btu in a cubic foot of natural gas (EIA); 2,488 in one of propane at 60 °F
    power = pipe_power_w(pipe="1 in", length_m=9.0, gas="natural_gas")
    flow = pipe_capacity_m3_s(inside_m=1.049 * INCH, length_m=9.0, drop_pa=0.5 * WATER_IN_PA, gas="natural_gas")
    assert power == pytest.approx(flow / FOOT**3 * 1036 * BTU)
    assert next_pipe(input_w=power, length_m=9.0, gas="natural_gas") == "1 in"
    assert next_pipe(input_w=power * (1 + 1e-9), length_m=9.0, gas="natural_gas") == "1-1/4 in"


def test_air_openings_and_vents_at_their_edges() -> None:
    # a square inch for 4,000, 2,000 and 1,000 Btu/h, at least 100 of the last; 50 ft³ of room for 1,000 Btu/h
    for kbtu_h, indoor in ((99.0, 100.0), (100.0, 100.0), (101.0, 101.0)):
        air = combustion_air(input_w=kbtu_h * 1e3 * BTU / 3600)
        by_hand = (kbtu_h / 4, kbtu_h / 2, indoor, kbtu_h * 50)
        assert (air.upright_in2, air.level_in2, air.indoor_in2, air.room_ft3) == pytest.approx(by_hand)
    shares = {0.829: "I", 0.83: "III", 0.899: "III", 0.90: "IV"}
    assert {share: vent_category(condensing=False, efficiency_share=share) for share in shares} == shares
    assert vent_category(condensing=True, efficiency_share=0.5) == "IV"


# houses


def test_emitters_have_the_water_of_their_application() -> None:
    # EN 14825 applications: low 35, intermediate 45, medium 55, high 65 °C (values from memory); the others common practice, no source
    assert {name: one.supply_c for name, one in EMITTERS.items()} == {
        "radiant_floor": 45, "radiant_floor_tile": 35, "radiant_floor_wood": 42, "radiant_floor_carpet": 48, "radiant_floor_dry": 48,
        "radiant_floor_joists": 55, "low_temperature_radiators": 55, "radiators": 65, "baseboard": 75, "fan_coil": 50,
    }  # fmt: skip


def test_losses_of_surfaces_and_air_by_hand() -> None:
    assert surface_loss_w_k(area_m2=20.0, u_value_w_m2k=0.5) == 10.0
    assert surface_loss_w_k(area_m2=20.0, u_value_w_m2k=0.5, share=0.6) == pytest.approx(6.0)
    assert pytest.approx(0.34 * 3600) == AIR_J_M3K  # EN 12831-1
    assert air_loss_w_k(volume_m3=300.0, changes_per_s=0.5 / 3600) == pytest.approx(0.34 * 300 * 0.5)
    assert air_loss_w_k(volume_m3=300.0, changes_per_s=0.5 / 3600, recovery_share=0.8) == pytest.approx(
        0.34 * 300 * 0.1
    )
    assert 0.8 <= TYPICAL["window_triple"].u_value_w_m2k <= 0.95  # common practice, no source


def test_expansion_tanks_by_both_rules() -> None:
    psi, air = 0.45359237 * 9.80665 / INCH**2, 101325.0
    us, en = {"content_m3": 0.2, "swell_share": 0.03}, {"content_m3": 1.2, "swell_share": 0.03}
    # 12 psi cold, 25 psi at the valve less 5: 0.006 m³ over 1 - (12 psi + air) / (20 psi + air)
    by_hand = 0.006 / (1 - (12 * psi + air) / (20 * psi + air))
    assert us_tank_m3(**us, fill_pa=12 * psi, relief_pa=25 * psi) == pytest.approx(by_hand)
    # 1 bar and 3 bar less half a bar: 36 L of growth and half a per cent of 1,200 L, 6 L, times 3.51325 / 1.5; of 200 L at least 3 L
    assert en_vessel_m3(**en, fill_pa=1e5, relief_pa=3e5) == pytest.approx(0.042 * 3.51325 / 1.5)
    assert en_vessel_m3(**us, fill_pa=1e5, relief_pa=3e5) == pytest.approx(0.009 * 3.51325 / 1.5)
    assert us_tank_m3(**us, fill_pa=2e5 - US_MARGIN_PA, relief_pa=2e5) is None
    assert en_vessel_m3(**en, fill_pa=1.5e5, relief_pa=2e5) is None
    assert us_tank_m3(**us, fill_pa=12 * psi, relief_pa=18 * psi) > 0
    assert en_vessel_m3(**en, fill_pa=1.5e5, relief_pa=2.1e5) > 0


# water under the sky


def vapor(c: float) -> float:
    """Magnus form of FAO 56, equation 11 [kPa]."""
    return 0.6108 * math.exp(17.27 * c / (c + 237.3))


def test_pools_and_melting_snow_by_hand() -> None:
    # Berdahl and Martin: emissivity 0.711 + 0.56 d + 0.73 d² with d the dew point in hundreds of degrees
    for outdoor, dew in ((20.0, 10.0), (-5.0, -20.0)):
        d = dew / 100
        by_hand = (outdoor + 273.15) * (0.711 + 0.56 * d + 0.73 * d * d) ** 0.25 - 273.15
        assert float(sky_temperature_c(outdoor_c=outdoor, dew_point_c=dew)) == pytest.approx(by_hand)
    radiated = 0.95 * 5.670e-8 * (300.15**4 - 283.15**4)
    assert float(radiation_w_m2(surface_c=27.0, seen_c=10.0)) == pytest.approx(radiated)
    # of (95 + 0.425 v) Btu/(h ft2) for 1 inHg and ft/min: 95 * 3.154591 / 3.386389 = 88.50, and 0.425 * 3.154591 / 3.386389 / 0.00508 = 77.93;
    # and 0.0665 kPa/K of it to the air
    stream = 88.50 + 77.93 * 2.0
    by_hand = stream * 0.5 * (vapor(27.0) - vapor(12.0)) + stream * 0.0665 * 7.0 + radiated
    where = {"outdoor_c": 20.0, "dew_point_c": 12.0, "wind_m_s": 2.0, "sky_c": 10.0}
    assert float(pool_loss_w_m2(water_c=27.0, activity=0.5, **where)) == pytest.approx(by_hand)
    assert float(pool_loss_w_m2(water_c=27.0, **where)) == pytest.approx(
        by_hand + stream * 0.5 * (vapor(27.0) - vapor(12.0))
    )
    # 0.037 (k/L) Re^0.8 Pr^(1/3) with air of 0.0235 W/(m K), 1.33e-5 m²/s and 0.71; 2 W/(m² K) in still air
    by_hand = 0.037 * 0.0235 / 3.0 * (4.0 * 3.0 / 1.33e-5) ** 0.8 * 0.71 ** (1 / 3)
    assert plate_coefficient_w_m2k(wind_m_s=[4.0, 0.0], length_m=3.0) == pytest.approx([by_hand, 2.0])
    assert (
        dew_point_by_night_c(np.concatenate([np.arange(24.0), np.full(24, -3.0)])).tolist() == [0.0] * 24 + [-3.0] * 24
    )


@pytest.mark.parametrize(("free", "dew", "sky"), [(1.0, -10.0, -20.0), (0.4, -10.0, -20.0), (1.0, 5.0, -5.0)])
def test_melting_snow_by_its_four_parts(free: float, dew: float, sky: float) -> None:
    """A millimetre of water an hour at -6 °C: warming, melting, and what the bare share loses to air, sky and by evaporation."""
    flow = 1.0 / 3600  # kg/(m² s)
    snow = flow * (2100.0 * 6.0 + 4190.0 * 0.56 + 334e3)
    dry = 15.0 * (0.56 + 6.0) + 0.95 * 5.670e-8 * (273.71**4 - (sky + 273.15) ** 4)
    wet = max(15.0 / 0.0665 * (vapor(0.56) - vapor(dew)), 0.0)
    found = melting_w_m2(
        snowfall_m_s=1e-3 / 3600, outdoor_c=-6.0, dew_point_c=dew, sky_c=sky, coefficient_w_m2k=15.0, free_share=free
    )
    assert float(found) == pytest.approx(snow + free * (dry + wet))


def test_a_warm_night_without_snow_asks_for_nothing() -> None:
    warm = {"snowfall_m_s": 0.0, "outdoor_c": 15.0, "dew_point_c": 10.0, "sky_c": 15.0, "coefficient_w_m2k": 15.0}
    assert float(melting_w_m2(**warm)) == 0.0
    # above freezing snow is not warmed up to it
    mild = {**warm, "snowfall_m_s": 1e-6, "free_share": 0.0}
    assert float(melting_w_m2(**mild)) == pytest.approx(1e-3 * (4190.0 * 0.56 + 334e3))
    assert pytest.approx((33 - 32) / 1.8, abs=5e-3) == FILM_C


def test_cold_water_by_its_formula_in_degrees_fahrenheit() -> None:
    days = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    air_c = [-4.0, -2.0, 3.0, 9.0, 15.0, 20.0, 23.0, 22.0, 17.0, 11.0, 5.0, -1.0]
    air = [one * 1.8 + 32 for one in air_c]
    mean = sum(d * one for d, one in zip(days, air, strict=True)) / 365
    ratio, lag, swing = 0.4 + 0.01 * (mean - 44), 35 - (mean - 44), max(air) - min(air)
    for southern, turn in ((False, 90), (True, 270)):
        begun, by_hand = 0.0, []
        for length in days:
            day = begun + length / 2
            water = mean + 6 + ratio * swing / 2 * math.sin(math.radians(0.986 * (day - 15 - lag) - turn))
            by_hand.append((water - 32) / 1.8)
            begun += length
        assert cold_water_c(monthly_air_c=air_c, southern=southern) == pytest.approx(by_hand)
    assert cold_water_c(monthly_air_c=[-20.0] * 12).tolist() == [1.0] * 12


# fuels and heat pumps


def test_fuels_in_the_units_of_tables_and_of_typed_heat_contents() -> None:
    told = {
        name: fuel.heat_content_us(fuel.heat_content_j_per_unit)
        for name, fuel in FUELS.items()
        if name != "electricity"
    }
    assert told == {
        "natural_gas": "1.036 kBtu/ft³", "propane": "91.452 kBtu/gal", "heating_oil": "138.500 kBtu/gal", "wood": "20,000 kBtu/cord",
        "pellets": "8.200 kBtu/lb",
    }  # fmt: skip
    assert FUELS["propane"].heat_content_us(21_500 * BTU / 0.45359237, "kg") == "21.500 kBtu/lb"
    assert FUELS["wood"].heat_content_us(1000.4 * 1e3 * BTU / (128 * FOOT**3)) == "1,000 kBtu/cord"
    assert FUELS["wood"].heat_content_us(999.5 * 1e3 * BTU / (128 * FOOT**3)) == "999.500 kBtu/cord"
    by_mass, by_volume = Quantity(50e6, (2, 0, -2, 0, 0)), Quantity(10e9, (-1, 1, -2, 0, 0))
    for fuel, content, us, si in (
        ("propane", by_mass, (1 / 0.45359237, "lb"), (1.0, "kg")), ("pellets", by_volume, (1 / FOOT**3, "ft³"), (1.0, "m³")),
        ("wood", by_mass, (1 / 0.45359237, "lb"), (1.0, "kg")), ("propane", by_volume, (1 / (231 * INCH**3), "gal"), (1000.0, "L")),
        ("pellets", by_mass, (1 / (2000 * 0.45359237), "short tons"), (1e-3, "t")),
    ):  # fmt: skip
        for system, (each, unit) in (("us", us), ("si", si)):
            amount, name = sold_amount(fuel, 3 * content.value, system, content)
            assert (amount, name) == (pytest.approx(3 * each), unit)
    assert co2_kg([0.0, 2.0, 3.0], 0.5).tolist() == [0.0, 1.0, 1.5]
    # standard deviations of prices within a few years: values from memory, told with each study's uncertainty
    spreads = {
        "electricity": 0.08,
        "natural_gas": 0.15,
        "propane": 0.20,
        "heating_oil": 0.20,
        "wood": 0.15,
        "pellets": 0.10,
    }
    assert {name: fuel.price_spread for name, fuel in FUELS.items()} == spreads


def test_heat_pumps_at_the_ends_of_their_curves() -> None:
    assert carnot_cop(sink_c=[35.0, 35.0, 35.0], source_c=[20.0, 25.0, -265.0], share=0.5) == pytest.approx(
        [0.5 * 308.15 / 15, 0.5 * 308.15 / 15, 1.0]
    )  # fmt: skip
    # the fit lies between lifts of 12 and 59 K; below the value at 12 K holds, above the product of COP and lift
    low = 10.197 - 0.25444 * 12 + 0.00195196 * 144
    high = 10.197 - 0.25444 * 59 + 0.00195196 * 59**2
    assert certified_cop(lift_k=[0.0, 12.0, 13.0, 59.0, 80.0, 200.0]) == pytest.approx(
        [low, low, 10.197 - 0.25444 * 13 + 0.00195196 * 169, high, high * 59 / 80, 1.0]
    )
    one = {"test_supply_c": (35.0,), "test_outdoor_c": (5.0,), "test_cop": (4.0,)}
    # a single point: its share of the ideal everywhere, no smaller lift than its own, and never less from cooler water
    assert cop_between_points(supply_c=[35.0, 55.0, 25.0], outdoor_c=[5.0, -5.0, 5.0], **one) == pytest.approx(
        [4.0, 4.0 * 30 / 308.15 * 328.15 / 60, 4.0]
    )
    for wrong in ({"test_cop": ()}, {"test_supply_c": (35.0, 45.0)}, {"test_outdoor_c": (35.0,)}):
        with pytest.raises(ValueError, match="test points need"):
            cop_between_points(supply_c=35.0, outdoor_c=5.0, **{**one, **wrong})
