"""From a study to the frozen report that both renderers draw."""

from __future__ import annotations

from costsim import __version__
from costsim.report.basis import basis_of
from costsim.report.blocks import Report, cleaned
from costsim.report.inspect import inspect_pages
from costsim.report.sheet import sheet_pages
from costsim.report.sign import sign_page
from costsim.study.case import Case
from costsim.weather import Weather


def report_of(case: Case, weather: Weather, system: str = "us") -> Report:
    """Write the report of a study.

    Parameters
    ----------
    case, weather
    system : str
        ``"us"`` or ``"si"``: units of the figures.

    Returns
    -------
    Report
        Everything that will stand on the pages; the same for the same study, with no clock in it.

    Raises
    ------
    InputError
        Case and weather do not fit each other.
    """
    basis = basis_of(case, weather, system)
    made_by = f"costsim {__version__}, an estimate for planning and no design"
    pages = sign_page(basis), inspect_pages(basis), sheet_pages(basis)
    report: Report = cleaned(Report(case.title, case.note, made_by, system, *pages))
    return report
