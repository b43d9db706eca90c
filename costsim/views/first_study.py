"""A first study from five answers: place, size, what heats now, prices, and what is considered."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from costsim.physics.combustion import MODERN_EFFICIENCY
from costsim.physics.wood import SPECIES
from costsim.sources import KINDS
from costsim.study.house import USUAL_INDOOR, usual_balance_point
from costsim.units.quantity import parse, to_display
from costsim.views.first_answers import MOST_PEOPLE, FirstAnswers
from costsim.views.sold import MARGIN
from costsim.views.template_of import template_keys
from costsim.views.template_sources import collectors_for_water, tank_for_water_gal
from costsim.views.templates import RENEWED, TEMPLATES, add_template
from costsim.views.todays_heater import RENEWAL, carry_renewal, keep_todays
from costsim.views.used_prices import drop_unused_prices
from costsim.weather import Weather, design_temperature
from costsim.words import tr

INSULATION: dict[str, tuple[str, float]] = {
    "little": ("Little: drafty, built before 1980 or so", 2.8),
    "average": ("Average: some insulation, double windows", 2.0),
    "good": ("Good: built or renovated in the last 15 years", 1.2),
}
"""Words, and heat loss for each floor area and degree [W/(m² K)]; a rule of thumb, common practice, no source."""
MIXED = "mixed"
"""The answer of a house with a heated floor on one level and another emitter on another."""
BESIDE_EMITTERS_ASKED = {
    "baseboard": "Baseboard",
    "radiators": "Radiators",
    "fan_coil": "Air ducts or fan coils",
    "radiant_floor_joists": "Tubes under a joist floor",
}
INDOOR_C, BALANCE_C = 21.0, 17.0
WARMEST_DESIGN_C = 12.0
"""Design temperature at most, so that a warm place still has a heat loss to size by."""
ROUND_US, ROUND_SI = 0.5, 1.0


def rule_of_thumb(insulation: str, weather: Weather, system: str) -> str:
    """Heat loss for each floor area on a design day, as text in the reader's unit."""
    outdoor, _ = design_temperature(weather)
    watts = INSULATION[insulation][1] * (INDOOR_C - min(outdoor, WARMEST_DESIGN_C))
    unit = "Btu/(h ft2)" if system == "us" else "W/m2"
    step = ROUND_US if system == "us" else ROUND_SI
    return f"{round(to_display(watts, 'power_per_area', system) / step) * step:g} {unit}"


def sizing_load_w(load_w: float, weather: Weather, outdoor_c: float) -> float:
    """Load that sizes follow which nobody typed [W]: the design load, or more where the year's coldest hour asks for it.

    A design temperature leaves 1 % of the hours colder; `MARGIN` covers those but in the deepest cold.
    """
    span_k = INDOOR_C - min(outdoor_c, WARMEST_DESIGN_C)
    return max(load_w, load_w * (BALANCE_C - float(weather.outdoor_c.min())) / span_k / MARGIN)


def fuels_of(keys: Sequence[str]) -> list[str]:
    """Price tables that a choice of templates needs, each once, in the order in which they matter."""
    return list(dict.fromkeys(price for key in keys for price in TEMPLATES[key].prices))


def efficiency_of(key: str, system: str) -> str:
    """Efficiency that a template takes for what burns in it first, in words; empty where it burns nothing.

    Examples
    --------
    >>> efficiency_of("propane", "us"), efficiency_of("heat_pump", "us")
    ('92%', '')
    """
    first = TEMPLATES[key].sources(1e4, system)[0]
    return str(first.get("efficiency", "")).replace(" ", "") if KINDS[str(first["kind"])].burns_fuel else ""


def older_of(key: str, system: str) -> str:
    """What an older unit of a template's kind gives, in a sentence; empty where nothing is said of it. Common practice, no source.

    Examples
    --------
    >>> older_of("pellets", "us"), older_of("wood", "us")[:16]
    ('', 'Older fireboxes,')
    """
    return KINDS[str(TEMPLATES[key].sources(1e4, system)[0]["kind"])].of_older_units()


