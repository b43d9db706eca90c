"""From what was typed in the five questions to a study of one's own, and on to its answer."""

from __future__ import annotations

import dataclasses
import functools
from dataclasses import dataclass
from typing import Any

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from costsim.dashboard import state
from costsim.dashboard.answers import PREFIX, answers, drop_draft, remember
from costsim.dashboard.compared_question import Compared
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.following import follow_sources, followed
from costsim.dashboard.house_question import USUAL_AREA, HouseAsked
from costsim.dashboard.opened import computed, weather_named
from costsim.dashboard.price_question import Services
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.quoted_size import put_sizes, put_tanks
from costsim.dashboard.refit import remember_use
from costsim.dashboard.service_question import put_service
from costsim.dashboard.todays_question import Today
from costsim.dashboard.warmth import warmth_of, warmth_shown
from costsim.dashboard.weather_choice import lacking_sun, to_choose
from costsim.errors import InputError
from costsim.study.case import built_in_studies, read_study
from costsim.units.reading import Reading
from costsim.views.first_answers import FirstAnswers
from costsim.views.first_study import first_study, keep_typed
from costsim.views.templates import TEMPLATES
from costsim.views.yearly_use import scaled_to_use
from costsim.words import tr


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed in the five questions, one attribute a question."""

    place: str
    """Name of the weather; empty where none is chosen."""
    house: HouseAsked
    today: Today
    compared: Compared
    services: Services

    @property
    def sizes(self) -> dict[str, Reading]:
        """Sizes by key of their template, today's heating among them."""
        return self.compared.sizes | {self.today.now: self.today.size}

    def readings(self) -> dict[int, list[tuple[str, Reading]]]:
        """Answers with the labels of their fields, by question."""
        typed = (self.house.readings(), self.today.readings(), self.compared.readings(), self.services.readings())
        return dict(enumerate(typed, 2))


def show_answer(typed: Typed, form: Form, wrong: DeltaGenerator) -> None:
    """Make the study and go on to Decide; what must be corrected first is said in `wrong`."""
    if problems := _to_correct(typed):
        wrong.error(tr("First correct: {questions}", questions=" · ".join(problems)))
        return
    try:
        study = _study(typed, form)
    except InputError as error:
        wrong.error(state.literal(str(error)))
        return
    _remember(typed, form.system)
    state.replace(study, "my_house")
    drop_draft()
    state.keep_beside()
    house = followed(computed(study, "my_house"))
    st.session_state["followed_load_w"] = house.load_w
    follow_sources(study, house, form.system)
    st.switch_page(st.session_state["pages"]["decide"])


def _to_correct(typed: Typed) -> list[str]:
    """Links to the questions that hold something to correct, with the fields' labels, the first one first."""
    missing = [*filter(None, [to_choose(typed.place)])]
    if names := lacking_sun(typed.place, typed.compared.considered):
        missing.append(tr("[question 1](#q1): give the year sunshine for {names} (question 4 says how)", names=names))
    for number, readings in typed.readings().items():
        if wrong := [f"“{state.literal(label)}”" for label, reading in readings if reading.question]:
            missing.append(tr("[question {number}](#q{number}): {fields}", number=number, fields=", ".join(wrong)))
    return missing


def _first_answers(typed: Typed, form: Form) -> FirstAnswers:
    """The answers as views take them."""
    house, today, compared = typed.house, typed.today, typed.compared
    return FirstAnswers(
        weather_name=typed.place,
        weather=weather_named(typed.place),
        area=house.area.text or USUAL_AREA[form.system],
        insulation=house.insulation,
        heat_loss=house.calculation.loss.text,
        loss_at=house.calculation.at.text,
        loss_indoor=house.calculation.indoor.text,
        thermostat=house.thermostat.text,
        setback=house.nights,
        now=today.now,
        considered=compared.considered,
        efficiency=today.efficiency.text,
        new_efficiency=compared.new_efficiency.text,
        emitter=today.emitters.emitter,
        zones=today.emitters.zones,
        people=today.people or compared.people,
        renewal=today.renewal.keys(),
        quotes=_texts(compared.quotes),
        prices=typed.services.texts(),
        tables=typed.services.tables,
        windows=typed.services.windows,
        system=form.system,
        currency=form.currency,
    )


