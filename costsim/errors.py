"""What can go wrong, as one small tree.

::

    CostsimError            anything this package raises on purpose
    ├── InputError          something a person typed or dropped in; carries every fault found
    └── SolverError         a numerical search that found no answer

A fault is one line that names the file, the field, what was given and what would be right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

A = TypeVar("A")
B = TypeVar("B")
C = TypeVar("C")


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with one field of one file.

    Parameters
    ----------
    field : str
        Key path, column or line in the file, such as ``house.floor_area``; empty for the file as a whole.
    problem : str
        What is wrong, with the value that was given.
    remedy : str
        What would be right, with an example where one helps.
    file : str
        Name of the file as the person gave it; empty for a value that came from no file.
    asks : str
        What the fault is a question about, by the option of the command line that answers it, such as ``"fuel"``; else empty.
    answers : tuple of str
        What can be answered, where that is known: the pages offer it as one choice.

    Examples
    --------
    >>> print(Fault("house.indoor_temperature", "70 is a bare number", 'write it with its unit, such as "70 degF"', "a.toml"))
    a.toml: house.indoor_temperature: 70 is a bare number; write it with its unit, such as "70 degF"
    """

    field: str
    problem: str
    remedy: str
    file: str = ""
    asks: str = ""
    answers: tuple[str, ...] = ()

    def __str__(self) -> str:
        where = ": ".join(one_line(part) for part in (self.file, self.field) if part)
        what = "; ".join(one_line(part) for part in (self.problem, self.remedy) if part)
        return " ".join((f"{where}: {what}" if where else what).split())


MOST_LINES = 200
"""Faults that a message lists; `InputError.faults` has all of them."""
LONGEST = 500
"""Letters of a part of a message; a whole file may stand in what somebody typed."""


def one_line(text: str) -> str:
    r"""One line of what was given, without what would move a terminal's cursor.

    Examples
    --------
    >>> one_line("a\x1b[2Jb")
    'a\ufffd[2Jb'
    """
    short = text if len(text) <= LONGEST else f"{text[: LONGEST - 100]} … {text[-90:]}"
    return "".join(letter if letter.isprintable() else " " if letter.isspace() else "\ufffd" for letter in short)


def reason(error: Exception) -> str:
    """What the operating system says of a file, without its number.

    Examples
    --------
    >>> reason(FileNotFoundError(2, "No such file or directory")), reason(ValueError("embedded null byte"))
    ('No such file or directory', 'embedded null byte')
    """
    return getattr(error, "strerror", None) or str(error)


class CostsimError(Exception):
    """Anything this package raises on purpose."""


class InputError(CostsimError):
    """Something a person typed or dropped in cannot be used.

    Parameters
    ----------
    faults : Fault or iterable of Fault
        Every fault found, in the order of the file.
    """

    def __init__(self, faults: Fault | Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        lines = [str(fault) for fault in self.faults[:MOST_LINES]]
        more = len(self.faults) - len(lines)
        super().__init__("\n".join([*lines, f"… and {more:,} more faults"] if more > 0 else lines))


def together(first: Callable[[], A], second: Callable[[], B], third: Callable[[], C]) -> tuple[A, B, C]:
    """What three pieces of work give, or the faults of all of them.

    Raises
    ------
    InputError
        With every fault that any of them found, in their order.
    """
    results: list[Any] = []
    faults: list[Fault] = []
    for work in (first, second, third):
        try:
            results.append(work())
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return results[0], results[1], results[2]


class SolverError(CostsimError):
    """A numerical search found no answer."""
