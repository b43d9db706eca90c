"""Units and names of figures in few places: small defaults, hot water of a gas bill, and what panels give."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.sources import KINDS
from costsim.views.homes_totals import load_lines
from costsim.views.reference import _default
from costsim.views.tables import season_rows


def test_a_small_default_keeps_two_figures() -> None:
    """0.0085 W/(m² K²) over 5.678 × 1.8 are 0.00083, and a default that is nothing stays 0.0."""
    field = KINDS["solar"].model_fields["a2_w_m2k2"]
    by_hand = field.default / (5.678263 * 1.8)
    number, unit = _default(field).split(" ", 1)
    assert float(number) == pytest.approx(by_hand, rel=0.05)
    assert float(number) > 0
    assert unit == "Btu/(h ft² °F2)"


def test_hot_water_of_a_meter_is_told_in_both_units() -> None:
    """170 therms of 29.3071 kWh are 4,982 kWh."""
    summary: dict[str, Any] = {
        "loads_found": {"by_fuel": 3, "both": 0, "by_area": 0, "by_study": 0}, "loads": {"by_fuel": [{"column": "Gas"}]}, "read": [],
    }  # fmt: skip
    assert "about 170 therms (4,982 kWh) a year for a storage" in load_lines(summary)[0]


@pytest.mark.parametrize(("panels", "heading"), [(None, "bought"), ("roof", "used, from panels too")])
def test_what_panels_give_is_not_called_bought(panels: Any, heading: str) -> None:
    lowered = SimpleNamespace(case=SimpleNamespace(solar_electric=panels))
    result: Any = SimpleNamespace(options=(), lowered=lowered)
    assert season_rows(result, "us")[0][6] == heading
