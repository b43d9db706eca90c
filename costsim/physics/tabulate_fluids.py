"""Write the table of fluid properties: ``python -m costsim.physics.tabulate_fluids``.

CoolProp takes seconds to load, so the program reads the table; the tests hold the table against CoolProp off its nodes.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

NAMES = {"propylene_glycol": "MPG", "ethylene_glycol": "MEG"}
FRACTIONS = [round(0.05 * i, 2) for i in range(13)]
TEMPERATURES_C = [5.0 * i for i in range(20)]
PRESSURE_PA = 2e5
HERE = Path(__file__).parent / "data"


def fluid_name(fluid: str, mass_fraction: float) -> str:
    """CoolProp's name of a mixture; pure water is better described by its own equation of state."""
    return "Water" if mass_fraction == 0 else f"INCOMP::{NAMES[fluid]}[{mass_fraction}]"


def properties_of(coolprop: Any, fluid: str, mass_fraction: float, temperature_c: float) -> list[float]:
    """Density, heat capacity, viscosity and conductivity at 2 bar."""
    name = fluid_name(fluid, mass_fraction)
    state = ("T", max(temperature_c, 0.01) + 273.15, "P", PRESSURE_PA, name)
    return [float(coolprop.PropsSI(key, *state)) for key in ("D", "C", "V", "L")]


def freeze_of(coolprop: Any, fluid: str, mass_fraction: float) -> float:
    """Freezing point [°C]."""
    if mass_fraction == 0:
        return 0.0
    return float(coolprop.PropsSI("T_FREEZE", "T", 300.0, "P", PRESSURE_PA, fluid_name(fluid, mass_fraction))) - 273.15


def main() -> None:
    """Write both tables."""
    import CoolProp.CoolProp as CP  # noqa: N817, its usual name

    with (HERE / "fluids.csv").open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(
            [
                "fluid",
                "mass_fraction",
                "temperature_c",
                "density_kg_m3",
                "heat_capacity_j_kgk",
                "viscosity_pa_s",
                "conductivity_w_mk",
            ]
        )
        for fluid in NAMES:
            for fraction in FRACTIONS:
                for temperature in TEMPERATURES_C:
                    values = [f"{value:.7g}" for value in properties_of(CP, fluid, fraction, temperature)]
                    writer.writerow([fluid, fraction, temperature, *values])
    with (HERE / "freeze.csv").open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(["fluid", "mass_fraction", "freeze_c"])
        for fluid in NAMES:
            for fraction in FRACTIONS:
                writer.writerow([fluid, fraction, f"{freeze_of(CP, fluid, fraction):.4f}"])


if __name__ == "__main__":
    main()
