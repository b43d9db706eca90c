"""A study with its files in one file that opens elsewhere: a zip of `study.toml`, what it names, and bills or homes beside it."""

from __future__ import annotations

import io
import json
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path, PurePath
from typing import Any

from costsim.errors import Fault, InputError
from costsim.files import check_nesting, read_bytes
from costsim.study.case import MOST_BYTES, built_in_studies, find_study, parse_study, write_study
from costsim.study_files import LONGEST_NAME, StudyFiles

Papers = dict[str, dict[str, bytes]]
"""Files that no key of the study names, by what they are for (`PURPOSES`) and by name."""
STUDY, INDEX = "study.toml", "papers.json"
PURPOSES = ("bills", "bills_weather", "homes")
MOST_FILES = 60
MOST_FILE_BYTES, MOST_ALL_BYTES = 25_000_000, 100_000_000
"""Of one file and of all of them, unpacked."""
_DATE = (1980, 1, 1, 0, 0, 0)


def named_files(study: object, opened: Mapping[str, bytes]) -> dict[str, bytes]:
    """Those opened files whose names stand anywhere in a study.

    Examples
    --------
    >>> named_files({"place": {"weather": "mine.csv"}}, {"mine.csv": b"1", "other.csv": b"2"})
    {'mine.csv': b'1'}
    """
    texts = set(_texts(study))
    return {name: content for name, content in opened.items() if name in texts}


def _texts(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    parts = list(value.values()) if isinstance(value, Mapping) else value if isinstance(value, list | tuple) else []
    return [text for part in parts for text in _texts(part)]


def pack(study: Mapping[str, Any], files: Mapping[str, bytes], papers: Papers | None = None) -> bytes:
    """Write a study and its files as one zip; the same content gives the same bytes."""
    members = [(STUDY, write_study(study).encode()), *sorted(files.items())]
    index: dict[str, dict[str, str]] = {}
    for purpose, purpose_files in (papers or {}).items():
        for name, content in purpose_files.items():
            member = f"{purpose}-{len(index.get(purpose, {})) + 1}"
            index.setdefault(purpose, {})[member] = name
            members.append((member, content))
    if index:
        members.append((INDEX, json.dumps(index, sort_keys=True).encode()))
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members:
            archive.writestr(zipfile.ZipInfo(name, _DATE), content, zipfile.ZIP_DEFLATED)
    return target.getvalue()


def unpack(raw: bytes, *, file: str = "") -> tuple[dict[str, Any], dict[str, bytes], Papers]:
    """Read a study, the files it names, and its papers, each up to its limit and by its bare name.

    Raises
    ------
    InputError
        It is no zip, holds no `study.toml`, names a folder, or unpacks to more than is read.
    """
    if raw.count(b"PK\x01\x02") > 2 * MOST_FILES:  # before a list of a million names is built
        raise InputError(Fault("", "holds too many files", f"a study has up to {MOST_FILES}", file))
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            members = _members(archive, file)
    except (zipfile.BadZipFile, RuntimeError, EOFError, ValueError, OSError, zlib.error) as error:
        if isinstance(error, InputError):
            raise
        remedy = "save it anew from the dashboard, or open its study.toml alone"
        raise InputError(Fault("", "cannot be unpacked", remedy, file)) from None
    if STUDY not in members:
        raise InputError(Fault("", f"holds no {STUDY}", "open a file that the dashboard saved", file))
    study = parse_study(members.pop(STUDY), file=file)
    papers = _papers(members, file)
    return study, members, papers


def opened_study(path: str | Path) -> tuple[dict[str, Any], StudyFiles]:
    """Plain data of a study file, of a zip of one or of a built-in study, and where the files that it names are read.

    Raises
    ------
    InputError
        It cannot be read; what its keys hold is not looked at yet.
    """
    study_path, name = find_study(path), str(path)
    packed = study_path.suffix.lower() == ".zip"
    try:
        raw = read_bytes(study_path, name=name, most=MOST_ALL_BYTES if packed else MOST_BYTES)
    except InputError as error:
        remedy = f"check the path, or name a built-in study: {', '.join(built_in_studies())}"
        raise InputError([Fault("", fault.problem, remedy, fault.file) for fault in error.faults]) from None
    if not packed:
        return parse_study(raw, file=name), StudyFiles(study_path.parent)
    study, files, _ = unpack(raw, file=name)
    return study, StudyFiles(study_path.parent, files)


def _papers(members: dict[str, bytes], file: str) -> Papers:
    """Take the papers out of what was found, by the index that says what each is for."""
    raw = members.pop(INDEX, b"{}")
    try:
        check_nesting(raw.decode(), INDEX)
        index = json.loads(raw)
        papers: Papers = {}
        for purpose in PURPOSES:
            for member, name in index.get(purpose, {}).items():
                if not isinstance(name, str) or not name.isprintable() or not 0 < len(name) <= LONGEST_NAME:
                    raise ValueError
                papers.setdefault(purpose, {})[PurePath(name).name or member] = members.pop(member)
    except (ValueError, AttributeError, KeyError, RecursionError, InputError):
        remedy = "save it anew from the dashboard, or open its study.toml alone"
        raise InputError(Fault("", f"{INDEX} does not fit the files beside it", remedy, file)) from None
    return papers


def _members(archive: zipfile.ZipFile, file: str) -> dict[str, bytes]:
    names, members, total = archive.infolist(), {}, 0
    if len(names) > MOST_FILES:
        raise InputError(Fault("", f"holds {len(names):,} files", f"a study has up to {MOST_FILES}", file))
    for member in names:
        bare = member.filename
        if not bare or "/" in bare or "\\" in bare or bare in members or bare.startswith("."):
            raise InputError(Fault("", f"holds '{bare}', which is no bare name", "take it out of the zip", file))
        if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) or member.flag_bits & 1:
            raise InputError(Fault("", f"'{bare}' is packed in an unusual way", "pack it as a plain zip", file))
        most = MOST_BYTES if bare == STUDY else MOST_FILE_BYTES
        with archive.open(member) as stream:
            content = stream.read(most + 1)
        total += len(content)
        if len(content) > most or total > MOST_ALL_BYTES:
            raise InputError(Fault("", f"'{bare}' is too large", f"at most {most / 1e6:.0f} MB each", file))
        members[bare] = content
    return members
