"""How a payback is said: by hand, from a first cost and what it saves."""

from __future__ import annotations

import pytest

from costsim.views.payback import Extra, gap_text
from costsim.views.rounding import years_text


@pytest.mark.parametrize(
    ("years", "said"),
    [(0.02, "0.1 years"), (0.2, "0.2 years"), (3.58, "3.6 years"), (9.96, "10 years"), (15.4, "15 years")],
)
def test_paybacks_in_tenths_below_ten_years(years: float, said: str) -> None:
    """$9,000 at $2,700 a year is 3.3 years: a reader who divides must not be told of four."""
    assert years_text(years) == said
    assert years_text(years, 0.03) == f"{said}, with 3% interest"
    assert years_text(years, 0.025) == f"{said}, with 2.5% interest"
    assert years_text(9000.0 / 2700.0) == "3.3 years"


def test_two_that_cost_the_same_over_the_years_have_one_figure() -> None:
    """$9 between them are none, $11 are ten."""
    for first, said in (
        (24_500.0, "Pump and Gas both cost $24,500"),
        (24_509.0, "Pump and Gas both cost $24,500"),
        (24_511.0, "Gas $24,500, $10 less than Pump ($24,510)"),
    ):
        assert gap_text(Extra("Pump", "Gas", 0.0, None, (first, 24_500.0), 20, False), "$") == said
