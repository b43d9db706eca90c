"""The yardstick in C that benchmarks race against computes the same years as the kernel, for every built-in study."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import costsim
from costsim import read_study
from costsim.benchmarks.race import apart, lanes_of_year, year_of
from costsim.benchmarks.yardstick import compiler, yardstick
from costsim.engine import layout as k
from costsim.engine.block import run_lanes

DEMOS = sorted(path.stem for path in (Path(costsim.__file__).parent / "demos").glob("*.toml"))


@pytest.mark.skipif(compiler() is None, reason="there is no C compiler here")
@pytest.mark.parametrize(
    "study", [one if one in ("net_loft", "valley_row") else pytest.param(one, marks=pytest.mark.long) for one in DEMOS]
)
def test_the_yardstick_and_the_kernel_agree_on_every_demo(study: str) -> None:
    for option in range(len(read_study(study).options)):
        year = year_of(study, option, 20)
        c_years, why = yardstick(year)
        assert c_years is not None, why
        found = run_lanes(*lanes_of_year(year), alone=True)
        assert apart(c_years(), (found.sums, found.energy_j[..., 0])) < 1e-9, option


def test_what_the_yardstick_does_not_know_it_names() -> None:
    year = year_of("valley_row", 0, 2)
    plant = year.plant
    for row in (k.WITH_MASS, k.ZONES_KEPT):
        scalars = plant.scalars.copy()
        scalars[row] = 1.0
        c_years, why = yardstick(replace(year, plant=replace(plant, scalars=scalars)))
        assert c_years is None
        assert "one mixed tank" in why or compiler() is None
    hours = np.where(np.arange(k.HOURS)[:, None] == k.USE, 500.0, plant.hours)
    assert yardstick(replace(year, plant=replace(plant, hours=hours)))[0] is None