def first_study(answers: FirstAnswers, rate: Mapping[str, str] = MappingProxyType({})) -> dict[str, Any]:
    """Put five answers together into a study.

    Parameters
    ----------
    answers : FirstAnswers
    rate : mapping
        Keys of the heat loss that a year's use gave, of `YearlyUse.keys`; it counts before all others.

    Returns
    -------
    dict
        A study that can be computed.
    """
    house, load_w = _house(answers, rate)
    place = {"weather": answers.weather_name}
    if answers.own_design:
        place["design_outdoor"] = answers.loss_at
    study: dict[str, Any] = {"title": tr("My house"), "place": place, "house": house, "prices": {}}
    _put_options(study, answers, load_w)
    _put_people(study, answers)
    _put_prices(study, answers)
    _put_renewal(study, answers)
    drop_unused_prices(study)
    return study


def _house(answers: FirstAnswers, rate: Mapping[str, str]) -> tuple[dict[str, Any], float]:
    """The house as a study holds it, and the load that sizes follow [W]."""
    warm = USUAL_INDOOR[answers.system]
    found_at = answers.loss_indoor if answers.heat_loss and answers.loss_indoor else warm
    indoor_c = parse(found_at, "temperature").value
    set_to = answers.thermostat or warm
    house: dict[str, Any] = {"floor_area": answers.area, "indoor_temperature": set_to, "design_indoor": found_at}
    house["balance_point"] = usual_balance_point(indoor_c, answers.system)
    if answers.setback:
        house["setback"] = [dict(setback) for setback in answers.setback]
    if answers.emitter:
        house["emitter"] = answers.emitter
    if answers.zones:
        house["zone"] = [dict(zone) for zone in answers.zones]
    design_c = _design_c(answers)
    outdoor_c = min(design_c, WARMEST_DESIGN_C)
    load_w = _put_heat_loss(house, answers, rate, indoor_c - outdoor_c)
    set_c = parse(set_to, "temperature").value
    load_w *= max(1.0, (set_c - outdoor_c) / (indoor_c - outdoor_c))  # a cooler house may be set warmer again
    return house, sizing_load_w(load_w, answers.weather, design_c)


def _design_c(answers: FirstAnswers) -> float:
    """Outdoor temperature at which the heat loss is meant [°C]."""
    own = answers.own_design
    return parse(answers.loss_at, "temperature").value if own else design_temperature(answers.weather)[0]


def _put_heat_loss(house: dict[str, Any], answers: FirstAnswers, rate: Mapping[str, str], span_k: float) -> float:
    """Write the heat loss by whichever way it is told into the house; gives the design load over so many kelvin [W]."""
    calculated_w = parse(answers.heat_loss, "power").value if answers.heat_loss else 0.0
    if answers.heat_loss:
        house["design_heat_loss"] = answers.heat_loss
    if rate:  # where both stand sizes follow the larger
        house |= rate
        return max(parse(rate["heat_loss_rate"], "heat_loss_rate").value * span_k, calculated_w)
    if answers.heat_loss:
        return calculated_w
    thumb = rule_of_thumb(answers.insulation, answers.weather, answers.system)
    house["heat_loss_per_area"] = thumb
    return parse(answers.area, "area").value * parse(thumb, "power_per_area").value


def _put_options(study: dict[str, Any], answers: FirstAnswers, load_w: float) -> None:
    """Write today's heating and what is considered, with efficiencies and quotes that somebody knows."""
    for key in answers.keys:
        add_template(
            study,
            key,
            load_w=load_w,
            system=answers.system,
            currency=answers.currency,
            altitude_m=answers.weather.altitude_m,
        )
        study["option"][0] |= {"today": True, "first_cost": f"0 {answers.currency}"}
    today = study["option"][0]
    _burns_at(today, answers.efficiency)
    for key, option in zip(answers.keys, study["option"], strict=True):
        if key in RENEWED:
            _burns_at(option, answers.new_efficiency)
            if today.get("no_tank") and "tank" not in option:
                option["no_tank"] = True  # it stands where today's stands
        if answers.quotes.get(key):
            option["first_cost"] = answers.quotes[key]


