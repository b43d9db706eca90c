"""What if: sliders for prices and heat loss against a pinned baseline, with the difference of each option and a reset."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.opened import computed
from costsim.dashboard.registry import Answer
from costsim.dashboard.trial import keep, trial_sentence, tried, try_price
from costsim.dashboard.widgets import small_table
from costsim.errors import CostsimError
from costsim.units.fields import QuantityField, in_words
from costsim.units.quantity import UnitError, pretty_unit, split_text
from costsim.units.reading import own_unit
from costsim.units.usual import number_in
from costsim.views.tables import money
from costsim.views.verdict import carries
from costsim.words import tr

PRICE = QuantityField("price", "Energy price", at_least=0)


def draw_what_if(answer: Answer, system: str) -> None:
    """Draw one slider for each energy price; a moved one writes the study, the baseline stays as it was."""
    keys = [key for key, price in answer.case.prices.items() if price.energy is not None]
    st.header(tr("What if"), anchor=False)
    columns = st.columns(max(2, min(4, len(keys))))
    for at, key in enumerate(keys):
        number, unit = _in_readers_unit(answer, key, system)
        if number is not None and number > 0:
            with columns[at % len(columns)]:
                _slider(key, number, unit)
    base = st.session_state.get("baseline")
    if base is None or base[0] != state.study_name() or _with_prices_of(base[1]) == state.typed():
        st.caption(tr("Move a price; the change is shown against the study as it is now."))
        return
    _difference(answer, _with_prices_of(base[1]))


def _in_readers_unit(answer: Answer, key: str, system: str) -> tuple[float | None, str]:
    """A price as the reader counts it; as it was typed where that is by energy and the fuel is sold by volume, or the like."""
    text, price = str(state.get(("prices", key, "energy")) or ""), answer.case.prices[key]
    unit = own_unit(PRICE, system, price.fuel_name(key), answer.case.currency)
    try:
        return float(f"{number_in(text, PRICE, unit):.6g}"), unit
    except UnitError:
        return split_text(text)


def _slider(key: str, number: float, unit: str) -> None:
    first = st.session_state.setdefault(f"first_price/{state.study_name()}/{key}/{unit}", number)
    if not first / 2 <= number <= first * 2:
        first = st.session_state[f"first_price/{state.study_name()}/{key}/{unit}"] = number
    # the limits stay while the slider moves, since Streamlit takes one with other limits for another slider
    low, high = float(f"{first / 2:.4g}"), float(f"{first * 2:.4g}")
    widget = f"what-if/{state.revision()}/{unit}/{key}"
    if st.session_state.get(widget) != number:
        st.session_state[widget] = min(max(number, low), high)
    st.slider(
        state.literal(f"{tr(in_words(key))}, {pretty_unit(unit)}"),
        low,
        high,
        step=float(f"{first / 100:.2g}"),
        format="%.4g",
        key=widget,
        on_change=_slid,
        args=(key, unit, widget),
    )


def _slid(key: str, unit: str, widget: str) -> None:
    """Write a moved slider into the study before anything is drawn; the first one pins the study as baseline."""
    base = st.session_state.get("baseline")
    if base is None or base[0] != state.study_name():
        pin()
    try_price(key, f"{float(st.session_state[widget]):.6g} {unit}")


def pin() -> None:
    """Keep the study as it is now, to compare with."""
    st.session_state["baseline"] = (state.study_name(), copy.deepcopy(state.typed()))
    keep()


def draw_trial(system: str) -> None:
    """Say on every page that prices are tried, with the ways back and on; nothing where none is."""
    if text := trial_sentence(system):
        st.warning(state.literal(text), icon=":material/science:")
        _ways()


def reset() -> None:
    """Go back to the prices of the baseline; one step for undo. Whatever else was changed since then stays."""
    state.rewrite(_with_prices_of(st.session_state["baseline"][1]))


def _with_prices_of(base: Mapping[str, Any]) -> dict[str, Any]:
    """The study as it is now, at the energy prices of the baseline: what if is about prices and nothing else."""
    data = copy.deepcopy(state.typed())
    for key, table in base.get("prices", {}).items():
        if key in data.get("prices", {}) and "energy" in table:
            data["prices"][key]["energy"] = table["energy"]
    return data


def _difference(answer: Answer, data: dict[str, object]) -> None:
    try:
        before = computed(data, "baseline").result
    except CostsimError:
        return
    was = {option.name: option for option in before.options}
    coin, rows = answer.result.currency, []
    for option in answer.result.options:
        if option.name in was:
            old = was[option.name]
            gap = option.cost_total - old.cost_total
            sign = "+" if round(gap) > 0 else ""
            warm = (
                ""
                if carries(option) == carries(old)
                else (f" {tr('now warm')}" if carries(option) else f" {tr('now too small')}")
            )
            rows.append(
                [
                    option.name,
                    money(old.cost_total, coin),
                    money(option.cost_total, coin),
                    f"{sign}{money(gap, coin)}{warm}",
                ]
            )
    small_table([tr("option"), tr("kept, a year"), tr("now a year"), tr("change")], rows)
    if not tried():  # else they stand at the top of the page
        _ways()


def _ways() -> None:
    with st.container(horizontal=True):
        st.button(tr("Back to the kept prices"), icon=":material/restart_alt:", on_click=reset)
        st.button(tr("Keep these prices"), icon=":material/push_pin:", on_click=pin)
