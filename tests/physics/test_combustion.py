"""Burners against stoichiometry worked apart from the program, CoolProp, emission factors and makers' manuals."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.physics import combustion
from costsim.physics.combustion import (
    BURNT,
    altitude_derate,
    condensing_efficiency,
    dew_point_c,
    flow_limited_capacity_w,
    propane_vaporisation_w,
    saturation_pressure_pa,
    theoretical_efficiency,
)
from costsim.physics.fuels import MMBTU_J
from costsim.units.quantity import BTU_J, FOOT_M, HOUR_S, INCH_M

FUELS = sorted(BURNT)


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def vaporisation(fill: float, fahrenheit: float) -> float:
    """Btu/h of a 1000 gallon tank, 41 in by 192 in."""
    where = {"diameter_m": 41 * INCH_M, "length_m": 192 * INCH_M}
    return float(propane_vaporisation_w(fill=fill, outdoor_c=celsius(fahrenheit), **where)) * HOUR_S / BTU_J


def test_efficiency_is_what_the_flue_gas_does_not_carry_off(published) -> None:
    """Heat of combustion less sensible and latent heat of the flue gas, worked apart from this program: no published table."""
    seen = 0
    for key, row in published("combustion").items():
        if key.startswith("flue_"):
            fuel, fahrenheit = key.removeprefix("flue_").rsplit("_", 1)
            row.check(100 * float(theoretical_efficiency(flue_c=celsius(float(fahrenheit)), fuel=fuel)))
            seen += 1
        if key.startswith("return_"):
            flue_c = celsius(float(key.removeprefix("return_")) + 10)
            row.check(100 * float(theoretical_efficiency(flue_c=flue_c, fuel="natural_gas")))
            seen += 1
    assert seen == 24


def test_dew_points_are_those_of_the_vapour_s_share(published) -> None:
    """The vapour's share of the flue gas times its pressure is the saturation pressure there; worked apart, no published table."""
    rows = published("combustion")
    for key, row in rows.items():
        if key.startswith("dew_"):
            fuel, percent = key.removeprefix("dew_").rsplit("_", 1)
            row.check(dew_point_c(fuel=fuel, excess_air=float(percent) / 100))
    rows["dewpoint_high_altitude"].check(dew_point_c(fuel="natural_gas", pressure_pa=84300.0))
    rows["field_condensing_return"].check(dew_point_c(fuel="natural_gas") * 1.8 + 32)


def test_steam_agrees_with_coolprop() -> None:
    for temperature in (1.0, 25.0, 55.0, 82.0, 99.0):
        outside = PropsSI("P", "T", temperature + 273.15, "Q", 0, "Water")
        assert float(saturation_pressure_pa(temperature_c=temperature)) == pytest.approx(outside, rel=2e-4)
    latent = PropsSI("Hmolar", "T", 298.15, "Q", 1, "Water") - PropsSI("Hmolar", "T", 298.15, "Q", 0, "Water")
    assert pytest.approx(latent, rel=1e-3) == combustion.EVAPORATION_J_MOL


@pytest.mark.parametrize(
    ("name", "used"),
    [
        ("CarbonDioxide", combustion._CP_CO2),
        ("Oxygen", combustion._CP_O2),
        ("Nitrogen", combustion._CP_N2),
        ("Water", combustion._CP_VAPOUR),
    ],
)
def test_heat_capacities_agree_with_coolprop(name: str, used: float) -> None:
    # ideal-gas values, averaged between 25 and 100 °C
    mean = np.mean([PropsSI("CP0MOLAR", "T", t + 273.15, "P", 1e3, name) for t in np.linspace(25, 100, 16)])
    assert used == pytest.approx(mean, rel=0.01)


def test_carbon_of_the_molecules_agrees_with_the_emission_factors(published) -> None:
    carbon = {key: row for key, row in published("combustion").items() if key.startswith("carbon_")}
    assert len(carbon) == len(BURNT)
    for key, row in carbon.items():
        burnt = BURNT[key.removeprefix("carbon_")]
        row.check(burnt.carbon * 44.0095e-3 / burnt.hhv_j_mol * MMBTU_J)


