"""Traits, limits and small rules of sources, each on both sides of its edge or by a table made by hand."""

from __future__ import annotations

from dataclasses import fields, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, offer_of, sample_weather, study, wavy_weather
from pydantic import ValidationError

from costsim import InputError
from costsim.engine.lower import lower_study
from costsim.physics.circuits import continuous_amps
from costsim.results.of_fuel import of_fuel
from costsim.sources import KINDS, Surroundings
from costsim.sources.base import constant, may_run
from costsim.sources.forecast import forecast_target_c, heating_curve
from costsim.sources.heat_pump import TestPoint
from costsim.sources.houses import Houses, Moments
from costsim.sources.offer import NOT_STORING, lost_by_steps
from costsim.sources.solar import _summed
from costsim.sources.traits import BURNERS, KindCaution

COLD = constant_weather(-10.0)
GREENSBORO = sample_weather()
POINT = {"outdoor": "-7 degC", "supply": "34 degC", "output": "5 kW", "cop": 2.8}
WOOD = {"kind": "wood", "charge": "10 kg", "burn_time": "5 h", "load_times": ["07:00"], "efficiency": "60 %"}
# what each kind is beside a plain source that stands indoors, needs power and runs by itself
TRAITS: dict[str, set[str]] = {
    "gas": {"burns_fuel"}, "oil": {"burns_fuel"}, "pellet": {"burns_fuel"}, "wood": {"burns_fuel", "unstoppable", "by hand"},
    "electric": {"continuous_load"}, "off_peak_electric": {"continuous_load", "utility_controlled"},
    "heat_pump": {"outdoors", "continuous_load", "feels_cold"}, "solar": {"outdoors", "unstoppable", "collects_sun", "by hand"},
}  # fmt: skip


@pytest.mark.parametrize("kind", sorted(TRAITS))
def test_a_kind_is_what_cautions_and_lists_take_it_for(kind: str) -> None:
    model = KINDS[kind]
    names = (
        "burns_fuel",
        "outdoors",
        "continuous_load",
        "utility_controlled",
        "unstoppable",
        "collects_sun",
        "feels_cold",
    )
    found = {name for name in names if getattr(model, name)} | (set() if model.automatic else {"by hand"})
    assert found == TRAITS[kind]
    assert model.needs_power
    assert (
        model.follows_tank is False
    )  # what it gives does not go with the tank's size: test_conformance holds it to that
    source = model.model_validate(model.example)
    # what follows from the fuel is no kind's own; gas and oil can kill, and stand first
    assert {one.deadly for one in source.cautions()} == ({False} if kind in ("heat_pump", "solar") else set())
    by_fuel = {"gas": {True}, "oil": {True}, "pellet": {False}, "wood": {False}}
    assert {one.deadly for one in of_fuel(source)} == by_fuel.get(kind, set())
    assert (model.uncertain_efficiency is BURNERS) == model.burns_fuel
    assert not KindCaution("k", "t", "s", (), "x", "g").deadly
    assert source.lasting_share() == {"solar": 0.0, "wood": 0.5}.get(kind, 1.0)


def test_surroundings_of_which_nothing_is_said_have_no_tank_and_no_load() -> None:
    defaults = {one.name: one.default for one in fields(Surroundings) if one.name in ("tank_m3", "design_load_w")}
    assert defaults == {"tank_m3": 0.0, "design_load_w": 0.0}
    assert constant(1.0, 3) is constant(1.0, 3)
    assert not constant(1.0, 3).flags.writeable
    clock = lower_study(study({"kind": "electric", "output": "9 kW"}), COLD).surroundings
    night = KINDS["electric"].model_validate({"kind": "electric", "output": "9 kW", "windows": ["22:00-06:00"]})
    allowed = may_run(night, clock.weather, clock.calendar)
    assert (allowed.sum(), allowed.flags.writeable) == (8 * 365, False)


def test_a_bank_of_elements_has_nothing_of_what_fires_and_pumps_have() -> None:
    found, _ = offer_of({"kind": "electric", "output": "9 kW"}, COLD)
    nothing = (
        "rank", "slope_w_k", "burn_power_w", "min_fire_w", "degradation", "standby_w", "auxiliary_share", "auxiliary_w",
    )  # fmt: skip
    assert {name: getattr(found, name) for name in nothing} == dict.fromkeys(nothing, 0.0)
    assert not any((found.must_run, found.biogenic, found.derates, found.charge_j, found.ahead_j, found.tally))
    assert found.needs_power


