"""Made-up figures for the report's drawings, and what is asked of every drawing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from views.geometry import Shape

WIDE = 640.0
KWH = 3.6e6
MONTHS = np.repeat(np.arange(1, 13), 10)
"""Ten hours a month are enough to draw."""
NEAR = pytest.approx


def option(name: str, fixed: float, energy: float, short_w: Sequence[float] = (0.0,) * 12) -> Any:
    missing = np.zeros(120)
    missing[np.arange(12) * 10 + 3] = short_w
    unmet = SimpleNamespace(hours=int(np.count_nonzero(missing)))
    return SimpleNamespace(
        name=name, cost_fixed=fixed, cost_energy=energy, cost_total=fixed + energy, unmet=unmet,
        hourly=SimpleNamespace(unmet_w=missing),
    )  # fmt: skip


def basis(
    *options: Any, bands: Sequence[tuple[float, float, float]] = (), given_w: Sequence[float] = (), load_w: float = 9e3
) -> Any:
    demand = np.concatenate([np.linspace(8e3, 0.0, 2500), np.zeros(500)])
    np.random.default_rng(1).shuffle(demand)
    band = dict(zip((one.name for one in options), bands, strict=False))
    looks = {
        one.name: SimpleNamespace(sources=[SimpleNamespace(day_w=watts * 0.25), SimpleNamespace(day_w=watts * 0.75)])
        for one, watts in zip(options, given_w, strict=False)
    }
    return SimpleNamespace(
        system="si", case=SimpleNamespace(currency="$", options=options), band=band.get, look=looks.get,
        result=SimpleNamespace(options=options, months=MONTHS, route=SimpleNamespace(load_w=load_w)),
        common=SimpleNamespace(demand_w=demand),
    )  # fmt: skip


def texts(found: list[Shape], size: str = "") -> list[Shape]:
    return [one for one in found if one.kind == "text"]


def wide_of(words: str, size: float) -> float:
    """About the width of a text: half its size a letter, as prints go."""
    return 0.5 * size * len(words)


def boxes(found: list[Shape]) -> list[Shape]:
    """Filled boxes, without their hatching."""
    return [one for one in found if one.kind == "rect" and not one.fill.startswith("url")]


def inside(found: list[Shape], height: float) -> None:
    for one in found:
        left, top, right, bottom = one.box
        assert 0 <= left <= right <= WIDE + 0.01
        assert 0 <= top <= bottom <= height
    for one, other in pairwise(
        sorted((one for one in texts(found)), key=lambda one: (one.points[0][1], one.points[0][0]))
    ):
        assert one.points != other.points  # no word on another


def alike(found: list[Shape], *groups: Sequence[str]) -> None:
    """Words of one kind are of one size, and none is smaller than a page can show."""
    for words in groups:
        sizes = {one.size for one in texts(found) if one.words in words}
        assert len(sizes) == 1, words
        assert 9 <= sizes.pop() <= 12


def height_of(svg: str) -> float:
    found = re.search(r'viewBox="0 0 640 ([\d.]+)" width="640" height="([\d.]+)"', svg)
    assert found is not None
    assert found[1] == found[2]
    return float(found[1])


MISSING = (5000.0, 3000.0, 500.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 100.0, 1500.0, 4200.0)
