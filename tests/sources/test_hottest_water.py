"""A heat pump stops in hours that need hotter water than it makes, by hand from an outdoor reset curve.

The house loses 6 kW at -10 °C and 200 W for each kelvin below 20 °C; its emitters run on 50 °C at design. So the water they need is
20 °C and a kelvin more for each kelvin below 20 °C, 40 °C less the outdoor temperature, and the unit gives it 5 K warmer.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, offer_of, sample_weather, study, wavy_weather
from pydantic import ValidationError

from costsim.engine.lower import lower_study
from costsim.physics.heat_pump import certified_cop
from costsim.simulation import simulate
from costsim.sources import KINDS, Layers
from costsim.sources.houses import Houses, Moments
from costsim.study.case import case_from

FLAT = {"outdoor": ["-30 degC", "20 degC"], "outputs": ["9 kW", "9 kW"], "cut_out": "-40 degC", "defrost": "0 %"}
PUMP: dict[str, Any] = {"kind": "heat_pump", **FLAT, "cycling_degradation": 0.0}
ELECTRIC = {"kind": "electric", "output": "20 kW"}
CURVE = {"house__design_supply_temperature": "50 degC"}
OUTDOOR_C = np.array([-12.0, -6.0, -5.01, -5.0, -4.99, 0.0, 10.0, 25.0])
YEAR = wavy_weather(np.resize(OUTDOOR_C, 8760))
TANK = {"tank__volume": "300 L", "tank__max_temperature": "85 degC", "tank__design_supply_temperature": "50 degC"}


def pump(limit: str | None = "50 degC", **more: Any) -> dict[str, Any]:
    return PUMP | ({} if limit is None else {"max_outlet_temperature": limit}) | more


def test_it_stops_in_the_hours_whose_water_is_hotter_and_another_source_carries_them() -> None:
    """45 °C less the outdoor temperature leaves the unit: more than 50 °C below -5 °C, and just 50 °C there."""
    found = simulate(study(pump(), ELECTRIC, **CURVE), YEAR).options[0]
    runs = np.resize([False, False, False, True, True, True, True, True], 8760)
    demand = 200.0 * np.maximum(20.0 - YEAR.outdoor_c, 0.0)
    assert found.hourly.available_w[0] == pytest.approx(np.where(runs, 9e3, 0.0))
    assert found.hourly.heat_w[0] == pytest.approx(
        np.where(runs, demand, 0.0), abs=0.01
    )  # a gram of water counts as the tank
    assert found.hourly.heat_w[1] == pytest.approx(np.where(runs, 0.0, demand), abs=0.01)
    assert found.unmet.hours == 0
    alone = simulate(study(pump(), **CURVE), YEAR).options[0]
    assert alone.unmet.hours == 3 * 1095
    assert alone.unmet.energy_j == pytest.approx(float(demand[~runs].sum()) * 3600.0)


@pytest.mark.parametrize("outdoor_c", [-15.0, -9.7, -5.0, -0.3, 4.9, 11.1])
def test_just_the_hottest_water_is_made_and_a_hundredth_more_is_not(outdoor_c: float) -> None:
    for over_k, gives in ((0.0, True), (0.01, False), (-0.01, True)):
        offer, _ = offer_of(pump(f"{45.0 - outdoor_c - over_k:.4f} degC"), constant_weather(outdoor_c), **CURVE)
        assert bool((offer.capacity_w > 0.0).all()) == gives
        assert bool((offer.capacity_w > 0.0).any()) == gives


def test_the_approach_counts() -> None:
    """Without approach 40 °C less the outdoor temperature leaves it: 50 °C at -10 °C, so -6 °C is carried."""
    offer, _ = offer_of(pump(approach="0 K"), YEAR, **CURVE)
    assert (offer.capacity_w[:8] > 0.0).tolist() == [False] + [True] * 7


def test_without_a_limit_nothing_changes_but_what_is_told() -> None:
    typed, open_ended = (offer_of(pump(limit), YEAR, **CURVE)[0] for limit in ("90 degC", None))
    assert np.array_equal(typed.capacity_w, open_ended.capacity_w)
    assert np.array_equal(typed.heat_per_input, open_ended.heat_per_input)
    assert np.array_equal(typed.target_c, open_ended.target_c)
    assert typed.derates == open_ended.derates == ()


def test_its_own_limit_is_told_with_its_hours_in_place_of_the_general_words() -> None:
    """At -12, -6 and -5.01 °C, a year's 8,760 hours among eight temperatures; at -30 °C the emitters need 70 °C."""
    [text] = offer_of(pump(), YEAR, **CURVE)[0].warnings
    assert "it stops for 3,285 hours" in text
    assert "at up to 57 °C (135 °F), hotter than the 50 °C (122 °F) it makes" in text
    [one] = offer_of(pump(), wavy_weather(np.r_[-6.0, np.zeros(8759)]), **CURVE)[0].warnings
    assert "it stops for 1 hour in which" in one
    hot = constant_weather(-30.0)
    [general] = offer_of(pump(None), hot, **CURVE)[0].warnings
    assert "most heat pumps end between" in general
    assert offer_of(pump("75 degC"), hot, **CURVE)[0].warnings == ()  # 75 °C leaves it
    assert "most heat pumps" not in "".join(offer_of(pump("74 degC"), hot, **CURVE)[0].warnings)


