"""The yardstick in C that benchmarks race against computes the same years as the kernel, for every built-in study."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cases import sample_weather, study

import costsim
from costsim import read_study
from costsim.benchmarks.race import apart, lanes_of_year, year_of
from costsim.benchmarks.yardstick import compiler, yardstick
from costsim.engine import layout as k
from costsim.engine.block import run_lanes
from costsim.engine.lower import lower_option, lower_study

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


@pytest.mark.skipif(compiler() is None, reason="there is no C compiler here")
def test_the_yardstick_and_the_kernel_agree_on_fires_side_by_side() -> None:
    """Of two and of three, of unlike length, with a tank that cannot take all of them."""
    year = year_of("valley_row", 0, 20)
    short = {
        "kind": "wood",
        "charge": "20 kg",
        "burn_time": "5 h",
        "load_times": ["07:00", "18:00"],
        "efficiency": "60 %",
    }
    long = short | {"name": "long", "charge": "50 kg", "burn_time": "11 h", "load_times": ["06:00", "19:00"]}
    third = short | {"name": "third", "charge": "10 kg", "load_times": ["12:00", "18:00", "23:00"]}
    case = study(
        long, short, third, tank__volume="1500 L", tank__max_temperature="85 degC", house__design_heat_loss="25 kW"
    )
    common = lower_study(case, sample_weather())
    fires = lower_option(common, case.options[0])
    for count in (2, 3):
        plant = replace(
            fires, offers=fires.offers[:count], source_scalars=fires.source_scalars[:count],
            source_hours=fires.source_hours[:count], order=np.ascontiguousarray(fires.order[:count]),
        )  # fmt: skip
        side = replace(
            year, plant=plant, degrees=common.balance_c - common.weather.outdoor_c, per_input=np.full((count, 8760), 0.6),
            months=common.weather.months, loss_w_k=np.linspace(100.0, 900.0, 20), shift_k=np.zeros(20),
        )  # fmt: skip
        c_years, why = yardstick(side)
        assert c_years is not None, why
        result = run_lanes(*lanes_of_year(side), alone=True)
        assert apart(c_years(), (result.sums, result.energy_j[..., 0])) < 1e-9
        assert (result.sums[:, k.SUMS :] > 0.0).all()


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
