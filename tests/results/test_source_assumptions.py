"""What a source rests on is told where nothing is typed for it, and nowhere else."""

from __future__ import annotations

from typing import Any

import pytest

from costsim.results.source_assumptions import left_open
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
