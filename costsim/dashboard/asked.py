"""A question of the five: a text field with its menu of units, read as it is typed and shown back."""

from __future__ import annotations

import functools

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.unit_menu import choose, draw_menu, menu_of, of_fuel
from costsim.units.fields import QuantityField
from costsim.units.reading import Reading, is_bare, understand
from costsim.units.usual import shown_number
from costsim.words import tr


def asked(label: str, key: str, measured: QuantityField, form: Form, example: str, fuel: str = "") -> Reading:
    """A field with its menu of units, whose text is read and shown back as it is understood."""
    typed = str(st.session_state.get(key) or "")
    if typed and not is_bare(typed):
        choose(key, "")
    unit = st.session_state.get("unit_of", {}).get(key, "")
    made = st.session_state.get("made_of", {}).get((key, typed)) if unit else None
    reading = (
        Reading(made)
        if made
        else understand(typed, measured, system=form.system, fuel=fuel, currency=form.currency, unit=unit)
    )
    menu = menu_of(key, [reading.text], measured, system=form.system, currency=form.currency, fuel=fuel, plain=str)
    st.text_input(label, key=key, placeholder=tr("such as {example}", example=example))
    draw_menu(menu, label, then=functools.partial(_converted, key, measured, form.system, reading.text, fuel))
    if reading.answers:
        picked = st.pills(
            state.literal(reading.question),
            reading.answers,
            format_func=lambda one: as_shown(one, form.system),
            key=f"{key}/answer",
        )
        return Reading(str(picked or ""), "" if picked else reading.question)
    if typed and _wrong(reading.text, measured):
        st.error(
            state.literal(tr("“{typed}” is not understood; write it like {example}.", typed=typed, example=example))
        )
        return Reading("", "wrong")
    if typed:
        st.caption(
            state.literal(
                tr(
                    "Read as {text}. {question}", text=as_shown(reading.text, form.system), question=reading.question
                ).strip()
            )
        )
    return Reading(reading.text)


def _converted(key: str, measured: QuantityField, system: str, text: str, fuel: str, unit: str) -> None:
    """Write the quantity of a field in the unit that was chosen; an empty field stays empty."""
    number = shown_number(text, measured, unit, system, of_fuel(key, fuel)) if text else ""
    if number and number != text:
        st.session_state.setdefault("made_of", {})[key, number] = text
        st.session_state[key] = number


def _wrong(text: str, measured: QuantityField) -> bool:
    try:
        measured.read(text)
    except ValueError:
        return True
    return False
