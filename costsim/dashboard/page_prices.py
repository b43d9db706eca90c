"""Prices: one card a price table, with its hours, tiers, fixed, demand and delivery charges, and the bill it makes."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import parts, state
from costsim.dashboard.form import draw_field, draw_model
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.registry import Answer, Context, page
from costsim.dashboard.widgets import chart, say
from costsim.physics.fuels import FUELS
from costsim.study.case import Case
from costsim.study.prices import Price, fuel_of
from costsim.units.fields import in_words
from costsim.views.heat_price import heat_price_sentence
from costsim.views.price_hours import price_chart, price_hours, price_sentence, used_sentence
from costsim.views.templates import EXAMPLE_PRICES, add_prices
from costsim.words import tr

MAIN = ("energy", "fixed", "tax", "service")
STORED = ("energy", "minimum_use", "rent", "tax", "service")
"""Of a fuel that stands in a tank of its own."""


FIREWOOD = ("energy", "species", "tax", "service")


@page("prices", "Prices", group="Your case", place=40, edits=("prices", "price_date"))
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Prices"))
    form = Form(context.faults, context.system, state.currency() or "$", columns=2)
    tables = state.get(("prices",)) or {}
    if context.answer is not None and (finding := heat_price_sentence(context.answer.result, context.system)):
        say(finding)
    st.caption(
        tr(
            "Your bill shows what each service charges. A number typed without a unit is taken in the unit beside its box."
        )
    )
    draw_field(form, ("price_date",), Case.model_fields["price_date"])
    keys = list(tables)
    for start in range(0, len(keys), 2):
        for key, column in zip(keys[start : start + 2], st.columns(2), strict=False):
            with column, st.container(border=True):
                _card(form, key, tables[key], context.answer)
    _add(form)
    if context.answer is not None:
        st.header(tr("The bill"))
        parts.bill(context.answer.case, context.answer.weather, context.answer.result, context.system)


def _card(form: Form, key: str, given: dict[str, object], answer: Answer | None) -> None:
    head, away = st.columns([4, 1])
    head.markdown(f"## {state.literal(tr(in_words(key)))}")
    away.button(
        tr("Remove"),
        key=f"drop/price/{key}",
        type="tertiary",
        on_click=state.drop,
        args=(("prices", key),),
        help=tr("Remove the price table {key}; Undo brings it back", key=state.literal(key)),
    )
    if key in st.session_state.get("examples", set()):
        st.info(tr("An example price: put in yours."), icon=":material/edit:")
    fuel = fuel_of(key, given) or "electricity"
    main = STORED if fuel in ("propane", "heating_oil") else FIREWOOD if fuel == "wood" else MAIN
    draw_model(form, ("prices", key), Price, main=main, hide=() if fuel == "wood" else ("species",), fuel=fuel)
    if answer is not None and key in answer.result.lowered.surroundings.price_per_j:
        _hours(answer, key, form.system)


def _hours(answer: Answer, key: str, system: str) -> None:
    """What each hour costs, as a sentence, and as a picture where hours differ."""
    hours = price_hours(answer.result.lowered, key, system)
    say(" ".join(filter(None, (price_sentence(hours), used_sentence(answer.case, key, system)))))
    if not hours.flat:
        chart(
            price_chart(hours),
            f"hours/{key}",
            tr("Price of {name} by month and hour. {found}", name=hours.name, found=price_sentence(hours)),
        )


def _add(form: Form) -> None:
    missing = [key for key in EXAMPLE_PRICES if key not in (state.get(("prices",)) or {})]
    with st.popover(tr("Add price table"), icon=":material/add:"):
        for key in missing:
            st.button(tr(in_words(key)), key=f"price/{key}", on_click=_take, args=(key, form.currency, form.system))
        name = st.text_input(tr("Or a name of your own"), key="price/name", placeholder=tr("such as second_meter"))
        fuel = st.selectbox(
            tr("for which fuel"), list(FUELS), format_func=lambda fuel_key: tr(FUELS[fuel_key].title), key="price/fuel"
        )
        st.button(tr("Add it"), disabled=not name.strip(), on_click=_take_named, args=(name, str(fuel), form.currency))


def _take(key: str, currency: str, system: str) -> None:
    def work(study: dict[str, object]) -> None:
        st.session_state.setdefault("examples", set()).update(add_prices(study, (key,), currency, system))

    state.change(work)


def _take_named(name: str, fuel: str, currency: str) -> None:
    key = "_".join(name.strip().lower().split())

    def work(study: dict[str, object]) -> None:
        add_prices(study, (fuel,), currency)
        prices = study["prices"]
        assert isinstance(prices, dict)
        prices.setdefault(key, dict(prices[fuel]) | {"fuel": fuel})

    state.change(work)
