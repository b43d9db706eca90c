"""The part of the page that starts from bills: what they say of the house, and the house into the study."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import Any

import streamlit as st

from costsim.analysis.billed_source import other_fuel, season_efficiency
from costsim.bills.away import without_days
from costsim.bills.dates import ORDERS
from costsim.bills.fit import Fit, read_efficiency
from costsim.bills.house import HouseFit, fit_house
from costsim.bills.model import Bills, joined
from costsim.bills.read import HowToRead, joined_temperatures, read_bill_file
from costsim.bills.temperatures import Temperatures, from_weather, read_temperatures
from costsim.dashboard import state
from costsim.dashboard.asking import (
    BILL_FIELDS,
    SINGLE,
    WEATHER_FIELDS,
    ask,
    draw_answered,
    weather_answers,
    weather_prefix,
)
from costsim.dashboard.bill_files import ask_which, looks_like_bills, looks_like_weather, not_left_out, same_days
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.papers import draw_kept, papers, take, upload_key
from costsim.dashboard.widgets import chart, say, table, tell
from costsim.errors import CostsimError, InputError
from costsim.physics.fuels import FUELS
from costsim.results.result import Result
from costsim.study.calibration import at_design, counted_twice, fitted_tables, with_tables
from costsim.study.case import Case
from costsim.units.fields import in_words
from costsim.units.quantity import show
from costsim.views.charts_bills import fit_chart
from costsim.views.text_fit import base_left_out, doubts, fit_rows, fit_text
from costsim.weather import Weather
from costsim.words import tr, trn

SAMPLE = "lantern_bills.csv"


def from_bills(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Read bills or deliveries, fit the house to them, and let the reader take it over."""
    say(
        tr(
            "Bills or deliveries of the fuel that heats the house, a year or more: a table with dates"
            " and amounts, or Green Button XML. We tell you below what we understood."
        )
    )
    loaded = st.file_uploader(
        tr("Bills or readings (.csv, .xlsx, .xml or .zip)"),
        accept_multiple_files=True,
        key=upload_key("bills"),
    )
    files = list(take("bills", not_left_out([(upload.name, upload.getvalue()) for upload in loaded])).items())
    draw_kept("bills")
    for name in [name for name, content in files if looks_like_weather(name, content)]:
        st.error(state.literal(tr("{name} looks like weather, not bills. Open it under “Weather” below.", name=name)))
        files = [file for file in files if file[0] != name]
    if not files and st.toggle("Try it with invented bills", key="bills/sample"):
        files = [(SAMPLE, (Path(str(resources.files("costsim"))) / "demos" / SAMPLE).read_bytes())]
    how, efficiency = _asked()
    days = _days()
    if not files:
        return
    if (outdoor := days_weather(days, weather)) is None:
        return
    try:
        fits = _fits(files, at_design(outdoor, case), how, efficiency, case, result)
    except CostsimError as error:
        if twice := _twice(files, how):
            ask_which(*twice)
            return
        if ask(error, "bills", BILL_FIELDS):
            return
        tell(on_screen(str(error)), tr("These bills cannot be used:"))
        say(tr("A few bills, or one winter of deliveries, do not measure a house. Type your yearly total instead."))
        if st.button(tr("Type yearly use"), key="bills/use"):
            st.switch_page(st.session_state["pages"]["start"])
        return
    for at, house_fit in enumerate(fits):
        _show(case, result, house_fit, system, at, typed=bool(efficiency))


def _twice(files: list[tuple[str, bytes]], how: HowToRead) -> tuple[str, str] | None:
    try:
        return same_days(files, how)
    except CostsimError:
        return None


def _days() -> dict[str, bytes]:
    """Weather of the bills' own days, where somebody has it; bills dropped here are told to be bills."""
    with st.expander(
        tr("Weather of the bills' own days, if you have it"), expanded=bool(papers().get("bills_weather"))
    ):
        st.caption(tr("Without it your place's typical year is taken, which is good enough for most homes."))
        dated = st.file_uploader(
            tr("Weather files (.csv, .xlsx, .txt, .zip, .gz, .epw)"),
            accept_multiple_files=True,
            key=upload_key("bills_weather"),
        )
        for upload in dated:
            if looks_like_bills(upload.name, upload.getvalue()):
                warning = tr("{name} looks like bills, not weather. Drop it in the box above.", name=upload.name)
                st.error(state.literal(warning))
                return {}
        days = take("bills_weather", [(upload.name, upload.getvalue()) for upload in dated])
        draw_kept("bills_weather")
        return days


