"""What the pages share: tables, figures and the choice of an option."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import streamlit as st

from costsim.dashboard.budget import shown
from costsim.dashboard.state import literal
from costsim.results.result import OptionResult, Result
from costsim.views.tables import safe_text


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], alt: str = "") -> None:
    """Show a table of texts; Streamlit lets the reader save it as CSV, so no cell may begin like a formula."""
    marked = [[safe_text(cell) for cell in row] for row in (headings, *rows)]
    data = [dict(zip(marked[0], row, strict=True)) for row in marked[1:]]
    st.dataframe(data, hide_index=True, width="stretch", alt=alt or f"Table of {', '.join(headings)}")


def chart(figure: Any, key: str, alt: str = "") -> None:
    """Draw a figure without the row of buttons, which covers titles on a phone; `alt` says it in a sentence."""
    title = getattr(getattr(figure.layout, "title", None), "text", "") or ""
    words = alt or f"Chart: {title.replace('<br>', ' ')}. Its figures stand in the tables of this page."
    st.plotly_chart(figure, key=key, config={"displayModeBar": False, "scrollZoom": False}, alt=words)


def pick(result: Result, key: str = "option") -> OptionResult:
    """Let the reader choose one of the options."""
    names = [option.name for option in result.options]
    chosen = st.radio("Which option", names, horizontal=True, key=key, format_func=literal)
    return result.option(chosen) if chosen in names else result.options[0]


def tell(error: object, head: str = "") -> None:
    """Say what is wrong, letter by letter and line by line, below a heading."""
    if head:
        st.error(head)
    for line in shown(str(error).split("\n")):
        st.text(line)


def explain(lines: Sequence[str]) -> None:
    """Let the figures of a part be opened to formula, inputs and source."""
    with st.expander("How these figures are made"):
        for line in lines:
            st.text(line)
