"""A data frame as a workbook for spreadsheets."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd


def write_workbook(frame: pd.DataFrame, beside: Path) -> None:
    """Write a workbook row by row, so that no million of cells stands in memory, whose clearing would hold every thread."""
    from openpyxl import Workbook

    # where the disk is full, openpyxl's half-read generators stay silent
    loud, sys.unraisablehook = sys.unraisablehook, lambda _: None
    try:
        book = Workbook(write_only=True)
        sheet = book.create_sheet("hours")
        sheet.append(list(frame.columns))
        for row in zip(*(column.tolist() for _, column in frame.items()), strict=True):
            sheet.append([None if cell != cell else cell for cell in row])
        book.save(beside)
    except OSError as error:
        sheet = book = None
        failure = OSError(error.errno, error.strerror)
    else:
        return
    finally:
        sys.unraisablehook = loud
    raise failure
