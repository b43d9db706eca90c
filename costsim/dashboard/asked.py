"""A question of the five: a text field with its menu of units, read as it is typed and shown back."""

from __future__ import annotations

import functools

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.unit_menu import choose, draw_menu, menu_of, of_fuel
from costsim.tariffs.charges.base import FuelUnits
from costsim.units.fields import QuantityField
from costsim.units.price_words import amount_less, price_and_charges
from costsim.units.quantity import split_text
from costsim.units.reading import Reading, is_bare, understand
from costsim.units.usual import shown_number
from costsim.words import tr

NOTHING = ("", "n/a", "na", "none", "unknown", "don't know", "?", "-")
"""What people type where they know nothing."""
MOST_TONS = 10.0
"""A bare number up to this in the size of a heat pump is more likely tons than kBtu/h; common practice, no source."""


def asked(
    label: str,
    key: str,
    measured: QuantityField,
    form: Form,
    example: str,
    fuel: str = "",
    *,
    charges: bool = False,
    tons: bool = False,
) -> Reading:
    """A field with its menu of units, whose text is read and shown back as it is understood.

    With `charges`, fixed charges may follow a price: `charges_of` gives them. With `tons`, a small bare number may be tons.
    """
    whole = str(st.session_state.get(key) or "")
    whole = "" if whole.strip().lower() in NOTHING else " ".join(whole.split())
    typed, extra = price_and_charges(whole, form.currency) if charges else (whole, {})
    if typed and not is_bare(typed):
        choose(key, "")
    unit = st.session_state.get("unit_of", {}).get(key, "")
    made = st.session_state.get("made_of", {}).get((key, typed)) if unit else None
    reading = Reading(made) if made else _read(typed, measured, form, fuel, unit, tons=tons and not unit)
    menu = menu_of(key, [reading.text], measured, system=form.system, currency=form.currency, fuel=fuel, plain=str)
    st.text_input(label, key=key, placeholder=tr("such as {example}", example=example))
    rest = whole[len(typed) :]
    draw_menu(menu, label, then=functools.partial(_converted, key, measured, form.system, reading.text, fuel, rest))
    if reading.answers:
        picked = st.pills(
            state.literal(reading.question),
            reading.answers,
            format_func=lambda one: as_shown(one, form.system),
            key=f"{key}/answer",
        )
        return Reading(str(picked or ""), "" if picked else reading.question)
    if typed and (extra is None or _wrong(reading.text, measured, fuel)):
        hint = f"{example} + {form.currency}10/month" if charges and extra is None else example
        st.error(
            state.literal(
                tr(
                    "“{typed}” is not understood; write it like {example}, or leave it empty.",
                    typed=whole,
                    example=hint,
                )
            )
        )
        return Reading("", "wrong")
    if typed:
        st.caption(
            state.literal(
                tr(
                    "Read as {text}. {question}",
                    text=" + ".join(as_shown(one, form.system) for one in (reading.text, *(extra or {}).values())),
                    question=reading.question,
                ).strip()
            )
        )
    return Reading(reading.text)


def charges_of(key: str, currency: str) -> dict[str, str]:
    """Fixed charges that stand behind the price in a question's field, by key of a price table."""
    return price_and_charges(str(st.session_state.get(key) or ""), currency)[1] or {}


def _read(typed: str, measured: QuantityField, form: Form, fuel: str, unit: str, *, tons: bool) -> Reading:
    def read(text: str) -> Reading:
        return understand(text, measured, system=form.system, fuel=fuel, currency=form.currency, unit=unit)

    first, less = amount_less(typed) if measured.dimension == "money" else (typed, "")
    if less:
        amounts = [split_text(read(text).text)[0] for text in (first, less)]
        if None not in amounts:
            typed = f"{(amounts[0] or 0.0) - (amounts[1] or 0.0):.2f}".removesuffix(".00")
    found = read(typed)
    number = split_text(found.text)[0]
    if tons and form.system == "us" and is_bare(typed) and number is not None and 0 < number <= MOST_TONS:
        question = tr("“{typed}” can be read two ways. Which one is meant?", typed=typed.strip())
        return Reading(typed, question, (read(f"{typed.strip()} tons").text, found.text))
    return found


def _converted(key: str, measured: QuantityField, system: str, text: str, fuel: str, rest: str, unit: str) -> None:
    """Write the quantity of a field in the unit that was chosen; an empty field stays empty."""
    number = shown_number(text, measured, unit, system, of_fuel(key, fuel)) if text else ""
    if number and number != text:
        st.session_state.setdefault("made_of", {})[key, number] = text
        st.session_state[key] = f"{number}{rest}"


def _wrong(text: str, measured: QuantityField, fuel: str) -> bool:
    """Whether a text is no value of the field, or one in a unit that its fuel is not sold by."""
    try:
        value = measured.read(text)
        if fuel and measured.dimension == "amount":
            FuelUnits.of(fuel).joules(value)
        elif fuel and measured.dimension == "price":
            FuelUnits.of(fuel).per_j(value)
    except ValueError:
        return True
    return False