@settings(max_examples=60, deadline=None)
@given(
    fuel=st.sampled_from(FUELS),
    water=st.floats(5.0, 90.0),
    approach=st.floats(0.0, 30.0),
    loss=st.floats(0.0, 0.1),
    air=st.sampled_from([0.0, 0.2, 0.5]),
    pressure=st.sampled_from([70e3, 101325.0]),
)
def test_a_real_unit_never_beats_theory(
    fuel: str, water: float, approach: float, loss: float, air: float, pressure: float
) -> None:
    about = {"fuel": fuel, "excess_air": air, "pressure_pa": pressure}
    real = float(condensing_efficiency(return_c=water, approach_k=approach, jacket_loss=loss, **about))
    theory = float(theoretical_efficiency(flue_c=water + approach, **about))
    assert real <= theory - loss + 1e-12
    assert real >= theory - loss - 2e-4  # the tabulated curve stays close below


@pytest.mark.parametrize("fuel", FUELS)
def test_efficiency_falls_with_the_return_and_breaks_at_the_dew_point(fuel: str) -> None:
    flue = np.linspace(5.0, 120.0, 400)
    efficiency = theoretical_efficiency(flue_c=flue, fuel=fuel)
    assert np.all(np.diff(efficiency) < 0)
    dew = dew_point_c(fuel=fuel)
    slopes = [
        float(np.diff(theoretical_efficiency(flue_c=[dew + a, dew + a + 1.0], fuel=fuel))[0]) for a in (-1.1, 0.1)
    ]
    assert slopes[0] < 5 * slopes[1]


def test_without_condensation_cold_flue_gas_gives_the_lower_heating_value() -> None:
    # Above the dew point only sensible heat depends on temperature, so the line run back to 25 °C must give LHV/HHV.
    dry = theoretical_efficiency(flue_c=[70.0, 170.0], fuel="natural_gas")
    per_kelvin = float(dry[0] - dry[1]) / 100.0
    assert float(dry[0]) + 45.0 * per_kelvin == pytest.approx(802.6 / 890.58, abs=1e-4)


def test_default_curve_lies_near_an_owner_s_readings(published) -> None:
    rows = published("combustion")
    for key, fahrenheit in (("field_owner_90", 90.0), ("field_owner_170", 170.0)):
        rows[key].check(100 * float(condensing_efficiency(return_c=celsius(fahrenheit), fuel="natural_gas")))


def test_efficiency_keeps_the_shape_of_a_year() -> None:
    year = np.linspace(20.0, 70.0, 8760)
    assert condensing_efficiency(return_c=year, fuel="propane").shape == (8760,)


@pytest.mark.parametrize("fuel", ["natural_gas", "propane", "heating_oil"])
def test_the_tabulated_curve_is_theory_between_its_nodes(fuel: str) -> None:
    dew = dew_point_c(fuel=fuel)
    flue = np.concatenate([np.linspace(0.0, 94.5, 1891), [dew - 1e-9, dew, dew + 1e-9, 94.6, 250.0]])
    read = condensing_efficiency(return_c=flue, fuel=fuel, approach_k=0.0, jacket_loss=0.0)
    theory = theoretical_efficiency(flue_c=flue, fuel=fuel)
    assert (read <= theory + 1e-10).all()
    np.testing.assert_allclose(read, theory, rtol=0, atol=2e-5)
    beyond = condensing_efficiency(return_c=[-20.0, 0.0, 250.0, 400.0], fuel=fuel, approach_k=0.0, jacket_loss=0.0)
    assert beyond[0] == beyond[1]
    assert beyond[2] == beyond[3]


def test_wrong_inputs_are_refused() -> None:
    with pytest.raises(ValueError, match="not burned"):
        dew_point_c(fuel="wood")
    with pytest.raises(ValueError, match="negative"):
        theoretical_efficiency(flue_c=50.0, fuel="propane", excess_air=-0.1)
    with pytest.raises(ValueError, match="must not be negative"):
        condensing_efficiency(return_c=30.0, fuel="propane", jacket_loss=-0.01)
    with pytest.raises(ValueError, match="unknown"):
        altitude_derate(altitude_m=1000.0, reading="canada")


