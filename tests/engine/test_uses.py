"""Hot water and other uses of the tank: heat by hand, who comes first, and what a year of it adds."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, one, sample_weather, wavy_weather, with_uses

from costsim import simulate
from costsim.engine import layout as k
from costsim.engine import uses
from costsim.engine.lower import lower_option, lower_study, option_study
from costsim.engine.outdoor_uses import snow_melt
from costsim.engine.uses import cold_by_month_c
from costsim.errors import InputError
from costsim.physics.mains import cold_water_c
from costsim.study.case import case_from
from costsim.study.outdoor_uses import PoolOrTub, SnowMelt
from costsim.study.tapping import LOAD_PROFILES
from costsim.study.uses import Zone
from costsim.units.faults import build
from costsim.units.table import BTU_J
from costsim.views.answer import taps_sentence
from costsim.views.hot_tank import cool_tank_sentence
from costsim.views.tank_lines import tank_sections
from costsim.views.verdict import decision

TAP = {"kind": "hot_water", "daily_volume": "50 gal", "tap_temperature": "120 degF", "cold_temperature": "50 degF"}


def test_fifty_gallons_a_day_through_70_degrees_are_ten_million_btu_a_year() -> None:
    # 50 gal × 8.25 lb/gal (61.71 lb/ft³ at 120 °F) × 0.9988 Btu/(lb °F) × 70 °F × 365 = 10.53 million Btu
    warm = constant_weather(30.0)
    without, found = one(weather=warm), one(TAP, weather=warm)
    added = found.sources[0].heat_j - without.sources[0].heat_j
    assert found.uses[0].heat_j / BTU_J / 1e6 == pytest.approx(10.53, rel=1e-3)
    assert added / BTU_J / 1e6 == pytest.approx(10.53, rel=0.02)
    assert (found.uses[0].unmet_hours, found.unmet.hours) == (0, 0)
    assert found.hourly.imbalance() < 1e-9


def test_a_tank_that_taps_draw_from_is_hot_when_the_year_begins() -> None:
    """The last night of December had taps too; without any, the tank begins at the room's 20 °C, since 30 °C outside ask for nothing."""
    warm = constant_weather(30.0)
    begins = [
        lower_option(lower_study(case, warm), case.options[0]).scalars[k.TANK_START]
        for case in (with_uses(), with_uses(TAP))
    ]
    assert begins == pytest.approx([20.0, (120 - 32) / 1.8], abs=6.0)
    assert begins[1] >= (120 - 32) / 1.8


@pytest.mark.parametrize("stratification", ["0 %", "90 %"])
def test_a_tank_that_was_drawn_down_is_warm_again_before_the_next_draw(stratification: str) -> None:
    """200 L a day from 10 to 50 °C, all at 7 am: 9.2 kWh, less what a mixed tank no longer gives at 50 °C; 3 kW bring 9 kWh back in 3 h."""
    morning = [1.0 if hour == 7 else 0.0 for hour in range(24)]
    taps = {
        "kind": "hot_water", "daily_volume": "200 L", "tap_temperature": "50 degC", "cold_temperature": "10 degC",
        "approach": "5 K", "profile": morning,
    }  # fmt: skip
    found = one(taps, weather=constant_weather(30.0), source={"kind": "electric", "output": "3 kW"}, tank__volume="400 L",
                tank__loss="0 W/K", tank__stratification=stratification)  # fmt: skip
    day = slice(24 * 20, 24 * 21)  # in January, when the clock is the sun's
    made, drawn = found.hourly.heat_w[0][day] / 1000.0, found.hourly.use_delivered_w[day] / 1000.0
    assert np.flatnonzero(drawn > 0).tolist() == [7]
    assert drawn[7] > 0.7 * 200 * 0.988 * 4.18 * 40 / 3600  # 200 L at 50 °C weigh 0.988 kg/L
    # below a hot zone that stays the rest mixes slowly, and takes a little in other hours
    assert made[7:11].sum() == pytest.approx(drawn[7], rel=0.01 if stratification == "0 %" else 0.06)
    assert made[7:9] == pytest.approx([3.0, 3.0])
    assert made.sum() == pytest.approx(drawn[7], rel=0.01)
    # at 90 % an hour leaves 0.9^(1/24) of the difference, 0.44 % less: of 45 K, two thirds of them below, the top loses 0.13 K before it is heated again
    assert found.hourly.tank_top_c[day][11:].min() == pytest.approx(55.0, abs=0.13)


