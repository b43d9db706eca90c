"""Reports: the page to sign, the calculation sheet, every hour, and what the answer rests on."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import parts, parts_report
from costsim.dashboard.registry import Context, page
from costsim.dashboard.trial import kept_answer
from costsim.words import tr


@page("reports", "Reports", group="Share", place=100)
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Reports"))
    answer = context.answer
    if answer is None:
        return
    answer = kept_answer(answer)
    parts_report.hand_over(answer, context.persona, context.system)
    st.header(tr("Assumptions and sources"))
    parts.rests(answer.case, answer.weather, answer.result, context.system)
