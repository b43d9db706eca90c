"""Widgets that keep what they show under a key: what the study says, and whether a box is open."""

from __future__ import annotations

from typing import Any

import streamlit as st


def box(label: str, key: str, *, icon: str | None = None, wrong: bool = False) -> Any:
    """A box to open that stays open when its label changes, and stands open where something in it is wrong.

    Streamlit takes one with another label for another box, so what is open is written under its key.
    """
    st.session_state[key] = bool(st.session_state.get(key)) or wrong
    return st.expander(label, key=key, icon=icon, on_change="rerun")


def follow(widget: str, value: Any) -> None:
    """Let a widget show what the study says."""
    drawn_on: dict[str, Any] = st.session_state.setdefault("drawn_on", {})
    page = st.session_state.get("page")
    # forgotten since it was last drawn, or for Streamlit another widget since it stands on another page: it would begin empty
    if widget not in st.session_state or st.session_state[widget] != value or drawn_on.get(widget) != page:
        st.session_state[widget] = value
    drawn_on[widget] = page