def test_the_sun_gives_a_joule_for_a_joule_and_a_small_collector_its_share() -> None:
    tank = {"tank__volume": "500 L", "tank__max_temperature": "85 degC"}
    for area in ("0.5 m2", "10 m2"):
        found, seen = offer_of({"kind": "solar", "area": area}, GREENSBORO, **tank)
        assert (found.heat_per_input == 1.0).all()
        source = KINDS["solar"].model_validate({"kind": "solar", "area": area})
        moments = Moments(np.arange(8760), np.arange(8760))
        many = Surroundings(
            weather=type("W", (), {"outdoor_c": seen.weather.outdoor_c[:, None]})(), calendar=seen.calendar, demand_w=seen.demand_w[:, None],
            room_c=seen.room_c[:, None], water_c=seen.water_c[:, None], max_temperature_c=85.0, store_c=NOT_STORING, density_kg_m3=992.0,
            heat_capacity_j_kgk=4180.0, altitude_m=0.0, price_per_j={}, co2_kg_per_j={}, tank_j_k=seen.tank_j_k,
        )  # fmt: skip
        houses = source.for_houses(Houses(many, seen, moments, np.zeros(8760), even=True))
        capacity = np.maximum(houses.by_moment["capacity"][:, 0] + source.shared_capacity_w(seen), 0.0)
        assert capacity == pytest.approx(found.capacity_w, abs=1e-6)
        assert houses.scalars["slope_w_k"][0] == pytest.approx(found.slope_w_k)
    assert _summed(np.array([[1.0], [2.0], [4.0]])).tolist() == [7.0]
    assert _summed(np.array([[1.0, 8.0], [2.0, 16.0]])).tolist() == [3.0, 24.0]
    assert Moments.of_rows(
        [np.array([1.0, 1.0, 2.0]), np.array([5.0, 5.0, 5.0]), np.array([0.0, 1.0, 0.0])]
    ).of.tolist() == [0, 1, 2]
    drained = KINDS["solar"].model_validate({"kind": "solar", "area": "1 m2", "frost_protection": "drain_back"})
    # 40 % of propylene glycol by mass carries about a tenth less than water at 50 °C
    assert 0.85 * 5.0 < drained.mean_over_tank_k < 0.95 * 5.0
    assert (
        KINDS["solar"]
        .model_validate({"kind": "solar", "area": "1 m2", "approach": "5 K", "frost_protection": "drain_back"})
        .mean_over_tank_k
        == 5.0
    )


def test_half_a_watt_of_cold_is_not_worth_a_name() -> None:
    # half a watt a kelvin from 7,984 W at freezing: 7,999.5 W at 31 °C
    pump = {"kind": "heat_pump", "outdoor": ["0 degC", "32 degC"], "outputs": ["7984 W", "8000 W"], "defrost": "0 %"}
    assert offer_of(pump, constant_weather(31.0))[0].derates == ()
    assert offer_of(pump, constant_weather(30.9))[0].derates != ()
    steps = [10.0, 9.5, 8.9, 8.9]
    assert lost_by_steps(steps) == (("flow", pytest.approx(0.6)),)


@pytest.mark.parametrize(
    ("change", "taken"),
    [
        ({"outdoor": "-60 degC", "cop": 1.0}, True), ({"outdoor": "-60.5 degC", "cop": 1.0}, False), ({"outdoor": "45 degC", "supply": "60 degC"}, True),
        ({"outdoor": "45.5 degC",
        "supply": "60 degC"}, False), ({"supply": "15 degC"}, True), ({"supply": "14.5 degC"}, False), ({"supply": "90 degC", "cop": 1.5}, True),
        ({"supply": "90.5 degC", "cop": 1.5}, False),
        ({"output": "0 W"}, False), ({"output": "100 MW"}, True), ({"output": "105 MW"}, False), ({"cop": 0.99}, False),
        ({"outdoor": "30 degC", "supply": "35 degC", "cop": 12.0}, True), ({"outdoor": "30 degC", "supply": "35 degC", "cop": 12.1}, False),
        ({"outdoor": "30.1 degC", "supply": "35 degC"}, False), ({"outdoor": "-5 degC", "supply": "35 degC", "cop": 6.16}, True),
        ({"outdoor": "-5 degC", "supply": "35 degC", "cop": 6.17}, False),
    ],
)  # fmt: skip
def test_a_test_point_ends_where_it_says(change: dict[str, Any], taken: bool) -> None:
    # 80 % of the ideal between -5 and 35 °C: 0.8 · 308.15 / 40 = 6.163
    if taken:
        TestPoint.model_validate({**POINT, **change})
    else:
        with pytest.raises(ValidationError):
            TestPoint.model_validate({**POINT, **change})