def _put_people(study: dict[str, Any], answers: FirstAnswers) -> None:
    """Count the hot water of those who use it, and size what heats it by the sun; nothing where nobody says how many they are."""
    if not answers.people:
        return
    study["use"] = [{"kind": "hot_water", "people": answers.people}]
    for key, option in zip(answers.keys, study["option"], strict=True):
        if TEMPLATES[key].heats_water:
            option["source"][0]["area"] = collectors_for_water(answers.people, answers.system)
            if "tank" in option:
                option["tank"]["volume"] = f"{tank_for_water_gal(answers.people)} gal"


def _put_prices(study: dict[str, Any], answers: FirstAnswers) -> None:
    """Write the prices that are paid over the examples, with fixed charges and cheaper hours."""
    for key, text in answers.prices.items():
        if key in study["prices"] and text:
            study["prices"][key]["energy"] = text
            study["prices"][key].pop("fixed", None)  # an example's, beside a price that somebody pays
    for key, table in answers.tables.items():
        if key in study["prices"]:
            study["prices"][key] |= table
    for option in study["option"] if answers.windows else ():
        for source in option["source"]:
            if KINDS[str(source["kind"])].cheap_hours:
                source["windows"] = list(answers.windows)


def _put_renewal(study: dict[str, Any], answers: FirstAnswers) -> None:
    """Write when today's heating is due for replacement, and keep it where it stays beside something new."""
    today = study["option"][0]
    today |= answers.renewal
    for option in study["option"][1:]:
        keep_todays(option, today["source"][0], sized=False)
        carry_renewal(option, today)


def _burns_at(option: dict[str, Any], efficiency: str) -> None:
    """Give an option's first source an efficiency that somebody knows; one so low does not condense."""
    burner = option["source"][0]
    if efficiency and "efficiency" in burner:
        burner["efficiency"] = efficiency
        if parse(efficiency, "share").value < MODERN_EFFICIENCY:
            burner.pop("condensing", None)


def keep_typed(study: dict[str, Any], typed: Mapping[str, Any]) -> None:
    """Keep in a study made anew what the questions do not ask: its name, money over years, uncertainty, other electricity, options' costs."""
    if typed.get("title"):
        study["title"] = typed["title"]
    gone = typed.get("prices", {}).keys() - study["prices"].keys()
    for table in ("economics", "uncertainty"):
        kept = copy.deepcopy(typed.get(table, {}))
        for part in [part_kept for part_kept in kept.values() if isinstance(part_kept, dict)]:
            for key in gone & part.keys():  # of a fuel that the new study does not buy
                del part[key]
        if kept:
            study[table] = kept
    for key in ("other_electricity", "other_electricity_profile"):
        if key in typed.get("house", {}) and "electricity" in study["prices"]:
            study["house"].setdefault(key, typed["house"][key])
    old = typed.get("option", [])
    before, names = (
        dict(zip(template_keys(old), old, strict=True)),
        {typed_option.get("name"): typed_option for typed_option in old},
    )
    due = next(([typed_option.get(key) for key in RENEWAL] for typed_option in old if typed_option.get("today")), None)
    for template, option in zip(template_keys(study["option"]), study["option"], strict=True):
        was = names.get(option["name"]) or (before.get(template, {}) if template else {})
        for key in ("rebate", "maintenance"):
            if key in was:
                option.setdefault(key, was[key])
        if not option.get("today") and "replacement" in was and [was.get(key) for key in RENEWAL] != due:
            option |= {key: was[key] for key in RENEWAL if key in was}  # typed for it, not that of today's heater
        if was.get("name") and was["name"] not in {listed_option["name"] for listed_option in study["option"]}:
            option["name"] = was["name"]


