"""Certainty: ranges, likelihoods, what changes the result most, and break-even prices."""

from __future__ import annotations

import streamlit as st

from costsim.analysis.scenarios import load_spread
from costsim.dashboard import parts, state
from costsim.dashboard.form import draw_model
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.registry import Answer, Context, page
from costsim.study.economics import Uncertainty
from costsim.units.quantity import show
from costsim.words import tr


@page("certainty", "Certainty", group="Risk", place=70, edits=("uncertainty",))
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Certainty"))
    answer = context.answer
    if answer is not None:
        parts.sure(answer.case, answer.weather, answer.result, context.system)
    st.header(tr("Uncertainty of the inputs"))
    if answer is not None:
        st.caption(state.literal(load_in_use(answer, context.system)))
    draw_model(
        Form(context.faults, context.system, state.currency() or "$"),
        ("uncertainty",),
        Uncertainty,
        main=("load", "winter", "efficiency"),
    )


def load_in_use(answer: Answer, system: str) -> str:
    """The spread of the design load that the scenarios draw with, beside the band that House tells."""
    route, spread = answer.result.route, f"{load_spread(answer.case):.1%}"
    load, band = show(route.load_w, "power", system), f"{route.band:.0%}"
    if answer.case.uncertainty.load_share is not None:
        return tr("Design load: {spread} is typed here and counts, not the ±{band} of House.", spread=spread, band=band)
    return tr(
        "Design load: {load} ±{band}, as on House. That range is taken to hold nine houses in ten, which is {spread} as one standard deviation.",
        load=load, band=band, spread=spread,
    )  # fmt: skip
