"""What takes long is computed once for the same study and weather, and kept for the session in a few small pieces."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Hashable, Mapping
from typing import Any, TypeVar

import streamlit as st

from costsim.study.case import Case, Option, write_study
from costsim.weather import Weather
from costsim.words import spoken

Found = TypeVar("Found")
MOST_KEPT = 16
"""Pieces that a session keeps; each is at most some hundred kilobytes."""
MONEY = ("prices", "economics", "uncertainty", "price_date")


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
    return _kept(_key(what, case.typed, weather, *more), work)


def kept_of_files(what: str, files: Mapping[str, bytes], work: Callable[[], Found], *more: Hashable) -> Found:
    """What follows from files alone, by their names and contents, and from `more`."""
    digest = hashlib.sha256()
    for name, content in files.items():
        digest.update(f"{name}\0{len(content)}\0".encode() + content)
    return _kept((what, spoken(), digest.digest(), *more), work)


def kept_without_prices(what: str, case: Case, weather: Weather, work: Callable[[], Found], *more: Hashable) -> Found:
    """What follows from everything but prices and money, so that a moved price does not make it anew."""
    study = {key: value for key, value in case.typed.items() if key not in MONEY}
    return _kept(_key(what, study, weather, *more), work)


def kept_runs(case: Case, weather: Weather, option: Option, work: Callable[[], Found]) -> Found:
    """The runs of an option's scenarios, which follow from the prices of energy only where its rule looks at them."""
    return _kept(_runs_key(case, weather, option), work)


def runs_are_kept(case: Case, weather: Weather) -> bool:
    """Whether every option's scenarios need not be run."""
    pieces = st.session_state.get("kept_pieces", {})
    return all(_runs_key(case, weather, option) in pieces for option in case.options)


def _runs_key(case: Case, weather: Weather, option: Option) -> Hashable:
    study = dict(case.typed)
    if option.rule == "fixed":
        prices = study.get("prices", {})
        study["prices"] = {key: {k: v for k, v in table.items() if k != "energy"} for key, table in prices.items()}
    return _key("runs", study, weather, option.name)


def is_kept(what: str, case: Case, weather: Weather, *more: Hashable) -> bool:
    """Whether a piece need not be computed."""
    return _key(what, case.typed, weather, *more) in st.session_state.get("kept_pieces", {})


def _key(what: str, typed: Mapping[str, Any], weather: Weather, *more: Hashable) -> Hashable:
    text = f"{write_study(typed)}\0{weather.title}".encode() + weather.outdoor_c.tobytes()
    return (what, spoken(), hashlib.sha256(text).digest(), *more)


def _kept(key: Hashable, work: Callable[[], Found]) -> Found:
    pieces = st.session_state.setdefault("kept_pieces", {})
    if key not in pieces:
        pieces[key] = work()
        while len(pieces) > MOST_KEPT:
            pieces.pop(next(iter(pieces)))
    else:
        pieces[key] = pieces.pop(key)
    piece: Found = pieces[key]
    return piece
