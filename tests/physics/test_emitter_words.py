"""Emitters that are no floor are not called one."""

from __future__ import annotations

import pytest
from cases import constant_weather, study

from costsim.physics.emitters import EMITTERS
from costsim.simulation import simulate

HEATER = {"kind": "electric", "output": "20 kW", "efficiency": "100 %"}


@pytest.mark.parametrize("key", EMITTERS)
def test_a_kind_of_emitter_is_named_for_what_it_is(key: str) -> None:
    named = study(HEATER, house__emitter=key).emitter_named
    assert (named == "the floor") == key.startswith("radiant_floor")
    for word, kind in (("radiators", "radiators"), ("baseboard", "baseboard"), ("coil", "fan_coil")):
        assert (word in named) == (kind in key)


def test_much_heat_from_a_small_area_is_no_matter_of_a_floor_surface_where_radiators_give_it() -> None:
    """6 kW over 50 m² are 120 W/m², above the 100 of EN 1264-2 in rooms."""
    for emitter, floor in (("radiators", False), ("radiant_floor", True)):
        case = study(HEATER, house__floor_area="50 m2", house__emitter=emitter)
        said = [text for text in simulate(case, constant_weather(-10.0)).warnings if "120.00 W/m²" in text]
        assert len(said) == 1
        assert ("surface limit" in said[0]) == floor
