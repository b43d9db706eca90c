"""Pictures that look alike where they say alike things, symbols that keep within their places, and a year's use on both sides of its limits."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from views.test_bills_pictures import fitted
from views.test_charts_by_hand import A, B, C, made
from views.test_symbols import drawn

from costsim.analysis.collector_sweep import CollectorStep
from costsim.errors import InputError
from costsim.views import cards, charts, yearly_use
from costsim.views.charts_bills import fit_chart
from costsim.views.cost_chart import ROW, cost_by_option
from costsim.views.sheet import Box


def some(**more: Any) -> Any:
    return SimpleNamespace(**more)


def cooling(*rooms_c: float) -> Any:
    """A source that fails, and how cold it gets, each."""
    failures = [some(room_c=np.array([20.0, low]), lowest_c=low, what=f"S{at}") for at, low in enumerate(rooms_c)]
    return charts.cooling_chart(some(option="A", failures=failures), "si")  # type: ignore[arg-type]


def test_failures_have_a_colour_and_a_dash_each_over_and_over() -> None:
    lines = [one.line for one in cooling(*[10.0] * 7).data]
    assert [one.color for one in lines] == [*charts.COLOURS, charts.COLOURS[0]]
    dashes = [one.dash for one in lines]
    assert len(set(dashes[:4])) == 4
    assert dashes[4:] == dashes[:3]
    (frost,) = cooling(10.0, 2.9).layout.shapes
    assert (frost.y0, frost.showlegend) == (0.0, True)
    assert not cooling(10.0, 3.0).layout.shapes


def test_lines_titles_and_margins_are_alike_in_all_pictures() -> None:
    steps = [
        CollectorStep(2.0, 3.6e9, 0.0, 0.1, 900.0, None, None),
        CollectorStep(4.0, 5e9, 1e9, 0.2, 850.0, 0.0, 25.0),
    ]
    bills = fit_chart(some(now=fitted(), before=None), "si")  # type: ignore[arg-type]
    sun = charts.collector_chart(steps, "$", "si")
    plain = charts.figure_of("Title", "x", "y").layout
    widths = {one.line.width for one in (*cooling(10.0, 9.0).data, *sun.data, bills.data[1])}
    assert len(widths) == 1
    assert bills.layout.title.font.size == plain.title.font.size
    for side in ("l", "r", "b"):
        assert bills.layout.margin[side] == plain.margin[side]
    assert bills.layout.margin.t == plain.margin.t  # a title of one line
    assert sun.layout.margin.r > plain.margin.r
    assert bills.data[0].line.width == 0  # the band has no edge


def test_a_name_over_its_bar_ends_with_its_row_and_clears_the_bar() -> None:
    figure = cost_by_option(made(A, B, C), None)
    axis = figure.layout.yaxis
    letters = axis.tickfont.size
    assert {note.font.size for note in figure.layout.annotations} == {letters}
    assert axis.ticklabelshift + letters / 2 == ROW / 2
    half = (1.0 - figure.layout.bargap) / 2 * ROW
    assert half < axis.ticklabelshift - letters / 2
    assert axis.ticklabelposition == "inside"
    first, last = axis.range
    # as much of a row below the last bar as the bar and half of the gap take, and room for the first name
    assert first - 2 > half / ROW
    assert -last > (axis.ticklabelshift + letters / 2) / ROW


def test_pictures_grow_by_as_much_for_each_row() -> None:
    def ranges(count: int) -> float:
        return float(
            charts.range_chart(
                some(options=[some(name=str(at), band=lambda: (1.0, 2.0, 3.0)) for at in range(count)]), "$"
            ).layout.height
        )  # type: ignore[arg-type]

    def homes(count: int) -> float:
        one = {"name": "o", "cost": {"quantiles": [1, 2, 3, 4, 5]}}
        return float(charts.homes_chart({"options": [one] * count, "currency": "$"}).layout.height)

    assert ranges(3) - ranges(2) == ranges(2) - ranges(1) == homes(3) - homes(2) == homes(2) - homes(1)


@pytest.mark.parametrize("right", [146.0, 140.0])
def test_air_of_a_fan_keeps_as_far_from_its_box_as_collectors_do(right: float) -> None:
    box = Box(64.0, 54.0, right, 106.0)
    _, _, before, after = drawn("glyph", "fan", box)[0]
    bars = drawn("glyph", "collector", box)[0]
    gap = bars[0].box[1] - box.top
    assert before.box[0] - box.left == gap == box.bottom - bars[0].box[3]
    assert box.right - after.box[2] == gap
    element = drawn("glyph", "element", box)[0][0]
    assert element.box[0] - box.left >= gap


# a year's use


def asked(
    monkeypatch: pytest.MonkeyPatch,
    fuel_j: float,
    *,
    year_j: float = 1e11,
    water: bool = True,
    loss: float = 200.0,
    area: str = "100 m2",
) -> Any:
    """A house of so many watts a kelvin whose study burns `year_j` where `fuel_j` was told; its loss takes what is told of it."""
    begun: list[Any] = []
    state = {"loss": loss}

    def begin(rate: Any = None) -> Any:
        begun.append(rate)
        if rate:
            state["loss"] = float(rate["heat_loss_rate"].split()[0])
        return {"house": {"floor_area": area}}

    source = some(input_j=1.0)
    now = some(name="Gas", sources=[source], delivered_j=0.8, demand_j=1.0, uses=())  # which counts no hot water itself
    monkeypatch.setattr(
        yearly_use,
        "case_from",
        lambda data, files: some(options=[some(sources=["typed"])], house=some(indoor_temperature_c=20.0, setback=())),
    )
    monkeypatch.setattr(
        yearly_use, "simulate", lambda case, weather: some(options=[now], lowered=some(loss_w_k=state["loss"]))
    )
    burnt = year_j / loss * 0.8
    monkeypatch.setattr(yearly_use, "_fuel_of_use", lambda case, now, used: (fuel_j, burnt * state["loss"]))
    found = yearly_use.scaled_to_use(begin, "620 gal", hot_water=water, weather=None, system="si", files=None)  # type: ignore[arg-type]
    return found, begun


def test_a_loss_is_scaled_until_the_fuel_is_what_was_told_less_hot_water(monkeypatch: pytest.MonkeyPatch) -> None:
    """200 W/K burn 100 GJ if they give all heat; half as much again, beside 170 therms that heat water, is 300 W/K."""
    base = 170 * 105.4804e6
    found, begun = asked(monkeypatch, 1.5e11 + base)
    assert found.loss_w_k == pytest.approx(300.0, rel=2e-3)
    assert begun[0] is None
    assert len(begun) == 2  # the second finds it as told
    dry, _ = asked(monkeypatch, 1.5e11, water=False)
    assert dry.loss_w_k == pytest.approx(300.0, rel=2e-3)
    assert dry.band == 0.15
    for share, fits in ((1.24, False), (1.26, True)):
        if fits:
            assert asked(monkeypatch, share * base)[0].loss_w_k > 0
        else:
            with pytest.raises(InputError, match="hardly more than hot water alone takes in a year, about 4,982 kWh"):
                asked(monkeypatch, share * base)
    with pytest.raises(InputError, match="hardly more"):
        asked(monkeypatch, 1e11, year_j=0.0)
    # a drafty house loses 2.8 W/(m² K): three times that on 100 m² are 840 W/K
    assert asked(monkeypatch, 4.19e11, water=False)[0].loss_w_k == pytest.approx(838.0, rel=2e-3)
    with pytest.raises(InputError, match="about 3 times what a drafty house"):
        asked(monkeypatch, 4.21e11, water=False)


# cards


@pytest.fixture
def first_card(monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    """What a card says of first costs where the first option leads."""
    monkeypatch.setattr(cards, "shown", lambda result: result.options[0])
    return noted


def noted(best: float, other: float, third: float | None = None) -> str:
    costs = {"A": best, "B": other} | ({} if third is None else {"C": third})
    options = [
        some(name=name, first_cost_given=True, first_cost_money=cost, rebate_money=0.0) for name, cost in costs.items()
    ]
    runs = [
        some(name=name, keeps_warm=name != "C", cost_total=at, unmet=some(energy_j=at)) for at, name in enumerate(costs)
    ]
    return cards._first_card(some(options=options), some(options=runs, currency="$")).note  # type: ignore[arg-type]


def test_first_costs_that_are_the_same_are_not_less(first_card: Callable[..., str]) -> None:
    assert first_card(500.0, 500.0) == "A · $0 more than B"
    assert first_card(500.6, 500.0) == "A · $1 more than B"
    assert first_card(500.0, 500.6) == "A · $1 less than B"


def test_a_first_cost_is_held_against_an_option_that_keeps_warm(first_card: Callable[..., str]) -> None:
    assert first_card(500.0, 900.0, third=100.0) == "A · $400 less than B"