PROFILE_M = {"kind": "hot_water", "load_profile": "M", "cold_temperature": "10 degC"}
LUKEWARM = {
    "kind": "heat_pump", "outdoor": ["-15 degC", "7 degC"], "outputs": ["12 kW", "12 kW"], "max_outlet_temperature": "50 degC", "approach": "5 K",
}  # fmt: skip


def test_without_a_tank_nothing_is_kept_hot_between_draws() -> None:
    """Profile M draws in 13 hours of a day; in the others the water is the floor's, and a heat pump makes that."""
    data = with_uses(PROFILE_M, source=LUKEWARM).typed
    options = [{**option, "no_tank": True} for option in data["option"]]
    case = case_from({**data, "option": options})
    common = option_study(lower_study(case, constant_weather(0.0)), case.options[0])
    drawn, water_c = common.uses.heat_w[:24] > 0, common.surroundings.water_c[:24]  # type: ignore[union-attr]
    assert 0 < drawn.sum() < 24
    assert water_c[drawn].min() > 49.0
    assert water_c[~drawn].max() < 40.0
    capacity = case.options[0].sources[0].offer(common.surroundings).capacity_w[:24]
    assert capacity[~drawn].min() > 0.0
    assert capacity[drawn].max() == 0.0


def test_a_heat_pump_keeps_no_top_hotter_than_it_can() -> None:
    """50 °C less 5 K leave 45 °C of water where taps want 54: with no floor to heat, a backup alone heats them, with a draw or between."""
    backup = {"kind": "electric", "output": "9 kW", "backup_only": True}
    for stratification in ("0 %", "90 %"):
        data = with_uses(PROFILE_M, source=LUKEWARM, tank__stratification=stratification).typed
        options = [{**option, "source": [*option["source"], backup]} for option in data["option"]]
        found = simulate(case_from({**data, "option": options}), constant_weather(30.0)).options[0]
        assert found.sources[0].heat_j == 0.0, stratification
        assert found.sources[1].heat_j > 0.9 * found.uses[0].heat_j
        assert found.uses[0].unmet_hours == 0


def test_a_tank_is_kept_hot_from_a_day_before_the_first_draw_to_a_day_after_the_last() -> None:
    draws = np.zeros((1, 100))
    draws[0, 50] = draws[0, 60] = 1.0
    ready = uses._soon_drawn(draws)
    assert np.flatnonzero(ready[0]).tolist() == list(range(27, 61))  # 50 less 23 hours to 60
    draws[0, 60], draws[0, 5] = 0.0, 1.0
    assert np.flatnonzero(uses._soon_drawn(draws)[0]).tolist() == [*range(6), *range(27, 51), *range(82, 100)]


def test_load_profiles_draw_what_the_law_says(published) -> None:
    rows = published("uses")
    for name, day in LOAD_PROFILES.items():
        rows[f"tapping_{name.lower()}"].check(float(day.sum()))
    for key, name, hour in (("m_7", "M", 7), ("l_21", "L", 21), ("xl_7", "XL", 7)):
        rows[f"tapping_{key}"].check(float(LOAD_PROFILES[name][hour]))
    # the amount follows from the profile where nothing else gives it, with water at 10 °C as the tests have it
    profile = {"kind": "hot_water", "load_profile": "M", "cold_temperature": "10 degC"}
    found = one(profile, weather=constant_weather(30.0))
    assert found.uses[0].heat_j / 3.6e6 == pytest.approx(365 * 5.845)
    assert found.hourly.use_w[7] == pytest.approx(1610.0)
    # and only the hours where people give the amount
    people = one(profile | {"people": 4}, weather=constant_weather(30.0)).hourly.use_w
    assert people[7] / people[:24].sum() == pytest.approx(1.61 / 5.845)


