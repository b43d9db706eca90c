"""The part of the page to hand over: report, cautions that belong to the case, and the ratings of its parts."""

from __future__ import annotations

import tempfile
from pathlib import Path

import streamlit as st

from costsim.analysis.needs import needs_of
from costsim.dashboard.widgets import table, tell
from costsim.errors import CostsimError
from costsim.report.content import report_of
from costsim.report.write import FORMS
from costsim.results.cautions import cautions_of
from costsim.results.result import Result
from costsim.study.case import Case, write_study
from costsim.study.ratings import Ratings, rating_checks
from costsim.views.tables import write_hourly
from costsim.weather import Weather

KINDS = {".pdf": "application/pdf", ".html": "text/html"}
SHEETS = {
    ".xlsx": ("Every hour as Excel", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    ".parquet": ("Every hour as Parquet", "application/vnd.apache.parquet"),
}


def hand_over(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Make the report, and show the cautions and ratings that stand on it."""
    st.text(
        "One page to sign for owner, installer and inspector, and a calculation sheet with every input, formula and source."
    )
    key = (write_study(case.typed), weather.title, system)
    if st.button("Make the report"):
        _make(case, weather, system, key)
    made = st.session_state.get("report/made", {})
    if st.session_state.get("report/for") == key:
        for (ending, content), column in zip(made.items(), st.columns(len(made)), strict=True):
            column.download_button(f"Report {ending[1:].upper()}", content, f"report{ending}", KINDS[ending])
    _hours(result, system)
    needs = needs_of(result.lowered)
    st.markdown("**Cautions**")
    for one in cautions_of(
        case,
        coldest_c=needs.coldest_c,
        freeze_c=needs.freeze_c,
        max_temperature_c=needs.max_temperature_c,
        system=system,
    ):
        with st.expander(one.title):
            st.text(one.text)
            st.text(one.check)
    st.markdown("**Ratings of the parts**")
    checks = rating_checks(case.ratings or Ratings(), needs)
    rows = [[one.what, one.given_text(system), one.needed_text(system), one.verdict, one.ground] for one in checks]
    table(["part", "given", "needed", "verdict", "why"], rows)


def _make(case: Case, weather: Weather, system: str, key: tuple[str, str, str]) -> None:
    try:
        with st.spinner("Writing the report …"):
            report = report_of(case, weather, system)
            made = {ending: form(report) for ending, form in FORMS.items()}
    except CostsimError as error:
        tell(error)
        return
    st.session_state["report/made"], st.session_state["report/for"] = made, key


def _hours(result: Result, system: str) -> None:
    """Downloads of every hour, made when asked for."""
    columns = st.columns(len(SHEETS))
    for (ending, (label, mime)), column in zip(SHEETS.items(), columns, strict=True):
        if column.toggle(label, key=f"hours{ending}"):
            column.download_button("Save it", _hourly(result, ending, system), f"hours{ending}", mime)


def _hourly(result: Result, ending: str, system: str) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"hours{ending}"
        write_hourly(result, file, system)
        return file.read_bytes()
