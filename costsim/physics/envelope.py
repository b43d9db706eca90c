"""Heat loss of an envelope: surfaces by area and U-value, air by its changes; typical U-values as marked defaults."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.physics.combustion import ATMOSPHERE_PA, air_pressure_pa
from costsim.units.table import HOUR_S

AIR_J_M3K = 0.34 * HOUR_S
"""Heat capacity of air by volume at sea level, 0.34 Wh/(m³ K) as in EN 12831-1."""
PLAN_TABLE = "UK building-trade tables of typical U-values"
MEMORY = "US energy code's assembly U-factors, value from memory"


@dataclass(frozen=True, slots=True)
class TypicalU:
    """A U-value for a kind of surface where nobody knows better, and where it comes from."""

    u_value_w_m2k: float
    words: str
    source: str


TYPICAL: dict[str, TypicalU] = {
    "solid_brick_wall": TypicalU(2.2, "solid brick wall, 9 in", PLAN_TABLE),
    "cavity_wall_unfilled": TypicalU(1.0, "brick and block cavity wall, unfilled", PLAN_TABLE),
    "cavity_wall_filled": TypicalU(0.6, "brick and block cavity wall, insulated", PLAN_TABLE),
    "frame_wall_2x4": TypicalU(0.47, "2x4 frame wall, R-13", MEMORY),
    "frame_wall_2x6": TypicalU(0.34, "2x6 frame wall, R-20", MEMORY),
    "roof_50_mm": TypicalU(0.6, "roof with 50 mm of insulation", PLAN_TABLE),
    "roof_100_mm": TypicalU(0.3, "roof with 100 mm of insulation", PLAN_TABLE),
    "roof_r38": TypicalU(0.17, "ceiling, R-38", MEMORY),
    "floor_on_ground": TypicalU(0.8, "uninsulated concrete floor on the ground", PLAN_TABLE),
    "timber_floor": TypicalU(0.7, "suspended timber floor", PLAN_TABLE),
    "window_single": TypicalU(5.0, "single glazing in a wood or plastic frame", PLAN_TABLE),
    "window_double": TypicalU(2.9, "double glazing, old", PLAN_TABLE),
    "window_double_low_e": TypicalU(1.7, "double glazing, low-e", PLAN_TABLE),
    "window_triple": TypicalU(0.9, "triple glazing", "common practice, no source"),
    "door_timber": TypicalU(2.4, "solid timber door", PLAN_TABLE),
}
"""Defaults, to be replaced by what is known of the house."""


def surface_loss_w_k(*, area_m2: float, u_value_w_m2k: float, share: float = 1.0) -> float:
    """Loss of a surface for each kelvin between inside and outside.

    Parameters
    ----------
    area_m2 : float
    u_value_w_m2k : float
        With the films of air on both sides [W/(m² K)].
    share : float
        Share of the full temperature difference that the surface sees: 1 to outdoor air, less to the ground or to an
        unheated room.

    Returns
    -------
    float
        [W/K].

    Notes
    -----
    ``H = A U b``, as in EN 12831-1.

    Examples
    --------
    >>> round(surface_loss_w_k(area_m2=17.9, u_value_w_m2k=0.97), 3)
    17.363
    """
    return area_m2 * u_value_w_m2k * share


def air_capacity_j_m3k(*, altitude_m: float) -> float:
    """Heat capacity of air by volume at an altitude.

    Parameters
    ----------
    altitude_m : float
        Height above the sea [m], −500 to 11,000.

    Returns
    -------
    float
        [J/(m³ K)].

    Notes
    -----
    `AIR_J_M3K` times pressure over that at sea level: the air is counted by the volume it has in the room, at the room's temperature,
    so its density follows the pressure alone (ideal gas; ASHRAE Handbook Fundamentals corrects its air heat factors so). The pressure
    is that of the standard atmosphere, ISO 2533.

    Examples
    --------
    >>> [round(air_capacity_j_m3k(altitude_m=h) / 3600, 3) for h in (0.0, 1600.0, 2500.0)]
    [0.34, 0.28, 0.251]
    """
    return AIR_J_M3K * air_pressure_pa(altitude_m=altitude_m) / ATMOSPHERE_PA


def air_loss_w_k(
    *, volume_m3: float, changes_per_s: float, recovery_share: float = 0.0, altitude_m: float = 0.0
) -> float:
    """Loss of the air that is renewed.

    Parameters
    ----------
    volume_m3 : float
        Heated air.
    changes_per_s : float
        Air changes [1/s].
    recovery_share : float
        Share of the heat that a ventilation unit gives back.
    altitude_m : float
        Height above the sea [m], −500 to 11,000.

    Returns
    -------
    float
        [W/K].

    Notes
    -----
    ``H = 0.34 Wh/(m³ K) · p/p₀ · V n (1 − η)``, as in EN 12831-1, with the pressure of `air_capacity_j_m3k`.

    Examples
    --------
    >>> round(air_loss_w_k(volume_m3=250.0, changes_per_s=0.5 / 3600.0), 3)
    42.5
    """
    return air_capacity_j_m3k(altitude_m=altitude_m) * volume_m3 * changes_per_s * (1.0 - recovery_share)
