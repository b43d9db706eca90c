"""A table of homes, read block by block, so that memory does not grow with it."""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from costsim.case import Case
from costsim.errors import Fault, InputError
from costsim.portfolio.columns import Layout, read_layout

READ_BYTES = 1 << 20


@dataclass(frozen=True, slots=True)
class Block:
    """Some rows of the table as they stand in it: the first has number `first_row` + 1, each cell is text.

    A row with too few or too many cells is kept as it is; whoever reads it says so.
    """

    number: int
    first_row: int
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Homes:
    """A table of homes that can be read from its start as often as wanted."""

    path: Path
    layout: Layout

    def blocks(self, size: int) -> Iterator[Block]:
        """Read `size` rows at a time; row numbers count homes, not the heading.

        Raises
        ------
        InputError
            The file cannot be read on.
        """
        with _plain_faults(str(self.path)):
            every, number = _rows(self.path), 0
            while rows := tuple(islice(every, size)):
                yield Block(number, number * size, rows)
                number += 1

    def digest(self) -> str:
        """Fingerprint of the table's bytes."""
        found = hashlib.sha256()
        with _plain_faults(str(self.path)), self.path.open("rb") as stream:
            while part := stream.read(READ_BYTES):
                found.update(part)
        return found.hexdigest()


def open_homes(path: str | Path, case: Case) -> Homes:
    """Open a table of homes and check its headings.

    Parameters
    ----------
    path : str or Path
        Ends in ``.csv`` (commas or semicolons, UTF-8) or ``.parquet``.
    case : Case
        The study whose fields the columns override.

    Raises
    ------
    InputError
        The file cannot be read, or headings are wrong; every fault is listed.

    Notes
    -----
    Numbers stay as written until a home is computed, so that a cell means what it would mean in a study file.
    """
    found = Path(path)
    if found.suffix.lower() not in (".csv", ".parquet"):
        raise InputError(Fault("", "is neither .csv nor .parquet", "save the table as CSV or Parquet", str(path)))
    with _plain_faults(str(path)):
        return Homes(found, read_layout(_headings(found), case, str(path)))


@contextmanager
def _plain_faults(file: str) -> Iterator[None]:
    """Turn what the operating system, the csv module and pyarrow raise into one plain fault."""
    from pyarrow.lib import ArrowException

    try:
        yield
    except OSError as error:
        raise InputError(Fault("", f"cannot be read ({error.strerror or error})", "check the path", file)) from None
    except csv.Error as error:
        raise InputError(Fault("", f"is not CSV: {error}", "save the table as CSV, UTF-8", file)) from None
    except ArrowException as error:
        raise InputError(Fault("", f"is not Parquet: {error}", "write the table again", file)) from None


def _headings(path: Path) -> list[str]:
    if path.suffix.lower() == ".csv":
        with path.open(encoding="utf-8-sig", errors="replace", newline="") as stream:
            return next(csv.reader(stream, delimiter=_delimiter(path)), [])
    import pyarrow.parquet as pq

    with pq.ParquetFile(path) as file:
        return list(file.schema_arrow.names)


def _delimiter(path: Path) -> str:
    """Semicolons where the heading has them and no commas, as spreadsheets write in countries with decimal commas."""
    with path.open(encoding="utf-8-sig", errors="replace") as stream:
        heading = stream.readline()
    return ";" if ";" in heading and "," not in heading else ","


def _rows(path: Path) -> Iterator[tuple[str, ...]]:
    if path.suffix.lower() == ".csv":
        with path.open(encoding="utf-8-sig", errors="replace", newline="") as stream:
            reader = csv.reader(stream, delimiter=_delimiter(path))
            next(reader, None)
            yield from (tuple(row) for row in reader if row)
    else:
        import pyarrow.parquet as pq

        with pq.ParquetFile(path) as file:
            for batch in file.iter_batches(batch_size=1024):
                yield from zip(*([_text(cell) for cell in column.to_pylist()] for column in batch.columns), strict=True)


def _text(cell: Any) -> str:
    """A cell of a typed table as a person would have written it.

    Examples
    --------
    >>> _text(7.5), _text(3), _text(None), _text(True), _text(b"a")
    ('7.5', '3', '', 'true', "b'a'")
    """
    if cell is None:
        return ""
    return str(cell).lower() if isinstance(cell, bool) else str(cell)
