"""From study to answer on one page: form at the side, the answer on top, the figures it is made of below."""

from __future__ import annotations

import streamlit as st

from costsim import charts
from costsim.answer import answer
from costsim.case import Case, built_in_studies, case_from
from costsim.engine.run import simulate
from costsim.errors import CostsimError, InputError
from costsim.result import CAUSES, OptionResult, Result
from costsim.screens import state
from costsim.screens.form import draw_form, plain
from costsim.tables import season_rows
from costsim.units import show as show_quantity
from costsim.weather import Weather
from costsim.weather.readers import read_sample

CAUTION = (
    "An estimate for planning, not a design. Gas, electrical, pressure and combustion work belongs to licensed trades;"
    " check the locally adopted edition of the codes. Every fuel-burning unit needs combustion air and a carbon-monoxide alarm."
)


def show() -> None:
    """Draw the page."""
    with st.sidebar:
        system = _head()
        data = state.typed()
        case, weather, error = _read(data)
        draw_form(list(error.faults) if isinstance(error, InputError) else [])
        state_changed = data != st.session_state.get("computed_from")
    if state_changed:
        case, weather, error = _read(state.typed())
        st.session_state["computed_from"] = dict(state.typed())
    if error is not None or case is None or weather is None:
        st.error("This study cannot be computed yet.")
        st.text(str(error))
        return
    try:
        result = simulate(case, weather)
    except CostsimError as fault:
        st.error(str(fault))
        return
    _draw(case, weather, result, system)


def _head() -> str:
    st.header("Your study")
    names = list(built_in_studies())
    chosen = st.selectbox("Start from an invented house", names, index=names.index(state.study_name()) if state.study_name() in names else 0,
                          format_func=plain, key=f"start/{state.revision()}")  # fmt: skip
    if chosen != state.study_name() and chosen in names:
        state.load_built_in(chosen)
        st.rerun()
    if st.button("Undo the last change", disabled=not state.can_undo()):
        state.undo()
        st.rerun()
    units = st.radio("Units", ["US", "SI"], horizontal=True, key="units")
    return str(units).lower()


def _read(data: dict[str, object]) -> tuple[Case | None, Weather | None, CostsimError | None]:
    try:
        case = case_from(data, file=state.study_name())
        return case, read_sample(case.place.weather), None
    except CostsimError as error:
        return None, None, error


def _draw(case: Case, weather: Weather, result: Result, system: str) -> None:
    st.title(case.title)
    st.subheader(answer(result, system))
    if case.note:
        st.caption(case.note)
    headings, rows = season_rows(result, system)
    st.dataframe([dict(zip(headings, row, strict=True)) for row in rows], hide_index=True, width="stretch")
    st.plotly_chart(charts.cost_chart(result), key="cost")
    chosen = st.radio("Look closer at", [option.name for option in result.options], horizontal=True, key="closer")
    option = result.option(chosen) if chosen in [o.name for o in result.options] else result.options[0]
    _closer(weather, result, option, system)
    for text in result.warnings:
        st.warning(text)
    with st.expander("What this rests on"):
        st.dataframe(
            [
                {"what": a.what, "value": a.value, "source": a.source, "key in the study": a.key}
                for a in result.assumptions
            ],
            hide_index=True,
            width="stretch",
        )
    st.caption(CAUTION)


def _closer(weather: Weather, result: Result, option: OptionResult, system: str) -> None:
    st.plotly_chart(charts.monthly_chart(result, option, system), key="months")
    st.plotly_chart(charts.duration_chart(option, system), key="duration")
    first = charts.coldest_week(weather.outdoor_c)
    st.plotly_chart(charts.week_chart(result, option, first, system), key="week")
    for cause, joule in option.shortfall.by_cause_j.items():
        if joule > 1e3:
            st.markdown(f"{show_quantity(joule, 'heat', system, 2)} not delivered because {CAUSES[cause]}.")
