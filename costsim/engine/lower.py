"""From what was typed to arrays: house and water once for all options, then each option's plant for the kernel."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.engine import layout as k
from costsim.engine.generation import seen_by_rule
from costsim.engine.house_loss import altitude_m, internal_gains_w, loss_w_k, route_of
from costsim.engine.mass_rows import put_mass, put_mass_scalars
from costsim.engine.one_year import one_year
from costsim.engine.prices import prices_seen
from costsim.engine.setpoint import away_share, setpoint_c
from costsim.engine.study_clock import calendar_of
from costsim.engine.uses import UseSide, lower_uses
from costsim.engine.water import WaterSide, water_side
from costsim.engine.zone_demand import floor_limit_w
from costsim.errors import Fault, InputError
from costsim.physics.demand import balance_point_c, degree_hour_demand_w, tank_step
from costsim.sources import Layers, Offer, Surroundings
from costsim.study.case import Case, Option
from costsim.study.grid import co2_factors
from costsim.study.heat_loss import Route
from costsim.study.rules import RULES
from costsim.study.services import heating_tariffs
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import Tariff, scaled_tariff
from costsim.units.arrays import Floats, Ints, hourly
from costsim.weather import Weather, design_temperature
from costsim.weather.sunlight import GIVE_SUN, facing_deg, sun_on
from costsim.words import spoken, tr

NO_TANK_J_K = 1.0
"""Heat capacity where no tank is described: a quarter of a gram of water, so that nothing is stored."""


@dataclass(frozen=True, slots=True, eq=False)
class LoweredStudy:
    """A study in arrays: what all its options share, or what one of them sees of it (`option_study`)."""

    case: Case
    weather: Weather
    calendar: HourCalendar
    tariffs: Mapping[str, Tariff]
    loss_w_k: float
    route: Route
    design_outdoor_c: float
    design_outdoor_source: str
    setpoint_c: Floats
    balance_c: Floats
    gains_w: Floats
    demand_w: Floats
    water: WaterSide
    uses: UseSide | None
    surroundings: Surroundings

    @property
    def coldest_c(self) -> float:
        """What things outdoors must stand [°C]: the coldest hour of the year, or the design temperature where that is colder."""
        return min(float(self.weather.outdoor_c.min()), self.design_outdoor_c)

    @property
    def degree_hours_k_h(self) -> float:
        """Degree-hours below the balance point, clipped hour by hour [K h]."""
        return float(np.maximum(self.balance_c - self.weather.outdoor_c, 0.0).sum())


@dataclass(frozen=True, slots=True)
class LoweredOption:
    """One option as the kernel takes it, and the offers it was made from."""

    offers: tuple[Offer, ...]
    scalars: Floats
    hours: Floats
    source_scalars: Floats
    source_hours: Floats
    order: Ints

    def year(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Run its year in the kernel.

        Returns
        -------
        out : array (RESULTS, n)
            By its rows in `costsim.engine.layout`.
        heat, dumped, available : arrays (sources, n)
            Heat given to the tank, heat thrown away and capacity in the hour [W].
        """
        return one_year(self.scalars, self.hours, self.source_scalars, self.source_hours, self.order)


def lower_study(case: Case, weather: Weather) -> LoweredStudy:
    """Lower house, water and prices.

    Raises
    ------
    InputError
        The design temperatures do not fit each other.
    """
    calendar, typed_c = calendar_of(case, weather), case.place.design_outdoor_c
    outdoor, source = _design(weather, spoken()) if typed_c is None else (typed_c, tr("typed in the study"))
    prices = prices_seen(case, tariffs := heating_tariffs(case), calendar)
    away = away_share(case.house.absence, calendar) if case.house.absence else None
    uses = lower_uses(case.use, weather, calendar, outdoor, case.use_files_j, away)
    return _around_house(
        case, {"design_outdoor_c": outdoor, "design_outdoor_source": source, "tariffs": tariffs, "uses": uses},
        {"weather": weather, "calendar": calendar, "altitude_m": altitude_m(case, weather), "price_per_j": prices, "co2_kg_per_j": co2_factors(case, weather)},
    )  # fmt: skip


@functools.lru_cache(maxsize=8)
def _design(weather: Weather, language: str) -> tuple[float, str]:
    # to rank its hours takes a fifth of the time in which a study is lowered
    return design_temperature(weather)


