"""The pages of the dashboard: a module `page_*.py` is one, so that a new page is one file."""

from __future__ import annotations

import ast
import functools
import importlib
import inspect
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from costsim.errors import Fault
from costsim.files import read_bytes
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.weather import Weather

GROUPS = ("Decide", "Your case", "Risk", "Share")


@dataclass(frozen=True, slots=True)
class Answer:
    """A study that could be computed."""

    case: Case
    weather: Weather
    result: Result


@dataclass(frozen=True, slots=True)
class Context:
    """What a page may read: the answer if there is one, what is wrong, and who reads it in which units.

    `stale` says that the answer is that of the last study that could be computed; without it, faults are of entries set aside.
    """

    answer: Answer | None
    faults: tuple[Fault, ...]
    stale: bool
    persona: str
    system: str

    def at(self, key: str) -> list[Fault]:
        """Faults of one key path."""
        return [fault for fault in self.faults if fault.field == key]


@dataclass(frozen=True, slots=True)
class PageOfBoard:
    """One page: its word in the address, title, group, place in the row, keys it edits, and the module that draws it."""

    key: str
    title: str
    group: str
    place: int
    edits: tuple[str, ...]
    module: str

    def draw(self, context: Context) -> None:
        """Draw it; what only this page needs is imported now."""
        importlib.import_module(self.module).draw(context)


def page(
    key: str, title: str, *, group: str, place: int, edits: tuple[str, ...] = ()
) -> Callable[[Callable[[Context], None]], Callable[[Context], None]]:
    """Say of a module's `draw` which page it is; `edits` names the top keys of a study whose faults are mended on it.

    What is said is read from the module's text (`load_pages`), since importing every page costs the first one a second: it has
    to be written out, without names.
    """

    def keep(draw: Callable[[Context], None]) -> Callable[[Context], None]:
        return draw

    return keep


@functools.cache
def load_pages() -> tuple[PageOfBoard, ...]:
    """Find every page of this package, in the order of their places, without importing one."""
    return pages_in(Path(__file__).parent)


def pages_in(folder: Path) -> tuple[PageOfBoard, ...]:
    """Read what the modules `page_*.py` of a folder say of themselves.

    Raises
    ------
    ValueError
        One has no `draw` under `@page`, takes the key of another, or names a group that is not there; all such in one message.
    """
    pages: list[PageOfBoard] = []
    for file in sorted(folder.glob("page_*.py")):
        text = read_bytes(file).decode()
        said = re.search(r"^@page\(.*?\)$(?=\ndef draw\()", text, re.DOTALL | re.MULTILINE)
        if said is None:
            raise ValueError(f"{file.name} has no draw under @page(...)")
        call = ast.parse(said[0][1:], mode="eval").body
        assert isinstance(call, ast.Call)
        given = inspect.signature(page).bind(
            *map(ast.literal_eval, call.args), **{str(key.arg): ast.literal_eval(key.value) for key in call.keywords}
        )
        given.apply_defaults()
        pages.append(PageOfBoard(**given.arguments, module=f"{__package__}.{file.stem}"))
    if wrong := list(_wrong(pages)):
        raise ValueError("; ".join(wrong))
    return tuple(sorted(pages, key=lambda page: page.place))


def _wrong(pages: list[PageOfBoard]) -> Iterator[str]:
    """What no page may say."""
    files: dict[str, str] = {}
    for listed in pages:
        file = f"{listed.module.rpartition('.')[2]}.py"
        if listed.group not in GROUPS:
            yield f"{file}: group {listed.group!r} is none of {', '.join(GROUPS)}: take one of them"
        if (other := files.setdefault(listed.key, file)) != file:
            yield f"{file}: key {listed.key!r} is that of {other}: take another, which is its word in the address"
