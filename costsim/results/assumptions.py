"""The assumptions a result rests on, said out loud with value, source and the key that changes them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from costsim.engine.inputs import generation_j
from costsim.engine.lower import LoweredStudy
from costsim.engine.water import design_supply
from costsim.physics.envelope import TYPICAL
from costsim.physics.fuels import FUELS
from costsim.physics.thermal_mass import steady_feedback
from costsim.results.result import Assumption, OptionResult
from costsim.results.schedules import schedule_assumptions
from costsim.results.uses import use_assumptions
from costsim.study.heat_loss import far_apart
from costsim.study.house import House
from costsim.study.plant import USUAL_PUMP_EFFICIENCY
from costsim.units.quantity import KWH_J, POUND_KG, show
from costsim.weather.model import BASE_C

LOAD_KEYS = {
    "area": "house.heat_loss_per_area",
    "entered": "house.design_heat_loss",
    "envelope": "house.surface",
    "rooms": "house.room",
    "bills": "house.heat_loss_rate",
}
FAR_FROM_WEATHER_K = 8.0
FULL_LOAD_HOURS = (1300.0, 2600.0)


def weather_facts(common: LoweredStudy) -> dict[str, Any]:
    """Station, degree-days, extremes and design temperature of the year."""
    weather = common.weather
    return {
        "station": weather.station,
        "title": weather.title,
        "source": weather.source,
        "synthetic": weather.synthetic,
        "hours": weather.n_hours,
        "degree_days_k_d": weather.degree_days_k_d(BASE_C),
        "degree_days_base_c": round(BASE_C, 2),
        "coldest_c": float(weather.outdoor_c.min()),
        "design_c": common.design_outdoor_c,
        "design_from": common.design_outdoor_source,
        "notes": list(weather.notes),
    }


def assumptions_of(common: LoweredStudy) -> tuple[Assumption, ...]:
    """List what the answer rests on."""
    case, route = common.case, common.route
    entries = [
        Assumption(
            "design heat loss",
            _both(route.load_w, "power"),
            f"{route.words}; uncertainty band ±{route.band:.0%}",
            LOAD_KEYS[route.key],
        ),
        Assumption(
            "outdoor design temperature",
            _both(common.design_outdoor_c, "temperature"),
            common.design_outdoor_source,
            "place.design_outdoor",
        ),
        Assumption(
            "heat loss per degree",
            _both(common.loss_w_k, "heat_loss_rate"),
            "design heat loss over indoor minus outdoor design temperature",
            LOAD_KEYS[route.key],
        ),
        Assumption(
            "balance point",
            _both(float(common.balance_c.mean()), "temperature"),
            _balance_source(common),
            "house.balance_point",
        ),
        Assumption(
            "weather",
            f"{common.weather.title} ({common.weather.n_hours:,} hours)",
            _weather_source(common),
            "place.weather",
        ),
        Assumption(
            "time stamps",
            "record number; each record is one hour of standard time",
            "format of the weather file",
            "place.weather",
        ),
        Assumption(
            "clock",
            case.place.timezone or "standard time all year",
            "prices and windows follow the local clock",
            "place.timezone",
        ),
        Assumption(
            "efficiencies",
            "heat to the tank for each unit of fuel by its higher heating value",
            "typed with each source",
            "option.source.efficiency",
        ),
        Assumption("one price all year", "prices as typed hold for the whole year", "typed in the study", "prices"),
        Assumption(
            "unmet hours allowed",
            f"{case.house.max_unmet_hours} h a year, up to which an option counts as carrying the house",
            "typed in the study" if "max_unmet_hours" in case.house.model_fields_set else "common practice, no source",
            "house.max_unmet_hours",
        ),
        Assumption("hourly mean power", "peaks inside an hour are not seen", "method", ""),
        Assumption("power supply", "never fails", "method", ""),
        *_fuel_assumptions(common),
        *_source_assumptions(common),
        _floor_assumption(common),
        *_tank_assumption(common),
        *schedule_assumptions(case),
        *use_assumptions(common),
        *_pump_assumption(common),
        *_circuit_assumption(common),
        _other_electricity(common),
        *_own_generation(common),
        *_ticket_prices(common),
    ]
    if common.water.mass is not None:
        text = "heat not delivered counts as short only while the room is more than 1 K too cold; slab and room carry the rest"
        entries.append(Assumption("thermal mass", text, "method", "floor.mass"))
    return tuple(entries)


def _both(value: float, dimension: str) -> str:
    return f"{show(value, dimension, 'si', 2)} ({show(value, dimension, 'us', 1)})"


def _balance_source(common: LoweredStudy) -> str:
    gains = _both(float(common.gains_w.mean()), "power")
    return (
        "typed" if common.case.house.balance_point_c is not None else "set-point less gains over heat loss"
    ) + f"; mean gains {gains}"


def _weather_source(common: LoweredStudy) -> str:
    kind = "synthetic year" if common.weather.synthetic else "typical or measured year; not a design year"
    return f"{common.weather.source}; {kind}"


def _source_assumptions(common: LoweredStudy) -> list[Assumption]:
    kinds = dict.fromkeys(type(source) for option in common.case.options for source in option.sources)
    return [
        Assumption(
            f"{kind.title[0].lower()}{kind.title[1:]}, {what}", how, source, f"option.source.{key}" if key else ""
        )
        for kind in kinds
        for what, how, source, key in kind.rests_on
    ]


def _fuel_assumptions(common: LoweredStudy) -> list[Assumption]:
    entries = []
    for key, price in common.case.prices.items():
        fuel = FUELS[price.fuel_name(key)]
        factor = common.surroundings.co2_kg_per_j[key] * KWH_J
        name = key.replace("_", " ")
        apart = ", of wood's own carbon, which the tables leave out" if fuel.biogenic else ""
        entries.append(
            Assumption(f"{name}: heat content", price.heat_content_text(key), fuel.source, f"prices.{key}.heat_content")
        )
        if math.isnan(factor):
            missing = "not known: the US average holds for no other grid, and none was typed"
            entries.append(Assumption(f"{name}: CO2", missing, "not given", f"prices.{key}.co2"))
            continue
        entries.append(
            Assumption(
                f"{name}: CO2",
                f"{factor:.3f} kg/kWh ({factor / POUND_KG:.2f} lb/kWh){apart}",
                f"{fuel.source}, {fuel.vintage}",
                f"prices.{key}.co2",
            )
        )
    return entries


def _tank_assumption(common: LoweredStudy) -> list[Assumption]:
    tank = common.case.tank
    if tank is None:
        return []
    typed = "typed in the study" if "differential_k" in tank.model_fields_set else "common practice, no source"
    kept = tank.stratification_share
    text = f"a day of rest leaves {kept:.0%} of the difference between hot and cold water" if kept else "fully mixed"
    where = "typed in the study" if kept else "the safe side: a stratified tank serves longer from the same heat"
    return [
        Assumption("tank", text, where, "tank.stratification"),
        Assumption("tank, between stop and start of a unit", f"{tank.differential_k:g} K", typed, "tank.differential"),
    ]


def _floor_assumption(common: LoweredStudy) -> Assumption:
    if common.case.floor is not None:
        most = _both(float(common.water.limit_w), "power")
        return Assumption(
            "floor",
            f"gives at most {most}; heat lost below it is part of the design heat loss, what a warm slab loses more is not counted",
            "loops, flow, surface limit",
            "floor",
        )
    supply, words, key = design_supply(common.case)
    reset = "cooler in proportion to a smaller load (outdoor reset)"
    return Assumption("design supply temperature", f"{_both(supply, 'temperature')}; {reset}", words, key)


def _circuit_assumption(common: LoweredStudy) -> list[Assumption]:
    tank = common.case.tank
    if tank is None:
        return []
    text = (
        "open: vented, no vessel; oxygen comes in"
        if tank.circuit == "open"
        else "sealed: relief valve, expansion vessel"
    )
    source = "typed" if "circuit" in tank.model_fields_set else "the usual way where nothing is typed"
    return [Assumption("circuit", text, source, "tank.circuit")]


def _pump_assumption(common: LoweredStudy) -> list[Assumption]:
    """Electricity of the pumps that move the floor's water, and when they run."""
    floor = common.case.floor
    if floor is None:
        return []
    typed = floor.pump is not None and floor.pump.electric_w is not None
    share = floor.pump.efficiency_share if floor.pump else USUAL_PUMP_EFFICIENCY
    source = (
        "watts of each pump as typed"
        if typed
        else f"flow and head over {share * 100:.0f} % wire-to-water, common practice, no source; type the plate's watts"
    )
    key = "floor.pump.electric" if floor.pump else "floor.pump"
    watts = f"{common.water.pump_w:,.0f} W for the share of an hour in which thermostats call"
    return [Assumption("pumps of the floor", watts, source, key)]


