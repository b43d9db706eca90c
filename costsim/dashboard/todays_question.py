"""The third question: what heats the house now, how much it uses in a year, and how warm the house was kept in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.asked import asked
from costsim.dashboard.emitter_question import Emitters, ask_emitters
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.quoted_size import size_field
from costsim.dashboard.renewal import Renewal, ask_renewal
from costsim.dashboard.warmth import WARMTH, night_of, warmth_of, warmth_shown
from costsim.study.prices import fuel_of
from costsim.study.uses import PER_PERSON_M3
from costsim.units.fields import QuantityField, in_words
from costsim.units.quantity import show
from costsim.units.reading import Reading
from costsim.views.first_answers import MOST_PEOPLE
from costsim.views.first_study import efficiency_of, older_of
from costsim.views.template_sources import USUAL_PEOPLE
from costsim.views.templates import EXAMPLE_PRICES, FIRST, RENEWED, TEMPLATES, offered
from costsim.words import tr

USE = QuantityField("amount", "Use of a year", above=0)
SPENT = QuantityField("money", "Paid in a year", above=0)
EFFICIENCY = QuantityField("share", "Efficiency", above=0.2, at_most=1.1, usual=(0.5, 1.0))

PEOPLE = ("", *map(str, range(1, MOST_PEOPLE + 1)))


@dataclass(frozen=True, slots=True)
class Today:
    """What was answered of today's heating."""

    now: str
    """Key of its template."""
    emitters: Emitters
    used: Reading
    hot_water: bool
    """Whether the fuel of that use heats the water too."""
    people: int
    """Who use that hot water; 0 where nobody says."""
    used_at: Reading
    then_nights: list[dict[str, Any]]
    """Set-backs of the year of the use, as a study holds them."""
    efficiency: Reading
    size: Reading
    renewal: Renewal

    def readings(self) -> list[tuple[str, Reading]]:
        """All answers with the labels of their fields."""
        return [
            (self.emitters.label(), self.emitters.area),
            (tr("Use of a year"), self.used),
            (tr("Thermostat in that year"), self.used_at),
            (tr("Its efficiency (AFUE), if you know it"), self.efficiency),
            (tr("Its size, if you know it"), self.size),
            (self.renewal.label(), self.renewal.cost),
        ]


def ask_today(planned: str, form: Form) -> Today:
    """Draw the question; `planned` is how warm the house will be kept, as `warmth_of` writes it."""
    left, right = st.columns(2)
    now = str(
        left.selectbox(
            tr("Today's heating"), list(FIRST), format_func=lambda key: tr(TEMPLATES[key].name), key="start/now"
        )
    )
    left.caption(state.literal(tr(TEMPLATES[now].about)))
    with right:
        emitters = ask_emitters(form)
    used, hot_water = ask_used(now, form)
    people = _ask_people(now, form.system) if hot_water else 0
    used_at, then_nights = ask_used_at(planned, form) if st.session_state.get("start/used") else (Reading(""), [])
    efficiency, size = ask_efficiency(now, form), ask_size_now(now, form)
    renewal = ask_renewal(form)
    return Today(now, emitters, used, hot_water, people, used_at, then_nights, efficiency, size, renewal)


def ask_people(said: str, unsaid: str, name: str) -> int:
    """Ask how many people use the hot water, and say what that counts; 0 where nobody says, which is called `name`."""
    left, right = st.columns(2, vertical_alignment="bottom")
    chosen = left.selectbox(
        tr("How many people use the hot water?"), PEOPLE, format_func=lambda people: people or name, key="start/people"
    )
    right.caption(state.literal(said if chosen else unsaid))
    return int(chosen or 0)


def taken_people() -> str:
    """Who use the hot water that the sun heats, where nobody says."""
    return tr("Not said: {people} are taken", people=USUAL_PEOPLE)


def each_day(system: str) -> str:
    """Hot water of one person a day."""
    return show(PER_PERSON_M3, "volume", system, 0)


def _ask_people(now: str, system: str) -> int:
    """Ask it beside the fuel that heats the water; where the sun is to heat it, usual people are taken if nobody says."""
    considered = st.session_state.get("start/considered") or []  # of question 4, drawn below
    sun = any(TEMPLATES[key].heats_water for key in offered(now) if key in considered)
    return ask_people(
        tr(
            "Every option then heats their tap water too, {amount} a day each, and your bills include it.",
            amount=each_day(system),
        ),
        tr("Not said: {people} people are taken; every option then heats their tap water.", people=USUAL_PEOPLE)
        if sun
        else tr("Not said: the answer is for heating alone, and a usual amount is taken off your use for hot water."),
        taken_people() if sun else tr("Not said"),
    )


