"""Boilers whose efficiency is stated and follows the water, and what their offer says to many houses."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from cases import constant_weather, offer_of, study
from pydantic import ValidationError

from costsim.engine.lower import lower_study
from costsim.sources import KINDS
from costsim.sources.curtailment import coldest_hours
from costsim.tariffs.calendar import HourCalendar

COLD = constant_weather(-10.0)
GAS = {"kind": "gas", "output": "12 kW"}
HOT = {"tank__volume": "300 L", "tank__max_temperature": "85 degC", "tank__design_supply_temperature": "75 degC"}


def model(**more: Any) -> Any:
    return KINDS["gas"].model_validate({**GAS, **more})


def test_a_stated_efficiency_is_the_most_that_a_condensing_boiler_reaches() -> None:
    free = offer_of({**GAS, "condensing": True}, COLD, **HOT)[0].heat_per_input
    for stated in (0.5, 0.7, 1.0):
        found = offer_of({**GAS, "condensing": True, "efficiency": f"{stated:.0%}"}, COLD, **HOT)[0].heat_per_input
        assert found == pytest.approx(np.minimum(free, stated))
    assert free[0] < 0.9  # at 75 °C nothing condenses
    plain = offer_of({**GAS, "efficiency": "97 %"}, COLD, **HOT)[0].heat_per_input
    assert (plain == 0.97).all()


def test_what_of_a_boiler_goes_with_the_water_of_a_house() -> None:
    for more, follows in (
        ({"efficiency": "92 %"}, set()), ({"condensing": True}, {"heat_per_input"}), ({"condensing": True, "efficiency": "92 %"}, {"heat_per_input"}),
        ({"efficiency": "92 %", "flow": "1 gpm"}, {"capacity"}), ({"condensing": True, "flow": "1 gpm"}, {"heat_per_input", "capacity"}),
    ):  # fmt: skip
        assert model(**more).follows_house() == follows, more
    for kind in ("electric", "pellet"):
        assert KINDS[kind].model_validate(KINDS[kind].example).follows_house() == set()


def test_smallest_fires_by_how_a_burner_fires() -> None:
    for more, share in (({"efficiency": "80 %"}, 1.0), ({"condensing": True}, 0.2), ({"efficiency": "80 %",
        "firing": "two_stage"}, 0.6), ({"efficiency": "95 %",
                         "firing": "one_stage"}, 1.0), ({"efficiency": "80 %", "firing": "modulating_10"}, 0.1), ({"efficiency": "80 %",
                         "firing": "modulating_5"}, 0.2), ({"efficiency": "95 %", "min_output": "12 kW"}, 1.0), ({"efficiency": "95 %",
                         "min_output": "0 kW"}, 0.0)):  # fmt: skip
        assert model(**more).smallest_fire_w == pytest.approx(share * 12e3)
    for more, said in (
        ({}, "efficiency is missing"),
        ({"efficiency": "80 %", "min_output": "12.1 kW"}, "min_output is more than output"),
    ):
        with pytest.raises(ValidationError, match=said):
            model(**more)
    pellet = {"kind": "pellet", "output": "10 kW", "efficiency": "78 %"}
    for more, watts in (
        ({}, 3000.0),
        ({"min_output": "0 kW"}, 0.0),
        ({"min_output": "4 kW"}, 4000.0),
    ):  # EN 303-5: 30 %
        assert offer_of({**pellet, **more}, COLD)[0].min_fire_w == pytest.approx(watts)


def test_a_source_that_may_not_run_has_nothing_to_offer_and_says_why() -> None:
    plain, seen = offer_of({**GAS, "efficiency": "92 %"}, COLD)
    assert (plain.curtailed_w == 0).all()
    assert (plain.rank, plain.kind, plain.fuel, plain.price_key, plain.rated_w) == (
        0,
        "gas",
        "natural_gas",
        "natural_gas",
        12e3,
    )
    night, _ = offer_of(
        {**GAS, "efficiency": "92 %", "windows": ["22:00-06:00"], "backup_only": True, "price": "electricity"}, COLD
    )
    assert night.rank == 1
    assert night.price_key == "electricity"
    assert night.capacity_w + night.curtailed_w == pytest.approx(12e3)
    assert set(night.capacity_w) == {0.0, 12e3}
    assert seen.n_hours == 8760
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2021)
    fire = KINDS["wood"].model_validate(
        KINDS["wood"].example | {"load_times": ["07:30", "18:00"], "attended": "Sat, Sun"}
    )
    loads = fire.loadings(clock)
    assert sorted(set((np.flatnonzero(loads) % 24).tolist())) == [7, 18]
    assert loads.sum() == 2 * 104  # 2021 has 52 Saturdays and 52 Sundays
    # a fire is loaded each day, also where clocks jump over the time or show it twice
    summer = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone="America/New_York", year=2021)
    for time in ("00:00", "01:30", "02:00", "02:30", "03:00"):
        daily = KINDS["wood"].model_validate(KINDS["wood"].example | {"load_times": [time], "attended": ""})
        each = np.bincount(summer.day, daily.loadings(summer))
        assert each.sum() == 365, time
        assert set(each[1:-1]) == {1.0}, time
    with pytest.raises(ValidationError, match="is not a clock time"):
        KINDS["wood"].model_validate(KINDS["wood"].example | {"load_times": ["24:00"]})


def test_the_coldest_hours_leave_a_pause_and_never_more_than_asked() -> None:
    cold = np.array([5.0, 1.0, 2.0, 3.0, 4.0, 0.0])
    assert coldest_hours(cold, 0, 3).sum() == 0
    assert coldest_hours(cold, 3, 9).tolist() == [0, 1, 1, 0, 0, 1]
    assert coldest_hours(cold, 6, 2).tolist() == [0, 1, 1, 0, 1, 1]
    assert coldest_hours(cold, 6, 1).tolist() == [0, 1, 0, 1, 0, 1]
    assert coldest_hours(cold, 6, 6).sum() == 6
    assert lower_study(study({**GAS, "efficiency": "92 %"}), COLD).surroundings.tank_m3 == 0.0
