"""A first cost that was typed before a source was added to its option: said until it is changed, or taken as right."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.registry import Answer
from costsim.study.case import case_from
from costsim.words import tr

FROM_COST = ("first_cost", "rebate", "incentive", "loan")
"""What of an option goes by its first cost."""
Noted = dict[str, tuple[str, list[str]]]
"""By option's name: the first cost that stood when sources were added, and the names of these sources."""


def note(noted: Noted, option: Mapping[str, Any], label: str) -> None:
    """Remember that a source was added to an option while its first cost stood as typed; nothing where none is typed.

    Examples
    --------
    >>> found = {}
    >>> note(found, {"name": "Mix", "first_cost": "9500 $"}, "Solar collectors")
    >>> found
    {'Mix': ('9500 $', ['Solar collectors'])}
    """
    cost, name = str(option.get("first_cost", "")), str(option.get("name", ""))
    if not cost:
        return
    before, labels = noted.get(name, (cost, []))
    noted[name] = (cost, [*(labels if before == cost else []), label])


def stale_sentence(noted: Noted, option: Mapping[str, Any], labels: Sequence[str], system: str) -> str:
    """Say that a first cost is older than a source; empty where it was changed since, or the source taken out again.

    `labels` are the names of the option's sources as they stand.
    """
    name = str(option.get("name", ""))
    cost, added = noted.get(name, ("", []))
    new = [label for label in dict.fromkeys(added) if label in labels]
    if not new or str(option.get("first_cost", "")) != cost:
        return ""
    return tr(
        "{option}: first cost is still {cost}, typed before this was added: {sources}.",
        option=name,
        cost=as_shown(cost, system),
        sources=", ".join(new),
    )


def without_stale(answer: Answer, system: str) -> Answer:
    """An answer in which such a first cost, and what is counted from it, is not given, so that no payback is told from it."""
    # what is typed may hold an option more, which is set aside while it has a fault
    typed = {str(typed_option.get("name", "")): typed_option for typed_option in answer.case.typed["option"]}
    stale = {
        listed.name
        for listed in answer.case.options
        if stale_sentence(noted(), typed.get(listed.name, {}), [source.label for source in listed.sources], system)
    }
    if not stale:
        return answer
    study = copy.deepcopy(answer.case.typed)
    for option in study["option"]:
        for key in FROM_COST if option.get("name") in stale else ():
            option.pop(key, None)
    case = case_from(study, file=answer.case.file, files=state.files())
    lowered = replace(answer.result.lowered, case=case)
    return replace(answer, case=case, result=replace(answer.result, lowered=lowered))


def to_keep(noted: Noted, options: Sequence[Mapping[str, Any]]) -> dict[str, list[Any]]:
    """What a link and a saved study carry of it: options whose first cost still is what it was.

    Examples
    --------
    >>> to_keep({"Mix": ("9500 $", ["Sun"]), "Gas": ("1 $", ["Oil"])}, [{"name": "Mix", "first_cost": "9500 $"}])
    {'Mix': ['9500 $', ['Sun']]}
    """
    costs = {str(option.get("name", "")): str(option.get("first_cost", "")) for option in options}
    return {name: [cost, labels] for name, (cost, labels) in noted.items() if cost and costs.get(name) == cost}


def take_noted(notes: object) -> None:
    """Take what a link or a saved study carries in place of what this session remembers; what is no such thing is left out."""
    kept: Noted = {}
    for name, carried in notes.items() if isinstance(notes, dict) else ():
        match carried:
            case [str(cost), [*labels]] if all(isinstance(label, str) for label in labels):
                kept[str(name)] = (cost, labels)
    st.session_state["first_costs"] = kept


def noted() -> Noted:
    """What this session remembers."""
    notes: Noted = st.session_state.setdefault("first_costs", {})
    return notes


def draw_stale(at: int, labels: Sequence[str], system: str, *, place: str = "") -> None:
    """Say so of one option, with a button that takes its first cost as right where `place` names the page; without, as for `without_stale`."""
    option = state.get(("option", at)) or {}
    text = stale_sentence(noted(), option, labels, system)
    if not text:
        return
    if not place:
        text += " " + tr("It is left out here until you type the new one on Money, or say there that it is right.")
    st.warning(state.literal(text), icon=":material/payments:")
    if place and st.button(tr("It is right as it stands"), key=f"{place}/first-cost/{at}"):
        noted().pop(str(option.get("name", "")), None)
        st.rerun()
