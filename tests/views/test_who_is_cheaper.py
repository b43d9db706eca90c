"""How likely one of two is to cost less to run, on both sides of where nothing is said of it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.views import headline


def told(monkeypatch: pytest.MonkeyPatch, share: float, first: float, second: float) -> str:
    """The sentence on two options of so many dollars a year."""
    monkeypatch.setattr(headline, "named", lambda result, name: name)
    options: list[Any] = [
        SimpleNamespace(name=name, cost_total=cost) for name, cost in (("Wood", first), ("Oil", second))
    ]
    result: Any = None
    return headline.chance(result, share, *options)


def test_nothing_is_said_where_neither_chance_nor_money_tells_them_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """Less than 55 % and less than ten dollars, which are rounded to nothing; either alone tells them apart."""
    assert told(monkeypatch, 0.54, 1000.0, 1005.0) == told(monkeypatch, 0.47, 1000.0, 1005.0) == ""
    ends = " of plausible prices, heat losses and winters."
    assert told(monkeypatch, 0.55, 1000.0, 1005.0) == f"Wood costs less to run than Oil in about 55%{ends}"
    assert (
        told(monkeypatch, 0.54, 1000.0, 1500.0) == f"Wood costs less to run than Oil in a little more than half{ends}"
    )
    # the likelier one is named first, whichever is cheaper on the bills
    assert told(monkeypatch, 0.1, 1000.0, 1500.0) == f"Oil costs less to run than Wood in about 90%{ends}"
