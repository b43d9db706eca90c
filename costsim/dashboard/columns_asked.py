"""What each column of a table of homes holds, where its heading does not tell it: one box a column, answered by hand."""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

import streamlit as st

from costsim.bills.text import unpacked_one
from costsim.dashboard.kept import kept_of_files
from costsim.dashboard.keyed import follow
from costsim.dashboard.state import literal
from costsim.errors import CostsimError
from costsim.portfolio.column_choices import UNITS_OF_FUEL, YEARS_FUEL, all_understood, choices, fuel_of_choice
from costsim.portfolio.columns import HEATS_NOW, KEPT, MOST_COLUMNS, UnitOfCells
from costsim.portfolio.headings import HOME, WEIGHT, key_title, option_titles, parted
from costsim.portfolio.homes import head_of
from costsim.study.case import Case
from costsim.units.quantity import pretty_unit
from costsim.words import tr

SAMPLES, LONGEST = 3, 24
"""Cells of a column that its box shows, and letters of each."""
Head = tuple[list[str], list[tuple[str, ...]], dict[int, UnitOfCells]]


def ask_columns(case: Case, name: str, content: bytes, system: str) -> dict[int, str]:
    """Draw a box for each column; give what was answered, by number of the column, as `open_homes` takes it.

    What is wrong with the file is told where it is run.
    """
    try:
        head = kept_of_files(
            "head of homes", {name: content}, lambda: _head(case, name, content), case.model_dump_json()
        )
    except CostsimError:
        return {}
    headings, _, cells = head
    if len(headings) > MOST_COLUMNS:
        return {}
    digest = hashlib.sha256(content).hexdigest()[:16]
    every: dict[str, dict[int, str]] = st.session_state.setdefault("many/columns", {})
    answers = every.setdefault(digest, {})
    able = choices(case, system)
    read = all_understood(headings, case, cells)
    draw = partial(_draw, head, read, able, case, digest, answers)
    if unclear := [at for at, held in enumerate(read) if held in ("", KEPT)]:
        st.markdown(tr("**Columns we did not understand**"))
        st.caption(tr("Say what each holds and in which unit, or leave it: it is kept with the results and not used."))
        draw(unclear)
    with st.expander(tr("Columns we understood: change what they hold")):
        draw([at for at, held in enumerate(read) if held not in ("", KEPT)])
    return {at: choice for at, choice in answers.items() if choice in able}


def _head(case: Case, name: str, content: bytes) -> Head:
    content, name = unpacked_one(content, name)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / table_name(content)
        file.write_bytes(content)
        return head_of(file, case, SAMPLES)


def table_name(content: bytes) -> str:
    """A name of a file for a table of homes, by what is in it."""
    return f"homes{'.parquet' if content[:4] == b'PAR1' else '.csv'}"


def _draw(
    head: Head,
    read: Sequence[str],
    able: Sequence[str],
    case: Case,
    digest: str,
    answers: Mapping[int, str],
    places: Sequence[int],
) -> None:
    """Boxes of some columns, three beside each other."""
    headings, rows, _ = head
    for start in range(0, len(places), 3):
        for at, column in zip(places[start : start + 3], st.columns(3), strict=False):
            widget = f"many/column/{digest}/{at}"
            chosen = answers.get(at, "")
            follow(widget, chosen if chosen in able else "")
            column.selectbox(
                _label(headings[at], at, [row[at] for row in rows if at < len(row)]),
                ("", *able),
                key=widget,
                format_func=partial(_named, _as_it_is(read[at], case), case),
                on_change=_take,
                args=(digest, at, widget),
            )


def _label(heading: str, at: int, cells: Sequence[str]) -> str:
    """A column by its heading and its first cells."""
    samples = " · ".join(cell.strip()[:LONGEST] for cell in cells if cell.strip())
    name = heading[:60] or tr("Column {number}, without a heading", number=at + 1)
    return literal(f"{name}: {samples}" if samples else name)


def _as_it_is(read: str, case: Case) -> str:
    """What becomes of a column of which nothing is answered."""
    if read == KEPT:
        return tr("Not understood: kept, not used")
    return tr("As its heading says: {what}", what=choice_name(read, case)) if read else tr("Not understood: choose")


def _named(unanswered: str, case: Case, choice: str) -> str:
    return choice_name(choice, case) if choice else unanswered


def choice_name(choice: str, case: Case) -> str:
    """What a column holds, as people say it."""
    words = {
        KEPT: tr("Keep it, do not use it"),
        HOME: tr("Name or address of the home"),
        WEIGHT: tr("Number of homes"),
        HEATS_NOW: tr("What heats the home today"),
        YEARS_FUEL: tr("A year's fuel"),
        UNITS_OF_FUEL: tr("The unit of each row's fuel"),
    }
    if choice in words:
        return words[choice]
    fuel, unit = fuel_of_choice(choice)
    if fuel:
        return tr("A year's {fuel} for heat, in {unit}", fuel=tr(fuel).lower(), unit=pretty_unit(unit, case.currency))
    key, unit = parted(choice)
    title = option_titles(case).get(key) or tr(key_title(key))
    return tr("{title}, in {unit}", title=title, unit=pretty_unit(unit, case.currency)) if unit else title


def _take(digest: str, at: int, widget: str) -> None:
    answers = st.session_state["many/columns"].setdefault(digest, {})
    if choice := st.session_state[widget]:
        answers[at] = choice
    else:
        answers.pop(at, None)