def test_heat_pumps_between_beyond_and_resized() -> None:
    two = [POINT, {**POINT, "outdoor": "7 degC", "output": "8 kW"}, {**POINT, "outdoor": "12 degC", "output": "9 kW"}]
    for outdoor, watts in (
        (-7.0, 5e3),
        (0.0, 6.5e3),
        (7.0, 8e3),
        (9.5, 8.5e3),
        (12.0, 9e3),
        (20.0, 9e3),
        (-14.0, 3.5e3),
        (-20.0, 5e3 - 13 * 3e3 / 14),
        (-20.1, 0.0),
    ):
        found, _ = offer_of({"kind": "heat_pump", "test_point": two}, constant_weather(outdoor))
        assert found.capacity_w[0] == pytest.approx(watts, abs=1e-6), outdoor
    single, _ = offer_of({"kind": "heat_pump", "test_point": [POINT]}, constant_weather(15.0))
    assert single.capacity_w[0] == pytest.approx(5e3)
    pump = KINDS["heat_pump"].model_validate({"kind": "heat_pump", "test_point": two, "min_output": "2 kW"})
    assert pump.curve_ends() == ((12.0, 9e3), (-7.0, 5e3))
    half = pump.resized({"kind": "heat_pump", "test_point": two, "min_output": "2 kW"}, 4500.0)
    assert [float(one["output"].split()[0]) for one in half["test_point"]] == [2500.0, 4000.0, 4500.0]
    assert float(half["min_output"].split()[0]) == 1000.0
    curve = {"kind": "heat_pump", "outdoor": ["-15 degC", "7 degC"], "outputs": ["5 kW", "8 kW"]}
    other = KINDS["heat_pump"].model_validate(curve)
    assert (other.curve_ends(), other.resized(curve, 16e3)["outputs"]) == (
        ((7.0, 8e3), (-15.0, 5e3)),
        ["10000.0 W", "16000.0 W"],
    )
    assert pump.follows_house() == {"heat_per_input"}
    assert KINDS["heat_pump"].model_validate({"kind": "heat_pump", "test_point": [POINT, {**POINT, "supply": "50 degC"}]}).follows_house() == {
        "heat_per_input", "capacity",
    }  # fmt: skip


def test_sizes_of_fires_and_elements() -> None:
    fire = KINDS["wood"].model_validate(WOOD)
    assert float(fire.resized(dict(WOOD), 2 * fire.nameplate_w())["charge"].split()[0]) == pytest.approx(20.0)
    assert KINDS["wood"].model_validate({**WOOD, "load_times": ["07:00"] * 6}).lasting_share() == 1.0
    assert fire.lasting_share() == pytest.approx(5 / 24)
    # EN 303-5: 15 L for each hour and kilowatt, times 1 − 0.3 of the load over the output
    assert fire.buffer_m3(10e3, 5e3) == pytest.approx(15 * 5 * 10 * (1 - 0.15) / 1e3)
    assert continuous_amps(load_w=4800.0, volts_v=240.0) == 25.0
    heater = KINDS["electric"].model_validate(
        {"kind": "electric", "output": "4.8 kW", "efficiency": "50 %", "volts": "240 V", "breaker": "60 A"}
    )
    assert next(iter(heater.formulas(0.0)))[2] == "1.25 × 9,600 W / 240 V = 50.0 A; breaker 60 A"
    assert not list(KINDS["electric"].model_validate({"kind": "electric", "output": "9 kW"}).formulas(0.0))
    assert heater.resized({"kind": "electric", "output": "4.8 kW", "volts": "240 V", "breaker": "60 A"}, 6e3) == {
        "kind": "electric",
        "output": "6000.0 W",
    }
    propane = KINDS["gas"].model_validate({"kind": "gas", "fuel": "propane", "output": "9 kW", "efficiency": "90 %"})
    assert (propane.label, len(next(of_fuel(propane)).sentences)) == ("Propane boiler", 2)
    gas = KINDS["gas"].model_validate({"kind": "gas", "output": "9 kW", "efficiency": "90 %"})
    assert (gas.label, len(next(of_fuel(gas)).sentences), gas.smallest_fire_w) == (
        "Gas boiler",
        1,
        pytest.approx(1.8e3),
    )
    assert KINDS["gas"].model_validate({"kind": "gas", "output": "9 kW", "efficiency": "89.9 %"}).smallest_fire_w == 9e3
    with pytest.raises(ValidationError, match="the minimum firing rate is given twice"):
        KINDS["gas"].model_validate(
            {"kind": "gas", "output": "9 kW", "efficiency": "90 %", "firing": "two_stage", "min_output": "1 kW"}
        )


