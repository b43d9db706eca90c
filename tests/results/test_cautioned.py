"""Cautions, schedules and uses on both sides of what makes them apply."""

from __future__ import annotations

from typing import Any

import pytest
from cases import constant_weather, study, with_uses

from costsim.engine.lower import lower_study
from costsim.physics.floor import BUILD_UPS
from costsim.results.caution import Caution
from costsim.results.cautions import cautions_of
from costsim.results.schedules import absence_words, schedule_assumptions
from costsim.results.uses import hot_water_words, use_assumptions
from costsim.study.case import Case, case_from

ELECTRIC = {"kind": "electric", "output": "20 kW"}
GAS = {"kind": "gas", "output": "12 kW", "efficiency": "92 %", "altitude_rule": "none"}
LOOPS = [{"count": 6, "length": "85 m", "tube": "16x2", "flow": "2 L/min"}]
TANK = {"tank__volume": "300 L"}


def found(
    case: Case, *, coldest_c: float = 5.0, freeze_c: float = 0.0, top_c: float = 45.0, system: str = "si"
) -> dict[str, Caution]:
    """Cautions by key."""
    told = cautions_of(case, coldest_c=coldest_c, freeze_c=freeze_c, max_temperature_c=top_c, system=system)
    return {one.key: one for one in told}


def of_options(*options: dict[str, Any], **tables: Any) -> Case:
    """A study whose options have tanks and floors of their own."""
    data = dict(study(ELECTRIC, **tables).typed)
    data["option"] = [{"name": name, "source": [ELECTRIC], **one} for name, one in zip("abc", options, strict=False)]
    return case_from(data)


@pytest.mark.parametrize(("top_c", "scalds"), [(49.0, False), (49.1, True), (44.0, False)])
def test_water_scalds_above_120_degrees(top_c: float, scalds: bool) -> None:
    told = found(study(ELECTRIC), top_c=top_c, system="us")
    assert ("scalding" in told) == scalds
    if scalds:
        assert told["scalding"].text.startswith("The water may reach 120 °F; water above 120 °F scalds.")
        assert found(study(ELECTRIC, **TANK), top_c=top_c)["scalding"].text.startswith("The tank may reach")


def test_a_mixture_that_begins_to_freeze_in_the_coldest_hour_is_enough_and_wants_a_margin() -> None:
    glycol = {"floor__loops": LOOPS, "floor__antifreeze": "propylene_glycol", "floor__concentration": "30 vol%"}
    even, less = (
        found(study(ELECTRIC, **glycol), coldest_c=-13.0, freeze_c=freeze)["freezing"] for freeze in (-13.0, -12.9)
    )
    assert "leave a margin" in even.text
    assert "stronger" not in even.short
    assert "needs a stronger mix" in less.text
    plain = found(study(ELECTRIC, floor__loops=LOOPS), coldest_c=-0.1)["freezing"]
    assert plain.short == "Plain water, coldest 0 °C: no tube outside the heated house, and a plan for a power cut."
    assert "propylene" in found(study(ELECTRIC, **glycol))["drinking_water"].text
    assert "glycol" not in found(study(ELECTRIC))["drinking_water"].text


def test_open_and_sealed_circuits_have_each_their_own() -> None:
    sealed, vented = {"tank": {"volume": "200 L"}}, {"tank": {"volume": "200 L", "circuit": "open"}}
    opened = {"open_vent", "open_corrosion"}
    for case, keys in (
        (of_options(sealed), {"pressure_relief"}), (of_options(vented), opened), (of_options(sealed, vented), opened | {"pressure_relief"}),
        (of_options({}), {"pressure_relief"}), (of_options({}, vented), opened | {"pressure_relief"}), (of_options(vented, vented), opened),
        (of_options({}, **TANK, tank__circuit="open"), opened), (of_options(sealed, **TANK, tank__circuit="open"), {"pressure_relief"}),
    ):  # fmt: skip
        assert set(found(case)) & (opened | {"pressure_relief"}) == keys
    assert "200 L" not in found(of_options(vented))["open_vent"].text
    assert "45 °C" in found(of_options(vented))["open_vent"].text


@pytest.mark.parametrize("name", sorted(BUILD_UPS))
def test_floors_of_more_than_forty_kilograms_want_a_look_at_what_carries_them(name: str) -> None:
    told = found(study(ELECTRIC, floor__loops=LOOPS, floor__build_up=name))
    assert ("weight" in told) == (BUILD_UPS[name].mass_kg_m2 > 40.0)


def test_what_a_tank_holds_weighs_by_the_floor_of_its_option() -> None:
    """300 L of 50 % propylene glycol weigh about 4 % more than water (1,041 kg/m³ at 20 °C, value from memory)."""
    floor = {"loops": LOOPS, "antifreeze": "propylene_glycol", "concentration": "50 vol%"}
    told = found(of_options({}, {"floor": floor}, **TANK))["weight"].text
    assert "the tank's content: 300 kg (a)" in told
    heavier = float(told.partition(" kg (b)")[0].rpartition("content: ")[2])
    assert heavier == pytest.approx(313, abs=4)
    with_floor = found(
        study(
            ELECTRIC, **TANK, floor__loops=LOOPS, floor__antifreeze="propylene_glycol", floor__concentration="50 vol%"
        )
    )["weight"]
    assert f"{heavier:.0f} kg" in with_floor.text


