"""A year of weather for a town without a file: monthly means typed on the screen."""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import pandas as pd
import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.keyed import box
from costsim.dashboard.link import packed, unpacked
from costsim.dashboard.signs import behind, both_unsigned, signed
from costsim.dashboard.widgets import tell
from costsim.errors import Fault, InputError
from costsim.study.case import built_in_studies, read_study
from costsim.tariffs.calendar import short_months
from costsim.units.quantity import FOOT_M, UnitError, parse, show
from costsim.units.reading import is_bare
from costsim.weather.estimated_cold import ESTIMATED, estimated_99_c
from costsim.weather.means import read_means
from costsim.weather.plain_csv import BOUNDS
from costsim.weather.synthesis import synthesize
from costsim.weather.towns import Town, towns
from costsim.weather.write import weather_csv
from costsim.words import tr

PLACE = {
    "latitude": ("Latitude, degrees", "North is positive, such as 36.1"),
    "longitude": ("Longitude, degrees", "East is positive and west negative, such as -79.9"),
    "utc_offset": ("Hours from UTC in winter time", "Such as -5 for New York, 1 for Berlin"),
    "altitude": ("Altitude, {unit}", "May be left empty. Such as {such}"),
}
ALTITUDE = {"us": {"unit": "ft", "such": "900"}, "si": {"unit": "m", "such": "270"}}
COLD, COLD_HELP = (
    "99% design temperature: only 88 hours of a usual year are colder",
    "May be left empty. Such as 15 °F or -9 °C",
)
SEED = 1
EAST_ALONE = 30.0
"""East of it no clock is behind UTC."""
MOST_NAME = 200
"""Letters of a town's name that an address may carry."""
MADE = " (made from monthly means)"
LINE, MOST_HEAD = "# monthly_means: ", 10_000
"""What the means stand behind in the file of a made year, and how far down it is looked for."""
SHOWN_K = 0.06
"""How far a temperature may be from what was shown of it in tenths of a degree."""
NOT_CLEAR = [math.nan] * 12


def name_town(name: str) -> None:
    """Open the form for a town of that name; a name that was typed in it stays."""
    st.session_state["town/box"] = True
    kept = st.session_state.setdefault("town_kept", {})
    if kept.get("town/name", "") in ("", st.session_state.get("town/given", "")):
        kept["town/name"] = st.session_state["town/given"] = name[:80]
        st.session_state.pop("town/name", None)


def listed(name: str) -> str:
    """Make the year of a listed town; gives its name in a study, else what was asked."""
    town = towns().get(name)
    if town is None:
        return name
    label = f"{name}{MADE}"
    if label not in state.opened():
        _open(name, means_table(name, _place_of(town), _cold_of(town), "degF", town.monthly_mean_f, NOT_CLEAR))
    return label


def _cold_of(town: Town) -> str:
    """Its design temperature, of a table or estimated."""
    return f"{estimated_99_c(town) if town.design_99_c is None else town.design_99_c} degC"


def design_c(label: str) -> float | None:
    """The design temperature that a made year was made for [°C]."""
    text = st.session_state.get("made_towns", {}).get(label, "")
    return read_means("typed", content=text.encode()).get("design_99_c") if text else None


def rests_on_estimate(label: str, design_99_c: float | None) -> bool:
    """Whether a listed town's year was made for a design temperature that nobody typed and no table gave."""
    town = of_list(label)
    if town is None or town.design_99_c is not None or design_99_c is None:
        return False
    return abs(design_99_c - estimated_99_c(town)) < SHOWN_K


def make_for(label: str, cold: str) -> str:
    """Make a listed town's year anew for the design temperature that somebody typed; says what is wrong with it, if anything."""
    line, kept = "# design_99: ", st.session_state["made_towns"][label].splitlines()
    try:
        typed = _cold_c(cold, "degF" if state.units_system() == "us" else "degC")
    except InputError as error:
        return "; ".join(f"{fault.problem}; {fault.remedy}" for fault in error.faults)
    rows = [f"{line}{typed:.2f}" if kept_line.startswith(line) else kept_line for kept_line in kept]
    _open(label.removesuffix(MADE), "\n".join(rows) + "\n")
    return ""


