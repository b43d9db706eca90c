"""A study with a size of a source or a tank changed: only the table that holds it is read again, by the model that read it first."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError

from costsim.study.case import Case, case_from
from costsim.study.plant import Tank

Path = tuple[str | int, ...]
"""Keys, and places from 0 in lists: ``("option", 0, "source", 1, "output")``."""


def changed(case: Case, *changes: tuple[Path, Any]) -> Case:
    """The same study with typed values changed.

    Parameters
    ----------
    case : Case
        Read from text.
    *changes : (path, text or dict)
        Path of a key in ``[tank]``, or in an option's ``[tank]`` or ``[[source]]``, or of such a table, and what is typed there.

    Raises
    ------
    InputError
        The value does not fit.

    Notes
    -----
    No check across tables looks at a size, so that a table that its own model takes fits the study as before.

    Examples
    --------
    >>> from costsim.study.case import read_study
    >>> larger = ("option", 0, "source", 0, "output"), "11 kW"
    >>> changed(read_study("lantern_cottage"), larger).options[0].sources[0].output_w
    11000.0
    """
    fitting = if_fits(case, *changes)
    return case_from(_typed(case, changes), file=case.file, files=case.files) if fitting is None else fitting


def if_fits(case: Case, *changes: tuple[Path, Any]) -> Case | None:
    """The study as `changed` gives it; None where a value does not fit, for a search that need not say why."""
    fitting, study = case, _typed(case, changes)
    try:
        for where in dict.fromkeys(where[: _depth(where)] for where, _ in changes):
            fitting = _read_again(fitting, study, where)
    except ValidationError:
        return None
    fitting._typed = study
    return fitting


def _typed(case: Case, changes: Iterable[tuple[Path, Any]]) -> Any:
    """What is typed in the study, with values changed."""
    study: Any = case.typed
    for where, what in changes:
        study = _put(study, where, what)
    return study


def _put(node: Any, path: Path, text: Any) -> Any:
    """Plain data with one value changed; what lies beside the path is shared."""
    if not path:
        return text
    copy: Any = list(node) if isinstance(path[0], int) else dict(node or {})
    below = copy[path[0]] if isinstance(path[0], int) else copy.get(path[0])
    copy[path[0]] = _put(below, path[1:], text)
    return copy


def _depth(path: Path) -> int:
    """Length of the path to its table."""
    return {"tank": 1}.get(str(path[0])) or (4 if path[2] == "source" else 3)


def _read_again(case: Case, study: Any, table: Path) -> Case:
    """The case with one table read again."""
    if table[0] == "tank":
        return case.model_copy(update={"tank": Tank.model_validate(study["tank"])})
    at, typed = int(table[1]), study["option"][table[1]]
    option = case.options[at]
    if table[2] == "tank":
        option = option.model_copy(update={"tank": Tank.model_validate(typed["tank"]), "no_tank": False})
    else:
        number = int(table[3])
        source = type(option.sources[number]).model_validate(typed["source"][number])
        option = option.model_copy(update={"source": _swapped(option.sources, number, source)})
    return case.model_copy(update={"option": _swapped(case.options, at, option)})


def _swapped(items: tuple[Any, ...], at: int, item: Any) -> tuple[Any, ...]:
    return (*items[:at], item, *items[at + 1 :])
