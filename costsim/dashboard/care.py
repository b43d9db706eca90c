"""The cautions that belong to a study, in a line that opens to the whole of them."""

from __future__ import annotations

import streamlit as st

from costsim.analysis.needs import cautions_for
from costsim.dashboard.registry import Answer
from costsim.dashboard.state import literal
from costsim.views.wording import for_reader
from costsim.words import tr

TITLES = {
    "carbon_monoxide": "carbon monoxide",
    "return_water": "cool return water to a boiler",
    "electrical_work": "wiring",
    "pressure_relief": "pressure",
    "freezing": "freezing",
    "weight": "weight",
    "scalding": "scalding",
}
"""Cautions that the line names, by key; all the others stand below it too."""


def draw_care(answer: Answer, system: str) -> None:
    """Name what can hurt somebody in any of a study's options; the text is that of the reports."""
    cautions = cautions_for(answer.result.lowered, system)
    label = tr(
        "Take care: {titles}. Local codes and licensed trades decide.",
        titles=", ".join(tr(TITLES[caution.key]) for caution in cautions if caution.key in TITLES),
    )
    with st.expander(label, icon=":material/health_and_safety:"):
        for caution in cautions:
            st.markdown(f"**{literal(caution.title)}.** {literal(for_reader(caution.text, system))}")
            st.caption(literal(caution.check))
