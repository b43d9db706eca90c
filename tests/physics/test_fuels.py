"""Fuels against EIA heat contents, 40 CFR 98 emission factors and hand arithmetic."""

from __future__ import annotations

import dataclasses

import pytest

from costsim.physics.combustion import BURNT, EVAPORATION_J_MOL
from costsim.physics.fuels import FUELS, LHV_PER_HHV, MMBTU_J, heat_price_per_j, hhv_efficiency, sold_amount
from costsim.physics.wood import lhv_per_hhv
from costsim.units.quantity import BTU_J, CORD_M3, FOOT_M, GALLON_M3, KWH_J, POUND_KG, THERM_J


def content(name: str) -> float:
    return FUELS[name].heat_content_j_per_unit


def test_heat_contents_are_the_published_ones(published) -> None:
    rows = published("fuels")
    rows["eia_gas"].check(content("natural_gas") * FOOT_M**3 / BTU_J)
    rows["eia_propane"].check(content("propane") * GALLON_M3 / BTU_J)
    rows["eia_oil"].check(content("heating_oil") * GALLON_M3 / BTU_J)
    rows["eia_wood"].check(content("wood") * CORD_M3 / BTU_J)
    rows["eia_electricity"].check(content("electricity") * KWH_J / BTU_J)
    rows["eia_propane_kwh"].check(content("propane") * GALLON_M3 / KWH_J)
    rows["eia_propane_litre"].check(content("propane") * 1e-3 / 1e6)
    rows["eia_oil_kwh"].check(content("heating_oil") * GALLON_M3 / KWH_J)


def test_pellets_lie_inside_the_printed_range(published) -> None:
    rows = published("fuels")
    assert rows["pellets_low"].value < content("pellets") * POUND_KG / BTU_J < rows["pellets_high"].value


def test_carbon_dioxide_is_the_published_one(published) -> None:
    for key, row in published("fuels").items():
        if key.startswith("co2_"):
            name = key.removeprefix("co2_")
            row.check(FUELS[name].co2_kg_per_j * (KWH_J if name == "electricity" else MMBTU_J))


def test_carbon_dioxide_per_sold_unit_goes_by_the_energy(published) -> None:
    rows = published("fuels")
    rows["emission_gas_therm"].check(FUELS["natural_gas"].co2_kg_per_j * THERM_J)
    rows["emission_gas_kwh"].check(FUELS["natural_gas"].co2_kg_per_j * KWH_J)
    rows["emission_propane_gal"].check(FUELS["propane"].co2_kg_per_unit * GALLON_M3)
    rows["emission_oil_gal"].check(FUELS["heating_oil"].co2_kg_per_unit * GALLON_M3)


def test_only_wood_is_biogenic_and_every_fuel_says_where_from() -> None:
    assert {name for name, fuel in FUELS.items() if fuel.biogenic} == {"wood", "pellets"}
    for name, fuel in FUELS.items():
        assert fuel.name == name
        assert fuel.natural_unit in ("m3", "kg", "J")
        assert len(fuel.source) > 10
        assert fuel.vintage[:2] == "20"


def test_a_bill_s_own_heat_content_replaces_the_default() -> None:
    lean = dataclasses.replace(FUELS["natural_gas"], heat_content_j_per_unit=830 * BTU_J / FOOT_M**3)
    assert lean.co2_kg_per_unit / FUELS["natural_gas"].co2_kg_per_unit == pytest.approx(830 / 1036)


def test_a_hundred_cubic_feet_are_no_therm() -> None:
    assert content("natural_gas") * 100 * FOOT_M**3 / THERM_J == pytest.approx(1.036)


def test_prices_of_delivered_heat(published) -> None:
    rows = published("fuels")
    for key, price, unit_j, efficiency in (
        ("price_coal", 47.51, 19.59 * MMBTU_J, 1.0),
        ("delivered_propane", 2.50, content("propane") * GALLON_M3, 0.95),
        ("delivered_gas", 1.20, THERM_J, 0.95),
        ("delivered_electric", 0.13, KWH_J, 1.0),
        ("delivered_off_peak", 0.065, KWH_J, 1.0),
        ("delivered_oil", 3.80, content("heating_oil") * GALLON_M3, 0.86),
        ("delivered_wood", 300.0, content("wood") * CORD_M3, 0.63),
    ):
        heat = heat_price_per_j(price_per_unit=price, heat_content_j_per_unit=unit_j, efficiency=efficiency)
        rows[key].check(heat * MMBTU_J)


def test_a_price_without_heat_is_refused() -> None:
    for wrong in ({"heat_content_j_per_unit": 0.0}, {"heat_content_j_per_unit": 1.0, "efficiency": 0.0}):
        with pytest.raises(ValueError, match="above zero"):
            heat_price_per_j(price_per_unit=1.0, **wrong)


def test_heating_value_ratios(published) -> None:
    rows = published("fuels")
    for key, name in (
        ("lhv_natural_gas", "natural_gas"),
        ("lhv_propane", "propane"),
        ("lhv_heating_oil", "heating_oil"),
    ):
        rows[key].check(LHV_PER_HHV[name])
        burnt = BURNT[name]
        water_share = burnt.hydrogen / 2 * EVAPORATION_J_MOL / burnt.hhv_j_mol
        assert LHV_PER_HHV[name] == pytest.approx(1.0 - water_share, abs=3e-4)


def test_a_net_efficiency_is_cut_before_it_meets_a_gross_price(published) -> None:
    gross = hhv_efficiency(lhv_efficiency=0.90, lhv_per_hhv=float(lhv_per_hhv(moisture=0.2)))
    published("fuels")["lhv_trap_wood"].check(gross * 100)


@pytest.mark.parametrize(
    ("fuel", "energy_j", "system", "amount", "unit"),
    [
        ("electricity", 5 * KWH_J, "us", 5.0, "kWh"),
        ("natural_gas", 3 * THERM_J, "us", 3.0, "therms"),
        ("natural_gas", 3 * KWH_J, "si", 3.0, "kWh"),
        ("propane", 100 * 91452 * BTU_J, "us", 100.0, "gal"),
        ("propane", 100 * 91452 * BTU_J, "si", 378.5411784, "L"),
        ("wood", 40e6 * BTU_J, "us", 2.0, "cords"),
        ("wood", 20e6 * BTU_J, "si", 3.624556363776, "m³ stacked"),
        ("pellets", 2000 * 8200 * BTU_J, "us", 1.0, "short tons"),
        ("pellets", 2000 * 8200 * BTU_J, "si", 0.90718474, "t"),
    ],
)
def test_amounts_are_told_as_they_are_sold(fuel: str, energy_j: float, system: str, amount: float, unit: str) -> None:
    got, name = sold_amount(fuel, energy_j, system)
    assert name == unit
    assert got == pytest.approx(amount, rel=1e-9)


def test_without_an_efficiency_it_is_the_price_of_the_fuel() -> None:
    assert heat_price_per_j(price_per_unit=2.5, heat_content_j_per_unit=1e8) == pytest.approx(2.5e-8)
