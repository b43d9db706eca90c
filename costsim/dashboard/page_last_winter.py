"""Last winter: the study held against the meter, what explains the gap, what a retrofit avoided, and a recalibrated study."""

from __future__ import annotations

import hashlib

import streamlit as st

from costsim.analysis.last_winter import against_bills, amount_paid
from costsim.analysis.verify import Verification, the_one
from costsim.bills.away import without_days
from costsim.bills.model import Bills, joined
from costsim.bills.read import HowToRead, read_bill_file
from costsim.bills.temperatures import Temperatures
from costsim.dashboard import state
from costsim.dashboard.asking import BILL_FIELDS, ask
from costsim.dashboard.bill_files import looks_like_weather
from costsim.dashboard.kept import kept, kept_of_files
from costsim.dashboard.papers import draw_kept, take, upload_key
from costsim.dashboard.parts_bills import (
    days_weather,
    draw_doubts,
    efficiency_field,
    on_screen,
    reading_fields,
    take_house,
    take_words,
)
from costsim.dashboard.registry import Answer, Context, page
from costsim.dashboard.widgets import chart, say, small_table, table, tell
from costsim.errors import CostsimError, InputError
from costsim.study.calibration import counted_twice, fitted_tables, with_tables
from costsim.study.case import write_study
from costsim.views.charts_verify import verify_alt, verify_chart
from costsim.views.text_verify import (
    FAR_OFF,
    avoided_lines,
    by_bill,
    gap,
    measure_details,
    measures,
    recalibrated_sentence,
    verify_sentence,
)
from costsim.words import tr

NO_WEATHER = (
    "The study's own weather is a typical year, which says nothing of last winter: open the weather of the bills' own days, such as an"
    " hourly or daily download of a weather service for the nearest station."
)


@page("last-winter", "Check last winter", group="Your case", place=25)
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Check last winter"))
    answer = context.answer
    if answer is None:
        return
    say(
        tr(
            "Compares the study with what the meter counted, in the weather of those days. Nothing in"
            " the study changes until you take the recalibrated house."
        )
    )
    bills, days = _files()
    how, efficiency, option, paid, retrofit = _asked(answer)
    if not bills:
        return
    if (outdoor := days_weather(days, answer.weather)) is None:
        return
    if outdoor.typical:
        st.info(tr(NO_WEATHER))
        _understood(bills, how)
        return
    try:
        sure = hashlib.sha256(
            repr(
                (bills, days, outdoor.title, outdoor.outdoor_c.tobytes(), how, efficiency, option, paid, retrofit)
            ).encode()
        ).digest()
        verification = kept(
            "last winter", answer.case, answer.weather, lambda: _held(answer, bills, outdoor, how, efficiency, option, paid, retrofit), sure
        )  # fmt: skip
    except CostsimError as error:
        wrong = [name for name, content in bills.items() if looks_like_weather(name, content)]
        if wrong:
            warning = tr("{name} looks like weather, not bills. Drop it in the other box.", name=wrong[0])
            st.error(state.literal(warning))
        elif not ask(error, "winter", BILL_FIELDS):
            tell(_here(error), tr("These files cannot be used:"))
        return
    _show(answer, verification, context.system)


def _files() -> tuple[dict[str, bytes], dict[str, bytes]]:
    """Bills and the weather of their days: the same ones that the House page keeps with the study."""
    names = []
    for column, kind, label in zip(
        st.columns(2),
        ("bills", "bills_weather"),
        (
            tr("Bills or readings (.csv, .xlsx, .xml or .zip)"),
            tr("Weather of the bills' days (.csv, .xlsx, .txt, .zip, .gz, .epw)"),
        ),
        strict=True,
    ):
        with column:
            loaded = st.file_uploader(label, accept_multiple_files=True, key=f"winter/{upload_key(kind)}")
            names.append(take(kind, [(upload.name, upload.getvalue()) for upload in loaded]))
            draw_kept(kind)
    return names[0], names[1]


def _here(error: CostsimError | str) -> str:
    """What is wrong, by this page's own fields."""
    own = {"--option": tr("'Option that these bills are of'"), "--efficiency": tr("'Efficiency of a season'")}
    warning = str(error)
    for option, field in own.items():
        warning = warning.replace(option, field)
    return on_screen(warning)


