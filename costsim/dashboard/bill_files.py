"""Files of bills as people drop them: taken for what they are, and asked about where two cover the same days."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import streamlit as st

from costsim.bills.model import Bills
from costsim.bills.read import HowToRead, read_bill_file
from costsim.bills.temperatures import read_temperatures
from costsim.dashboard.papers import papers, upload_key
from costsim.dashboard.state import literal
from costsim.errors import CostsimError, InputError
from costsim.words import tr


def looks_like_bills(name: str, content: bytes) -> bool:
    """Whether a file that is no weather reads as bills of a fuel."""
    return not _reads(name, content, read_temperatures) and _reads(name, content, read_bill_file)


def looks_like_weather(name: str, content: bytes) -> bool:
    """Whether a file that is no bill reads as outdoor temperatures."""
    return not _reads(name, content, read_bill_file) and _reads(name, content, read_temperatures)


_OF_ITS_KIND = {read_bill_file: {"fuel", "meter"}, read_temperatures: {"station"}}
"""Questions that a reader asks only about what it is for."""


def _reads(name: str, content: bytes, read: Callable[..., object]) -> bool:
    try:
        read(Path(name).name, content=content)
    except InputError as error:
        return any(fault.asks in _OF_ITS_KIND[read] for fault in error.faults)
    except CostsimError:
        return False
    return True


def not_left_out(files: list[tuple[str, bytes]]) -> list[tuple[str, bytes]]:
    """The files but for those that another one has replaced."""
    gone = st.session_state.get(_left_out(), set())
    return [file for file in files if file[0] not in gone]


def _left_out() -> str:
    return f"{upload_key('bills')}/left_out"


def same_days(files: list[tuple[str, bytes]], how: HowToRead) -> tuple[str, str] | None:
    """Names of two files whose bills of one fuel cover the same days, the older one first; None where none do."""
    spans: list[tuple[str, Bills]] = []
    for name, content in files:
        for bills in read_bill_file(Path(name).name, content=content, how=how):
            for other, before in spans:
                apart = before.end_day.max() <= bills.start_day.min() or bills.end_day.max() <= before.start_day.min()
                if other != name and before.fuel == bills.fuel and not apart:
                    return other, name
            spans.append((name, bills))
    return None


def ask_which(old: str, new: str) -> None:
    """One question about two files over the same days."""
    st.warning(literal(tr("{old} and {new} cover the same dates. Replace the old one?", old=old, new=new)))
    with st.container(horizontal=True):
        st.button(literal(tr("Replace {old}", old=old)), key="bills/replace", on_click=_leave_out, args=(old,))
        st.button(literal(tr("Keep {old}, leave out {new}", old=old, new=new)), key="bills/keep", on_click=_leave_out, args=(new,))  # fmt: skip


def _leave_out(name: str) -> None:
    st.session_state.setdefault(_left_out(), set()).add(name)
    papers().get("bills", {}).pop(name, None)
