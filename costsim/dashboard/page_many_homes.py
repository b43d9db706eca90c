"""Many homes: a table of homes run through the study, and what all come to."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import parts_many
from costsim.dashboard.registry import Context, page
from costsim.words import tr


@page("many-homes", "Many homes", group="Share", place=90)
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Many homes"))
    if context.answer is not None:
        parts_many.many(context.answer.case, context.answer.weather, context.answer.result, context.system)
