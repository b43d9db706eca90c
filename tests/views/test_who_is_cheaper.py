"""What the first sentence says of two costs and how sure it is, on both sides of where it says "about the same"."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.views import headline


def told(monkeypatch: pytest.MonkeyPatch, share: float, first: float, second: float) -> str:
    """The sentence on two options of so many dollars a year; where it turns and what a loan adds are left out."""
    for name, given in (
        ("named", lambda result, name: name), ("named_option", lambda case, name: name), ("turning_prices", lambda common, options: []),
        ("nearest", lambda prices: None), ("turning_sentence", lambda case, turned, system: ""), ("extra_of", lambda result: None),
        ("capital_clause", lambda case, result, name: ""), ("taps_sentence", lambda option: ""),
    ):  # fmt: skip
        monkeypatch.setattr(headline, name, given)
    case: Any = SimpleNamespace(currency="$")
    options: list[Any] = [
        SimpleNamespace(name=name, cost_total=cost) for name, cost in (("Wood", first), ("Oil", second))
    ]
    common: Any = None
    return headline.sentence(case, common, common, share, *options, "si")


def test_costs_are_about_the_same_where_neither_chance_nor_money_tells_them_apart(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Less than 55 % and less than ten dollars, which are rounded to nothing; either alone tells them apart."""
    same = "Wood and Oil cost about the same."
    assert told(monkeypatch, 0.54, 1000.0, 1005.0) == same
    assert told(monkeypatch, 0.47, 1000.0, 1005.0) == "Oil and Wood cost about the same."
    for share, gap in ((0.55, 5.0), (0.54, 500.0), (0.9, 500.0)):
        found = told(monkeypatch, share, 1000.0, 1000.0 + gap)
        assert found.startswith("Wood is more likely to cost less than Oil ("), (share, gap)
        assert ("by about $500 a year on the bills" in found) == (gap == 500.0)
    assert told(monkeypatch, 0.1, 1500.0, 1000.0).startswith("Oil is more likely to cost less than Wood (about 90%")
