"""The assumptions a result rests on, said out loud with value, source and the key that changes them."""

from __future__ import annotations

from typing import Any

from costsim.engine.lower import LoweredStudy
from costsim.engine.water import design_supply
from costsim.results.air import air_assumption
from costsim.results.price_assumptions import fuel_assumptions, meter_assumptions
from costsim.results.result import Assumption
from costsim.results.schedules import schedule_assumptions
from costsim.results.source_assumptions import source_assumptions
from costsim.results.uses import use_assumptions
from costsim.study.house import USUAL_BALANCE_POINT, usual_balance_point
from costsim.study.plant import USUAL_PUMP_EFFICIENCY
from costsim.units.quantity import show, show_both
from costsim.weather.model import BASE_C
from costsim.words import tr

LOAD_KEYS = {
    "area": "house.heat_loss_per_area",
    "entered": "house.design_heat_loss",
    "envelope": "house.surface",
    "rooms": "house.room",
    "bills": "house.heat_loss_rate",
}


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
    return (
        *_of_load(common),
        *_of_place(common),
        *_of_method(common),
        *fuel_assumptions(common),
        *source_assumptions(common),
        _floor_assumption(common),
        *_tank_assumption(common),
        *schedule_assumptions(common.case),
        *use_assumptions(common),
        *_pump_assumption(common),
        *_circuit_assumption(common),
        *meter_assumptions(common),
        *_mass_assumption(common),
    )


def _of_load(common: LoweredStudy) -> list[Assumption]:
    route = common.route
    return [
        Assumption(
            tr("design heat loss"),
            both(route.load_w, "power"),
            tr("{words}; uncertainty band ±{band}", words=route.words, band=f"{route.band:.0%}") + _moved(common),
            LOAD_KEYS[route.key],
        ),
        Assumption(
            tr("outdoor design temperature"),
            both(common.design_outdoor_c, "temperature"),
            common.design_outdoor_source,
            "place.design_outdoor",
        ),
        Assumption(
            tr("heat loss per degree"),
            both(common.loss_w_k, "heat_loss_rate"),
            tr("design heat loss over indoor minus outdoor design temperature"),
            LOAD_KEYS[route.key],
        ),
        *air_assumption(common),
        Assumption(
            tr("balance point"),
            both(float(common.balance_c.mean()), "temperature"),
            _balance_source(common),
            "house.balance_point",
        ),
    ]


def _of_place(common: LoweredStudy) -> list[Assumption]:
    return [
        Assumption(
            tr("weather"),
            tr("{title} ({n_hours} hours)", title=common.weather.title, n_hours=f"{common.weather.n_hours:,}"),
            _weather_source(common),
            "place.weather",
        ),
        Assumption(
            tr("time stamps"),
            tr("record number; each record is one hour of standard time"),
            tr("format of the weather file"),
            "place.weather",
        ),
        Assumption(
            tr("clock"),
            common.case.place.timezone or tr("standard time all year"),
            tr("prices and windows follow the local clock"),
            "place.timezone",
        ),
    ]


def _of_method(common: LoweredStudy) -> list[Assumption]:
    house = common.case.house
    return [
        Assumption(
            tr("efficiencies"),
            tr("heat to the tank for each unit of fuel by its higher heating value"),
            tr("typed with each source"),
            "option.source.efficiency",
        ),
        Assumption(
            tr("one price all year"), tr("prices as typed hold for the whole year"), tr("typed in the study"), "prices"
        ),
        Assumption(
            tr("unmet hours allowed"),
            tr(
                "{max_unmet_hours} h a year, up to which an option counts as keeping the house warm",
                max_unmet_hours=house.max_unmet_hours,
            ),
            tr("typed in the study")
            if "max_unmet_hours" in house.model_fields_set
            else tr("common practice, no source"),
            "house.max_unmet_hours",
        ),
        Assumption(tr("hourly mean power"), tr("peaks inside an hour are not seen"), tr("method"), ""),
        Assumption(tr("power supply"), tr("never fails"), tr("method"), ""),
    ]


def _mass_assumption(common: LoweredStudy) -> list[Assumption]:
    if common.water.mass is None:
        return []
    text = tr(
        "heat not delivered counts as short only while the room is more than 1 K (1.8 °F) too cold; slab and"
        " room carry the rest"
    )
    return [Assumption(tr("thermal mass"), text, tr("method"), "floor.mass")]


def both(value: float, dimension: str) -> str:
    """A value in SI and in US units."""
    return f"{show(value, dimension, 'si', 2)} ({show(value, dimension, 'us', 1)})"


