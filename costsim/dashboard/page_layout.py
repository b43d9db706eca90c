"""Layout: the floor with its loops and pump, the tank, and what the plates of the parts say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st
from pydantic import BaseModel

from costsim.analysis.capacity import capacity_report
from costsim.dashboard import state
from costsim.dashboard.beginnings import floors
from costsim.dashboard.field_text import as_shown, first_line
from costsim.dashboard.form import draw_model
from costsim.dashboard.kinds import starter
from costsim.dashboard.layout_view import draw_fill, draw_layout, draw_materials, draw_selection
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.registry import Context, page
from costsim.dashboard.schematic_view import draw_schematic
from costsim.dashboard.widgets import pick, say, table
from costsim.study.fluid import Fluid
from costsim.study.plant import Floor, Tank
from costsim.study.ratings import Ratings
from costsim.views.antifreeze_words import antifreeze_words
from costsim.views.templates import without_new_tank
from costsim.views.text_capacity import loop_rows
from costsim.views.text_layout import cooler_room_line
from costsim.words import tr

TABLES: tuple[tuple[str, type[BaseModel], str, tuple[str, ...]], ...] = (
    ("floor", Floor, "Floor", ("build_up", "insulation", "antifreeze", "concentration")),
    ("tank", Tank, "Tank", ("volume", "max_temperature", "store", "design_supply_temperature")),
    ("fluid", Fluid, "Antifreeze in the whole system", ("antifreeze", "concentration")),
    ("ratings", Ratings, "Ratings of the parts", ()),
)


@page("layout", "Layout", group="Your case", place=50, edits=("floor", "tank", "fluid", "ratings"))
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Layout"))
    answer = context.answer
    if answer is not None and answer.case.floor is not None and answer.case.floor.layout is not None:
        draw_layout(answer.case, answer.weather, context.system)
        st.caption(state.literal(cooler_room_line(answer.case, answer.result.design_outdoor_c, context.system)))
    elif answer is not None and answer.case.floor is not None:
        say(tr("What each group of loops delivers at its supply temperature."))
        table(*loop_rows(capacity_report(answer.case, answer.weather), context.system))
    elif answer is not None:
        say(tr("No floor with tubes is described yet. Add one below, and its loops and pumps are sized here."))
    if answer is not None and (text := antifreeze_words(answer.case)):
        say(text)
    if answer is not None:
        with st.expander(tr("Schematic"), key="layout/schematic", on_change="rerun", expanded=True):
            shown = pick(answer.result)
            draw_schematic(answer, shown, context.system)
        draw_fill(answer, shown, context.system)
        draw_materials(answer, shown, context.system)
    if answer is not None:
        draw_selection(answer.case, answer.weather, context.system, answer.case.currency)
    form = Form(context.faults, context.system, state.currency() or "$")
    for key, model, title, main in TABLES:
        title = tr(title)
        st.header(title)
        if state.get((key,)) is None:
            _add(key, model, title)
            continue
        st.button(
            tr("Remove"),
            key=f"drop/{key}",
            type="tertiary",
            help=tr("Remove all of {title}; Undo brings it back", title=title.lower()),
            on_click=state.drop,
            args=((key,),),
        )
        draw_model(form, (key,), model, main=main)
        if key == "tank":
            _with_this_tank()


def _with_this_tank() -> None:
    """Which options have the study's tank: what heats the house today may have none, and so none of its loss."""
    st.caption(state.literal(" ".join(_tanks_of(state.typed().get("option", [])))))
    options = state.typed().get("option", [])
    names = [str(option.get("name")) for option in options if "tank" not in option]
    having = [str(option.get("name")) for option in options if "tank" not in option and not option.get("no_tank")]
    widget = f"layout/having/{state.revision()}"
    st.pills(
        tr("Options with this tank"),
        names,
        selection_mode="multi",
        default=having,
        key=widget,
        format_func=state.literal,
        on_change=_have_it,
        args=(widget,),
        help=tr("A heater that stands there today without a tank is not charged with the loss of this one."),
    )


def _tanks_of(options: Sequence[Mapping[str, Any]]) -> list[str]:
    """Whose tank the one above is, and the tanks that options have of their own."""
    shared = [str(option.get("name")) for option in options if "tank" not in option and not option.get("no_tank")]
    lines = [tr("This tank is that of: {names}.", names=", ".join(shared))] if shared else []
    for option in options:
        own = option.get("tank")
        if isinstance(own, Mapping) and not option.get("no_tank"):
            volume = as_shown(str(own.get("volume")), state.units_system())
            name = str(option.get("name"))
            lines.append(tr("{name} has a tank of its own, {volume}; it is on Sources.", name=name, volume=volume))
    return lines


def _have_it(widget: str) -> None:
    having = st.session_state[widget]

    def mark(study: dict[str, Any]) -> None:
        for option in study["option"]:
            option.pop("no_tank", None)
            if "tank" not in option and option.get("name") not in having:
                option["no_tank"] = True

    state.change(mark)


def _propose(new: dict[str, Any]) -> None:
    """Put a tank into the study; what heats the house today is left without it."""

    def put(study: dict[str, Any]) -> None:
        study["tank"] = new
        without_new_tank(study.get("option", []))

    state.change(put)


def _add(key: str, model: type[BaseModel], title: str) -> None:
    """A button for a table that is not there yet; a floor begins with the house's floor area on so many floors."""
    new = starter(model)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        if key == "floor":
            count = st.number_input(tr("How many floors have tubes?"), 1, 20, 1, key="layout/floors", width=240)
            new = {"layout": floors(int(count))}
        st.button(
            tr("Add: {title}", title=title.lower()),
            key=f"add/{key}",
            icon=":material/add:",
            help=first_line(model),
            on_click=_propose if key == "tank" else state.add,
            args=(new,) if key == "tank" else ((key,), new),
        )
