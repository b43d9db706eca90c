"""Radiant floor: what the surface gives off, and how heat gets from the water in a tube to the room."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from costsim.physics.fluids import FluidProperties
from costsim.physics.hydraulics import Tube, film_coefficient_w_m2k
from costsim.units.arrays import Floats

COEFFICIENT, EXPONENT = 8.92, 1.1
WAVES = 100
"""Terms of the slab's sum: 50 more change nothing in the sixth figure at any cover and spacing met in floors."""
PER_WAVE = 1.0 / np.arange(1, WAVES + 1)
BELOW_M2K_W = 0.17
"""Surface resistance under a floor, heat flowing down (ISO 6946, value from memory)."""
SURFACE_LIMIT_C = {"occupied": 29.0, "perimeter": 35.0}
BATHROOM_LIMIT_K = 9.0
"""Highest mean surface temperatures (EN 1264): 29 °C where people stay, 35 °C along outer walls, room + 9 K in baths."""


def surface_flux_w_m2(*, excess_k: ArrayLike) -> Floats:
    """Heat given off by a heated floor.

    Parameters
    ----------
    excess_k : float or array
        Mean surface temperature over the room's operative temperature [K]; not water over room.

    Returns
    -------
    float or array
        [W/m²].

    Notes
    -----
    ``q = 8.92 ΔT^1.1``.

    References
    ----------
    EN 1264-2 and ISO 11855-2, basic characteristic curve.

    Examples
    --------
    >>> round(float(surface_flux_w_m2(excess_k=5.0)), 1)
    52.4
    """
    return np.asarray(COEFFICIENT * np.maximum(np.asarray(excess_k, dtype=float), 0.0) ** EXPONENT)


def surface_excess_k(*, flux_w_m2: ArrayLike) -> Floats:
    """Surface temperature over the room that gives a flux [K]; the inverse of `surface_flux_w_m2`."""
    return np.asarray(_excess_k(np.maximum(np.asarray(flux_w_m2, dtype=float), 0.0)))


def _excess_k(flux_w_m2: Any) -> Any:
    """The basic curve read backwards, for a float or an array that is not negative."""
    return (flux_w_m2 / COEFFICIENT) ** (1.0 / EXPONENT)


def surface_limit_w_m2(*, zone: str, room_c: Any = 20.0) -> Any:
    """Most heat that a floor may give without getting too warm to stand on [W/m²].

    Parameters
    ----------
    zone : str
        occupied, perimeter or bathroom.
    room_c : float or array
        Room temperature [°C]; a warmer room leaves less between it and the limit.

    Returns
    -------
    float or array

    Examples
    --------
    >>> round(surface_limit_w_m2(zone="occupied")), round(surface_limit_w_m2(zone="perimeter"))
    (100, 175)
    >>> round(surface_limit_w_m2(zone="occupied", room_c=22.0))
    76
    """
    if np.ndim(room_c):
        return surface_flux_w_m2(excess_k=_limit_k(zone, room_c) + np.zeros(np.shape(room_c)))
    return _limit_w_m2(zone, float(room_c))


def _limit_k(zone: str, room_c: Any) -> Any:
    return BATHROOM_LIMIT_K if zone == "bathroom" else SURFACE_LIMIT_C[zone] - room_c


@functools.lru_cache(maxsize=256)
def _limit_w_m2(zone: str, room_c: float) -> float:
    return float(surface_flux_w_m2(excess_k=_limit_k(zone, room_c)))


@dataclass(frozen=True, slots=True)
class BuildUp:
    """The layer in which the tubes lie. `cover_m` of it lies above the tubes."""

    name: str
    title: str
    thickness_m: float
    cover_m: float
    conductivity_w_mk: float
    volumetric_heat_capacity_j_m3k: float

    @property
    def heat_capacity_j_m2k(self) -> float:
        """Heat capacity per floor area [J/(m² K)], from thickness and material."""
        return self.thickness_m * self.volumetric_heat_capacity_j_m3k

    @property
    def mass_kg_m2(self) -> float:
        """Mass per floor area of a mineral layer [kg/m²], of which a kilogram takes 1,000 J/K."""
        return self.heat_capacity_j_m2k / 1000.0

    def depths_m(self, outside_diameter_m: float) -> tuple[float, float]:
        """From the middle of a tube up and down to the faces of the layer [m]; a tube never stands out below."""
        above = self.cover_m + outside_diameter_m / 2
        return above, max(self.thickness_m - above, outside_diameter_m / 2)


