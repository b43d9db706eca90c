"""From a study to a file: PDF or HTML by the name's ending, whole or not at all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from costsim.errors import Fault, InputError
from costsim.files import write_whole
from costsim.report.blocks import Report
from costsim.report.content import report_of
from costsim.report.html import as_html
from costsim.report.pdf import as_pdf, as_text, covered
from costsim.study.case import Case
from costsim.weather import Weather
from costsim.words import tr

FORMS: dict[str, Callable[[Report], bytes]] = {
    ".pdf": as_pdf,
    ".html": lambda report: as_html(report).encode("utf-8"),
}


def form_of(path: str | Path) -> Callable[[Report], bytes]:
    """Which form a file's name asks for.

    Raises
    ------
    InputError
        Neither ``.pdf`` nor ``.html``.
    """
    ending = Path(path).suffix.lower()
    if ending not in FORMS:
        raise InputError(Fault("--out", f"'{path}' names no kind of report", "end the name in .pdf or .html"))
    return FORMS[ending]


def write_report(
    case: Case, weather: Weather, path: str | Path, system: str = "us", *, reader: str = "installer", paper: str = "",
    option: str = "", short: bool = False,
) -> Report:  # fmt: skip
    """Write the report of a study beside its target and rename it; see `report_of`.

    Raises
    ------
    InputError
        Another ending, a place that cannot be written to, or case and weather that do not fit each other.
    """
    form = form_of(path)
    report = report_of(case, weather, system, reader=reader, paper=paper, option=option, short=short)
    drawn = form(report)
    write_whole(path, lambda beside: beside.write_bytes(drawn))
    return report


def note_on_letters(report: Report, path: str | Path) -> str:
    """A line to add where a PDF may lack letters; empty where it has them all."""
    if form_of(path) is not as_pdf or covered(as_text(report)):
        return ""
    return tr(
        "\nSome letters are not in the fonts that come with costsim; look whether they are drawn, or"
        " write a report ending in .html"
    )
