"""A data frame as a workbook for spreadsheets."""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd


def write_workbook(frame: pd.DataFrame, beside: Path) -> None:
    """Write a workbook row by row, so that no million of cells stands in memory, whose clearing would hold every thread."""
    # where the disk is full, openpyxl's half-read generators stay silent: they are gone before Python speaks of them again
    loud, sys.unraisablehook = sys.unraisablehook, lambda _: None
    try:
        failure = _written(frame, beside)
        if failure is not None:
            gc.collect()
    finally:
        sys.unraisablehook = loud
    if failure is not None:
        raise failure


def _written(frame: pd.DataFrame, beside: Path) -> OSError | None:
    from openpyxl import Workbook

    try:
        book = Workbook(write_only=True)
        sheet = book.create_sheet("hours")
        sheet.append(list(frame.columns))
        for row in zip(*(column.tolist() for _, column in frame.items()), strict=True):
            sheet.append([None if cell != cell else cell for cell in row])
        book.save(beside)
    except OSError as error:
        return OSError(error.errno, error.strerror)
    return None
