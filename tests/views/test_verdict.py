"""The likelihood of the first look, and that runs kept for another price are those that would be run."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from costsim import load_weather, read_study, simulate
from costsim.analysis.scenarios import draw, lower_years, simulate_scenarios
from costsim.engine.batch import BatchResult, price_batch
from costsim.simulation import load_winters
from costsim.study.case import Option, case_from
from costsim.views.verdict import likelihood

COUNT = 60


def test_every_option_has_the_range_of_its_own_scenarios_also_with_kept_runs() -> None:
    case = read_study("lantern_cottage")
    weather, kept = load_weather(case), {}

    def keep(option: Option, work: Callable[[], BatchResult]) -> BatchResult:
        if option.name not in kept:
            kept[option.name] = work()
        return kept[option.name]

    likelihood(case, weather, simulate(case, weather), count=COUNT, keep=keep)
    key = next(iter(case.prices))
    dearer = {**case.typed["prices"][key], "energy": "0.31 $/kWh" if key == "electricity" else "2.10 $/therm"}
    other = case_from({**case.typed, "prices": {**case.typed["prices"], key: dearer}})
    found = likelihood(other, weather, simulate(other, weather), count=COUNT, keep=keep)
    few = other.model_copy(update={"uncertainty": other.uncertainty.model_copy(update={"scenarios": COUNT})})
    years = lower_years(few, weather, load_winters(few))
    scenarios = draw(few, *years)
    runs = simulate_scenarios(years, scenarios)
    assert found is not None
    for option, run in zip(other.options, runs, strict=True):
        cost = price_batch(years[0], run, scenarios.prices)
        low, _, high = found.bands[option.name]
        assert cost.min() <= low <= high <= cost.max()
        assert low == pytest.approx(sorted(cost)[6], rel=0.05)
    assert len({band[1] for band in found.bands.values()}) == len(other.options)