def test_hours_in_which_it_is_off_anyway_are_not_counted() -> None:
    """Below -8 °C it is locked out, below -5.5 °C cut out; those left are the -5.01 °C alone."""
    locked = offer_of(pump(lockout_below="-8 degC"), YEAR, **CURVE)[0].warnings[0]
    assert "it stops for 2,190 hours" in locked
    cut = offer_of(pump(cut_out="-5.5 degC"), YEAR, **CURVE)[0].warnings[0]
    assert "for 1,095 more hours in which" in cut
    assert offer_of(pump(cut_out="-5 degC"), YEAR, **CURVE)[0].warnings == ()


def test_both_stops_of_a_heat_pump_are_one_sentence_with_the_hours_of_each() -> None:
    """Eight temperatures, 1,095 hours each: two lie below -5.5 °C, where it is off; of the others -5.01 °C alone needs hotter water."""
    below = int((YEAR.outdoor_c < -5.5).sum())
    assert below == 2 * 1095
    [text] = offer_of(pump(cut_out="-5.5 degC"), YEAR, **CURVE)[0].warnings
    assert "it stops for 2,190 hours colder than -6 °C (22 °F) outside, and for 1,095 more hours in which" in text
    assert text.endswith("hotter than the 50 °C (122 °F) it makes; another source must carry both")
    case = study(pump(cut_out="-5.5 degC"), **CURVE)
    common = lower_study(case, YEAR)
    assert case.options[0].sources[0].stop_hours(common.surroundings) == (2190, 1095)
    # hours in which it is locked out anyway are neither; without a limit of its water there is one stop
    assert study(pump(cut_out="-5.5 degC", lockout_below="-5.2 degC"), **CURVE).options[0].sources[0].stop_hours(
        common.surroundings
    ) == (0, 1095)
    assert study(pump(None, cut_out="-5.5 degC"), **CURVE).options[0].sources[0].stop_hours(common.surroundings) == (
        2190,
        0,
    )
    assert study(ELECTRIC, **CURVE).options[0].sources[0].stop_hours(common.surroundings) == (0, 0)


def test_what_the_water_takes_off_has_a_name_of_its_own() -> None:
    """9 kW at 20 °C and 6 kW at -30 °C leave 7,080 W at -12 °C: 1,920 W for the cold, and the rest for the water."""
    falling = pump(outputs=["6 kW", "9 kW"])
    offer, _ = offer_of(falling, YEAR, **CURVE)
    assert dict(offer.derates) == pytest.approx({"outdoor cold": 1920.0, "water temperature": 7080.0})
    assert dict(offer_of({**falling, "max_outlet_temperature": "57 degC"}, YEAR, **CURVE)[0].derates) == pytest.approx(
        {"outdoor cold": 1920.0}
    )


def test_a_store_is_charged_as_hot_as_the_unit_makes_and_no_hotter() -> None:
    """A store of 70 °C and water of at most 60 °C: the tank is charged to 55 °C, with the efficiency of 60 °C."""
    hours = constant_weather(0.0)
    case = study(pump("60 degC", store=True), **TANK, tank__store="70 degC")
    seen = lower_study(case, hours).surroundings
    offer = case.options[0].sources[0].offer(seen)
    assert (offer.target_c == 55.0).all()
    assert (offer.capacity_w == 9e3).all()
    assert offer.heat_per_input == pytest.approx(certified_cop(lift_k=np.full(8760, 60.0)))
    [text] = offer.warnings
    assert "it charges the tank to 55 °C (131 °F), not to 70 °C (158 °F)" in text
    found = simulate(case, hours).options[0]
    assert found.unmet.hours == 0
    assert 54.0 < float(found.hourly.tank_c.max()) <= 55.0 + 1e-6
    enough, _ = offer_of(pump("75 degC", store=True), hours, **TANK, tank__store="70 degC")
    assert (enough.target_c == 70.0).all()
    assert enough.warnings == ()
    no_store, _ = offer_of(pump("60 degC"), hours, **TANK)
    assert (no_store.target_c < -100.0).all()


TAP = {"kind": "hot_water", "daily_volume": "200 L", "tap_temperature": "60 degC", "cold_temperature": "10 degC"}