def of_list(label: str) -> Town | None:
    """The listed town that a year was made for, as its name in a study says."""
    return towns().get(label.removesuffix(MADE)) if label.endswith(MADE) else None


def ask_sunshine(label: str) -> None:
    """Open the form with all that a listed town's year was made from, so that its clearness alone is left to type."""
    town = of_list(label)
    if town is None:
        return
    fill_in(town)
    if (cold_c := design_c(label)) is not None:
        shown = show(cold_c, "temperature", state.units_system(), 1)  # so that an estimate stays one
        st.session_state["town_kept"]["town/cold"] = shown


def fill_in(town: Town) -> None:
    """Write into the form what the list knows of a town; what it does not know stays for the reader to type."""
    us = state.units_system() == "us"
    where = _place_of(town)
    if us:
        where[-1] = f"{town.altitude_m / FOOT_M:.0f}"
    cold = "" if town.design_99_c is None else show(town.design_99_c, "temperature", state.units_system(), 0)
    kept = st.session_state.setdefault("town_kept", {})
    for key, text in zip(("name", *PLACE, "cold"), (town.name, *where, cold), strict=True):
        kept[f"town/{key}"] = text
        st.session_state.pop(f"town/{key}", None)
    means = town.monthly_mean_f if us else [round((mean - 32.0) / 1.8, 1) for mean in town.monthly_mean_f]
    widget = f"town/months/{'degF' if us else 'degC'}"
    kept[widget] = pd.DataFrame({"month": short_months(), "mean": means, "clear": NOT_CLEAR})
    st.session_state.pop(widget, None)
    st.session_state["town/box"] = True


def _place_of(town: Town) -> list[str]:
    return [f"{value:g}" for value in (town.latitude_deg, town.longitude_deg, town.utc_offset_h, town.altitude_m)]


def draw_town(chosen: str) -> str:
    """Draw the form; the year made from it is a weather of this session. Gives its name right after it was made, else nothing.

    `chosen` is the weather that is chosen now.
    """
    made = ""
    unit = "degF" if state.units_system() == "us" else "degC"
    shown = unit.replace("deg", "°")
    with box(tr("Make your town's year from monthly means"), "town/box"):
        st.caption(
            tr(
                "The year is made from twelve monthly mean temperatures, which climate tables give for most towns, and is labeled"
                " synthetic; a real file is better. Leave clearness empty unless you compare solar collectors: it is how much of the sun"
                " above the air reaches the ground, month by month, mostly 0.3 to 0.7. NASA POWER lists it for any place, free, as"
                " “clearness index”."
            )
        )
        name = _text(tr("Town"), "name")
        where = _where(unit)
        cold = _text(tr(COLD), "cold", tr(COLD_HELP))
        heads = {"mean": tr("Mean, {shown}", shown=shown), "clear": tr("Clearness (only where the sun matters)")}
        months, widget = _months(f"town/months/{unit}"), f"town/months/{unit}"
        edited = st.data_editor(
            months,
            hide_index=True,
            height=458,
            disabled=["month"],
            placeholder="",
            key=widget,
            column_config={"month": tr("Month")}
            | {key: st.column_config.NumberColumn(head) for key, head in heads.items()},
        )
        st.session_state.setdefault("town_kept", {})[widget] = edited
        if st.button(tr("Make this year")):
            made = _make(name, where, cold, unit, edited)
        chosen = made or chosen
        if chosen.endswith(MADE) and chosen in state.opened():
            st.success(
                state.literal(
                    tr(
                        "{town}: the year is made and chosen. A link and a reload of this page keep it.",
                        town=chosen.removesuffix(MADE),
                    )
                )
            )
            st.download_button(tr("Save this year of weather"), state.opened()[chosen], "weather.csv", "text/csv")
    return made


