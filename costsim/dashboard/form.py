"""The form: every value of the study with its label, unit and help, made from the models themselves."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath
from typing import Any

import streamlit as st
from pydantic import BaseModel

from costsim.dashboard import state
from costsim.dashboard.synthetic_weather import draw_town
from costsim.dashboard.widgets import tell
from costsim.errors import Fault, InputError
from costsim.sources import KINDS
from costsim.study.case import Case, Option, Place
from costsim.study.heat_loss import Infiltration
from costsim.study.house import House
from costsim.study.plant import Floor, Loops, Pump, Tank
from costsim.study.prices import Price
from costsim.study.ratings import Ratings
from costsim.study_files import sample_names
from costsim.units.fields import QuantityField, choices_of, file_key, in_words
from costsim.units.quantity import pretty_unit, split_text
from costsim.weather import read_weather

Path = state.Path


def draw_form(faults: list[Fault], hides: Sequence[str] = ()) -> None:
    """Draw all sections but those that `hides` names; faults stand below the field they belong to."""
    by_key: dict[str, list[Fault]] = {}
    for fault in faults:
        by_key.setdefault(fault.field, []).append(fault)
    _weather_choice()
    with st.expander("House and place", expanded=True):
        _fields(("house",), House, by_key, hide=("setback", "surface", "infiltration", "room"))
        _fields(("place",), Place, by_key, hide=("weather",))
    if "surface" in state.typed().get("house", {}):
        with st.expander("Air that is renewed"):
            _fields(("house", "infiltration"), Infiltration, by_key)
    if "water" not in hides and ("floor" in state.typed() or "tank" in state.typed()):
        with st.expander("Floor and tank"):
            _water(by_key)
    if "water" not in hides:
        with st.expander("Ratings of the parts"):
            _fields(("ratings",), Ratings, by_key)
    with st.expander("Prices"):
        for key in list(state.typed().get("prices", {})):
            st.markdown(f"**{state.literal(in_words(key))}**")
            _fields(("prices", key), Price, by_key, hide=("period", "block", "demand"))
    for at, option in enumerate(state.typed().get("option", [])):
        with st.expander(state.literal(f"Option: {option.get('name', at + 1)}")):
            _option(at, option, by_key)


def draw_prices(case: Case) -> None:
    """Draw one slider for each energy price, from half to twice what the study said at first; it writes the study."""
    tables = [key for key, price in case.prices.items() if price.energy is not None]
    with st.expander("What if prices change"):
        for key, column in zip(tables, st.columns(max(1, len(tables))), strict=False):
            number, unit = split_text(str(state.get(("prices", key, "energy")) or ""))
            if number is not None and number > 0:
                with column:
                    _price_slider(key, number, unit)


def _price_slider(key: str, number: float, unit: str) -> None:
    first = st.session_state.setdefault(f"first_price/{state.study_name()}/{key}", number)
    low, high = round(first / 2, 4), round(first * 2, 4)
    shown, widget = min(max(number, low), high), _key(("slider", key))
    _follow(widget, shown)
    st.slider(
        f"{in_words(key)} [{unit}]", low, high, step=round(first / 100, 5), format="%.4g", key=widget,
        on_change=_slid, args=(key, unit, widget),
    )  # fmt: skip


def _slid(key: str, unit: str, widget: str) -> None:
    """Write a moved slider into the study before anything is drawn, so that the page is drawn once."""
    value = float(st.session_state[widget])
    _told(widget, value)
    state.put(("prices", key, "energy"), f"{value:.6g} {unit}")
    state.just_changed()


def _follow(widget: str, value: Any) -> None:
    """Let a widget show what the study says, when that was changed elsewhere since it was last drawn."""
    # a widget that was not drawn for a while has been forgotten and would come back with its first value
    if widget not in st.session_state or st.session_state.get(f"{widget}/seen", _NEVER) != value:
        st.session_state[widget] = value
        _told(widget, value)


def _told(widget: str, value: Any) -> None:
    st.session_state[f"{widget}/seen"] = value


_NEVER = object()


def _weather_choice() -> None:
    names = [*sample_names(), *state.opened()]
    now = str(state.get(("place", "weather")) or "")
    choices = names if now in names else [*names, now]
    widget = _key(("place", "weather"))
    _follow(widget, now)
    chosen = st.selectbox("Weather of which place", choices, key=widget, format_func=_weather_label)
    _told(widget, chosen)
    state.put(("place", "weather"), chosen)
    _open_weather()
    draw_town()


def _open_weather() -> None:
    """Take a weather file of the reader's own; it stays in this session and is never sent anywhere."""
    with st.expander("Open a weather file of your own"):
        loaded = st.file_uploader(
            "EPW, TMY3 or CSV of one year", type=["epw", "csv"], key=f"weather_file/{state.revision()}"
        )
        if loaded is None or st.session_state.get("weather_file_seen") == loaded.file_id:
            return
        st.session_state["weather_file_seen"] = loaded.file_id
        name = PurePath(loaded.name).name
        try:
            if name in sample_names():
                raise InputError(Fault("", "has the name of a built-in sample", "give the file another name", name))
            read_weather(name, content=loaded.getvalue())
        except InputError as error:
            tell(error, "This weather file was not opened; your study is as it was.")
            return
        state.opened()[name] = loaded.getvalue()
        state.put(("place", "weather"), name)
        st.rerun()


