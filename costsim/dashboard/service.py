"""The house's electric service, asked where electric heat is chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.form import draw_model
from costsim.dashboard.kinds import key_of
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.registry import Answer
from costsim.results.amperes import of_the_service
from costsim.sources import KINDS
from costsim.study.selection import Selection
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
    models = [KINDS.get(str(one.get("kind"))) for one in sources]
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
        st.caption(tr("Type the service and one of the other two: the highest demand, or the fixed appliances."))


def service_words(system: str) -> str:
    """What is typed of it, with a link to where it is asked on this page."""
    typed = str(state.get((*TABLE, "service")) or "")
    if typed:
        return tr("[Electric service](#service): {service}, as typed.", service=state.literal(as_shown(typed, system)))
    return tr("[Electric service](#service): not typed yet; it is asked at the foot of this page.")
