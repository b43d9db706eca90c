"""A wrong entry rejects itself and nothing else: what can be computed without it, or with the value before."""

from __future__ import annotations

import copy
import dataclasses
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from costsim.dashboard.field_text import as_shown
from costsim.errors import Fault, InputError
from costsim.words import tr

Path = tuple[str | int, ...]
NOT_OPEN = re.compile(r"^'([^']++)': is not open in this session")
ROUNDS = 4
"""Times that a study is looked at again: what one check sets aside lets the next one see the rest."""
_PART = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


def path_of(field: str) -> Path:
    """The key path of a message, as `field_text.dotted` writes it.

    Examples
    --------
    >>> path_of("option[1].source[2].output")
    ('option', 0, 'source', 1, 'output')
    """
    return tuple(int(number) - 1 if number else name for name, number in _PART.findall(field))


def computed_without(
    study: Mapping[str, Any],
    faults: Sequence[Fault],
    before: Mapping[str, Any] | None,
    system: str,
    compute: Callable[[dict[str, Any]], Any],
) -> tuple[Any, tuple[Fault, ...]] | None:
    """Compute a study with each wrong entry as it was before, or without it where there was none.

    Parameters
    ----------
    study : mapping
        The study as typed; it stays as it is.
    faults : sequence of Fault
        What is wrong with it.
    before : mapping, optional
        The last study that could be computed.
    system : str
        Units of the reader.
    compute : callable
        Gives the answer to a study, or raises `InputError`.

    Returns
    -------
    tuple or None
        The answer, and all faults, each saying what is used until it is mended; None where an entry cannot be spared.
    """
    spared, notes = copy.deepcopy(dict(study)), []
    for _ in range(ROUNDS):
        for fault in faults:
            used = _spare(spared, fault, before or {}, system)
            if used is None:
                return None
            notes.append(dataclasses.replace(fault, remedy=f"{fault.remedy}. {used}"))
        try:
            return compute(spared), tuple(notes)
        except InputError as error:
            faults = error.faults
    return None


def _spare(study: dict[str, Any], fault: Fault, before: Mapping[str, Any], system: str) -> str | None:
    """Set one wrong entry back, or take it out; say which, or None where neither can be done."""
    path = path_of(fault.field)
    while path and isinstance(path[-1], int) and not isinstance(_at(study, path), dict):
        path = path[:-1]  # one value of a row goes with its row
    owner = _at(study, path[:-1]) if path else None
    if not path or not isinstance(owner, dict | list):
        return None
    was, now = _before(study, path, before), _at(study, path)
    if was is not None and was != now:
        owner[path[-1]] = copy.deepcopy(was)  # type: ignore[index]
        if isinstance(was, str | int | float):
            return tr("Until then {value} is used, as before.", value=as_shown(str(was), system))
        return tr("Until then the entry before is used.")
    if isinstance(owner, list) or path[-1] not in owner or NOT_OPEN.match(fault.problem):
        return None
    del owner[path[-1]]
    return tr("Until then it is left out.")


def _at(level: Any, path: Path) -> Any:
    for part in path:
        try:
            level = level[part]
        except (KeyError, IndexError, TypeError):
            return None
    return level


def _before(level: Any, path: Path, before: Any) -> Any:
    """What stood at a place before; items of a list are known by kind and name, since they may have moved."""
    for at, part in enumerate(path):
        if isinstance(part, int):
            item = _at(level, path[: at + 1])
            if not isinstance(before, list | tuple) or not isinstance(item, dict):
                return None
            same = [entry for entry in before if isinstance(entry, dict) and _called(entry) == _called(item)]
            here = before[part] if part < len(before) else None
            before = here if here in same else (same[0] if len(same) == 1 else None)
        else:
            before = before.get(part) if isinstance(before, Mapping) else None
        if before is None:
            return None
    return before


def _called(item: Mapping[str, Any]) -> tuple[Any, Any]:
    return item.get("kind"), item.get("name")
