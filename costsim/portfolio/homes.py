"""A table of homes, read block by block, so that memory does not grow with it."""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import chain, islice
from pathlib import Path
from typing import Any

import numpy as np

from costsim.errors import Fault, InputError
from costsim.files import MOST_CELL, MOST_LETTERS, check_line, open_regular, read_bytes
from costsim.packed_tables import LINES_OF_HEADINGS, as_text, is_packed_table, is_title, passed_over
from costsim.portfolio.cell_units import units_of_cells
from costsim.portfolio.columns import MOST_COLUMNS, Layout, UnitOfCells, read_layout
from costsim.portfolio.headings import HOME, NAMES, plain_heading
from costsim.study.case import Case
from costsim.units.arrays import Ints

READ_BYTES, MOST_BYTES = 1 << 20, 100_000_000_000
MOST_UNPACKED = 500_000_000
"""Of a row group of Parquet [bytes]: what is packed small may unpack to any size."""
_ROWS = "a row holds one home"
_DECIMAL = re.compile(r"(?<![^;\t]) *[-+]?[\d.']+,\d+ *(?![^;\t\r\n])")
"""A cell between semicolons or tabs that is a number with a decimal comma."""
_EMPTY = " ,;\t\r\n"
"""What a line without a cell that holds anything is made of."""


@dataclass(frozen=True, slots=True)
class Block:
    """Some rows of the table as they stand in it, each cell text; `lines` are their numbers in the spreadsheet, the heading being row 1.

    A row with too few or too many cells is kept as it is; whoever reads it says so. Without `lines`, as of Parquet, rows count
    from `first_row` + 1.
    """

    number: int
    first_row: int
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...] = ()

    def row_of(self, place: int) -> int:
        """Number of a row, as people see it."""
        return self.lines[place] if self.lines else self.first_row + place + 1

    @property
    def numbers(self) -> Ints:
        """Numbers of all rows, rising."""
        line_numbers = np.array(self.lines, dtype=np.int64)
        return line_numbers if self.lines else self.first_row + 1 + np.arange(len(self.rows), dtype=np.int64)


@dataclass(frozen=True, slots=True)
class Homes:
    """A table of homes that can be read from its start as often as wanted; of a workbook `text` is the sheet that `note` names.

    `fill` is what is done to each row, its cells of `Layout.filled` put behind it (`costsim.portfolio.loads.with_loads`).
    """

    path: Path
    layout: Layout
    text: str | None = None
    note: str = ""
    fill: Callable[[tuple[str, ...]], tuple[str, ...]] | None = None

    def blocks(self, size: int) -> Iterator[Block]:
        """Read `size` rows at a time; rows without a letter are passed over.

        Raises
        ------
        InputError
            The file cannot be read on.
        """
        with _plain_faults(str(self.path)):
            every, number = _rows(self.path, self.text), 0
            while rows := tuple(islice(every, size)):
                lines = tuple(line for line, _ in rows)
                cells = (row for _, row in rows)
                whole = tuple(map(self.fill, cells) if self.fill else cells)
                yield Block(number, number * size, whole, lines if all(lines) else ())
                number += 1

    def digest(self) -> str:
        """Fingerprint of the table's bytes."""
        digest = hashlib.sha256()
        with _plain_faults(str(self.path)), open_regular(self.path, most=MOST_BYTES) as (stream, _):
            while part := stream.read(READ_BYTES):
                digest.update(part)
        return digest.hexdigest()


def open_homes(path: str | Path, case: Case, meant: Mapping[int, str] | None = None) -> Homes:
    """Open a table of homes and check its headings.

    Parameters
    ----------
    path : str or Path
        Ends in ``.csv`` (commas or semicolons, UTF-8), ``.xlsx`` or ``.parquet``.
    case : Case
        The study whose fields the columns override.
    meant : mapping of int to str, optional
        What columns hold where their headings do not tell it, as `costsim.portfolio.columns.read_layout` takes it.

    Raises
    ------
    InputError
        The file cannot be read, or headings are wrong; every fault is listed.

    Notes
    -----
    Numbers stay as written until a home is computed, so that a cell means what it would mean in a study file.
    """
    file = Path(path)
    if file.suffix.lower() not in (".csv", ".parquet", ".xlsx"):
        raise InputError(Fault("", "is neither .csv, .xlsx nor .parquet", "save the table as CSV", str(path)))
    with _plain_faults(str(path)), open_regular(file, most=MOST_BYTES):
        text, note = _unpacked(file, str(path))
        headings, titles = _headings(file, text)
        note = "; ".join(filter(None, (note, titles)))
        units = units_of_cells([heading.strip() for heading in headings], _rows(file, text), case)
        return Homes(file, read_layout(headings, case, str(path), units, meant), text, note)


