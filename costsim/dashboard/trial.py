"""Prices that a slider tries and nobody keeps: told on every page, and left out of paper, saved file and link."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.opened import computed
from costsim.dashboard.registry import Answer
from costsim.units.fields import in_words
from costsim.words import tr


def try_price(key: str, text: str) -> None:
    """Write a price that is tried; the one that is paid is remembered, until it is tried no more."""
    path = ("prices", key, "energy")
    paid = tried().get(key) or str(state.get(path) or "")
    state.put(path, text)
    if text == paid:
        _known().pop(key, None)
    else:
        _known()[key] = (paid, text, state.study_name())


def _known() -> dict[str, tuple[str, str, str]]:
    """By price table: what is paid, what the slider wrote, and in which study."""
    trials: dict[str, tuple[str, str, str]] = st.session_state.setdefault("trial", {})
    return trials


def tried() -> dict[str, str]:
    """What is paid, by the price tables in which another price is tried; one typed since then is no trial any more."""
    return {
        key: paid
        for key, (paid, text, name) in _known().items()
        if name == state.study_name() and state.get(("prices", key, "energy")) == text
    }


def keep() -> None:
    """Take the tried prices for those that are paid."""
    st.session_state["trial"] = {}


def kept_study() -> dict[str, Any]:
    """The study with the prices that are paid: what is saved, linked and printed."""
    return with_prices(tried())


def with_prices(paid: Mapping[str, str]) -> dict[str, Any]:
    """The study with some energy prices in place of its own."""
    study = state.typed()
    if paid:
        study = copy.deepcopy(study)
        for key, text in paid.items():
            if key in study.get("prices", {}):
                study["prices"][key]["energy"] = text
    return study


def kept_answer(answer: Answer) -> Answer:
    """The answer at the prices that are paid."""
    return computed(kept_study(), state.study_name()) if tried() else answer


def trial_sentence(system: str) -> str:
    """Which prices are tried, and what is paid; empty where none is."""
    parts = [
        tr(
            "Trying {fuel} at {tried}; you pay {paid}.",
            fuel=tr(in_words(key)).lower(),
            tried=as_shown(str(state.get(("prices", key, "energy"))), system),
            paid=as_shown(paid, system),
        )
        for key, paid in tried().items()
    ]
    if not parts:
        return ""
    note = tr("Every figure here is at the tried price. Paper, saved file and link keep what you pay.")
    return f"{' '.join(parts)} {note}"
