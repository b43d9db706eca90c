"""The fourth question: what is compared with today's heating, what it was quoted for, and how large it is."""

from __future__ import annotations

from dataclasses import dataclass, field

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.asked import asked
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.quoted_size import TANK, say_what_stays, size_field, size_label, tank_words
from costsim.dashboard.renewal import QUOTE
from costsim.dashboard.service_question import ask_service, service_labels
from costsim.dashboard.todays_question import Today, ask_new_efficiency, ask_people, each_day, taken_people
from costsim.dashboard.weather_choice import say_sunless
from costsim.units.reading import Reading
from costsim.views.templates import TEMPLATES, offered
from costsim.views.todays_heater import asked_at
from costsim.words import tr


@dataclass(slots=True)
class Compared:
    """What was answered of the options; quotes, sizes and tanks by key of their template."""

    considered: list[str]
    labels: dict[str, str] = field(default_factory=dict)
    """Of the fields of sizes."""
    quotes: dict[str, Reading] = field(default_factory=dict)
    sizes: dict[str, Reading] = field(default_factory=dict)
    tanks: dict[str, Reading] = field(default_factory=dict)
    service: dict[str, Reading] = field(default_factory=dict)
    people: int = 0
    """Who use the hot water, where that is asked here; 0 where nobody says."""
    new_efficiency: Reading = field(default_factory=lambda: Reading(""))

    def readings(self) -> list[tuple[str, Reading]]:
        """All answers with the labels of their fields."""
        return [
            *((_quote_label(key), reading) for key, reading in self.quotes.items()),
            (tr("Efficiency (AFUE) of the new one"), self.new_efficiency),
            *((self.labels[key], reading) for key, reading in self.sizes.items()),
            *((_tank_label(key), reading) for key, reading in self.tanks.items()),
            *((service_labels()[key], reading) for key, reading in self.service.items()),
        ]


def ask_compared(place: str, today: Today, form: Form) -> Compared:
    """Draw the question for a house that is heated so `today`; `place` is the name of the weather chosen, or empty."""
    compared = Compared(_choose(today.now))
    say_sunless(place, compared.considered)
    _say_wood_stove([today.now, *compared.considered])
    if any(TEMPLATES[key].heats_water for key in compared.considered) and not today.hot_water:
        compared.people = _ask_people(form.system)
    _ask_quotes(compared, today.now, today.people or compared.people, form)
    compared.new_efficiency = ask_new_efficiency(compared.considered, form)
    say_what_stays(compared.considered, today.now, today.size, form.system)
    compared.service = ask_service([today.now, *compared.considered], form)
    return compared


def _choose(now: str) -> list[str]:
    """Keys of the templates that are compared; nothing that nobody chose."""
    choices = offered(now)
    chosen = st.session_state.get("start/considered") or []
    st.session_state["start/considered"] = [key for key in chosen if key in choices]
    picked = st.pills(tr("One or more"), choices, selection_mode="multi", format_func=_name, key="start/considered")
    considered = list(picked or [])
    about = " ".join(f"{_name(key)}: {tr(TEMPLATES[key].about)}" for key in considered)
    nothing = tr("Nothing is chosen yet: the answer would tell of {name} alone.", name=_name(now))
    st.caption(state.literal(about or nothing))
    return considered


def _say_wood_stove(keys: list[str]) -> None:
    if any(key.startswith("wood") for key in keys):
        st.caption(
            tr(
                "Wood here is a boiler that heats water. A wood stove heats only its own room and cannot be chosen: enter in question 3 the"
                " fuel you use in a year beside it, and the answer is for the rest of the heat. Sizes then count on the stove, unless a"
                " heat-loss calculation is entered in question 2."
            )
        )


def _ask_people(system: str) -> int:
    """Ask who use the hot water that the sun is to heat, where something else heats it today; 0 where nobody says."""
    text = tr(
        "{amount} of hot water a day each; collectors and tank are sized by it. Every option then heats the tap water too: today's bill"
        " comes out higher than yours by that.",
        amount=each_day(system),
    )
    return ask_people(text, text, taken_people())


def _ask_quotes(compared: Compared, now: str, people: int, form: Form) -> None:
    """Ask what each considered option was quoted for, how large it is in that quote, and its tank."""
    keys = compared.considered
    if not keys:
        return
    st.caption(
        tr(
            "What were you quoted, installed and less any rebate, and for which size? Leave empty what you do not"
            " know yet: an empty size follows your house."
        )
    )
    for start in range(0, len(keys), 3):
        for key, column in zip(keys[start : start + 3], st.columns(min(3, max(2, len(keys)))), strict=False):
            with column:
                _ask_quote(compared, key, now, people, form)


def _ask_quote(compared: Compared, key: str, now: str, people: int, form: Form) -> None:
    compared.quotes[key] = asked(_quote_label(key), f"start/quote/{key}", QUOTE, form, f"{form.currency}9,000")
    measured, example = size_field(key, form.system, asked_at(key, now, form.system))
    if measured is not None:
        compared.labels[key] = size_label(key, form.system, now)
        compared.sizes[key] = asked(
            compared.labels[key], f"start/size/{key}", measured, form, example, tons="ton" in example
        )
    if usual := tank_words(key, form.system, people):
        example = "200 gal" if form.system == "us" else "800 L"
        compared.tanks[key] = asked(_tank_label(key), f"start/tank/{key}", TANK, form, example)
        if not compared.tanks[key].text:
            st.caption(state.literal(tr("Empty: {tank}, as assumed.", tank=usual)))


def _quote_label(key: str) -> str:
    return tr("{name}, installed", name=_name(key))


def _tank_label(key: str) -> str:
    return tr("{name}: its tank", name=_name(key))


def _name(key: str) -> str:
    return tr(TEMPLATES[key].name)
