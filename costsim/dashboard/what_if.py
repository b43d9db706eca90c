"""What if: a slider and a box to type in for each price, with what each option costs more or less than at the study's own."""

from __future__ import annotations

import copy
import math

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.opened import computed
from costsim.dashboard.registry import Answer
from costsim.dashboard.trial import keep, kept_study, trial_sentence, tried, try_price
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
    """Draw a slider and a box for each energy price; a changed one writes the study, the baseline stays as it was."""
    keys = [key for key, price in answer.case.prices.items() if price.energy is not None]
    st.header(tr("What if"), anchor=False)
    columns = st.columns(max(2, min(4, len(keys))))
    for at, key in enumerate(keys):
        text = str(state.get(("prices", key, "energy")) or "")
        number, unit = _in_readers_unit(answer, key, text, system)
        own, own_in = _in_readers_unit(answer, key, tried().get(key, text), system)
        if number is not None and number > 0:
            with columns[at % len(columns)]:
                _slider(key, number, unit, own if own and own_in == unit else number)
    if not tried():
        st.caption(tr("Move a price; the change is shown against the study as it is now."))
        return
    _difference(answer, kept_study())


def _in_readers_unit(answer: Answer, key: str, text: str, system: str) -> tuple[float | None, str]:
    """A price as the reader counts it; as it was typed where that is by energy and the fuel is sold by volume, or the like."""
    price = answer.case.prices[key]
    unit = own_unit(PRICE, system, price.fuel_name(key), answer.case.currency)
    try:
        return float(f"{number_in(text, PRICE, unit):.6g}"), unit
    except UnitError:
        return split_text(text)


def price_steps(own: float, *more: float) -> tuple[float, ...]:
    """Prices that a slider stops at, from half to twice the study's own: round ones, that one, and any `more`.

    Examples
    --------
    >>> steps = price_steps(3.65)
    >>> 4.5 in steps, 3.65 in steps, len(steps), price_steps(0.131)[:2]
    (True, True, 110, (0.066, 0.067))
    >>> 3.661 in price_steps(3.661) and 4.5 in price_steps(3.661)
    True
    """
    place = 10.0 ** math.floor(math.log10(own / 50.0))
    step = 5.0 * place if 5.0 * place <= own / 50.0 else place
    low, high = math.ceil(own / 2.0 / step - 1e-9), math.floor(own * 2.0 / step + 1e-9)
    return tuple(sorted({own, *more, *(float(f"{at * step:.6g}") for at in range(low, high + 1))}))


def _slider(key: str, number: float, unit: str, own: float) -> None:
    widget = f"what-if/{unit}/{key}"
    # a box of its own for each price: one that stays sends the price it had, while the slider is still moving, as if it were typed
    box = f"{widget}/typed/{number:g}"
    if st.session_state.get(widget) != number:
        st.session_state[widget] = number
    label = f"{tr(in_words(key))}, {pretty_unit(unit)}"
    digits = len(_figures(number).partition(".")[2])
    row = st.container(horizontal=True, gap="small", vertical_alignment="bottom")
    row.select_slider(
        state.literal(label),
        price_steps(own, number),
        key=widget,
        format_func=_figures,
        on_change=_slid,
        args=(key, unit, widget, own),
    )
    row.number_input(
        _spoken(tr("{label}, typed", label=label)),
        value=number,
        min_value=min(own, number) / 100.0,  # a price of nothing has no half and no double
        step=10.0**-digits,
        format=f"%.{digits}f",
        key=box,
        label_visibility="collapsed",
        width=110,
        on_change=_typed,
        args=(key, unit, box, own, number),
    )


def _spoken(label: str) -> str:
    """A label that is only heard: markup of a name stays letters, and a lone dollar, which begins no formula, has no backslash."""
    kept = state.literal(label)
    return kept.replace("\\$", "$") if label.count("$") == 1 else kept


def _figures(price: float) -> str:
    """A price as it is written: in whole cents, finer where it is finer, without them from a hundred on."""
    return f"{price:.2f}" if price < 100.0 and round(price, 2) == price else f"{price:.6g}"


def _slid(key: str, unit: str, widget: str, own: float) -> None:
    """Write a moved slider, or what was typed beside it, into the study before anything is drawn; the first one pins the study as baseline."""
    base = st.session_state.get("baseline")
    if base is None or base[0] != state.study_name():
        pin()
    number = float(st.session_state[widget])
    paid = tried().get(key) or str(state.get(("prices", key, "energy")) or "")
    # the study's own price comes back letter by letter
    try_price(key, paid if number == own else f"{number:.6g} {unit}")


def _typed(key: str, unit: str, box: str, own: float, drawn: float) -> None:
    """Write what was typed. A box of a price that the slider has left since may still send what it was drawn with, which nobody typed."""
    if float(st.session_state[box]) != drawn:
        _slid(key, unit, box, own)


def pin() -> None:
    """Keep the study as it is now, to compare with."""
    st.session_state["baseline"] = (state.study_name(), copy.deepcopy(state.typed()))
    keep()


def draw_trial(system: str) -> None:
    """Say on every page that prices are tried, with the ways back and on; nothing where none is."""
    # there when it is empty too: what comes later keeps its place, and the slider its focus
    with st.container(key="trial"):
        if text := trial_sentence(system):
            st.warning(state.literal(text), icon=":material/science:")
            _ways()


def reset() -> None:
    """Go back to the prices that are paid; one step for undo. Whatever else was changed meanwhile stays."""
    state.rewrite(kept_study())


def _difference(answer: Answer, study: dict[str, object]) -> None:
    try:
        before = computed(study, "baseline").result
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
    small_table([tr("option"), tr("in the study, a year"), tr("at the tried prices"), tr("change")], rows)


def _ways() -> None:
    with st.container(horizontal=True):
        st.button(tr("As in the study"), icon=":material/restart_alt:", on_click=reset)
        st.button(tr("Keep these prices"), icon=":material/push_pin:", on_click=pin)
