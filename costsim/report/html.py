"""The report as one HTML file: no scripts, nothing fetched, every typed text escaped, ready to print."""

from __future__ import annotations

import functools
from importlib import resources

from jinja2 import Environment, StrictUndefined, Template

from costsim.report.blocks import Report, labels


def as_html(report: Report) -> str:
    """Draw a report as one HTML page, by `page.html.j2`.

    Parameters
    ----------
    report : Report

    Returns
    -------
    str
        Whole document; it may be opened from a disk without a network.
    """
    return str(_page().render(report=report, labels=labels()))


@functools.cache
def _page() -> Template:
    text = (resources.files("costsim.report") / "page.html.j2").read_text(encoding="utf-8")
    environment = Environment(autoescape=True, undefined=StrictUndefined, keep_trailing_newline=True)
    return environment.from_string(text)