def head_of(path: Path, case: Case, count: int) -> tuple[list[str], list[tuple[str, ...]], dict[int, UnitOfCells]]:
    """Headings of a table as they stand, its first rows, and the units of cells whose heading has none.

    Raises
    ------
    InputError
        The file cannot be read.
    """
    with _plain_faults(str(path)), open_regular(path, most=MOST_BYTES):
        text, _ = _unpacked(path, str(path))
        headings = [heading.strip() for heading in _headings(path, text)[0]]
        first = [row for _, row in islice(_rows(path, text), count)]
        return headings, first, units_of_cells(headings, _rows(path, text), case)


def _unpacked(path: Path, file: str) -> tuple[str | None, str]:
    """Text of a workbook or of a page's table, and what was read of it; None of a table that is text or Parquet itself."""
    if path.suffix.lower() == ".parquet":
        return None, ""
    with path.open("rb") as stream:
        head = stream.read(4096)
    if path.suffix.lower() == ".csv" and not head.startswith(b"PK") and not is_packed_table(head):
        as_text(head, file)  # a PDF or a picture is refused by its name
        return None, ""
    content, note = as_text(read_bytes(path, most=MOST_UNPACKED), file, blank_rows=True)
    if not note:
        raise InputError(Fault("", "is no workbook that can be read", "save the table as CSV", file))
    return content.decode("utf-8-sig", errors="replace"), note


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
    except (ArrowException, UnicodeDecodeError) as error:  # pyarrow decodes names and its own messages
        raise InputError(Fault("", f"is not Parquet: {error}", "write the table again", file)) from None


def count_rows(path: Path) -> int:
    """How many rows a table has, or a few more, without taking it apart.

    Raises
    ------
    InputError
        It cannot be read.
    """
    with _plain_faults(path.name):
        if path.suffix.lower() == ".parquet":
            with _parquet(path) as file:
                return int(file.metadata.num_rows)
        with open_regular(path, most=MOST_BYTES) as (stream, _):
            ends = [(part.count(b"\n"), part.count(b"\r")) for part in iter(lambda: stream.read(READ_BYTES), b"")]
        return max(map(sum, zip(*ends, strict=True)), default=0)


def about_rows(path: str | Path) -> int:
    """About how many homes a table has, for an estimate; 0 where it cannot be read, which is told when it is opened."""
    try:
        file = Path(path)
        packed = file.suffix.lower() == ".xlsx"  # how many rows it has is known once it is unpacked
        return 0 if packed else max(count_rows(file) - (file.suffix.lower() != ".parquet"), 0)
    except InputError:
        return 0


def _headings(path: Path, text: str | None) -> tuple[list[str], str]:
    """The row of headings, and which lines above it were passed over."""
    if text is not None or path.suffix.lower() != ".parquet":
        titles: list[str] = []
        headings = next((row for _, row in _cells(path, text, titles)), [])
        shown = ", ".join(f'"{title.strip(_EMPTY)[:60]}"' for title in titles)
        return headings, f"{passed_over(len(titles))}: {shown}" if titles else ""
    with _parquet(path) as file:
        return list(file.schema_arrow.names), ""


def _delimiter(lines: Sequence[str]) -> str:
    """What most of a table's first lines have; of two that as many have, a tab or semicolon where it stands without a comma.

    The comma of a cell that is a number is not counted, as spreadsheets write decimals with it in some countries; a title may have one.
    """
    plain = [_DECIMAL.sub("", line) for line in lines]

    def had(mark: str) -> tuple[int, int]:
        having = [line for line in plain if mark in line]
        return len(having), sum("," not in line for line in having)

    return max((",", "\t", ";"), key=had)


