"""One size for a source that is described by a curve: heat pumps are sold by one figure, and their outputs go with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown, dotted, sample_of
from costsim.dashboard.keyed import follow
from costsim.dashboard.quantity_entry import Form, key_for
from costsim.dashboard.unit_menu import Menu, choose, draw_menu, menu_of
from costsim.errors import InputError
from costsim.sources import KINDS
from costsim.sources.base import HeatSource
from costsim.units.faults import build
from costsim.units.fields import QuantityField
from costsim.units.quantity import parse, show, to_display, unit_for
from costsim.units.reading import is_bare, understand
from costsim.words import tr

SIZE = QuantityField("power", "Size", above=0, at_most=1e8, example="36 kBtu/h")


def size_of(source: Mapping[str, Any], system: str) -> str:
    """What the warmest point of a source's curve gives, in the reader's units; empty where the curve cannot be read."""
    made = _made(source)
    return _short(made.nameplate_w(), "power", system) if made is not None else ""


def draw_size(form: Form, path: state.Path, source: Mapping[str, Any]) -> None:
    """Draw the field; what is typed scales the whole curve, which stands under "More"."""
    widget, where = key_for((*path, "size")), dotted((*path, "size"))
    menu = menu_of(
        where,
        [size_of(source, form.system)],
        SIZE,
        system=form.system,
        currency=form.currency,
        plain=lambda text: as_shown(text, form.system),
    )
    refused = st.session_state.get("size_refused", {}).get(where)
    follow(widget, refused[0] if refused else menu.shown)
    st.text_input(
        tr("Size"),
        key=widget,
        placeholder=tr("such as {value}", value=sample_of(SIZE, form.system, form.currency)),
        help=tr("Heat in mild weather, as on the nameplate: kBtu/h, tons or kW. Outputs in the cold go with it."),
        on_change=_sized,
        args=(path, widget, form.system, menu),
    )
    draw_menu(menu, tr("Size"))
    if refused:
        st.error(state.literal(refused[1]))
    elif points := _points(source, form.system):
        st.caption(state.literal(points))


def _points(source: Mapping[str, Any], system: str) -> str:
    """The ends of a curve in a sentence, so that a size is shown back as it is taken."""
    made = _made(source)
    ends = made.curve_ends() if made is not None else ()
    parts = [
        tr(
            "{output} at {outdoor} outside",
            output=show(watts, "power", system),
            outdoor=show(outdoor, "temperature", system, 0),
        )
        for outdoor, watts in ends
    ]
    return f"{', '.join(parts)}." if parts else ""


def _made(source: Mapping[str, Any]) -> HeatSource | None:
    try:
        return build(KINDS[str(source.get("kind"))], source)
    except InputError:
        return None


def _sized(path: state.Path, widget: str, system: str, menu: Menu) -> None:
    """Scale the curve to what was typed; an odd entry stays in the field with what is wrong with it."""
    typed, where = str(st.session_state[widget]).strip(), menu.where
    refused = st.session_state.setdefault("size_refused", {})
    refused.pop(where, None)
    if not typed or typed == menu.shown:
        return
    if not is_bare(typed):
        choose(where, "")
    reading = understand(typed, SIZE, system=system, unit=menu.read_in)
    try:
        watts = float(SIZE.read(reading.text))
    except ValueError as error:
        answers = tr(" or ").join(reading.answers)
        problem = (
            tr("“{typed}” can be read two ways; write {answers}", typed=typed, answers=answers) if answers else error
        )
        refused[where] = (typed, str(problem))
        return

    def work(study: dict[str, Any]) -> None:
        sources = study
        for part in path[:-1]:
            sources = sources[part]  # type: ignore[index]
        sources[path[-1]] = scaled(sources[path[-1]], watts, system)  # type: ignore[index]

    state.change(work)


def scaled(source: Mapping[str, Any], watts: float, system: str) -> dict[str, Any]:
    """A source with its whole curve in proportion to another size, in the reader's units.

    A curve that cannot be read gives way to the example of its kind.

    Examples
    --------
    >>> half = {"kind": "heat_pump", "outdoor": ["5 degF", "47 degF"], "outputs": ["30 kBtu/h", "48 kBtu/h"]}
    >>> scaled(half, 24e3 * 0.29307107, "us")["outputs"]
    ['15 kBtu/h', '24 kBtu/h']
    """
    made, kind = _made(source), KINDS[str(source["kind"])]
    if made is None:
        bare = {key: value for key, value in source.items() if key not in kind.curve}
        source = bare | {key: _readers(kind.example[key], system) for key in kind.curve if key in kind.example}
        made = build(kind, source)
    sized = made.resized(source, watts)
    return {key: _readers(value, system) if key in kind.curve else value for key, value in sized.items()}


def _readers(value: Any, system: str) -> Any:
    """Texts of a curve in the reader's units."""
    if isinstance(value, list | tuple):
        return [_readers(part, system) for part in value]
    if isinstance(value, Mapping):
        return {key: _readers(part, system) for key, part in value.items()}
    for dimension in ("power", "temperature"):
        try:
            return _short(parse(str(value), dimension).value, dimension, system)
        except ValueError:
            continue
    return value


def _short(value: float, dimension: str, system: str) -> str:
    return f"{float(f'{to_display(value, dimension, system):.4g}'):g} {unit_for(dimension, system)}"