def _text(label: str, key: str, why: str | None = None) -> str:
    """A text field that is found as it was left when the page is come back to."""
    kept, widget = st.session_state.setdefault("town_kept", {}), f"town/{key}"
    if widget not in st.session_state and kept.get(widget):
        st.session_state[widget] = kept[widget]
    kept[widget] = typed = str(st.text_input(label, key=widget, help=why) or "")
    return typed


def _months(widget: str) -> pd.DataFrame:
    """The table that is edited: empty at first, as it was left when the page is come back to."""
    bases = st.session_state.setdefault("town_bases", {})
    if widget not in st.session_state:
        empty = pd.DataFrame({"month": short_months(), "mean": [math.nan] * 12, "clear": [math.nan] * 12})
        bases[widget] = st.session_state.get("town_kept", {}).get(widget, empty)
    table: pd.DataFrame = bases[widget]
    return table


def _where(unit: str) -> list[str]:
    """Latitude, longitude, clock and altitude as text, the last one in metres whatever it was typed in."""
    words = ALTITUDE[state.units_system()]
    typed = [_text(tr(label, **words), key, tr(why, **words)) for key, (label, why) in PLACE.items()]
    typed[:2] = [signed(text) for text in typed[:2]]
    with contextlib.suppress(ValueError):  # west of Greenwich the clock is behind it, and the sign is easily left out
        if float(typed[1]) > EAST_ALONE and float(typed[2]) < 0:
            typed[1] = f"-{typed[1]}"
            st.caption(
                state.literal(tr("Read as {longitude}°, west, as the hours from UTC are behind.", longitude=typed[1]))
            )
        elif unit == "degF" and both_unsigned(typed[1], typed[2]):
            typed[1:3] = [f"-{text.strip()}" for text in typed[1:3]]
            read = tr(
                "Read as {longitude}°, west, and {hours} hours, as in North America; write +{east} for east.",
                longitude=typed[1],
                hours=typed[2],
                east=typed[1].removeprefix("-"),
            )
            st.caption(state.literal(read))
        elif behind(float(typed[1]), float(typed[2])):
            typed[2] = f"-{typed[2].strip().removeprefix('+')}"
            st.caption(
                state.literal(tr("Read as {hours} hours: west of Greenwich the clock is behind.", hours=typed[2]))
            )
    with contextlib.suppress(ValueError):  # what is no number is told by who reads it
        if unit == "degF" and typed[-1].strip():
            typed[-1] = f"{float(typed[-1].replace(',', '')) * FOOT_M:.1f}"
    return typed


def _make(name: str, where: Sequence[str], cold: str, unit: str, months: pd.DataFrame) -> str:
    town = re.sub(r"[/\\]|^\.+", "-", name.strip()) or "town"  # the year is a file of its own in a saved study
    try:
        text = means_table(name, where, cold, unit, months["mean"].tolist(), months["clear"].tolist())
        return _open(town, text)
    except InputError as error:
        faults = _months_in_one([_on_screen(fault) for fault in error.faults], unit)
        tell(InputError(faults), tr("No year was made; your study is as it was."))
        return ""


def move_to(weather: str) -> None:
    """Let the study stand in another weather; what an invented house says of its own place does not go with it."""
    if state.get(("place", "weather")) == weather:
        return
    invented = read_study(state.study_name()).typed["place"] if state.study_name() in built_in_studies() else {}

    def move(study: dict[str, Any]) -> None:
        kept = {key: value for key, value in study.get("place", {}).items() if invented.get(key) != value}
        own = invented if weather == invented.get("weather") else {}  # back home
        study["place"] = own | kept | {"weather": weather}

    state.change(move)


def in_link() -> str:
    """The made town of this study as letters for an address, from which its year is made again; empty where there is none."""
    label = str(state.get(("place", "weather")) or "")
    text = st.session_state.get("made_towns", {}).get(label)
    return packed({"town": label.removesuffix(MADE), "means": text}) if text else ""


def open_from_link(code: str) -> None:
    """Make the year of a town in an address anew; what cannot be read is left, and the study then says what it lacks."""
    with contextlib.suppress(InputError):
        study = unpacked(code)
        town, text = str(study.get("town", ""))[:MOST_NAME], str(study.get("means", ""))
        if text:
            _open(town, text)