def _understood(files: dict[str, bytes], how: HowToRead) -> None:
    """What was read of the bills, before there is weather to hold them against."""
    try:
        bills = _read(files, how)
    except CostsimError as error:
        if not ask(error, "winter", BILL_FIELDS):
            tell(_here(error), tr("These files cannot be used:"))
        return
    st.subheader(tr("What we understood"))
    for note in bills.notes:
        say(on_screen(note))


def _read(files: dict[str, bytes], how: HowToRead) -> Bills:
    """Bills of one fuel, read once for the same files and answers."""

    def read() -> Bills:
        read_bills = [
            bills for name, content in files.items() for bills in read_bill_file(name, content=content, how=how)
        ]
        return the_one(without_days(joined(read_bills), how.away), how.fuel)

    return kept_of_files("bills read", files, read, repr(how))


def _asked(answer: Answer) -> tuple[HowToRead, str, str, str, str]:
    """What the files may not tell, and when the house was changed."""
    left, middle, right = st.columns(3)
    names = [option.name for option in answer.case.options]
    option = left.selectbox(
        tr("Option that these bills are of"),
        ["", *names],
        format_func=lambda unit: unit or tr("as the fuel tells"),
        key="winter/option",
    )
    paid = middle.text_input(
        tr("What all the bills came to"),
        "",
        help=tr("Where the files hold no column of money, such as 1850"),
        key="winter/paid",
    )
    day = right.text_input(
        tr("First day after a retrofit, if any"), "", placeholder=tr("such as Oct 15, 2025"), key="winter/retrofit"
    )
    with st.expander(tr("If the files do not tell it")):
        how = reading_fields("winter")
        efficiency = efficiency_field("winter")
    return how, efficiency, str(option or ""), paid, day.strip()


def _held(
    answer: Answer, files: dict[str, bytes], outdoor: Temperatures, how: HowToRead, efficiency: str,
    option: str, paid: str, retrofit: str,
) -> Verification:  # fmt: skip
    return against_bills(
        answer.case, answer.result, _read(files, how), outdoor,
        option=option, paid=amount_paid(paid), retrofit=retrofit, efficiency=efficiency,
    )  # fmt: skip


def _show(answer: Answer, verification: Verification, system: str) -> None:
    case = answer.case
    if verification.source.asked:
        st.warning(state.literal(_here(verification.source.efficiency.source)))
    say(verify_sentence(verification, system))
    chart(verify_chart(verification, system), "winter", verify_alt(verification, system))
    headings, rows = by_bill(verification, system, case.currency)
    with st.expander(tr("Bill by bill")):
        table([tr("bill"), *headings[1:-1], tr("far off")], rows)
        st.caption(tr(FAR_OFF).replace("* ", "\\* "))
    st.header(tr("How well the study fits"))
    for line in measures(verification):
        say(line)
    with st.expander(tr("Details")):
        for line in measure_details(verification):
            say(line)
    st.header(tr("What explains the gap"))
    head, headings, rows = gap(verification, system, case.currency)
    say(head)
    small_table([tr("cause"), *headings[1:]], rows)
    if verification.avoided is not None:
        st.header(tr("What the retrofit saved"))
        for line in avoided_lines(verification.avoided, verification.bills.fuel, system):
            say(line[:1].upper() + line[1:])
    with st.expander(tr("What we understood")):
        for note in verification.notes:
            say(_here(note))
    _recalibrated(answer, verification, system)


def _recalibrated(answer: Answer, verification: Verification, system: str) -> None:
    """The study with the house that these bills show, to take or to save."""
    st.header(tr("The study recalibrated to these bills"))
    if twice := counted_twice(answer.case):
        st.warning(state.literal(twice))
    try:
        study = with_tables(state.typed(), fitted_tables(answer.case, verification.fit, system))
    except InputError as error:
        tell(error)
        return
    say(recalibrated_sentence(verification, answer.result.lowered, system))
    doubtful = draw_doubts(answer.case, verification.fit.now, system, "winter")
    with st.container(horizontal=True):
        if st.button(take_words(doubtful), key="winter/take", type="secondary" if doubtful else "primary"):
            take_house(study)
            st.rerun()
        st.download_button(tr("Save the recalibrated study"), write_study(study), "recalibrated.toml", "application/toml", on_click="ignore")  # fmt: skip
