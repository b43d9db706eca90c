"""Own generation in each hour, and what it is worth to a rule that calls the cheapest source."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from costsim.bills.meter import fit_to_year
from costsim.errors import Fault, InputError
from costsim.physics.sun import pvwatts_w
from costsim.sources.offer import Offer
from costsim.study.case import Case
from costsim.study.services import ELECTRICITY
from costsim.study.solar_electric import LOSS_PER_K, SolarElectric
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.own_generation import ExportTerms
from costsim.units.arrays import Floats
from costsim.units.table import HOUR_S
from costsim.weather import Weather
from costsim.weather.sunlight import GIVE_SUN, facing_deg, sun_on

CALM_M_S = 1.0
"""Wind on panels where the weather has none; what cools least of common values, common practice, no source."""


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
        remedy = f"{GIVE_SUN}, or give hours of generation"
        raise InputError(Fault("solar_electric", str(error), remedy, case.file)) from None


@functools.lru_cache(maxsize=8)
def _panels_j(own: SolarElectric, weather: Weather) -> Floats:
    azimuth = facing_deg(weather, own.azimuth_deg)
    wind = weather.wind_m_s if weather.wind_m_s is not None else np.full(weather.n_hours, CALM_M_S)
    power = pvwatts_w(
        sun=sun_on(weather, own.tilt_deg, azimuth), outdoor_c=weather.outdoor_c, wind_m_s=wind, peak_w=own.peak_power_w or 0.0,
        losses=own.losses_share, loss_per_k=LOSS_PER_K[own.module], inverter_efficiency=own.inverter_efficiency_share,
        dc_to_ac=own.dc_to_ac,
    )  # fmt: skip
    energy_j = power * HOUR_S
    energy_j.flags.writeable = False
    return energy_j


def export_terms(case: Case) -> ExportTerms:
    """What the grid pays, and over which time export counts against use."""
    own = case.solar_electric
    return ExportTerms() if own is None else ExportTerms(own.export_per_j, own.net_metering)


def seen_by_rule(
    case: Case, weather: Weather, calendar: HourCalendar, demand_w: Floats, offers: Sequence[Offer]
) -> list[Offer]:
    """Offers with the price at which a rule compares them, where the house generates.

    Parameters
    ----------
    case, weather, calendar
    demand_w : array (n,)
        Heat wanted in each hour [W].
    offers : sequence of Offer

    Returns
    -------
    list of Offer
        What is left of generation after the rest of the house would be exported: to a source on the house's own meter it is worth
        the export price, for the share of its input in that hour that it covers; the rest costs the tariff's price. Under
        net metering export counts like use, so the tariff's price stands.
    """
    own = case.solar_electric
    if own is None or own.net_metering != "none":
        return list(offers)
    free_j = np.maximum(generation_j(case, weather) - case.other_electricity_j(calendar), 0.0)
    seen = []
    for offer in offers:
        if offer.price_key != ELECTRICITY:
            seen.append(offer)
            continue
        taken_j = np.minimum(demand_w, offer.capacity_w) / offer.heat_per_input * HOUR_S
        share = np.divide(np.minimum(free_j, taken_j), taken_j, out=(free_j > 0) * 1.0, where=taken_j > 0)
        seen.append(replace(offer, price_per_j=offer.price_per_j + share * (own.export_per_j - offer.price_per_j)))
    return seen