def test_what_a_forecast_does_where_nothing_follows_or_everything_runs() -> None:
    day = {
        "outdoor_c": np.zeros(48),
        "demand_w": np.full(48, 1e3),
        "water_c": np.full(48, 30.0),
        "store_c": 80.0,
        "tank_j_k": 4e6,
    }
    assert (forecast_target_c(allowed=np.ones(48), **day) == -np.inf).all()
    assert (forecast_target_c(allowed=np.zeros(48), **day) == 80.0).all()
    # sixteen hours after the eight of each night, and a gap around the end of the year
    night = np.tile([1.0] * 8 + [0.0] * 16, 2)
    rise = 1e3 * 16 * 3600 * 1.25 / 4e6
    assert forecast_target_c(allowed=night, **day)[night > 0] == pytest.approx(30 + rise)
    late = np.roll(night, 20)  # from eight in the evening, around midnight at the year's end
    found = forecast_target_c(allowed=late, **day)
    assert found[late > 0] == pytest.approx(30 + rise)
    assert forecast_target_c(allowed=night, **{**day, "store_c": 35.0})[0] == 35.0
    assert heating_curve(np.zeros(48), np.full(48, 7.0), np.ones(48)) == (7.0, 0.0)
    assert heating_curve(np.repeat([0.0, 10.0], 24), np.repeat([7.0, 9.0], 24), np.repeat([1.0, 0.0], 24)) == (7.0, 0.0)
    assert heating_curve(np.zeros(24), np.full(24, 7.0), np.zeros(24)) == (0.0, 0.0)


def test_a_store_is_charged_in_allowed_hours_and_told_where_there_is_none() -> None:
    typed = {"kind": "electric", "output": "9 kW", "store": True, "windows": ["22:00-06:00"]}
    tank = {"tank__volume": "300 L", "tank__store": "60 degC", "tank__max_temperature": "70 degC"}
    found, _ = offer_of(typed, COLD, **tank)
    assert set(found.target_c.tolist()) == {60.0, NOT_STORING}
    assert found.warnings == ()
    without, _ = offer_of(typed, COLD)
    assert set(without.target_c.tolist()) == {NOT_STORING}
    assert "may charge a store, but the study has no tank" in without.warnings[0]
    own, _ = offer_of({"kind": "off_peak_electric", "output": "9 kW", "windows": ["22:00-06:00"]}, COLD)
    assert own.warnings == ()  # which stores unless it is told not to
    night = {"kind": "off_peak_electric", "output": "9 kW", "windows": ["22:00-06:00"]}
    for more, targets in (({}, {60.0, NOT_STORING}), ({"store": False}, {NOT_STORING})):
        assert set(offer_of({**night, **more}, COLD, **tank)[0].target_c.tolist()) == targets
    dark = replace(wavy_weather(np.zeros(8760)), ghi_w_m2=None)
    with pytest.raises(InputError, match="type the twelve clearness values"):
        offer_of({"kind": "solar", "area": "5 m2"}, dark, **tank)


@pytest.mark.parametrize(
    ("southern", "azimuth", "off"),
    [(False, 270, 0), (False, 271, 91), (False, 89, 91), (True, 270, 0), (True, 350, 0), (True, 269, 91), (True, 91, 91), (True, 180, 180)],
)  # fmt: skip
def test_collectors_that_look_away_from_the_equator_are_told_by_how_far(southern: bool, azimuth: int, off: int) -> None:
    """North of the equator they look south (180°), south of it north (0°, which is 360° too)."""
    source = KINDS["solar"].model_validate(
        {"kind": "solar", "area": "10 m2", "azimuth": f"{azimuth} deg", "tilt": "60 deg"}
    )
    seen: Any = SimpleNamespace(weather=SimpleNamespace(southern=southern), tank_j_k=1e9)
    told = [text for text in source._warnings(seen) if "away from the equator" in text]
    assert bool(told) == (off > 90)
    assert not told or f"faces {off}° away" in told[0]
