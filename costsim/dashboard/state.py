"""The one study of a session: plain data in session state that widgets read and write, so that nothing typed is lost."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from typing import Any

import streamlit as st

from costsim.cli.commands import default_units
from costsim.dashboard.link import packed, unpacked
from costsim.errors import InputError
from costsim.study.case import built_in_studies, case_from, parse_study
from costsim.study_files import StudyFiles
from costsim.units.quantity import UnitError, read_quantity, with_currency

Path = tuple[str | int, ...]
FIRST = "lantern_cottage"
MOST_UNDO = 50


def literal(text: str) -> str:
    """Write text so that Streamlit shows it letter by letter: a title is no place for links, pictures or formulas.

    Examples
    --------
    >>> literal("5 <b>") == chr(92).join(["5 ", "<b", ">"])
    True
    """
    return re.sub(r"([\\`*_{}\[\]()#+!|<>$~:])", r"\\\1", text)


def typed() -> dict[str, Any]:
    """The study as typed in this session; at the start the one in the link, else the door's own house."""
    if "typed" not in st.session_state:
        _begin()
    data: dict[str, Any] = st.session_state["typed"]
    return data


def _begin() -> None:
    """Take the study from the link; one that cannot be read is told and left."""
    code = str(st.query_params.get("study", ""))
    if code in built_in_studies():
        load_built_in(code)
        return
    load_built_in(FIRST)
    if code:
        try:
            found = unpacked(code)
            case_from(found, file="link", files=files())
        except InputError as error:
            st.session_state["link_faults"] = [str(fault) for fault in error.faults]
        else:
            st.session_state["typed"], st.session_state["study_name"] = found, "link"


def remember_in_link(door: str) -> None:
    """Write door and study into the address; an untouched house by its name, one too long for an address not at all."""
    code = study_name() if untouched_demo() else packed(typed())
    wanted = {"door": door} | ({"study": code} if code else {})
    if st.query_params.to_dict() != wanted:
        st.query_params.from_dict(wanted)


def untouched_demo() -> bool:
    """Whether the study is one of the invented houses as it came."""
    name = study_name()
    return name in built_in_studies() and typed() == parse_study(built_in_studies()[name].read_bytes(), file=name)


def load_built_in(name: str) -> None:
    """Start from a study that comes with the package."""
    replace(parse_study(built_in_studies()[name].read_bytes(), file=name), name)


def replace(data: dict[str, Any], name: str) -> None:
    """Take another study; widgets start anew from it and the old one can be had back."""
    if "typed" in st.session_state:
        _remember()
    st.session_state["typed"] = data
    st.session_state["study_name"] = name
    _renew()


def opened() -> dict[str, bytes]:
    """Files that were opened in this session, by name; they go when the session ends."""
    found: dict[str, bytes] = st.session_state.setdefault("opened", {})
    return found


def files() -> StudyFiles:
    """What resolves the files that a study names here: those opened in this session and the samples, no other."""
    return StudyFiles(opened=opened())


def study_name() -> str:
    """What the study is called in messages."""
    return str(st.session_state.get("study_name", FIRST))


def _renew() -> None:
    st.session_state["revision"] = revision() + 1


def revision() -> int:
    """Counts up whenever widgets must read the study anew."""
    return int(st.session_state.get("revision", 0))


def _remember() -> None:
    past = st.session_state.setdefault("past", [])
    past.append((copy.deepcopy(st.session_state["typed"]), study_name()))
    del past[:-MOST_UNDO]


def can_undo() -> bool:
    """Whether there is a change to take back."""
    return bool(st.session_state.get("past"))


def undo() -> None:
    """Take the last change back."""
    if can_undo():
        st.session_state["typed"], st.session_state["study_name"] = st.session_state["past"].pop()
        _renew()


def get(path: Path) -> Any:
    """Read one value of the study; None where it is not given."""
    at: Any = typed()
    for part in path:
        try:
            at = at[part]
        except (KeyError, IndexError, TypeError):
            return None
    return at


def put(path: Path, value: Any) -> None:
    """Write one value of the study; an empty one is taken out."""
    now = get(path)
    if now == value or (now is None and value == []):
        return
    _remember()
    st.session_state["changed"] = True
    at: Any = typed()
    for part in path[:-1]:
        at = at[part] if isinstance(part, int) else at.setdefault(part, {})
    if value in (None, "", []):
        at.pop(path[-1], None)
    else:
        at[path[-1]] = value


def rewrite(data: dict[str, Any]) -> None:
    """Write the whole study anew under its name; one step for undo."""
    _remember()
    st.session_state["typed"] = data
    _renew()


def currency() -> str:
    """The currency of the first price that is typed; empty where none can be read."""
    for text in _texts(typed().get("prices", {})):
        try:
            found = read_quantity(text).currency
        except UnitError:
            continue
        if found:
            return found
    return ""


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    for part in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from _texts(part)


def follow_units() -> None:
    """Begin each study in the units that it is typed in; the reader's own choice holds until the next study."""
    if st.session_state.get("units_for") != study_name():
        st.session_state["units_for"] = study_name()
        st.session_state["units"] = default_units(typed()).upper()


def set_currency(coin: str) -> None:
    """Write every amount of money with another currency's sign; nothing is converted."""
    rewrite(_recoined(typed(), coin))


def _recoined(value: Any, coin: str) -> Any:
    if isinstance(value, str):
        return with_currency(value, coin)
    if isinstance(value, list):
        return [_recoined(one, coin) for one in value]
    return {key: _recoined(one, coin) for key, one in value.items()} if isinstance(value, dict) else value


def just_changed() -> bool:
    """Whether a widget has written the study in this run, so that what was drawn before it is stale."""
    return bool(st.session_state.pop("changed", False))
