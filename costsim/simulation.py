"""`simulate`: the whole program in one line, readable from top to bottom."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.engine.block import one_year
from costsim.engine.inputs import export_terms, generation_j, taken_w
from costsim.engine.lower import LoweredOption, LoweredStudy, lower_option, lower_study, option_study
from costsim.physics.fuels import co2_kg
from costsim.results.assumptions import assumptions_of, warnings_of, weather_facts
from costsim.results.cycling import starts_of, too_many_starts
from costsim.results.recovery import Recovery, recovery_of
from costsim.results.result import (
    HOUR_S,
    Hourly,
    OptionResult,
    Result,
    SourceSeason,
    UseSeason,
    split_by_cause,
    unmet_load_of,
)
from costsim.results.solar import SolarShare, solar_share
from costsim.results.zones import zone_seasons
from costsim.sources import Offer
from costsim.study.case import Case, Option
from costsim.study.uses import HotWater
from costsim.tariffs.bill import Bill, bill, hourly_price_per_j, marginal_bill
from costsim.tariffs.calendar import SHORT_MONTHS, HourCalendar
from costsim.tariffs.own_generation import SelfUse, generating_bill, self_use
from costsim.weather import Weather
from costsim.weather.named import named_weather

Floats = NDArray[np.float64]
ELECTRICITY = "electricity"


def simulate(case: Case, weather: Weather) -> Result:
    """Compute a study.

    Parameters
    ----------
    case : Case
        What was typed.
    weather : Weather
        A year of hours.

    Returns
    -------
    Result
        Every option hour by hour and over the season, with bills, unmet load by cause, assumptions and warnings.

    Raises
    ------
    InputError
        Case and weather do not fit each other.

    Notes
    -----
    Demand is degree-hours times the loss per kelvin; each hour the sources fill the tank in the rule's order and the
    floor draws from it; ``sum of source heat = delivered + tank change + tank loss`` in every hour.

    Examples
    --------
    >>> from costsim import load_weather, read_study
    >>> case = read_study("lantern_cottage")
    >>> simulate(case, load_weather(case)).options[0].hourly.imbalance() < 1e-9
    True
    """
    common = lower_study(case, weather)
    options = tuple(simulate_option(common, option) for option in case.options)
    return Result(
        title=case.title,
        currency=case.currency,
        options=options,
        loss_w_k=common.loss_w_k,
        route=common.route,
        load_routes=case.house.routes(common.design_outdoor_c),
        design_outdoor_c=common.design_outdoor_c,
        design_outdoor_source=common.design_outdoor_source,
        degree_hours_k_h=common.degree_hours_k_h,
        clock=clock_labels(common.calendar),
        months=common.calendar.month,
        weather_facts=weather_facts(common),
        assumptions=assumptions_of(common),
        warnings=warnings_of(common, options),
        lowered=common,
    )


def simulate_option(common: LoweredStudy, option: Option) -> OptionResult:
    """Compute one option: lower it, run the hours, sum the season, write the bills."""
    study, common = common, option_study(common, option)
    plant = lower_option(common, option)
    hourly = run_hours(common, plant)
    bills = bills_of(common, plant.offers, hourly)
    sources = tuple(_season(offer, i, hourly, bills, common) for i, offer in enumerate(plant.offers))
    pump_j = float(hourly.pump_w.sum()) * HOUR_S
    pump_co2 = float(co2_kg(pump_j, common.surroundings.co2_kg_per_j[ELECTRICITY]))
    return OptionResult(
        name=option.name,
        rule=option.rule,
        hourly=hourly,
        sources=sources,
        uses=_uses(common, hourly),
        recovery=_recovery(common, hourly),
        unmet=unmet_load_of(hourly.unmet_w, hourly.unmet_by_cause_w),
        bills=bills,
        cost_total=sum(one.total for one in bills.values()),
        cost_fixed=sum(one.fixed for one in bills.values()),
        cost_energy=sum(one.total - one.fixed for one in bills.values()),
        co2_kg=sum(source.co2_kg for source in sources) + pump_co2,
        biogenic_co2_kg=sum(source.biogenic_co2_kg for source in sources),
        pump_j=pump_j,
        warnings=(
            *(warning for offer in plant.offers for warning in offer.warnings),
            *(
                text
                for offer, source in zip(plant.offers, sources, strict=True)
                if (text := too_many_starts(offer, source.facts, cycle_j(common)))
            ),
            *_own_water(study, common),
        ),
        max_unmet_hours=common.case.house.max_unmet_hours,
        self_use=_self_use(common, plant.offers, hourly),
        solar=_solar(common, option, hourly),
        zones=zone_seasons(common, hourly),
    )


def _recovery(common: LoweredStudy, hourly: Hourly) -> Recovery | None:
    """Recoveries after set-back, where slab and room store heat; without them the load is met in its hour."""
    if common.water.mass is None:
        return None
    return recovery_of(setpoint_c=common.setpoint_c, room_c=hourly.room_c, outdoor_c=common.weather.outdoor_c)


def _solar(common: LoweredStudy, option: Option, hourly: Hourly) -> SolarShare | None:
    """The sun's share, None where there are no collectors."""
    sunny = np.array([source.collects_sun for source in option.sources])
    if not sunny.any():
        return None
    taps = np.zeros(common.weather.n_hours)
    for use, given in zip(common.case.use, _given_to_uses(common, hourly), strict=True):
        taps = taps + (given if isinstance(use, HotWater) else 0.0)
    return solar_share(
        taken_w=hourly.delivered_w + hourly.use_delivered_w,
        hot_water_w=taps,
        others_w=hourly.heat_w[~sunny].sum(axis=0),
        months=common.weather.months,
        southern=common.weather.southern,
    )