def _around_house(case: Case, place: dict[str, Any], seen: dict[str, Any]) -> LoweredStudy:
    """Lower the house of a study, and put around it what does not depend on it, by names in `LoweredStudy` and `Surroundings`."""
    weather, calendar = seen["weather"], seen["calendar"]
    house = _house_side(case, weather, calendar, place["design_outdoor_c"], seen["altitude_m"])
    surroundings = Surroundings(**seen, **seen_by_sources(house, house["water"], place["uses"]))
    return LoweredStudy(case=case, weather=weather, calendar=calendar, surroundings=surroundings, **place, **house)


def priced(common: LoweredStudy, factors: dict[str, float]) -> LoweredStudy:
    """The same study with energy prices times factors."""
    moved = {
        key: scaled_tariff(tariff, factors.get(key, 1.0))
        for key, tariff in common.tariffs.items()
        if factors.get(key, 1.0) != 1.0
    }
    prices = {**common.surroundings.price_per_j, **prices_seen(common.case, moved, common.calendar)}
    seen = replace(common.surroundings, price_per_j=prices)
    return replace(common, tariffs={**common.tariffs, **moved}, surroundings=seen)


def with_house(common: LoweredStudy, case: Case) -> LoweredStudy:
    """Lower another house, or the same one with another tank or floor, in the same place with the same sources and prices.

    Parameters
    ----------
    common : LoweredStudy
        As lowered for the first house; what comes is what `lower_study` would give, without its clock and prices made again.
    case : Case
        Differs from `common.case` in house, tank or floor alone.
    """
    seen = common.surroundings
    return _around_house(
        case, {name: getattr(common, name) for name in ("design_outdoor_c", "design_outdoor_source", "tariffs", "uses")},
        {name: getattr(seen, name) for name in ("weather", "calendar", "altitude_m", "price_per_j", "co2_kg_per_j")},
    )  # fmt: skip


def _house_side(
    case: Case, weather: Weather, calendar: HourCalendar, outdoor_c: float, high_m: float
) -> dict[str, Any]:
    """Loss, set-point, balance point, gains, demand and water of one house, by their names in `LoweredStudy`."""
    route = route_of(case, outdoor_c, high_m)
    loss = loss_w_k(case, route.load_w, outdoor_c)
    setpoint, gains = setpoint_c(case.house, calendar), _gains_w(case, weather, loss)
    balance = balance_point_c(indoor_temperature_c=setpoint, gains_w=gains, loss_w_k=loss)
    demand = degree_hour_demand_w(loss_w_k=loss, balance_c=balance, outdoor_c=weather.outdoor_c)
    setpoint, gains, balance = (
        values if values.ndim else hourly(values, weather.n_hours) for values in (setpoint, gains, balance)
    )
    water = water_side(case, design_load_w=route.load_w, coldest_c=float(weather.outdoor_c.min()), altitude_m=high_m)
    return {
        "loss_w_k": loss, "route": route, "setpoint_c": setpoint, "balance_c": balance, "gains_w": gains, "demand_w": demand, "water": water,
    }  # fmt: skip


def seen_by_sources(house: Mapping[str, Any], water: WaterSide, uses: UseSide | None) -> dict[str, Any]:
    """What sources see of the house and its water, by its names in `Surroundings`."""
    demand, water_c, layers = house["demand_w"], np.minimum(house["demand_w"], water.limit_w), None
    if water.exponent != 1.0:  # radiators and baseboards want warmer water at part load than on a straight line
        design = house["route"].load_w
        water_c = design * (water_c / design) ** (1.0 / water.exponent)
    water_c *= water.resistance_k_w
    water_c += house["setpoint_c"]
    np.minimum(water_c, water.loops_top_c, out=water_c)
    drop_k = 0.0 if water.tank_j_k > 0 else _cools_by_k(house, water, water_c, uses)
    if uses is not None:
        demand, floor = demand + uses.heat_w, demand
        hotter = np.maximum(uses.kept_c(water.tank_j_k), water_c)
        # a mixed tank is as hot as its hottest use; of a stratified one each use takes its own part
        if water.zones_kept:
            layers = Layers(water_c.copy(), floor, uses.needs_c, uses.heat_w)
            share = np.asarray(uses.heat_w / np.maximum(demand, 1.0))
            share *= hotter - water_c
            water_c += share
            np.copyto(water_c, hotter, where=floor <= 0)
        else:
            water_c = hotter
    return {
        "demand_w": demand,
        "room_c": house["setpoint_c"],
        "water_c": np.minimum(water_c, water.max_temperature_c, out=water_c),
        "layers": layers,
        "drop_k": drop_k,
        "max_temperature_c": water.max_temperature_c,
        "store_c": water.store_c,
        "density_kg_m3": water.density_kg_m3,
        "heat_capacity_j_kgk": water.heat_capacity_j_kgk,
        "tank_m3": water.tank_j_k / (water.density_kg_m3 * water.heat_capacity_j_kgk),
        "design_load_w": house["route"].load_w,
        "tank_j_k": water.tank_j_k or NO_TANK_J_K,
    }


