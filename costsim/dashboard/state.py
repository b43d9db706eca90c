"""The one study of a session: plain data in session state that widgets read and write, so that nothing typed is lost."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import streamlit as st

from costsim.cli.commands import default_units
from costsim.dashboard.link import packed, unpacked
from costsim.errors import InputError
from costsim.study.case import built_in_studies, parse_study
from costsim.study.house import keep_found
from costsim.study_files import StudyFiles
from costsim.units.quantity import UnitError, read_quantity, with_currency

Path = tuple[str | int, ...]
FIRST = "lantern_cottage"
MOST_UNDO, MOST_OPENED_BYTES = 50, 120_000_000
BESIDE = ("answers", "examples", "fitted_use")
"""What a session holds of the answers that a study began with."""


_MARKS = re.compile(r"([\\`*_{}\[\]()#+!|<>$~:&^])")
_BEGINS = re.compile(r"(\d{0,9})([-=.])")
_BECOMES = re.compile(r"(?i)(https?:|www)(?=[/.])|(@)|(:)(?=[\w+/-]{1,40}:)|(<?-)(?=[->])|(<)(?=-)|([<>!=~])(?==)")
_JOINER = "\u2060"
"""A letter without width that nothing recognizes as part of a link, an address or an emoji."""


def literal(text: str) -> str:
    """Write text so that Streamlit shows it letter by letter: a name is no place for links, pictures or formulas.

    The one function for what stands in a label, caption, note or heading and was typed, opened or read. Marks are escaped;
    what the page would make a link, an address, an emoji or an arrow after that is held apart by letters without width.

    Examples
    --------
    >>> literal("5 <b>") == chr(92).join(["5 ", "<b", ">"])
    True
    >>> literal("www.x.org").replace("\u2060", "|"), literal("a@b.c").replace("\u2060", "|")
    ('www|.x.org', 'a@|b.c')
    """
    flat = " ".join(text.split())
    held = _BECOMES.sub(lambda match: match.group() + _JOINER, flat)
    begins = _BEGINS.match(held)
    if begins is not None:  # a list, a rule, or the line under a heading
        held = f"{begins[1]}\x00{begins[2]}{held[begins.end() :]}"
    return _MARKS.sub(r"\\\1", held).replace("\x00", "\\")


def typed() -> dict[str, Any]:
    """The study as typed in this session; at the start the one in the link, else the door's own house."""
    if "typed" not in st.session_state:
        _begin()
    study: dict[str, Any] = st.session_state["typed"]
    return study


def _begin() -> None:
    """Take the study from the link; one that cannot be read is told and left."""
    code = str(st.query_params.get("study", ""))
    if code in built_in_studies():
        load_built_in(code)
        return
    load_built_in(FIRST)
    if code:
        try:
            study = unpacked(code)
        except InputError as error:
            st.session_state["link_faults"] = [str(fault) for fault in error.faults]
        else:
            # a study with faults is opened too, so that nothing typed is lost: they are told where they stand
            st.session_state["typed"], st.session_state["study_name"] = study, "link"


def remember_in_link(
    study: Mapping[str, Any],
    persona: str,
    units: str,
    beside: str = "",
    town: str = "",
    answers: str = "",
    draft: str = "",
) -> None:
    """Write persona, units, study, its papers' names, a made town, answers, and those not yet used into the address.

    An untouched house stands there by its name.

    A study that is too long is left out.
    """
    code = code_of(study)
    wanted = (
        {"persona": persona, "units": units} | ({"study": code} if code else {}) | ({"with": beside} if beside else {})
    )
    wanted |= ({"town": town} if town else {}) | ({"answers": answers} if answers else {})
    wanted |= {"draft": draft} if draft else {}
    if st.query_params.to_dict() != wanted:
        st.query_params.from_dict(wanted)


def code_of(study: Mapping[str, Any]) -> str:
    """What stands for a study in an address: the name of an untouched house, else all of it, packed when it has changed; empty where that is too long."""
    name = study_name()
    if name in built_in_studies() and study == built_in(name):
        return name
    if "code" not in st.session_state or st.session_state["code"][0] != study:
        st.session_state["code"] = copy.deepcopy(study), packed(study)
    return str(st.session_state["code"][1])


def untouched_demo() -> bool:
    """Whether the study is one of the invented houses as it came."""
    name = study_name()
    return name in built_in_studies() and typed() == built_in(name)


def built_in(name: str) -> dict[str, Any]:
    """A study that comes with the package, as typed."""
    return parse_study(built_in_studies()[name].read_bytes(), file=name)


def load_built_in(name: str) -> None:
    """Start from a study that comes with the package."""
    replace(built_in(name), name)


def replace(study: dict[str, Any], name: str) -> None:
    """Take another study; widgets start anew from it and the old one can be had back."""
    if "typed" in st.session_state:
        _remember()
    st.session_state["typed"] = study
    st.session_state["study_name"] = name
    st.session_state.pop("unit_of", None)
    _renew()


def opened() -> dict[str, bytes]:
    """Files that were opened in this session, by name; they go when the session ends."""
    opened_files: dict[str, bytes] = st.session_state.setdefault("opened", {})
    while len(opened_files) > 1 and sum(map(len, opened_files.values())) > MOST_OPENED_BYTES:
        del opened_files[next(iter(opened_files))]  # the one that was opened first
    return opened_files


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
    past.append(_now())
    del past[:-MOST_UNDO]
    st.session_state["future"] = []