def ask_used(now: str, form: Form) -> tuple[Reading, bool]:
    """What today's heating uses in a year, and whether it heats the water too."""
    fuel = TEMPLATES[now].prices[0]
    electric = fuel_of(fuel, EXAMPLE_PRICES[fuel]) == "electricity"
    left, right = st.columns(2, vertical_alignment="bottom")
    spent = "1,600" if form.system == "us" else "1600"
    amount = {"propane": "620 gal", "heating_oil": "550 gal", "natural_gas": "700 therms", "wood": "4 cords"}.get(
        fuel, "9,000 kWh"
    )
    if form.system == "si":
        amount = {"propane": "2300 L", "heating_oil": "2000 L", "wood": "14 m3"}.get(fuel, "20,000 kWh")
    with left:
        money = form.currency in str(st.session_state.get("start/used", ""))
        used = asked(
            tr("How much {fuel} does heating use in a year?", fuel=tr(in_words(fuel)).lower())
            if electric
            else tr("How much {fuel} do you use in a year?", fuel=tr(in_words(fuel)).lower()),
            "start/used",
            SPENT if money else USE,
            form,
            tr("{amount} or {money}", amount=amount, money=f"{form.currency}{spent}"),
            fuel_of(fuel, EXAMPLE_PRICES[fuel]) or fuel,
            yearly=True,
        )
    water = not electric and right.checkbox(tr("The same fuel heats our water too"), key="start/hot_water")
    return used, bool(water)


def usual_warmth(system: str) -> str:
    """The setting that is taken where none is typed, as the reader writes it."""
    return "70 °F" if system == "us" else "21 °C"


def ask_warmth(label: str, key: str, form: Form) -> tuple[Reading, list[dict[str, Any]]]:
    """A thermostat's setting, and the set-backs typed with it, such as "70, 65 at night"."""
    night = night_of(str(st.session_state.get(key) or ""), form.system)
    if night is None:
        return asked(label, key, WARMTH, form, usual_warmth(form.system)), []
    day, backs, taken = night
    st.text_input(label, key=key)
    text = tr(
        "Read as {text}. A house with a heavy heated floor hardly cools overnight, so that a set-back saves little there (common practice).",
        text=warmth_shown(warmth_of({"indoor_temperature": day, "setback": backs}), form.system),
    )
    if key == "start/thermostat":
        text = f"{text} {tr('Decide says what it saves.')}"
    more = tr("These hours are assumed; write yours behind it, such as {example}.", example="65 °F from 9 pm to 5 am")
    st.caption(state.literal(f"{text} {more}" if taken else text))
    return Reading(day), backs


def ask_used_at(planned: str, form: Form) -> tuple[Reading, list[dict[str, Any]]]:
    """How warm the house was kept in the year of the use, where that is not how warm it is `planned` to be kept."""
    now = warmth_shown(planned, form.system) if planned else usual_warmth(form.system)
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        warmth, backs = ask_warmth(tr("Thermostat in that year"), "start/used_at", form)
    if warmth.text:
        then = warmth_shown(warmth_of({"indoor_temperature": warmth.text, "setback": backs}), form.system)
        text = tr("The use tells the heat loss at {then}; the answer is for {now} (question 2).", then=then, now=now)
    else:
        text = tr("Empty: {now}, as in question 2.", now=now)
    right.caption(state.literal(text))
    return warmth, backs


def ask_efficiency(now: str, form: Form) -> Reading:
    """How much of the fuel today's heating turns into heat, where it burns one."""
    usual = efficiency_of(now, form.system)
    if not usual:
        return Reading("")
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        efficiency = asked(tr("Its efficiency (AFUE), if you know it"), "start/efficiency", EFFICIENCY, form, "80%")
    text = tr("Empty: {usual} of the fuel becomes heat.", usual=usual)
    right.caption(state.literal(" ".join(filter(None, [text, older_of(now, form.system)]))))
    return efficiency


def ask_new_efficiency(considered: Sequence[str], form: Form) -> Reading:
    """How much of its fuel a new heater like today's turns into heat, where one is compared."""
    usual = next((efficiency_of(key, form.system) for key in considered if key in RENEWED), "")
    if not usual:
        return Reading("")
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        efficiency = asked(tr("Efficiency (AFUE) of the new one"), "start/new_efficiency", EFFICIENCY, form, "95%")
    right.caption(state.literal(tr("Empty: {usual} of the fuel becomes heat, as assumed of a new one.", usual=usual)))
    return efficiency


def ask_size_now(now: str, form: Form) -> Reading:
    """How large today's heating is, where somebody knows it."""
    measured, example = size_field(now, form.system)
    if measured is None:
        return Reading("")
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        size = asked(
            tr("Its size, if you know it"), f"start/size/{now}", measured, form, example, tons="ton" in example
        )
    right.caption(tr("Heat it gives, from its plate. Empty: we take one large enough for your house."))
    return size
