"""What the parts of the page share: their registry, tables, figures and the choice of an option."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st

from costsim.dashboard.state import literal
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.views.tables import safe_text
from costsim.weather import Weather

Part = Callable[[Case, Weather, Result, str], None]
PARTS: dict[str, Part] = {}


def part(name: str) -> Callable[[Part], Part]:
    """Register a part of the page under the name that people see."""

    def put(function: Part) -> Part:
        PARTS[name] = function
        return function

    return put


def table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Show a table of texts; Streamlit lets the reader save it as CSV, so no cell may begin like a formula."""
    marked = [[safe_text(cell) for cell in row] for row in (headings, *rows)]
    st.dataframe([dict(zip(marked[0], row, strict=True)) for row in marked[1:]], hide_index=True, width="stretch")


def chart(figure: object, key: str) -> None:
    """Draw a figure without the row of buttons, which covers titles on a phone."""
    st.plotly_chart(figure, key=key, config={"displayModeBar": False, "scrollZoom": False})


def pick(result: Result) -> OptionResult:
    """Let the reader choose one of the options."""
    names = [option.name for option in result.options]
    chosen = st.radio("Which option", names, horizontal=True, key="option", format_func=literal)
    return result.option(chosen) if chosen in names else result.options[0]


def tell(error: object, head: str = "") -> None:
    """Say what is wrong, letter by letter and line by line, below a heading."""
    if head:
        st.error(head)
    for line in str(error).split("\n"):
        st.text(line)


def explain(lines: Sequence[str]) -> None:
    """Let the figures of a part be opened to formula, inputs and source."""
    with st.expander("How these figures are made"):
        for line in lines:
            st.text(line)