def _ticket_prices(common: LoweredStudy) -> list[Assumption]:
    """Prices that are the mean of delivery tickets."""
    found = []
    for key, price in common.case.prices.items():
        if price.ticket:
            days = sorted(one.date for one in price.ticket)
            value = f"mean by amount of {len(days)} deliveries from {days[0]} to {days[-1]}"
            found.append(
                Assumption(f"price of {key.replace('_', ' ')}", value, "delivery tickets", f"prices.{key}.ticket")
            )
    return found


def _own_generation(common: LoweredStudy) -> list[Assumption]:
    """How own generation is found and counted."""
    case, own = common.case, common.case.solar_electric
    if own is None:
        return []
    kwh = float(generation_j(case, common.weather).sum()) / KWH_J
    counted = {
        "none": "each hour's use takes from it first, the house before heating",
        "month": "export counts against use of the same price period and month",
        "year": "export counts against use of the same price period over the year",
    }[own.net_metering]
    source = f"read from {own.hours}" if own.hours else "PVWatts model (NREL/TP-6A20-62641) on the study's weather"
    value = (
        f"{kwh:,.0f} kWh a year; {counted}; no battery; carbon dioxide counts at the grid's factor; scenarios keep the share of"
        " heating that it covers in the study's own year"
    )
    if own.net_metering == "none" and any(option.rule == "cheapest_now" for option in case.options):
        value += "; the rule cheapest_now counts what would be exported at its export price"
    return [Assumption("own generation", value, source, "solar_electric")]


