"""From what was downloaded to text: letters of any usual encoding, and what lies in a ZIP, within bounds."""

from __future__ import annotations

import io
import zipfile
import zlib
from pathlib import PurePosixPath

from costsim.errors import Fault, InputError
from costsim.packed_tables import as_text, is_packed_table, japanese

MOST_BYTES = 40_000_000
MOST_MEMBERS, MOST_UNPACKED, MOST_GUNZIPPED, MOST_RATIO = 100, 200_000_000, 100_000_000, 400
EXAMPLE = "such as 'start,end,usage (therm)' or 'date,delivered (gal)'"
_PASSED_OVER = (".pdf", ".png", ".jpg", ".jpeg", ".xsl", ".xslt", ".css", ".htm", ".html", ".js", ".ico", ".md")


def decoded(raw: bytes, file: str) -> tuple[str, list[str]]:
    """Decode UTF-8 with or without a mark, UTF-16 with or without one, Shift JIS, else Latin-1, or take the table of a workbook; and say which.

    Raises
    ------
    InputError
        It is empty, too large, or no table.
    """
    if not raw.strip():
        raise InputError(Fault("", "is empty", f"write one row a bill, {EXAMPLE}", file))
    if len(raw) > MOST_BYTES:
        raise InputError(Fault("", f"is {len(raw) / 1e6:.0f} MB large", "a table of bills has a few kB", file))
    raw, notes = as_text(raw, file)
    if notes:
        return raw.decode(), [notes]
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return raw.decode("utf-16", errors="replace"), ["letters read as UTF-16"]
    head = raw[:4096]
    if b"\x00" in head:
        for name, nulls, others in (("utf-16-le", head[1::2], head[::2]), ("utf-16-be", head[::2], head[1::2])):
            if nulls.count(0) > 0.9 * len(nulls) and not others.count(0):
                return raw.decode(name, errors="replace"), ["letters read as UTF-16"]
        raise InputError(Fault("", "is not text", "save the table as CSV", file))
    try:
        return raw.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        pass
    if text := japanese(raw):
        return text, ["letters read as Shift JIS"]
    return raw.decode("cp1252", errors="replace"), ["letters read as Latin-1"]


def is_gzip(raw: bytes) -> bool:
    """Whether bytes begin like a gzip file."""
    return raw[:2] == b"\x1f\x8b"


def gunzipped(raw: bytes, file: str) -> tuple[bytes, str]:
    """Unpack a gzip file, in memory and within bounds; its content and its name without the ending.

    Raises
    ------
    InputError
        It is broken, or unpacks to too much.
    """
    reader = zlib.decompressobj(wbits=31)
    try:
        chunk = reader.decompress(raw, MOST_GUNZIPPED)
    except zlib.error as error:
        raise InputError(Fault("", f"is no whole gzip file ({error})", "download it again", file)) from None
    if reader.unconsumed_tail:
        what = f"unpacks to more than {MOST_GUNZIPPED / 1e6:.0f} MB"
        raise InputError(Fault("", what, "unpack it and give the years one by one", file))
    if not reader.eof:
        raise InputError(Fault("", "is no whole gzip file", "download it again", file))
    return chunk, file.removesuffix(".gz")


def looks_zipped(raw: bytes) -> bool:
    """Whether bytes begin like a ZIP."""
    return raw[:4] in (b"PK\x03\x04", b"PK\x05\x06")


def unzipped(raw: bytes, file: str) -> list[tuple[str, bytes]]:
    """Unpack the files of a ZIP, in memory and within bounds.

    Parameters
    ----------
    raw : bytes
        The ZIP.
    file : str
        Its name for messages.

    Returns
    -------
    list of (name, content)
        Names as ``outer.zip/inner.csv``; folders, pictures and style sheets are left out.

    Raises
    ------
    InputError
        It is broken, locked, holds nothing to read, or unpacks to more than a meter's files ever do.
    """
    contents: list[tuple[str, bytes]] = []
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            names = set(archive.namelist())
            for mark, what in (
                ("content.xml", "is a sheet of OpenDocument"),
                ("Index/Document.iwa", "is a sheet of Numbers"),
            ):
                if mark in names:
                    raise InputError(Fault("", what, "export it as CSV or as an Excel workbook (.xlsx)", file))
            members = [member for member in archive.infolist() if not member.is_dir() and _is_wanted(member.filename)]
            if len(members) > MOST_MEMBERS:
                what = f"holds {len(members):,} files"
                raise InputError(Fault("", what, f"put at most {MOST_MEMBERS} into one ZIP", file))
            left = min(MOST_UNPACKED, MOST_RATIO * len(raw) + 1_000_000)
            for member in members:
                with archive.open(member) as stream:
                    content = stream.read(left + 1)
                left -= len(content)
                if left < 0:
                    what = "unpacks to more than a meter's downloads ever hold"
                    raise InputError(Fault("", what, "unpack it and give the files one by one", file))
                if looks_zipped(content) and not is_packed_table(content):
                    raise InputError(Fault(member.filename, "is a ZIP inside a ZIP", "unpack the outer one", file))
                contents.append((f"{file}/{PurePosixPath(member.filename).name}", content))
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError) as error:
        raise InputError(Fault("", f"is no whole ZIP ({error})", "download it again", file)) from None
    except RuntimeError:  # zipfile says so of a password, and of a packing it does not know
        raise InputError(
            Fault("", "is locked with a password, or packed in an unusual way", "unpack it and give the file", file)
        ) from None
    if not contents:
        raise InputError(Fault("", "holds no file of readings", "give a ZIP with CSV or XML inside", file))
    return contents


def unpacked_one(raw: bytes, file: str) -> tuple[bytes, str]:
    """The one file in a gzip file or a ZIP, and its name; what is not packed, or is a workbook, comes back as it is.

    Raises
    ------
    InputError
        It is broken, or a ZIP holds several files.
    """
    if is_gzip(raw):
        return gunzipped(raw, file)
    if not looks_zipped(raw) or is_packed_table(raw):
        return raw, file
    members = unzipped(raw, file)
    if len(members) > 1:
        names = ", ".join(name.rpartition("/")[2] for name, _ in members[:6])
        raise InputError(Fault("", f"holds {len(members)} files: {names}", "unpack it and give one of them", file))
    return members[0][1], members[0][0]


def _is_wanted(name: str) -> bool:
    path = PurePosixPath(name)
    hidden = path.name.startswith(".") or "__MACOSX" in path.parts
    return bool(path.name) and not hidden and path.suffix.lower() not in _PASSED_OVER
