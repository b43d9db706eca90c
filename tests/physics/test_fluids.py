"""The table of fluids against CoolProp off its nodes, and against printed tables."""

from __future__ import annotations

import CoolProp.CoolProp as CP  # noqa: N817, its usual name
import pytest
from physics_names import mixture

from costsim.physics.fluids import FLUIDS, fluid_properties, freeze_point_c, mass_fraction_from_volume
from costsim.physics.tabulate_fluids import freeze_of, properties_of
from costsim.units import FOOT_M, POUND_KG


@pytest.mark.parametrize("fluid", ["propylene_glycol", "ethylene_glycol"])
@pytest.mark.parametrize("fraction", [0.025, 0.125, 0.33, 0.47, 0.58])
@pytest.mark.parametrize("temperature", [2.4, 17.3, 42.5, 78.1])
def test_off_the_nodes_it_is_coolprop(fluid: str, fraction: float, temperature: float) -> None:
    found = fluid_properties(fluid=fluid, mass_fraction=fraction, temperature_c=temperature)
    density, heat, viscosity, conductivity = properties_of(CP, fluid, fraction, temperature)
    assert found.density_kg_m3 == pytest.approx(density, rel=2e-3)
    assert found.heat_capacity_j_kgk == pytest.approx(heat, rel=5e-3)
    assert found.viscosity_pa_s == pytest.approx(viscosity, rel=2e-2)
    assert found.conductivity_w_mk == pytest.approx(conductivity, rel=1e-2)
    assert freeze_point_c(fluid=fluid, mass_fraction=fraction) == pytest.approx(freeze_of(CP, fluid, fraction), abs=0.3)


def test_the_table_at_40_degrees(published) -> None:
    rows = published("fluids")
    keys = [key for key in rows if key.startswith("mix_")]
    assert len(keys) == 45
    for key in keys:
        _, short, what = key.split("_")
        fluid, fraction = mixture(short)
        found = fluid_properties(fluid=fluid, mass_fraction=fraction, temperature_c=40.0)
        values = {
            "rho": found.density_kg_m3, "cp": found.heat_capacity_j_kgk, "mu": found.viscosity_pa_s * 1e3, "k": found.conductivity_w_mk,
            "freeze": freeze_point_c(fluid=fluid, mass_fraction=fraction),
        }  # fmt: skip
        rows[key].check(values[what])


def test_freezing_points_of_a_printed_table(published) -> None:
    for key, row in published("fluids").items():
        if key.startswith("lange_freeze_"):
            fraction = mass_fraction_from_volume(
                fluid="propylene_glycol", volume_fraction=int(key.split("_")[-1]) / 100
            )
            row.check(freeze_point_c(fluid="propylene_glycol", mass_fraction=fraction))


def test_densities_of_a_printed_table(published) -> None:
    for key, row in published("fluids").items():
        if key.startswith("ashrae_density_"):
            fraction = mass_fraction_from_volume(fluid="ethylene_glycol", volume_fraction=int(key.split("_")[-1]) / 100)
            found = fluid_properties(fluid="ethylene_glycol", mass_fraction=fraction, temperature_c=(100 - 32) / 1.8)
            row.check(found.density_kg_m3 / (POUND_KG / FOOT_M**3))


def test_labels_in_volume_percent(published) -> None:
    rows = published("fluids")
    rows["volume_pg_30"].check(mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=0.3))
    rows["volume_eg_30"].check(mass_fraction_from_volume(fluid="ethylene_glycol", volume_fraction=0.3))
    assert mass_fraction_from_volume(fluid="water", volume_fraction=0.3) == 0.0


def test_what_is_no_fluid_is_refused() -> None:
    assert "water" in FLUIDS
    with pytest.raises(ValueError, match="not a known fluid"):
        fluid_properties(fluid="brine", mass_fraction=0.1, temperature_c=20.0)
    with pytest.raises(ValueError, match="outside 0 to"):
        freeze_point_c(fluid="ethylene_glycol", mass_fraction=0.7)
