"""A copy of a study with some keys changed: its comments and order stay, and nothing is written that would not be read."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import InlineTable

from costsim.errors import Fault, InputError
from costsim.files import read_bytes, write_text
from costsim.study.case import Case, case_from, find_study, parse_study
from costsim.study.crosschecks import weather_faults
from costsim.study_files import StudyFiles


def study_text(case: Case) -> str:
    """The text of the file that a case was read from; out of a zip no copy is written, since its files would stay behind."""
    if case.file.lower().endswith(".zip"):
        raise InputError(Fault("", "is a zip", "unzip it and give its study.toml to write a copy", case.file))
    return read_bytes(find_study(case.file), name=case.file).decode("utf-8-sig")


def edited(
    text: str, tables: Mapping[str, Mapping[str, Any]], replaced: Mapping[str, Collection[str]], comment: str
) -> str:
    """Put keys into tables of a study's text and take out those that they replace.

    Parameters
    ----------
    text : str
        A study in TOML.
    tables : mapping
        Of top-level tables, made where missing, to their new keys as plain data.
    replaced : mapping
        Of table names to keys that go.
    comment : str
        One line that stands above the new keys.

    Returns
    -------
    str
        The text with all else, comments among it, as it was.
    """
    document = tomlkit.parse(text)
    for name, keys in tables.items():
        table: Any = document.get(name)
        if table is None:
            table = document[name] = tomlkit.table()
        for key in (*replaced.get(name, ()), *keys):
            table.pop(key, None)
        if not isinstance(table, InlineTable):
            table.add(tomlkit.comment(comment))
        for key, value in keys.items():
            table.add(key, tomlkit.item(value))
    return tomlkit.dumps(document)


def write_copy(text: str, target: str | Path, *, overwrite: bool = False) -> None:
    """Write the text of a study after reading it as whoever opens it will.

    Raises
    ------
    InputError
        The target is there already, or the text is no valid study where it shall stand.
    """
    not_there(target, overwrite=overwrite)
    path = Path(target)
    study = parse_study(text.encode(), file=str(target))
    files = StudyFiles(path.parent)
    faults = weather_faults(study, files, str(target))
    if faults:
        raise InputError(faults)
    case_from(study, file=str(target), files=files)
    write_text(path, text)


def not_there(target: str | Path, *, overwrite: bool) -> None:
    """Refuse to write over a file unless that is wanted.

    Raises
    ------
    InputError
        The target is there already.
    """
    if Path(target).exists() and not overwrite:
        raise InputError(Fault("", "is there already", "name another file with -o, or add --overwrite", str(target)))
