"""Whether the average of the US grid may stand for the electricity of a place."""

from __future__ import annotations

import math

from costsim.errors import Fault, InputError
from costsim.physics.fuels import FUELS
from costsim.study.case import Case
from costsim.study.place import Place
from costsim.weather import Weather

US_ZONES = frozenset(
    f"America/{name}"
    for name in (
        "Adak", "Anchorage", "Boise", "Chicago", "Denver", "Detroit", "Juneau", "Los_Angeles", "Menominee", "Metlakatla", "New_York",
        "Nome", "Phoenix", "Sitka", "Yakutat",
    )
) | {"Pacific/Honolulu"}  # fmt: skip
"""Time zones of the US by their IANA names, beside those below."""
US_PREFIXES = ("America/Indiana/", "America/Kentucky/", "America/North_Dakota/", "US/")
# latitude and longitude of the contiguous states, Alaska and Hawaii; strips of Canada and Mexico lie inside
_BOXES = (((24.4, 49.4), (-125.0, -66.9)), ((51.0, 71.5), (-180.0, -130.0)), ((18.5, 22.5), (-161.0, -154.0)))


def in_the_us(place: Place, currency: str, weather: Weather) -> bool:
    """Whether a study is of a place in the US: by its currency, country of holidays, time zone, or where the weather was measured.

    Examples
    --------
    >>> from costsim import load_weather, read_study
    >>> case = read_study("lantern_cottage")
    >>> in_the_us(case.place, case.currency, load_weather(case)), in_the_us(case.place, "€", load_weather(case))
    (True, False)
    """
    if currency not in ("$", "USD"):
        return False
    if place.holidays:
        return place.holidays.upper().split("-")[0] in ("US", "USA")
    if place.timezone:
        return place.timezone in US_ZONES or place.timezone.startswith(US_PREFIXES)
    at = weather.latitude_deg, weather.longitude_deg
    return any(all(low <= value <= high for value, (low, high) in zip(at, box, strict=True)) for box in _BOXES)


def co2_factors(case: Case, weather: Weather) -> dict[str, float]:
    """CO2 of each price table and of electricity [kg/J]; not a number where nobody typed it for a grid outside the US.

    Raises
    ------
    InputError
        A carbon price counts what is not known.
    """
    grid = FUELS["electricity"].co2_kg_per_j if in_the_us(case.place, case.currency, weather) else math.nan
    factors = {"electricity": grid}
    for key, price in case.prices.items():
        electric = price.fuel_name(key) == "electricity" and price.co2_kg_per_j is None
        factors[key] = grid if electric else price.co2_factor_kg_per_j(key)
        if math.isnan(factors[key]) and case.economics.carbon_price is not None:
            problem = "is missing: carbon_price counts it, and the US average does not hold for this place"
            remedy = 'add the grid\'s own, such as co2 = "0.2 kg/kWh"'
            raise InputError(Fault(f"prices.{key}.co2", problem, remedy, case.file))
    return factors
