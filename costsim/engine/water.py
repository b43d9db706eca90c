"""The water side, lowered: how hot the tank must be for a demand, what the floor can give, what the tank stores."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from costsim.case import Case

Floats = NDArray[np.float64]
WATER_DENSITY_KG_M3, WATER_HEAT_J_KGK = 992.3, 4179.0
"""Water at 40 °C, from CoolProp."""
USUAL_TOP_C = 60.0


@dataclass(frozen=True, slots=True)
class WaterSide:
    """Water between sources and room. `resistance_k_w` is kelvin of tank over room for each watt of demand."""

    resistance_k_w: float
    limit_w: float
    top_c: float
    store_c: float
    tank_j_k: float
    tank_loss_w_k: float
    pump_w: float
    density_kg_m3: float
    heat_capacity_j_kgk: float
    warnings: tuple[str, ...] = ()


def water_side(case: Case, *, design_load_w: float, coldest_c: float) -> WaterSide:
    """Lower tank and floor.

    Parameters
    ----------
    case : Case
    design_load_w : float
        Design heat loss [W].
    coldest_c : float
        Coldest hour of the weather [°C], for freeze protection.

    Returns
    -------
    WaterSide
        Without a tank nothing is stored and heat must be made in its hour; without a floor the tank temperature at
        design settles how hot the water must be.
    """
    tank = case.tank
    if tank is None:
        return WaterSide(
            0.0, float("inf"), USUAL_TOP_C, USUAL_TOP_C, 0.0, 0.0, 0.0, WATER_DENSITY_KG_M3, WATER_HEAT_J_KGK
        )
    resistance = (tank.water_at_design_c - case.house.indoor_c) / design_load_w
    return WaterSide(
        resistance_k_w=resistance,
        limit_w=(tank.top_c - case.house.indoor_c) / resistance,
        top_c=tank.top_c,
        store_c=tank.store_c if tank.store_c is not None else tank.top_c,
        tank_j_k=tank.volume_m3 * WATER_DENSITY_KG_M3 * WATER_HEAT_J_KGK,
        tank_loss_w_k=tank.loss_w_k,
        pump_w=0.0,
        density_kg_m3=WATER_DENSITY_KG_M3,
        heat_capacity_j_kgk=WATER_HEAT_J_KGK,
    )
