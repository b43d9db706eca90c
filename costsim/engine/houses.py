"""Many houses in one place lowered at once: scalars by house, and what sources see of them at the year's moments."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.engine import layout as k
from costsim.engine.house_loss import internal_gains_w, loss_w_k
from costsim.engine.lower import (
    LoweredStudy,
    Point,
    house_scalars,
    seen_by_sources,
    south_sun_w_m2,
)
from costsim.engine.mass_rows import mass_at
from costsim.engine.setpoint import schedule_shares, setpoint_c
from costsim.engine.uses import UseSide
from costsim.engine.water import water_side
from costsim.physics.demand import balance_point_c, degree_hour_demand_w
from costsim.sources.houses import Houses, Moments
from costsim.study.case import Case
from costsim.study.heat_loss import Route
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.windows import parse_windows
from costsim.units.arrays import Floats, Ints


@dataclass(frozen=True, slots=True)
class LoweredHouses:
    """Many houses: their first hour (houses,), scalars (SCALARS, houses), what sources see, and hourly rows where hours differ.

    `rows` are entries (entries, houses) and which of them holds in each hour (n,): what goes with the outdoor temperature alone has one
    for each temperature.
    """

    point: Point
    scalars: Floats
    houses: Houses
    rows: Mapping[int, tuple[Floats, Ints]]


def hours_apart(common: LoweredStudy, *, sunlit: bool) -> list[Floats]:
    """Hourly rows (n,) that, with the weather, tell hours apart: schedules, sun on glass, charging ahead, how hot uses want the tank."""
    rows: list[Floats] = schedule_shares(common.case.house, common.calendar)
    uses = common.uses
    if uses is not None:  # of a mixed tank it does not matter how much they want
        rows += [uses.heat_w if common.water.zones_kept else (uses.heat_w > 0).astype(float), uses.needs_c]
    if sunlit:
        rows.append(south_sun_w_m2(common.case, common.weather))
    if common.water.mass is not None and common.water.mass.precharge_k > 0:
        rows.append(_precharging(common.water.mass.precharge_windows, common.calendar))
    return rows


def lower_houses(common: LoweredStudy, case: Case, moments: Moments, *, even: bool) -> LoweredHouses:
    """Lower houses whose figures are arrays.

    Parameters
    ----------
    common : LoweredStudy
        As lowered for another house in the same place.
    case : Case
        Differs from `common.case` in its ``[house]`` table alone, whose figures may be arrays (houses,) and that of the set-point is.
    moments : Moments
        By the weather and by `hours_apart`.
    even : bool
        Whether the houses' hours differ by weather and uses alone; then they have no hourly rows.
    """
    house, first, weather = case.house, moments.first, common.weather
    indoor: Any = house.indoor_temperature_c
    outdoor = weather.outdoor_c[first][:, None]
    high_m = common.surroundings.altitude_m
    load: Any = house.route(house.route_used, common.design_outdoor_c, high_m).load_w
    load = np.broadcast_to(load, np.shape(indoor))
    loss = loss_w_k(case, load, common.design_outdoor_c)
    setpoint = setpoint_c(house, common.calendar, first)
    gains = np.asarray(internal_gains_w(case, loss))
    if np.any(np.asarray(house.solar_aperture_m2) > 0):
        gains = gains + house.solar_aperture_m2 * south_sun_w_m2(case, weather)[first][:, None]
    balance = np.asarray(balance_point_c(indoor_temperature_c=setpoint, gains_w=gains, loss_w_k=loss))
    balance = np.broadcast_to(balance, np.broadcast_shapes(balance.shape, loss.shape))
    water = water_side(case, design_load_w=load, coldest_c=float(weather.outdoor_c.min()), altitude_m=high_m)
    begin = int(moments.of[0])
    warm, mild = (series[begin] if series.ndim > 1 else series for series in (setpoint, balance))
    point = Point(loss, warm, mild, water)
    demand = degree_hour_demand_w(loss_w_k=loss, balance_c=balance, outdoor_c=outdoor)
    loads: Any = load
    side: dict[str, Any] = {"demand_w": demand, "setpoint_c": setpoint, "route": Route("", "", loads, 0.0)}
    seen = replace(
        common.surroundings,
        weather=replace(weather, outdoor_c=outdoor),
        **seen_by_sources(side, water, _uses_at(common.uses, moments)) | {"demand_w": demand},
    )
    uses_w = np.zeros(weather.n_hours) if common.uses is None else common.uses.heat_w
    houses = Houses(seen, common.surroundings, moments, uses_w, even)
    scalars, of = house_scalars(common, case, point), moments.of
    rows: dict[int, tuple[Floats, Ints]] = {}
    air_c, air_of = np.unique(outdoor, return_inverse=True)
    air_c, air_of = air_c[:, None], air_of.reshape(-1)[of]
    if not even:
        rows[k.ROOM] = np.atleast_2d(setpoint), of
        rows[k.DEGREES] = (balance - air_c, air_of) if balance.ndim == 1 else (balance - outdoor, of)
    if water.mass is not None:
        mass, cold = mass_at(water.mass, loss, air_c, np.atleast_2d(gains), setpoint, of)
        rows |= {row: (values, of if row == k.GAINS else air_of) for row, values in mass.items()} | {k.COLD_BELOW: cold}
        if water.mass.precharge_k > 0:
            share = _precharging(water.mass.precharge_windows, common.calendar)[first][:, None]
            rows[k.PRECHARGE] = water.mass.precharge_k * share * (demand > 0), of
    wide = {row: (np.broadcast_to(values, (len(values), len(loss))), at) for row, (values, at) in rows.items()}
    wide = {row: (values, at if len(values) > 1 else np.zeros_like(at)) for row, (values, at) in wide.items()}
    return LoweredHouses(point, scalars, houses, wide)


def _precharging(windows: tuple[str, ...], calendar: HourCalendar) -> Floats:
    return parse_windows(windows).share(calendar)


def _uses_at(uses: UseSide | None, moments: Moments) -> UseSide | None:
    """The uses at each moment, for all houses (moments, 1)."""
    if uses is None:
        return None
    heat, needs = (row[moments.first][:, None] for row in (uses.heat_w, uses.needs_c))
    return replace(uses, heat_w=heat, needs_c=needs)
