"""What the pages share: tables, figures and the choice of an option."""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Callable, Hashable, Sequence
from html import escape, unescape
from typing import Any, TypeVar

import pandas as pd  # at once: Streamlit looks into what another thread has imported by half
import streamlit as st

from costsim.dashboard.budget import shown
from costsim.dashboard.kept import is_kept, kept
from costsim.dashboard.state import literal, units_system
from costsim.dashboard.time_limit import beside
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.views.figure_csv import figure_csv
from costsim.views.glossary import explained
from costsim.views.patterns import without_patterns
from costsim.views.tables import safe_text
from costsim.views.verdict import shown as option_of_cards
from costsim.views.wording import for_reader
from costsim.weather import Weather
from costsim.words import tr

Found = TypeVar("Found")
MOST_BROKEN = 100
"""Rows of a table that a phone is shown with its words broken into lines."""
PATTERNS = "patterns"
"""Where this session keeps whether charts bear patterns."""
ONE_LINE = 100
"""Letters of a title that a whole page's width holds in one line."""


def say(text: str) -> None:
    """Show a sentence letter by letter, in the units of the reader."""
    st.text(for_reader(text, units_system()))


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], alt: str = "") -> None:
    """Show a table of texts; Streamlit lets the reader save it as CSV, so no cell may begin like a formula.

    A phone gets it without the grid, which breaks no words into lines.
    """
    if on_phone() and len(rows) <= MOST_BROKEN:
        _broken_table(headings, rows, alt)
        return
    system = units_system()
    marked = [[safe_text(for_reader(cell, system)) for cell in row] for row in (headings, *rows)]
    frame = pd.DataFrame(marked[1:], columns=marked[0], dtype=object)
    shown: dict[Any, str | Callable[[object], str] | None] = {}
    for at, name in enumerate(marked[0]):
        numbers = numbers_of([row[at] for row in marked[1:]]) if at and marked[0].count(name) == 1 else None
        if numbers is not None:
            frame[name] = numbers
            texts = dict(zip(numbers, (row[at] for row in marked[1:]), strict=True))
            shown[name] = functools.partial(_as_written, texts)
    words = alt or tr("Table of {headings}", headings=", ".join(headings))
    # what a heading means shows when the pointer rests on it
    helps = {name: st.column_config.Column(help=why) for name in marked[0] if (why := explained(name))}
    if len(marked[0]) > 2:  # the others are pushed past the one that says whose they are
        helps[marked[0][0]] = st.column_config.Column(help=explained(marked[0][0]) or None, pinned=True)
    styled = frame.style.format(shown, na_rep="") if shown else frame
    st.dataframe(styled, hide_index=True, width="stretch", alt=words, column_config=helps, placeholder="")


def _broken_table(headings: Sequence[str], rows: Sequence[Sequence[str]], alt: str) -> None:
    """A table whose words are broken into lines, with its first column held where the others are pushed; keys can push them too."""
    head, *body = [[escape(for_reader(cell, units_system())) for cell in row] for row in (headings, *rows)]
    words = escape(alt or tr("Table of {headings}", headings=", ".join(headings)))
    lines = "".join(
        f'<tr><th scope="row">{name}</th>{"".join(f"<td>{cell}</td>" for cell in cells)}</tr>' for name, *cells in body
    )
    columns = "".join(f'<th scope="col">{cell}</th>' for cell in head)
    st.html(
        f'<div class="broken" role="region" tabindex="0" aria-label="{words}"><table><thead><tr>{columns}</tr></thead>'
        f"<tbody>{lines}</tbody></table></div>"
    )


def on_phone() -> bool:
    """Whether the browser says that it is a phone's: all of them have these letters in their name."""
    return "Mobi" in (st.context.headers.get("User-Agent") or "")


