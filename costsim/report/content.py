"""From a study to the frozen report that both renderers draw."""

from __future__ import annotations

from dataclasses import replace

from costsim import __version__
from costsim.report.basis import basis_of
from costsim.report.blocks import Block, Report, cleaned
from costsim.report.household import household_page, household_sheet
from costsim.report.inspect import inspect_pages
from costsim.report.reader import count_to_confirm, for_reader
from costsim.report.sheet import sheet_pages
from costsim.report.short import sheet_summary
from costsim.report.sign import sign_page
from costsim.study.case import Case
from costsim.weather import Weather
from costsim.words import tr


def paper_of(case: Case, system: str) -> str:
    """Paper that a reader has: letter where money is in dollars or no money is told and units are US."""
    return "letter" if case.currency == "$" or (not case.currency and system == "us") else "a4"


def report_of(
    case: Case,
    weather: Weather,
    system: str = "us",
    *,
    reader: str = "installer",
    paper: str = "",
    option: str = "",
    short: bool = False,
) -> Report:
    """Write the report of a study.

    Parameters
    ----------
    case, weather
    system : str
        ``"us"`` or ``"si"``: units of the figures.
    reader : str
        ``"installer"``, or ``"household"``, whose report leaves out ratings, the inspector's page and the installer's tables.
    paper : str
        ``"letter"`` or ``"a4"``; by the study's currency and units where it is empty.
    option : str
        Name of the option that is signed, whose diagram, sizes and ratings stand on the page; the answer's where it is empty.
    short : bool
        Only the first page with its cautions, and a summary of the calculation sheet.

    Returns
    -------
    Report
        Everything that will stand on the pages; the same for the same study, with no clock in it.

    Raises
    ------
    InputError
        Case and weather do not fit each other, or there is no such option.
    """
    basis = basis_of(case, weather, system, option)
    basis = replace(basis, short=True) if short else basis
    made_by = tr("costsim {version}, a planning estimate, not a design", version=__version__)
    if reader == "household":
        inspect: tuple[Block, ...] = ()
        sheet = household_sheet(basis)
        first = household_page(basis, count_to_confirm(sheet))
    else:
        inspect, sheet = inspect_pages(basis), sheet_pages(basis)
        first = sign_page(basis, count_to_confirm((*inspect, *sheet)))
    if short:  # what is signed is the same on both
        inspect, sheet = (), sheet_summary(basis)
    drawn = Report(case.title, case.note, made_by, system, paper or paper_of(case, system), first, inspect, sheet)
    report: Report = cleaned(for_reader(drawn))
    return report
