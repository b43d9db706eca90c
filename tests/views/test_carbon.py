"""Carbon of a source where the grid's factor is not known."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

from costsim.views.carbon import own_co2_kg


def test_carbon_of_a_fire_without_fans_is_known_where_the_grid_s_is_not() -> None:
    known: Any = SimpleNamespace(co2_kg_per_j={"electricity": math.nan})
    result: Any = SimpleNamespace(lowered=SimpleNamespace(surroundings=known))
    fire: Any = SimpleNamespace(co2_kg=6630.0, auxiliary_j=0.0)
    assert own_co2_kg(result, fire) == 6630.0
    fire.auxiliary_j = 1.0
    assert math.isnan(own_co2_kg(result, fire))