def _now() -> tuple[dict[str, Any], str, dict[str, Any]]:
    """The study, its name, and the answers that it began with."""
    return copy.deepcopy(st.session_state["typed"]), study_name(), st.session_state.get("beside", {})


def keep_beside() -> None:
    """Take the answers as they are for those that the study began with, so that Undo and Redo bring them back with it."""
    st.session_state["beside"] = {key: copy.copy(st.session_state[key]) for key in BESIDE if key in st.session_state}


def can_undo() -> bool:
    """Whether there is a change to take back."""
    return bool(st.session_state.get("past"))


def can_redo() -> bool:
    """Whether a change was taken back."""
    return bool(st.session_state.get("future"))


def undo() -> None:
    """Take the last change back."""
    _step("past", "future")


def redo() -> None:
    """Do again what was taken back."""
    _step("future", "past")


def _step(source: str, target: str) -> None:
    if st.session_state.get(source):
        now = _now()
        st.session_state.setdefault(target, []).append(now)
        study, name, beside = st.session_state[source].pop()
        st.session_state["typed"], st.session_state["study_name"], st.session_state["beside"] = study, name, beside
        if name not in built_in_studies():  # beside an invented house stays what the reader has typed
            if beside != now[2]:
                st.session_state.update({key: copy.copy(value) for key, value in beside.items()})
            st.session_state["answers_anew"] = True
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
    at: Any = typed()
    if path == ("house", "indoor_temperature") and value:
        keep_found(at["house"])
    for part in path[:-1]:
        at = at[part] if isinstance(part, int) else at.setdefault(part, {})
    if value in (None, "", []):
        at.pop(path[-1], None)
    else:
        at[path[-1]] = value


def change(work: Callable[[dict[str, Any]], None]) -> None:
    """Let a function change a copy of the study; one step for undo, and widgets start anew."""
    study = copy.deepcopy(typed())
    work(study)
    rewrite(study)


def rewrite(study: dict[str, Any]) -> None:
    """Write the whole study anew under its name; one step for undo."""
    _remember()
    st.session_state["typed"] = study
    _renew()


def amend(study: dict[str, Any]) -> None:
    """Write what follows from the last change, as a part of it: one Undo takes both back."""
    st.session_state["typed"] = study
    _renew()


def currency() -> str:
    """The currency of the first price that is typed; empty where none can be read."""
    for text in _texts(typed().get("prices", {})):
        try:
            quantity = read_quantity(text).currency
        except UnitError:
            continue
        if quantity:
            return quantity
    return ""


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    for part in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from _texts(part)


def follow_units(asked: str = "") -> None:
    """Begin each study in the units that it is typed in; the link's and the reader's own choice hold until the next one."""
    if st.session_state.get("units_for") != study_name():
        first = "units_for" not in st.session_state
        st.session_state["units_for"] = study_name()
        known = first and asked in ("us", "si")
        st.session_state["units"] = asked.upper() if known else default_units(typed()).upper()


def keep_units() -> None:
    """Go on with the reader's units in a study that was not asked for by name."""
    st.session_state["units_for"] = study_name()


def units_system() -> str:
    """Units of the reader, ``"us"`` or ``"si"``."""
    return str(st.session_state.get("units") or st.session_state.get("units_kept", "US")).lower()


def set_currency(coin: str) -> None:
    """Write every amount of money with another currency's sign; nothing is converted."""
    rewrite(_recoined(typed(), coin))


def _recoined(value: Any, coin: str) -> Any:
    if isinstance(value, str):
        return with_currency(value, coin)
    if isinstance(value, list):
        return [_recoined(part, coin) for part in value]
    return {key: _recoined(part, coin) for key, part in value.items()} if isinstance(value, dict) else value


def add(path: Path, value: Any) -> None:
    """Put a new table at a place."""
    put(path, copy.deepcopy(value))
    _renew()


def append(path: Path, value: Any) -> None:
    """Put a new item at the end of a list, which begins with it where there is none."""
    add(path, [*(get(path) or []), value])


def drop(path: Path) -> None:
    """Take a table or an item of a list out."""
    if isinstance(path[-1], int):
        left = list(get(path[:-1]) or [])
        del left[path[-1]]
        put(path[:-1], left)
    else:
        put(path, None)
    _renew()


def move(path: Path, at: int, by: int) -> None:
    """Move an item of a list forward or back."""
    items = list(get(path) or [])
    if 0 <= at + by < len(items):
        items.insert(at + by, items.pop(at))
        add(path, items)


def duplicate(path: Path, at: int) -> None:
    """Put a copy of an item behind it, under a name of its own."""
    items = list(get(path) or [])
    twin = copy.deepcopy(items[at])
    if isinstance(twin, dict) and twin.get("name"):
        twin.pop("today", None)  # one option alone heats the house today
        twin["name"] = free_name(str(twin["name"]), [str(item.get("name", "")) for item in items])
    items.insert(at + 1, twin)
    add(path, items)


def free_name(name: str, taken: list[str]) -> str:
    """A name that nothing else has.

    Examples
    --------
    >>> free_name("Gas", ["Gas", "Gas 2"])
    'Gas 3'
    """
    candidate, number = name, 2
    while candidate in taken:
        candidate, number = f"{name[:74]} {number}", number + 1
    return candidate
