"""Prices at which the answer turns, and what is drawn: the steps of the search on plain figures."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import study

from costsim.analysis import breakeven
from costsim.analysis.breakeven import TRIED, BreakEven, _changes, _Span
from costsim.analysis.lifecycle import worth_of
from costsim.analysis.price_costs import _Orders
from costsim.analysis.scenarios import band, load_spread, nearest_level, with_curtailment
from costsim.analysis.sensitivity import Sensitivity
from costsim.study.case import case_from

ELECTRIC = {"kind": "electric", "output": "9 kW"}


def test_a_swing_that_only_reaches_zero_turns_nothing() -> None:
    def swing(low: float, middle: float, high: float) -> Sensitivity:
        return Sensitivity("x", (0.9, 1.1), low, high, middle)

    assert not swing(0.0, 10.0, 15.0).turns
    assert not swing(-9.0, -3.0, 0.0).turns
    assert not swing(-1.0, 0.0, 1.0).turns
    assert swing(15.0, 10.0, -0.5).turns
    assert swing(0.5, -3.0, -9.0).turns
    assert swing(-4.0, 0.0, 1.5).width == 5.5


def test_the_nearest_changes_on_both_sides_of_todays_price() -> None:
    """Nine prices, today's the fifth: of changes at 1, 3, 4 and 6 the ones just below and just above count."""
    assert TRIED[4] == pytest.approx(1.0)
    assert (TRIED[0], TRIED[8]) == (pytest.approx(0.05), pytest.approx(20.0))
    gap = np.array([-1.0, -1, 1, 1, -1, 1, 1, -1, -1])
    assert _changes(gap) == [3, 4]
    assert _changes(np.array([-1.0, 1, 1, 1, 1, 1, 1, -1, -1])) == [0, 6]
    assert _changes(np.ones(9)) == []
    assert _changes(np.array([0.0, 0, 0, 0, 0, -1, -1, -1, -1])) == [4]


def test_a_span_closes_on_its_root() -> None:
    """A plain price is a straight line: the first ladder holds its root within a part in 10¹²."""
    span = _Span(("a", "b", 0), np.array([1.0, 3.0]), np.array([-1.0, 3.0]))
    rounds = 0
    while len(points := span.points()):
        assert (points > span.ends[0]).all()
        assert (points < span.ends[1]).all()
        span.narrow(points, 2.0 * points - 3.0)
        rounds += 1
    assert rounds <= 2
    assert span.root() == pytest.approx(1.5, rel=1e-12)
    curved = _Span(("a", "b", 0), np.array([1.0, 3.0]), np.array([-2.0, 6.0]))
    while len(points := curved.points()):
        curved.narrow(points, points**2 - 3.0)
    assert curved.root() == pytest.approx(math.sqrt(3.0), rel=1e-12)
    assert BreakEven("p", "a", "b", 1.5, 2.0, "a").price_per_j() == 3.0
    assert BreakEven("p", "a", "b", None, 2.0, "a").price_per_j() is None


@pytest.mark.parametrize(
    ("at_ends", "points", "gap", "ends"),
    [
        # of three changes the first
        ((-1.0, 1.0), (1.0, 2.0, 3.0), (1.0, -1.0, 1.0), (0.0, 1.0)),
        ((-1.0, 1.0), (1.0, 2.0, 3.0), (-1.0, 0.5, -1.0), (1.0, 2.0)),
        ((1.0, -1.0), (1.0, 2.0), (0.5, 0.5), (2.0, 4.0)),
        # level is not cheaper, at a point or at an end
        ((-1.0, 1.0), (1.0,), (0.0,), (0.0, 1.0)),
        ((0.0, -1.0), (1.0,), (0.5,), (1.0, 4.0)),
    ],
)
def test_a_span_narrows_to_the_first_change(at_ends: Any, points: Any, gap: Any, ends: Any) -> None:
    span = _Span(("a", "b", 0), np.array([0.0, 4.0]), np.array(at_ends))
    span.narrow(np.array(points), np.array(gap))
    assert tuple(span.ends) == ends
    known = dict(zip((0.0, *points, 4.0), (at_ends[0], *gap, at_ends[1]), strict=True))
    assert tuple(span.at_ends) == tuple(known[end] for end in ends)
    assert span.root() == min(ends, key=lambda end: abs(known[end]))


def test_an_order_between_two_alike_is_the_same_without_a_run() -> None:
    asked: list[float] = []

    def run(value: float) -> bytes:
        asked.append(value)
        return b"low" if value < 3.5 else b"high"

    orders = _Orders()
    values = np.array([5.0, 1.0, 2.0, 3.0, 4.0, 6.0, 7.0, 3.0])
    assert orders.names(values, run) == [b"high", b"low", b"low", b"low", b"high", b"high", b"high", b"low"]
    assert len(asked) == len(set(asked)) < 7
    again = len(asked)
    assert orders.names(np.array([1.5, 6.5]), run) == [b"low", b"high"]
    assert len(asked) == again