# Concrete 2,300 kg/m³ × 1,000 J/(kg K) and 1.7 W/(m K); gypsum 1,850 × 1,000 and 0.8; timber board on aluminium plates
# counted as 0.03 m of wood, its plates spreading heat like 1.0 W/(m K): values from memory.
BUILD_UPS: dict[str, BuildUp] = {
    build_up.name: build_up
    for build_up in (
        BuildUp("concrete_100", "100 mm (4 in) concrete slab on insulation", 0.100, 0.050, 1.7, 2.3e6),
        BuildUp("concrete_150", "150 mm (6 in) concrete slab on insulation", 0.150, 0.075, 1.7, 2.3e6),
        BuildUp("screed_65", "65 mm (2.6 in) cement screed", 0.065, 0.045, 1.4, 2.0e6),
        BuildUp("gypsum_38", "38 mm (1.5 in) gypsum overpour on a wooden floor", 0.038, 0.020, 0.8, 1.85e6),
        BuildUp("plates", "wooden panels with aluminum plates", 0.030, 0.012, 1.0, 1.0e6),
    )
}


@dataclass(frozen=True, slots=True)
class LoopHeat:
    """One loop: conductance between water and room, and the parts of the way as resistances of a metre of tube [m K/W].

    What depends on the flux of design is an array where that is one.
    """

    conductance_w_k: Any
    film_mk_w: float
    wall_mk_w: float
    slab_mk_w: Any
    surface_mk_w: Any
    upward_share: Any


def slab_resistance_mk_w(
    *,
    spacing_m: float,
    above_m: float,
    below_m: float,
    outside_diameter_m: float,
    conductivity_w_mk: float,
    upper_w_m2k: Any,
    lower_w_m2k: float = 0.0,
) -> Any:
    """Resistance between the wall of a tube and the mean temperature of the plane of the tubes [m K/W].

    Parameters
    ----------
    spacing_m, outside_diameter_m : float
        Of the tubes.
    above_m, below_m : float
        From the middle of the tubes to the faces of the slab.
    conductivity_w_mk : float
        Of the slab.
    upper_w_m2k, lower_w_m2k : float
        What lies beyond each face, covering and surface coefficient in one; of the upper one an array (houses,) too.

    Returns
    -------
    float or array (houses,)
        For a metre of tube. From the plane on, heat flows up and down as through a plain wall.

    Notes
    -----
    ``R = [ln(s/πd) + Σ ((1 + a_n)(1 + b_n)/(1 − a_n b_n) − 1)/n]/(2πλ)`` with
    ``a_n = (λk − h)/(λk + h) e^(−2kz)``, ``k = 2πn/s`` and the depth z and coefficient h of the upper face; b_n of the
    lower. The waves that a row of line sources makes in a plate, thrown back by its faces. The first term alone is
    the resistance method for thick slabs; thin floors need the sum, which a shape factor to an even surface misses by
    up to 30 %. Against finite differences 0.5 % where both faces
    are two diameters away, and 1 to 2 % too high where the tube all but touches the lower one.

    References
    ----------
    Faxén's solution as used in the resistance method of ISO 11855-2 (attribution from memory); derived here anew.

    Examples
    --------
    >>> round(slab_resistance_mk_w(spacing_m=0.3, above_m=0.058, below_m=0.042, outside_diameter_m=0.016,
    ...     conductivity_w_mk=1.7, upper_w_m2k=10.8), 3)
    0.191
    """
    around = math.log(spacing_m / (math.pi * outside_diameter_m))
    layer = spacing_m, conductivity_w_mk, above_m, below_m
    thrown_back: Any
    if np.ndim(upper_w_m2k):
        thrown_back = _thrown_back(*layer, upper_w_m2k[:, None], lower_w_m2k)
    else:
        thrown_back = _thrown_back_once(*layer, float(upper_w_m2k), lower_w_m2k)
    return (around + thrown_back) / (2.0 * math.pi * conductivity_w_mk)


def _thrown_back(
    spacing_m: float, conductivity_w_mk: float, above_m: float, below_m: float, upper_w_m2k: Any, lower_w_m2k: float
) -> Floats:
    """The sum over all waves; of upper coefficients (houses, 1) one for each."""
    steep, upper, lower = _waves(spacing_m, conductivity_w_mk, above_m, below_m)
    upper, lower = ((steep - h) / (steep + h) * fades for h, fades in ((upper_w_m2k, upper), (lower_w_m2k, lower)))
    return np.asarray((((1.0 + upper) * (1.0 + lower) / (1.0 - upper * lower) - 1.0) * PER_WAVE).sum(axis=-1))


@functools.lru_cache(maxsize=1024)
def _thrown_back_once(*layer: float) -> float:
    return float(_thrown_back(*layer))


# many houses have the same floor
@functools.lru_cache(maxsize=64)
def _waves(spacing_m: float, conductivity_w_mk: float, above_m: float, below_m: float) -> tuple[Floats, Floats, Floats]:
    """What waves carry (WAVES,) [W/(m² K)], and what is left of them at both faces."""
    k = 2.0 * math.pi / spacing_m / PER_WAVE
    return conductivity_w_mk * k, np.exp(-2.0 * k * above_m), np.exp(-2.0 * k * below_m)


