"""Firewood: its heating value by moisture, cords by species, what a charge weighs, how long it burns and the buffer it needs.

Moisture is on the wet basis: water per moist wood.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from costsim.units.arrays import Floats
from costsim.units.quantity import BTU_J, CORD_M3, HOUR_S

HHV_DRY_J_KG = 20.0e6  # 8,600 Btu/lb, printed widely
BUFFER_FREE_M3 = 0.3  # EN 303-5 asks for no buffer when the formula gives less


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


def higher_heating_value_j_kg(*, moisture: ArrayLike) -> Floats:
    """Higher heating value of moist wood, which fuel prices and US ratings go by.

    Parameters
    ----------
    moisture : float or array
        Water per moist wood, 0 to below 1.

    Returns
    -------
    float or array
        [J/kg moist wood].

    Examples
    --------
    >>> float(higher_heating_value_j_kg(moisture=0.2)) / 1e6
    16.0
    """
    return np.asarray(HHV_DRY_J_KG * (1.0 - _moisture(moisture)))


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
    litres = 15.0 * (burn_s / HOUR_S) * (nominal_w / 1e3) * (1.0 - 0.3 * load_w / minimum_w)
    return max(0.0, litres / 1e3)


def _moisture(value: ArrayLike) -> Floats:
    moisture = np.asarray(value, dtype=float)
    if np.any((moisture < 0.0) | (moisture >= 1.0)):
        raise ValueError(f"moisture on the wet basis must lie from 0 to below 1, not {value!r}; 25 % is 0.25")
    return moisture
