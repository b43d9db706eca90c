"""A heat loss that a year's use told, once weather or thermostat has changed: one button fits it again and keeps everything else."""

from __future__ import annotations

import copy
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.registry import Answer
from costsim.dashboard.warmth import warmth_of, warmth_shown
from costsim.dashboard.widgets import tell
from costsim.errors import InputError
from costsim.views.yearly_use import in_thousands, refitted
from costsim.weather import Weather
from costsim.words import tr

LONGEST = 200
"""Letters of a text that a link may bring."""


@dataclass(frozen=True, slots=True)
class FittedUse:
    """What was used in a year, whether that heated the water too, the heat loss it told, in which weather and how warm a house.

    `planned` is how warm it will be kept, where that was said to be another setting, `water` the hot water that the study counted.
    """

    used: str
    hot_water: bool
    rate: str
    weather: str
    thermostat: str
    planned: str = ""
    water: str = ""

    @classmethod
    def of(cls, noted: Mapping[str, Any]) -> FittedUse | None:
        """What a link or a saved study holds of it; None where that is none."""
        texts = [noted.get(key) for key in ("used", "rate", "weather", "thermostat")]
        if not all(isinstance(text, str) and len(text) <= LONGEST for text in texts):
            return None
        used, rate, weather, thermostat = map(str, texts)
        more = (noted.get(key) for key in ("planned", "water"))
        planned, water = (text if isinstance(text, str) and len(text) <= LONGEST else "" for text in more)
        return cls(used, bool(noted.get("hot_water")), rate, weather, thermostat, planned, water)


def remember_use(
    used: str, hot_water: bool, study: Mapping[str, Any], weather: Weather, planned: Mapping[str, Any] | None = None
) -> None:
    """Remember what a study's heat loss was fitted to, and the house as it is `planned` where that is kept otherwise."""
    house = study["house"]
    rate, warm = str(house.get("heat_loss_rate")), warmth_of(house)
    later = warmth_of(planned or house)
    st.session_state["fitted_use"] = FittedUse(used, hot_water, rate, _mark(weather), warm, later, _water(study))


def _water(study: Mapping[str, Any]) -> str:
    """The hot water that a study counts, as a mark; empty where it counts none."""
    uses = [use for use in study.get("use") or [] if use.get("kind") == "hot_water"]
    return hashlib.sha256(json.dumps(uses, sort_keys=True, default=str).encode()).hexdigest()[:16] if uses else ""


def drop_old_note() -> None:
    """Take out of the study what a year's use told of a heat loss that is another one by now."""
    known: FittedUse | None = st.session_state.get("fitted_use")
    study = copy.deepcopy(state.typed())
    if known is None or study.get("house", {}).get("heat_loss_rate") == known.rate:
        return
    if in_thousands(known.used) in str(study.get("note", "")):
        del study["note"]
        state.amend(study)


def fitted_water() -> bool:
    """Whether the heat loss still is what a year's use told, less what heated the water."""
    known: FittedUse | None = st.session_state.get("fitted_use")
    return known is not None and known.hot_water and state.get(("house", "heat_loss_rate")) == known.rate


def _mark(weather: Weather) -> str:
    return hashlib.sha256(weather.outdoor_c.tobytes()).hexdigest()[:16]


def _changed(known: FittedUse, weather: Weather, system: str) -> str:
    """What is another one by now, so that the year's use would tell another heat loss; empty where nothing is."""
    used, now = in_thousands(known.used), warmth_of(state.get(("house",)) or {})
    if known.weather != _mark(weather):
        return tr("The weather has changed: in this one your house would not use {used} a year any more.", used=used)
    if known.hot_water and known.water != _water(state.typed()):
        return tr(
            "The hot water counted here has changed since the heat loss was found from your {used} a year; with it the house would use"
            " another amount.",
            used=used,
        )
    if now in (known.thermostat, known.planned):
        return ""
    return tr(
        "Your {used} a year told the heat loss with the thermostat at {then}; now it is at {now}. Did you use"
        " {used} at {now}? Then fit again. If you only try another setting, leave it.",
        used=used,
        then=warmth_shown(known.thermostat, system),
        now=warmth_shown(now, system),
    )


def draw_refit(answer: Answer, system: str) -> None:
    """Offer to fit the heat loss again where the weather, the hot water or the thermostat is another one; nothing where the fit still holds."""
    known: FittedUse | None = st.session_state.get("fitted_use")
    if known is None or not (changed := _changed(known, answer.weather, system)):
        return
    if state.get(("house", "heat_loss_rate")) != known.rate:  # somebody typed another one since
        return
    used = in_thousands(known.used)
    with st.container(key="refit"):
        text, button = st.columns([7, 2], vertical_alignment="center")
    text.warning(state.literal(changed))
    if not button.button(state.literal(tr("Fit to your {used} again", used=used)), width="stretch"):
        return
    try:
        study = refitted(
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
    remember_use(known.used, known.hot_water, study, answer.weather)
    warm = warmth_shown(warmth_of(study["house"]), system)
    answers = st.session_state.setdefault("answers", {})
    answers |= {"start/thermostat": warm, "start/used_at": warm}  # the five questions fit to the same
    state.rewrite(study)
    state.keep_beside()
    st.rerun()