def _other_electricity(common: LoweredStudy) -> Assumption:
    case = common.case
    if not case.other_electricity_known:
        text = "electricity's fixed charges are counted for every option that buys electricity"
        return Assumption("other electricity", text, "none given", "house.other_electricity")
    other = float(case.other_electricity_j(common.calendar).sum())
    value = f"{other / KWH_J:,.0f} kWh a year; fixed charges and blocks count only as far as heating adds to them"
    read = case.house.other_electricity_profile
    how = "".join(f"; {note}" for note in case.meter_notes)
    source = (
        f"read from {read}, hour by hour{how}" if read else "typed; spread over the day in a plain shape of our own"
    )
    return Assumption("other electricity", value, source, "house.other_electricity")


def warnings_of(common: LoweredStudy, options: Sequence[OptionResult]) -> tuple[str, ...]:
    """Say what looks wrong or needs care, each once."""
    texts = [*common.water.warnings, *common.weather.notes, *_load_warnings(common), *_swing(common)]
    if common.calendar.warning:
        texts.append(common.calendar.warning)
    texts += [text for option in options for text in option.warnings]
    if "electricity" not in common.tariffs:
        free = [o.name for o in options if o.running_j > 3.6e6]
        if free:
            texts.append(
                f"electricity of pumps and fans is not in the cost of {', '.join(free)}: add [prices.electricity]"
            )
    texts += _beyond_blocks(common)
    unknown = [key for key in common.case.prices if math.isnan(common.surroundings.co2_kg_per_j[key])]
    texts += [
        f"CO2 of {key.replace('_', ' ')} is not known for this place: add the grid's own to [prices.{key}], such as"
        ' co2 = "0.2 kg/kWh"'
        for key in unknown
    ]
    texts += [text for option in options for text in _unused(option, common.case.currency)]
    return tuple(dict.fromkeys(text for text in texts if text))


