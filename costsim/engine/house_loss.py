"""Design load, loss per kelvin and gains of one house or many, from what is known of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from costsim.errors import Fault, InputError
from costsim.physics.demand import heat_loss_rate_w_k
from costsim.study.case import Case
from costsim.study.heat_loss import Route
from costsim.weather.model import Weather

Found = TypeVar("Found")


def altitude_m(case: Case, weather: Weather) -> float:
    """Height of the place above the sea, as typed, else as the weather says [m]."""
    typed = case.place.altitude_m
    return typed if typed is not None else weather.altitude_m


def route_of(case: Case, outdoor_c: float, altitude_m: float) -> Route:
    """The design load by the route that counts, at the thermostat setting, an outdoor design temperature [°C] and an altitude [m].

    Raises
    ------
    InputError
        The design temperatures do not fit each other.
    """
    return _fitting(case, lambda: case.house.route(case.house.route_used, outdoor_c, altitude_m))


def loss_w_k(case: Case, load_w: Any, outdoor_c: float) -> Any:
    """Loss per kelvin of one house or many [W/K].

    Raises
    ------
    InputError
        The design temperatures do not fit each other.
    """
    indoor: Any = case.house.indoor_temperature_c
    return _fitting(
        case, lambda: heat_loss_rate_w_k(design_loss_w=load_w, indoor_temperature_c=indoor, outdoor_c=outdoor_c)
    )


def _fitting(case: Case, compute: Callable[[], Found]) -> Found:
    try:
        return compute()
    except ValueError as error:
        remedy = 'give place.design_outdoor, such as "15 degF"'
        raise InputError(Fault("place.design_outdoor", str(error), remedy, case.file)) from None


def internal_gains_w(case: Case, loss_w_k: Any) -> Any:
    """Internal gains, typed or implied by the balance point."""
    house = case.house
    if house.balance_point_c is not None:
        return (house.found_at_c - house.balance_point_c) * loss_w_k
    return 0.0 if house.gains_w is None else house.gains_w
