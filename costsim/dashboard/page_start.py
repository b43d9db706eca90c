"""Your house in five questions: from nothing to a first answer."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.answers import PREFIX, keep_draft, remember, restore
from costsim.dashboard.begin import Typed, show_answer
from costsim.dashboard.compared_question import ask_compared
from costsim.dashboard.emitter_question import EMITTERS_ASKED
from costsim.dashboard.house_question import ask_house
from costsim.dashboard.price_question import ask_prices
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.registry import Context, page
from costsim.dashboard.todays_question import ask_today
from costsim.dashboard.warmth import warmth_of
from costsim.dashboard.weather_choice import ask_place
from costsim.study.case import built_in_studies
from costsim.views.first_study import fuels_of
from costsim.words import tr


@page("start", "Five questions", group="Decide", place=5)
def draw(context: Context) -> None:
    """Draw the page."""
    # a house of one's own does not begin with the currency of an invented one abroad
    coin = "$" if state.untouched_demo() and context.system == "us" else state.currency() or "$"
    form = Form((), context.system, coin)
    restore(EMITTERS_ASKED)
    st.title(tr("Your house in five questions"))
    st.caption(tr("Not sure? Guess. You can change everything later, and nothing leaves this computer."))
    typed = _ask(form)
    remember(
        {
            str(key): st.session_state[key]
            for key in st.session_state
            if str(key).startswith(PREFIX) and "file" not in str(key)
        }
    )
    keep_draft()
    if state.study_name() not in built_in_studies():
        st.caption(
            tr(
                "This makes the study anew from these answers. Costs, rates, uncertainty and other electricity that you typed on"
                " other pages stay; what else you typed there is replaced. Undo brings it back."
            )
        )
    wrong = st.container()  # above the button, where it is seen
    if st.button(tr("Show my answer"), type="primary"):
        show_answer(typed, form, wrong)


def _ask(form: Form) -> Typed:
    """Draw the questions, one after the other."""
    st.header(tr("1 · Where is it?"), anchor="q1")
    place = ask_place(form.system)
    st.header(tr("2 · How large is it?"), anchor="q2")
    house = ask_house(place, form)
    st.header(tr("3 · What heats it now?"), anchor="q3")
    today = ask_today(warmth_of({"indoor_temperature": house.thermostat.text, "setback": house.nights}), form)
    st.header(tr("4 · What would you like to compare?"), anchor="q4")
    compared = ask_compared(place, today, form)
    st.header(tr("5 · What do you pay?"), anchor="q5")
    return Typed(place, house, today, compared, ask_prices(fuels_of([today.now, *compared.considered]), form))
