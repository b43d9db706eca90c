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
from costsim.views.sold import MARGIN
from costsim.views.template_of import template_keys
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


def first_study(
    *,
    weather_name: str,
    weather: Weather,
    area: str,
    insulation: str,
    heat_loss: str,
    now: str,
    considered: Sequence[str],
    prices: Mapping[str, str],
    system: str,
    currency: str,
    quotes: Mapping[str, str] = MappingProxyType({}),
    rate: Mapping[str, str] = MappingProxyType({}),
    emitter: str = "",
    zones: Sequence[Mapping[str, Any]] = (),
    efficiency: str = "",
    new_efficiency: str = "",
    tables: Mapping[str, Mapping[str, Any]] = MappingProxyType({}),
    windows: Sequence[str] = (),
    renewal: Mapping[str, Any] = MappingProxyType({}),
    thermostat: str = "",
    setback: Sequence[Mapping[str, Any]] = (),
    loss_at: str = "",
    loss_indoor: str = "",
) -> dict[str, Any]:
    """Put five answers together into a study.

    Parameters
    ----------
    weather_name : str
        As the study names it.
    weather : Weather
    area, heat_loss : str
        Quantities as a study file holds them; `heat_loss` may be empty, and the rule of thumb counts then.
    insulation : str
        Key of `INSULATION`.
    now : str
        Key of `TEMPLATES`: what heats the house today; it costs nothing to buy.
    considered : sequence of str
        Further keys of `TEMPLATES`.
    prices : mapping
        Energy prices by price table, as a study file holds them; those left out are examples, with their fixed charges.
    system, currency : str
    quotes : mapping
        What each template was quoted for, installed, as text; those left out are not known.
    rate : mapping
        Keys of the heat loss that a year's use gave, of `YearlyUse.keys`; it counts before all others.
    emitter : str
        How the heat reaches the rooms, a key of `EMITTERS`; a radiant floor without it.
    zones : sequence of mapping
        Parts of the house with an emitter of their own, as a study holds them.
    efficiency : str
        Of what heats the house today; the template's without it.
    new_efficiency : str
        Of a new heater like today's; the template's without it.
    tables : mapping
        Further keys of price tables, such as fixed charges and cheaper hours.
    windows : sequence of str
        Cheaper hours of electricity, in which an off-peak source runs too.
    renewal : mapping
        What replacing today's heating costs, and when; options that keep it pay that too.
    thermostat : str
        Setting of the thermostat; `INDOOR_C` without it, at which rule of thumb and usual balance point are meant.
    setback : sequence of mapping
        Hours in which it is set lower, as a study holds them.
    loss_at : str
        Outdoor temperature at which `heat_loss` is meant, the study's design temperature then; the station's without it.
    loss_indoor : str
        Indoor temperature at which `heat_loss` is meant; the usual one without it.

    Returns
    -------
    dict
        A study that can be computed.
    """
    warm = USUAL_INDOOR[system]
    found_at = loss_indoor if heat_loss and loss_indoor else warm
    indoor = parse(found_at, "temperature").value
    house: dict[str, Any] = {"floor_area": area, "indoor_temperature": thermostat or warm, "design_indoor": found_at}
    house["balance_point"] = usual_balance_point(indoor, system)
    if setback:
        house["setback"] = [dict(one) for one in setback]
    if emitter:
        house["emitter"] = emitter
    if zones:
        house["zone"] = [dict(one) for one in zones]
    own = heat_loss and loss_at
    design_c = parse(loss_at, "temperature").value if own else design_temperature(weather)[0]
    if rate:
        house |= rate
        load_w = parse(rate["heat_loss_rate"], "heat_loss_rate").value * (indoor - min(design_c, WARMEST_DESIGN_C))
        if heat_loss:  # both stand; sizes follow the larger
            house["design_heat_loss"] = heat_loss
            load_w = max(load_w, parse(heat_loss, "power").value)
    elif heat_loss:
        house["design_heat_loss"] = heat_loss
        load_w = parse(heat_loss, "power").value
    else:
        house["heat_loss_per_area"] = rule_of_thumb(insulation, weather, system)
        load_w = parse(area, "area").value * parse(house["heat_loss_per_area"], "power_per_area").value
    outdoor, set_to = min(design_c, WARMEST_DESIGN_C), parse(house["indoor_temperature"], "temperature").value
    load_w *= max(1.0, (set_to - outdoor) / (indoor - outdoor))  # a cooler house may be set warmer again
    load_w = sizing_load_w(load_w, weather, design_c)
    place = {"weather": weather_name} | ({"design_outdoor": loss_at} if own else {})
    data: dict[str, Any] = {"title": tr("My house"), "place": place, "house": house, "prices": {}}
    for key in dict.fromkeys([now, *considered]):
        add_template(data, key, load_w=load_w, system=system, currency=currency, altitude_m=weather.altitude_m)
        data["option"][0] |= {"today": True, "first_cost": f"0 {currency}"}
    _burns_at(data["option"][0], efficiency)
    for key, option in zip(dict.fromkeys([now, *considered]), data["option"], strict=True):
        if key in RENEWED:
            _burns_at(option, new_efficiency)
            if data["option"][0].get("no_tank") and "tank" not in option:
                option["no_tank"] = True  # it stands where today's stands
    for key, option in zip(dict.fromkeys([now, *considered]), data["option"], strict=True):
        if quotes.get(key):
            option["first_cost"] = quotes[key]
    for key, text in prices.items():
        if key in data["prices"] and text:
            data["prices"][key]["energy"] = text
            data["prices"][key].pop("fixed", None)  # an example's, beside a price that somebody pays
    for key, table in tables.items():
        if key in data["prices"]:
            data["prices"][key] |= table
    data["option"][0] |= renewal
    for option in data["option"][1:]:
        keep_todays(option, data["option"][0]["source"][0], sized=False)
        carry_renewal(option, data["option"][0])
    for option in data["option"] if windows else ():
        for source in option["source"]:
            if KINDS[str(source["kind"])].cheap_hours:
                source["windows"] = list(windows)
    drop_unused_prices(data)
    return data