def _balance_source(common: LoweredStudy) -> str:
    gains = both(float(common.gains_w.mean()), "power")
    ground = tr("set-point less gains over heat loss")
    if common.case.house.balance_point_c is not None:
        text = common.case.typed.get("house", {}).get("balance_point")
        usual = tr("as entered, and what the five questions enter where nobody does: common practice, no source")
        taken = {usual_balance_point(float(common.case.house.found_at_c), system) for system in USUAL_BALANCE_POINT}
        ground = (usual if text in {*USUAL_BALANCE_POINT.values(), *taken} else tr("typed")) + _moved(common)
        if common.case.house.absence or common.case.house.setback:
            ground += tr(
                "; {typed} at the usual set-point, here the mean of the year with set-back and days away",
                typed=both(common.case.house.balance_point_c, "temperature"),
            )
    if sun := common.case.house.solar_aperture_m2:
        words = tr("; mean gains {gains}, hour by hour with the sun on {sun}", gains=gains, sun=both(sun, "area"))
        return ground + words + tr(" of glass that faces the equator")
    return ground + tr("; mean gains {gains}", gains=gains)


def _moved(common: LoweredStudy) -> str:
    """What is said of a figure that was found at another thermostat setting than today's."""
    house = common.case.house
    if house.found_at_c == house.indoor_temperature_c:
        return ""
    temperature_then, now = (
        both(temperature_c, "temperature") for temperature_c in (house.found_at_c, house.indoor_temperature_c)
    )
    return tr("; found at {found} indoors, here at {now}", found=temperature_then, now=now)


def _weather_source(common: LoweredStudy) -> str:
    kind = tr("synthetic year") if common.weather.synthetic else tr("typical or measured year; some winters are colder")
    return f"{common.weather.source}; {kind}"


def _tank_assumption(common: LoweredStudy) -> list[Assumption]:
    tank = common.case.tank
    if tank is None:
        return []
    typed = tr("typed in the study") if "differential_k" in tank.model_fields_set else tr("common practice, no source")
    kept = tank.stratification_share
    text = (
        tr("a day of rest leaves {kept} of the difference between hot and cold water", kept=f"{kept:.0%}")
        if kept
        else tr("fully mixed")
    )
    where = (
        tr("typed in the study") if kept else tr("the safe side: a stratified tank serves longer from the same heat")
    )
    without = [option.name for option in common.case.options if option.no_tank]
    return [
        Assumption("tank", text, where, "tank.stratification"),
        *(
            [Assumption(tr("without the tank"), ", ".join(without), tr("typed in the study"), "option.no_tank")]
            if without
            else []
        ),
        Assumption(
            tr("tank, between stop and start of a unit"),
            show_both(tank.differential_k, "temperature_difference"),
            typed,
            "tank.differential",
        ),
    ]


def _floor_assumption(common: LoweredStudy) -> Assumption:
    if common.case.floor is not None:
        most = both(float(common.water.limit_w), "power")
        return Assumption(
            tr("all emitters") if common.water.circuits else tr("floor"),
            tr(
                "gives at most {most}; heat lost below it is part of the design heat loss, what a warm slab"
                " loses more is not counted",
                most=most,
            ),
            tr("loops, flow, surface limit"),
            tr("floor"),
        )
    supply, words, key = design_supply(common.case)
    reset = tr("cooler in proportion to a smaller load (outdoor reset)")
    if (exponent := common.water.exponent) != 1.0:
        reset = tr(
            "cooler at a smaller load (outdoor reset), by its share to the power of 1/{exponent}",
            exponent=f"{exponent:g}",
        )
    return Assumption(tr("design supply temperature"), f"{both(supply, 'temperature')}; {reset}", words, key)


def _circuit_assumption(common: LoweredStudy) -> list[Assumption]:
    tank = common.case.tank
    if tank is None:
        return []
    text = (
        tr("open: vented, no expansion tank; oxygen comes in")
        if tank.circuit == "open"
        else tr("sealed: relief valve, expansion tank")
    )
    source = tr("typed") if "circuit" in tank.model_fields_set else tr("the usual way where nothing is typed")
    return [Assumption(tr("circuit"), text, source, "tank.circuit")]


def _pump_assumption(common: LoweredStudy) -> list[Assumption]:
    """Electricity of the pumps that move the floor's water, and when they run."""
    floor = common.case.floor
    if floor is None:
        return []
    pump = floor.pump
    typed = pump is not None and pump.electric_w is not None
    share = pump.efficiency_share if pump else USUAL_PUMP_EFFICIENCY
    source = (
        tr("watts of each pump as typed")
        if typed
        else tr(
            "flow and head over {share} % wire-to-water, common practice, no source; type the plate's watts",
            share=f"{share * 100:.0f}",
        )
    )
    key = "floor.pump.electric" if pump else "floor.pump"
    watts = tr("{pump} W for the share of an hour in which thermostats call", pump=f"{common.water.pump_w:,.0f}")
    return [Assumption(tr("pumps of the floor"), watts, source, key)]
