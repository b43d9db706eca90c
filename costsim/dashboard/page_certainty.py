"""Certainty: ranges, likelihoods, what changes the result most, and break-even prices."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import parts, state
from costsim.dashboard.form import draw_model
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.registry import Context, page
from costsim.study.economics import Uncertainty
from costsim.words import tr


@page("certainty", "Certainty", group="Risk", place=70, edits=("uncertainty",))
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Certainty"))
    answer = context.answer
    if answer is not None:
        parts.sure(answer.case, answer.weather, answer.result, context.system)
    st.header(tr("Uncertainty of the inputs"))
    draw_model(
        Form(context.faults, context.system, state.currency() or "$"),
        ("uncertainty",),
        Uncertainty,
        main=("load", "winter", "efficiency"),
    )
