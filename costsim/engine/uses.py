"""Uses of the tank, lowered: heat wanted in each hour, how hot the tank must be for it, and how cold what returns is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from costsim.engine.layout import NOT_KEPT_C
from costsim.engine.outdoor_uses import pool, profile, snow_melt
from costsim.physics.mains import cold_water_c
from costsim.study.outdoor_uses import PoolOrTub, SnowMelt
from costsim.study.uses import AnyUse, HotWater, Zone
from costsim.tariffs.calendar import HourCalendar
from costsim.units.arrays import Bools, Floats
from costsim.units.quantity import HOUR_S
from costsim.weather import Weather

READY_H = 24  # from the last draw before a day without any, and again a day before the next; common practice, no source


@dataclass(frozen=True, slots=True)
class UseSide:
    """All uses of the tank as one draw; arrays (n,), of each use (uses, n) in the order typed.

    `ready` are the hours in which the tank is kept hot for a use whether it draws or not; `needs_c` is `NOT_KEPT_C` in hours in which
    it is kept for none. `by_use_w` is what each wants and `asked_w` what of it the tank is asked for: of uses after the house (`late`), at most what
    the sources leave idle, once `settled` for an option.
    """

    by_use_w: Floats
    each_needs_c: Floats
    each_cold_c: Floats
    late: Bools
    ready: Bools
    asked_w: Floats
    heat_w: Floats
    needs_c: Floats
    cold_c: Floats
    settled: bool = True

    def kept_c(self, tank_j_k: float) -> Floats:
        """How hot the water of a tank of this heat capacity is wanted (n,) [°C]; where there is none nothing is kept between draws."""
        return self.needs_c if tank_j_k > 0 else np.where(self.heat_w > 0, self.needs_c, NOT_KEPT_C)

    def within(self, idle_w: Floats) -> UseSide:
        """The same with uses after the house held to what is idle (n,), in the order typed [W]."""
        left, asked = np.maximum(idle_w, 0.0), self.by_use_w.copy()
        for at in np.flatnonzero(self.late).tolist():
            asked[at] = np.minimum(asked[at], left)
            left = left - asked[at]
        return _as_one(self.by_use_w, asked, self.each_needs_c, self.each_cold_c, self.late, self.ready, settled=True)


def lower_uses(
    uses: tuple[AnyUse, ...],
    weather: Weather,
    calendar: HourCalendar,
    outdoor_c: float,
    files_j: Mapping[int, Floats],
    away: Floats | None = None,
) -> UseSide | None:
    """Lower what draws from the tank besides the floor; None without any.

    Parameters
    ----------
    uses : tuple
        As typed.
    weather : Weather
    calendar : HourCalendar
    outdoor_c : float
        Outdoor design temperature [°C].
    files_j : mapping of int to array
        Heat of each hour of those uses that name a file, by place from 0 [J].
    away : array (n,), optional
        Share of each hour in which nobody is there and no hot water is drawn.

    Notes
    -----
    The tank must be as hot as the hottest use of the hour wants it; what returns is as cold as the mean by heat. For hot water it is kept so
    between draws too, as a thermostat does, unless nothing is drawn for a whole day; for hot water after the house only while it draws.
    """
    if not uses:
        return None
    parts = []
    for at, use in enumerate(uses):
        if isinstance(use, HotWater):
            parts.append(_hot_water(use, weather, calendar, away))
        elif isinstance(use, Zone):
            parts.append(_zone(use, weather, outdoor_c))
        elif isinstance(use, PoolOrTub):
            cold = cold_by_month_c(weather, calendar)[np.asarray(calendar.month) - 1]
            parts.append(pool(use, weather, calendar, cold))
        elif isinstance(use, SnowMelt):
            parts.append(snow_melt(use, weather))
        else:
            parts.append(profile(use, weather, files_j[at]))
    heat, needs, cold = (np.stack([part[i] for part in parts]) for i in range(3))
    late = np.array([use.priority == "after_house" for use in uses])
    taps = np.array([isinstance(use, HotWater) for use in uses])
    ready = _soon_drawn(heat) & (taps & ~late)[:, None]
    return _as_one(heat, heat, needs, cold, late, ready, settled=not late.any())


def _soon_drawn(heat: Floats) -> Bools:
    """Hours (uses, n) from which on something is drawn within `READY_H` hours; the year begins anew after its end."""
    draws = np.cumsum(np.pad(heat > 0, ((0, 0), (1, READY_H - 1)), mode="wrap"), axis=1)
    return np.asarray(draws[:, READY_H:] > draws[:, :-READY_H])


def _as_one(
    wanted_w: Floats,
    heat: Floats,
    needs: Floats,
    cold: Floats,
    late: Bools,
    ready: Bools,
    *,
    settled: bool,
) -> UseSide:
    """Put the draws of all uses together."""
    whole = heat.sum(axis=0)
    divisor = np.where(whole > 0, whole, 1.0)
    hottest = np.where((heat > 0) | ready, needs, NOT_KEPT_C).max(axis=0)
    bottom = np.where(whole > 0, (heat * cold).sum(axis=0) / divisor, cold.min(axis=0))
    cool = np.minimum(bottom, hottest - 1.0)
    return UseSide(wanted_w, needs, cold, late, ready, heat, whole, hottest, cool, settled)


def cold_by_month_c(weather: Weather, calendar: HourCalendar) -> Floats:
    """Cold water of each month by the weather's air (12,) [°C]."""
    air = [float(weather.outdoor_c[calendar.month == month].mean()) for month in range(1, 13)]
    return cold_water_c(monthly_air_c=air, southern=weather.southern)


def _hot_water(
    use: HotWater, weather: Weather, calendar: HourCalendar, away: Floats | None
) -> tuple[Floats, Floats, Floats]:
    n = weather.n_hours
    months = (
        np.full(12, use.cold_temperature_c)
        if use.cold_temperature_c is not None
        else cold_by_month_c(weather, calendar)
    )
    cold = months[np.asarray(calendar.month) - 1]
    volume = use.volume_m3 * use.shares[np.asarray(calendar.clock_hour).astype(int) % 24]
    if away is not None:
        volume = volume * (1.0 - away)
    heat = volume * use.tap_j_m3k * np.maximum(use.tap_temperature_c - cold, 0.0) / HOUR_S + use.circulation_w
    return heat, np.full(n, use.needs_c), cold + use.approach_k


def _zone(use: Zone, weather: Weather, outdoor_c: float) -> tuple[Floats, Floats, Floats]:
    span = max(use.indoor_temperature_c - outdoor_c, 1.0)
    share = np.maximum(use.indoor_temperature_c - weather.outdoor_c, 0.0) / span
    lift = use.design_supply_temperature_c - use.indoor_temperature_c
    return (
        use.design_heat_loss_w * share,
        use.indoor_temperature_c + np.maximum(lift * share, 1.0),
        np.full(weather.n_hours, use.indoor_temperature_c),
    )
