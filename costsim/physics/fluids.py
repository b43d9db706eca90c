"""Water and antifreeze: properties over temperature and concentration, freezing point, label percent to mass fraction."""

from __future__ import annotations

import csv
import functools
from dataclasses import dataclass
from importlib import resources

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
FLUIDS = ("water", "propylene_glycol", "ethylene_glycol")
MOST_MASS_FRACTION = 0.60
# Densities at 20 °C, for turning the volume percent of labels into mass; value from memory, checked by two worked conversions.
_NEAT_KG_M3 = {"propylene_glycol": 1036.0, "ethylene_glycol": 1113.0}
_WATER_KG_M3 = 998.2


@dataclass(frozen=True, slots=True)
class FluidProperties:
    """Properties at one temperature."""

    density_kg_m3: float
    heat_capacity_j_kgk: float
    viscosity_pa_s: float
    conductivity_w_mk: float

    @property
    def prandtl(self) -> float:
        """Prandtl number."""
        return self.viscosity_pa_s * self.heat_capacity_j_kgk / self.conductivity_w_mk


@functools.cache
def _table(fluid: str) -> tuple[Floats, Floats, Floats]:
    """Mass fractions, temperatures and properties (fractions, temperatures, 4) of one fluid."""
    with (resources.files("costsim.physics") / "data" / "fluids.csv").open(encoding="utf-8") as stream:
        rows = [row for row in csv.reader(stream) if row[0] == fluid]
    values = np.array([[float(cell) for cell in row[1:]] for row in rows])
    fractions, temperatures = np.unique(values[:, 0]), np.unique(values[:, 1])
    return fractions, temperatures, values[:, 2:].reshape(len(fractions), len(temperatures), 4)


@functools.cache
def _freeze_table(fluid: str) -> tuple[Floats, Floats]:
    with (resources.files("costsim.physics") / "data" / "freeze.csv").open(encoding="utf-8") as stream:
        rows = [[float(cell) for cell in row[1:]] for row in csv.reader(stream) if row[0] == fluid]
    return np.array(rows)[:, 0], np.array(rows)[:, 1]


def _checked(fluid: str, mass_fraction: float) -> str:
    if fluid not in FLUIDS:
        raise ValueError(f"'{fluid}' is not a known fluid; use one of {', '.join(FLUIDS)}")
    if not 0.0 <= mass_fraction <= MOST_MASS_FRACTION:
        raise ValueError(f"a mass fraction of {mass_fraction:g} lies outside 0 to {MOST_MASS_FRACTION:g}")
    return "propylene_glycol" if fluid == "water" else fluid


def fluid_properties(*, fluid: str, mass_fraction: float, temperature_c: float) -> FluidProperties:
    """Properties of water or an antifreeze mixture at 2 bar.

    Parameters
    ----------
    fluid : str
        One of `FLUIDS`.
    mass_fraction : float
        Antifreeze per mixture by mass, 0 to 0.6; 0 is plain water.
    temperature_c : float
        0 to 95 °C; held at the ends outside.

    Returns
    -------
    FluidProperties

    Raises
    ------
    ValueError
        Unknown fluid, or a concentration outside the table.

    Notes
    -----
    Bilinear in concentration and temperature on a grid of 0.05 and 5 K, viscosity by its logarithm.

    References
    ----------
    CoolProp 8: Water, INCOMP::MPG and INCOMP::MEG, tabulated by `costsim.physics.tabulate_fluids`.

    Examples
    --------
    >>> water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)
    >>> round(water.density_kg_m3, 1), round(water.heat_capacity_j_kgk)
    (992.3, 4179)
    """
    fractions, temperatures, table = _table(_checked(fluid, mass_fraction))
    fraction = 0.0 if fluid == "water" else mass_fraction
    i = int(np.clip(np.searchsorted(fractions, fraction, side="right") - 1, 0, len(fractions) - 2))
    j = int(np.clip(np.searchsorted(temperatures, temperature_c, side="right") - 1, 0, len(temperatures) - 2))
    a = (fraction - fractions[i]) / (fractions[i + 1] - fractions[i])
    b = float(np.clip((temperature_c - temperatures[j]) / (temperatures[j + 1] - temperatures[j]), 0.0, 1.0))
    corners = table[i : i + 2, j : j + 2].copy()
    corners[..., 2] = np.log(corners[..., 2])
    along = corners[0] * (1 - a) + corners[1] * a
    density, heat, viscosity, conductivity = along[0] * (1 - b) + along[1] * b
    return FluidProperties(float(density), float(heat), float(np.exp(viscosity)), float(conductivity))


def freeze_point_c(*, fluid: str, mass_fraction: float) -> float:
    """Temperature at which ice begins to form [°C].

    Examples
    --------
    >>> round(freeze_point_c(fluid="propylene_glycol", mass_fraction=0.4), 1)
    -20.6
    """
    fractions, freeze = _freeze_table(_checked(fluid, mass_fraction))
    return 0.0 if fluid == "water" else float(np.interp(mass_fraction, fractions, freeze))


def mass_fraction_from_volume(*, fluid: str, volume_fraction: float) -> float:
    """Mass fraction of a mixture whose label gives percent by volume at 20 °C.

    Examples
    --------
    >>> round(mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=0.3), 3)
    0.308
    """
    if fluid == "water":
        return 0.0
    neat = _NEAT_KG_M3[fluid] * volume_fraction
    return neat / (neat + _WATER_KG_M3 * (1.0 - volume_fraction))