def _beside(house: Mapping[str, Any]) -> dict[str, Any]:
    """What else than a floor heats a part of the house, where a study says it as the questions do."""
    zones, floor = house.get("zone") or [], house.get("emitter", "radiant_floor") == "radiant_floor"
    if len(zones) != 1 or not floor or zones[0].get("emitter") not in BESIDE_EMITTERS_ASKED:
        return {}
    return {"emitter": MIXED, "beside": zones[0]["emitter"], "beside_area": zones[0].get("area")}


def answers_of(study: Mapping[str, Any]) -> dict[str, Any]:
    """Answers with which a study could have begun, by the last part of their field's key; those that cannot be told are left out.

    Examples
    --------
    >>> answers_of({"place": {"weather": "a.csv"}, "option": [{"name": "Propane", "first_cost": "0 $"}]})
    {'place': 'a.csv', 'now': 'propane', 'considered': []}
    """
    house, options = study.get("house", {}), study.get("option", [])
    keys = template_keys(options)
    named = [key for key in keys if key]
    today = [key for key, typed_option in zip(keys, options, strict=True) if typed_option.get("today") and key]
    answers: dict[str, Any] = {"place": study.get("place", {}).get("weather")}
    answers |= {"area": house.get("floor_area"), "loss": house.get("design_heat_loss"), "emitter": house.get("emitter")}
    answers |= _beside(house)
    answers["thermostat"] = house.get("indoor_temperature")
    if answers["loss"]:
        answers["loss_at"] = study.get("place", {}).get("design_outdoor")
        indoor = str(house.get("design_indoor", ""))
        answers["loss_indoor"] = "" if indoor in USUAL_INDOOR.values() else indoor
    if named:
        answers["now"] = (today or named)[0]
        answers["considered"] = [key for key in named if key != answers["now"]]
        answers["now"] = RENEWED.get(answers["now"], answers["now"])
    answers |= {key: study.get("selection", {}).get(key) for key in ("service", "service_free")}
    people = next(
        (use["people"] for use in study.get("use", []) if use.get("kind") == "hot_water" and "people" in use), 0
    )
    answers["people"] = str(people) if people in range(1, MOST_PEOPLE + 1) else None
    for key, typed_option in zip(keys, options, strict=True):
        if key and typed_option.get("first_cost") and not typed_option.get("today"):
            answers[f"quote/{key}"] = typed_option["first_cost"]
    for key, table in study.get("prices", {}).items():
        parts = [table.get("energy"), table.get("fixed"), table.get("rent")]
        answers[f"price/{key}"] = " + ".join(str(part) for part in parts if part) or None
    if (wood := study.get("prices", {}).get("wood")) is not None:
        species = "_".join(str(wood.get("species", "")).lower().split())
        answers["species"] = species if species in SPECIES else ""
    periods = study.get("prices", {}).get("electricity", {}).get("period", [])
    cheap = {kind for kind, model in KINDS.items() if model.cheap_hours}
    night = (source for each in options for source in each.get("source", []) if source.get("kind") in cheap)
    if hours := next((source["windows"] for source in night if source.get("windows")), None):
        answers["cheap_hours"] = ", ".join(hours)
    if len(periods) == 1:
        answers |= {"cheap": True, "cheap_price": periods[0].get("energy")}
        answers["cheap_hours"] = ", ".join(periods[0].get("windows", []))
        answers["cheap_days"] = "Mon-Fri" if periods[0].get("days") == "Mon-Fri" else "every day"
    for option in options:
        if option.get("today"):
            answers |= {
                "renew": option.get("replacement"),
                "renew_years": str(option.get("replacement_year") or "") or None,
            }
    if named:
        answers.pop(f"quote/{answers['now']}", None)
    return {key: value for key, value in answers.items() if value is not None}
