"""What a layout from floor areas and a selection of sizes say, on the page Layout."""

from __future__ import annotations

import streamlit as st

from costsim.analysis.entered import entered
from costsim.analysis.layout import layout
from costsim.analysis.select import SourceChoice, select
from costsim.analysis.sizing import named_option
from costsim.dashboard.kept import kept, kept_without_prices
from costsim.dashboard.registry import Answer
from costsim.dashboard.schematic_view import drawn_system
from costsim.dashboard.state import literal
from costsim.dashboard.widgets import say, small_table, table
from costsim.errors import CostsimError
from costsim.results.result import OptionResult
from costsim.study.case import Case
from costsim.views.materials import NOTE, material_csv, material_rows
from costsim.views.option_fill import option_fill_lines
from costsim.views.text_circulators import head_lines, source_pump_lines
from costsim.views.text_circulators import pump_rows as duty_rows
from costsim.views.text_layout import (
    floor_lines,
    half_rows,
    loop_rows,
    note_lines,
    pump_rows,
    summary,
    supply_note,
    unserved_lines,
)
from costsim.views.text_select import CAUTION, entered_lines, head_line, pressure_lines, step_rows, target_text
from costsim.weather import Weather
from costsim.words import tr


def draw_layout(case: Case, weather: Weather, system: str) -> None:
    """Show loops, pumps and fill of a floor that is given by areas."""
    try:
        plan = kept("layout", case, weather, lambda: layout(case, weather))
    except CostsimError as error:
        say(tr("There is no layout: {error}", error=error))
        return
    say(summary(plan, system))
    say(supply_note(plan, system))
    table(*loop_rows(plan, system))
    for line in (
        *unserved_lines(plan, system),
        *floor_lines(plan, system),
        *note_lines(plan, system),
    ):
        say(line)
    with st.expander(tr("Half load, and pumps")):
        table(*half_rows(plan, system))
        table(*pump_rows(plan, system))


def draw_selection(case: Case, weather: Weather, system: str, currency: str) -> None:
    """Show the next common size up of every part, once it is asked for: each size is run for a year."""
    with st.expander(tr("Sizes off the shelf"), key="layout/sizes", on_change="rerun") as box:
        if not box.open:
            return
        try:
            selection = kept("selection", case, weather, lambda: select(case, weather))
        except CostsimError as error:
            say(tr("There are no sizes: {error}", error=error))
            return
        say(target_text(selection, system))
        for option in selection.options:
            st.subheader(literal(option.option), anchor=False)
            for source in option.sources:
                _source(source, system, currency)
            for line in (*pressure_lines(option.circuit, system), *source_pump_lines(option.pumps, system)):
                say(line)
        if selection.pumps:
            table(*duty_rows(selection.pumps, system))
            for line in head_lines(selection.pumps):
                say(line)
        say(tr(CAUTION).replace("\n", " "))


def draw_fill(answer: Answer, result: OptionResult, system: str) -> None:
    """Say what the option that is shown is filled with, and its expansion tank."""
    option = next(listed for listed in answer.case.options if listed.name == result.name)

    def work() -> list[str]:
        return option_fill_lines(entered(answer.result.lowered, answer.weather, option), system)

    try:
        lines = kept_without_prices("fill", answer.case, answer.weather, work, option.name, system)
    except CostsimError as error:
        say(tr("There is no filling: {error}", error=error))
        return
    for line in lines:
        say(line)


def draw_materials(answer: Answer, result: OptionResult, system: str) -> None:
    """Show what an installer buys for an option, with a file of it, once it is asked for."""
    with st.expander(tr("Material list"), key="layout/materials", on_change="rerun") as box:
        if not box.open:
            return
        option = named_option(answer.case, result.name)

        def work() -> tuple[list[str], list[list[str]]]:
            plan = entered(answer.result.lowered, answer.weather, option)
            return material_rows(plan, drawn_system(answer, result), system)

        try:
            headings, rows = kept_without_prices("materials", answer.case, answer.weather, work, option.name, system)
        except CostsimError as error:
            say(tr("There is no list of material: {error}", error=error))
            return
        say(tr("For {option}. To choose another, see the schematic above.", option=option.name))
        small_table(headings, rows)
        st.caption(tr(NOTE))
        st.download_button(
            tr("Material list as CSV"), material_csv(headings, rows), "materials.csv", "text/csv", on_click="ignore"
        )


def _source(source: SourceChoice, system: str, currency: str) -> None:
    """What a source must give, the sizes around it, and circuit or gas line of the one entered."""
    if head := head_line(source, system):
        say(head)
        if source.steps:
            headings, rows = step_rows(source, system, currency)
            sizes = [f"{row[0][2:]} · {tr('chosen')}" if row[0].startswith(">") else row[0][2:] for row in rows]
            table(
                [headings[0].strip(), *headings[1:]], [[size, *row[1:]] for size, row in zip(sizes, rows, strict=True)]
            )
    for line in entered_lines(source, system):
        say(line.strip())
