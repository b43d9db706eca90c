"""Sources: options side by side, each with its sources in order of call; add, copy, reorder, remove."""

from __future__ import annotations

from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.addition import draw_added, draw_addition
from costsim.dashboard.consequences import condense, new_examples, priced_fuel
from costsim.dashboard.curve_size import draw_size, size_of
from costsim.dashboard.field_text import as_shown, dotted
from costsim.dashboard.first_cost import draw_stale, note, noted
from costsim.dashboard.following import Followed, follow_sources, followed, follows
from costsim.dashboard.form import draw_model
from costsim.dashboard.keyed import box
from costsim.dashboard.kinds import key_of, measured_of
from costsim.dashboard.quantity_entry import Form, draw_quantity
from costsim.dashboard.registry import Answer, Context, page
from costsim.dashboard.row_tools import row_tools
from costsim.dashboard.service import asks_for_service, draw_room, draw_service, service_words
from costsim.dashboard.widgets import chart, say, table
from costsim.sources import KINDS, HeatSource
from costsim.study.case import MOST_SOURCES, Option
from costsim.study.selection import Selection
from costsim.units.quantity import show
from costsim.views.capacity_chart import (
    capacity_against_load,
    capacity_alt,
    capacity_finding,
    capacity_rows,
    left_lines,
)
from costsim.views.label_efficiency import charge_sentence, label_sentence
from costsim.views.sold import in_thin_air, sized
from costsim.views.source_words import clock_sentence, icon_of, sentence_of
from costsim.views.templates import FIRST, add_prices, add_template
from costsim.views.todays_heater import carry_renewal, keep_todays, same_unit
from costsim.views.used_prices import drop_unused_prices, price_key
from costsim.words import tr

OPTIONS: state.Path = ("option",)
SERVICE: state.Path = ("selection", "service_free")
MAIN = (
    "output", "charge", "burn_time", "volts", "breaker", "efficiency", "fuel", "condensing", "windows", "backup_only", "area", "cut_out",
)  # fmt: skip


@page("sources", "Sources", group="Your case", place=30, edits=("option",))
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Sources"))
    draw_added()
    answer = context.answer
    if answer is not None:
        say(capacity_finding(answer.result, context.system))
        st.caption(tr("Heat that each option can really deliver, averaged over the coldest day of the weather year:"))
        chart(
            capacity_against_load(answer.result, context.system),
            "capacity-all",
            capacity_alt(answer.result, context.system),
        )
        with st.expander(tr("The same in figures")):
            table(*capacity_rows(answer.result, context.system))
    house = followed(answer)
    options = state.get(OPTIONS) or []
    with st.container(horizontal=True):
        if st.button(tr("Add option"), type="primary"):
            _add_dialog(house, context.system)
        lacking = [option for option in answer.result.options if option.unmet.hours] if answer is not None else []
        if lacking:
            draw_addition(lacking[0], house.load_w, context.system)
        st.caption(
            tr(
                "In an option the first heater runs first and the next helps, unless its rule says otherwise. {options} of 12 options are used.",
                options=len(options),
            )
        )
        ahead = (model for option in options for model in _kinds(option)[:-1] if model.cheap_hours)
        if (early := next(ahead, None)) is not None:
            st.caption(
                tr(
                    "{kind} charges the tank in all of its hours wherever it stands: to see whether it pays, add an option without it.",
                    kind=tr(early.title),
                )
            )
    coin = state.currency() or "$"
    form = Form(
        context.faults, context.system, coin, 2, _at_design(answer, context.system), _labels(answer, context.system)
    )
    if any(model.continuous_load for option in options for model in _kinds(option)):
        _room(form)
    for start in range(0, len(options), 2):
        for at, column in zip(range(start, min(start + 2, len(options))), st.columns(2), strict=False):
            with column, st.container(border=True):
                _option(form, at, options, house)
                case = answer.case if answer is not None and at < len(answer.case.options) else None
                if case is not None and (clock := clock_sentence(case, case.options[at])):
                    st.caption(state.literal(clock))
                if answer is not None and case is not None:
                    draw_room(answer, at)
    if asks_for_service([source for option in options for source in option.get("source", [])]):
        draw_service(form, answer)


