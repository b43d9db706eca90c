"""What sources and pumps take in each hour, from what the kernel gives; and what of it own generation covers."""

from __future__ import annotations

import functools

import numpy as np
from numpy.typing import NDArray

from costsim.bills.meter import fit_to_year
from costsim.engine import layout as k
from costsim.engine.block import one_year
from costsim.engine.lower import LoweredOption, LoweredStudy
from costsim.errors import Fault, InputError
from costsim.physics.sun import pvwatts_w
from costsim.study.case import Case
from costsim.study.solar_electric import LOSS_PER_K, SolarElectric
from costsim.tariffs.charges import hourly_rows
from costsim.tariffs.own_generation import ExportTerms
from costsim.weather import Weather
from costsim.weather.sunlight import sun_on

Floats = NDArray[np.float64]
ELECTRICITY = "electricity"
CALM_M_S = 1.0
"""Wind on panels where the weather has none; what cools least of common values, common practice, no source."""


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
    out, heat, dumped, _ = one_year(plant.scalars, plant.hours, plant.source_scalars, plant.source_hours, plant.order)
    inputs, auxiliary, pump = taken_w(common, plant, out, heat, dumped)
    own = [inputs[i] for i, offer in enumerate(plant.offers) if offer.price_key == ELECTRICITY]
    return np.asarray((np.sum([*own, auxiliary.sum(axis=0), pump], axis=0)) * k.HOUR_S)


def generation_j(case: Case, weather: Weather) -> Floats:
    """Own generation in each hour (n,) [J]; nothing where the study has none.

    Raises
    ------
    InputError
        The weather has no radiation.
    """
    own = case.solar_electric
    if own is None:
        return np.zeros(weather.n_hours)
    if case.generation_file_j is not None:
        return fit_to_year(case.generation_file_j, weather.n_hours)
    try:
        return _panels_j(own, weather)
    except ValueError as error:
        remedy = "use a weather file with ghi, dni and dhi, or give hours of generation"
        raise InputError(Fault("solar_electric", str(error), remedy, case.file)) from None


@functools.lru_cache(maxsize=8)
def _panels_j(own: SolarElectric, weather: Weather) -> Floats:
    azimuth = own.azimuth_deg if own.azimuth_deg is not None else (0.0 if weather.southern else 180.0)
    wind = weather.wind_m_s if weather.wind_m_s is not None else np.full(weather.n_hours, CALM_M_S)
    power = pvwatts_w(
        sun=sun_on(weather, own.tilt_deg, azimuth), outdoor_c=weather.outdoor_c, wind_m_s=wind, peak_w=own.peak_power_w or 0.0,
        losses=own.losses_share, loss_per_k=LOSS_PER_K[own.module], inverter_efficiency=own.inverter_efficiency_share,
        dc_to_ac=own.dc_to_ac,
    )  # fmt: skip
    found = power * k.HOUR_S
    found.flags.writeable = False
    return found


def export_terms(case: Case) -> ExportTerms:
    """What the grid pays, and over which time export counts against use."""
    own = case.solar_electric
    return ExportTerms() if own is None else ExportTerms(own.export_per_j, own.net_metering)


def covered_share(common: LoweredStudy, plant: LoweredOption) -> Floats:
    """Share of an option's electricity that own generation covers, by month and hourly row of the tariff (12, rows).

    It is that of the study's own year, and stands for every draw.
    """
    tariff, calendar, case = common.tariffs[ELECTRICITY], common.calendar, common.case
    heating = heating_electricity_j(common, plant)
    free = np.maximum(generation_j(case, common.weather) - case.other_electricity_j(calendar), 0.0)
    rows, month = hourly_rows(tariff, calendar), calendar.month - 1
    whole, own = (
        np.stack([np.bincount(month, weights=row * one, minlength=12) for row in rows], axis=1)
        for one in (heating, np.minimum(heating, free))
    )
    return np.divide(own, whole, out=np.zeros_like(own), where=np.abs(whole) > 0)
