"""The fifth question: what each service charges, with fixed charges and cheaper hours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from costsim.dashboard import state
from costsim.dashboard.asked import asked, charges_of
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.unit_menu import choose
from costsim.errors import InputError
from costsim.physics.fuels import FUELS, MMBTU_J
from costsim.physics.wood import SPECIES
from costsim.study.prices import PricePeriod, fuel_of
from costsim.units.calendar_words import clock_window, hours_off, window_words
from costsim.units.faults import build
from costsim.units.fields import QuantityField, in_words
from costsim.units.quantity import CORD_M3, KWH_J
from costsim.units.reading import Reading
from costsim.views.templates import EXAMPLE_PRICES, example_price, example_words
from costsim.words import tr

PRICE = QuantityField("price", "Energy price", at_least=0)
DAYS = {"every day": "Every day", "Mon-Fri": "Monday to Friday"}
NIGHT = "22:00-06:00"
FIREWOOD = ("", *sorted(SPECIES))
"""Kinds of firewood; empty for a mixture, or where nobody knows."""


@dataclass(slots=True)
class Services:
    """Energy prices by price table, and what else is to stand in these tables."""

    prices: dict[str, Reading] = field(default_factory=dict)
    tables: dict[str, dict[str, Any]] = field(default_factory=dict)
    windows: list[str] = field(default_factory=list)
    """Cheaper hours of electricity; empty where there are none."""

    def readings(self) -> list[tuple[str, Reading]]:
        """All answers with the labels of their fields, for what must be corrected."""
        cheap = {"cheap": tr("Price in the cheaper hours"), "hours": tr("Cheaper hours")}
        return [(cheap.get(key) or _label(key), reading) for key, reading in self.prices.items()]

    def texts(self) -> dict[str, str]:
        """Energy prices that were typed, as a study holds them."""
        return {key: reading.text for key, reading in self.prices.items() if key not in ("cheap", "hours")}


def ask_prices(keys: Sequence[str], form: Form) -> Services:
    """Draw the question for the price tables that the options need."""
    services = Services()
    st.caption(
        tr("What the bill says. Fixed charges may follow: {one}.", one=f"14.5c + {form.currency}12/month")
        if form.currency in ("$", "€")
        else tr("What the bill says. Fixed charges may follow.")
    )
    cheap = "electricity" in keys and bool(st.session_state.get("start/cheap"))
    keys = [key for key in keys if not (cheap and key == "off_peak")]  # which is the price asked for below
    for start in range(0, len(keys), 3):
        for key, column in zip(keys[start : start + 3], st.columns(min(3, max(2, len(keys)))), strict=False):
            with column:
                services.prices[key] = _price(key, form)
                services.tables[key] = dict(charges_of(f"start/price/{key}", form.currency))
                if key == "wood" and (species := _firewood(form.system)):
                    services.tables[key]["species"] = species
    if "electricity" in keys:
        _cheaper_hours(services, form)
    return services


def _firewood(system: str) -> str:
    """The kind of firewood, a key of `SPECIES`, with what its cord holds; empty where it is mixed or not known."""

    def name(species: str) -> str:
        return tr(SPECIES[species].title) if species else tr("Mixed, or not known")

    kind = str(st.selectbox(tr("Kind of firewood"), FIREWOOD, format_func=name, key="start/species"))
    held, wood = FUELS["wood"].heat_content_j_per_unit, SPECIES.get(kind)
    if wood is None:
        st.caption(state.literal(tr("{heat}, seasoned, of no particular kind.", heat=_in_a_cord(held, system))))
        return ""
    heat, low, high = (_in_a_cord(heat_j_m3, system) for heat_j_m3 in (wood.middle_j_m3, wood.low_j_m3, wood.high_j_m3))
    st.caption(
        state.literal(
            tr(
                "{heat}, seasoned, the middle of printed tables ({low} to {high}). Wet wood gives less.",
                heat=heat,
                low=low.partition(" ")[0],
                high=high.partition(" ")[0],
            )
        )
    )
    return kind


def _in_a_cord(held_j_m3: float, system: str) -> str:
    """Heat in a stacked volume of firewood, in the reader's units."""
    if system == "us":
        return tr("{heat} million Btu in a cord", heat=f"{held_j_m3 * CORD_M3 / MMBTU_J:.1f}".removesuffix(".0"))
    return tr("{heat} kWh in a stacked cubic meter", heat=f"{held_j_m3 / KWH_J:,.0f}")


def _label(key: str) -> str:
    return tr("{fuel} price", fuel=tr(in_words(key)))


