"""The house's set-point hour by hour: set-backs, zones by their share of the load, absence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from costsim.study.house import House
from costsim.study.schedules import Absence, Setback
from costsim.study.zone_loops import REST, rest_share
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.windows import parse_windows
from costsim.units.arrays import Floats, Ints


def setpoint_c(house: House, calendar: HourCalendar, hours: Ints | None = None) -> Floats:
    """Set-point of each hour (n,) [°C], or one where it never changes.

    Parameters
    ----------
    house : House
        Of many houses whose set-points are an array (houses,), where `hours` are given.
    calendar : HourCalendar
    hours : array of int, optional
        For these hours of many houses (hours, houses); (houses,) where it never changes.

    Notes
    -----
    Zones count by their share of the heat loss: the house is one building whose mean set-point they make, as heat that
    passes between rooms counts for nothing. While nobody is there the frost set-point holds for all of them.
    """
    if not house.varies:
        return np.asarray(house.indoor_temperature_c, dtype=float)
    parts = zone_setpoints(house, calendar, hours)
    mean = parts[0].load_share * parts[0].setpoint_c
    for part in parts[1:]:
        mean = mean + part.load_share * part.setpoint_c
    return np.asarray(mean)


@dataclass(frozen=True, slots=True)
class ZonePart:
    """A zone's name, its share of the heat loss, its set-point when nothing lowers it, and that of each hour (n,) [°C]."""

    name: str
    load_share: float
    indoor_temperature_c: float
    setpoint_c: Floats


def zone_setpoints(house: House, calendar: HourCalendar, hours: Ints | None = None) -> tuple[ZonePart, ...]:
    """The zones as typed, and what they leave of the house last; the house alone where there are none.

    With `hours` those alone, of many houses (hours, houses).

    Notes
    -----
    While nobody is there the frost set-point holds in every zone that is not cooler anyway.
    """
    whole, area = house.indoor_temperature_c, house.floor_area_m2
    parts = [
        (zone.name, zone.share(area), zone.indoor_temperature_c, zone.set_backs(house.setback)) for zone in house.zone
    ]
    rest = rest_share(house)
    if rest:
        parts.append((REST, rest, None, house.setback))
    zone_parts, n = [], np.zeros(len(calendar.month) if hours is None else (len(hours), 1))
    for name, share, typed, setbacks in parts:
        kept = whole if typed is None else typed
        setpoint = with_setbacks(n + kept, setbacks, calendar, hours)
        for absence in house.absence:
            inside = _at(away_share((absence,), calendar), hours)
            setpoint = setpoint + inside * np.minimum(absence.indoor_temperature_c - setpoint, 0.0)
        zone_parts.append(ZonePart(name, share, kept, setpoint))
    return tuple(zone_parts)


def schedule_shares(house: House, calendar: HourCalendar) -> list[Floats]:
    """Share of each hour that each set-back and absence of the house and its zones has (n,)."""
    setbacks = [*house.setback, *(setback for zone in house.zone for setback in zone.setback)]
    absences = [away_share((absence,), calendar) for absence in house.absence]
    return [_share(setback, calendar) for setback in setbacks] + absences


def _share(setback: Setback, calendar: HourCalendar) -> Floats:
    return parse_windows(setback.windows, days=setback.days, months=setback.months).share(calendar)


def _at(share: Floats, hours: Ints | None) -> Floats:
    """A share of each hour (n,), or of some hours for many houses (hours, 1)."""
    return share if hours is None else share[hours][:, None]


def with_setbacks(
    setpoint: Floats, setbacks: Sequence[Setback], calendar: HourCalendar, hours: Ints | None = None
) -> Floats:
    """The set-point with its set-backs, later ones over earlier ones (n,); of many houses in some `hours` (hours, houses)."""
    for setback in setbacks:
        inside = _at(_share(setback, calendar), hours)
        setpoint = setpoint + inside * (setback.indoor_temperature_c - setpoint)
    return setpoint


def away_share(absences: Sequence[Absence], calendar: HourCalendar) -> Floats:
    """Share of each hour in which nobody is there (n,)."""
    away = np.zeros(len(calendar.month))
    for absence in absences:
        windows = parse_windows((), days=absence.days or "every day", months=absence.months)
        inside = windows.share(calendar)
        if absence.back_at:
            if absence.days:
                ends = tuple(day for day in windows.days if (day + 1) % 7 not in windows.days)
                last = replace(windows, days=ends).share(calendar)
            else:
                last = parse_windows((), months=f"{absence.to_day}-{absence.to_day}").share(calendar)
            if absence.back_at not in ("0:00", "00:00"):
                before = parse_windows((f"00:00-{absence.back_at}",)).share(calendar)
                inside = np.where(last > 0, inside * before, inside)
            else:
                inside = np.where(last > 0, 0.0, inside)
        away = np.maximum(away, inside)
    return away