def test_both_printed_readings_of_the_altitude_rule(published) -> None:
    for key, row in published("combustion").items():
        if key.startswith("altitude_total_"):
            row.check(altitude_derate(altitude_m=float(key.rsplit("_", 1)[1]) * FOOT_M))
        elif key.startswith("altitude_above_"):
            row.check(altitude_derate(altitude_m=float(key.rsplit("_", 1)[1]) * FOOT_M, reading="above_2000ft"))
    assert altitude_derate(altitude_m=2000 * FOOT_M) == 1.0
    assert altitude_derate(altitude_m=-50.0) == 1.0
    assert altitude_derate(altitude_m=9000.0) == 0.0


def test_flow_limit_is_the_heat_the_water_can_carry() -> None:
    water = {"density_kg_m3": 992.26, "heat_capacity_j_kgk": 4179.2}
    flow = 0.6 * 231 * INCH_M**3 / 60  # 0.6 gpm
    limit = flow_limited_capacity_w(flow_m3_s=flow, max_outlet_c=50.0, inlet_c=[50.0 - 20 / 1.8, 60.0], **water)
    # 5951 Btu/h: exact water at 40 °C over 20 °F, against the "500 gpm dT" rule's 6000
    assert limit[0] * HOUR_S / BTU_J == pytest.approx(5951, rel=1e-3)
    assert limit[1] == 0.0


def test_tank_vaporisation_gives_the_printed_numbers(published) -> None:
    rows = published("combustion")
    rows["tank_1000gal_30_minus10"].check(vaporisation(0.3, -10.0))
    rows["tank_84lb_50_over_20"].check(vaporisation(0.5, 0.0) / vaporisation(0.2, 0.0))
    for key, row in rows.items():
        if key.startswith("tankshare_"):
            fahrenheit = float(key.removeprefix("tankshare_").replace("minus", "-"))
            row.check(100 * vaporisation(0.4, fahrenheit) / vaporisation(0.4, 0.0))


def test_tank_gives_nothing_when_empty_or_colder_than_boiling_propane() -> None:
    assert vaporisation(0.0, 20.0) == 0.0
    assert vaporisation(0.5, -45.0) == 0.0
    assert vaporisation(0.8, 70.0) == vaporisation(0.6, 20.0)


@pytest.mark.parametrize("fuel", ["natural_gas", "propane"])
@pytest.mark.parametrize("altitude_m", [0.0, 1600.0, 2450.0])
def test_thin_air_holds_more_vapour(fuel: str, altitude_m: float) -> None:
    """Vapour left in the flue gas by Dalton's law, with CoolProp's saturation pressure and the hydrostatic pressure of pvlib."""
    from pvlib.atmosphere import alt2pres

    from costsim.physics.combustion import air_pressure_pa

    pressure = alt2pres(altitude_m)
    assert air_pressure_pa(altitude_m=altitude_m) == pytest.approx(pressure, rel=2e-3)
    carbon, hydrogen, hhv = {"natural_gas": (1.0, 4.0, 890.58e3), "propane": (3.0, 8.0, 2219.17e3)}[fuel]
    oxygen = carbon + hydrogen / 4.0
    dry = carbon + 0.2 * oxygen + 1.2 * oxygen * 79.0 / 21.0
    for flue_c in (35.0, 45.0, 50.0):
        saturation = PropsSI("P", "T", flue_c + 273.15, "Q", 1, "Water")
        vapour = min(hydrogen / 2.0, dry * saturation / (pressure - saturation))
        latent_lost = vapour * 44.0e3 / hhv
        at_sea = min(hydrogen / 2.0, dry * saturation / (101325.0 - saturation)) * 44.0e3 / hhv
        found = theoretical_efficiency(flue_c=flue_c, fuel=fuel, pressure_pa=air_pressure_pa(altitude_m=altitude_m))
        sea = theoretical_efficiency(flue_c=flue_c, fuel=fuel)
        # what evaporates takes a little sensible heat of its own along, under a tenth of a point here
        assert float(sea - found) == pytest.approx(latent_lost - at_sea, abs=1e-3)