def _cells(path: Path, text: str | None, titles: list[str] | None = None) -> Iterator[tuple[int, list[str]]]:
    """Rows of a CSV file that hold anything, its heading first, each with its number in a spreadsheet; lines above it go to `titles`."""
    opened = path.open(encoding="utf-8-sig", errors="replace", newline="") if text is None else io.StringIO(text)
    with opened as stream:
        lines = _short(iter(lambda: stream.readline(MOST_LETTERS + 2), ""), str(path))
        first = [*islice(lines, LINES_OF_HEADINGS)]
        mark = _delimiter(first)
        at = _heading_at(first, mark)
        if at is None:
            return
        if titles is not None:
            titles += filter(_holds_anything, first[:at])
        rows = csv.reader(chain(first[at:], lines), delimiter=mark)
        yield from ((number, row) for number, row in enumerate(rows, at + 1) if any(map(str.strip, row)))


def _holds_anything(line: str) -> bool:
    return bool(line.strip(_EMPTY))


def _names_homes(cell: str) -> bool:
    """Whether a cell is a heading whatever stands below it."""
    return plain_heading(cell) in NAMES[HOME] or cell.strip().startswith(
        ("house.", "prices.", "option[", "tank.", "floor.")
    )


def _heading_at(lines: Sequence[str], mark: str) -> int | None:
    """Which of the first lines has the headings: the first that holds anything and is no title over a wider table."""
    held = [at for at, line in enumerate(lines) if _holds_anything(line)]
    for at in held:
        below = [*csv.reader(lines[at:], delimiter=mark)]
        widest = max(sum(map(bool, map(str.strip, row))) for row in below)
        names_homes = sum(map(bool, below[0])) > 1 and any(map(_names_homes, below[0]))
        if names_homes or not is_title(below[0], widest):
            return at
    return next(iter(held), None)


def _short(lines: Iterator[str], file: str) -> Iterator[str]:
    for number, line in enumerate(lines, 1):
        check_line(line.rstrip("\r\n"), number, file, _ROWS)
        yield line


@contextmanager
def _parquet(path: Path) -> Iterator[Any]:
    """Open a Parquet table; each text that repeats is unpacked once, and not in every row."""
    import pyarrow.parquet as pq

    with pq.ParquetFile(path) as file:
        texts = _checked(file)
    with pq.ParquetFile(path, read_dictionary=texts) as file:
        yield file


def _checked(file: Any) -> list[str]:
    """Refuse columns that are not plain or unpack to more than memory should hold; give the names of those with text."""
    from pyarrow import ArrowException
    from pyarrow import types as kinds

    texts = (kinds.is_string, kinds.is_large_string, kinds.is_string_view)
    plain = (kinds.is_primitive, kinds.is_decimal, kinds.is_null, kinds.is_dictionary, *texts)
    for field in file.schema_arrow:
        if not any(is_kind(field.type) for is_kind in plain):
            raise ArrowException(f"column '{field.name}' holds {field.type} where a number or text should stand")
    groups = map(file.metadata.row_group, range(file.metadata.num_row_groups))
    # a group's own size, since pyarrow ends the process where it dislikes what stands with a damaged column
    if any(group.total_byte_size > MOST_UNPACKED for group in groups):
        raise ArrowException(f"a row group unpacks to more than {MOST_UNPACKED // 10**6} MB")
    return [field.name for field in file.schema_arrow if any(is_kind(field.type) for is_kind in texts)]


def _rows(path: Path, text: str | None) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Rows with their numbers in a spreadsheet, 0 where they have none."""
    if text is not None or path.suffix.lower() != ".parquet":
        yield from ((number, tuple(row[: MOST_COLUMNS + 1])) for number, row in islice(_cells(path, text), 1, None))
        return
    with _parquet(path) as file:
        for batch in file.iter_batches(batch_size=1024):
            yield from ((0, row) for row in zip(*map(_texts, batch.columns), strict=True))


def _texts(column: Any) -> list[str]:
    """Cells of a column as texts, once none is seen to be longer than a name or a number."""
    import pyarrow as pa
    import pyarrow.compute as pc

    if pa.types.is_dictionary(column.type):
        longest = pc.max(pc.binary_length(column.dictionary)).as_py() or 0
        if longest > MOST_CELL:
            raise pa.ArrowException(f"a cell has more than {MOST_CELL:,} letters")
    return [_text(cell) for cell in column.to_pylist()]


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
