"""House: where it stands, what it loses by every route that is known, and what else it uses."""

from __future__ import annotations

import streamlit as st
from pydantic import BaseModel, create_model

from costsim.dashboard import parts_bills, parts_house, state
from costsim.dashboard.away import draw_away
from costsim.dashboard.form import draw_model
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.refit import draw_refit
from costsim.dashboard.registry import Context, load_pages, page
from costsim.dashboard.surfaces import draw_surfaces
from costsim.dashboard.weather_choice import draw_weather_choice
from costsim.study.case import Case
from costsim.study.house import House
from costsim.study.place import Place
from costsim.words import tr

MAIN = (
    "floor_area",
    "design_heat_loss",
    "heat_loss_per_area",
    "indoor_temperature",
    "balance_point",
    "other_electricity",
)


@page("house", "House", group="Your case", place=20, edits=("place", "house", "title", "note"))
def draw(context: Context) -> None:
    """Draw the page."""
    form = Form(context.faults, context.system, state.currency() or "$")
    st.title(tr("House"))
    answer = context.answer
    if answer is not None:
        parts_house.finding(answer.case, answer.result, context.system)
        draw_refit(answer, context.system)
    left, right = st.columns([2, 3], gap="large")
    with left:
        _inputs(Form(form.faults, form.system, form.currency, columns=2))
    with right:
        if answer is not None:
            parts_house.needs(answer.case, answer.weather, answer.result, context.system)
    with st.expander(tr("Walls, roof, windows and floor as a list"), key="house/surfaces", on_change="rerun") as box:
        if box.open or st.session_state.get("show_all"):
            draw_surfaces()
    bills = st.expander(tr("Measure it from bills"), key="house/bills", on_change="rerun")
    if bills.open and answer is not None:
        with bills:
            parts_bills.from_bills(answer.case, answer.weather, answer.result, context.system)


def _inputs(form: Form) -> None:
    st.header(tr("Place and weather"))
    draw_weather_choice(form)
    draw_model(form, ("place",), Place, main=("design_outdoor", "timezone"), hide=("weather",))
    st.header(tr("Heat loss and thermostat"))
    draw_model(form, ("house",), House, main=MAIN, hide=("absence",))
    draw_away(form)
    st.header(tr("Name, hot water and other uses"))
    draw_model(form, (), _rest(), main=("title",))


def _rest() -> type[BaseModel]:
    """Keys of a study that no page claims: the title, the note, and whatever a later version adds."""
    claimed = {key for other_page in load_pages() for key in other_page.edits} - {"title", "note"}
    fields = {
        name: (field.annotation, field)
        for name, field in Case.model_fields.items()
        if (field.alias or name) not in claimed
    }
    return create_model("Rest", **fields)  # type: ignore[call-overload, no-any-return]
