"""Water and antifreeze: properties over temperature and concentration, freezing point, label percent to mass fraction."""

from __future__ import annotations

import csv
import functools
import math
from dataclasses import dataclass
from importlib import resources

import numpy as np

from costsim.units.arrays import Floats

FLUIDS = ("water", "propylene_glycol", "ethylene_glycol")
MOST_MASS_FRACTION = 0.60
THINNEST = 0.05
COLDEST_C, HOTTEST_C = -35.0, 95.0
FILL_C = 10.0
"""Temperature of the water that a circuit is filled with; common practice, no source."""
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
def _table(fluid: str) -> dict[float, tuple[Floats, Floats]]:
    """For each mass fraction of one fluid its temperatures [°C] and properties (temperatures, 4), viscosity as logarithm."""
    with (resources.files("costsim.physics") / "data" / "fluids.csv").open(encoding="utf-8") as stream:
        rows = [[float(cell) for cell in row[1:]] for row in csv.reader(stream) if row[0] == fluid]
    values = np.array(rows)
    values[:, 4] = np.log(values[:, 4])
    fractions = np.unique(values[:, 0])
    return {
        float(fraction): (
            values[values[:, 0] == fraction, 1],
            np.ascontiguousarray(values[values[:, 0] == fraction, 2:]),
        )
        for fraction in fractions
    }


@functools.cache
def _freeze_table(fluid: str) -> tuple[Floats, Floats]:
    with (resources.files("costsim.physics") / "data" / "freeze.csv").open(encoding="utf-8") as stream:
        rows = [[float(cell) for cell in row[1:]] for row in csv.reader(stream) if row[0] == fluid]
    return np.array(rows)[:, 0], np.array(rows)[:, 1]


def _cubic(nodes: Floats, values: Floats, at: float) -> Floats:
    """Value at a point from the cubic through the four nodes around it (Lagrange)."""
    first = int(np.clip(np.searchsorted(nodes, at) - 2, 0, len(nodes) - 4))
    near = nodes[first : first + 4]
    apart = near[:, None] - near + np.eye(4)
    ahead = np.where(np.eye(4, dtype=bool), 1.0, at - near)
    return np.asarray((ahead / apart).prod(axis=1) @ values[first : first + 4])


def _checked(fluid: str, share: float, what: str = "mass fraction", most: float = MOST_MASS_FRACTION) -> None:
    if fluid not in FLUIDS:
        raise ValueError(f"'{fluid}' is not a known fluid; use one of {', '.join(FLUIDS)}")
    if not 0.0 <= share <= most:
        raise ValueError(f"a {what} of {share:g} lies outside 0 to {most:g}")


def fluid_properties(*, fluid: str, mass_fraction: float, temperature_c: float) -> FluidProperties:
    """Properties of water or an antifreeze mixture at 2 bar.

    Parameters
    ----------
    fluid : str
        One of `FLUIDS`.
    mass_fraction : float
        Antifreeze per mixture by mass, 0 to 0.6; 0 is plain water. What is given with "water" counts as 0.
    temperature_c : float
        From freezing (or −35 °C) to 95 °C; held at the ends outside.

    Returns
    -------
    FluidProperties

    Raises
    ------
    ValueError
        Unknown fluid, or a concentration outside the table.

    Notes
    -----
    Cubic in temperature (nodes 5 K apart) and in concentration (0.05), viscosity by its logarithm: within 0.03 % of CoolProp
    from 0.05 on. CoolProp's thinnest mixtures do not run into its water (viscosity off by up to 1.6 %), so below 0.05
    the table goes straight from water, whose equation of state is the better one, to the mixture of 0.05.

    References
    ----------
    CoolProp 8: Water, INCOMP::MPG and INCOMP::MEG, tabulated by `costsim.physics.tabulate_fluids`.

    Examples
    --------
    >>> water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)
    >>> round(water.density_kg_m3, 1), round(water.heat_capacity_j_kgk)
    (992.3, 4179)
    """
    coldest = max(freeze_point_c(fluid=fluid, mass_fraction=mass_fraction), COLDEST_C)
    at = min(max(temperature_c, coldest), HOTTEST_C)
    fraction = 0.0 if fluid == "water" else mass_fraction
    values = _cubic(*_table("water")[0.0], at) if fraction < THINNEST else np.zeros(4)
    if fraction > 0.0:
        mixtures = _table(fluid)
        # frozen neighbours lend their curve continued, so that a mixture's own liquid range is always covered
        columns = np.array([_cubic(*mixture, at) for mixture in mixtures.values()])
        share = min(fraction / THINNEST, 1.0)
        values = values * (1.0 - share) + _cubic(np.array([*mixtures]), columns, max(fraction, THINNEST)) * share
    density, heat, viscosity, conductivity = (float(figure) for figure in values)
    return FluidProperties(density, heat, math.exp(viscosity), conductivity)


def boiling_c(*, altitude_m: float) -> float:
    """Temperature at which water boils at an altitude [°C], from −400 to 5,500 m.

    References
    ----------
    Standard atmosphere for the pressure; Antoine's equation for water from 1 to 100 °C (value from memory).

    Examples
    --------
    >>> round(boiling_c(altitude_m=0.0), 1), round(boiling_c(altitude_m=1609.0), 1)
    (100.0, 94.7)
    """
    mercury_mm = 760.0 * (1.0 - 2.25577e-5 * altitude_m) ** 5.25588
    return 1730.63 / (8.07131 - math.log10(mercury_mm)) - 233.426


def freeze_point_c(*, fluid: str, mass_fraction: float) -> float:
    """Temperature at which ice begins to form [°C].

    Examples
    --------
    >>> round(freeze_point_c(fluid="propylene_glycol", mass_fraction=0.4), 1)
    -20.6
    """
    _checked(fluid, mass_fraction)
    return 0.0 if fluid == "water" else float(_cubic(*_freeze_table(fluid), mass_fraction))


def mass_fraction_from_volume(*, fluid: str, volume_fraction: float) -> float:
    """Mass fraction of a mixture whose label gives percent by volume at 20 °C.

    Examples
    --------
    >>> round(mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=0.3), 3)
    0.308
    """
    _checked(fluid, volume_fraction, "volume fraction", most=1.0)
    if fluid == "water":
        return 0.0
    neat = _NEAT_KG_M3[fluid] * volume_fraction
    return neat / (neat + _WATER_KG_M3 * (1.0 - volume_fraction))


def mixed(antifreeze: str, volume_fraction: float, temperature_c: float) -> FluidProperties:
    """Properties of an antifreeze by its share of the volume, or of water where it is ``"none"``.

    Examples
    --------
    >>> round(mixed("none", 0.0, FILL_C).density_kg_m3, 1)
    999.7
    """
    if antifreeze == "none":
        return fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=temperature_c)
    mass = mass_fraction_from_volume(fluid=antifreeze, volume_fraction=volume_fraction)
    return fluid_properties(fluid=antifreeze, mass_fraction=mass, temperature_c=temperature_c)
