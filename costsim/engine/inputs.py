"""What sources and pumps take in each hour, from what the kernel gives; and what of it own generation covers."""

from __future__ import annotations

import numpy as np

from costsim.engine import layout as k
from costsim.engine.generation import generation_j
from costsim.engine.lower import LoweredOption, LoweredStudy
from costsim.study.services import ELECTRICITY
from costsim.tariffs.charges import hourly_rows
from costsim.units.arrays import Floats


def taken_w(
    common: LoweredStudy, plant: LoweredOption, out: Floats, heat: Floats, dumped: Floats
) -> tuple[Floats, Floats, Floats]:
    """Input and auxiliary electricity of each source (sources, n), and electricity of pumps (n,) [W]."""
    # a fire burns what was loaded, used or not
    made = [heat[i] + dumped[i] if offer.burn_power_w else heat[i] for i, offer in enumerate(plant.offers)]
    inputs = np.stack([offer.input_w(made[i]) for i, offer in enumerate(plant.offers)])
    auxiliary = np.stack([offer.auxiliary_electric_w(heat[i]) for i, offer in enumerate(plant.offers)])
    return inputs, auxiliary, common.water.pump_w * out[k.DUTY]


def heating_electricity_j(common: LoweredStudy, plant: LoweredOption) -> Floats:
    """What an option takes from the house's own meter in each hour (n,) [J]."""
    out, heat, dumped, _ = plant.year()
    inputs, auxiliary, pump = taken_w(common, plant, out, heat, dumped)
    own = [inputs[i] for i, offer in enumerate(plant.offers) if offer.price_key == ELECTRICITY]
    return np.asarray((np.sum([*own, auxiliary.sum(axis=0), pump], axis=0)) * k.HOUR_S)


def covered_share(common: LoweredStudy, plant: LoweredOption) -> Floats:
    """Share of an option's electricity that own generation covers, by month and hourly row of the tariff (12, rows).

    It is that of the study's own year, and stands for every draw.
    """
    tariff, calendar, case = common.tariffs[ELECTRICITY], common.calendar, common.case
    heating = heating_electricity_j(common, plant)
    free = np.maximum(generation_j(case, common.weather) - case.other_electricity_j(calendar), 0.0)
    rows, month = hourly_rows(tariff, calendar), calendar.month - 1
    whole, own = (
        np.stack([np.bincount(month, weights=row * power_w, minlength=12) for row in rows], axis=1)
        for power_w in (heating, np.minimum(heating, free))
    )
    return np.divide(own, whole, out=np.zeros_like(own), where=np.abs(whole) > 0)
