"""`simulate`: the whole program on one page, to be read from top to bottom.

What was typed and a year of weather go in; every option comes out, hour by hour and with its bills:

1. demand: what the house loses to the weather of each hour, less what sun and people bring (`engine.lower`, `engine.house_loss`);
2. water: how hot it must be to give that to the rooms, and the most that they take from it (`engine.water`);
3. offers: what each source can give in each hour, from what, at which efficiency, price and carbon (`sources`, one file each);
4. dispatch: hour by hour the sources fill the tank in the rule's order, and taps and rooms draw from it (`engine.balance`);
5. unmet load: what the house wanted and did not get, and why (`results.result.split_by_cause`);
6. bills: what each service sold, by its own tariff (`tariffs.bill`).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from costsim.engine import layout as k
from costsim.engine.generation import export_terms, generation_j
from costsim.engine.inputs import taken_w
from costsim.engine.lower import LoweredOption, LoweredStudy, lower_plant, lower_study, option_study
from costsim.physics.fuels import co2_kg
from costsim.results.assumptions import assumptions_of, weather_facts
from costsim.results.clock import clock_labels
from costsim.results.condensing import condensing_warnings
from costsim.results.result import Hourly, OptionResult, Result, split_by_cause, unmet_load_of
from costsim.results.season import bought_j, option_warnings, own_use, recoveries, source_season, sun_of, uses_season
from costsim.results.tank_alone import beyond_loops, tank_alone_warnings, with_cool_tank
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

ROUNDED_W = 1e-6
"""Less than this is what rounding leaves of a fire that has burnt out."""


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
    The house wants ``demand = loss per kelvin · max(balance point - outdoor temperature, 0)`` in each hour; what is delivered
    to it, to taps and to the tank comes from the sources: ``sum of source heat = delivered + tank change + tank loss``.

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
        # a warning that advises a change computes the changed option too, so that it advises only what helps
        warnings=warnings_of(common, options, what_if=lambda changed: simulate_option(common, changed)),
        lowered=common,
    )


def simulate_option(common: LoweredStudy, option: Option) -> OptionResult:
    """Compute one option: lower it, run the hours, write the bills, sum up the season.

    Parameters
    ----------
    common : LoweredStudy
        What all options share.
    option : Option
    """
    # with the tank and the floor of its own, and where uses wait for the house, what its sources leave them
    study = option_study(common, option)
    plant = lower_plant(study, option)
    # a house is as warm as its coldest zone: with thermal mass, what zones lack beyond it is added to its unmet load
    hourly, zones = house_and_zones(study, run_hours(study, plant))
    bills = bills_of(study, plant.offers, hourly)

    unmet = unmet_load_of(hourly.unmet_w, hourly.unmet_by_cause_w)
    sources = tuple(source_season(offer, i, hourly, bills, study) for i, offer in enumerate(plant.offers))
    uses = with_cool_tank(study, hourly, uses_season(study, hourly.use_delivered_w))
    from_what_runs = beyond_loops(study, hourly)
    keeps_warm = unmet.hours <= study.case.house.max_unmet_hours
    pump_j = float(hourly.pump_w.sum()) * HOUR_S
    pump_co2_kg = float(co2_kg(pump_j, study.surroundings.co2_kg_per_j[ELECTRICITY]))
    return OptionResult(
        name=option.name,
        rule=option.rule,
        hourly=hourly,
        sources=sources,
        uses=uses,
        recovery=recoveries(study, hourly),
        unmet=unmet,
        bills=bills,
        cost_total=sum(bill.total for bill in bills.values()),
        cost_fixed=sum(bill.fixed for bill in bills.values()),
        cost_energy=sum(bill.total - bill.fixed for bill in bills.values()),
        co2_kg=sum(source.co2_kg for source in sources) + pump_co2_kg,
        biogenic_co2_kg=sum(source.biogenic_co2_kg for source in sources),
        pump_j=pump_j,
        warnings=(
            *option_warnings(common, study, plant.offers, sources),
            *condensing_warnings(study, option, hourly, sources),
            # where heat is missing anyway, how the tank is piped is not what to mend first
            *tank_alone_warnings(option.name, study, uses, from_what_runs if keeps_warm else None),
        ),
        max_unmet_hours=study.case.house.max_unmet_hours,
        self_use=own_use(study, plant.offers, hourly),
        solar=sun_of(study, option, hourly),
        zones=zones,
        beyond_loops=from_what_runs,
    )


def run_hours(study: LoweredStudy, plant: LoweredOption) -> Hourly:
    """Run the hours of a year, and say of each what the house wanted, got and lacked, and why.

    Parameters
    ----------
    study : LoweredStudy
        As the option sees it.
    plant : LoweredOption
        Its sources' offers and the rows that the kernel takes.

    Notes
    -----
    The hour's balance stands in `costsim.engine.balance`, the rows of what comes out in `costsim.engine.layout`. Unmet load is what
    the house wanted and did not get; `split_by_cause` gives it first to what heats the rooms, then to control, to fuel, and the
    rest to sources that are too small.
    """
    out, heat, dumped, available = plant.year()
    for watts in (heat, dumped):  # what rounding leaves of a fire that is out is no heat
        watts[watts < ROUNDED_W] = 0.0
    inputs, auxiliary, pump = taken_w(study, plant, out, heat, dumped)
    tank_before_c = np.concatenate(([plant.scalars[k.TANK_START]], out[k.TANK, :-1]))
    too_much_for_floor = np.maximum(study.demand_w - plant.hours[k.FLOOR_LIMIT], 0.0)
    too_much_for_water = out[k.BEYOND]  # what the floor cannot take even from the hottest tank
    causes = split_by_cause(
        unmet_w=out[k.SHORT],
        beyond_floor_w=too_much_for_floor + too_much_for_water,
        curtailed_w=np.sum([offer.curtailed_w for offer in plant.offers], axis=0),
        fuel_limited_w=np.sum([offer.fuel_limited_w for offer in plant.offers], axis=0),
    )
    return Hourly(
        demand_w=study.demand_w,
        delivered_w=out[k.DELIVERED],
        unmet_w=out[k.SHORT],
        unmet_by_cause_w=causes,
        tank_c=out[k.TANK],
        tank_top_c=out[k.HOT_T],
        tank_bottom_c=out[k.COLD_T],
        hot_share=out[k.HOT_PART],
        use_w=plant.hours[k.USE],
        use_delivered_w=out[k.USE_GIVEN],
        tank_loss_w=out[k.TANK_LOSS],
        tank_change_w=(out[k.TANK] - tank_before_c) * study.surroundings.tank_j_k / HOUR_S,
        slab_c=out[k.SLAB_T],
        room_c=out[k.ROOM_T],
        heat_w=heat,
        dumped_w=dumped,
        available_w=available,
        input_w=inputs,
        auxiliary_w=auxiliary,
        pump_w=pump,
    ).locked()


def bills_of(study: LoweredStudy, offers: Sequence[Offer], hourly: Hourly) -> dict[str, Bill]:
    """Bill each service an option uses; electricity with and without heating where the house's other use is known."""
    case, calendar = study.case, study.calendar
    bills = {}
    for key, heating_j in bought_j(study, offers, hourly).items():
        tariff = study.tariffs[key]
        if key != ELECTRICITY or not case.other_electricity_known:
            bills[key] = bill(tariff, calendar, heating_j)
        elif case.solar_electric is None:
            bills[key] = marginal_bill(tariff, calendar, heating_j, case.other_electricity_j(calendar))
        else:
            generated_j = generation_j(case, study.weather)
            other_j = case.other_electricity_j(calendar)
            bills[key] = generating_bill(tariff, calendar, heating_j, other_j, generated_j, export_terms(case))
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