def _burns_at(option: dict[str, Any], efficiency: str) -> None:
    """Give an option's first source an efficiency that somebody knows; one so low does not condense."""
    burner = option["source"][0]
    if efficiency and "efficiency" in burner:
        burner["efficiency"] = efficiency
        if parse(efficiency, "share").value < MODERN_EFFICIENCY:
            burner.pop("condensing", None)


def keep_typed(data: dict[str, Any], typed: Mapping[str, Any]) -> None:
    """Keep in a study made anew what the questions do not ask: its name, money over years, uncertainty, other electricity, options' costs."""
    if typed.get("title"):
        data["title"] = typed["title"]
    gone = typed.get("prices", {}).keys() - data["prices"].keys()
    for table in ("economics", "uncertainty"):
        kept = copy.deepcopy(typed.get(table, {}))
        for part in [one for one in kept.values() if isinstance(one, dict)]:
            for key in gone & part.keys():  # of a fuel that the new study does not buy
                del part[key]
        if kept:
            data[table] = kept
    for key in ("other_electricity", "other_electricity_profile"):
        if key in typed.get("house", {}) and "electricity" in data["prices"]:
            data["house"].setdefault(key, typed["house"][key])
    old = typed.get("option", [])
    before, names = dict(zip(template_keys(old), old, strict=True)), {one.get("name"): one for one in old}
    due = next(([one.get(key) for key in RENEWAL] for one in old if one.get("today")), None)
    for template, option in zip(template_keys(data["option"]), data["option"], strict=True):
        was = names.get(option["name"]) or (before.get(template, {}) if template else {})
        for key in ("rebate", "maintenance"):
            if key in was:
                option.setdefault(key, was[key])
        if not option.get("today") and "replacement" in was and [was.get(key) for key in RENEWAL] != due:
            option |= {key: was[key] for key in RENEWAL if key in was}  # typed for it, not that of today's heater
        if was.get("name") and was["name"] not in {one["name"] for one in data["option"]}:
            option["name"] = was["name"]


def _beside(house: Mapping[str, Any]) -> dict[str, Any]:
    """What else than a floor heats a part of the house, where a study says it as the questions do."""
    zones, floor = house.get("zone") or [], house.get("emitter", "radiant_floor") == "radiant_floor"
    if len(zones) != 1 or not floor or zones[0].get("emitter") not in BESIDE_EMITTERS_ASKED:
        return {}
    return {"emitter": MIXED, "beside": zones[0]["emitter"], "beside_area": zones[0].get("area")}


def answers_of(data: Mapping[str, Any]) -> dict[str, Any]:
    """Answers with which a study could have begun, by the last part of their field's key; those that cannot be told are left out.

    Examples
    --------
    >>> answers_of({"place": {"weather": "a.csv"}, "option": [{"name": "Propane", "first_cost": "0 $"}]})
    {'place': 'a.csv', 'now': 'propane', 'considered': []}
    """
    house, options = data.get("house", {}), data.get("option", [])
    keys = template_keys(options)
    named = [key for key in keys if key]
    today = [key for key, one in zip(keys, options, strict=True) if one.get("today") and key]
    found: dict[str, Any] = {"place": data.get("place", {}).get("weather")}
    found |= {"area": house.get("floor_area"), "loss": house.get("design_heat_loss"), "emitter": house.get("emitter")}
    found |= _beside(house)
    found["thermostat"] = house.get("indoor_temperature")
    if found["loss"]:
        found["loss_at"] = data.get("place", {}).get("design_outdoor")
        indoor = str(house.get("design_indoor", ""))
        found["loss_indoor"] = "" if indoor in USUAL_INDOOR.values() else indoor
    if named:
        found["now"] = (today or named)[0]
        found["considered"] = [key for key in named if key != found["now"]]
        found["now"] = RENEWED.get(found["now"], found["now"])
    found |= {key: data.get("selection", {}).get(key) for key in ("service", "service_free")}
    for key, one in zip(keys, options, strict=True):
        if key and one.get("first_cost") and not one.get("today"):
            found[f"quote/{key}"] = one["first_cost"]
    for key, table in data.get("prices", {}).items():
        parts = [table.get("energy"), table.get("fixed"), table.get("rent")]
        found[f"price/{key}"] = " + ".join(str(one) for one in parts if one) or None
    if (wood := data.get("prices", {}).get("wood")) is not None:
        species = "_".join(str(wood.get("species", "")).lower().split())
        found["species"] = species if species in SPECIES else ""
    periods = data.get("prices", {}).get("electricity", {}).get("period", [])
    cheap = {kind for kind, model in KINDS.items() if model.cheap_hours}
    night = (one for each in options for one in each.get("source", []) if one.get("kind") in cheap)
    if hours := next((one["windows"] for one in night if one.get("windows")), None):
        found["cheap_hours"] = ", ".join(hours)
    if len(periods) == 1:
        found |= {"cheap": True, "cheap_price": periods[0].get("energy")}
        found["cheap_hours"] = ", ".join(periods[0].get("windows", []))
        found["cheap_days"] = "Mon-Fri" if periods[0].get("days") == "Mon-Fri" else "every day"
    for one in options:
        if one.get("today"):
            found |= {"renew": one.get("replacement"), "renew_years": str(one.get("replacement_year") or "") or None}
    if named:
        found.pop(f"quote/{found['now']}", None)
    return {key: value for key, value in found.items() if value is not None}
