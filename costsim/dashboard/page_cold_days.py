"""Cold days: when an option falls short, its coldest week, what happens when something fails, and who may join a program."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import parts, state
from costsim.dashboard.following import sized_for_house
from costsim.dashboard.form import draw_model
from costsim.dashboard.kinds import starter
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.registry import Context, page
from costsim.dashboard.set_back import setback_line
from costsim.dashboard.widgets import say
from costsim.study.program import Program
from costsim.words import tr

KEY = "program"


@page("cold-days", "Cold days", group="Risk", place=60, edits=("program",))
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Cold days"))
    answer = context.answer
    if answer is not None:
        if names := sized_for_house(state.typed(), context.system):
            say(
                tr("Sized for your house, not typed by you: {names}. Type real sizes on the Sources page.", names=names)
            )
        if saved := setback_line(answer):
            say(saved)
        parts.cold(answer.case, answer.weather, answer.result, context.system)
        with st.expander(
            tr("Heat by source, and what each source can deliver"), key="cold/heat", on_change="rerun"
        ) as box:
            if box.open:
                parts.heat(answer.case, answer.weather, answer.result, context.system)
    st.header(tr("Conditions of the utility's rate"))
    form = Form(context.faults, context.system, state.currency() or "$")
    if state.get((KEY,)) is None:
        st.button(
            tr("Add the utility's conditions"),
            icon=":material/add:",
            on_click=state.add,
            args=((KEY,), starter(Program)),
        )
    else:
        st.button(tr("Remove"), key="drop/program", type="tertiary", on_click=state.drop, args=((KEY,),))
        draw_model(
            form,
            (KEY,),
            Program,
            main=("name", "backup", "backup_time", "min_controlled_load", "separate_meter", "excluded_backup_fuels"),
        )
