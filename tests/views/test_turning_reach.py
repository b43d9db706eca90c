"""Turning prices that no bill is likely to have are left out: by hand, at 1.00 $/therm today."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.analysis.breakeven import BreakEven
from costsim.views.turning import nearest, turning_line, turning_sentence

NONE = "No price within 4 times today's changes which of A and B costs less (4 times is common practice, no source)."


def turn(factor: float | None, below: str = "A", later: BreakEven | None = None) -> BreakEven:
    return BreakEven("natural_gas", "A", "B", factor, 1.0 / 105.5e6, below, later)


def case() -> Any:
    price = SimpleNamespace(sold_price=lambda key, per_j, system: (per_j * 105.5e6, "therm"))
    return SimpleNamespace(prices={"natural_gas": price}, currency="$", economics=SimpleNamespace(study_period=20))


@pytest.mark.parametrize(("factor", "told"), [(0.24, False), (0.25, True), (4.0, True), (4.01, False), (13.5, False)])
def test_a_price_beyond_four_times_todays_turns_nothing(factor: float, told: bool) -> None:
    """Electricity for pumps alone, 20 ¢ today, turned gas against gas with sun at $2.70: 13.5 times."""
    found = nearest([turn(factor)])
    assert found is not None
    assert (found.factor == factor) is told
    assert (turning_line(case(), found, "us") == NONE) is not told
    assert (turning_sentence(case(), found, "us") == NONE) is not told


def test_a_nearer_price_takes_its_place_and_a_far_one_over_the_years_is_none() -> None:
    near = turn(0.5)
    assert nearest([turn(6.0), near]) is near
    assert nearest([turn(6.0), turn(0.1)]) == turn(None)  # A wins below six times today's, so today
    found = nearest([turn(0.5, "B", turn(8.0, "A"))])
    line = turning_line(case(), found, "us")
    assert (
        "on bills alone $0.500/therm; over 20 years with the first costs none within 4 times today's, A wins." in line
    )
    # below a tenth of today's price A would win, so that B wins today
    found = nearest([turn(0.5, "B", turn(0.1, "A"))])
    assert "none within 4 times today's, B wins." in turning_line(case(), found, "us")
    # too far on bills, near over the years
    found = nearest([turn(9.0, "A", turn(2.0, "A"))])
    assert turning_sentence(case(), found, "us") == (
        "Over 20 years with the first costs B wins with natural gas above $2.00/therm."
    )