def with_tap(**more: Any) -> Any:
    """Taps at 60 °C on the tank, in every hour, and 2 kW for the house at 10 °C outside, which needs 30 °C."""
    case = study(pump("55 degC"), ELECTRIC, **TANK, **more)
    return case_from({**case.typed, "use": [TAP]})


def test_a_mixed_tank_as_hot_as_taps_need_stops_it() -> None:
    """60 °C, 5 K in the exchanger of the taps and 5 K of its own are 70 °C; the draw goes through every hour of the day."""
    case, hours = with_tap(), constant_weather(10.0)
    common = lower_study(case, hours)
    assert common.uses is not None
    assert common.surroundings.layers is None
    assert (common.uses.heat_w > 0.0).all()
    offer = case.options[0].sources[0].offer(common.surroundings)
    assert (offer.capacity_w == 0.0).all()
    assert any("it stops for 8,760 hours in which" in text and "70 °C" in text for text in offer.warnings)
    assert simulate(case, hours).options[0].sources[0].heat_j == 0.0


def test_of_a_stratified_tank_it_serves_the_floor_and_leaves_hot_water() -> None:
    case, hours = with_tap(tank__stratification="80 %"), constant_weather(10.0)
    common = lower_study(case, hours)
    source, seen = case.options[0].sources[0], common.surroundings
    assert source.offer(seen).capacity_w == pytest.approx(2000.0)
    [text] = source.offer(seen).warnings
    assert "for 8,760 hours it leaves to another source what needs water of up to 70 °C (158 °F)" in text
    found = simulate(case, hours).options[0]
    assert 0.9 * 2000.0 < found.sources[0].heat_j / (8760 * 3600.0) <= 2000.0 + 1e-6
    assert found.unmet.hours == 0
    # by hand: floor and uses that are hotter than 50 °C, or are not
    one, two = np.array([50.0, 50.1, 50.0, 50.1, 50.1, 20.0]), np.array([50.0, 50.0, 50.1, 50.1, 60.0, 60.0])
    floor_w, uses_w = np.array([2e3, 2e3, 2e3, 2e3, 2e3, 0.0]), np.array([1e3, 1e3, 1e3, 1e3, 0.0, 1e3])
    layers = replace(seen, layers=Layers(one, floor_w, two, uses_w))
    assert source._served_w(layers).tolist() == [np.inf, 1e3, 2e3, 0.0, 0.0, 0.0]  # type: ignore[attr-defined]
    # a tank that is never hotter than 50 °C asks for no more
    assert np.isinf(source._served_w(replace(layers, max_temperature_c=50.0))).all()  # type: ignore[attr-defined]


def test_many_houses_get_the_hours_of_each() -> None:
    """Three houses at once stop where each of them alone does; at different water they stop at different hours."""
    common = lower_study(study(pump(), **CURVE), YEAR)
    source, seen = common.case.options[0].sources[0], common.surroundings
    waters = [seen.water_c + shift for shift in (-3.0, 0.0, 5.0)]
    many = replace(
        seen,
        weather=type("W", (), {"outdoor_c": YEAR.outdoor_c[:, None]})(),
        water_c=np.stack(waters, axis=1),
        demand_w=np.stack([seen.demand_w] * 3, axis=1),
    )
    found = source.for_houses(Houses(many, seen, Moments(np.arange(8760), np.arange(8760)), np.zeros(8760), even=True))
    assert found is not None
    for at, water in enumerate(waters):
        alone = source.offer(replace(seen, water_c=water))
        for name, values in (("capacity", alone.capacity_w), ("heat_per_input", alone.heat_per_input)):
            assert np.array_equal(found.by_moment[name][:, at], values)
    stopped = (found.by_moment["capacity"] == 0.0)[:8].sum(axis=0)
    assert stopped.tolist() == [1, 3, 5]  # 42, 45 and 50 °C less the outdoor temperature leave it
    assert source.follows_house() == {"heat_per_input", "capacity"}


def test_a_test_point_hotter_than_the_hottest_water_is_refused() -> None:
    row = {"outdoor": "-7 degC", "supply": "55 degC", "output": "6 kW", "cop": 2.0}
    made = {"kind": "heat_pump", "test_point": [row, {**row, "supply": "35 degC", "cop": 2.8}]}
    assert KINDS["heat_pump"].model_validate({**made, "max_outlet_temperature": "55 degC"})
    with pytest.raises(ValidationError, match="cooler than that of a test point"):
        KINDS["heat_pump"].model_validate({**made, "max_outlet_temperature": "54.9 degC"})


def test_a_real_year_stops_where_its_curve_says() -> None:
    weather = sample_weather()
    offer, _ = offer_of(pump("48 degC"), weather, **CURVE)
    assert np.array_equal(offer.capacity_w == 0.0, weather.outdoor_c < -3.0 - 1e-6)
    assert (offer.capacity_w == 0.0).sum() > 50
