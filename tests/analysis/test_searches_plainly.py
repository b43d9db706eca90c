"""What the searches tell is what whole studies with it typed, simulated one by one, say."""

from __future__ import annotations

import pytest
from analysis.plain_costs import cost_of

from costsim import load_weather, read_study
from costsim.analysis.breakeven import price_map
from costsim.analysis.collector_sweep import marginal_collector_area
from costsim.analysis.sizing import smallest
from costsim.engine.lower import lower_study
from costsim.results.result import OptionResult
from costsim.simulation import simulate_option
from costsim.study.case import case_from
from costsim.study.changed import changed

DEMOS = {
    name: (read_study(name), load_weather(read_study(name))) for name in ("lantern_cottage", "net_loft", "valley_row")
}


def typed(name: str, at: int, path: tuple[str | int, ...], text: str) -> OptionResult:
    """A year of an option in the study with one value typed, read and lowered as a whole."""
    case, weather = DEMOS[name]
    whole = case_from(changed(case, (path, text)).typed, files=case.files)
    return simulate_option(lower_study(whole, weather), whole.options[at])


@pytest.mark.parametrize(
    ("name", "at", "source", "hours"),
    [
        ("lantern_cottage", 0, 0, 0),
        ("lantern_cottage", 3, 0, 0),
        ("lantern_cottage", 3, 1, 40),
        ("net_loft", 1, 1, 0),
        ("net_loft", 2, 1, 40),
        ("valley_row", 2, 2, 0),
    ],
)
def test_an_output_that_is_found_does_and_a_fraction_less_does_not(name: str, at: int, source: int, hours: int) -> None:
    case, weather = DEMOS[name]
    found = smallest(case, weather, option=case.options[at].name, what="output", source=source, hours=hours)
    path = ("option", at, "source", source, "output")
    assert found.value is not None
    if found.value == 0.0:  # none is needed: so little does that it is none
        assert typed(name, at, path, f"{found.today * 1e-3!r} W").lacking_hours <= hours
        return
    does = typed(name, at, path, f"{found.value!r} W")
    assert does.lacking_hours == found.unmet_hours <= hours
    assert does.cost_total == pytest.approx(found.cost, rel=1e-9)
    # a thousandth is how near the smallest is told
    assert typed(name, at, path, f"{found.value * (1.0 - 1.1e-3)!r} W").lacking_hours > hours


@pytest.mark.parametrize(
    ("name", "at"), [("valley_row", 0), ("valley_row", 1), pytest.param("net_loft", 1, marks=pytest.mark.long)]
)
def test_no_tank_that_is_simulated_alone_costs_less_than_the_one_found(name: str, at: int) -> None:
    case, weather = DEMOS[name]
    found = smallest(case, weather, option=case.options[at].name, what="tank")
    today = case.tank
    assert today is not None
    assert found.value is not None
    for factor in (0.05, 0.4, 1.0, 3.0, 12.0):
        loss = ("tank", "loss"), f"{today.loss_w_k * factor ** (2 / 3)!r} W/K"
        whole = case_from(
            changed(case, (("tank", "volume"), f"{today.volume_m3 * factor!r} m3"), loss).typed, files=case.files
        )
        year = simulate_option(lower_study(whole, weather), whole.options[at])
        if year.lacking_hours == 0:
            # those that cost the same to a thousandth give way to the smaller
            assert found.cost <= year.cost_total * (1.0 + 1.1e-3)


@pytest.mark.parametrize("at", [1, 2])
def test_collectors_swept_are_those_simulated_alone(at: int) -> None:
    case, weather = DEMOS["valley_row"]
    steps = marginal_collector_area(case, weather, option=case.options[at].name, areas_m2=[3.0, 11.0])
    for step in steps:
        year = typed("valley_row", at, ("option", at, "source", 0, "area"), f"{step.area_m2!r} m2")
        assert step.useful_j == pytest.approx(year.sources[0].heat_j, rel=1e-9)
        assert step.dumped_j == pytest.approx(year.sources[0].dumped_j, rel=1e-9, abs=1.0)
        assert step.cost == pytest.approx(year.cost_total, rel=1e-9)


@pytest.mark.parametrize("name", DEMOS)
def test_the_winner_at_points_of_a_map_is_the_cheapest_simulated_there(name: str) -> None:
    case, weather = DEMOS[name]
    across, up = list(case.prices)[:2]
    found, common = price_map(case, weather, across, up), lower_study(case, weather)
    by_name = {option.name: option for option in case.options}
    for row, column in ((0, 0), (3, 11), (7, 7), (14, 2)):
        factors = {across: float(found.across_factors[column]), up: float(found.up_factors[row])}
        costs = [cost_of(common, by_name[one], factors) for one in found.options]
        assert costs[found.winner[row, column]] == pytest.approx(min(costs), rel=1e-9)
