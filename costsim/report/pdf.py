"""The report as PDF by the `typst` package: vector charts, fonts inside, tagged for readers, the same bytes every time."""

from __future__ import annotations

import functools
import json
from importlib import resources
from typing import Any

from costsim.report.blocks import Report, labels

DATED = 0
"""Time that typst takes for now; `page.typ` writes no date, since a report has no clock in it."""
COVERED = 0x0530
"""Letters below this, Latin, Greek and Cyrillic, are in the fonts that come with the package."""
COVERED_SIGNS = range(0x1E00, 0x2600)


def as_pdf(report: Report) -> bytes:
    """Draw a report as PDF.

    Parameters
    ----------
    report : Report

    Returns
    -------
    bytes
        Same report, same bytes. Only fonts that come with the package are used, unless a typed text needs letters which
        these lack; then the machine's own fonts are asked too, and where these lack them as well, boxes stand for them and
        the file does not claim to be fit for every reader (PDF/UA).
    """
    import typst

    try:
        return bytes(compiled(report, "pdf", pdf_standards=["ua-1"]))
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
        return bytes(compiled(report, "pdf"))


def compiled(report: Report, form: str, **more: Any) -> Any:
    """Let typst draw a report in a form such as ``"pdf"`` or ``"png"``."""
    import typst

    document = as_text(report)
    draw: Any = typst.compile  # its overloads want every option spelt out
    return draw(
        _page(),
        root=str(resources.files("costsim.report")),
        format=form,
        ignore_system_fonts=covered(document),
        timestamp=DATED,
        sys_inputs={"report": document, "labels": json.dumps(labels())},
        **more,
    )


def as_text(report: Report) -> str:
    """All of a report as JSON, the form in which the layout takes it."""
    return json.dumps(report.plain(), ensure_ascii=False)


def fonts() -> list[str]:
    """Families of fonts that come with the package typst."""
    import typst

    return list(typst.Fonts(include_system_fonts=False).families())


def covered(text: str) -> bool:
    """Whether the fonts that come with the package have all letters of a text.

    Examples
    --------
    >>> covered("Zähler Προς 5 € ≥ 3 °C"), covered("暖房")
    (True, False)
    """
    return all(ord(letter) < COVERED or ord(letter) in COVERED_SIGNS for letter in text)


@functools.cache
def _page() -> bytes:
    return (resources.files("costsim.report") / "page.typ").read_bytes()
