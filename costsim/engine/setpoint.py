"""The house's set-point hour by hour: set-backs, zones by their share of the load, absence."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from costsim.study.house import House
from costsim.study.schedules import Absence, Setback
from costsim.tariffs.calendar import HourCalendar, parse_windows

Floats = NDArray[np.float64]


def setpoint_c(house: House, calendar: HourCalendar) -> Floats:
    """Set-point of each hour (n,) [°C], or one where it never changes.

    Notes
    -----
    Zones count by their share of the heat loss: the house is one building whose mean set-point they make, as heat that
    passes between rooms counts for nothing. While nobody is there the frost set-point holds for all of them.
    """
    whole = house.indoor_temperature_c
    if not house.varies:
        return np.full((), whole)
    n = len(calendar.month)
    setpoint = with_setbacks(np.full(n, whole), house.setback, calendar)
    mean = setpoint * (1.0 - sum(zone.share(house.floor_area_m2) for zone in house.zone))
    for zone in house.zone:
        kept = whole if zone.indoor_temperature_c is None else zone.indoor_temperature_c
        mean = mean + zone.share(house.floor_area_m2) * with_setbacks(np.full(n, kept), zone.setback, calendar)
    for absence in house.absence:
        inside = away_share((absence,), calendar)
        mean = mean + inside * np.minimum(absence.indoor_temperature_c - mean, 0.0)
    return np.asarray(mean)


def with_setbacks(setpoint: Floats, setbacks: Sequence[Setback], calendar: HourCalendar) -> Floats:
    """The set-point with its set-backs, later ones over earlier ones (n,)."""
    for setback in setbacks:
        inside = parse_windows(setback.windows, days=setback.days, months=setback.months).share(calendar)
        setpoint = setpoint + inside * (setback.indoor_temperature_c - setpoint)
    return setpoint


def away_share(absences: Sequence[Absence], calendar: HourCalendar) -> Floats:
    """Share of each hour in which nobody is there (n,)."""
    away = np.zeros(len(calendar.month))
    for absence in absences:
        inside = parse_windows((), months=f"{absence.from_day}-{absence.to_day}").share(calendar)
        if absence.back_at:
            last = parse_windows((), months=f"{absence.to_day}-{absence.to_day}").share(calendar)
            if absence.back_at not in ("0:00", "00:00"):
                before = parse_windows((f"00:00-{absence.back_at}",)).share(calendar)
                inside = np.where(last > 0, inside * before, inside)
            else:
                inside = np.where(last > 0, 0.0, inside)
        away = np.maximum(away, inside)
    return away
