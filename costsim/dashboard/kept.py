"""What takes long is computed once for the same study and weather, and kept for the session in a few small pieces."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar

import streamlit as st

from costsim.study.case import Case, write_study
from costsim.weather import Weather

Found = TypeVar("Found")
MOST_KEPT = 12
"""Pieces that a session keeps; each is at most some hundred kilobytes."""


def kept(what: str, case: Case, weather: Weather, work: Callable[[], Found], *more: Hashable) -> Found:
    """Give what `work` gives, computed once for a study's content.

    Parameters
    ----------
    what : str
        Name of the piece.
    case, weather
        What it follows from.
    work : callable
        Computes it.
    more : hashable
        Whatever else it follows from.
    """
    key = (what, write_study(case.typed), weather.title, hash(weather.outdoor_c.tobytes()), *more)
    pieces = st.session_state.setdefault("kept_pieces", {})
    if key not in pieces:
        pieces[key] = work()
        while len(pieces) > MOST_KEPT:
            pieces.pop(next(iter(pieces)))
    else:
        pieces[key] = pieces.pop(key)
    found: Found = pieces[key]
    return found


def is_kept(what: str, case: Case, weather: Weather, *more: Hashable) -> bool:
    """Whether a piece need not be computed."""
    key = (what, write_study(case.typed), weather.title, hash(weather.outdoor_c.tobytes()), *more)
    return key in st.session_state.get("kept_pieces", {})