def _cools_by_k(house: Mapping[str, Any], water: WaterSide, supply_c: Floats, uses: UseSide | None) -> Floats:
    """By how much water returns cooler to a source that has no tank [K]: at one flow it falls with the load, and to the room at most.

    In an hour in which a use draws it is nothing: what the use sends back is not known.
    """
    drop = np.minimum(house["demand_w"], water.limit_w) * water.drop_k_w
    drop = np.clip(supply_c - house["setpoint_c"], 0.0, drop)
    return drop if uses is None else np.where(uses.heat_w > 0.0, 0.0, drop)


def _gains_w(case: Case, weather: Weather, loss_w_k: float) -> Floats:
    """Internal gains, typed or implied by the balance point, and what the sun adds (n,); one where there is no sun."""
    house, gains = case.house, np.asarray(internal_gains_w(case, loss_w_k))
    if house.solar_aperture_m2 > 0:
        gains = gains + house.solar_aperture_m2 * south_sun_w_m2(case, weather)
    return gains


def south_sun_w_m2(case: Case, weather: Weather) -> Floats:
    """Sun on a wall that faces the equator, which a study with solar gains needs from its weather."""
    try:
        return sun_on(weather, 90.0, facing_deg(weather, None)).total_w_m2
    except ValueError as error:
        remedy = f"{GIVE_SUN}, or set solar_aperture to 0"
        raise InputError(Fault("house.solar_aperture", str(error), remedy, case.file)) from None


def option_study(common: LoweredStudy, option: Option) -> LoweredStudy:
    """The study as an option sees it: with the tank and the floor of its own, where it has them, and the draws that it can serve.

    Uses after the house take what its sources leave idle: where there are such, a first year without them is run to see that.
    Asked again with what it gave, it gives the same.
    """
    seen = option.seen_in(common.case)
    if seen is not common.case:
        common = with_house(common, seen)
    if common.uses is None or common.uses.settled:
        return common
    house_first = _with_uses(common, common.uses.within(np.zeros(common.weather.n_hours)))
    return _with_uses(common, common.uses.within(idle_w(lower_plant(house_first, option))))


def _with_uses(common: LoweredStudy, uses: UseSide) -> LoweredStudy:
    """The study with other draws of its uses."""
    house = {"demand_w": common.demand_w, "setpoint_c": common.setpoint_c, "route": common.route}
    seen = replace(common.surroundings, **seen_by_sources(house, common.water, uses))
    return replace(common, uses=uses, surroundings=seen)


def idle_w(plant: LoweredOption) -> Floats:
    """What the sources of a plant could give in each hour beyond what they do (n,) [W]."""
    _, heat, _, able = plant.year()
    return np.asarray((able - heat).sum(axis=0))


def lower_option(common: LoweredStudy, option: Option) -> LoweredOption:
    """Lower one option to what the kernel takes: the study as it sees it, then its plant."""
    return lower_plant(option_study(common, option), option)


def lower_plant(common: LoweredStudy, option: Option) -> LoweredOption:
    """The offers of an option's sources in each hour, the order in which its rule calls them, and house and water beside them.

    Parameters
    ----------
    common : LoweredStudy
        As the option sees it (`option_study`).
    option : Option
    """
    offers = tuple(source.offer(common.surroundings) for source in option.sources)
    seen = seen_by_rule(common.case, common.weather, common.calendar, common.demand_w, offers)
    return plant_of(common, offers, RULES[option.rule](seen))


def plant_of(common: LoweredStudy, offers: Sequence[Offer], order: Ints) -> LoweredOption:
    """Put offers, house and water into the kernel's rows."""
    return LoweredOption(tuple(offers), *house_rows(common), *source_rows(offers), np.ascontiguousarray(order))