def _own_water(study: LoweredStudy, own: LoweredStudy) -> tuple[str, ...]:
    """Warnings of an option's own tank and floor, beside those of the study's."""
    return tuple(text for text in own.water.warnings if text not in study.water.warnings)


def run_hours(common: LoweredStudy, plant: LoweredOption) -> Hourly:
    """Run the kernel and name what it gives."""
    out, heat, dumped, available = one_year(
        plant.scalars, plant.hours, plant.source_scalars, plant.source_hours, plant.order
    )
    tank_before = np.concatenate(([plant.scalars[k.TANK_START]], out[k.TANK, :-1]))
    tank_change = (out[k.TANK] - tank_before) * common.surroundings.tank_j_k / HOUR_S
    demand = common.demand_w
    beyond = np.maximum(demand - plant.hours[k.FLOOR_LIMIT], 0.0) + out[k.BEYOND]
    delivered = out[k.DELIVERED]
    short = out[k.SHORT]
    inputs, auxiliary, pump = taken_w(common, plant, out, heat, dumped)
    arrays = {
        "demand_w": demand, "delivered_w": delivered, "unmet_w": short, "tank_c": out[k.TANK], "tank_loss_w": out[k.TANK_LOSS],
        "tank_top_c": out[k.HOT_T],
        "tank_bottom_c": out[k.COLD_T], "hot_share": out[k.HOT_PART], "use_w": plant.hours[k.USE], "use_delivered_w": out[k.USE_GIVEN],
        "tank_change_w": tank_change, "slab_c": out[k.SLAB_T], "room_c": out[k.ROOM_T], "heat_w": heat, "dumped_w": dumped,
        "available_w": available, "input_w": inputs, "auxiliary_w": auxiliary, "pump_w": pump,
    }  # fmt: skip
    causes = split_by_cause(
        unmet_w=short,
        beyond_floor_w=beyond,
        curtailed_w=np.sum([offer.curtailed_w for offer in plant.offers], axis=0),
        fuel_limited_w=np.sum([offer.fuel_limited_w for offer in plant.offers], axis=0),
    )
    for array in (*arrays.values(), *causes.values()):
        array.flags.writeable = False
    return Hourly(unmet_by_cause_w=causes, **arrays)


def bought_j(common: LoweredStudy, offers: Sequence[Offer], hourly: Hourly) -> dict[str, Floats]:
    """Energy of each service that an option uses, in each hour [J]; electricity of pumps and fans with it."""
    energy: dict[str, Floats] = {}
    for i, offer in enumerate(offers):
        if offer.price_key in common.tariffs:
            energy[offer.price_key] = energy.get(offer.price_key, 0.0) + hourly.input_w[i] * HOUR_S
    auxiliary = (hourly.auxiliary_w.sum(axis=0) + hourly.pump_w) * HOUR_S
    if ELECTRICITY in common.tariffs and auxiliary.any():
        energy[ELECTRICITY] = energy.get(ELECTRICITY, 0.0) + auxiliary
    return energy


def bills_of(common: LoweredStudy, offers: Sequence[Offer], hourly: Hourly) -> dict[str, Bill]:
    """Bill each service an option uses; electricity with and without heating where the house's other use is known."""
    bills, case, clock = {}, common.case, common.calendar
    for key, joule in bought_j(common, offers, hourly).items():
        if key != ELECTRICITY or not case.other_electricity_known:
            bills[key] = bill(common.tariffs[key], clock, joule)
            continue
        tariff, other = common.tariffs[key], case.other_electricity_j(clock)
        if case.solar_electric is None:
            bills[key] = marginal_bill(tariff, clock, joule, other)
        else:
            own = generation_j(case, common.weather)
            bills[key] = generating_bill(tariff, clock, joule, other, own, export_terms(case))
    return bills


def _uses(common: LoweredStudy, hourly: Hourly) -> tuple[UseSeason, ...]:
    """Each use of the tank; what was given goes to them in the order typed."""
    if common.uses is None:
        return ()
    found = []
    for use, wanted, given in zip(common.case.use, common.uses.by_use_w, _given_to_uses(common, hourly), strict=True):
        lacking = np.where(wanted - given > k.ROUNDING_W, wanted - given, 0.0)
        heat_j, unmet_j = float(wanted.sum()) * HOUR_S, float(lacking.sum()) * HOUR_S
        found.append(UseSeason(use.name, use.kind, heat_j, unmet_j, int(np.count_nonzero(lacking))))
    return tuple(found)


