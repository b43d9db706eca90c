"""Weather that this session may read: built-in samples and files opened in it, and no other file of the machine."""

from __future__ import annotations

import streamlit as st

from costsim.case import Case
from costsim.dashboard import state
from costsim.errors import Fault, InputError
from costsim.weather import Weather, read_weather, sample_names, sample_path


@st.cache_data(show_spinner=False, max_entries=8)
def _sample(name: str) -> Weather:
    return read_weather(sample_path(name) or name)


def open_weather_of(case: Case) -> Weather:
    """The weather that a study names.

    Raises
    ------
    InputError
        It is neither built in nor open in this session; the remedy says what to open, and where.
    """
    return weather_named(case.place.weather)


def weather_named(name: str) -> Weather:
    """A weather of this session or a built-in one, by the name a study gives it.

    Raises
    ------
    InputError
        It is neither; the remedy says what to open, and where.
    """
    if name in state.weathers():
        return state.weathers()[name]
    if sample_path(name) is None:
        remedy = f"open {name} on the House page, or choose a weather station there: {', '.join(sample_names())}"
        raise InputError(Fault("place.weather", f"the weather {name} is not open in this session", remedy))
    return _sample(name)
