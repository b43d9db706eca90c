"""The page: the study at the side, the answer on top, and one part at a time below it."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.form import draw_form, draw_prices
from costsim.dashboard.personas import DOORS
from costsim.dashboard.widgets import tell
from costsim.engine.block import warm_up
from costsim.errors import CostsimError, InputError
from costsim.results.result import Result
from costsim.simulation import load_weather, simulate
from costsim.study.case import Case, built_in_studies, case_from, parse_study, write_study
from costsim.units.fields import in_words
from costsim.units.table import CURRENCIES
from costsim.views.answer import answer
from costsim.views.headline import headline
from costsim.weather import Weather

CAUTION = (
    "An estimate for planning, not a design. Gas, electrical, pressure and combustion work belongs to licensed trades;"
    " check the locally adopted edition of the codes. Every fuel-burning unit needs combustion air and a carbon-monoxide alarm,"
    " every closed system a relief valve, and water in pipes protection from frost."
)


def show() -> None:
    """Draw the page."""
    warm_up()
    with st.sidebar:
        door = _door()
        system = _head()
        faults = st.container()
        draw_form(st.session_state.get("faults", []), hides=DOORS[door].hides)
    if state.just_changed():
        st.rerun()
    state.remember_in_link(door)
    case, weather, result, error = _computed()
    if error is not None:
        _tell(faults, error)
    if case is None or weather is None or result is None:
        return
    _draw(case, weather, result, system, error is not None, door)


def _door() -> str:
    """Who is looking. A house that nobody has touched is changed for the one of that door."""
    state.typed()
    asked = str(st.query_params.get("door", ""))
    st.session_state.setdefault("door", asked if asked in DOORS else next(iter(DOORS)))
    for line in st.session_state.pop("link_faults", []):
        st.warning(state.literal(f"The link was not opened: {line}"))
    st.radio("Who is looking", list(DOORS), key="door", format_func=lambda key: DOORS[key].label, on_change=_entered)
    return str(st.session_state["door"])


def _entered() -> None:
    if state.untouched_demo():
        state.load_built_in(DOORS[st.session_state["door"]].study)


def _tell(place: st.delta_generator.DeltaGenerator, error: CostsimError) -> None:
    """Show what is wrong, line by line, as plain text."""
    with place:
        tell(error, "This study cannot be computed as it stands:")


def _head() -> str:
    st.header("Your study")
    names = list(built_in_studies())
    now = state.study_name()
    choices = names if now in names else [now, *names]
    chosen = st.selectbox(
        "Start from",
        choices,
        index=choices.index(now),
        format_func=in_words,
        key=f"start/{state.revision()}",
    )
    if chosen != now and chosen in names:
        state.load_built_in(chosen)
        st.rerun()
    _files()
    undo, units = st.columns([1, 1])
    if undo.button("Undo", disabled=not state.can_undo(), help="Take the last change back"):
        state.undo()
        st.rerun()
    _currency()
    state.follow_units()
    return str(units.radio("Units", ["US", "SI"], horizontal=True, key="units", label_visibility="collapsed")).lower()


def _currency() -> None:
    """Another currency's sign for all prices; nothing is converted."""
    coins = list(dict.fromkeys(CURRENCIES.values()))
    now = state.currency() or coins[0]
    chosen = st.selectbox(
        "Currency",
        coins,
        index=coins.index(now),
        key=f"currency/{state.revision()}/{now}",
        help="Changes the sign of all prices and converts nothing.",
    )
    if chosen != now:
        state.set_currency(chosen)
        st.rerun()


def _files() -> None:
    with st.expander("Open or save a study"):
        loaded = st.file_uploader("Open a study file (.toml)", type=["toml"], key=f"upload/{state.revision()}")
        if loaded is not None:
            try:
                data = parse_study(loaded.getvalue(), file=loaded.name)
                case_from(data, file=loaded.name, files=state.files())
            except InputError as error:
                tell(error, "This file was not opened; your study is as it was.")
            else:
                state.replace(data, loaded.name)
                st.rerun()
        st.download_button(
            "Save this study", write_study(state.typed()), file_name="study.toml", mime="application/toml"
        )


def _computed() -> tuple[Case | None, Weather | None, Result | None, CostsimError | None]:
    """The study as typed, or the last one that could be computed and what is wrong with the new one."""
    try:
        case = case_from(state.typed(), file=state.study_name(), files=state.files())
        weather = load_weather(case)
        result = simulate(case, weather)
    except CostsimError as error:
        if isinstance(error, InputError) and st.session_state.get("faults") != list(error.faults):
            st.session_state["faults"] = list(error.faults)
            st.rerun()
        good = st.session_state.get("good")
        return (*good, simulate(*good), error) if good else (None, None, None, error)
    if st.session_state.pop("faults", None):
        st.rerun()
    # not the result: hours of every option are much to keep for each visitor
    st.session_state["good"] = (case, weather)
    return case, weather, result, None


def _draw(case: Case, weather: Weather, result: Result, system: str, stale: bool, door: str) -> None:
    st.title(state.literal(case.title))
    if stale:
        st.warning("Shown is your last study that could be computed; mend what is marked at the side.")
    with st.spinner("Weighing the uncertainty …"):
        st.subheader(state.literal(_sentence(case, weather, result, system)))
    if case.note:
        st.caption(state.literal(case.note))
    draw_prices(case)
    shown = DOORS[door].parts()
    if st.session_state.get("part") not in shown:
        st.session_state["part"] = next(iter(shown))
    chosen = st.segmented_control("Look at", list(shown), key="part")
    shown[chosen or next(iter(shown))](case, weather, result, system)
    for text in result.warnings:
        st.warning(state.literal(text))
    st.caption(CAUTION)


def _sentence(case: Case, weather: Weather, result: Result, system: str) -> str:
    """The answer; kept for the session until study or units change, since it takes some tenths of a second."""
    key = (write_study(case.typed), system)
    if st.session_state.get("sentence_for") != key:
        try:
            st.session_state["sentence"] = headline(case, weather, result, system)
        except CostsimError:
            st.session_state["sentence"] = answer(result, system, case)
        st.session_state["sentence_for"] = key
    return str(st.session_state["sentence"])
