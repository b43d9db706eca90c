"""The decision on the page of money: verdicts with their probability, what they hang on, what waiting costs."""

from __future__ import annotations

import streamlit as st

from costsim.analysis.decision import decide
from costsim.analysis.lifecycle import life_cycle
from costsim.dashboard.widgets import long_kept, say, small_table, table, tell
from costsim.errors import CostsimError
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.views.decision_rows import driver_rows, driver_title, swing_rows, waiting_lines
from costsim.views.text_decision import payment_lines, verdict_rows
from costsim.weather import Weather
from costsim.words import tr


def verdicts(case: Case, weather: Weather, result: Result) -> None:
    """Who is cheapest to buy, to run and over the years, emits least and is never cold, and how sure that is."""
    try:
        verdict = long_kept(
            "decision",
            tr("Running scenarios over the years …"),
            case,
            weather,
            lambda: decide(case, weather, life_cycle(case, result)[0]),
        )
    except CostsimError as error:
        tell(error)
        return
    if verdict is None:
        return
    table(*verdict_rows(case, verdict))
    for line in (*payment_lines(case), *waiting_lines(case, verdict)):
        say(line)
    st.markdown(f"**{driver_title(verdict)}**")
    table(*driver_rows(verdict))
    st.caption(
        tr(
            "{scenarios} scenarios (seed {seed}), the same for every option; first costs are as entered."
            " Costs and carbon are compared among the options that keep the house warm (at most {hours} hours"
            " a year too cold).",
            scenarios=f"{verdict.scenarios:,}",
            seed=verdict.seed,
            hours=f"{case.house.max_unmet_hours:,}",
        )
    )
    with st.expander(tr("How prices move over the years")):
        small_table(*swing_rows(verdict))
