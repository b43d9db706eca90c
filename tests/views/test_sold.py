"""Sizes that nobody typed: burners in thin air, and the heater that stands in place of today's."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.units.quantity import FOOT_M
from costsim.views import cold_rooms, tables
from costsim.views.sold import in_thin_air
from costsim.views.templates import add_template, sources_of


@pytest.mark.parametrize(
    ("feet", "kind", "size"),
    [
        (1999.0, "gas", "50 kBtu/h"),  # the 4 % rule begins at 2,000 ft
        (8000.0, "gas", "75 kBtu/h"),  # 8 × 4 % off: 50 / 0.68 = 73.5
        (5000.0, "oil", "65 kBtu/h"),  # 5 × 4 % off: 50 / 0.80 = 62.5
        (8000.0, "electric", "50 kBtu/h"),
    ],
)
def test_a_burner_is_as_much_larger_as_thin_air_takes_away(feet: float, kind: str, size: str) -> None:
    source = {"kind": kind, "output": "50 kBtu/h"}
    in_thin_air(source, feet * FOOT_M, "us")
    assert source["output"] == size


def test_templates_are_sized_for_the_height_of_the_house() -> None:
    low, high = (sources_of("propane", 10_000.0, "us", feet * FOOT_M)[0]["output"] for feet in (0.0, 8000.0))
    assert (low, high) == ("40 kBtu/h", "60 kBtu/h")  # 34.1 × 1.15 = 39.2; 40 / 0.68 = 58.8
    data: dict[str, Any] = {"prices": {}}
    add_template(data, "propane", load_w=10_000.0, system="us", currency="$", altitude_m=8000.0 * FOOT_M)
    assert data["option"][0]["source"][0]["output"] == "60 kBtu/h"


def test_an_option_that_is_never_too_cold_has_no_coldest_room() -> None:
    def option(name: str, hours: int) -> Any:
        short = SimpleNamespace(
            hours=hours, worst_hour=None, energy_j=3.6e6 * hours, worst_w=1500.0, longest_run_hours=4
        )
        return SimpleNamespace(name=name, unmet=short)

    result: Any = SimpleNamespace(options=[option("A", 9), option("B", 0)])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tables, "when", lambda result, hour: "–")
        _, rows = cold_rooms.room_rows(result, {"A": 20.0, "B": 17.2}, "si")  # B: a night set back
    assert rows == [["A", "9", "20 °C", "9.00", "1.5", "–", "4"], ["B", "0", "", "", "", "", ""]]
