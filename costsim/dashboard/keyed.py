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
    # a widget that was not drawn for a while has been forgotten and would come back with its first value
    if widget not in st.session_state or st.session_state[widget] != value:
        st.session_state[widget] = value