def _weather_label(name: str) -> str:
    return in_words(name.removesuffix(".csv").removesuffix(".epw"))


def _water(faults: dict[str, list[Fault]]) -> None:
    floor = state.get(("floor",))
    if isinstance(floor, dict):
        _fields(("floor",), Floor, faults, hide=("loops", "pump", "mass"))
        for at in range(len(floor.get("loops", []))):
            st.markdown(f"**Loops, group {at + 1}**")
            _fields(("floor", "loops", at), Loops, faults)
        if isinstance(floor.get("pump"), dict):
            st.markdown("**Pump**")
            _fields(("floor", "pump"), Pump, faults)
    if state.get(("tank",)) is not None:
        st.markdown("**Tank**")
        _fields(("tank",), Tank, faults)


def _option(at: int, option: dict[str, Any], faults: dict[str, list[Fault]]) -> None:
    _fields(("option", at), Option, faults, hide=("source",))
    for number, source in enumerate(option.get("source", [])):
        model = KINDS.get(str(source.get("kind")))
        if model is not None:
            st.markdown(f"**{state.literal(str(source.get('name') or model.title))}**")
            _fields(("option", at, "source", number), model, faults, hide=("kind", "curtailment"))


def _fields(path: Path, model: type[BaseModel], faults: dict[str, list[Fault]], hide: tuple[str, ...] = ()) -> None:
    """Draw the fields that are given; the others wait behind a menu, so that nobody must see them all."""
    given = state.get(path) or {}
    absent = {}
    for name, field in model.model_fields.items():
        key = field.alias or file_key(name)
        if key in hide or name in hide:
            continue
        if key in given:
            _field((*path, key), field, faults)
        else:
            absent[_title(field, key)] = key
    if absent:
        more = st.selectbox("Give one more value", ["", *absent], key=_key((*path, "more", len(given))), label_visibility="collapsed",
                            format_func=lambda label: label or "Give one more value …")  # fmt: skip
        if more:
            chosen = absent[more]
            name = next(n for n, f in model.model_fields.items() if (f.alias or n) == chosen)
            state.put((*path, chosen), _start(model.model_fields[name]))
            st.rerun()


def _start(field: Any) -> Any:
    measured = _measured(field)
    if measured is not None:
        return measured.sample
    if field.default not in (None, "", ()) and isinstance(field.default, bool | int | float | str):
        return not field.default if isinstance(field.default, bool) else field.default
    if choices := choices_of(field):
        return next(iter(choices))
    return ["22:00-06:00"] if "tuple" in str(field.annotation) else "…"


def _measured(field: Any) -> QuantityField | None:
    return next((item for item in field.metadata if isinstance(item, QuantityField)), None)


def _title(field: Any, key: str) -> str:
    measured = _measured(field)
    return measured.title if measured else (field.title or in_words(key))


def _help(field: Any) -> str | None:
    measured = _measured(field)
    return (f"{measured.help} Such as {measured.sample}".strip() if measured else field.description) or None


def _field(path: Path, field: Any, faults: dict[str, list[Fault]]) -> None:
    value, label, widget = state.get(path), _title(field, str(path[-1])), _key(path)
    shown = ", ".join(map(str, value)) if isinstance(value, list) else value
    if _measured(field) is not None:
        shown = pretty_unit(str(shown))  # both are read
    _follow(widget, shown if isinstance(shown, bool | int | float) else str(shown))
    if isinstance(value, bool):
        new: Any = st.checkbox(label, help=_help(field), key=widget)
    elif isinstance(value, str) and value in (choices := choices_of(field)):
        new = st.selectbox(label, list(choices), help=_help(field), key=widget, format_func=choices.__getitem__)
    elif isinstance(value, int | float):
        new = st.number_input(label, help=_help(field), key=widget, step=1 if field.annotation is int else None)
    else:
        new = st.text_input(label, help=_help(field), key=widget)
    if new != shown:
        _told(widget, new)
        state.put(path, [part.strip() for part in str(new).split(",")] if isinstance(value, list) else new)
    for fault in faults.get(_dotted(path), []):
        st.error(state.literal(f"{fault.problem}; {fault.remedy}"))


def _dotted(path: Path) -> str:
    return "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in path).lstrip(".")


def _key(path: Path) -> str:
    return f"field/{state.revision()}/{_dotted(path)}"