def _kinds(option: dict[str, Any]) -> list[type[HeatSource]]:
    """The kinds of an option's sources that are known here."""
    return [
        KINDS[kind] for typed_source in option.get("source", []) if (kind := str(typed_source.get("kind"))) in KINDS
    ]


def _room(form: Form) -> None:
    """What the electric service has free for new heat: on the page to sign it is held against the circuits."""
    measured = measured_of(Selection.model_fields["service_free_a"])
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        if measured is not None:
            draw_quantity(form, SERVICE, measured, tr("Free in the electric service (if you know it)"), None, "")
    right.caption(
        tr(
            "A 200 A service that carries 100 A has 100 A free. Empty: the page to sign leaves it to an electrician. The foot of this"
            " page works it out from a year's metered demand, or from the plates."
        )
    )


def _at_design(answer: Answer | None, system: str) -> dict[str, str]:
    """What a source has left in the hour of highest demand, and over its day, by its key path, where that is less than its size."""
    if answer is None:
        return {}
    return {
        dotted((*OPTIONS, at, "source", number)): text
        for at, option in enumerate(answer.result.options)
        for number, text in enumerate(left_lines(answer.result, option, system))
        if text
    }


def _labels(answer: Answer | None, system: str) -> dict[str, str]:
    """What a year makes of the efficiency on a unit's label, where it is less, and what a charge of wood gives, by key path."""
    labels = {}
    for at, typed in enumerate(answer.case.options if answer is not None else ()):
        seasons = answer.result.option(typed.name).sources if answer is not None else ()
        for number, (source, season) in enumerate(zip(typed.sources, seasons, strict=True)):
            if sentences := [
                sentence for sentence in (label_sentence(source, season), charge_sentence(source, system)) if sentence
            ]:
                labels[dotted((*OPTIONS, at, "source", number))] = ". ".join(sentences)
    return labels


def _option(form: Form, at: int, options: list[dict[str, Any]], house: Followed) -> None:
    option, path = options[at], (*OPTIONS, at)
    head, tools = st.columns([2, 3])
    head.markdown(f"## {state.literal(str(option.get('name', at + 1)))}")
    with tools:
        row_tools(OPTIONS, at, len(options), most=12, least=1, drop=_drop_option)
    draw_model(form, path, Option, main=("name", "first_cost"), hide=("source",))
    sources = option.get("source", [])
    draw_stale(at, [*map(_label, sources)], form.system, place="sources")
    for number in range(len(sources)):
        _source(form, (*path, "source"), number, sources)
    if len(sources) < MOST_SOURCES:
        with st.popover(tr("Add source"), icon=":material/add:"):
            for kind, model in KINDS.items():
                st.button(
                    f"{tr(model.title)}: {sentence_of(kind)}",
                    key=f"kind/{at}/{kind}",
                    icon=f":material/{icon_of(kind)}:",
                    type="tertiary",
                    on_click=_add_source,
                    args=(at, kind, house, form.system, form.currency),
                )
    else:
        st.caption(tr("An option holds up to {most_sources} sources.", most_sources=MOST_SOURCES))


def _label(source: dict[str, Any]) -> str:
    """What a source is called."""
    model = KINDS.get(str(source.get("kind")))
    return str(source.get("name") or (tr(model.title) if model else source.get("kind")))


