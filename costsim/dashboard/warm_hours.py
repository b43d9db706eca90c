"""How many hours too cold a year still count as warm, changed where the verdict that hangs on it stands."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.keyed import follow
from costsim.words import tr

PATH = ("house", "max_unmet_hours")
KEY = "decide/warm_hours"


def draw_warm_hours(now: int) -> None:
    """Draw the field; `now` is what counts at present."""
    follow(KEY, now)
    st.number_input(
        tr("Counts as warm up to so many hours too cold a year"),
        min_value=0,
        max_value=8784,
        step=10,
        key=KEY,
        on_change=_write,
        width=360,
    )


def _write() -> None:
    state.put(PATH, int(st.session_state[KEY]))
