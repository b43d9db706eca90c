"""The house's electric service, asked where electric heat is chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from costsim.analysis.on_service import ElectricChoice, services_of
from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.form import draw_model
from costsim.dashboard.kept import kept_without_prices
from costsim.dashboard.kinds import key_of
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.registry import Answer
from costsim.results.amperes import large_for_service, of_the_service
from costsim.sources import KINDS
from costsim.study.selection import Selection
from costsim.views.size_words import lacking_room, room_text
from costsim.words import tr

TABLE: state.Path = ("selection",)
ASKED = ("service", "measured_peak", "appliances")


def asks_for_service(sources: Sequence[Mapping[str, Any]]) -> bool:
    """Whether one of these sources, as typed, is an electric load for hours.

    Examples
    --------
    >>> asks_for_service([{"kind": "gas"}]), asks_for_service([{"kind": "electric"}, {"kind": "gas"}])
    (False, True)
    """
    models = [KINDS.get(str(source.get("kind"))) for source in sources]
    return any(model is not None and model.continuous_load for model in models)


def draw_service(form: Form, answer: Answer | None) -> None:
    """Ask for it, with what the service carries today, and say what electric heat asks of it."""
    with st.container(border=True, key="service"):
        st.header(tr("Electric service of the house"), anchor="service")
        text = of_the_service(answer.case) if answer is not None else ""
        room = tr("Filled in, the reports say whether there is room for it; an electrician decides.")
        st.caption(state.literal(f"{text} {room}".strip()))
        hide = [name for name, field in Selection.model_fields.items() if key_of(name, field) not in ASKED]
        narrow = Form(form.faults, form.system, form.currency, columns=3)
        draw_model(narrow, TABLE, Selection, main=ASKED, hide=hide)
        typed = state.get(TABLE) or {}
        if typed.get("service_free"):
            st.caption(tr("What is free is typed at the top of this page: nothing else is needed."))
        elif not (typed.get("service") and (typed.get("measured_peak") or typed.get("appliances"))):
            st.caption(tr("Type the service and one of the other two: the highest demand, or the fixed appliances."))


def rooms(answer: Answer) -> list[ElectricChoice | None]:
    """The service with each option's electric units, where it is known."""
    return kept_without_prices("services", answer.case, answer.weather, lambda: services_of(answer.result.lowered))


def service_doubts(answer: Answer) -> list[str]:
    """For each option what its electric heat is too much for: what the service still carries, or a service whose load is not known."""
    return [_doubt(answer, at, room) for at, room in enumerate(rooms(answer))]


def _doubt(answer: Answer, at: int, room: ElectricChoice | None) -> str:
    option = answer.case.options[at]
    return lacking_room(option.name, room) or large_for_service(answer.case, option)


def draw_room(answer: Answer, at: int) -> None:
    """Say under an option what its electric units ask of the service: a warning where that is too much."""
    room = rooms(answer)[at]
    if doubt := _doubt(answer, at, room):
        st.warning(state.literal(doubt), icon=":material/bolt:")
    elif room is not None and room.service_load_a is not None:
        st.caption(state.literal(tr("Electric service with this option: {room}.", room=room_text(room))))


def service_words(system: str) -> str:
    """What is typed of it, with a link to where it is asked on this page."""
    typed = str(state.get((*TABLE, "service")) or "")
    if typed:
        return tr("[Electric service](#service): {service}, as typed.", service=state.literal(as_shown(typed, system)))
    return tr("[Electric service](#service): not typed yet; it is asked at the foot of this page.")