def small_table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Show a few rows at once, without the grid that sorts and saves: it is drawn sooner."""
    cells = [[literal(for_reader(cell, units_system())) for cell in row] for row in (headings, *rows)]
    st.table(pd.DataFrame(cells[1:], columns=cells[0], dtype=object).set_index(cells[0][0]))


def _as_written(texts: dict[float, str], value: object) -> str:
    return texts.get(value, str(value)) if isinstance(value, float) else str(value)


_AMOUNT = re.compile(r"([-−]?)((?:[$€£]|CHF|CAD|AUD|NZD)?)(\d[\d,]*(?:\.\d+)?)((?:/| )?[A-Za-z%°³²·/ ]*)")


def numbers_of(cells: Sequence[str]) -> list[float] | None:
    """Numbers of a column whose cells are all amounts in one unit, so that it sorts by size; None of any other.

    Examples
    --------
    >>> numbers_of(["$1,200", "-$30", ""]), numbers_of(["Jan", "2"]), numbers_of(["3 kWh", "3 gal"])
    ([1200.0, -30.0, nan], None, None)
    """
    numbers, units = [], set()
    for cell in cells:
        match = _AMOUNT.fullmatch(cell.strip()) if cell.strip() else None
        if match is None and cell.strip():
            return None
        if match is not None:
            units.add((match[2], match[4].strip()))
        value = float(match[3].replace(",", "")) if match is not None else math.nan
        numbers.append(-value if match is not None and match[1] else value)
    return numbers if len(units) == 1 else None


def chart(figure: Any, key: str, alt: str = "", *, half: bool = False, saved: bool = False) -> None:
    """Draw a figure without the row of buttons, which covers titles on a phone; `alt` says it in a sentence.

    Without `alt`, or where they are `saved`, its figures can be saved.

    A title that is broken for a phone stands in one line elsewhere, unless the figure has but `half` the page.
    """
    title = getattr(getattr(figure.layout, "title", None), "text", "") or ""
    if "<br>" in title and len(title) <= ONE_LINE and not half and not on_phone():
        room = 20 * title.count("<br>")
        figure.update_layout(title_text=title.replace("<br>", " "), margin_t=(figure.layout.margin.t or room) - room)
    if not st.session_state.get(PATTERNS):
        without_patterns(figure)
    words = alt or tr(
        "Chart: {title}. Its figures are in the CSV below it.", title=unescape(title.replace("<br>", " "))
    )
    st.plotly_chart(figure, key=key, config={"displayModeBar": False, "scrollZoom": False}, alt=words)
    if saved or not alt:
        st.download_button(
            tr("Figures as CSV"), lambda: figure_csv(figure), f"{key}.csv", "text/csv", key=f"csv/{key}", type="tertiary", on_click="ignore"
        )  # fmt: skip


def long_work(key: str, label: str, work: Callable[[Callable[[float], None]], Found]) -> Found | None:
    """Do what takes long under a bar that tells how far it is, with a button that stops it; None once it was stopped.

    `work` gets a function that it calls with the share that is done; where the reader has pressed Cancel, or anything
    else, the page runs anew from that call.
    """
    place, stopped = st.empty(), f"stopped/{key}"
    if st.session_state.get(stopped):
        with place.container(horizontal=True, vertical_alignment="center"):
            st.caption(tr("Cancelled."))
            st.button(tr("Run it"), key=f"run/{key}", on_click=_set, args=(stopped, False))
        return None
    with place.container():
        bar = st.progress(0.0, label)
        st.button(tr("Cancel"), key=f"cancel/{key}", on_click=_set, args=(stopped, True))

    def told(share: float) -> None:
        bar.progress(min(max(share, 0.0), 1.0), label)

    try:
        return work(told)
    finally:
        place.empty()


def long_kept(
    what: str,
    label: str,
    case: Case,
    weather: Weather,
    work: Callable[[], Found],
    *more: Hashable,
    seconds: float = 3.0,
) -> Found | None:
    """What takes long and tells nothing of how far it is: computed once for a study, under a bar that counts the time it usually takes.

    None once it was stopped; see `long_work` and `kept`.
    """
    if is_kept(what, case, weather, *more):
        return kept(what, case, weather, work, *more)
    result = long_work(what, label, lambda on_progress: beside(work, on_progress, seconds))
    return None if result is None else kept(what, case, weather, lambda: result, *more)


def _set(key: str, value: bool) -> None:
    st.session_state[key] = value


def pick(result: Result, key: str = "option", first: str = "") -> OptionResult:
    """Let the reader choose one of the options; the choice is kept while other pages are open.

    `first` names the one that is open before anything was chosen: without it the one that the cards lead with.
    """
    first = first or option_of_cards(result).name
    names = [option.name for option in result.options]
    kept_under = f"chosen/{key}"
    if st.session_state.get(key) not in names:  # Streamlit forgets what is not on the page
        before = st.session_state.get(kept_under)
        st.session_state[key] = before if before in names else first
    chosen = st.radio(tr("Which option"), names, horizontal=True, key=key, format_func=literal)
    if chosen != first or kept_under in st.session_state:
        st.session_state[kept_under] = chosen
    return result.option(chosen) if chosen in names else result.options[0]


def tell(error: object, head: str = "") -> None:
    """Say what is wrong, letter by letter and line by line, below a heading."""
    if head:
        st.error(head)
    for line in shown(str(error).split("\n")):
        say(line)


def explain(lines: Sequence[str]) -> None:
    """Let the figures of a part be opened to formula, inputs and source."""
    with st.expander(tr("How these figures are made")):
        for line in lines:
            say(line)