@pytest.mark.parametrize("stratification", ["0 %", "80 %"])
def test_hot_water_comes_before_the_house_and_is_told_apart(stratification: str) -> None:
    cold = constant_weather(-10.0)
    found = one(TAP, weather=cold, source={"kind": "electric", "output": "6.2 kW"}, tank__stratification=stratification)
    # 6 kW for the house leave little for a morning's draw: the house waits, the taps do not
    assert found.uses[0].unmet_j < 0.01 * found.uses[0].heat_j
    assert found.unmet.energy_j > 0
    assert found.demand_j == pytest.approx(6000 * 8760 * 3600.0)
    assert found.hourly.imbalance() < 1e-9
    weak = one(TAP, weather=cold, source={"kind": "electric", "output": "300 W"}, tank__stratification=stratification)
    assert weak.uses[0].unmet_hours > 0


def test_a_stratified_tank_keeps_its_top_hot_for_the_taps_in_summer_too() -> None:
    """No heat is asked for by the house: 54 °C over taps that want 49 °C behind 5 K, in the top third and in no more of it."""
    warm, needs = constant_weather(30.0), (120.0 - 32.0) / 1.8 + 5.0
    stands = {"tank__stratification": "100 %", "tank__loss": "0 W/K"}
    found = one(TAP, weather=warm, **stands)
    # the year begins with a tank that is hot all through; its lower part is drawn down in days
    drawn = (found.hourly.use_w > 1.0) & (np.arange(8760) > 168)
    assert found.hourly.tank_top_c[drawn] == pytest.approx(np.full(drawn.sum(), needs))
    assert found.hourly.hot_share[drawn] == pytest.approx(np.full(drawn.sum(), 1 / 3))
    assert (found.uses[0].cool, found.uses[0].unmet_hours) == (None, 0)
    # without a loss what is bought is what is drawn, less what the tank held at first, with or without a hot top
    behind = one(TAP, weather=warm, **stands, tank__kept_hot="0 %")
    for option in (found, behind):
        assert option.sources[0].heat_j == pytest.approx(option.uses[0].heat_j, rel=0.01)
    assert behind.hourly.tank_top_c[-24:].max() < 30.0
    said = {a.what: a for a in simulate(with_uses(TAP, **stands), warm).assumptions}["tank, kept hot for its uses"]
    assert said.value.startswith("33% from the top at up to 54 °C (129 °F)")
    assert (said.source, said.key) == ("common practice, no source", "tank.kept_hot")


