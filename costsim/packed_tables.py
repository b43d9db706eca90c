"""Tables that come as a workbook or a web page made into text; a PDF, a picture and the like refused by their names.

Downloads are often called .csv or .xls and are something else, so what a file is, is told by how it begins.
"""

from __future__ import annotations

import csv
import datetime
import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from html.parser import HTMLParser

from costsim.errors import Fault, InputError
from costsim.files import MOST_LETTERS, MOST_LINES

MOST_UNPACKED, MOST_RATIO, MOST_COLUMNS, MOST_PAGE = 150_000_000, 200, 500, 20_000_000
MOST_BREAKS, LINES_OF_HEADINGS = 30, 60
_JAPANESE = ("年", "使用量", "日付", "検針")
_AS_CSV = "download it as CSV, or as Green Button XML where it is use"
_TYPED = f"{_AS_CSV}, or type its numbers into a CSV"
_KINDS = (
    (b"%PDF", "is a PDF, which is made to be looked at", _TYPED),
    *((begin, "is a picture", _TYPED) for begin in (b"\xff\xd8\xff", b"\x89PNG", b"GIF8", b"II*\x00", b"MM\x00*")),
    (b"\xd0\xcf\x11\xe0", "is a workbook or letter of the old kind", "open it and save the sheet of readings as CSV"),
    (b"{\\rtf", "is a letter", "save the table as CSV"),
    *(
        (begin, "is a grid of netCDF, HDF5 or GRIB", "ask the service for the one place, as CSV")
        for begin in (b"CDF\x01", b"CDF\x02", b"\x89HDF", b"GRIB")
    ),
    (b"PAR1", "is Parquet", "save the table as CSV"),
    (b"7z\xbc\xaf", "is packed as 7z", "unpack it and give the file inside"),
    (b"Rar!", "is packed as RAR", "unpack it and give the file inside"),
)
_HTML = re.compile(rb"<(?:!doctype\s+html|html|head|body|table|meta|style)[\s>]", re.IGNORECASE)
_SHEET = "[Content_Types].xml"


