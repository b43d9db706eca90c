"""The f-chart method for liquid systems: an independent monthly estimate to hold the hourly tank model against.

Test code only. Sources: Beckman, Klein and Duffie, Solar Heating Design by the f-Chart Method (1977); the polynomial and the
corrections were seen in public copies, the load heat exchanger correction is from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

REFERENCE_C = 100.0


@dataclass(frozen=True, slots=True)
class Month:
    """What one month brings: sun on the tilted plane [J/m²], mean outdoor temperature, heat load [J], length [s]."""

    sun_j_m2: float
    outdoor_c: float
    load_j: float
    length_s: float


@dataclass(frozen=True, slots=True)
class SolarSystem:
    """Collector and store, in the terms of the method.

    `fr_tau_alpha` and `fr_ul_w_m2k` are intercept and slope of the single-line efficiency over inlet temperature.
    """

    area_m2: float
    fr_tau_alpha: float
    fr_ul_w_m2k: float
    exchanger_factor: float = 1.0
    angle_factor: float = 0.96
    storage_l_m2: float = 75.0
    load_exchanger: float = 2.0


def solar_fraction(x: float, y: float) -> float:
    """Share of a month's load met by the sun, 0…1."""
    f = 1.029 * y - 0.065 * x - 0.245 * y**2 + 0.0018 * x**2 + 0.0215 * y**3
    return min(max(f, 0.0), 1.0)


def storage_correction(storage_l_m2: float) -> float:
    """Factor on X for the size of the store, 37.5 to 300 L per m² of collector."""
    if not 37.5 <= storage_l_m2 <= 300.0:
        raise ValueError(f"{storage_l_m2} L/m2 lies outside the method, 37.5 to 300")
    return (storage_l_m2 / 75.0) ** -0.25


def load_exchanger_correction(z: float) -> float:
    """Factor on Y for the exchanger between store and house, Z = ε C_min / (UA)_house from 0.5 to 50; 1 near Z = 2."""
    if not 0.5 <= z <= 50.0:
        raise ValueError(f"Z = {z} lies outside the method, 0.5 to 50")
    return 0.39 + 0.65 * math.exp(-0.139 / z)


def loss_and_gain(system: SolarSystem, month: Month) -> tuple[float, float]:
    """X (reference losses over load) and Y (absorbed sun over load), uncorrected."""
    per_load = system.area_m2 * system.exchanger_factor / month.load_j
    x = system.fr_ul_w_m2k * (REFERENCE_C - month.outdoor_c) * month.length_s * per_load
    y = system.fr_tau_alpha * system.angle_factor * month.sun_j_m2 * per_load
    return x, y


def monthly_fraction(system: SolarSystem, month: Month) -> float:
    """Share of one month's load, with both corrections."""
    if month.load_j <= 0:
        return 0.0
    x, y = loss_and_gain(system, month)
    return solar_fraction(
        x * storage_correction(system.storage_l_m2), y * load_exchanger_correction(system.load_exchanger)
    )


def annual_fraction(system: SolarSystem, months: Sequence[Month]) -> float:
    """Share of the year's load: the monthly fractions weighted by their loads."""
    met = sum(month.load_j * monthly_fraction(system, month) for month in months)
    return met / sum(month.load_j for month in months)
