"""Days away in one field, typed as one would say it: "Dec 20 - Jan 5 at 50 °F", "weekends only, 45 °F otherwise"."""

from __future__ import annotations

from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.fault_names import said_of
from costsim.dashboard.field_text import as_shown, dotted
from costsim.dashboard.keyed import follow
from costsim.dashboard.quantity_entry import Form, key_for
from costsim.study.schedules import FROST_C
from costsim.units.away_words import TwoMeaningsError, absences, away_text
from costsim.units.quantity import show
from costsim.views.wording import for_reader
from costsim.words import tr

PATH = ("house", "absence")


def draw_away(form: Form) -> None:
    """One field for all days away, what it was read as, a question where it can be meant two ways, and faults."""
    value, widget = state.get(PATH), key_for(PATH)
    items = [value] if isinstance(value, str) else list(value or [])
    follow(widget, "; ".join(_shown(absence, form.system) for absence in items))
    sample = "50 °F" if form.system == "us" else "10 °C"
    st.text_input(
        tr("Away for a while"),
        key=widget,
        placeholder=tr("such as Dec 20 - Jan 5 at {sample}", sample=sample),
        help=tr(
            "Days on which nobody is there, every year or every week: Dec 20 - Jan 5 at {sample}, back at 4 pm; weekends only,"
            " {sample} otherwise. The heating then keeps that temperature, and nobody draws hot water.",
            sample=sample,
        ),
        on_change=_typed,
        args=(widget,),
    )
    try:
        absent = [part for absence in items for part in (absences(absence) if isinstance(absence, str) else [absence])]
    except TwoMeaningsError as unclear:
        _ask(unclear)
        return
    except ValueError:
        absent = []
    wrong = [fault for fault in form.faults if fault.field.startswith(dotted(PATH))]
    for fault in wrong:
        st.error(state.literal(for_reader(said_of(fault), form.system)))
    if not wrong and any(isinstance(absence, str) for absence in items):
        st.caption(
            state.literal(tr("Read as {text}.", text="; ".join(_read_as(absence, form.system) for absence in absent)))
        )


def _shown(item: Any, system: str) -> str:
    """An absence as it is typed; a sentence as it stands."""
    return item if isinstance(item, str) else _words(item, system)


def _words(item: Any, system: str) -> str:
    warmth = as_shown(str(item.get("indoor_temperature") or ""), system)
    return away_text(dict(item) | {"indoor_temperature": warmth}, system)


def _read_as(item: Any, system: str) -> str:
    """An absence in words, with the temperature that is taken where none is typed."""
    text = _words(item, system)
    if item.get("indoor_temperature"):
        return text
    return tr("{text}, kept at {warmth} (assumed)", text=text, warmth=show(FROST_C, "temperature", system, 0))


def _ask(unclear: TwoMeaningsError) -> None:
    st.warning(state.literal(unclear.question))
    with st.container(horizontal=True):
        for at, answer in enumerate(unclear.answers):
            st.button(state.literal(answer), key=f"answer/absence/{at}", on_click=state.put, args=(PATH, answer))


def _typed(widget: str) -> None:
    state.put(PATH, str(st.session_state[widget]).strip())