def is_packed_table(raw: bytes) -> bool:
    """Whether bytes are a workbook, or a web page and not Green Button XML, by how they begin."""
    head = raw[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
    page = head[:1] == b"<" and _HTML.search(head) is not None and b"<feed" not in head
    return page or (raw[:4] == b"PK\x03\x04" and _SHEET in _names(raw))


def _names(raw: bytes) -> list[str]:
    """Names in a ZIP; of one that is broken in its middle the first as well, so that it is called what it was."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            return archive.namelist()
    except (zipfile.BadZipFile, ValueError, OSError, EOFError, RuntimeError):
        return [_SHEET] if raw[30:49] == _SHEET.encode() else []


def is_title(row: Sequence[str], widest: int = 2) -> bool:
    """Whether a row above a table is a title and no headings: it fills one cell, or not a third of what the fullest row fills.

    Examples
    --------
    >>> [is_title(row, 11) for row in (["County export", "", ""], ["Run date", "11/02/2025"], ["Home", "Area", "Fuel", "Use"])]
    [True, True, False]
    """
    filled = sum(map(bool, map(str.strip, row)))
    return filled < 2 or 3 * filled < widest


def passed_over(count: int) -> str:
    """That lines above the headings were skipped."""
    return (
        f"{count} lines above the headings were passed over"
        if count > 1
        else "1 line above the headings was passed over"
    )


def as_text(raw: bytes, file: str, *, blank_rows: bool = False) -> tuple[bytes, str]:
    """Make text of a workbook or of a page's table; anything else that may hold a table comes back as it is.

    Parameters
    ----------
    raw : bytes
    file : str
        Its name for messages.
    blank_rows : bool
        Whether blank rows of a workbook stay as blank lines, so that rows keep their numbers.

    Returns
    -------
    content, note
        The note is empty where nothing was made.

    Raises
    ------
    InputError
        It is a PDF, a picture, JSON, a page without a table, or a workbook that cannot be read.
    """
    for begin, what, remedy in _KINDS:
        if raw.startswith(begin):
            raise InputError(Fault("", what, remedy, file))
    if raw[4:8] == b"ftyp":
        raise InputError(Fault("", "is a picture or film", _AS_CSV, file))
    if is_packed_table(raw):
        return _of_workbook(raw, file, blank_rows) if raw[:2] == b"PK" else _of_page(raw, file)
    head = raw[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
    if head[:1] in (b"{", b"[") and re.match(rb'[\[{]\s*(?:[\[{"]|[\]}])', head):
        raise InputError(Fault("", "is JSON, which is not read", _AS_CSV, file))
    return raw, ""


def _written(rows: Iterable[list[str]]) -> bytes:
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows(rows)
    return stream.getvalue().encode()


def _of_workbook(raw: bytes, file: str, blank_rows: bool) -> tuple[bytes, str]:
    """The sheet with most rows of a workbook."""
    remedy = "open it and save the sheet of readings as CSV"
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            names = archive.namelist()
            if _SHEET not in names:
                return raw, ""
            if not any(name.startswith("xl/") for name in names):
                raise InputError(Fault("", "is a letter or slides, no table", "save the table as CSV", file))
            _check_size(archive, len(raw), file, remedy)
        sheets = _rows_by_sheet(raw, file, remedy, blank_rows)
    except InputError:
        raise
    except Exception as error:  # openpyxl raises whatever its parsers do
        what = f"is a workbook that cannot be read ({type(error).__name__})"
        raise InputError(Fault("", what, remedy, file)) from None
    if not any(map(_filled, sheets.values())):
        raise InputError(Fault("", "is a workbook without a row", remedy, file))
    name = max(sheets, key=lambda sheet: _filled(sheets[sheet]))
    others = [other for other in sheets if other != name and _filled(sheets[other])]
    also = f"; passed over: {', '.join(others[:5])}" if others else ""
    return _written(sheets[name]), f"sheet '{name}' of the workbook was read{also}"


def _check_size(archive: zipfile.ZipFile, size: int, file: str, remedy: str) -> None:
    """Refuse what unpacks to more than a download does, or declares entities, before a parser sees it."""
    left = min(MOST_UNPACKED, MOST_RATIO * size + 1_000_000)
    for member in archive.infolist():
        if not member.filename.endswith((".xml", ".rels")):
            continue
        with archive.open(member) as stream:
            if b"<!" in stream.read(1000).replace(b"<!--", b""):
                raise InputError(Fault(member.filename, "declares what no workbook needs", remedy, file))
            read = 1000
            while part := stream.read(1_000_000):
                read += len(part)
                if read > left:
                    what = "is a workbook that unpacks to more than a meter's downloads ever hold"
                    raise InputError(Fault("", what, remedy, file))
        left -= read


def _filled(rows: list[list[str]]) -> int:
    """How many rows hold anything."""
    return sum(map(any, rows))


def _rows_by_sheet(raw: bytes, file: str, remedy: str, blank_rows: bool) -> dict[str, list[list[str]]]:
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True, keep_links=False)
    sheets: dict[str, list[list[str]]] = {}
    for sheet in book.worksheets:
        if sheet.sheet_state != "visible":
            continue
        sheet.reset_dimensions()
        rows: list[list[str]] = []
        for row in sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS):
            cells = [_shown(cell) for cell in row]
            if any(cells) or blank_rows:
                rows.append(cells if any(cells) else [])
            if len(rows) > MOST_LINES:
                raise InputError(Fault("", f"has more than {MOST_LINES:,} rows", remedy, file))
        width = max((at + 1 for row in rows for at, cell in enumerate(row) if cell), default=0)
        sheets[str(sheet.title)[:60]] = [row[:width] for row in rows]
    return sheets


def _shown(cell: object) -> str:
    """A cell as text: dates as 2024-03-31, with a time where it is not midnight."""
    if cell is None:
        return ""
    if isinstance(cell, datetime.datetime):
        cell = _to_second(cell)
        midnight = cell.time() == datetime.time()
        return cell.date().isoformat() if midnight else cell.isoformat(sep=" ", timespec="seconds")
    if isinstance(cell, datetime.time):
        return cell.isoformat(timespec="seconds")
    if isinstance(cell, datetime.timedelta):
        seconds = round(cell.total_seconds())
        return f"{seconds // 3600:02}:{seconds // 60 % 60:02}"
    if isinstance(cell, float):
        return f"{cell:.15g}"
    return str(cell).strip()[:MOST_LETTERS]


def _to_second(moment: datetime.datetime) -> datetime.datetime:
    """To the nearest second, since workbooks keep moments as fractions of days."""
    return (moment + datetime.timedelta(microseconds=500_000)).replace(microsecond=0)


class _Tables(HTMLParser):
    """Rows of the tables of a page, as its text stands in the cells."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.rows: list[list[str]] = []
        self._cell = -1  # place of the open one

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "tr":
            self.rows.append([])
            self._cell = -1
        elif tag in ("td", "th") and self.rows:
            self.rows[-1].append("")
            self._cell = len(self.rows[-1]) - 1
            span = dict(attrs).get("colspan") or "1"
            self.rows[-1] += [""] * (min(int(span), MOST_COLUMNS) - 1 if span.isdigit() else 0)

    def handle_endtag(self, tag: str) -> None:
        if tag in ("td", "th", "tr", "table"):
            self._cell = -1

    def handle_data(self, data: str) -> None:
        if self._cell >= 0:
            self.rows[-1][self._cell] += data


def _of_page(raw: bytes, file: str) -> tuple[bytes, str]:
    """The rows of a page's tables; pages of a sign-in have none."""
    if len(raw) > MOST_PAGE:
        raise InputError(Fault("", "is a web page, too large to be one of readings", _AS_CSV, file))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", errors="replace")
    page = _Tables()
    page.feed(text)
    rows = [[" ".join(cell.split()) for cell in row] for row in page.rows if any(cell.strip() for cell in row)]
    if len(rows) < 3 or max(map(len, rows)) < 2:
        what = "is a web page without a table of readings, as where the sign-in has run out"
        raise InputError(Fault("", what, f"sign in again and {_AS_CSV}", file))
    return _written(rows), "it is a web page; the rows of its tables were read"


def without_breaks(lines: list[str]) -> list[str]:
    """Lines whose headings break inside quotation marks put together; the lines below keep their numbers.

    Examples
    --------
    >>> without_breaks(['"Used', '(kWh)","Cost"', "1,2"])
    ['"Used (kWh)","Cost"', '', '1,2']
    """
    marks = [line.count('"') for line in lines[: LINES_OF_HEADINGS + MOST_BREAKS]]
    at = 0
    while at < min(LINES_OF_HEADINGS, len(marks)):
        end = at
        if marks[at] % 2:
            below = range(at + 1, min(at + MOST_BREAKS, len(marks)))
            end = next((place for place in below if sum(marks[at : place + 1]) % 2 == 0), at)
        if end > at:
            lines[at : end + 1] = [" ".join(lines[at : end + 1]), *[""] * (end - at)]
        at = end + 1
    return lines


def japanese(raw: bytes) -> str:
    """Text of bytes in Shift JIS, by a word that tables have; empty where they are none."""
    try:
        text = raw.decode("cp932")
    except UnicodeDecodeError:
        return ""
    return text if any(word in text for word in _JAPANESE) else ""
