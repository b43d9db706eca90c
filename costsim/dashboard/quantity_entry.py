"""A quantity's field: a number with a menu of its units, read as people type it and shown back as it was read."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.consequences import follow_entry
from costsim.dashboard.fault_names import plain, said_of
from costsim.dashboard.field_text import as_shown, dotted, quantity_hint, sample_of
from costsim.dashboard.keyed import follow
from costsim.dashboard.unit_menu import Menu, choose, draw_menu, menu_of
from costsim.dashboard.warmth import PATH, night_of, warmth_of, warmth_shown
from costsim.errors import Fault
from costsim.units.fields import QuantityField
from costsim.units.quantity import pretty_unit, split_text
from costsim.units.reading import is_bare, odd, understand
from costsim.units.rows import understand_all
from costsim.views.wording import for_reader
from costsim.words import tr

Path = state.Path


@dataclass(frozen=True, slots=True)
class Form:
    """What all fields of a page share: faults, the reader's units, the currency, and how many fields stand side by side.

    `at_design` tells of sources, by key path, what is left of their size in the coldest hour, `labels`
    what a year makes of the efficiency on theirs.
    """

    faults: tuple[Fault, ...]
    system: str
    currency: str
    columns: int = 3
    at_design: Mapping[str, str] = dataclasses.field(default_factory=dict)
    labels: Mapping[str, str] = dataclasses.field(default_factory=dict)

    def faults_at(self, path: Path) -> list[Fault]:
        """Faults of a field."""
        return [fault for fault in self.faults if fault.field == dotted(path)]


def draw_row(form: Form, path: Path, measured: QuantityField, label: str) -> None:
    """Several values in a row, with commas between and one menu for all."""
    widget, value = key_for(path), state.get(path)
    texts = [str(text) for text in value] if isinstance(value, list | tuple) else []
    menu = _menu(form, path, texts, measured, "")
    follow(widget, menu.shown)
    sample = _number(sample_of(measured, form.system, form.currency, unit=menu.read_in), menu)
    hint = tr("such as {sample}, {sample}", sample=sample)
    st.text_input(label, key=widget, placeholder=hint, on_change=_row, args=(path, widget, measured, form, menu))
    draw_menu(menu, label)
    told(form, path, measured)


def _row(path: Path, widget: str, measured: QuantityField, form: Form, menu: Menu) -> None:
    typed = str(st.session_state[widget])
    if typed.strip() == menu.shown:
        return
    if not all(map(is_bare, typed.replace(";", ",").split(","))):
        choose(menu.where, "")
    state.put(path, understand_all(typed, measured, system=form.system, currency=form.currency, unit=menu.read_in))


def draw_quantity(form: Form, path: Path, measured: QuantityField, label: str, default: Any, fuel: str) -> None:
    """One value, with its menu, what it was read as, questions and faults."""
    value, widget = state.get(path), key_for(path)
    text = "" if value is None else str(value)
    menu = _menu(form, path, [text], measured, fuel)
    follow(widget, menu.shown)
    hint = quantity_hint(measured, default, form.system, form.currency, fuel, unit=menu.read_in)
    st.text_input(
        label,
        key=widget,
        help=tr(
            "{help} Such as {measured}.",
            help=tr(measured.help) if measured.help else "",
            measured=sample_of(measured, form.system, form.currency, fuel),
        ).strip(),
        placeholder=_number(hint, menu),
        on_change=_typed,
        args=(path, widget, measured, form, fuel, menu),
    )
    draw_menu(menu, label)
    if path == PATH and (whole := warmth_of(state.get(("house",)) or {})) != text:
        st.caption(state.literal(tr("With its set-back: {text}.", text=warmth_shown(whole, form.system))))
    if st.session_state.get("read_as") == (dotted(path), text) and not form.faults_at(path):
        st.caption(state.literal(tr("Read as {text}.", text=as_shown(text, form.system))))
    if not _ask(path, measured, text, form.currency):
        told(form, path, measured, fuel)


def _menu(form: Form, path: Path, texts: list[str], measured: QuantityField, fuel: str) -> Menu:
    return menu_of(
        dotted(path),
        texts,
        measured,
        system=form.system,
        currency=form.currency,
        fuel=fuel,
        plain=lambda text: as_shown(text, form.system),
    )


def _number(hint: str, menu: Menu) -> str:
    """A hint without the unit that its menu shows."""
    if not menu.read_in:
        return hint
    unit = pretty_unit(menu.unit, menu.currency)
    if unit.startswith(menu.currency):
        hint, unit = hint.replace(menu.currency, "", 1), unit[len(menu.currency) :]
    return hint.replace(f" {unit}", "").replace(unit, "") if unit else hint


def _ask(path: Path, measured: QuantityField, text: str, currency: str) -> bool:
    """A question about what was typed, with its answers as buttons; whether there is one that must be answered."""
    asked = st.session_state.get("asked", {}).get(dotted(path))
    if asked and asked[0] == text:
        st.warning(state.literal(asked[1]))
        with st.container(horizontal=True):
            for at, answer in enumerate(asked[2]):
                st.button(
                    state.literal(pretty_unit(answer, currency)),
                    key=f"answer/{dotted(path)}/{at}",
                    on_click=_answered,
                    args=(path, answer),
                )
        return True
    question = odd(text, measured, currency) if text else ""
    if question and (dotted(path), text) not in st.session_state.setdefault("confirmed", set()):
        st.warning(state.literal(question))
        st.button(tr("Yes, it is right"), key=f"yes/{dotted(path)}", on_click=_confirmed, args=(path, text))
    return False


def _answered(path: Path, answer: str) -> None:
    st.session_state.get("asked", {}).pop(dotted(path), None)
    state.put(path, answer)


def _confirmed(path: Path, text: str) -> None:
    st.session_state.setdefault("confirmed", set()).add((dotted(path), text))


def _typed(path: Path, widget: str, measured: QuantityField, form: Form, fuel: str, menu: Menu) -> None:
    """Take what was typed into the study, as it is understood."""
    typed = str(st.session_state[widget]).strip()
    if typed == menu.shown:
        return
    before, where = str(state.get(path) or ""), dotted(path)
    if path == PATH and (night := night_of(typed, form.system)):
        st.session_state.setdefault("asked", {}).pop(where, None)
        state.put(("house", "setback"), night[1])
        state.put(path, night[0])
        follow_entry(path)
        return
    reading = understand(
        typed,
        measured,
        system=form.system,
        fuel=fuel,
        currency=form.currency,
        before=before,
        unit=menu.read_in,
    )
    if not is_bare(typed):
        choose(where, split_text(reading.text)[1])
    asked = st.session_state.setdefault("asked", {})
    asked.pop(where, None)
    if reading.answers:
        asked[where] = (reading.text, reading.question, reading.answers)
    elif is_bare(typed):
        st.session_state["read_as"] = (where, reading.text)
    text = reading.text
    if measured.dimension == "temperature" and is_bare(text):  # beyond its bounds: its unit is known all the same
        text = f"{text} {menu.read_in or menu.units[0]}"
    state.put(path, text)
    follow_entry(path)


def told(form: Form, path: Path, measured: QuantityField | None = None, fuel: str = "") -> None:
    """Say below a field what is wrong in it, with the example of what it measures in the reader's units."""
    for fault in form.faults_at(path):
        text = said_of(fault)
        if measured is not None:
            own = sample_of(measured, form.system, form.currency, fuel)
            text = text.replace(f'"{plain(measured.sample)}"', f'"{own}"')
        st.error(state.literal(for_reader(text, form.system)))


def key_for(path: Path) -> str:
    """Key of a field's widget."""
    return f"field/{state.revision()}/{dotted(path)}"