def test_a_tank_too_cool_for_what_runs_to_serve_is_told() -> None:
    """6 kW for the house and 4.5 kW to give: taps are served by what runs, from a tank far below what they need."""
    found = one(TAP, weather=constant_weather(-10.0), source={"kind": "electric", "output": "4.5 kW"})
    [use], hourly = found.uses, found.hourly
    tank, needs = hourly.tank_c, (120.0 - 32.0) / 1.8 + 5.0
    warm = np.maximum(tank[1:], tank[:-1])
    cool = (hourly.use_w[1:] > 1.0) & (warm < needs - 1.0)
    assert use.unmet_hours < 100 < use.cool.hours
    assert use.cool.hours == pytest.approx(np.count_nonzero(cool), abs=1)
    # drawn from the tank alone, water comes as warm as the tank less the exchanger's 5 K
    assert use.cool.tank_c == pytest.approx(warm[cool].min())
    assert (use.cool.gives_c, use.cool.wanted_c) == (
        pytest.approx(warm[cool].min() - 5.0),
        pytest.approx(48.889, abs=0.01),
    )
    # no heat comes from nowhere: what the tank alone would carry to the floor is less than it got, by as much
    resistance = lower_study(with_uses(TAP), constant_weather(-10.0)).water.resistance_k_w
    over = hourly.delivered_w[1:] - np.maximum(warm - 20.0, 0.0) / resistance
    assert found.beyond_loops.over_w == pytest.approx(over.max())
    assert found.beyond_loops.hours == pytest.approx(np.count_nonzero(over > 0.01 * 6000.0), abs=1)
    result = simulate(with_uses(TAP, source={"kind": "electric", "output": "4.5 kW"}), constant_weather(-10.0))
    [taps] = dict(tank_sections(result, "us"))["Hot water and other uses of the tank"]
    assert "always hot enough" not in taps
    assert f"{use.cool.hours:,} hours with the tank too cool" in taps
    assert any("the tank is cooler than Hot water needs" in text for text in result.warnings)
    # of a house that is left cold anyway nothing is said of its loops, only of one that counts as warm
    said = "more heat goes to the floor than water from a tank that cool would bring"
    assert not any(said in text for text in result.warnings)
    borne = with_uses(TAP, source={"kind": "electric", "output": "4.5 kW"}, house__max_unmet_hours=8760)
    assert any(said in text for text in simulate(borne, constant_weather(-10.0)).warnings)
    assert "Hot water is not always hot enough from the tank: one" in cool_tank_sentence(result, "us")
    # and at the answer, of what heats it best and of every option
    short = f"one: the tank alone is too cool for hot water for {use.cool.hours:,} hours."
    [told] = result.options
    assert taps_sentence(told).endswith(short)
    assert short in decision(simulate(borne, constant_weather(-10.0)), "household", "us")
    # a source that is large enough keeps the tank hot
    ample = one(TAP, weather=constant_weather(-10.0), source={"kind": "electric", "output": "20 kW"})
    assert (ample.uses[0].cool, ample.beyond_loops, taps_sentence(ample)) == (None, None, "")


def test_a_heat_pump_sees_how_hot_the_water_must_be() -> None:
    weather = constant_weather(0.0)
    pump = {"kind": "heat_pump", "outdoor": ["-10 degC", "10 degC"], "outputs": ["12 kW", "18 kW"]}
    without, found = one(weather=weather, source=pump), one(TAP, weather=weather, source=pump)
    ratio = [o.sources[0].heat_j / o.sources[0].input_j for o in (without, found)]
    assert ratio[1] < ratio[0]


def test_cold_water_by_month() -> None:
    # Burch and Christensen's formula by hand for 50 °F mean and months from 30 to 70 °F: 56 ± 0.46 · 20 °F
    months = 10.0 - 100 / 9 * np.cos(2 * np.pi * (np.arange(12) + 0.5 - 0.5) / 12)
    found = cold_water_c(monthly_air_c=months)
    assert found.max() == pytest.approx((56 + 9.2 - 32) / 1.8, abs=0.25)
    assert found.min() == pytest.approx((56 - 9.2 - 32) / 1.8, abs=0.25)
    # it follows the air a month or so later: coldest in February, warmest in August
    assert (int(found.argmin()), int(found.argmax())) == (1, 7)
    south = cold_water_c(monthly_air_c=np.roll(months, 6), southern=True)
    assert south == pytest.approx(np.roll(found, 6), abs=0.4)
    weather = sample_weather()
    common = lower_study(with_uses(TAP | {"cold_temperature": "50 degF"}), weather)
    assert 5 < cold_by_month_c(weather, common.calendar).min() < 15


def test_a_zone_takes_its_own_loss() -> None:
    zone = {"kind": "zone", "name": "Garage", "design_heat_loss": "3 kW", "indoor_temperature": "10 degC"}
    # design is -10 °C: at 0 °C half of it is lost
    found = one(zone, weather=constant_weather(0.0))
    assert found.uses[0].heat_j == pytest.approx(1500 * 8760 * 3600.0)
    assert found.uses[0].unmet_hours == 0
    assert found.uses[0].name == "Garage"


