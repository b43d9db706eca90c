"""Forms made from the models themselves: every key of a study has its field, the seldom needed ones behind "More"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from costsim.dashboard import state
from costsim.dashboard.beginnings import FRONT, beginning, note_split
from costsim.dashboard.consequences import follow_entry
from costsim.dashboard.fault_names import said_of
from costsim.dashboard.field_text import dotted, first_line, help_of, number_hint, number_typed, text_hint, title_of
from costsim.dashboard.hours_grid import draw_grid
from costsim.dashboard.keyed import box, follow
from costsim.dashboard.kinds import key_of, kind_of, measured_of, model_of, models_of, starter
from costsim.dashboard.quantity_entry import Form, draw_quantity, draw_row, key_for, told
from costsim.dashboard.row_tools import row_tools
from costsim.units.fields import choices_of, in_words
from costsim.units.rows import Each
from costsim.views.wording import one_system
from costsim.words import tr

Path = state.Path
NOT_GIVEN = ""
NOT_SMALL = ("model", "models", "table", "lists", "tables", "union")
BY_SOURCE = ("source_efficiency",)
"""Tables by kind of source; all others go by price table."""


def draw_model(
    form: Form,
    path: Path,
    model: type[BaseModel],
    *,
    main: Sequence[str] = (),
    hide: Sequence[str] = (),
    back: Sequence[str] = (),
    fuel: str = "",
) -> None:
    """Draw a table of the study: the fields of `main`, what is required and what is given; the rest under "More".

    Parameters
    ----------
    form : Form
    path : tuple
        Where the table stands in the study.
    model : type
        What reads it.
    main, hide : sequence of str
        Names of fields that always stand in front, and of those drawn elsewhere.
    back : sequence of str
        Names of those that stand under "More" although they are given.
    fuel : str
        Of a price table, so that a bare price has its unit.
    """
    given, main = state.get(path) or {}, main or FRONT.get(model, ())
    for fault in form.faults_at(path):
        st.error(state.literal(said_of(fault)))
    front: list[tuple[Path, FieldInfo]] = []
    behind: list[tuple[Path, FieldInfo]] = []
    kept = st.session_state.setdefault("kept", set())
    for name, field in model.model_fields.items():
        key = key_of(name, field)
        if name in hide or key in hide or key == "kind":
            continue
        here = (*path, key)
        seen = name in main or key in main or field.is_required() or key in given or dotted(here) in kept
        seen = seen and key not in back
        if seen:
            kept.add(dotted(here))
        (front if seen else behind).append((here, field))
    order = {name: at for at, name in enumerate(main)}
    front.sort(key=lambda entry: order.get(str(entry[0][-1]), len(order)))
    _grid(form, front, fuel)
    if {"windows", "days", "months"} <= {key_of(name, field) for name, field in model.model_fields.items()}:
        _hours(form, path)
    if behind:
        names = ", ".join(title_of(field, str(here[-1])).lower() for here, field in behind[:4])
        wrong = any(fault.field.startswith(dotted(here)) for here, _ in behind for fault in form.faults)
        more = box(
            tr("More: {names}{value}", names=names, value=" …" if len(behind) > 4 else ""),
            f"more/{dotted(path)}",
            wrong=wrong,
        )
        if more.open or wrong or st.session_state.get("show_all"):
            with more:
                _grid(form, behind, fuel)


def _grid(form: Form, fields: Sequence[tuple[Path, FieldInfo]], fuel: str) -> None:
    small = [entry for entry in fields if kind_of(entry[1]) not in NOT_SMALL]
    for start in range(0, len(small), form.columns):
        for (path, field), column in zip(small[start : start + form.columns], st.columns(form.columns), strict=False):
            with column:
                draw_field(form, path, field, fuel)
    for path, field in fields:
        kind = kind_of(field)
        if kind == "model":
            _table(form, path, field, fuel)
        elif kind == "models":
            inner = model_of(field)
            if inner is not None:
                draw_list(form, path, inner, title_of(field, str(path[-1])), fuel=fuel)
        elif kind in ("table", "lists"):
            _shares(form, path, field)
        elif kind == "union":
            _union(form, path, field, fuel)


def _hours(form: Form, path: Path) -> None:
    """The hours of a table as a grid to paint, drawn when it is opened."""
    paint = box(tr("Paint the hours"), f"paint/{dotted(path)}", icon=":material/brush:")
    if paint.open:
        with paint:
            draw_grid(path, f"grid/{state.revision()}/{dotted(path)}")


def _table(form: Form, path: Path, field: FieldInfo, fuel: str) -> None:
    """A table inside a table, such as the air of a house: to be added, filled in and taken out."""
    inner, title = model_of(field), title_of(field, str(path[-1]))
    if inner is None:
        return
    if state.get(path) is None and field.default is None:
        st.button(
            tr("Add {title}", title=title.lower()),
            key=f"add/{dotted(path)}",
            icon=":material/add:",
            help=first_line(inner),
            on_click=state.add,
            args=(path, beginning(path, inner, form.currency)),
        )
        return
    with st.container(border=True):
        head, away = st.columns([4, 1])
        head.markdown(f"**{state.literal(title)}**")
        if state.get(path) is not None:
            away.button(tr("Remove"), key=f"drop/{dotted(path)}", on_click=state.drop, args=(path,), type="tertiary")
        draw_model(form, path, inner, fuel=fuel)


def draw_list(
    form: Form,
    path: Path,
    model: type[BaseModel],
    title: str,
    *,
    fuel: str = "",
    main: Sequence[str] = (),
    begin: Mapping[str, Any] | None = None,
) -> None:
    """A list of tables, such as rooms or price periods: add, duplicate, reorder and remove."""
    items = state.get(path) or []
    st.markdown(f"**{state.literal(title)}**")
    for fault in form.faults_at(path):
        st.error(state.literal(said_of(fault)))
    for at, item in enumerate(items):
        with st.container(border=True):
            head, tools = st.columns([3, 2])
            head.markdown(f"**{at + 1}** {state.literal(str(item.get('name', '')))}")
            with tools:
                row_tools(path, at, len(items))
            draw_model(form, (*path, at), model, main=main, fuel=fuel)
    new = dict(begin) if begin is not None else beginning(path, model, form.currency)
    st.button(
        tr("Add to {title}", title=f"{title[:1].lower()}{title[1:]}"),
        key=f"append/{dotted(path)}",
        icon=":material/add:",
        help=first_line(model),
        on_click=_append,
        args=(path, new),
    )


def _append(path: Path, new: dict[str, Any]) -> None:
    """Put an item at the end of a list; a floor's area is split anew among rooms that are as it was split, in the same step."""
    level = state.get(path[:-1])
    split = path[-1] == "room" and isinstance(level, dict) and "area" in level
    even = path[-1] == "room" and not split and "area" in new and bool(state.get(path))
    state.append(path, new)
    if even:
        for room in state.get(path):
            room["area"] = new["area"]
    if split and isinstance(level := state.get(path[:-1]), dict):
        note_split(path, str(level.pop("area")))
        level["room"].append(level["room"][0] | {"name": tr("Room {number}", number=2)})


