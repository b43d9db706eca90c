"""Choose a weather station by place, open a file of one's own, or have a year made from monthly means."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from pathlib import PurePath
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.asking import WEATHER_FIELDS, ask, weather_answers, weather_prefix
from costsim.dashboard.bill_files import looks_like_bills
from costsim.dashboard.fault_names import said_of
from costsim.dashboard.quantity_entry import Form, key_for
from costsim.dashboard.synthetic_weather import (
    MADE,
    ask_sunshine,
    design_c,
    draw_town,
    listed,
    make_for,
    move_to,
    name_town,
    of_list,
    rests_on_estimate,
)
from costsim.dashboard.widgets import tell
from costsim.errors import Fault, InputError
from costsim.sources import KINDS
from costsim.study_files import StudyFiles, sample_names
from costsim.units.fields import in_words
from costsim.units.quantity import show
from costsim.views.templates import TEMPLATES
from costsim.weather import design_temperature
from costsim.weather.estimated_cold import estimated_99_c
from costsim.weather.join import one_year
from costsim.weather.named import named_weather
from costsim.weather.readers import read_record
from costsim.weather.towns import PERIOD, same_state, towns, towns_like
from costsim.weather.write import weather_csv
from costsim.words import tr

PATH = ("place", "weather")
NEAR_K, FAR_K = 2.8, 8.0
"""How far estimated design temperatures lie from tables: in 8 of 10 towns at most, and at most; a test holds both to the list."""


def draw_weather_choice(form: Form) -> None:
    """Draw the search box; the two other ways to a year of weather stand below it."""
    names, now = _choices(), str(state.get(PATH) or "")
    choices = names if now in names else [*names, now]
    widget = key_for(PATH)
    if st.session_state.get(widget) != now:
        st.session_state[widget] = now
    st.selectbox(
        tr("Weather station"),
        choices,
        key=widget,
        accept_new_options=True,
        format_func=lambda name: station(name, form.system),
        on_change=_chosen,
        args=(widget,),
        help=tr("Type a place to search among the stations that are here."),
    )
    if unknown := str(st.session_state.get("place/unknown", "")):
        _begin_town(unknown)
        no_such_place(unknown)
    else:
        few_stations(form.system, now)
    for fault in [asking for asking in form.faults if asking.field == "place.weather"]:
        st.error(state.literal(said_of(fault)))
    if opened := open_a_file(f"weather_file/{state.revision()}") or draw_town(now):
        st.session_state.setdefault("answers", {})["start/place"] = opened
        st.session_state["place/unknown"] = ""
        move_to(opened)
        st.rerun()


def ask_place(system: str) -> str:
    """Ask where the house stands, without leaving the questions for a file or a town's year; gives the weather's name, or nothing.

    The list is drawn last, in its place above, so that what has just been opened or made is chosen in it.
    """
    above, note, box = st.container(), st.container(), "start/place"
    typed = listed(meant(str(st.session_state.get(box) or "")))
    unknown = bool(typed) and not is_known(typed)
    if unknown:
        _begin_town(typed)
    opened = open_a_file("start/weather_file") or draw_town(typed)
    if unknown and not opened:
        with note:
            no_such_place(typed)
    if opened or typed != str(st.session_state.get(box) or ""):
        st.session_state[box] = opened or typed  # a part of a name is enough
    with above:
        place = st.selectbox(
            tr("Weather station with winters like yours"),
            _choices(),
            index=None,
            format_func=lambda name: station(name, system),
            key=box,
            placeholder=tr("Choose one, or type your town"),
            accept_new_options=True,
        )
    if place and not is_known(str(place)):
        return ""
    with note:
        few_stations(system, str(place or ""))
    return str(place or "")


def _choices() -> list[str]:
    """What the list of weathers offers: the built-in stations, what this session opened, then towns whose year can be made."""
    made = {town.name for name in state.opened() if (town := of_list(name))}
    return [*sample_names(), *state.opened(), *(name for name in towns() if name not in made)]


def _begin_town(text: str) -> None:
    """Open the form for the year of a town that no weather is stored for."""
    if st.session_state.get("town/named") != text:
        st.session_state["town/named"] = text
        name_town(text)


def no_such_place(text: str) -> None:
    """Say what to do where somebody typed a town or ZIP that no weather is stored for."""
    if near := towns_like(text):
        st.caption(
            state.literal(tr("Did you mean one of these? {names}. Choose it in the list.", names="; ".join(near)))
        )
    elif same := same_state(text):
        st.caption(
            state.literal(
                tr(
                    "Not in the list, but of the same state: {names}. Choose one with winters like yours.",
                    names="; ".join(same),
                )
            )
        )
    nights = "; ".join(station(name, state.units_system()) for name in sample_names())
    st.warning(
        state.literal(
            tr(
                "No weather of “{place}” comes with this program, and it fetches nothing. Best: open a file of a town near you below."
                " Typical years (TMY3, EPW) are free at the National Solar Radiation Database (NSRDB) and at PVGIS. Next"
                " best: make your town's year from its twelve monthly mean temperatures, in the form opened below; the National"
                " Weather Service's climate normals have them. For a rough first look only: choose the station whose coldest nights are like yours"
                " ({nights}); your bills will still differ, since its winter is not yours.",
                place=text[:80],
                nights=nights,
            )
        ),
        icon=":material/location_off:",
    )


def few_stations(system: str, chosen: str = "") -> None:
    """Name the stations that come with the program, and what to do where none is near; of a listed town, what its year is."""
    if town := of_list(chosen):
        found_c, cold = design_c(chosen), ""
        estimated = rests_on_estimate(chosen, found_c)
        if found_c is not None and not estimated:
            cold = tr(" and its 99% design temperature, {cold}", cold=show(found_c, "temperature", system, 0))
        text = tr(
            "{town}: a synthetic year, made from its climate normals of {period} (NOAA){cold}. A file of measured hours is"
            " better for the coldest nights.",
            town=town.name,
            period=PERIOD,
            cold=cold,
        )
        if sunless(chosen):
            text += " " + tr("It holds no sunshine, which only collectors, panels and gains through glass ask for.")
        st.caption(state.literal(text))
        if town.design_99_c is None and found_c is not None:
            _ask_design(chosen, found_c, system)
        if sunless(chosen):
            st.button(
                tr("Give it sunshine"), type="tertiary", icon=":material/sunny:", on_click=ask_sunshine, args=(chosen,)
            )
        return
    st.caption(
        state.literal(
            tr(
                "Type your town: the list has {towns} US towns, each with a year made from its climate normals, and {count} stations"
                " with hourly weather. Not there? Open a file below (EPW and TMY3 files are free for most towns), or type twelve"
                " monthly means.",
                count=len(sample_names()),
                towns=len(towns()),
            )
        )
    )


def _ask_design(label: str, found_c: float, system: str) -> None:
    """Ask for the design temperature of a town that no table gave; until it is typed the year rests on an estimate."""
    town = label.removesuffix(MADE)
    key, wrong = f"town/design/{town}", f"town/design_wrong/{town}"
    left, right = st.columns(2, vertical_alignment="bottom")
    estimated, shown = rests_on_estimate(label, found_c), show(found_c, "temperature", system, 0)
    if key not in st.session_state:  # so far, or since another town was looked at
        st.session_state[key] = "" if estimated else shown
        st.session_state.pop(wrong, None)
    left.text_input(
        tr("99% design temperature of {town}, if you know it", town=town),
        key=key,
        placeholder=tr("such as {example}", example=shown),
        on_change=_design_typed,
        args=(label, key, wrong),
    )
    text = tr(
        "Empty: about {cold}, estimated from the monthly means. In 8 of 10 towns whose tables we have, that is within {near}; just east of"
        " the Rocky Mountains it can be up to {far} too warm. Sizes rest on it: your building department, or the heat-loss calculation of an"
        " installer, has the real one.",
        cold=shown,
        near=show(NEAR_K, "temperature_difference", system, 0),
        far=show(FAR_K, "temperature_difference", system, 0),
    )
    right.caption(state.literal(text if estimated else tr("The year is made for {cold}, as typed.", cold=shown)))
    if text := st.session_state.get(wrong, ""):
        left.error(state.literal(text))


def _design_typed(label: str, key: str, wrong: str) -> None:
    """Make the year for what was typed; for the estimate again where it was taken out."""
    town, typed = of_list(label), str(st.session_state.get(key) or "").strip()
    if town is not None:
        st.session_state[wrong] = make_for(label, typed or f"{estimated_99_c(town)} degC")


def sunless(weather: str) -> bool:
    """Whether a weather that can be opened holds no sunshine."""
    known = weather in (*sample_names(), *state.opened())
    return known and named_weather(state.files(), weather, "place.weather").ghi_w_m2 is None


def lacking_sun(place: str, considered: Sequence[str]) -> str:
    """Names of what was chosen in question 4 and needs sunshine that the weather of question 1 lacks; empty where nothing does."""
    names = [
        tr(TEMPLATES[key].name)
        for key in considered
        if any(KINDS[source["kind"]].collects_sun for source in TEMPLATES[key].sources(1e4, "us"))
    ]
    return state.literal(", ".join(names)) if place and names and sunless(place) else ""


def say_sunless(place: str, considered: Sequence[str]) -> None:
    """Say in question 4 what needs sunshine that the weather of question 1 lacks, and how to give it there."""
    names = lacking_sun(place, considered)
    if not names:
        return
    text = tr(
        "Sunshine is needed for {names}, and the year of {place} holds none yet. In [question 1](#q1) {remedy}; or choose one of the"
        " stations with hourly weather.",
        names=names,
        place=state.literal(place.removesuffix(MADE)),
        remedy=_sun_remedy(place),
    )
    st.warning(text, icon=":material/sunny:")


def _sun_remedy(place: str) -> str:
    """How a weather that holds no sunshine is given some."""
    if not place.endswith(MADE):
        return tr("open a file that holds it, as EPW and TMY3 files do")
    clear = tr(
        "type the twelve values of Clearness in the form and press “Make this year”: NASA POWER lists them, free, for any place as"
        " “clearness index”"
    )
    return tr("press “Give it sunshine”, {clear}", clear=clear) if of_list(place) else clear


def to_choose(place: str) -> str:
    """What is left to do in question 1, with a link to it; empty where a weather is chosen."""
    if place:
        return ""
    return tr("[question {number}](#q{number}): choose a weather station", number=1)


def station(name: str, system: str = "us") -> str:
    """A weather file as people call it; of a built-in one also how cold it gets, by which a similar place is found."""
    plain = in_words(name.removesuffix(".csv").removesuffix(".epw"))
    if name in state.opened() or name not in sample_names():
        return plain
    title, design_c = _sample(name)
    return tr("{amount} on a cold night: {title}", title=title, amount=show(design_c, "temperature", system, 0))


@functools.cache
def _sample(name: str) -> tuple[str, float]:
    weather = named_weather(StudyFiles(), name, "place.weather")
    return weather.title.removesuffix(", typical year (TMY3)"), design_temperature(weather)[0]


def _chosen(widget: str) -> None:
    chosen = listed(meant(str(st.session_state[widget])))
    if is_known(chosen):
        move_to(chosen)


def meant(text: str) -> str:
    """The station or town whose name holds what was typed, where it is the only one; else the text."""
    names = _choices()
    matches = [name for name in names if text.strip().lower() in station(name, state.units_system()).lower()]
    matches = matches or towns_like(text)
    return matches[0] if text not in names and text.strip() and len(matches) == 1 else text


def is_known(place: str) -> bool:
    """Whether there is weather of that name; a town of another name is kept to say what can be done for it."""
    known = place in (*sample_names(), *state.opened()) or place == str(state.get(PATH) or "")
    st.session_state["place/unknown"] = "" if known else place
    return known


def open_a_file(key: str) -> str:
    """Take a weather file of the reader's own; it stays in this session and is never sent anywhere.

    Returns
    -------
    str
        Name of a file that has just been opened, else an empty text.
    """
    with st.expander(tr("Open a weather file of your own")):
        loaded = st.file_uploader(
            tr("A year or more of hours, in one file or several (.epw, .csv, .xlsx, .txt, .zip, .gz)"),
            accept_multiple_files=True,
            key=key,
        )
        if not loaded:
            return ""
        files = {PurePath(upload.name).name: upload.getvalue() for upload in loaded}
        prefix = weather_prefix("weather", files)
        how = weather_answers(prefix)
        mark = (*(upload.file_id for upload in loaded), repr(how))
        if st.session_state.get("weather_file_seen") == mark:
            return ""
        try:
            name, content = _one_file(files, how)
        except InputError as error:
            _not_opened(error, files, prefix)
            return ""
        st.session_state["weather_file_seen"] = mark
        state.opened()[name] = content
        return name


def _one_file(files: dict[str, bytes], how: dict[str, Any]) -> tuple[str, bytes]:
    """The file as it is, where it alone says all; else the year in it, or in all of them, written as a file that says it.

    Raises
    ------
    InputError
        With every fault found.
    """
    first = next(iter(files))
    if first in sample_names():
        raise InputError(Fault("", "has the name of a built-in sample", "give the file another name", first))
    year = one_year([(name, read_record(name, content=content, **how)) for name, content in files.items()])
    if len(files) == 1 and not any(how.values()):
        return first, files[first]
    return f"{PurePath(first).stem.removesuffix('.csv')} as read.csv", weather_csv(year, 2).encode()


def _not_opened(error: InputError, files: dict[str, bytes], prefix: str) -> None:
    for name, content in files.items():
        if looks_like_bills(name, content):
            warning = tr("{name} looks like bills, not weather. Open it under “Measure it from bills” on the House page.", name=name)  # fmt: skip
            st.error(state.literal(warning))
            return
    if not ask(error, prefix, WEATHER_FIELDS):
        tell(error, tr("This weather file was not opened; your study is as it was."))