def test_flues_are_told_by_how_they_work() -> None:
    draft, sealed = "Where a flue works by draft", "A sealed condensing unit"
    open_gas, closed_gas = {**GAS, "condensing": False, "efficiency": "80 %"}, {**GAS, "condensing": True}
    for sources, wanted in (
        ([open_gas], (True, False)),
        ([closed_gas], (False, True)),
        ([open_gas, closed_gas], (True, True)),
    ):
        text = found(study(*sources))["carbon_monoxide"].text
        assert (draft in text, sealed in text) == wanted


def test_the_caution_on_electricity_names_units_once_and_each_circuit() -> None:
    wired = {"kind": "electric", "output": "9.6 kW", "efficiency": "100 %", "volts": "240 V", "breaker": "50 A"}
    told = found(study(wired, wired))["electrical_work"]
    assert told.text.count("is enough") == 1
    assert told.text.startswith("Electric boiler: for a licensed electrician.")
    assert told.short.endswith("one asks for 100 A at 240 V for its heat alone.")
    # of the same size on another breaker, each is judged
    weak = found(study(wired, {**wired, "breaker": "40 A"}))["electrical_work"].text
    assert "breaker of 50 A is enough" in weak
    assert "breaker of 40 A is too small" in weak
    euros = study(ELECTRIC, prices__electricity={"energy": "0.3 EUR/kWh"})
    assert found(euros)["electrical_work"].short.endswith("and room in the service.")
    assert "electrical_work" not in found(study(GAS))


def test_stored_water_below_sixty_degrees_is_named() -> None:
    def text(**use: Any) -> str:
        case = with_uses({"kind": "hot_water", "name": "taps", "people": 2, **use}, tank__max_temperature="75 degC")
        [words] = hot_water_words(case, lambda value: f"{value:.0f} C")
        return words[3]

    assert "keeps taps" not in text(exchanger="stored", storage_temperature="60 degC")
    assert "keeps taps at only 59 C" in text(exchanger="stored", storage_temperature="59 degC")
    assert "keeps taps" not in text()
    assert "at 60 C or more, and temper it to 49 C" in text()


def test_pools_and_drives_bring_their_cautions() -> None:
    pool, snow = {"kind": "pool_or_tub", "area": "30 m2"}, {"kind": "snow_melt", "area": "60 m2", "snowfall": "1 m"}
    for uses, keys in (([pool], {"pool"}), ([snow], {"snow_melt"}), ([pool, snow], {"pool", "snow_melt"}), ([], set())):
        assert {one[0] for one in hot_water_words(with_uses(*uses), str)} == keys
    taps = {"kind": "hot_water", "people": 2}
    assert [one[0] for one in hot_water_words(with_uses(taps, pool), str)] == ["legionella", "pool"]


def rests_on(*uses: dict[str, Any], **tables: Any) -> dict[str, str]:
    """Values of what uses rest on, by key."""
    return {
        one.key: f"{one.value} | {one.source}"
        for one in use_assumptions(lower_study(with_uses(*uses, **tables), constant_weather(5.0)))
    }


def test_what_a_pool_rests_on() -> None:
    outdoors = rests_on({"kind": "pool_or_tub", "area": "30 m2", "activity": "90 %", "shelter": "40 %"})
    assert outdoors["use[1].activity"].startswith("evaporation 90% of Carrier's equation")
    assert outdoors["use[1].humidity"].startswith("dew point: the coldest hour")
    assert outdoors["use[1].shelter"].startswith("wind at the water 40% of the weather's")
    assert outdoors["use[1]"].startswith("85% of the sun on open water")
    assert "use[1].cover_u_value" not in outdoors
    assert "takes what the sources leave idle" in outdoors["use[1].priority"]
    humid = rests_on(
        {
            "kind": "pool_or_tub",
            "area": "30 m2",
            "humidity": "60 %",
            "cover": ["20:00-08:00"],
            "priority": "before_house",
        }
    )
    assert "use[1].humidity" not in humid
    assert "use[1].priority" not in humid
    assert humid["use[1].cover_u_value"].startswith("cover 5.0 W/(m² K) (0.9 Btu/(h ft² °F))")
    indoors = rests_on({"kind": "pool_or_tub", "area": "30 m2", "indoor_air": "29 degC"})
    assert set(indoors) == {"use[1].activity", "use[1].priority"}


