"""The table of fluids against CoolProp off its nodes, and against printed tables."""

from __future__ import annotations

import subprocess
import sys

import CoolProp.CoolProp as CP  # noqa: N817, its usual name
import numpy as np
import pytest
from physics_names import mixture

from costsim.physics.fluids import FLUIDS, fluid_properties, freeze_point_c, mass_fraction_from_volume
from costsim.physics.tabulate_fluids import freeze_of, properties_of
from costsim.units.quantity import FOOT_M, POUND_KG

GLYCOLS = ["propylene_glycol", "ethylene_glycol"]


def apart(fluid: str, fraction: float, temperature: float) -> list[float]:
    """Relative difference to CoolProp of density, heat capacity, viscosity and conductivity."""
    found = fluid_properties(fluid=fluid, mass_fraction=fraction, temperature_c=temperature)
    ours = (found.density_kg_m3, found.heat_capacity_j_kgk, found.viscosity_pa_s, found.conductivity_w_mk)
    theirs = properties_of(CP, fluid, fraction, temperature)
    return [abs(a / b - 1) for a, b in zip(ours, theirs, strict=True)]


@pytest.mark.parametrize("fluid", GLYCOLS)
@pytest.mark.parametrize("fraction", [0.05, 0.069, 0.125, 0.33, 0.47, 0.581, 0.6])
def test_off_the_nodes_it_is_coolprop_from_freezing_up(fluid: str, fraction: float) -> None:
    freeze = freeze_of(CP, fluid, fraction)
    for temperature in np.arange(max(freeze, -35.0) + 0.2, 95.0, 3.7):
        assert max(apart(fluid, fraction, float(temperature))) < 5e-4
    assert freeze_point_c(fluid=fluid, mass_fraction=fraction) == pytest.approx(freeze, abs=0.02)


@pytest.mark.parametrize("temperature", [0.1, 2.4, 17.3, 42.5, 78.1, 94.9])
def test_water_is_coolprops_water(temperature: float) -> None:
    assert max(apart("water", 0.0, temperature)) < 1e-4
    for fluid in GLYCOLS:
        assert max(apart(fluid, 0.0, temperature)) < 1e-4


@pytest.mark.parametrize("fluid", GLYCOLS)
def test_thin_mixtures_bridge_the_gap_between_coolprops_two_models(fluid: str) -> None:
    # CoolProp's mixture of 0.01 % differs from its own water by up to 1.6 % in viscosity and 1 % in conductivity
    for fraction in (0.001, 0.02, 0.04):
        for temperature in (3.3, 41.2, 90.0):
            assert max(apart(fluid, fraction, temperature)) < 0.017


@pytest.mark.parametrize("fluid", GLYCOLS)
def test_no_step_at_the_seams(fluid: str) -> None:
    for seam in (0.05, 0.2, 0.45):
        below, above = (
            fluid_properties(fluid=fluid, mass_fraction=seam + side, temperature_c=12.0).viscosity_pa_s
            for side in (-1e-7, 1e-7)
        )
        assert below == pytest.approx(above, rel=1e-5)


def test_beyond_freezing_and_boiling_the_ends_are_held() -> None:
    def at(temperature_c: float) -> float:
        return fluid_properties(fluid="propylene_glycol", mass_fraction=0.3, temperature_c=temperature_c).viscosity_pa_s

    freeze = freeze_point_c(fluid="propylene_glycol", mass_fraction=0.3)
    assert at(-40.0) == at(freeze) > at(freeze + 1.0)
    assert at(120.0) == at(95.0) < at(94.0)


def test_the_program_does_not_load_coolprop_or_pandas() -> None:
    code = (
        "import sys; from costsim.physics.fluids import fluid_properties as f; "
        "f(fluid='ethylene_glycol', mass_fraction=0.3, temperature_c=20.0); "
        "print(sorted({'CoolProp', 'pandas', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


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
    rows = {key: row for key, row in published("fluids").items() if key.startswith("lange_freeze_")}
    assert len(rows) == 4
    for key, row in rows.items():
        share = int(key.split("_")[-1]) / 100
        fraction = mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=share)
        row.check(freeze_point_c(fluid="propylene_glycol", mass_fraction=fraction))


def test_densities_of_a_printed_table(published) -> None:
    rows = {key: row for key, row in published("fluids").items() if key.startswith("ashrae_density_")}
    assert len(rows) == 5
    for key, row in rows.items():
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
    with pytest.raises(ValueError, match="not a known fluid"):
        mass_fraction_from_volume(fluid="brine", volume_fraction=0.3)
    with pytest.raises(ValueError, match="volume fraction of 30 lies outside 0 to 1"):
        mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=30)
