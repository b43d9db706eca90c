"""A study with the files it names, in one file that opens elsewhere: a zip of `study.toml` and what was opened beside it."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Mapping
from typing import Any

from costsim.errors import Fault, InputError
from costsim.study.case import MOST_BYTES, parse_study, write_study

STUDY = "study.toml"
MOST_FILES = 60
MOST_FILE_BYTES, MOST_ALL_BYTES = 25_000_000, 100_000_000
"""Of one file and of all of them, unpacked."""
_DATE = (1980, 1, 1, 0, 0, 0)


def named_files(data: object, opened: Mapping[str, bytes]) -> dict[str, bytes]:
    """Those opened files whose names stand anywhere in a study.

    Examples
    --------
    >>> named_files({"place": {"weather": "mine.csv"}}, {"mine.csv": b"1", "other.csv": b"2"})
    {'mine.csv': b'1'}
    """
    texts = set(_texts(data))
    return {name: content for name, content in opened.items() if name in texts}


def _texts(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    parts = list(value.values()) if isinstance(value, Mapping) else value if isinstance(value, list | tuple) else []
    return [text for part in parts for text in _texts(part)]


def pack(data: Mapping[str, Any], files: Mapping[str, bytes]) -> bytes:
    """Write a study and its files as one zip; the same content gives the same bytes."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in [(STUDY, write_study(data).encode()), *sorted(files.items())]:
            archive.writestr(zipfile.ZipInfo(name, _DATE), content, zipfile.ZIP_DEFLATED)
    return target.getvalue()


def unpack(raw: bytes, *, file: str = "") -> tuple[dict[str, Any], dict[str, bytes]]:
    """Read a study and its files, each up to its limit and by its bare name.

    Raises
    ------
    InputError
        It is no zip, holds no `study.toml`, names a folder, or unpacks to more than is read.
    """
    if raw.count(b"PK\x01\x02") > 2 * MOST_FILES:  # before a list of a million names is built
        raise InputError(Fault("", "holds too many files", f"a study has up to {MOST_FILES}", file))
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            found = _members(archive, file)
    except (zipfile.BadZipFile, RuntimeError, EOFError, ValueError, OSError, zlib.error) as error:
        if isinstance(error, InputError):
            raise
        remedy = "save it anew from the dashboard, or open its study.toml alone"
        raise InputError(Fault("", "cannot be unpacked", remedy, file)) from None
    if STUDY not in found:
        raise InputError(Fault("", f"holds no {STUDY}", "open a file that the dashboard saved", file))
    return parse_study(found.pop(STUDY), file=file), found


def _members(archive: zipfile.ZipFile, file: str) -> dict[str, bytes]:
    names, found, total = archive.infolist(), {}, 0
    if len(names) > MOST_FILES:
        raise InputError(Fault("", f"holds {len(names):,} files", f"a study has up to {MOST_FILES}", file))
    for one in names:
        bare = one.filename
        if not bare or "/" in bare or "\\" in bare or bare in found or bare.startswith("."):
            raise InputError(Fault("", f"holds '{bare}', which is no bare name", "take it out of the zip", file))
        if one.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) or one.flag_bits & 1:
            raise InputError(Fault("", f"'{bare}' is packed in an unusual way", "pack it as a plain zip", file))
        most = MOST_BYTES if bare == STUDY else MOST_FILE_BYTES
        with archive.open(one) as stream:
            content = stream.read(most + 1)
        total += len(content)
        if len(content) > most or total > MOST_ALL_BYTES:
            raise InputError(Fault("", f"'{bare}' is too large", f"at most {most / 1e6:.0f} MB each", file))
        found[bare] = content
    return found