def _source(form: Form, path: state.Path, number: int, sources: list[dict[str, Any]]) -> None:
    source = sources[number]
    model = KINDS.get(str(source.get("kind")))
    label = _label(source)
    curve = model.curve if model is not None else ()
    sizes = [str(source[key]) for key in ("output", "breaker", "area", "charge") if key in source]
    size = size_of(source, form.system) if curve else next(iter(sizes), "")
    wrong = any(fault.field.startswith(dotted((*path, number))) for fault in form.faults)
    shown = as_shown(size, form.system) if size else ""
    if shown and (curve or "output" in source):
        shown = tr("{size} output", size=shown)
    name = f"{number + 1}. {label}{' · ' + shown if shown else ''}"
    if left := form.at_design.get(dotted((*path, number))):
        name += f" ({left})"
    opened = box(
        state.literal(name),
        f"source/{dotted((*path, number))}",
        icon=f":material/{icon_of(str(source.get('kind')))}:",
        wrong=wrong,
    )
    if not (opened.open or wrong or st.session_state.get("show_all")):
        return
    with opened:
        row_tools(path, number, len(sources))
        if model is None:
            st.error(state.literal(tr("“{get}” is no kind of source that is known here.", get=source.get("kind"))))
            return
        key = price_key(source, state.typed().get("prices", {}))
        st.caption(
            state.literal(
                tr("{source} Billed by the price table “{key}”.", source=sentence_of(str(source["kind"])), key=key)
                if key
                else sentence_of(str(source["kind"]))
            )
        )
        if label_text := form.labels.get(dotted((*path, number))):
            st.caption(state.literal(f"{label_text}."))
        if asks_for_service([source]):
            st.caption(service_words(form.system))
        if follows(source):
            st.caption(tr("The size follows the house; type a size to fix it."))
        known = {key_of(name, field) for name, field in model.model_fields.items()}
        if curve:
            draw_size(form, (*path, number), source)
        draw_model(form, (*path, number), model, main=[main_key for main_key in MAIN if main_key in known], back=curve)


def _add_source(at: int, kind: str, house: Followed, system: str, currency: str) -> None:
    def work(study: dict[str, Any]) -> None:
        source = dict(KINDS[kind].example)
        if system == "us" and "area" in source:
            source["area"] = "100 ft2"
        priced_fuel(source, study.get("prices", {}))
        condense(source)
        if stands := same_unit(study["option"], source, at):
            source = stands
        elif "output" in source:
            source["output"] = sized(
                house.load_w, 1.0, system, electric=KINDS[kind].market_list == "electric boiler output"
            )
            in_thin_air(source, house.altitude_m, system)
            follow_sources({"option": [{"source": [source]}]}, house, system)
        study["option"][at].setdefault("source", []).append(source)
        note(noted(), study["option"][at], _label(source))
        new_examples(add_prices(study, (price_key(source, study.get("prices", {})),), currency, system))

    state.change(work)


def _drop_option(at: int) -> None:
    gone: list[str] = []

    def work(study: dict[str, Any]) -> None:
        del study["option"][at]
        gone.extend(drop_unused_prices(study))

    state.change(work)
    if gone:
        st.toast(
            tr(
                "Removed with the price of {gone}; Undo brings it back.",
                gone=state.literal(", ".join(gone).replace("_", " ")),
            )
        )


@st.dialog("Add an option", width="large")
def _add_dialog(house: Followed, system: str) -> None:
    """Templates of common options, sized for this house."""
    say(
        tr(
            "Sizes follow the house: they can carry {load}. Everything can be changed later.",
            load=show(house.load_w, "power", system),
        )
    )
    for key, template in FIRST.items():
        with st.container(border=True, horizontal=True, vertical_alignment="center"):
            st.markdown(f"**:material/{template.icon}: {tr(template.name)}**  \n{tr(template.about)}", width="stretch")
            if st.button(tr("Add"), key=f"template/{key}", help=tr("Add {name}", name=tr(template.name))):
                _add(key, house, system)
                st.rerun()


def _add(key: str, house: Followed, system: str) -> None:
    def work(study: dict[str, Any]) -> None:
        coin = state.currency() or "$"
        added = add_template(study, key, **house._asdict(), system=system, currency=coin)
        new_examples(added)
        follow_sources({"option": study["option"][-1:]}, house, system)
        now = next((option for option in study["option"][:-1] if option.get("today") and option.get("source")), None)
        if now is not None:
            keep_todays(study["option"][-1], now["source"][0], sized=not follows(now["source"][0]))
            carry_renewal(study["option"][-1], now)

    state.change(work)
