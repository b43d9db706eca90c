"""Fixtures shared by all tests."""

from __future__ import annotations

import csv
import functools
import gc
import os
import sys
from collections.abc import Callable, Generator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from _pytest.doctest import DoctestModule

gc.disable()  # until all is collected, which leaves next to no rubbish
PUBLISHED = Path(__file__).parent / "published"
NEVER = 2**62
"""More lanes than any job has."""
collect_ignore = ["sources/gas_lift.py"]  # a kind that enters itself, for a process of its own
USED: set[str] = set()
"""Published values that a test of this run has compared with something."""


@dataclass(frozen=True)
class PublishedValue:
    """One row of tests/published/*.csv."""

    id: str
    quantity: str
    value: float
    unit: str
    tolerance: float
    source: str
    status: str

    def __getattribute__(self, name: str) -> Any:
        """Remember which values were really compared with something."""
        if name in ("value", "check"):
            USED.add(object.__getattribute__(self, "id"))
        return object.__getattribute__(self, name)

    def check(self, actual: float) -> None:
        """Assert that `actual` agrees with the published value within its tolerance."""
        assert abs(actual - self.value) <= self.tolerance, (
            f"{self.id}: got {actual!r}, published {self.value!r} {self.unit} ± {self.tolerance:g} ({self.source})"
        )


@functools.cache
def load_published(topic: str) -> dict[str, PublishedValue]:
    """Read one table of published values."""
    with (PUBLISHED / f"{topic}.csv").open(newline="", encoding="utf-8") as stream:
        return {row["id"]: _row(row) for row in csv.DictReader(stream)}


def _row(row: dict[str, str]) -> PublishedValue:
    value, text = float(row["value"]), row["tolerance"].strip()
    tolerance = abs(value) * float(text[:-1]) / 100 if text.endswith("%") else float(text)
    return PublishedValue(row["id"], row["quantity"], value, row["unit"], tolerance, row["source"], row["status"])


@pytest.fixture(scope="session")
def published() -> Callable[[str], dict[str, PublishedValue]]:
    """Give the loader of published values: ``published("floor")["en1264_dt5"].check(q)``."""
    return load_published


class Whole:
    """A whole run that passes must have compared every published value with something; a part of it says nothing."""

    def __init__(self) -> None:
        self.used, self.asked = USED, 0

    @pytest.hookimpl(optionalhook=True)
    def pytest_testnodedown(self, node: Any, error: object) -> None:
        """One of several processes that run tests side by side has ended: take over what it compared."""
        told = getattr(node, "workeroutput", {})
        self.used |= set(told.get("used", ()))
        self.asked = max(self.asked, told.get("asked", 0))

    @pytest.hookimpl(trylast=True)
    def pytest_sessionfinish(self, session: pytest.Session, exitstatus: int) -> None:
        """Tell the process that started this one what was compared, or find what nothing was compared with."""
        asked = max(self.asked, len(getattr(session, "items", ())))
        if hasattr(session.config, "workeroutput"):
            session.config.workeroutput.update(used=sorted(self.used), asked=asked)
            return
        part = (
            session.config.option.keyword
            or session.config.getoption("deselect")
            or session.config.args_source.name == "ARGS"
        )
        if exitstatus != 0 or part or asked <= 1000:
            return
        known = {row.id for path in PUBLISHED.glob("*.csv") for row in load_published(path.stem).values()}
        if idle := sorted(known - self.used):
            session.exitstatus = pytest.ExitCode.TESTS_FAILED
            sys.stderr.write(f"\npublished values that no test compared with anything: {', '.join(idle)}\n")


def pytest_configure(config: pytest.Config) -> None:
    """Have published values counted."""
    config.pluginmanager.register(Whole(), "whole")


FORMS = {"gw0": ((False, 0, 0), (False, 0, 1), (True, 0, 0)), "gw1": ((False, 1, 0), (False, 1, 1))}
"""Forms of the kernel that a whole run asks for, and which of two processes side by side compiles each of them."""


@pytest.fixture(autouse=True, scope="session")
def compiled_kernel(request: pytest.FixtureRequest) -> None:
    """Test the compiled kernel: without this a few years run in Python until a process apart has compiled it."""
    from costsim.engine import block

    block.AT_ONCE = 0
    if len(request.session.items) > 1000:
        for one in FORMS.get(os.environ.get("PYTEST_XDIST_WORKER", ""), ()):
            block.compile_form(block._form_of_one(*one).spec())


@functools.cache
def _usual_worth() -> int:
    from costsim.analysis import sized_years

    return sized_years.WORTH


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Compile no form for sixteen lanes by the way: the form for one gives the same bits, which `engine/test_block.py` holds.

    A test that is about such a form asks for it; a long one has them as everybody has.
    """
    usual = _usual_worth()
    from costsim.engine import block

    block.WORTH = NEVER if item.get_closest_marker("long") is None else usual
    block._later.clear()  # what one test would have had compiled is not for the next command to begin with


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector: pytest.Collector) -> Generator[None, Any, Any]:
    """Have every other process collect backwards: each finds half of the files prepared by the other in a fresh tree."""
    report = yield
    if isinstance(collector, (pytest.Session, pytest.Dir)) and _goes_backwards():
        report.result.reverse()
    return report


def _goes_backwards() -> bool:
    return os.environ.get("PYTEST_XDIST_WORKER", "gw0")[2:] in "13579"


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Bring the files in one order for all processes."""
    items.sort(key=lambda item: str(item.path))


def pytest_collection_finish() -> None:
    """What was collected stays to the end: rubbish is looked for among what comes after it, and less often."""
    gc.freeze()
    gc.set_threshold(20_000, 10, 10)
    gc.enable()


@pytest.hookimpl(wrapper=True)
def pytest_collect_file(file_path: Path) -> Generator[None, Any, Any]:
    """Look for examples only where there are some: to load a module that enters a kind changes what others are asked."""
    found = yield
    return [one for one in found if not isinstance(one, DoctestModule) or _has_examples(file_path)]


def _has_examples(module: Path) -> bool:
    return not module.name.startswith("test_") and ">>>" in module.read_text(encoding="utf-8")
