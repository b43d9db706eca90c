"""One press that closes what an option lacks: the smallest source of a kind, added beside what stands there."""

from __future__ import annotations

import copy
from typing import Any

import streamlit as st

from costsim.analysis.addition import smallest_addition
from costsim.dashboard import state
from costsim.dashboard.consequences import new_examples
from costsim.errors import CostsimError
from costsim.results.result import OptionResult
from costsim.simulation import load_weather
from costsim.sources import KINDS
from costsim.study.case import MOST_SOURCES, case_from
from costsim.units.quantity import show, to_display, unit_for
from costsim.views.cold_hours import rooms_limit
from costsim.views.templates import TEMPLATES, add_prices
from costsim.views.used_prices import price_key
from costsim.words import tr

CLOSERS = ("propane", "gas", "electric", "oil", "pellets")
"""Templates whose one source can carry what another one leaves."""
ONE_OPTION = ("today", "first_cost", "rebate", "maintenance", "parts", "part", "incentive", "loan")
"""Keys that belong to the option as it stands and not to one with a further source."""


def draw_addition(option: OptionResult, load_w: float, system: str) -> None:
    """A button that opens the kinds to add to an option; where the floor keeps back most of what is missing, what helps instead."""
    if rooms_limit(option):
        st.caption(
            tr(
                "A further source would not close this gap: the floor, with water as warm as it may be, lets less heat through than"
                " the house needs. Closer loops, a thinner covering or better insulation would help: see Layout and House."
            )
        )
        return
    with st.popover(tr("Add the smallest source that closes the gap"), icon=":material/add:", key="addition"):
        st.caption(tr("Beside what stands there, sized to the smallest unit sold that keeps the house warm:"))
        for key in CLOSERS:
            st.button(
                state.literal(tr(TEMPLATES[key].name)),
                key=f"addition/{key}",
                icon=f":material/{TEMPLATES[key].icon}:",
                type="tertiary",
                on_click=_add,
                args=(option.name, key, load_w, system),
            )


def draw_added() -> None:
    """Say what was added, until the study changes again."""
    revision, good, text = st.session_state.get("added", (-1, True, ""))
    if revision == state.revision() and text:
        (st.success if good else st.warning)(state.literal(text))


def _add(name: str, key: str, load_w: float, system: str) -> None:
    study, good = copy.deepcopy(state.typed()), False
    try:
        text, good = _with_source(study, name, key, load_w, system)
    except CostsimError as error:
        text = str(error)
    if good:
        state.rewrite(study)
    st.session_state["added"] = (state.revision(), good, text)


def _with_source(study: dict[str, Any], name: str, key: str, load_w: float, system: str) -> tuple[str, bool]:
    """Put an option with one source more at the end of a study; what was done in a sentence, and whether it was."""
    options = study.get("option", [])
    stands = next((option for option in options if str(option.get("name")) == name), None)
    kind = tr(TEMPLATES[key].name)
    if stands is None or len(stands.get("source", [])) >= MOST_SOURCES:
        return tr("{name} holds all the sources it can; take one out on Sources first.", name=name), False
    source = TEMPLATES[key].sources(load_w, system)[0]
    new = {field: value for field, value in copy.deepcopy(stands).items() if field not in ONE_OPTION}
    new["name"] = state.free_name(f"{name} + {kind}"[:74], [str(option.get("name", "")) for option in options])
    new["source"] = [*new.get("source", []), source]
    options.append(new)
    examples = add_prices(study, (price_key(source, study.get("prices", {})),), state.currency() or "$", system)
    case = case_from(study, file=state.study_name(), files=state.files())
    addition = smallest_addition(case, load_weather(case), option=new["name"])
    if addition is None:
        return tr("No {kind} in the list of sizes closes it beside {name}.", kind=kind.lower(), name=name), False
    dimension = "power" if KINDS[str(source["kind"])].burns_fuel else "electric_power"
    source["output"] = f"{to_display(addition.output_w, dimension, system):.4g} {unit_for(dimension, system)}"
    new_examples(examples)
    text = tr(
        "Added “{option}”: {size} is the smallest {kind} sold that, together with {name}, carries the house on a design day"
        " and leaves no hour of the weather year too cold. Undo takes it back; its first cost is yours to enter on Money.",
        option=new["name"],
        size=show(addition.output_w, dimension, system),
        kind=kind.lower(),
        name=name,
    )
    return text, True
