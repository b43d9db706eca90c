"""Fuels against EIA heat contents, 40 CFR 98 emission factors and hand arithmetic."""

from __future__ import annotations

import pytest

from costsim.physics.fuels import FUELS, MMBTU_J, sold_amount
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
    rows["emission_propane_gal"].check(FUELS["propane"].co2_kg_per_j * content("propane") * GALLON_M3)
    rows["emission_oil_gal"].check(FUELS["heating_oil"].co2_kg_per_j * content("heating_oil") * GALLON_M3)


def test_only_wood_is_biogenic_and_every_fuel_says_where_from() -> None:
    assert {name for name, fuel in FUELS.items() if fuel.biogenic} == {"wood", "pellets"}
    for name, fuel in FUELS.items():
        assert fuel.name == name
        assert fuel.natural_unit in ("m3", "kg", "J")
        assert len(fuel.source) > 10
        assert fuel.vintage[:2] == "20"


def test_a_hundred_cubic_feet_are_no_therm() -> None:
    assert content("natural_gas") * 100 * FOOT_M**3 / THERM_J == pytest.approx(1.036)


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
