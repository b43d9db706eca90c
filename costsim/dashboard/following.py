"""Sizes that follow the house: those that a template chose, until somebody types another one, which pins it."""

from __future__ import annotations

import copy
from typing import Any, NamedTuple

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.curve_size import size_of
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.registry import Answer
from costsim.sources import KINDS
from costsim.views.first_study import sizing_load_w
from costsim.views.templates import TEMPLATES, sources_of
from costsim.words import tr

SIZES = ("output", "outputs", "area", "charge")
NEAR = 0.005
"""Share of the design load by which it must change before sizes do."""
FALLBACK_LOAD_W = 10_000.0
"""Design load that sizes follow while the study cannot be computed."""


class Followed(NamedTuple):
    """What sizes follow: a load [W], and how high the house stands [m]."""

    load_w: float
    altitude_m: float


def followed(answer: Answer | None) -> Followed:
    """What sizes follow in an answer's house and weather; a thermostat set lower makes no source smaller."""
    if answer is None:
        return Followed(FALLBACK_LOAD_W, 0.0)
    outdoor, house = answer.result.design_outdoor_c, answer.case.house
    warm, set_to = float(house.found_at_c), house.indoor_temperature_c
    load_w = answer.result.route.load_w * max(1.0, (warm - outdoor) / (set_to - outdoor))
    return Followed(sizing_load_w(load_w, answer.weather, outdoor), answer.result.lowered.surroundings.altitude_m)


def follow_sources(study: dict[str, Any], house: Followed, system: str) -> None:
    """Remember which sizes of a study are what a template gives for its house."""
    for option in study.get("option", []):
        for source in option.get("source", []):
            for key in SIZES:
                if key in source:
                    _remember(source, key, house, system)


def _remember(source: dict[str, Any], key: str, house: Followed, system: str) -> None:
    if _text(source[key]).lower() in _typed_sizes():
        return
    mark = (str(source.get("kind")), key, _text(source[key]))
    for template in TEMPLATES:
        for at, planned in enumerate(sources_of(template, house.load_w, system, house.altitude_m)):
            if planned.get("kind") == source.get("kind") and _text(planned.get(key)) == _text(source[key]):
                st.session_state.setdefault("following", {})[mark] = (template, at, system)
                return


def _typed_sizes() -> set[str]:
    """Sizes that somebody typed in the five questions, as the study has them: a size that happens to be a template's is still typed."""
    answers = st.session_state.get("answers") or {}
    texts = (str(text).strip().lower() for key, text in answers.items() if str(key).startswith("start/size/"))
    return set(filter(None, texts))


def follows(source: dict[str, Any]) -> bool:
    """Whether a size of a source follows the house."""
    known = st.session_state.get("following", {})
    return any((str(source.get("kind")), key, _text(source.get(key))) in known for key in SIZES)


def sized_for_house(study: dict[str, Any], system: str) -> str:
    """Names of the sources whose sizes follow the house, with the sizes; empty where somebody typed all of them."""
    changes = []
    for option in study.get("option", []):
        for source in option.get("source", []):
            if follows(source):
                size = next(
                    (as_shown(_text(source[key]), system) for key in ("output", "charge", "area") if key in source), ""
                )
                size = size_of(source, system) if KINDS[str(source["kind"])].curve else size
                changes.append(f"{source.get('name') or source['kind']}{f' ({size})' if size else ''}")
    return ", ".join(dict.fromkeys(changes))


def assumed_sizes(answer: Answer, system: str) -> dict[str, str]:
    """By option, the sources whose sizes follow the house, with the sizes; found again after a reload by what a template gives."""
    study = answer.case.typed
    if st.session_state.get("answers"):
        follow_sources(study, followed(answer), system)
    return {
        str(option.get("name")): sized_for_house({"option": [option]}, system) for option in study.get("option", [])
    }


def follow_house(house: Followed) -> bool:
    """Bring the sizes that follow to another design load; part of the change that made it, so that one Undo takes back both.

    Returns
    -------
    bool
        Whether a size was changed, so that the study must be computed anew.
    """
    known = st.session_state.get("following", {})
    last = st.session_state.get("followed_load_w", house.load_w)
    st.session_state["followed_load_w"] = house.load_w
    if not known or abs(house.load_w - last) <= NEAR * last:
        return False
    study, changed = copy.deepcopy(state.typed()), []
    for option in study.get("option", []):
        for source in option.get("source", []):
            for key in SIZES:
                old = known.get((str(source.get("kind")), key, _text(source.get(key))))
                if old is None:
                    continue
                template, at, system = old
                new = sources_of(template, house.load_w, system, house.altitude_m)[at][key]
                known[(str(source["kind"]), key, _text(new))] = old
                if new != source[key]:
                    changed.append(f"{source.get('name') or source['kind']} {_text(source[key])} → {_text(new)}")
                    source[key] = new
    if changed:
        state.amend(study)
        st.toast(
            state.literal(tr("Sizes follow the house: {changed}. Type a size to fix it.", changed="; ".join(changed)))
        )
    return bool(changed)


def _text(value: Any) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
