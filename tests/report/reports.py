"""Reports of the built-in studies, each computed once for all tests."""

from __future__ import annotations

import functools

import pytest

from costsim import load_weather, read_study
from costsim.cli.main import default_units
from costsim.report import content
from costsim.report.basis import Basis, basis_of
from costsim.report.blocks import Block, Report, Table
from costsim.report.content import report_of
from costsim.study.case import Case

DEMOS = ("lantern_cottage", "net_loft", "valley_row")


@functools.cache
def demo_case(name: str) -> Case:
    """A built-in study."""
    return read_study(name)


def system_of(name: str) -> str:
    """Units of a built-in study."""
    return default_units(demo_case(name).typed)


@functools.cache
def demo_report(name: str) -> Report:
    """Its report, drawn from the basis that the tests hold it against."""
    case = demo_case(name)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(content, "basis_of", lambda *_: demo_basis(name))
        return report_of(case, load_weather(case), system_of(name))


@functools.cache
def demo_basis(name: str) -> Basis:
    """What its report rests on."""
    case = demo_case(name)
    return basis_of(case, load_weather(case), system_of(name))


def table_with(blocks: tuple[Block, ...], heading: str) -> Table:
    """The one table that has a column of this heading."""
    return next(block for block in blocks if isinstance(block, Table) and heading in block.headings)


def words(blocks: tuple[Block, ...]) -> str:
    """All texts of some blocks, one a line."""
    return "\n".join(text for block in blocks for text in _texts(block))


def _texts(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, tuple):
        return [text for one in value for text in _texts(one)]
    slots = getattr(type(value), "__slots__", ())
    return [text for name in slots for text in _texts(getattr(value, name))]
