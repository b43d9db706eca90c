"""Answers of the five questions that no study holds, such as a year's use, in the page's address: a reload keeps them."""

from __future__ import annotations

import contextlib
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.link import packed, unpacked
from costsim.errors import InputError
from costsim.study.case import built_in_studies
from costsim.views.first_study import INSULATION
from costsim.views.templates import TEMPLATES

SAVED = "answers"
TEXTS = ("start/used", "start/efficiency", "start/indoor", *(f"start/size/{key}" for key in TEMPLATES))
MOST_TEXT = 100


def in_link() -> str:
    """The answers as letters; empty where the study is an invented one, or nothing was answered."""
    if state.study_name() in built_in_studies():
        return ""
    kept = known(st.session_state.get(SAVED, {}))
    return packed(kept) if kept else ""


def open_answers(code: str) -> None:
    """Take the answers of an address; what cannot be read is left."""
    with contextlib.suppress(InputError):
        if code:
            st.session_state.setdefault(SAVED, {}).update(known(unpacked(code)))


def known(answers: dict[str, Any]) -> dict[str, Any]:
    """Those answers that an address carries, each of its own kind.

    Examples
    --------
    >>> known({"start/used": "640 gal", "start/insulation": "none", "start/hot_water": 1, "start/place": "a"})
    {'start/used': '640 gal'}
    """
    found = {key: answers[key] for key in TEXTS if isinstance(answers.get(key), str) and answers[key]}
    found = {key: text for key, text in found.items() if len(text) <= MOST_TEXT and text.isprintable()}
    if answers.get("start/insulation") in INSULATION:
        found["start/insulation"] = answers["start/insulation"]
    return found | ({"start/hot_water": True} if answers.get("start/hot_water") is True else {})