def test_bands_levels_and_spreads() -> None:
    assert band(np.arange(101.0)) == (10.0, 50.0, 90.0)
    # half way between two levels the first of them is the nearest
    assert nearest_level(np.array([0.0, 0.62, 0.63, 1.2, 1.3, 9.0])).tolist() == [0.5, 0.5, 0.75, 1.25, 1.25, 1.5]
    typed = study(ELECTRIC)
    assert load_spread(typed) == pytest.approx(
        typed.house.load_band_share / 1.645
    )  # nine in ten of a normal lie within
    settled = case_from({**typed.typed, "uncertainty": {"load": "7 %"}})
    assert load_spread(settled) == pytest.approx(0.07)
    certain = case_from({**typed.typed, "uncertainty": {"load": "0 %"}})
    assert load_spread(certain) == 0.0


def test_curtailment_hours_go_by_a_factor() -> None:
    held = {"kind": "electric", "output": "9 kW", "curtailment": {"coldest_hours": 101}}
    [one] = study(held, ELECTRIC).options
    more = with_curtailment(one, 1.5)
    assert [source.curtailment and source.curtailment.coldest_hours for source in more.sources] == [152, None]
    assert with_curtailment(one, 1.0) is one
    free = study(ELECTRIC).options[0]
    assert with_curtailment(free, 1.5) is free


def test_what_is_paid_whatever_a_price_is_by_hand() -> None:
    """At 25 % two years are worth 0.8 and 0.64: 1,000 less 100 and 50 at once, 10 a year and 300 in the second; gas rises by a tenth."""
    data = dict(study(ELECTRIC).typed)
    data["option"][0] |= {
        "first_cost": "1000 $", "rebate": "100 $", "maintenance": "10 $/year", "replacement": "300 $", "replacement_year": 2,
        "incentive": [{"amount": "50 $"}],
    }  # fmt: skip
    data["economics"] = {"study_period": 2, "discount_rate": "25 %/year", "escalation": {"electricity": "10 %/year"}}
    case = case_from(data)
    worth = worth_of(case, case.options[0], ("electricity", "other"), 0.0)
    assert worth.always == pytest.approx(850 + 10 * 1.44 + 300 * 0.64)
    assert worth.still == pytest.approx(1.44)
    assert worth.moving == {"electricity": pytest.approx(1.1 * 0.8 + 1.21 * 0.64), "other": pytest.approx(1.44)}
    for when, paid in ((1, 300 * 0.8), (2, 300 * 0.64), (3, 0.0)):
        data["option"][0]["replacement_year"] = when
        moved = case_from(data)
        assert worth_of(moved, moved.options[0], (), 0.0).always == pytest.approx(850 + 10 * 1.44 + paid)


def test_a_price_that_both_pay_is_told_where_it_changes_the_decision(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both pay for electricity and one for gas; a price turns the decision where it has a factor."""
    used = {"boiler": {"electricity", "natural_gas"}, "elements": {"electricity"}}
    turned: dict[str, float] = {}
    monkeypatch.setattr(breakeven, "OptionCosts", lambda common, one: SimpleNamespace(paid_keys=lambda: used[one.name]))
    monkeypatch.setattr(breakeven, "prepare", lambda *of: None)
    monkeypatch.setattr(
        breakeven, "_turns", lambda common, pairs, key, known: {
            (a.name, b.name): BreakEven(key, a.name, b.name, turned.get(key), 1.0, a.name) for a, b in pairs
        },
    )  # fmt: skip
    options: Any = [SimpleNamespace(name=name) for name in used]
    common: Any = SimpleNamespace(case=SimpleNamespace(prices=["electricity", "natural_gas", "wood"]))
    told = [one.price for one in breakeven.turning_prices(common, options)]
    assert told == ["natural_gas"]
    turned["electricity"] = 1.5
    assert [one.price for one in breakeven.turning_prices(common, options)] == ["electricity", "natural_gas"]


def test_a_span_is_asked_about_its_line_and_its_quarters() -> None:
    """A line through -1 at 1 and 3 at 3 crosses zero at 1.5, where the first quarter lies too."""
    span = _Span(("a", "b", 0), np.array([1.0, 3.0]), np.array([-1.0, 3.0]))
    far = [1.5e-3, 1.5e-8, 0.6e-12]
    assert span.points() - 1.5 == pytest.approx(
        [*(-one for one in far), 0.0, 0.0, *far[::-1], 0.5, 1.0], abs=1e-15, rel=1e-3
    )
    # where the line crosses at an end, nothing at or beyond it is asked
    level = _Span(("a", "b", 0), np.array([1.0, 3.0]), np.array([0.0, 3.0]))
    assert level.points() - 1.0 == pytest.approx([0.4e-12, 1e-8, 1e-3, 0.5, 1.0, 1.5], abs=1e-15, rel=1e-3)
    other = _Span(("a", "b", 0), np.array([1.0, 3.0]), np.array([-1.0, 0.0]))
    assert other.points() - 3.0 == pytest.approx([-1.5, -1.0, -0.5, -3e-3, -3e-8, -1.2e-12], abs=1e-15, rel=1e-3)
    # a part in 10¹² is near enough
    assert len(_Span(("a", "b", 0), np.array([2.0, 2.0 + 1.9e-12]), np.array([-1.0, 1.0])).points()) == 0
    assert len(_Span(("a", "b", 0), np.array([2.0, 2.0 + 2.1e-12]), np.array([-1.0, 1.0])).points()) > 0


def test_price_maps_and_spans_reach_as_far_as_is_said() -> None:
    """A twentieth to twenty times today's price, in eight even steps: each is 400^(1/8) = 2.1147 times the one before."""
    assert pytest.approx([0.05 * 400 ** (at / 8) for at in range(9)]) == TRIED