@functools.lru_cache(maxsize=1)
def house_rows(common: LoweredStudy) -> tuple[Floats, Floats]:
    """Scalars and hourly rows of house and water: (SCALARS,) and (HOURS, n).

    Options of a study share them, so those of the last study are kept: whoever changes some copies them first.
    """
    scalars, hours = scalars_of(common), np.zeros((k.HOURS, common.weather.n_hours))
    hours[k.ROOM] = common.setpoint_c
    hours[k.FLOOR_LIMIT] = floor_limit_w(common)
    hours[k.DEMAND] = common.demand_w
    if common.uses is not None:
        hours[k.USE], hours[k.USE_COLD] = common.uses.heat_w, common.uses.cold_c
        hours[k.USE_NEED] = common.uses.kept_c(common.water.tank_j_k)
    if common.water.mass is not None:
        house = common.setpoint_c, common.gains_w, common.demand_w, common.weather.outdoor_c
        put_mass(hours, common.water.mass, common.loss_w_k, house, common.calendar)
    return scalars, hours


def scalars_of(common: LoweredStudy) -> Floats:
    """Scalars of a study's house and water (SCALARS,)."""
    first = Point(common.loss_w_k, float(common.setpoint_c[0]), float(common.balance_c[0]), common.water)
    return house_scalars(common, common.case, first)


@dataclass(frozen=True, slots=True)
class Point:
    """House and water in one hour, of one house or of many (houses,)."""

    loss_w_k: Any
    setpoint_c: Any
    balance_c: Any
    water: WaterSide


def house_scalars(common: LoweredStudy, case: Case, first: Point) -> Floats:
    """Scalars of house and water (SCALARS,), from the first hour; of many houses (SCALARS, houses)."""
    water, scalars = first.water, np.zeros((k.SCALARS, *np.shape(first.loss_w_k)))
    tank_j_k = water.tank_j_k or NO_TANK_J_K
    scalars[k.TANK_KEEP], scalars[k.TANK_RISE], scalars[k.LOSS_STATE], scalars[k.LOSS_NET] = tank_step(
        heat_capacity_j_k=tank_j_k, loss_w_k=water.tank_loss_w_k
    )
    scalars[k.TANK_TOP], scalars[k.PUMP_POWER] = water.max_temperature_c, water.pump_w
    scalars[k.WATER_RESISTANCE] = water.resistance_k_w
    scalars[k.WATER_DROP] = water.drop_k_w
    scalars[k.ZONES_KEPT], scalars[k.KEPT_HOT] = water.zones_kept, water.kept_hot
    if water.mass is not None:
        put_mass_scalars(scalars, case, first.loss_w_k, water.mass)
    demand = degree_hour_demand_w(
        loss_w_k=first.loss_w_k, balance_c=first.balance_c, outdoor_c=common.weather.outdoor_c[0]
    )
    above = np.minimum(demand, water.limit_w) * water.resistance_k_w
    needed_c = first.setpoint_c + above
    if common.uses is not None:  # a tank that taps draw from was hot on the last night of December too
        needed_c = np.maximum(needed_c, common.uses.kept_c(water.tank_j_k)[0])
    scalars[k.TANK_START] = np.minimum(water.max_temperature_c, needed_c)
    return scalars


def source_rows(offers: Sequence[Offer]) -> tuple[Floats, Floats]:
    """Scalars and hourly rows of the sources: (sources, BILLED_SCALARS) and (sources, SOURCE_HOURS, n)."""
    source_scalars = np.array([source_scalars_of(offer) for offer in offers])
    source_hours = np.empty((len(offers), k.SOURCE_HOURS, len(offers[0].capacity_w)))
    for i, offer in enumerate(offers):
        for row in range(k.SOURCE_HOURS):
            source_row(offer, row, source_hours[i, row])
    return source_scalars, source_hours


def source_scalars_of(offer: Offer) -> tuple[float, ...]:
    """One source's scalars (BILLED_SCALARS,)."""
    return (
        offer.slope_w_k, float(offer.must_run), offer.burn_power_w, offer.min_fire_w, offer.degradation,
        offer.standby_w, offer.auxiliary_share, offer.auxiliary_w, float(offer.fuel == "electricity"),
        offer.least_charge_share,
    )  # fmt: skip


def source_row(offer: Offer, row: int, into: Floats) -> None:
    """Write one of a source's hourly rows (n,): SOURCE_HOURS, or PER_HEAT."""
    values = offered(offer, row)
    into[:] = 1.0 / values if row == k.PER_HEAT else values


def offered(offer: Offer, row: int) -> Floats | float:
    """What a source's hourly row is made from (n,); nothing where it has none of the kind."""
    columns = (offer.capacity_w, offer.target_c, offer.charge_j, offer.ahead_j, offer.until_j, offer.heat_per_input)[
        row
    ]
    return 0.0 if columns is None else columns