def days_weather(days: dict[str, bytes], weather: Weather) -> Temperatures | None:
    """Temperatures of the bills' days, or the study's year without any; None where the page asks or says what is wrong."""
    if not days:
        return from_weather(weather)
    prefix = weather_prefix("bills_weather", days)
    how = weather_answers(prefix)
    draw_answered(prefix)
    try:
        return joined_temperatures([read_temperatures(name, content=content, **how) for name, content in days.items()])
    except CostsimError as error:
        wrong = [name for name, content in days.items() if looks_like_bills(name, content)]
        if wrong:
            warning = tr("{name} looks like bills, not weather. Drop it in the other box.", name=wrong[0])
            st.error(state.literal(warning))
        elif not ask(error, prefix, WEATHER_FIELDS):
            tell(on_screen(str(error)), tr("This weather cannot be used:"))
    return None


_FIELDS = {
    "say which it is with --map": "head it so",
    "name the one that burned these bills, or tell --efficiency": "tell 'Efficiency of a season'",
    "--option": "options of the study", "--fuel": "'Fuel'", "--efficiency": "'Efficiency of a season'", "--unit": "'Unit of the amounts'",
    "--column": "'Column of use'", "--meter": "'Meter'", "--dates": "'What a single date is'", "--date-order": "'Order of month, day and year'",
    "--zone": "'Time zone of the house'", "--paid": "'What all the bills came to'", "--retrofit": "'First day after a retrofit'",
    "--away": "'Away from home'", "--weather": "Weather of the bills' days", "--station": "Which station?",
}  # fmt: skip


def on_screen(text: str) -> str:
    """A sentence that names an option of the command line, with the field that stands for it here."""
    for option, field in _FIELDS.items():
        text = text.replace(option, tr(field))
    return text


def _asked() -> tuple[HowToRead, str]:
    """What the files may not tell."""
    with st.expander(tr("If the files do not tell it")):
        how = reading_fields("bills")
        efficiency = efficiency_field("bills")
    return how, efficiency


def efficiency_field(key: str) -> str:
    """Field for the efficiency of the heater that used the fuel."""
    return st.text_input(
        tr("Efficiency of a season"), "", help=tr('Such as "85 %" or "80 % to 90 %"'), key=f"{key}/share"
    ).strip()


def reading_fields(key: str) -> HowToRead:
    """Fields for what files of bills may leave open, under keys that begin with `key`."""
    fuel = st.selectbox(
        tr("Fuel"), ["", *FUELS], format_func=lambda fuel_key: tr(in_words(fuel_key) or "as guessed"), key=f"{key}/fuel"
    )
    unit = st.text_input(tr("Unit of the amounts"), "", help=tr("Such as therm, CCF, m3, gal, kWh"), key=f"{key}/unit")
    column = st.text_input(tr("Column of use"), "", help=tr("Where a table has several"), key=f"{key}/column")
    meter = st.text_input(tr("Meter"), "", help=tr("Where a file holds several"), key=f"{key}/meter")
    dates = st.selectbox(
        tr("What a single date is"),
        ["", *SINGLE],
        format_func=lambda reading_kind: tr(SINGLE.get(reading_kind, "as the file tells")),
        key=f"{key}/dates",
    )
    order = st.selectbox(
        tr("Order of month, day and year"), ["", *ORDERS], format_func=lambda order_key: tr(ORDERS.get(order_key, "as the file tells")), key=f"{key}/order"
    )  # fmt: skip
    zone = st.text_input(
        tr("Time zone of the house"), "", help=tr("Such as America/Chicago, for times in UTC"), key=f"{key}/zone"
    )
    away = st.text_input(
        tr("Away from home"),
        "",
        help=tr(
            "A day of each bill that is to be left out, such as Dec 24, 2024, or 2024-12-20 to 2025-01-05; several parted by semicolons"
        ),
        key=f"{key}/away",
    )
    days = tuple(day.strip() for day in away.split(";") if day.strip())
    return HowToRead(
        fuel or "", unit, "", (column,) if column else (), meter, dates or "", zone=zone, order=order or "", away=days
    )