def test_what_a_drive_a_shop_and_taps_rest_on() -> None:
    drive = rests_on({"kind": "snow_melt", "area": "60 m2", "snowfall": "1 m", "back_loss": "30 %"})
    assert drive["use[1].idle_below"] == "off until snow falls | default"
    assert drive["use[1].back_loss"].startswith("30% lost downward")
    ready = rests_on({"kind": "snow_melt", "area": "60 m2", "snowfall": "1 m", "idle_below": "0 degC"})
    assert ready["use[1].idle_below"] == "idles below 0.0 °C (32.0 °F) | typed in the study"
    taps = rests_on({"kind": "hot_water", "load_profile": "M"})
    assert taps["use[1].daily_volume"].partition(" | ")[2].startswith("load profile M, from water at 50 °F")
    assert taps["use[1].load_profile"].startswith("load profile M |")
    hours = rests_on({"kind": "hot_water", "daily_volume": "100 L", "profile": [1.0] * 24})
    assert "use[1].load_profile" not in hours
    assert hours["use[1].daily_volume"].endswith("| typed in the study")


def of_house(**tables: Any) -> dict[str, tuple[str, str, str]]:
    """What is assumed of zones and absences."""
    return {one.what: (one.value, one.source, one.key) for one in schedule_assumptions(study(ELECTRIC, **tables))}


def test_days_away_are_told_with_the_set_point_kept() -> None:
    away = {"from": "Jan 10", "to": "Jan 20"}
    plain = study(ELECTRIC, house__absence=[away])
    [one] = schedule_assumptions(plain)
    assert one.value.endswith("at 50.0 °F (10.0 °C); no hot water drawn")
    assert (one.source, one.key) == ("common practice, no source", "house.absence[1]")
    [first, second] = schedule_assumptions(
        study(
            ELECTRIC,
            house__absence=[
                {**away, "indoor_temperature": "12 degC", "back_at": "15:00"},
                {"from": "Mar 1", "to": "Mar 3"},
            ],
        )
    )
    assert "at 53.6 °F (12.0 °C), warm again from 15:00; no hot water drawn" in first.value
    assert (first.source, second.key) == ("typed in the study", "house.absence[2]")
    assert [words[0] for words in absence_words(plain)] == ["absence"]
    assert absence_words(study(ELECTRIC)) == []
    assert of_house() == {}


def test_zones_are_told_by_their_shares_and_loops() -> None:
    halves = [{"name": "Up", "area": "30 m2"}, {"name": "Down", "load": "60 %"}]
    told = of_house(house__zone=halves)
    assert set(told) == {"zones"}
    assert told["zones"][0].startswith("Up 30%, Down 60% of the heat loss")
    groups = [{"name": "Up", "count": 2, "length": "60 m", "spacing": "150 mm", "flow": "2 L/min"}]
    named = [{"name": "Up", "load": "50 %", "loops": ["Up"]}, {"name": "Down", "load": "50 %"}]
    both = of_house(house__zone=named, floor__loops=[*groups, {**groups[0], "name": "Down"}])
    assert set(both) == {"zones", "zones and their loops"}
    heavy = of_house(house__zone=halves, floor__loops=groups, floor__mass={})
    assert set(heavy) == {"zones", "zones and their recovery"}
    light = of_house(house__zone=halves, floor__loops=groups)
    assert set(light) == {"zones"}


def test_without_a_tank_the_hottest_water_is_said_beside_what_the_house_runs_on() -> None:
    """A boiler's limit is for its relief valve; a floor on 113 °F is not run on it."""
    where = {"coldest_c": -5.0, "freeze_c": 0.0, "max_temperature_c": 65.0, "system": "us"}
    for supply, said in (
        (45.0, "149 °F (the most that a source here makes; the house runs on 113 °F at design)"),
        (None, "149 °F"),
    ):
        told = {one.key: one.text for one in cautions_of(study(GAS), supply_c=supply, **where)}
        assert told["pressure_relief"].startswith(f"Water heated to {said} in a closed")
        assert f"may reach {said}; water above" in told["scalding"]


@pytest.mark.parametrize(
    ("efficiency", "return_c", "warned"),
    [("85 %", 54.0, True), ("85 %", 55.0, False), ("92 %", 40.0, False), ("89 %", 40.0, True)],
)
def test_a_boiler_that_must_stay_dry_is_warned_of_water_under_130_degrees(
    efficiency: str, return_c: float, warned: bool
) -> None:
    """130 °F are 54.4 °C; water vapor of gas burned with usual air condenses at about 55 °C."""
    dry = {**GAS, "efficiency": efficiency, "condensing": False}
    where = {"coldest_c": -5.0, "freeze_c": 0.0, "max_temperature_c": 65.0, "system": "us"}
    told = {one.key: one for one in cautions_of(study(dry), return_c=return_c, **where)}
    assert ("return_water" in told) == warned
    wet = {**GAS, "condensing": True}
    for other in (wet, ELECTRIC):
        assert "return_water" not in {one.key for one in cautions_of(study(other), return_c=40.0, **where)}
    if warned:
        assert "below 130 °F" in told["return_water"].short
        assert "usually 130 °F to 140 °F" in told["return_water"].text
    assert "return_water" not in {one.key for one in cautions_of(study(dry), **where)}