def loop_heat(
    *,
    flow_m3_s: float,
    tube: Tube,
    fluid: FluidProperties,
    length_m: float,
    spacing_m: float,
    build_up: BuildUp,
    covering_m2k_w: float,
    insulation_m2k_w: float,
    design_flux_w_m2: Any,
) -> LoopHeat:
    """Conductance of one loop between its water and the room above.

    Parameters
    ----------
    flow_m3_s : float
        Flow of the loop [m³/s].
    tube, fluid, length_m, spacing_m, build_up
        What lies in the floor.
    covering_m2k_w, insulation_m2k_w : float
        Resistance of the covering above and of the insulation below [m² K/W].
    design_flux_w_m2 : float or array (houses,)
        Flux at which the surface's own law is made a straight line [W/m²].

    Returns
    -------
    LoopHeat
        The upward share is what the room gets of the heat that leaves the water, by the two resistances' ratio.

    Notes
    -----
    Resistances in series for a metre of tube: film ``1/(π d_i h)``, wall ``ln(d_o/d_i)/(2πλ)``, slab from the tube's wall
    to the slab's face, covering and surface ``(R + 1/h_s)/s``. Antifreeze acts through the film; no multiplier.
    The conductance leaves out what film and wall carry for the heat that flows downward: with 1.8 m² K/W below it is
    1 to 4 % too high in concrete and 2 to 7 % in thin floors, most under carpet.

    References
    ----------
    Within 7 % of the characteristic field of EN 1264-2, type A, at spacings of 100 to 300 mm: below it on bare floors,
    above it by up to 2 % under a covering of 0.1 m² K/W.

    Examples
    --------
    >>> from costsim.physics.fluids import fluid_properties
    >>> from costsim.physics.hydraulics import TUBES
    >>> water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)
    >>> found = loop_heat(flow_m3_s=3.785e-5, tube=TUBES["1/2 in PEX"], fluid=water, length_m=91.44, spacing_m=0.3048,
    ...     build_up=BUILD_UPS["concrete_100"], covering_m2k_w=0.0, insulation_m2k_w=1.8, design_flux_w_m2=50.0)
    >>> round(found.conductance_w_k)
    122
    """
    film = 1.0 / (
        math.pi * tube.inside_diameter_m * film_coefficient_w_m2k(flow_m3_s=flow_m3_s, tube=tube, fluid=fluid)
    )
    wall = math.log(tube.outside_diameter_m / tube.inside_diameter_m) / (2 * math.pi * tube.conductivity_w_mk)
    covered = covering_m2k_w + 1.0 / surface_coefficient_w_m2k(flux_w_m2=design_flux_w_m2)
    insulated = insulation_m2k_w + BELOW_M2K_W
    above, below = build_up.depths_m(tube.outside_diameter_m)
    plane = slab_resistance_mk_w(
        spacing_m=spacing_m,
        above_m=above,
        below_m=below,
        outside_diameter_m=tube.outside_diameter_m,
        conductivity_w_mk=build_up.conductivity_w_mk,
        upper_w_m2k=1.0 / covered,
        lower_w_m2k=1.0 / insulated,
    )
    slab, surface = plane + above / build_up.conductivity_w_mk / spacing_m, covered / spacing_m
    up, down = (layer / build_up.conductivity_w_mk + rest for layer, rest in ((above, covered), (below, insulated)))
    return LoopHeat(length_m / (film + wall + slab + surface), film, wall, slab, surface, down / (up + down))


def surface_coefficient_w_m2k(*, flux_w_m2: Any) -> Any:
    """Surface coefficient at a flux: flux over the temperature difference of the basic curve [W/(m² K)]."""
    flux = np.maximum(flux_w_m2, 1.0)
    return flux / _excess_k(flux)


def effectiveness(*, conductance_w_k: Any, capacity_flow_w_k: float) -> Any:
    """Share of the largest possible heat that a loop of finite flow takes: ``1 − exp(−K/(ṁ c))``.

    Examples
    --------
    >>> round(float(effectiveness(conductance_w_k=100.0, capacity_flow_w_k=100.0)), 3)
    0.632
    """
    return -np.expm1(-conductance_w_k / capacity_flow_w_k) if capacity_flow_w_k > 0 else 0.0 * conductance_w_k


def supply_conductance_w_k(*, flow_m3_s: float, fluid: FluidProperties, conductance_w_k: Any) -> Any:
    """Heat of a loop for each kelvin that its supply is over the room [W/K]: ``ε ṁ c``."""
    capacity = flow_m3_s * fluid.density_kg_m3 * fluid.heat_capacity_j_kgk
    return effectiveness(conductance_w_k=conductance_w_k, capacity_flow_w_k=capacity) * capacity