def _fits(
    files: list[tuple[str, bytes]], outdoor: Temperatures, how: HowToRead, efficiency: str, case: Case, result: Result
) -> list[HouseFit]:
    seasonal = read_efficiency(efficiency) if efficiency else None
    read: list[Bills] = []
    for name, content in files:
        read += read_bill_file(Path(name).name, content=content, how=how)
    fits = []
    for bills in without_days(joined(read), how.away):
        share = seasonal or season_efficiency(case, result, bills.fuel)
        fits.append(fit_house(bills, outdoor, efficiency=share))
    return fits


def _show(case: Case, result: Result, house_fit: HouseFit, system: str, at: int, *, typed: bool) -> None:
    fit = house_fit.now
    for text in fit_text(house_fit, system).split("\n\n"):
        say(text)
    say(_whole_loss(case, fit, result.design_outdoor_c, system))
    if other_fuel(case, result, fit.bills.fuel) and not typed:
        st.warning(state.literal(on_screen(fit.efficiency.source)))
    chart(fit_chart(house_fit, system), f"fit{at}")
    table(*fit_rows(fit, system))
    with st.expander(tr("What we understood")):
        for note in (
            *fit.bills.notes,
            *fit.notes,
            tr("weather: {weather}", weather=fit.weather),
            tr("efficiency: {source}", source=fit.efficiency.source),
        ):
            say(on_screen(note))
    twice = counted_twice(case)
    if twice:
        st.warning(state.literal(twice))
    if st.button(take_words(draw_doubts(case, fit, system, "bills")), key=f"bills/take{at}"):
        try:
            tables = fitted_tables(case, house_fit, system)
        except InputError as error:
            tell(error)
            return
        take_house(with_tables(state.typed(), tables))
        st.rerun()


def take_house(study: dict[str, Any]) -> None:
    """Take a study whose house was measured; the guess by floor area goes with that."""
    guess = study["house"].pop("heat_loss_per_area", None)
    state.rewrite(study)
    if guess is not None:
        old = as_shown(str(guess), state.units_system())
        st.toast(state.literal(tr("What your bills show takes the place of the guess of {guess}.", guess=old)))


def draw_doubts(case: Case, fit: Fit, system: str, key: str) -> bool:
    """Draw what the house leaves out and what speaks against taking it; give whether something does.

    `key` begins the keys of the fields for the same bills, of which that for days away is filled on request.
    """
    if left := base_left_out(fit, case, system):
        say(left)
    sentences = doubts(fit, system)
    if sentences:
        st.warning(state.literal(" ".join(sentences)))
    if fit.away:
        days = [str(bill.start_day) for bill in fit.away]
        label = trn("Yes, away: leave that bill out", "Yes, away: leave those bills out", len(days))
        st.button(label, on_click=_leave_out, args=(f"{key}/away", days), key=f"{key}/leave/{days[0]}")
    return bool(sentences)


def _leave_out(key: str, days: list[str]) -> None:
    st.session_state[key] = "; ".join([*filter(None, [st.session_state.get(key, "")]), *days])


def take_words(doubtful: bool) -> str:
    """Words of the button that takes a house."""
    return tr("Use it all the same") if doubtful else tr("Use this for my house")


def _whole_loss(case: Case, fit: Fit, design_c: float, system: str) -> str:
    """What House will say, at the study's own design temperature: a higher figure, as bills hold what heating supplies and the loss holds gains too."""
    gross = fit.loss_w_k * (case.house.indoor_temperature_c - design_c)
    net = max(fit.loss_w_k * (fit.line.balance_c - design_c), 0.0)
    return tr(
        "The House page will say {gross} at {design} outside: the heating supplies {net} of it, and people, appliances and the sun {rest}.",
        gross=show(gross, "power", system),
        design=show(design_c, "temperature", system),
        net=show(net, "power", system),
        rest=show(gross - net, "power", system),
    )