def test_scenarios_see_the_uses_too() -> None:
    from costsim.engine import layout as k
    from costsim.engine.batch import run_once

    weather = wavy_weather(5.0 + 10 * np.sin(np.arange(8760) / 1000))
    case = with_uses(TAP)
    common = lower_study(case, weather)
    sums = run_once(common, case.options[0]).sums[0]
    found = simulate(case, weather).options[0]
    assert sums[k.SUM_USE] == pytest.approx(found.uses[0].heat_j)
    assert sums[k.SUMS] == pytest.approx(found.sources[0].heat_j)


@pytest.mark.parametrize(("change", "words"), [
    ({"people": 3}, "people or daily_volume"),
    ({"load_profile": "M", "profile": [1.0] * 24}, "profile and load_profile"),
    ({"load_profile": "N"}, "load_profile"),
    ({"daily_volume": "-5 gal"}, "daily_volume"),
    ({"profile": [1.0, 2.0]}, "24 shares"),
    ({"cold_temperature": "25 degC", "tap_temperature": "30 degC", "profile": [-1.0] * 24}, "profile"),
    ({"tap_temperature": "160 degF"}, "tap_temperature"),
])  # fmt: skip
def test_uses_that_cannot_be_are_one_line_each(change: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        with_uses({**TAP, **change})
    assert len(caught.value.faults) == 1


def test_a_tank_too_cool_for_hot_water_is_told() -> None:
    with pytest.raises(InputError, match=r"use\[1\]\.tap_temperature.*max_temperature"):
        with_uses(TAP, tank__max_temperature="50 degC")


def test_a_pool_is_filled_with_the_cold_water_of_its_month(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[np.ndarray] = []

    def pool(use: Any, weather: Any, calendar: Any, cold: np.ndarray) -> tuple[np.ndarray, ...]:
        seen.append(cold)
        return np.array([0.0, 5.0]), np.array([30.0, 30.0]), np.array([10.0, 29.5])

    monkeypatch.setattr(uses, "cold_by_month_c", lambda weather, calendar: np.arange(12.0))
    monkeypatch.setattr(uses, "pool", pool)
    tub = PoolOrTub.model_construct(priority="before_house")
    clock: Any = SimpleNamespace(month=np.array([1, 12]))
    found = uses.lower_uses((tub,), None, clock, 0.0, {})  # type: ignore[arg-type]
    assert seen[0].tolist() == [0.0, 11.0]
    assert found is not None
    # what comes back is a kelvin colder than what goes out at least
    assert (found.heat_w.tolist(), found.needs_c.tolist(), found.cold_c.tolist()) == (
        [0.0, 5.0],
        [k.NOT_KEPT_C, 30.0],
        [k.NOT_KEPT_C - 1.0, 29.0],
    )


def test_water_comes_back_from_a_melting_slab_14_kelvin_colder_and_never_as_ice() -> None:
    use = build(SnowMelt, {"kind": "snow_melt", "area": "1 m2", "snowfall": "60 mm"})
    for out_c, back_c in ((45.0, 31.0), (20.0, 6.0), (12.0, 1.0)):
        lukewarm = use.model_copy(update={"design_supply_temperature_c": out_c})
        _, supply, cold = snow_melt(lukewarm, constant_weather(-2.0))
        assert (supply[0], cold[0]) == (out_c, back_c)


def test_a_zone_wants_water_that_is_warmer_the_colder_it_is() -> None:
    """30 K over its 10 °C at -8 °C, half of that at 1 °C, and a kelvin at least."""
    shed = build(Zone, {"kind": "zone", "design_heat_loss": "4 kW", "indoor_temperature": "10 degC", "design_supply_temperature": "40 degC"})  # fmt: skip
    for outdoor_c, heat_w, needs_c in (
        (-8.0, 4000.0, 40.0),
        (1.0, 2000.0, 25.0),
        (9.8, 4000 * 0.2 / 18, 11.0),
        (20.0, 0.0, 11.0),
    ):
        heat, needs, cold = uses._zone(shed, constant_weather(outdoor_c), -8.0)
        assert (heat[0], needs[0], cold[0]) == (pytest.approx(heat_w), pytest.approx(needs_c), 10.0)
