"""Charts of costs and prices from made-up figures: what each bar, whisker, panel and field of a map stands for."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.views import cost_chart, turning
from costsim.views.answer import about, about_gap
from costsim.views.charts import COLOURS
from costsim.views.cost_chart import ROW, cost_alt, cost_by_option, cost_finding, example_prices, option_colour
from costsim.views.price_hours import PriceHours, price_chart, price_sentence

NEAR = pytest.approx


def option(name: str, cost: float, *, warm: bool = True) -> Any:
    return SimpleNamespace(
        name=name, cost_total=cost, keeps_warm=warm, unmet=SimpleNamespace(energy_j=0.0 if warm else cost)
    )


def made(*options: Any, today: str = "") -> Any:
    now = SimpleNamespace(name=today) if today else None
    return SimpleNamespace(
        options=options, currency="$", lowered=SimpleNamespace(case=SimpleNamespace(today=now, options=options))
    )


A, B, C = option("Gas", 800.0), option("2024", 1000.0), option("Stove", 500.0, warm=False)
SURE: Any = SimpleNamespace(
    bands={"Gas": (700.0, 810.0, 950.0), "2024": (850.0, 990.0, 1300.0), "Stove": (450.0, 500.0, 600.0)}
)


def test_a_bar_for_each_option_with_its_range_and_its_amount() -> None:
    result = made(A, B, C)
    figure = cost_by_option(result, SURE)
    assert [bar.x[0] for bar in figure.data] == [800.0, 1000.0, 500.0]
    assert [bar.error_x.array[0] for bar in figure.data] == [150.0, 300.0, 100.0]
    assert [bar.error_x.arrayminus[0] for bar in figure.data] == [100.0, 150.0, 50.0]
    assert {bar.error_x.symmetric for bar in figure.data} == {False}
    assert (
        [bar.marker.color for bar in figure.data]
        == list(COLOURS[:3])
        == [option_colour(result, one.name) for one in (A, B, C)]
    )
    assert [bar.marker.line.color for bar in figure.data] == list(COLOURS[:3])
    weak = [bar.marker.opacity < 0.5 for bar in figure.data]
    assert weak == [False, False, True]
    assert {bar.marker.opacity for bar in figure.data[:2]} == {1.0}
    assert {bar.orientation for bar in figure.data} == {"h"}
    assert not any(bar.showlegend for bar in figure.data)
    assert figure.data[0].hovertemplate.endswith("<br>$800<br>80% range $700 to $950<extra></extra>")
    notes = figure.layout.annotations
    assert [(note.x, note.y) for note in notes] == [(950.0, 0), (1300.0, 1), (600.0, 2)]  # behind the range
    assert [note.text.replace("\u200b", "") for note in notes] == ["$800", "$1,000", "$500, too small"]
    assert {(note.xanchor, note.showarrow, note.xshift) for note in notes} == {("left", False, 8)}
    low, high = figure.layout.xaxis.range
    assert low == 0.0
    assert high == NEAR(1300 * 1.5)  # room for the words on what is too small
    assert figure.layout.xaxis.showticklabels is False  # each bar bears its amount
    assert figure.layout.xaxis.showgrid is figure.layout.yaxis.showgrid is False
    assert figure.layout.xaxis.zeroline is True


def test_bars_without_ranges_and_below_nothing() -> None:
    earns = option("Sun", -200.0)
    figure = cost_by_option(made(A, earns), None)
    assert [bar.error_x.array for bar in figure.data] == [None, None]
    assert figure.data[0].hovertemplate.endswith("<br>$800<extra></extra>")
    assert [note.x for note in figure.layout.annotations] == [800.0, -200.0]
    low, high = figure.layout.xaxis.range
    assert low == -200.0
    assert high == NEAR(800 * 1.28)
    narrow: Any = SimpleNamespace(bands={"Gas": (900.0, 950.0, 780.0), "Sun": (-200.0, -200.0, -200.0)})
    odd = (
        cost_by_option(made(A, earns), narrow).data[0].error_x
    )  # a total outside its range has no whisker to that side
    assert (odd.array[0], odd.arrayminus[0]) == (0.0, 0.0)
    heights = [
        cost_by_option(made(*[option(str(at), 1.0) for at in range(count)]), None).layout.height for count in (1, 2, 5)
    ]
    assert heights == [20 + ROW, 20 + 2 * ROW, 20 + 5 * ROW]
    top = cost_by_option(made(A, B), None).layout.yaxis.range
    # the first stands on top, with room for its name over it
    assert top[0] > 1.0 > 0.0 > top[1]
    assert top[0] - 1.0 < 0.0 - top[1] < 1.0


@pytest.mark.parametrize(
    ("options", "said"),
    [((A, B), "Gas costs 20% less than 2024"), ((A, C), "Gas is the one option that is large enough"), ((C,), "No option is large enough"),
     ((option("X", 97.0), option("Y", 100.0)), "X costs 3% less than Y"), ((option("X", 97.1), option("Y", 100.0)),
      "X and Y cost nearly the same to run"),
     ((option("X", 0.0), option("Y", 100.0)), "X costs least in a year"), ((option("X", 1.0), option("Y", 100.0)), "X costs 99% less than Y")],
)  # fmt: skip
def test_the_picture_says_what_it_shows(options: Any, said: str) -> None:
    assert cost_finding(made(*options)) == said


def test_the_picture_can_be_heard() -> None:
    assert (
        cost_alt(made(B, A, C), None)
        == "Bars of a year's cost by option: Gas $800; 2024 $1,000; Stove $500, too small."
    )
    assert "Gas $800 (80% range $700 to $950); 2024" in cost_alt(made(B, A, C), SURE)


def test_example_prices_are_told_with_whose_bills_rest_on_them() -> None:
    gas = SimpleNamespace(name="Gas", price_keys=lambda prices: ("natural_gas", "electricity"))
    wood = SimpleNamespace(name="Wood", price_keys=lambda prices: ("wood",))
    case: Any = SimpleNamespace(
        prices={"natural_gas": 1, "electricity": 1, "propane": 1, "wood": 1}, options=(gas, wood), currency="$"
    )
    text = example_prices(case, {"natural_gas", "propane"}, "us")
    assert text.startswith("Example prices, not yours: ")
    assert "(Gas)" in text
    assert "ropane" not in text  # nobody buys it
    assert "ood" not in text
    assert text.endswith("Put yours on the Prices page.")
    assert example_prices(case, {"propane"}, "us") == example_prices(case, set(), "us") == ""
    shared = SimpleNamespace(name="Two", price_keys=lambda prices: ("natural_gas",))
    case.options = (gas, shared)
    assert "(Gas, Two)" in example_prices(case, {"natural_gas"}, "us")


def hours(low: float, high: float, *, weekends: bool = True) -> PriceHours:
    mean = np.full((2, 12, 24), low)
    mean[0, 6, 17] = high
    if not weekends:
        mean[1] = mean[0]
    return PriceHours("electricity", "$/kWh", mean)


def test_prices_by_the_hour_have_a_panel_for_each_kind_of_day_that_differs() -> None:
    both = price_chart(hours(0.1, 0.3))
    assert len(both.data) == 2
    assert [panel.showscale for panel in both.data] == [True, False]
    assert {(panel.zmin, panel.zmax) for panel in both.data} == {(0.1, 0.3)}
    assert both.data[0].text[6][17] == "Jul, 5 pm"
    assert both.data[0].z[6][17] == 0.3
    assert list(both.data[0].x) == list(range(24))
    assert list(both.data[0].y) == list(range(12))
    upper, lower = both.layout.yaxis.domain, both.layout.yaxis2.domain
    assert upper[1] == 1.0
    assert lower[0] == 0.0
    assert upper[1] - upper[0] == NEAR(lower[1] - lower[0]) == NEAR(0.46)
    assert [note.text for note in both.layout.annotations] == ["workdays", "weekends and holidays"]
    assert [note.y for note in both.layout.annotations] == [NEAR(upper[1]), NEAR(lower[1])]
    assert [note.x for note in both.layout.annotations] == [0, 0]
    assert (both.layout.xaxis.showticklabels, both.layout.xaxis2.showticklabels) == (False, True)
    assert (both.data[1].xaxis, both.data[1].yaxis, both.layout.xaxis2.anchor) == ("x2", "y2", "y2")
    for axis in (both.layout.xaxis, both.layout.xaxis2):
        assert dict(zip(axis.tickvals, axis.ticktext, strict=True)) == {0: "12 am", 6: "6 am", 12: "12 pm", 18: "6 pm"}
        assert axis.showgrid is False
    for axis in (both.layout.yaxis, both.layout.yaxis2):
        assert dict(zip(axis.tickvals, axis.ticktext, strict=True)) == {
            0: "Jan",
            2: "Mar",
            4: "May",
            6: "Jul",
            8: "Sep",
            10: "Nov",
        }
        assert axis.autorange == "reversed"  # January on top
        assert axis.showgrid is False
    one = price_chart(hours(0.1, 0.3, weekends=False))
    assert len(one.data) == 1
    assert list(one.layout.yaxis.domain) == [0.0, 1.0]
    assert one.layout.xaxis.showticklabels is True
    assert len(one.layout.annotations) == 0
    assert both.layout.height - one.layout.height == one.layout.height - 40 == 210
    assert not any(panel.xgap != panel.ygap for panel in (*both.data, *one.data))


def test_a_price_that_is_the_same_to_a_billionth_is_one_price() -> None:
    assert hours(0.1, 0.1 * (1 + 0.9e-9)).flat
    assert not hours(0.1, 0.1 * (1 + 1.1e-9)).flat
    assert hours(0.0, 0.0).flat
    assert price_sentence(hours(0.1, 0.3)) == "From 0.10 $/kWh (Jan, 12 am) to 0.30 $/kWh (Jul, 5 pm)."
    sunday = hours(0.1, 0.1)
    sunday.mean[1, 2, 0] = 0.05
    assert price_sentence(sunday) == "From 0.05 $/kWh (Mar, 12 am, weekends) to 0.10 $/kWh (Jan, 12 am)."


def test_a_turning_price_is_asked_of_two_warm_options(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []
    monkeypatch.setattr(
        turning, "turning_prices", lambda common, options, today: asked.append([one.name for one in options]) or []
    )
    monkeypatch.setattr(turning, "OptionCosts", lambda common, one: one.name)
    monkeypatch.setattr(turning, "winning_prices", lambda common, best, others, today: (best.name, *today))
    assert turning.turns_of(made(B, A, option("Oil", 1500.0))) == (None, ("Gas", "Gas", "2024", "Oil"))
    assert asked == [["Gas", "2024"]]  # the answer's two, its first first
    for result in (made(A), made(A, C), made(C)):
        assert turning.turns_of(result) == (None, ())
    assert len(asked) == 1
    assert cost_chart.pair(made(A, B, option("Oil", 1500.0), today="Oil"))[1].name == "Oil"  # type: ignore[index]


def test_the_gap_is_that_of_the_rounded_figures_and_nothing_for_one_option() -> None:
    assert about_gap(made(A)) == 0.0
    assert about_gap(made(A, B)) == 200.0
    assert about(made(A, B), B) - about(made(A, B), A) == 200.0