def _study(typed: Typed, form: Form) -> dict[str, Any]:
    """The study that the answers give, beside what was typed of it on other pages.

    Raises
    ------
    InputError
        The answers make none.
    """
    answered = _first_answers(typed, form)
    study = _fitted(answered, typed.today) if typed.today.used.text else first_study(answered)
    if typed.today.hot_water and "use" not in study:  # not counted: its service stays, whatever heats the house
        study["prices"][TEMPLATES[typed.today.now].prices[0]]["service"] = "there_anyway"
    before = place_as_typed(typed.place)
    if answered.heat_loss and not answered.own_design:
        before.pop("design_outdoor", None)
    study["place"] = before | study["place"]
    put_sizes(study, _texts(typed.sizes), form.system, typed.today.now)
    put_tanks(study, _texts(typed.compared.tanks))
    elsewhere = state.typed() if state.study_name() not in built_in_studies() else {}
    keep_typed(study, elsewhere)
    put_service(study, elsewhere, typed.compared.service)
    return study


def _fitted(answered: FirstAnswers, today: Today) -> dict[str, Any]:
    """The study of a house that uses so much in a year, with a note that says how its heat loss was found."""
    system = answered.system
    then = answered
    if today.used_at.text:
        then = dataclasses.replace(answered, thermostat=today.used_at.text, setback=today.then_nights)
    scaled = scaled_to_use(
        functools.partial(first_study, then),
        today.used.text,
        hot_water=today.hot_water,
        weather=answered.weather,
        system=system,
        files=state.files(),
    )
    rate = scaled.keys(system)
    study, notes = first_study(answered, rate), [scaled.words]
    if answered.heat_loss:
        notes.append(
            tr(
                "Your heat-loss calculation of {loss} stands beside it: bills go by the fuel, sizes by the larger of the two.",
                loss=as_shown(answered.heat_loss, system),
            )
        )
    fitted = first_study(then, rate)
    if warmth_of(study["house"]) != warmth_of(fitted["house"]):
        notes.append(tr("The answer is for {later}.", later=warmth_shown(warmth_of(study["house"]), system)))
    remember_use(today.used.text, today.hot_water, fitted, answered.weather, study["house"])
    return study | {"note": " ".join(notes)}


def place_as_typed(weather: str) -> dict[str, Any]:
    """What was typed of the place on House, where the weather is the same and the house is not an invented one's."""
    now, demos = state.typed().get("place", {}), built_in_studies()
    mine = state.study_name() not in demos or weather in state.opened()
    if not mine or now.get("weather") != weather:
        return {}
    invented = read_study(state.study_name()).typed["place"] if state.study_name() in demos else {}
    return {key: value for key, value in now.items() if invented.get(key) != value}


def _remember(typed: Typed, system: str) -> None:
    """Keep the answers as they come back, each with its unit, since a bare number is read in the units of who opens a link."""
    prices = typed.services.texts()
    left = set(st.session_state.get("examples", ())) - set(prices)
    st.session_state["examples"] = left | {key for key, text in prices.items() if not text}
    read = {
        "thermostat": typed.house.thermostat,
        "beside_area": typed.today.emitters.area,
        "used": typed.today.used,
        "used_at": typed.today.used_at,
        "efficiency": typed.today.efficiency,
        "new_efficiency": typed.compared.new_efficiency,
        "renew": typed.today.renewal.cost,
        **{f"size/{key}": size for key, size in typed.sizes.items()},
        **{f"tank/{key}": tank for key, tank in typed.compared.tanks.items()},
        **typed.compared.service,
        **typed.house.calculation.by_key(),
    }
    texts = {f"{PREFIX}{key}": as_shown(answer.text, system) for key, answer in read.items() if answer.text}
    remember(answers() | texts | _warmths(typed, system))


def _warmths(typed: Typed, system: str) -> dict[str, str]:
    """Settings with their set-backs, as answers that come back."""
    house, today = typed.house, typed.today
    both = {"thermostat": (house.thermostat, house.nights), "used_at": (today.used_at, today.then_nights)}
    return {
        f"{PREFIX}{key}": warmth_shown(warmth_of({"indoor_temperature": temperature.text, "setback": backs}), system)
        for key, (temperature, backs) in both.items()
        if temperature.text
    }


def _texts(readings: dict[str, Reading]) -> dict[str, str]:
    return {key: reading.text for key, reading in readings.items()}