def know_towns(files: Mapping[str, bytes]) -> None:
    """Find the means again in made years that a saved study brought, so that link and reload keep those too."""
    for label, content in files.items():
        line = next(
            (
                head_line
                for head_line in content[:MOST_HEAD].decode(errors="replace").split("\n")
                if head_line.startswith(LINE)
            ),
            "",
        )
        if line and label.endswith(MADE):
            with contextlib.suppress(InputError):
                text = str(unpacked(line.removeprefix(LINE).strip()).get("means", ""))
                if _year(label.removesuffix(MADE), text) == content:  # and nobody has written another year below it
                    st.session_state.setdefault("made_towns", {})[label] = text


def _year(town: str, text: str) -> bytes:
    """The file of a year that is made from means; it holds these means too."""
    made = synthesize(**read_means(town, content=text.encode()), seed=SEED)
    if rests_on_estimate(f"{town}{MADE}", made.design_99_c):
        made = replace(made, notes=(*made.notes, ESTIMATED))
    return f"{LINE}{packed({'means': text})}\n{weather_csv(made)}".encode()


def _open(town: str, text: str) -> str:
    """Make a year and open it in this session; give its name in a study."""
    label = f"{town}{MADE}"
    state.opened()[label] = _year(town, text)
    st.session_state.setdefault("made_towns", {})[label] = text
    return label


def _on_screen(fault: Fault) -> Fault:
    """A fault of the table's text, by the field that stands on the screen."""
    label, why = PLACE.get(fault.field.removeprefix("# "), ("", ""))
    words = ALTITUDE[state.units_system()]
    return replace(fault, field=label.format_map(words), remedy=why.format_map(words)) if label else fault


def _months_in_one(faults: Sequence[Fault], unit: str) -> list[Fault]:
    """Months without a mean in one line, by their names."""
    empty = [fault for fault in faults if fault.field.startswith("row ") and fault.problem == "has no mean temperature"]
    if not empty:
        return list(faults)
    names = [short_months()[int(fault.field.removeprefix("row ")) - 2] for fault in empty]
    what = tr("no mean temperature is typed for {months}", months=", ".join(names))
    line = Fault(tr("Months"), what, tr("write a number of {unit} in each", unit=unit.replace("deg", "°")))
    return [line, *(fault for fault in faults if fault not in empty)]


def means_table(
    name: str, where: Sequence[str], cold: str, unit: str, means: Sequence[float], clear: Sequence[float]
) -> str:
    """Write what was typed as the table of means that a file would hold; empty places and columns are left out.

    Raises
    ------
    InputError
        The cold temperature is none.
    """
    lines = [f"# title: {name.strip()}"] if name.strip() else []
    lines += [f"# {key}: {text.strip()}" for key, text in zip(PLACE, where, strict=True) if text.strip()]
    if cold.strip():
        lines.append(tr("# design_99: {cold}", cold=f"{_cold_c(cold, unit):.2f}"))
    sunny = not all(map(math.isnan, clear))
    lines.append(tr("month,mean [{unit}]{value}", unit=unit, value=tr(",clearness") if sunny else ""))
    rows = enumerate(zip(means, clear, strict=True), 1)
    lines += [f"{at},{_cell(mean)}{f',{_cell(clearness)}' if sunny else ''}" for at, (mean, clearness) in rows]
    return "\n".join(lines) + "\n"


def _cell(value: float) -> str:
    return "" if math.isnan(value) else f"{value:g}"


def _cold_c(text: str, unit: str) -> float:
    """A temperature; a bare number counts in the reader's unit."""
    text = f"{text.strip()} {unit}" if is_bare(text) else text
    try:
        degrees = parse(text, "temperature").value
    except UnitError as error:
        raise InputError(Fault(COLD, str(error), COLD_HELP)) from None
    low, high, _, _ = BOUNDS["design_99"]
    if not low <= degrees <= high:
        raise InputError(Fault(COLD, f"{text.replace('deg', '°')} cannot be", COLD_HELP))
    return degrees
