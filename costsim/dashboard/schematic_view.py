"""The schematic of an option on a page."""

from __future__ import annotations

import streamlit as st

from costsim.analysis.capacity import capacity_report
from costsim.analysis.layout import layout
from costsim.dashboard.kept import kept
from costsim.dashboard.state import literal
from costsim.engine.lower import lower_study
from costsim.errors import CostsimError
from costsim.results.result import OptionResult
from costsim.study.case import Case
from costsim.views.schematic import WARNING, Schematic, draw
from costsim.views.system import system_of
from costsim.weather import Weather


def draw_schematic(case: Case, weather: Weather, option: OptionResult, system: str) -> None:
    """Draw how one option is connected, with what it shows in words."""
    try:
        found = kept("schematic", case, weather, lambda: _made(case, weather, option.name, system), option.name, system)
    except CostsimError as error:
        st.text(f"There is no schematic: {error}")
        return
    with st.container(key="schematic"):
        st.image(found.svg, width="stretch", alt=found.about)
    st.caption(literal(WARNING))
    st.download_button("Save the drawing", found.svg, f"schematic-{system}.svg", "image/svg+xml", on_click="ignore")


def _made(case: Case, weather: Weather, name: str, system: str) -> Schematic:
    common = lower_study(case, weather)
    option = next(one for one in case.options if one.name == name)
    look = next(one for one in capacity_report(case, weather).options if one.option == name)
    try:
        laid = layout(case, weather)
    except CostsimError:
        laid = None
    return draw(system_of(common, option, look, laid), system)
