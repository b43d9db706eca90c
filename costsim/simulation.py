"""`simulate`: the whole program in one line, readable from top to bottom."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from costsim.engine import layout as k
from costsim.engine.block import one_year
from costsim.engine.inputs import export_terms, generation_j, taken_w
from costsim.engine.lower import LoweredOption, LoweredStudy, lower_option, lower_study, option_study
from costsim.physics.fuels import co2_kg
from costsim.results.assumptions import assumptions_of, weather_facts
from costsim.results.clock import clock_labels
from costsim.results.condensing import condensing_warnings
from costsim.results.result import (
    Hourly,
    OptionResult,
    Result,
    split_by_cause,
    unmet_load_of,
)
from costsim.results.season import bought_j, option_warnings, own_use, recoveries, source_season, sun_of, uses_season
from costsim.results.tank_alone import beyond_loops, tank_alone_warnings, told_of_tank
from costsim.results.warnings import warnings_of
from costsim.results.zones import house_and_zones
from costsim.sources import Offer
from costsim.study.case import Case, Option
from costsim.study.services import ELECTRICITY
from costsim.tariffs.bill import Bill, bill, marginal_bill
from costsim.tariffs.own_generation import generating_bill
from costsim.units.quantity import HOUR_S
from costsim.weather import Weather
from costsim.weather.named import named_weather


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
    Lowering (`costsim.engine.lower`) turns what was typed into arrays in SI: the house wants
    ``demand = loss per kelvin · max(balance point - outdoor temperature, 0)`` of every hour; the floor gives what it is asked
    while the tank's water is warm enough; every source says by the hour what it can give (an `Offer`). Then come, for each
    option, the hours (`costsim.engine.kernel`), in which the sources fill the tank in the rule's order and the floor draws from
    it, ``sum of source heat = delivered + tank change + tank loss``, and the bills.

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
        load_routes=case.house.routes(common.design_outdoor_c, common.surroundings.altitude_m),
        design_outdoor_c=common.design_outdoor_c,
        design_outdoor_source=common.design_outdoor_source,
        degree_hours_k_h=common.degree_hours_k_h,
        clock=clock_labels(common.calendar),
        months=common.calendar.month,
        weather_facts=weather_facts(common),
        assumptions=assumptions_of(common),
        warnings=warnings_of(common, options, lambda option: simulate_option(common, option)),
        lowered=common,
    )


def simulate_option(common: LoweredStudy, option: Option) -> OptionResult:
    """Compute one option: lower it, run the hours, sum the season, write the bills."""
    own = option_study(common, option)  # with the option's own tank and floor
    plant = lower_option(own, option)
    hourly, zones = house_and_zones(own, run_hours(own, plant))
    bills = bills_of(own, plant.offers, hourly)
    sources = tuple(source_season(offer, i, hourly, bills, own) for i, offer in enumerate(plant.offers))
    uses = told_of_tank(own, hourly, uses_season(own, hourly.use_delivered_w))
    beyond = beyond_loops(own, hourly)
    unmet = unmet_load_of(hourly.unmet_w, hourly.unmet_by_cause_w)
    warm = unmet.hours <= own.case.house.max_unmet_hours  # an option that is too small anyway is told as that
    pump_j = float(hourly.pump_w.sum()) * HOUR_S
    pump_co2 = float(co2_kg(pump_j, own.surroundings.co2_kg_per_j[ELECTRICITY]))
    return OptionResult(
        name=option.name,
        rule=option.rule,
        hourly=hourly,
        sources=sources,
        uses=uses,
        recovery=recoveries(own, hourly),
        unmet=unmet,
        bills=bills,
        cost_total=sum(one.total for one in bills.values()),
        cost_fixed=sum(one.fixed for one in bills.values()),
        cost_energy=sum(one.total - one.fixed for one in bills.values()),
        co2_kg=sum(source.co2_kg for source in sources) + pump_co2,
        biogenic_co2_kg=sum(source.biogenic_co2_kg for source in sources),
        pump_j=pump_j,
        warnings=(
            *option_warnings(common, own, plant.offers, sources),
            *condensing_warnings(own, option, hourly, sources),
            *tank_alone_warnings(option.name, own, uses, beyond if warm else None),
        ),
        max_unmet_hours=own.case.house.max_unmet_hours,
        self_use=own_use(own, plant.offers, hourly),
        solar=sun_of(own, option, hourly),
        zones=zones,
        beyond_loops=beyond,
    )


def run_hours(common: LoweredStudy, plant: LoweredOption) -> Hourly:
    """Run the hours of a year and name what comes out; unmet load is what the house wanted and did not get."""
    out, heat, dumped, available = one_year(
        plant.scalars, plant.hours, plant.source_scalars, plant.source_hours, plant.order
    )
    tank_before = np.concatenate(([plant.scalars[k.TANK_START]], out[k.TANK, :-1]))
    tank_change = (out[k.TANK] - tank_before) * common.surroundings.tank_j_k / HOUR_S
    demand = common.demand_w
    # what the floor cannot take at all, and what it cannot take from the hottest tank
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