def _price(key: str, form: Form) -> Reading:
    example, fuel = example_price(key, form.system, form.currency), fuel_of(key, EXAMPLE_PRICES[key]) or key
    reading = asked(
        _label(key),
        f"start/price/{key}",
        PRICE,
        form,
        as_shown(example, form.system),
        fuel,
        charges=True,
    )
    if not reading.text:
        words = example_words(key, form.system, form.currency)
        st.caption(state.literal(tr("Empty: {example_words}, an example.", example_words=words)))
    elif key == "electricity" and charges_of(f"start/price/{key}", form.currency):
        st.caption(tr("The fixed part is due whatever heats the house, so it is not counted as heating."))
    elif "fixed" in EXAMPLE_PRICES[key] and not charges_of(f"start/price/{key}", form.currency):
        st.caption(
            state.literal(
                tr(
                    "No fixed charge is counted; where you pay one, write it behind the price: {price} + {fixed}.",
                    price=as_shown(reading.text, form.system),
                    fixed=example_words(key, form.system, form.currency).partition(" + ")[2],
                )
            )
        )
    return reading


def _cheaper_hours(services: Services, form: Form) -> None:
    """Whether electricity is cheaper at some hours, when, and what it costs then."""
    ticked = st.checkbox(tr("My utility has cheaper hours for electricity"), key="start/cheap", on_change=_carry_over)
    st.caption(
        tr(
            "Tick it where the whole house's meter has them: a heat pump, an electric boiler and pumps then buy at that price"
            " too in these hours. A cheaper rate on a meter of its own serves only the off-peak unit: leave this unticked."
        )
    )
    if not ticked:
        if "off_peak" in services.prices:
            _off_peak_hours(services, form)
        return
    left, middle, right = st.columns(3)
    with left:
        price = asked(tr("Price in the cheaper hours"), "start/cheap_price", PRICE, form, "9c", "electricity")
    days = str(
        right.selectbox(tr("On these days"), list(DAYS), format_func=lambda day: tr(DAYS[day]), key="start/cheap_days")
    )
    named, often = {"name": tr("Cheaper hours"), "energy": price.text}, {"days": days} if days != "every day" else {}
    hours = _ask_hours(tr("Cheaper hours"), named | often, middle, services, form)
    if hours is None:
        return
    typed, windows = hours
    period = {**named, "windows": windows, **often}
    if off := ", ".join(filter(None, map(hours_off, typed.split(",")))):
        middle.caption(
            state.literal(
                tr(
                    "Off-peak heaters rest from {off}. Where the utility switches another source off too, type these hours on"
                    " Sources, under “Hours in which the utility switches it off”.",
                    off=window_words(off, form.system),
                )
            )
        )
    if not price.text:
        services.prices["cheap"] = Reading("", price.question or "missing")
        if not price.question:
            left.error(tr("Enter the cheaper price."))
        return
    services.prices["cheap"] = price
    services.prices["off_peak"] = price
    services.windows = windows
    services.tables.setdefault("electricity", {})["period"] = [period]


def _off_peak_hours(services: Services, form: Form) -> None:
    """In which hours an off-peak meter of its own gives electricity."""
    hours = _ask_hours(tr("Hours of the off-peak meter"), {"name": "Off-peak"}, st.container(), services, form)
    if hours is not None:
        services.windows = hours[1]


def _ask_hours(
    label: str, period: Mapping[str, Any], place: DeltaGenerator, services: Services, form: Form
) -> tuple[str, list[str]] | None:
    """Ask in which hours a period holds: the text, night where none is typed, and its windows; None where they cannot be."""
    such = tr("such as {example}", example="10 pm to 6 am")
    stated = str(place.text_input(label, key="start/cheap_hours", placeholder=such) or "").strip()
    typed = stated or NIGHT
    windows = [clock_window(part.strip()) for part in typed.split(",") if part.strip()]
    energy = period.get("energy") or f"0.1 {form.currency}/kWh"
    try:
        build(PricePeriod, {**period, "windows": windows, "energy": energy})
    except InputError:
        place.error(
            state.literal(
                tr("“{typed}” is not understood; write it like {example}.", typed=typed, example="10 pm to 6 am")
            )
        )
        services.prices["hours"] = Reading("", "wrong")
        return None
    hours = ", ".join(window_words(window, form.system) for window in windows)
    place.caption(
        state.literal(tr("Read as {text}.", text=hours) if stated else tr("Empty: {hours} is assumed.", hours=hours))
    )
    return typed, windows


def _carry_over() -> None:
    """The off-peak price is asked in one of two fields: what was typed in the one goes on in the other."""
    fields = ("start/price/off_peak", "start/cheap_price")
    gone, new = fields if st.session_state.get("start/cheap") else fields[::-1]
    if st.session_state.get(gone) and not st.session_state.get(new):
        st.session_state[new] = st.session_state[gone]
        choose(new, st.session_state.get("unit_of", {}).get(gone, ""))
