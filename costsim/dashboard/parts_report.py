"""The part of the page to hand over: report, cautions that belong to the case, and the ratings of its parts."""

from __future__ import annotations

import tempfile
from pathlib import Path

import streamlit as st

from costsim.analysis.lifecycle import capital_verdict
from costsim.analysis.needs import cautions_for, needs_of
from costsim.analysis.sizing import named_option
from costsim.dashboard.registry import Answer
from costsim.dashboard.state import literal
from costsim.dashboard.time_limit import beside
from costsim.dashboard.widgets import long_work, say, table, tell
from costsim.errors import CostsimError
from costsim.report.content import paper_of, report_of
from costsim.report.write import FORMS
from costsim.results.result import Result
from costsim.study.case import Case, Option, write_study
from costsim.study.rating_checks import rating_checks
from costsim.study.ratings import Ratings
from costsim.views.answer import called, leading
from costsim.views.rounding import apart, round_money
from costsim.views.tables import money, write_hourly
from costsim.weather import Weather
from costsim.words import tr

READS = {"household": "Household page", "installer": "Page to sign"}
ABOUT = {
    "household": "Summary to print or share: what it costs, whether the house stays warm, cautions, and the"
    " figures behind them.",
    "installer": "Pages for owner, installer and inspector to sign on the option chosen, and a calculation sheet"
    " with every input, formula and source.",
}
LENGTH = {True: "Short", False: "Full"}
LENGTHS = {
    True: "Short: the first page with its cautions, then a summary of the figures, on some three pages.",
    False: "Full: the first page, then every figure, assumption and source behind it.",
}
SHEET = {"letter": "Letter", "a4": "A4"}
REPORT_S = 5.0
"""Usual time of a report."""
KINDS = {".pdf": "application/pdf", ".html": "text/html"}
SHEETS = {
    ".xlsx": ("Hourly results, Excel", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    ".parquet": ("Hourly results, Parquet", "application/vnd.apache.parquet"),
}


def hand_over(answer: Answer, persona: str, system: str) -> None:
    """Make the report for a reader and a paper, and show the cautions and ratings that stand on it."""
    case, weather = answer.case, answer.weather
    left, middle, right = st.columns([2, 1, 1])
    first = "household" if persona == "household" else "installer"
    reader = left.segmented_control(
        tr("Report"),
        list(READS),
        default=first,
        format_func=lambda choice: tr(READS[choice]),
        key=f"report/reader/{first}",
        required=True,
    )
    short = middle.segmented_control(
        tr("Length"),
        list(LENGTH),
        default=False,
        format_func=lambda choice: tr(LENGTH[choice]),
        key="report/short",
        required=True,
    )
    usual = paper_of(case, system)
    paper = right.segmented_control(
        tr("Paper"),
        list(SHEET),
        default=usual,
        format_func=lambda choice: tr(SHEET[choice]),
        key=f"report/paper/{usual}",
        required=True,
    )
    say(tr(ABOUT[str(reader)]))
    say(tr(LENGTHS[bool(short)]))
    signed = None if reader == "household" else _to_sign(case, answer.result)
    _report(case, weather, system, str(reader), str(paper), signed.name if signed else "", short=bool(short))
    _hours(answer.result, system, persona)
    common = answer.result.lowered
    st.markdown(tr("**Cautions for {name}**", name=literal(signed.name)) if signed else tr("**Cautions**"))
    for caution in cautions_for(common, system, signed):
        with st.expander(caution.title):
            say(caution.text)
            say(caution.check)
    if signed is None:
        return
    st.markdown(tr("**Ratings of the parts for {name}**", name=literal(signed.name)))
    checks = rating_checks(case.ratings or Ratings(), needs_of(common, signed), system)
    rows = [
        [tr(check.what), check.given_text(system), check.needed_text(system), tr(check.verdict), check.ground]
        for check in checks
    ]
    table([tr("part"), tr("given"), tr("needed"), tr("verdict"), tr("why")], rows)


def _to_sign(case: Case, result: Result) -> Option:
    """The option whose diagram, sizes and ratings stand on the page; the answer's until another one is chosen."""
    names = [option.name for option in case.options]
    if len(names) == 1:
        return case.options[0]
    first = leading(result).name
    key = f"report/option/{first}"
    name = st.selectbox(tr("Option to sign"), names, index=names.index(first), key=key)
    if text := over_years_line(case, result, str(name)):
        st.caption(literal(text))
    return named_option(case, name)


def over_years_line(case: Case, result: Result, name: str) -> str:
    """Say beside the option to sign which other one costs less over the years; empty where it is the cheapest, or not known."""
    able = [option.name for option in result.options if option.keeps_warm]
    verdict = capital_verdict(case, result, name, able)
    if verdict is None or not round_money(verdict.saving):
        return ""
    return tr(
        "{name} costs least over {years} years, first costs counted: {saving} less than {option}.",
        name=called(verdict.cheapest_over_years),
        years=verdict.years,
        saving=money(apart(verdict.costs[1], verdict.costs[0], 3)[2], case.currency),
        option=called(name),
    )


def _report(case: Case, weather: Weather, system: str, reader: str, paper: str, option: str, *, short: bool) -> None:
    """Make the report once it is asked for, and offer it in each form."""
    key = (write_study(case.typed), weather.title, system, reader, paper, option, tr(LENGTH[short]))
    st.button(tr("Make the report"), on_click=_wanted, args=(key,))
    if st.session_state.get("report/wanted") == key and st.session_state.get("report/for") != key:

        def work() -> dict[str, bytes]:
            report = report_of(case, weather, system, reader=reader, paper=paper, option=option, short=short)
            return {ending: form(report) for ending, form in FORMS.items()}

        try:
            made = long_work(
                "report", tr("Writing the report …"), lambda on_progress: beside(work, on_progress, REPORT_S)
            )
        except CostsimError as error:
            tell(error)
            return
        if made is not None:
            st.session_state["report/made"], st.session_state["report/for"] = made, key
    if st.session_state.get("report/for") == key:
        ready = st.session_state["report/made"]
        for (ending, content), column in zip(ready.items(), st.columns(len(ready)), strict=True):
            name = f"report-{reader}-{paper}{'-short' if short else ''}{ending}"
            column.download_button(
                tr("Report {ending}", ending=ending[1:].upper()), content, name, KINDS[ending], on_click="ignore"
            )


def _wanted(key: tuple[str, ...]) -> None:
    st.session_state["report/wanted"], st.session_state["stopped/report"] = key, False


def _hours(result: Result, system: str, persona: str) -> None:
    """Downloads of every hour, made when asked for; a homeowner's are those of a spreadsheet."""
    columns = st.columns(len(SHEETS))
    for (ending, (label, mime)), column in zip(SHEETS.items(), columns, strict=True):
        if persona == "household" and ending == ".parquet":
            continue
        if column.toggle(tr(label), key=f"hours{ending}"):
            column.download_button(tr("Save it"), _hourly(result, ending, system), f"hours{ending}", mime)


def _hourly(result: Result, ending: str, system: str) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"hours{ending}"
        write_hourly(result, file, system)
        return file.read_bytes()
