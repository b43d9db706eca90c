"""The schematic of an option on a page: small beside the cost, and whole where it is asked for."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from costsim.analysis.capacity import source_capacities
from costsim.analysis.layout import layout
from costsim.analysis.sizing import named_option
from costsim.dashboard.kept import kept_without_prices
from costsim.dashboard.registry import Answer
from costsim.dashboard.state import literal
from costsim.dashboard.widgets import say
from costsim.engine.lower import lower_plant, option_study
from costsim.errors import CostsimError
from costsim.results.result import OptionResult
from costsim.units.quantity import show
from costsim.views.schematic import Schematic, System, draw
from costsim.views.schematic_small import draw_small
from costsim.views.schematic_words import WARNING
from costsim.views.system import system_of
from costsim.words import tr


def draw_schematic(answer: Answer, option: OptionResult, system: str) -> None:
    """Draw how one option is connected, with what it shows in words."""
    drawing = _drawing(answer, option, system, "schematic", draw)
    if drawing is None:
        return
    with st.container(key="schematic"):
        st.image(drawing.svg, width="stretch", alt=drawing.about)
    st.caption(literal(tr(WARNING)))
    st.download_button(
        tr("Save the drawing"), drawing.svg, f"schematic-{system}.svg", "image/svg+xml", on_click="ignore"
    )


def draw_small_schematic(answer: Answer, option: OptionResult, system: str) -> None:
    """Draw the same in few large parts, for the first look."""
    drawing = _drawing(answer, option, system, "schematic-small", draw_small)
    if drawing is not None:
        with st.container(key="schematic-small"):
            st.image(drawing.svg, width="stretch", alt=drawing.about)
        outdoor = show(answer.result.design_outdoor_c, "temperature", system, 0)
        st.caption(
            tr(
                "What the house needs: at {outdoor} outdoors, with nothing taken off for sun and people.",
                outdoor=outdoor,
            )
        )


def _drawing(
    answer: Answer, option: OptionResult, system: str, what: str, how: Callable[[System, str], Schematic]
) -> Schematic | None:
    def work() -> Schematic:
        return how(drawn_system(answer, option), system)

    try:
        return kept_without_prices(what, answer.case, answer.weather, work, option.name, system)
    except CostsimError as error:
        say(tr("There is no diagram: {error}", error=error))
        return None


def drawn_system(answer: Answer, result: OptionResult) -> System:
    """What the schematic of an option shows."""
    case, common = answer.case, answer.result.lowered
    option = named_option(case, result.name)
    own = option_study(common, option)
    capacities = source_capacities(own, option, lower_plant(own, option), result.hourly)
    drawn = layout(case, answer.weather) if case.floor is not None and case.floor.layout is not None else None
    return system_of(common, option, capacities, drawn)
