"""A week's grid to paint: days down, hours across, months below; what is painted becomes windows, days and months."""

from __future__ import annotations

import functools
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.grid_script import CSS, HTML, SCRIPT
from costsim.views.hours import hours_of, painted_text
from costsim.words import tr


@functools.cache
def _component() -> Any:
    return st.components.v2.component("costsim_hours", html=HTML, css=CSS, js=SCRIPT)


def draw_grid(path: state.Path, key: str) -> None:
    """Draw the grid for a table that holds `windows`, `days` and `months`; a stroke of paint writes the study.

    Parameters
    ----------
    path : tuple
        Where the table stands.
    key : str
        Of the widget.
    """
    given = state.get(path) or {}
    grid = hours_of(given.get("windows") or (), str(given.get("days") or ""), str(given.get("months") or ""))
    if grid is None:
        st.caption(tr("These hours cannot be drawn as a grid of full hours; change them in the fields."))
        return
    _component()(data=grid, key=key, on_painted_change=lambda: _painted(path, key))


def _painted(path: state.Path, key: str) -> None:
    painted = getattr(st.session_state.get(key), "painted", None)
    if painted is None:
        return
    if not any(painted["hours"]):
        st.toast(tr("Leave at least one hour: none would mean all day."))
        return
    windows, days, months = painted_text(painted["hours"], painted["days"], painted["months"])
    now = dict(state.get(path) or {}) | {"windows": windows, "days": days, "months": months}
    if "months" not in (state.get(path) or {}) and not months:
        now.pop("months")
    if "days" not in (state.get(path) or {}) and days == "every day":
        now.pop("days")
    state.put(path, now)
