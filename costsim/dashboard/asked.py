"""A question of the five: a text field with its menu of units, read as it is typed and shown back."""

from __future__ import annotations

import functools
import re

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.unit_menu import choose, draw_menu, menu_of, of_fuel
from costsim.tariffs.charges.base import FuelUnits
from costsim.units.fields import OPEN, QuantityField
from costsim.units.price_words import amount_less, price_and_charges
from costsim.units.quantity import show, split_text
from costsim.units.reading import PLAUSIBLE, Reading, is_bare, understand
from costsim.units.usual import shown_number
from costsim.words import tr

NOTHING = ("", "n/a", "na", "none", "unknown", "don't know", "?", "-")
"""What people type where they know nothing."""
A_YEAR = re.compile(
    r"(?i)(?<![ /])(?:[ /]*+\b(?:per|an?|each|every|last|this|the|in|over|during|for|one|past|whole|heating)\b){0,6}+"
    r"[ /]*+\b(?:year|yr|winter|season)\.?$"
)
"""Words for the span of a year's use, behind it."""
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
    yearly: bool = False,
) -> Reading:
    """A field with its menu of units, whose text is read and shown back as it is understood.

    With `charges`, fixed charges may follow a price: `charges_of` gives them. With `tons`, a small bare number may be tons;
    with `yearly`, words such as "last winter" may follow, and nothing need be known.
    """
    whole = str(st.session_state.get(key) or "")
    whole = "" if whole.strip().lower() in NOTHING else " ".join(whole.split())
    typed, extra = price_and_charges(whole, form.currency) if charges else (whole, {})
    if yearly:
        typed = A_YEAR.sub("", typed).rstrip() or typed
    if typed and not is_bare(typed):
        choose(key, "")
    unit = st.session_state.get("unit_of", {}).get(key, "")
    made = st.session_state.get("made_of", {}).get((key, typed)) if unit else None
    reading = Reading(made) if made else _read(typed, measured, form, fuel, unit, tons=tons and not unit)
    menu = menu_of(key, [reading.text], measured, system=form.system, currency=form.currency, fuel=fuel, plain=str)
    such = tr("such as {example}; empty if you do not know", example=example) if yearly else ""
    st.text_input(label, key=key, placeholder=such or tr("such as {example}", example=example))
    rest = whole[len(typed) :]
    draw_menu(menu, label, then=functools.partial(_converted, key, measured, form.system, reading.text, fuel, rest))
    if reading.answers:
        picked = st.pills(
            state.literal(reading.question),
            reading.answers,
            format_func=lambda answer: as_shown(answer, form.system),
            key=f"{key}/answer",
        )
        return Reading(str(picked or ""), "" if picked else reading.question)
    if typed and (extra is None or _wrong(reading.text, measured, fuel)):
        hint = f"{example} + {form.currency}10/month" if charges and extra is None else example
        beyond = "" if extra is None else _beyond(reading.text, measured, form.system)
        st.error(
            state.literal(
                tr("{beyond}; write it like {example}, or leave it empty.", beyond=beyond, example=hint)
                if beyond
                else tr(
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
                    text=" + ".join(as_shown(part, form.system) for part in (reading.text, *(extra or {}).values())),
                    question=reading.question or _odd_use(reading.text, measured, fuel, form.system),
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
    reading = read(typed)
    number = split_text(reading.text)[0]
    if tons and form.system == "us" and is_bare(typed) and number is not None and 0 < number <= MOST_TONS:
        question = tr("“{typed}” can be read two ways. Which one is meant?", typed=typed.strip())
        return Reading(typed, question, (read(f"{typed.strip()} tons").text, reading.text))
    return reading


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


def _beyond(text: str, measured: QuantityField, system: str) -> str:
    """How a value that is understood goes beyond its field's limits, in the reader's units; empty where it does not."""
    try:
        if measured.dimension in OPEN:
            return ""
        value = measured.quantity(text).value
    except ValueError:
        return ""
    words = {"typed": as_shown(text, system)}
    warm = measured.dimension == "temperature"
    if measured.most is not None and value > measured.most:
        words["limit"] = show(measured.most, measured.dimension, system, 0)
        if warm:
            return tr("{typed} is far too warm here, where {limit} is the most", **words)
        return tr("{typed} is too much here, where {limit} is the most", **words)
    if measured.at_least is not None and value < measured.at_least:
        words["limit"] = show(measured.at_least, measured.dimension, system, 0)
        if warm:
            return tr("{typed} is far too cold here, where {limit} is the least", **words)
        return tr("{typed} is too little here, where {limit} is the least", **words)
    if measured.above is not None and value <= measured.above:
        if measured.above == 0:
            return tr("{typed} must be more than 0", **words)
        words["limit"] = show(measured.above, measured.dimension, system, 0)
        return tr("{typed} is too little here: it must be more than {limit}", **words)
    return ""


def _odd_use(text: str, measured: QuantityField, fuel: str, system: str) -> str:
    """A question about an amount of fuel that no house burns in a year; empty for a usual one."""
    if not fuel or measured.dimension != "amount":
        return ""
    try:
        joules = float(FuelUnits.of(fuel).joules(measured.read(text)))
    except ValueError:
        return ""
    least, most = PLAUSIBLE["energy_per_year"]
    if least <= joules <= most:
        return ""
    return tr("{amount} is far from what a house uses in a year. Is that right?", amount=as_shown(text, system))
