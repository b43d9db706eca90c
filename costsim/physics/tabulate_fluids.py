"""Write the table of fluid properties: ``python -m costsim.physics.tabulate_fluids``.

CoolProp takes seconds to load, so the program reads the table; the tests hold the table against CoolProp off its nodes.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from costsim.units.table import ZERO_C_K

NAMES = {"propylene_glycol": "MPG", "ethylene_glycol": "MEG"}
FRACTIONS = [round(0.05 * i, 2) for i in range(13)]
COLDEST_C, HOTTEST_C, STEP_K = -35.0, 95.0, 5.0
PRESSURE_PA = 2e5
COLUMNS = (
    "fluid", "mass_fraction", "temperature_c", "density_kg_m3", "heat_capacity_j_kgk", "viscosity_pa_s", "conductivity_w_mk",
)  # fmt: skip
HERE = Path(__file__).parent / "data"


def fluid_name(fluid: str, mass_fraction: float) -> str:
    """CoolProp's name of a mixture; pure water is better described by its own equation of state."""
    return "Water" if mass_fraction == 0 else f"INCOMP::{NAMES[fluid]}[{mass_fraction}]"


def properties_of(coolprop: Any, fluid: str, mass_fraction: float, temperature_c: float) -> list[float]:
    """Density, heat capacity, viscosity and conductivity at 2 bar; CoolProp refuses what is frozen."""
    state = ("T", temperature_c + ZERO_C_K, "P", PRESSURE_PA, fluid_name(fluid, mass_fraction))
    return [float(coolprop.PropsSI(key, *state)) for key in ("D", "C", "V", "L")]


def freeze_of(coolprop: Any, fluid: str, mass_fraction: float) -> float:
    """Freezing point [°C]."""
    if mass_fraction == 0:
        return 0.0
    return (
        float(coolprop.PropsSI("T_FREEZE", "T", 300.0, "P", PRESSURE_PA, fluid_name(fluid, mass_fraction))) - ZERO_C_K
    )


def temperatures_c(freeze_c: float) -> list[float]:
    """Nodes of one mixture: its own coldest liquid temperature, then every 5 K."""
    lowest = math.ceil(max(freeze_c, COLDEST_C) * 100) / 100
    whole = np.arange(COLDEST_C, HOTTEST_C + STEP_K / 2, STEP_K)
    # a node right beside the lowest one would make the interpolation stiff
    return [lowest, *(float(node_c) for node_c in whole if node_c > lowest + STEP_K / 4)]


def main() -> None:
    """Write both tables."""
    import CoolProp.CoolProp as CP  # noqa: N817, its usual name

    mixtures = [("water", 0.0)] + [(fluid, fraction) for fluid in NAMES for fraction in FRACTIONS[1:]]
    rows: list[list[object]] = []
    for fluid, fraction in mixtures:
        for temperature in temperatures_c(freeze_of(CP, fluid, fraction)):
            values = [f"{value:.7g}" for value in properties_of(CP, fluid, fraction, temperature)]
            rows.append([fluid, fraction, temperature, *values])
    _write("fluids.csv", COLUMNS, rows)
    freezing: list[list[object]] = [
        [fluid, fraction, f"{freeze_of(CP, fluid, fraction):.4f}"] for fluid in NAMES for fraction in FRACTIONS
    ]
    _write("freeze.csv", ("fluid", "mass_fraction", "freeze_c"), freezing)


def _write(name: str, columns: Sequence[str], rows: list[list[object]]) -> None:
    with (HERE / name).open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerows([columns, *rows])


if __name__ == "__main__":
    main()