def _union(form: Form, path: Path, field: FieldInfo, fuel: str) -> None:
    """A list whose items are of several kinds, such as charges."""
    models, title = models_of(field), title_of(field, str(path[-1]))
    items = state.get(path) or []
    st.markdown(f"**{state.literal(title)}**")
    for fault in form.faults_at(path):
        st.error(state.literal(said_of(fault)))
    for at, item in enumerate(items):
        kind = str(item.get("kind"))
        with st.container(border=True):
            head, tools = st.columns([3, 2])
            head.markdown(f"**{at + 1}** {state.literal(tr(in_words(kind)))}")
            with tools:
                row_tools(path, at, len(items))
            if kind in models:
                st.caption(state.literal(first_line(models[kind])))
                draw_model(form, (*path, at), models[kind], fuel=fuel)
    with st.popover(tr("Add to {title}", title=f"{title[:1].lower()}{title[1:]}"), icon=":material/add:"):
        for kind, model in models.items():
            new = starter(model, form.currency) | {"kind": kind}
            st.button(
                state.literal(f"{tr(in_words(kind))}: {first_line(model)}"),
                key=f"append/{dotted(path)}/{kind}",
                type="tertiary",
                on_click=state.append,
                args=(path, new),
            )


def _shares(form: Form, path: Path, field: FieldInfo) -> None:
    """One value, or a row of them, for each price table, such as its real rise; for some keys, each kind of source."""
    measured = measured_of(field)
    keys = list(state.typed().get("prices", {}))
    if path[-1] in BY_SOURCE:
        sources = [source for option in state.typed().get("option", []) for source in option.get("source", [])]
        keys = list(dict.fromkeys(str(source.get("kind")) for source in sources))
    if measured is None or not keys:
        return
    st.markdown(f"**{state.literal(title_of(field, str(path[-1])))}**")
    for key, column in zip(keys, st.columns(max(len(keys), form.columns)), strict=False):
        with column:
            if kind_of(field) == "lists":
                draw_row(form, (*path, key), measured, state.literal(tr(in_words(key))))
            else:
                draw_quantity(form, (*path, key), measured, state.literal(tr(in_words(key))), None, "")


def draw_field(form: Form, path: Path, field: FieldInfo, fuel: str = "") -> None:
    """Draw one field by what it holds; its faults and questions stand below it."""
    kind, label, why = kind_of(field), title_of(field, str(path[-1])), help_of(field)
    measured = measured_of(field)
    if kind == "quantity" and measured is not None:
        draw_quantity(form, path, measured, label, field.default, fuel)
        return
    each = next((fact.measured for fact in field.metadata if isinstance(fact, Each)), None)
    if each is not None:
        draw_row(form, path, each, label)
        return
    value, widget = state.get(path), key_for(path)
    default = field.default if not field.is_required() else None
    common: dict[str, Any] = {"key": widget, "help": why, "on_change": _plain, "args": (path, widget, kind)}
    if kind == "flag":
        follow(widget, bool(default if value is None else value))
        st.checkbox(label, **common)
    elif kind == "choice":
        choices = choices_of(field)
        names = list(choices) if default in choices else [NOT_GIVEN, *choices]
        if value is not None and value not in names:
            names = [str(value), *names]
        follow(widget, value if value is not None else (default if default in choices else NOT_GIVEN))
        st.selectbox(
            label,
            names,
            format_func=lambda choice: one_system(tr(choices.get(choice, str(choice)) or "not given"), form.system),
            **common,
        )
    elif kind in ("count", "number"):  # a text, since a field of numbers alone swallows "15 years" without a word
        follow(widget, "" if value is None else str(value))
        st.text_input(label, placeholder=number_hint(default) or "", **common)
    else:
        shown = ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value or "")
        follow(widget, shown)
        st.text_input(label, placeholder=text_hint(field, default), **common)
    told(form, path)


def _plain(path: Path, widget: str, kind: str) -> None:
    value = st.session_state[widget]
    if kind == "texts":
        value = [part.strip() for part in str(value).split(",") if part.strip()]
    elif kind == "text":
        value = str(value).strip()
    elif kind in ("count", "number"):
        value = number_typed(str(value), str(path[-1]), whole=kind == "count")
    state.put(path, value)
    follow_entry(path)