def _given_to_uses(common: LoweredStudy, hourly: Hourly) -> list[Floats]:
    """What each use got (n,), in the order typed [W]."""
    if common.uses is None:
        return []
    left, found = hourly.use_delivered_w, list(common.uses.asked_w)
    for at in np.argsort(common.uses.late, kind="stable").tolist():
        found[at] = np.minimum(found[at], left)
        left = left - found[at]
    return found


def _self_use(common: LoweredStudy, offers: Sequence[Offer], hourly: Hourly) -> SelfUse | None:
    """Where own generation goes, None where there is none."""
    case = common.case
    if case.solar_electric is None:
        return None
    heating_j = bought_j(common, offers, hourly).get(ELECTRICITY, np.zeros(common.weather.n_hours))
    return self_use(generation_j(case, common.weather), heating_j, case.other_electricity_j(common.calendar))


def cycle_j(common: LoweredStudy) -> float:
    """Heat that the tank takes between the temperatures at which a unit stops and starts [J]; nothing without a tank."""
    tank = common.case.tank
    return common.water.tank_j_k * tank.differential_k if tank is not None else 0.0


def _season(offer: Offer, i: int, hourly: Hourly, bills: Mapping[str, Bill], common: LoweredStudy) -> SourceSeason:
    heat = hourly.heat_w[i]
    input_j = float(hourly.input_w[i].sum()) * HOUR_S
    auxiliary_j = float(hourly.auxiliary_w[i].sum()) * HOUR_S
    co2 = float(co2_kg(input_j, offer.co2_kg_per_j))
    unused = hourly.dumped_w[i]
    power_co2 = float(co2_kg(auxiliary_j, common.surroundings.co2_kg_per_j[ELECTRICITY]))
    made_j, unused_j = float((heat + unused).sum()) * HOUR_S, float(unused.sum()) * HOUR_S
    tally = dict(offer.tally(made_j, unused_j, int((unused > 0.5).sum()))) if offer.tally else {}
    tally |= starts_of(offer, heat, cycle_j(common))
    return SourceSeason(
        name=offer.name,
        kind=offer.kind,
        fuel=offer.fuel,
        price_key=offer.price_key,
        heat_j=float(heat.sum()) * HOUR_S,
        input_j=input_j,
        auxiliary_j=auxiliary_j,
        dumped_j=float(hourly.dumped_w[i].sum()) * HOUR_S,
        cost=_share_of_bill(offer, i, hourly, bills, common),
        hours=int(np.count_nonzero(heat > 0.5)),
        peak_w=float(heat.max(initial=0.0)),
        co2_kg=power_co2 + (0.0 if offer.biogenic else co2),
        biogenic_co2_kg=co2 if offer.biogenic else 0.0,
        rated_w=offer.rated_w,
        derates=offer.derates,
        facts={**offer.facts, **tally},
        heat_content=price.heat_content if (price := common.case.prices.get(offer.price_key)) else None,
    )


def _share_of_bill(offer: Offer, i: int, hourly: Hourly, bills: Mapping[str, Bill], common: LoweredStudy) -> float:
    """The source's part of the energy on its bill, by its energy at each hour's price."""
    if offer.price_key not in bills:
        return 0.0
    one, price = bills[offer.price_key], hourly_price_per_j(common.tariffs[offer.price_key], common.calendar)
    own = float((hourly.input_w[i] * price).sum()) * HOUR_S
    whole = one.hourly_worth
    return (one.total - one.fixed) * own / whole if whole > 0 else 0.0


@functools.lru_cache(maxsize=8)
def clock_labels(calendar: HourCalendar) -> tuple[str, ...]:
    """Name every hour by its local clock time, such as ``Jan 12, 6 am``."""
    return tuple(
        f"{SHORT_MONTHS[month - 1]} {day}, {clock_time(hour)}"
        for month, day, hour in zip(
            calendar.month.tolist(), calendar.day_of_month.tolist(), calendar.clock_hour.tolist(), strict=True
        )
    )


def clock_time(hour: float) -> str:
    """Write a clock hour the way people say it.

    Examples
    --------
    >>> clock_time(6.0), clock_time(0.0), clock_time(13.5)
    ('6 am', '12 am', '1:30 pm')
    """
    whole, minutes = int(hour), round(hour % 1 * 60)
    text = f"{(whole - 1) % 12 + 1}" + (f":{minutes:02d}" if minutes else "")
    return f"{text} {'am' if whole < 12 else 'pm'}"


def load_weather(case: Case) -> Weather:
    """Read the weather that a study names, beside it or among the built-in samples.

    Raises
    ------
    InputError
        The file is missing or has faults.
    """
    return named_weather(case.files, case.place.weather, "place.weather", case.file)


def load_winters(case: Case) -> tuple[Weather, ...]:
    """Read the further weather years that a study's ``[uncertainty]`` table names.

    Raises
    ------
    InputError
        A file is missing or has faults.
    """
    named = enumerate(case.uncertainty.weather, 1)
    return tuple(named_weather(case.files, name, f"uncertainty.weather[{at}]", case.file) for at, name in named)
