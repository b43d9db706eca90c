"""A heat loss that a year's use told, once the weather has changed: one button fits it again and keeps everything else."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.registry import Answer
from costsim.dashboard.widgets import tell
from costsim.errors import InputError
from costsim.views.yearly_use import in_thousands, refitted
from costsim.weather import Weather
from costsim.words import tr


@dataclass(frozen=True, slots=True)
class FittedUse:
    """What was used in a year, whether that heated the water too, the heat loss it told, and in which weather."""

    used: str
    hot_water: bool
    rate: str
    weather: str


def remember_use(used: str, hot_water: bool, rate: str, weather: Weather) -> None:
    """Remember what a heat loss was fitted to."""
    st.session_state["fitted_use"] = FittedUse(used, hot_water, rate, _mark(weather))


def _mark(weather: Weather) -> str:
    return hashlib.sha256(weather.outdoor_c.tobytes()).hexdigest()


def draw_refit(answer: Answer, system: str) -> None:
    """Offer to fit the heat loss again where the weather is another one; nothing where the fit still holds."""
    known: FittedUse | None = st.session_state.get("fitted_use")
    if known is None or known.weather == _mark(answer.weather):
        return
    if state.get(("house", "heat_loss_rate")) != known.rate:  # somebody typed another one since
        return
    used = in_thousands(known.used)
    with st.container(key="refit"):
        text, button = st.columns([7, 2], vertical_alignment="center")
    text.warning(
        state.literal(
            tr("The weather has changed: in this one your house would not use {used} a year any more.", used=used)
        )
    )
    if not button.button(state.literal(tr("Fit to your {used} again", used=used)), width="stretch"):
        return
    try:
        data = refitted(
            state.typed(),
            known.used,
            hot_water=known.hot_water,
            weather=answer.weather,
            system=system,
            files=state.files(),
        )
    except InputError as error:
        tell(error)
        return
    remember_use(known.used, known.hot_water, data["house"]["heat_loss_rate"], answer.weather)
    state.rewrite(data)
    st.rerun()
