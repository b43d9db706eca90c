"""The pages of the dashboard: a module `page_*.py` registers itself, so that a new page is one file."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass

from costsim.errors import Fault
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
    """One page: its word in the address, title, group, place in the row, keys it edits, and what draws it."""

    key: str
    title: str
    group: str
    place: int
    edits: tuple[str, ...]
    draw: Callable[[Context], None]


PAGES: dict[str, PageOfBoard] = {}


def page(
    key: str, title: str, *, group: str, place: int, edits: tuple[str, ...] = ()
) -> Callable[[Callable[[Context], None]], Callable[[Context], None]]:
    """Register a page; `edits` names the top keys of a study whose faults are mended on it."""

    def put(draw: Callable[[Context], None]) -> Callable[[Context], None]:
        PAGES[key] = PageOfBoard(key, title, group, place, edits, draw)
        return draw

    return put


def load_pages() -> list[PageOfBoard]:
    """Find every page of this package, in the order of their places."""
    package = importlib.import_module("costsim.dashboard")
    for module in pkgutil.iter_modules(package.__path__):
        if module.name.startswith("page_"):
            importlib.import_module(f"costsim.dashboard.{module.name}")
    return sorted(PAGES.values(), key=lambda one: one.place)
