"""What a source rests on is told where nothing is typed for it, and nowhere else."""

from __future__ import annotations

from typing import Any

import pytest

from costsim.report.reader import to_confirm
from costsim.results.source_assumptions import left_open
from costsim.sources.gas import GasBoiler
from costsim.sources.heat_pump import HeatPump
from costsim.units.faults import build

PLAIN: dict[str, Any] = {"kind": "heat_pump", "outdoor": ["5 degF", "47 degF"], "outputs": ["20 kBtu/h", "30 kBtu/h"]}
TESTED = {"outdoor": "47 degF", "supply": "95 degF", "output": "30 kBtu/h", "cop": 4.0}


def left(**more: Any) -> set[str]:
    return {key for *_, key in left_open(build(HeatPump, PLAIN | more))}


def test_what_is_typed_is_no_assumption() -> None:
    every = {row[3] for row in HeatPump.rests_on}
    assert left() == every
    assert left(cut_out="-10 degF", pump="40 W") == every - {"cut_out", "pump"}


@pytest.mark.parametrize("own", [{"carnot_fraction": 0.4}, {"test_point": [TESTED], "outdoor": [], "outputs": []}])
def test_a_unit_with_figures_of_its_own_is_not_told_as_the_average_one(own: dict[str, Any]) -> None:
    assert "test_point" not in left(**own)


def test_a_condensing_boiler_says_at_which_return_its_efficiency_holds() -> None:
    """Worked apart from this program (tests/published/combustion.csv): 97.1 % at a return of 80 °F and 89.5 % at 120 °F, less 2 % of jacket."""

    def said(**more: Any) -> str:
        rows = list(build(GasBoiler, {"kind": "gas", "output": "60 kBtu/h"} | more).holds_at(0.0))
        return rows[0][1] if rows else ""

    assert said(efficiency="95 %", condensing=True).startswith(
        "95% as entered where water returns at 27 °C (80 °F) or cooler"
    )
    assert said(efficiency="95 %", condensing=True).endswith("; 87% at 49 °C (120 °F)")
    assert said(condensing=True).endswith(": 87% at 49 °C (120 °F)")
    assert said(efficiency="95 %").startswith("95% as entered, at any return")
    assert said(efficiency="99 %", condensing=True).startswith("less than the 99% entered at any return")
    assert said(efficiency="82 %") == ""
    (row,) = build(GasBoiler, {"kind": "gas", "output": "60 kBtu/h", "condensing": True}).holds_at(0.0)
    assert "value from memory" in row[2]
    assert "to be confirmed by" in to_confirm(row[2])  # on paper
