"""Firewood: heating values by moisture, cords and species, batch charges, burn times and the buffer they need.

Moisture is on the wet basis (water per moist wood) unless a name says dry basis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from costsim.units.quantity import BTU_J, CORD_M3, FOOT_M, POUND_KG

Floats = NDArray[np.float64]

HHV_DRY_J_KG = 20.0e6  # 8,600 Btu/lb, printed widely
HYDROGEN_SHARE = 0.06  # of dry wood, by mass (value from memory)
_EVAPORATION_J_KG = 2.443e6  # of water at 25 °C
_WATER_PER_HYDROGEN = 8.936
_WATER_KG_M3 = 62.4 * POUND_KG / FOOT_M**3  # as the printed cord tables round it
SOLID_FRACTION = 85.0 / 128.0  # wood in a stacked cord; 70 to 90 ft³ of 128 are in print
BUFFER_FREE_M3 = 0.3  # EN 303-5 asks for no buffer when the formula gives less
BUFFER_M3_PER_W = {"hand_fired": 55e-6, "automatic": 25e-6, "rule_of_thumb": 50e-6}


@dataclass(frozen=True, slots=True)
class Species:
    """Heat of a stacked, seasoned cord of one kind of wood, lowest and highest value in print [J/m³ stacked]."""

    name: str
    title: str
    low_j_m3: float
    high_j_m3: float

    @property
    def middle_j_m3(self) -> float:
        """Middle of the printed values [J/m³ stacked]."""
        return 0.5 * (self.low_j_m3 + self.high_j_m3)


# Million Btu per cord as printed: Rodale's Organic Gardening (castables.com), University of Kentucky forestry (20 %
# moisture), mb-soft.com/juca (after the Forest Products Laboratory), chimneysweeponline.com as quoted on mapletrader,
# and pages.sssnet.com/go2erie. They differ by a quarter, in solid fraction and in HHV against LHV: the spread is kept.
_PRINTED = (
    ("apple", "Apple", 21.6, 26.5),
    ("hickory", "Hickory", 24.0, 29.3),
    ("white_oak", "White oak", 23.0, 27.9),
    ("red_oak", "Red oak", 21.0, 25.9),
    ("sugar_maple", "Sugar maple", 21.0, 25.9),
    ("red_maple", "Red maple", 18.7, 20.0),
    ("white_ash", "White ash", 20.0, 25.0),
    ("beech", "Beech", 22.7, 29.4),
    ("black_locust", "Black locust", 23.2, 28.3),
    ("white_birch", "White birch", 19.0, 20.3),
    ("yellow_birch", "Yellow birch", 21.0, 23.6),
    ("black_cherry", "Black cherry", 19.5, 20.5),
    ("american_elm", "American elm", 17.0, 23.7),
    ("douglas_fir", "Douglas fir", 19.0, 26.5),
    ("hemlock", "Hemlock", 14.0, 17.3),
    ("aspen", "Aspen", 13.0, 18.0),
    ("cottonwood", "Cottonwood", 13.5, 16.8),
    ("white_pine", "White pine", 12.0, 15.0),
)
_PER_M3 = 1e6 * BTU_J / CORD_M3
SPECIES = {name: Species(name, title, low * _PER_M3, high * _PER_M3) for name, title, low, high in _PRINTED}


def wet_basis(*, dry_basis: ArrayLike) -> Floats:
    """Moisture per moist wood from moisture per dry wood.

    Parameters
    ----------
    dry_basis : float or array
        Water per dry wood, as pin meters and many firewood pages show it.

    Returns
    -------
    float or array
        Water per moist wood.

    Examples
    --------
    >>> float(wet_basis(dry_basis=0.25))
    0.2
    """
    dry = np.asarray(dry_basis, dtype=float)
    return np.asarray(dry / (1.0 + dry))


def dry_basis(*, wet_basis: ArrayLike) -> Floats:
    """Moisture per dry wood from moisture per moist wood; the inverse of `wet_basis`.

    Examples
    --------
    >>> float(dry_basis(wet_basis=0.2))
    0.25
    """
    wet = _moisture(wet_basis)
    return np.asarray(wet / (1.0 - wet))


def higher_heating_value_j_kg(*, moisture: ArrayLike, hhv_dry_j_kg: float = HHV_DRY_J_KG) -> Floats:
    """Higher heating value of moist wood, which fuel prices and US ratings go by.

    Parameters
    ----------
    moisture : float or array
        Water per moist wood, 0 to below 1.
    hhv_dry_j_kg : float
        Higher heating value of dry wood [J/kg].

    Returns
    -------
    float or array
        [J/kg moist wood].

    Examples
    --------
    >>> float(higher_heating_value_j_kg(moisture=0.2)) / 1e6
    16.0
    """
    return np.asarray(hhv_dry_j_kg * (1.0 - _moisture(moisture)))


def lower_heating_value_j_kg(*, moisture: ArrayLike, hhv_dry_j_kg: float = HHV_DRY_J_KG) -> Floats:
    """Lower heating value of moist wood, which European ratings go by.

    Parameters
    ----------
    moisture : float or array
        Water per moist wood, 0 to below 1.
    hhv_dry_j_kg : float
        Higher heating value of dry wood [J/kg].

    Returns
    -------
    float or array
        [J/kg moist wood].

    Notes
    -----
    ``(HHV_d − 2.443 · 8.936 · H)(1 − w) − 2.443 w`` MJ/kg with 6 % hydrogen.

    Examples
    --------
    >>> round(float(lower_heating_value_j_kg(moisture=0.2)) / 1e6, 2)
    14.46
    """
    wet = _moisture(moisture)
    dry_j_kg = hhv_dry_j_kg - _EVAPORATION_J_KG * _WATER_PER_HYDROGEN * HYDROGEN_SHARE
    return np.asarray(dry_j_kg * (1.0 - wet) - _EVAPORATION_J_KG * wet)


def lhv_per_hhv(*, moisture: ArrayLike) -> Floats:
    """Ratio of the heating values of moist wood: 0.935 dry, 0.904 at 20 % and 0.812 at 50 % moisture.

    Examples
    --------
    >>> round(float(lhv_per_hhv(moisture=0.2)), 3)
    0.904
    """
    return np.asarray(lower_heating_value_j_kg(moisture=moisture) / higher_heating_value_j_kg(moisture=moisture))


def stacked_energy_j_m3(
    *, specific_gravity: float, solid_fraction: float = SOLID_FRACTION, hhv_dry_j_kg: float = HHV_DRY_J_KG
) -> float:
    """Higher heating value of a stack from the density of the wood.

    Parameters
    ----------
    specific_gravity : float
        Oven-dry mass per green volume, over that of water ("basic" specific gravity).
    solid_fraction : float
        Wood per stacked volume.
    hhv_dry_j_kg : float
        Higher heating value of dry wood [J/kg].

    Returns
    -------
    float
        [J/m³ stacked]; moisture leaves it nearly unchanged, on the higher heating value.

    Examples
    --------
    >>> round(stacked_energy_j_m3(specific_gravity=0.41) * CORD_M3 / BTU_J / 1e6, 1)
    18.7
    """
    return specific_gravity * _WATER_KG_M3 * solid_fraction * hhv_dry_j_kg


def charge_energy_j(
    *, firebox_m3: float, loading_kg_m3: float, moisture: float, hhv_dry_j_kg: float = HHV_DRY_J_KG
) -> float:
    """Higher heating value of one full charge.

    Parameters
    ----------
    firebox_m3 : float
        Usable volume of the firebox [m³].
    loading_kg_m3 : float
        Moist wood per firebox volume [kg/m³]; 160 (10 lb/ft³) is a common test load (value from memory).
    moisture : float
        Water per moist wood.
    hhv_dry_j_kg : float
        Higher heating value of dry wood [J/kg].

    Returns
    -------
    float
        [J].

    Examples
    --------
    >>> round(charge_energy_j(firebox_m3=0.2, loading_kg_m3=160.0, moisture=0.2) / 3.6e6, 1)
    142.2
    """
    return firebox_m3 * loading_kg_m3 * float(higher_heating_value_j_kg(moisture=moisture, hhv_dry_j_kg=hhv_dry_j_kg))


def burn_time_s(*, charge_j: float, efficiency: float, output_w: float) -> float:
    """How long a charge gives its output.

    Parameters
    ----------
    charge_j : float
        Energy of the charge [J], on the heating value that the efficiency goes by.
    efficiency : float
        Delivered heat per energy of the charge.
    output_w : float
        Heat output while burning [W].

    Returns
    -------
    float
        [s].

    Examples
    --------
    >>> round(burn_time_s(charge_j=142.2 * 3.6e6, efficiency=0.7, output_w=25000.0) / 3600, 1)
    4.0
    """
    if output_w <= 0:
        raise ValueError(f"the output {output_w:g} W must be above zero")
    return charge_j * efficiency / output_w


def charge_mass_kg(*, output_w: float, burn_s: float, moisture: float, efficiency: float) -> float:
    """Wood that gives an output for a time: output × time = mass × higher heating value × efficiency.

    Parameters
    ----------
    output_w, burn_s : float
        Heat output while burning [W], and for how long [s].
    moisture : float
        Water per moist wood.
    efficiency : float
        Delivered heat per higher heating value.

    Returns
    -------
    float
        Moist wood [kg].

    Examples
    --------
    >>> round(charge_mass_kg(output_w=30e3, burn_s=6 * 3600.0, moisture=0.2, efficiency=0.6), 2)
    67.5
    """
    return output_w * burn_s / (float(higher_heating_value_j_kg(moisture=moisture)) * efficiency)


def buffer_volume_m3(*, burn_s: float, nominal_w: float, load_w: float, minimum_w: float) -> float:
    """Smallest buffer tank for a batch-fired boiler.

    Parameters
    ----------
    burn_s : float
        Burning time at nominal output [s].
    nominal_w, load_w, minimum_w : float
        Nominal output, design heat load of the building, and lowest output of the boiler [W].

    Returns
    -------
    float
        Volume [m³], never negative; below `BUFFER_FREE_M3` none is asked for.

    Raises
    ------
    ValueError
        The lowest output is not above zero.

    Notes
    -----
    ``V = 15 · T_B · Q_N · (1 − 0.3 Q_H / Q_min)`` litres, with hours and kilowatts.

    References
    ----------
    EN 303-5:2012, as printed with a worked example of 735 L in two boiler manuals.

    Examples
    --------
    >>> round(buffer_volume_m3(burn_s=7200.0, nominal_w=32e3, load_w=25e3, minimum_w=32e3) * 1e3)
    735
    """
    if minimum_w <= 0:
        raise ValueError(f"the lowest output {minimum_w:g} W must be above zero")
    litres = 15.0 * (burn_s / 3600.0) * (nominal_w / 1e3) * (1.0 - 0.3 * load_w / minimum_w)
    return max(0.0, litres / 1e3)


def class5_efficiency(*, rated_w: float) -> float:
    """Lowest efficiency of an EN 303-5 class 5 boiler, on the **lower** heating value.

    Parameters
    ----------
    rated_w : float
        Rated output [W]; held at 100 kW above that.

    Returns
    -------
    float
        Delivered heat per lower heating value; times `lhv_per_hhv` before it meets a fuel price.

    Notes
    -----
    ``87 + log10(Q in kW)`` per cent (value from memory).

    Examples
    --------
    >>> round(class5_efficiency(rated_w=25e3), 3)
    0.884
    """
    return (87.0 + math.log10(min(rated_w / 1e3, 100.0))) / 100.0


def stacked_volume_m3(*, heat_j: float, energy_j_m3: float, efficiency: float) -> float:
    """Stacked wood that gives an amount of heat; divide by `costsim.units.CORD_M3` for cords.

    Parameters
    ----------
    heat_j : float
        Heat delivered [J].
    energy_j_m3 : float
        Heat content of the stack [J/m³ stacked].
    efficiency : float
        Delivered heat per heat content.

    Returns
    -------
    float
        [m³ stacked].

    Examples
    --------
    >>> round(stacked_volume_m3(heat_j=63e6 * BTU_J, energy_j_m3=20e6 * BTU_J / CORD_M3, efficiency=0.63) / CORD_M3, 6)
    5.0
    """
    return heat_j / (energy_j_m3 * efficiency)


def loads(*, heat_j: float, charge_j: float, efficiency: float) -> float:
    """How many full charges give an amount of heat.

    Parameters
    ----------
    heat_j, charge_j : float
        Heat delivered, and energy of one charge [J].
    efficiency : float
        Delivered heat per energy of the charge.

    Returns
    -------
    float
        Charges, not rounded.

    Examples
    --------
    >>> loads(heat_j=140.0, charge_j=100.0, efficiency=0.7)
    2.0
    """
    return heat_j / (charge_j * efficiency)


def _moisture(value: ArrayLike) -> Floats:
    moisture = np.asarray(value, dtype=float)
    if np.any((moisture < 0.0) | (moisture >= 1.0)):
        raise ValueError(f"moisture on the wet basis must lie from 0 to below 1, not {value!r}; 25 % is 0.25")
    return moisture
