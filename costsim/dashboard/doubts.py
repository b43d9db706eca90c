"""Values of the house that are possible and far from what is usual, for pages other than the one that holds the field."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from costsim.dashboard.field_text import title_of
from costsim.dashboard.kinds import key_of, measured_of
from costsim.study.house import House
from costsim.units.reading import odd
from costsim.words import tr


def doubts_of(typed: Mapping[str, Any]) -> list[str]:
    """Questions about the house that nobody has answered with yes, each with the field's name.

    Parameters
    ----------
    typed : mapping
        The study as typed.
    """
    house, sure = typed.get("house", {}), st.session_state.get("confirmed", set())
    doubts = []
    for name, field in House.model_fields.items():
        key, measured = key_of(name, field), measured_of(field)
        text = house.get(key)
        if measured is None or not isinstance(text, str) or (f"house.{key}", text) in sure:
            continue
        if question := odd(text, measured):
            doubts.append(tr("{field} (House page): {question}", field=title_of(field, key), question=question))
    return doubts