def _beyond_blocks(common: LoweredStudy) -> list[str]:
    """Say where a rule looks at a price that heating itself may move."""
    texts = []
    for option in common.case.options:
        paid = set(option.price_keys(common.tariffs)) & set(common.tariffs)
        if option.rule != "fixed" and len(paid) > 1:
            texts += [
                f"{option.name} calls its sources by the price of {key.replace('_', ' ')} before heating is added; what falls into"
                " later blocks is billed, but moves no order: compare with a fixed order"
                for key in sorted(paid)
                if common.tariffs[key].blocks
            ]
    return texts


def _unused(option: OptionResult, currency: str) -> list[str]:
    """Say when a minimum use or bill is paid for nothing."""
    texts = []
    for key, bill in option.bills.items():
        for what in ("minimum use", "minimum bill"):
            paid = sum(line.amount for line in bill.lines if line.label == what)
            if paid > 1:
                texts.append(
                    f"{option.name} pays {currency}{paid:,.0f} a year for {key.replace('_', ' ')} it does not use ({what})"
                )
    return texts


def _swing(common: LoweredStudy) -> list[str]:
    mass = common.water.mass
    most = steady_feedback(mass.house(common.loss_w_k)) if mass else math.inf
    if mass is None or mass.feedback < most:
        return []
    return [
        f"floor.mass.feedback = {mass.feedback:g} makes floor and room swing from hour to hour; below {most:.1f} they come to rest"
    ]


def _load_warnings(common: LoweredStudy) -> list[str]:
    house, texts = common.case.house, []
    route = common.route
    if route.key == "area":
        texts.append(
            "the design load is a rule of thumb per floor area; such rules run 1.4 to 2 times what surveys of real homes show"
        )
    for other in far_apart(house.routes(common.design_outdoor_c), route):
        texts.append(
            f"two routes to the load are more than a third apart, {other.words} {_both(other.load_w, 'power')} and"
            f" {route.words} {_both(route.load_w, 'power')}: find out why before buying"
        )
    texts += _typical_warnings(house)
    hourly = common.weather.percentile_design_c(0.99)
    if abs(common.design_outdoor_c - hourly) > FAR_FROM_WEATHER_K:
        texts.append(
            f"the outdoor design temperature, {_both(common.design_outdoor_c, 'temperature')}, is far from what 99 % of the"
            f" weather's hours exceed, {_both(hourly, 'temperature')}; check both"
        )
    flux = route.load_w / house.floor_area_m2
    if flux > 100.0:
        texts.append(f"the design load is {flux:.0f} W/m² of floor; a floor at its surface limit gives about 100 W/m²")
    hours = float(common.demand_w.sum()) / route.load_w
    days = common.weather.degree_days_k_d(BASE_C) * 1.8
    if 7000 <= days <= 8000 and not FULL_LOAD_HOURS[0] <= hours <= FULL_LOAD_HOURS[1]:
        texts.append(
            f"{hours:,.0f} full-load hours are unusual for {days:,.0f} °F-days; check design load and balance point"
        )
    return texts


def _typical_warnings(house: House) -> list[str]:
    """Name the surfaces of the route in use whose U-value is only a typical one."""
    surfaces = house.surface if house.route_used == "envelope" else ()
    if house.route_used == "rooms":
        surfaces = tuple(surface for room in house.room for surface in room.surface)
    names = [f"{one.name} ({TYPICAL[one.typical].u_value_w_m2k:g} W/m²K)" for one in surfaces if one.typical]
    return [f"typical U-values stand for unknown ones: {', '.join(names)}"] if names else []
