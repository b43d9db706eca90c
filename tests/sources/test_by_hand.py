"""Offers, their seasons' facts and what is said of them, against arithmetic by hand, on both sides of every threshold."""

from __future__ import annotations

import itertools
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, offer_of, sample_weather, wavy_weather
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.physics.combustion import dew_point_c, theoretical_efficiency
from costsim.physics.heat_pump import certified_cop
from costsim.physics.sun import PlaneSun
from costsim.sources import KINDS, Offer, base, curtailment, solar
from costsim.sources.base import coldest_hours
from costsim.sources.offer import NOT_STORING
from costsim.tariffs.calendar import HourCalendar
from costsim.units.quantity import BTU_J, GALLON_M3, KWH_J

COLD = constant_weather(-10.0)
GAS = {"kind": "gas", "output": "10 kW", "efficiency": "90 %", "altitude_rule": "none"}
ELECTRIC = {"kind": "electric", "output": "9 kW"}
WOOD = {"kind": "wood", "charge": "10 kg", "burn_time": "5 h", "load_times": ["07:00"], "efficiency": "60 %"}
COOL = {"house__design_supply_temperature": "26 degC"}
"""Water 1 K over the room for each 5 K of cold."""
PUMP = {"kind": "heat_pump", "approach": "0 K", "outdoor": ["-10 degC", "10 degC"], "outputs": ["4 kW", "8 kW"]}
SUN = {"kind": "solar", "area": "10 m2"}
HOUR = np.arange(8760) % 24


def offer(source: dict[str, Any], weather: Any = COLD, **house: Any) -> Offer:
    """A source's offer alone."""
    return offer_of(source, weather, **house)[0]


def bare(**more: Any) -> Offer:
    """An offer of which nothing is said but what must be."""
    row = np.full(2, 0.8)
    rows = {name: row for name in ("capacity_w", "price_per_j", "curtailed_w", "fuel_limited_w", "target_c")}
    return Offer(name="x", kind="x", fuel="", price_key="", rated_w=1.0, heat_per_input=row, **rows, **more)


def test_an_offer_of_which_nothing_is_said_does_nothing_besides() -> None:
    plain = bare()
    nothing = {one.name: getattr(plain, one.name) for one in fields(Offer)[11:]}
    assert nothing.pop("needs_power") is True
    assert nothing == {
        "rank": 0, "derates": (), "slope_w_k": 0.0, "must_run": False, "burn_power_w": 0.0, "charge_j": None, "ahead_j": None, "until_j": None,
        "least_charge_share": 0.5,
        "min_fire_w": 0.0, "degradation": 0.0, "standby_w": 0.0, "auxiliary_share": 0.0, "auxiliary_w": 0.0, "co2_kg_per_j": 0.0,
        "biogenic": False, "facts": {}, "warnings": (), "tally": None,
    }  # fmt: skip


def test_fuel_of_an_hour_by_hand() -> None:
    heat = np.array([0.0, 1000.0, 4000.0, 8000.0])
    for offered, by_hand in (
        (bare(), heat / 0.8),
        # a quarter of the smallest fire: 0.75 of a fifth more would be lost, 1250 / (1 - 0.15); none from the smallest fire up
        (bare(min_fire_w=4000.0, degradation=0.2), np.array([0.0, 1250 / 0.85, 5000.0, 10000.0])),
        (bare(min_fire_w=4000.0), heat / 0.8),
        (bare(degradation=0.2), heat / 0.8),
        (bare(standby_w=50.0), heat / 0.8 + 50.0),
    ):
        object.__setattr__(offered, "heat_per_input", np.full(4, 0.8))
        assert offered.input_w(heat) == pytest.approx(by_hand)


def test_electricity_of_a_unit_s_own_by_hand() -> None:
    fans = bare(auxiliary_share=0.02, auxiliary_w=80.0)
    assert fans.auxiliary_electric_w(np.array([0.0, 1000.0])).tolist() == [0.0, 100.0]
    # a unit of one stage of 4 kW runs a quarter of the hour for 1 kW: 80 W for 15 minutes, 2 % of the heat besides
    staged = bare(auxiliary_share=0.02, auxiliary_w=80.0, min_fire_w=4000.0)
    assert staged.auxiliary_electric_w(np.array([0.0, 1000.0, 4000.0, 8000.0])) == pytest.approx([0, 40, 160, 240])


def longest_runs(marked: np.ndarray) -> int:
    """Longest run of marked hours, by another way."""
    return max((len([*run]) for on, run in itertools.groupby(marked > 0) if on), default=0)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.integers(-9, 9), min_size=1, max_size=14), st.integers(0, 14), st.integers(1, 5))
def test_the_coldest_hours_are_taken_one_by_one_as_long_as_no_run_grows_too_long(
    outdoor: list[int], hours: int, longest: int
) -> None:
    by_hand = np.zeros(len(outdoor))
    for _, hour in sorted((t, hour) for hour, t in enumerate(outdoor)):
        trial = by_hand.copy()
        trial[hour] = 1.0
        if trial.sum() <= hours and longest_runs(trial) <= longest:
            by_hand = trial
    assert coldest_hours(np.array(outdoor, dtype=float), hours, longest).tolist() == by_hand.tolist()


def test_half_an_hour_of_permission_is_half_the_capacity() -> None:
    tank = {"tank__volume": "300 L", "tank__store": "60 degC", "tank__max_temperature": "70 degC"}
    night = offer({**ELECTRIC, "windows": ["22:30-06:00"], "store": True}, **tank)
    open_share = np.where(HOUR == 22, 0.5, np.where((HOUR == 23) | (HOUR < 6), 1.0, 0.0))
    assert night.capacity_w == pytest.approx(9e3 * open_share)
    assert night.curtailed_w == pytest.approx(9e3 * (1 - open_share))
    assert night.target_c.tolist() == np.where(open_share > 0, 60.0, NOT_STORING).tolist()
    assert (offer(ELECTRIC, **tank).target_c == NOT_STORING).all()
    assert not night.fuel_limited_w.any()


def test_a_lockout_begins_beyond_its_temperature() -> None:
    outdoor = np.tile([4.9, 5.0, 5.1], 2920)
    for key, running in (("lockout_above", [9e3, 9e3, 0.0]), ("lockout_below", [0.0, 9e3, 9e3])):
        assert offer({**ELECTRIC, key: "5 degC"}, wavy_weather(outdoor)).capacity_w[:3].tolist() == running


def test_control_by_the_clock_and_by_the_cold_is_the_larger_of_both() -> None:
    outdoor = np.full(8760, 5.0)
    outdoor[[100, 113]] = -20.0  # four in the morning and five in the afternoon of one day
    control = {"windows": ["16:30-18:00"], "months": "Jan", "days": "Mon-Fri", "coldest_hours": 2}
    held = offer({**ELECTRIC, "curtailment": control}, wavy_weather(outdoor)).curtailed_w / 9e3
    # 2025 begins on a Wednesday
    weekday = (np.arange(8760) // 24 + 2) % 7 < 5
    clock = np.where(HOUR == 16, 0.5, np.where(HOUR == 17, 1.0, 0.0)) * (weekday & (np.arange(8760) < 744))
    clock[[100, 113]] = 1.0
    assert held == pytest.approx(clock)


def test_price_and_carbon_of_heat_by_hand() -> None:
    half = offer({**ELECTRIC, "efficiency": "50 %"})
    assert half.price_per_heat_j * KWH_J == pytest.approx(0.20)  # 0.10 $/kWh over one half
    assert offer(GAS).co2_kg_per_j * 1e6 * BTU_J == pytest.approx(53.06)  # 40 CFR 98, kg a million Btu
    assert not offer(GAS).biogenic
    assert offer(WOOD).biogenic
    assert offer(WOOD).co2_kg_per_j * 1e6 * BTU_J == pytest.approx(93.80)
    sun = offer(SUN, tank__volume="500 L")
    assert (sun.co2_kg_per_j, sun.biogenic, sun.fuel, sun.price_per_heat_j.any()) == (0.0, False, "", False)


def test_a_meter_may_be_named() -> None:
    night = {"kind": "off_peak_electric", "output": "9 kW", "windows": ["22:00-06:00"]}
    assert offer(night).price_key == "electricity"
    assert offer(night, prices__off_peak={"energy": "0.05 $/kWh"}).price_key == "off_peak"
    late = {"energy": "0.05 $/kWh", "fuel": "electricity"}
    assert offer({**night, "price": "late"}, prices__late=late).price_key == "late"


def test_a_breaker_that_just_carries_the_load_is_no_derate() -> None:
    # 240 V × 50 A × 0.8 are 9.6 kW
    fits = offer({**ELECTRIC, "output": "9.6 kW", "volts": "240 V", "breaker": "50 A"})
    assert (fits.derates, fits.warnings, fits.capacity_w.max()) == ((), (), 9600.0)
    over = offer({**ELECTRIC, "output": "10 kW", "efficiency": "50 %", "volts": "240 V", "breaker": "50 A"})
    assert over.derates == (("breaker", 10_000.0 - 4800.0),)
    assert over.capacity_w.max() == 4800.0
    assert "10.0 kW is more than 50 A at 240 V carries for hours (9.6 kW)" in over.warnings[0]
    assert not offer(ELECTRIC).warnings


def test_derates_of_half_a_watt_are_not_worth_a_name() -> None:
    # above 2,000 ft, 4 % each 1,000 ft: 10 kW lose 0.4 W a foot
    unit = {**GAS, "altitude_rule": "above_2000ft"}
    assert offer(unit, place__altitude="2001.2 ft").derates == ()
    told = dict(offer(unit, place__altitude="2001.3 ft").derates)
    assert told == {"altitude": pytest.approx(0.52, abs=1e-6)}


def test_a_condensing_boiler_is_two_points_under_theory() -> None:
    # flue gas 10 °F over the return water, two points for jacket and exchange: both common practice
    unit = {"kind": "gas", "output": "10 kW", "condensing": True}
    found, seen = offer_of(unit, COLD, tank__volume="300 L", tank__design_supply_temperature="38 degC")
    assert seen.water_c.max() == pytest.approx(38.0)
    theory = theoretical_efficiency(flue_c=38.0 + 10 / 1.8, fuel="natural_gas")
    assert found.heat_per_input.min() == pytest.approx(float(theory) - 0.02, abs=4e-4)


def test_a_high_efficiency_is_doubted_from_the_dew_point_on() -> None:
    dew = dew_point_c(fuel="natural_gas")
    for share, water, told in (("91 %", dew + 1, True), ("90 %", dew + 1, False), ("91 %", dew - 1, False)):
        unit = {**GAS, "efficiency": share}
        found = offer(
            unit, tank__volume="300 L", tank__max_temperature="80 degC", tank__design_supply_temperature=f"{water} degC"
        ).warnings
        assert bool(found) == told
        if told:
            below, reached = (f"{one:.0f} °C ({one * 1.8 + 32:.0f} °F)" for one in (dew, dew + 1))
            assert found[0] == f"Gas boiler: 91% needs return water below {below}, but it reaches {reached}"


def test_a_propane_tank_is_doubted_by_the_printed_figure() -> None:
    # 276,500 Btu/h for 1,000 gallons (41 by 192 in), 30 % full, at -10 °F: printed in a heater maker's manual; 81 kW
    unit = {"kind": "gas", "fuel": "propane", "output": "90 kW", "efficiency": "100 %", "altitude_rule": "none",
            "condensing": True, "firing": "one_stage",
            "tank_diameter": "41 in", "tank_length": "192 in"}  # fmt: skip
    cold = constant_weather((-10 - 32) / 1.8)
    told = offer(unit, cold).warnings[-1]
    assert (
        "at -23 °C (-10 °F) a tank 30% full may boil off only 81 kW (276 kBtu/h) of the 90 kW (307 kBtu/h) it burns"
        in told
    )
    assert not offer({**unit, "output": "80 kW"}, cold).warnings
    # one that turns down burns what the house loses, far below 81 kW
    assert not offer({**unit, "firing": "modulating_5", "output": "100 kW"}, cold).warnings
    assert offer({**unit, "output": "80 kW", "efficiency": "95 %"}, cold).warnings
    for missing in ("tank_diameter", "tank_length"):
        assert not offer({key: value for key, value in unit.items() if key != missing}, cold).warnings
    assert not offer({**unit, "fuel": "natural_gas"}, cold).warnings


def test_a_heat_pump_by_hand() -> None:
    # between the test points 4 kW at -10 and 8 kW at 10 °C; a tenth less from -5 to 5 °C; water 20 °C and a fifth of the cold
    outdoor = np.tile([-10.0, -21.0, 0.0, 8.0, 30.0], 1752)
    found = offer({**PUMP, "carnot_fraction": 0.4}, wavy_weather(outdoor), **COOL)
    assert found.capacity_w[:5] == pytest.approx([4e3, 0.0, 6e3 * 0.9, 7.6e3, 8e3])
    # Carnot in kelvin, lifts under 15 K counted as 15; over warm air the water counts as 5 K above it
    by_hand = [0.4 * 299.15 / 36, 0.4 * 301.35 / 49.2, 0.4 * 297.15 / 24 * 0.9, 0.4 * 295.55 / 15, 0.4 * 308.15 / 15]
    assert found.heat_per_input[:5] == pytest.approx(by_hand)
    assert found.rated_w == 8e3
    read = offer(PUMP, wavy_weather(outdoor), **COOL).heat_per_input
    # the certified curve at 36 and 24 K of lift, which holds its defrosting, unless a loss is typed
    curve = [10.197 - 0.25444 * lift + 0.00195196 * lift**2 for lift in (36, 24)]
    assert read[[0, 2]] == pytest.approx(curve)
    thawing = offer({**PUMP, "defrost": "10 %"}, wavy_weather(outdoor), **COOL).heat_per_input
    assert thawing[[0, 2]] == pytest.approx([curve[0], curve[1] * 0.9])


def test_a_heat_pump_never_gives_less_than_its_electricity() -> None:
    hot = {"tank__volume": "300 L", "tank__max_temperature": "95 degC", "tank__design_supply_temperature": "90 degC"}
    # 130 K of lift: the curve would give 0.90
    found = offer({**PUMP, "approach": "20 K"}, constant_weather(-20.0), **hot)
    assert found.heat_per_input.max() == 1.0
    thaw = offer({**PUMP, "carnot_fraction": 0.1, "defrost": "40 %"}, constant_weather(-5.0), **hot)
    assert thaw.heat_per_input.min() == 1.0


def test_a_heat_pump_tells_of_water_that_few_units_make() -> None:
    """Above 60 °C, 140 °F (common practice, no source): 55 °C of the emitters and 5 K over them are just not."""
    cold, tank = COLD, {"tank__volume": "300 L", "tank__max_temperature": "95 degC"}
    unit = {**PUMP, "approach": "5 K"}
    for supply, told in (("54.9 degC", 0), ("56 degC", 1)):
        assert len(offer(unit, cold, **tank, tank__design_supply_temperature=supply).warnings) == told
    [line] = offer(unit, cold, **tank, tank__design_supply_temperature="70 degC").warnings
    assert "water of up to 75 °C (167 °F), above 60 °C (140 °F) in 8,760 hours" in line
    # below the cold at which it stops anyway it is asked for nothing
    assert not offer(unit, constant_weather(-25.0), **tank, tank__design_supply_temperature="70 degC").warnings


def test_a_heat_pump_that_stores_works_against_the_store() -> None:
    tank = {"tank__volume": "300 L", "tank__store": "50 degC", "tank__max_temperature": "60 degC"}
    for store, lift in ((True, 60.0), (False, 45.0)):
        found = offer({**PUMP, "store": store}, COLD, **tank, tank__design_supply_temperature="35 degC")
        assert found.heat_per_input == pytest.approx(np.full(8760, float(certified_cop(lift_k=lift))))


def test_what_the_cold_takes_is_named_from_half_a_watt_on() -> None:
    assert offer({**PUMP, "defrost": "0 %"}, constant_weather(10.0)).derates == ()
    for below, told in ((0.48, False), (0.53, True)):  # 200 W a kelvin
        found = offer({**PUMP, "defrost": "0 %"}, constant_weather(10.0 - below / 200.0)).derates
        assert bool(found) == told
    assert offer(PUMP, constant_weather(0.0)).derates == (("outdoor cold", pytest.approx(8e3 - 5.4e3)),)


def test_wood_is_loaded_in_the_hour_of_the_clock() -> None:
    one_j = 10 * 16e6 * 0.6  # 20 MJ/kg dry, a fifth of it water
    for text, hour, count in (
        (["07:00"], 7, 1), (["7:59"], 7, 1), (["06:30"], 6, 1), (["23:30"], 23, 1), (["07:00", "07:30"], 7, 2),
    ):  # fmt: skip
        charge = offer({**WOOD, "load_times": text}).charge_j
        assert np.flatnonzero(charge[:24]).tolist() == [hour]
        assert charge[hour] == pytest.approx(count * one_j)
        assert np.count_nonzero(charge) == 365


def test_a_charge_burns_as_long_as_it_says() -> None:
    for text, hours in (("1 h", 1), ("89 min", 1), ("2 h", 2), ("5 h", 5)):
        found = offer({**WOOD, "burn_time": text})
        assert np.flatnonzero(found.fuel_limited_w[:24] == 0).tolist() == list(range(7, 7 + hours))
        assert found.ahead_j[0] == pytest.approx(hours * 6000 * 3600)  # the demand of the design day is 6 kW
        assert found.ahead_j[-1] == pytest.approx(6000 * 3600)
    assert found.burn_power_w == found.capacity_w.max() == pytest.approx(10 * 16e6 * 0.6 / (5 * 3600))
    assert not found.curtailed_w.any()
    assert found.must_run
    assert found.slope_w_k == 0.0


def test_facts_of_wood_by_hand() -> None:
    found = offer({**WOOD, "labor": "0.5 h"})
    facts = found.tally(3 * 10 * 16e6 * 0.6, 7.2e6, 5)
    assert facts == {
        "full_loads": pytest.approx(3.0), "labor_hours": pytest.approx(1.5), "wood_kg": pytest.approx(30.0), "dumped_kwh": 2.0, "dumping_hours": 5,
    }  # fmt: skip


def test_wood_is_doubted_beyond_65_per_cent_and_where_nobody_comes() -> None:
    tank = {"tank__volume": "2000 L"}
    assert not offer({**WOOD, "efficiency": "65 %"}, **tank).warnings
    told = offer({**WOOD, "efficiency": "66 %"}, **tank).warnings
    assert "Wood boiler: 66% over a season is rarely reached" in told[0]
    assert "nobody loads it" in offer({**WOOD, "attended": "holidays"}, **tank).warnings[0]


def test_a_buffer_smaller_than_the_standard_asks_for_is_told_with_both_figures(published) -> None:
    # the printed example: 32 kW that burn 2 h on a house of 25 kW ask for 735 L
    charge = 32e3 * 7200 / 0.75 / 16e6
    fire = {**WOOD, "charge": f"{charge} kg", "efficiency": "75 %", "burn_time": "2 h"}
    house = {"house__design_heat_loss": "25 kW"}
    told = [offer(fire, **house, tank__volume=f"{volume} L").warnings[0] for volume in (500, 730)]
    assert (
        "the tank holds 500 L (132 gal); EN 303-5 asks for a buffer of 735 L (194 gal) for a fire of 32.0 kW that burns 2.0 h"
        in told[0]
    )
    assert "the tank holds 730 L" in told[1]
    assert not any("EN 303-5" in text for text in offer(fire, **house, tank__volume="740 L").warnings)
    assert "holds nothing, there is none" in offer(fire, **house).warnings[0]
    published("wood")["en303_buffer"].check(735.0)


def test_a_fire_for_which_the_standard_asks_less_than_300_litres_is_free_of_a_buffer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for asked, told in ((0.3, True), (0.299, False)):
        monkeypatch.setattr(KINDS["wood"], "buffer_m3", lambda *of, asked=asked: asked)
        assert any("EN 303-5" in text for text in offer(WOOD).warnings) == told


def test_facts_of_collectors_by_hand() -> None:
    found = offer(SUN, tank__volume="500 L")
    assert found.tally(36e6, 7.2e6, 4) == {
        "collected_kwh": 10.0, "useful_kwh": 8.0, "dumped_kwh": 2.0, "stagnation_hours": 4, "useful_kwh_m2": 0.8,
    }  # fmt: skip
    assert found.must_run
    assert found.burn_power_w == 0.0


def test_water_that_drains_back_carries_more_heat_than_glycol() -> None:
    # 40 % propylene glycol by mass at 50 °C: 1,017 kg/m³ × 3,780 J/(kg K), water 988 × 4,181, values from memory
    drains = {"kind": "solar", "area": "10 m2", "frost_protection": "drain_back"}
    closer = KINDS["solar"].model_validate(drains).mean_over_tank_k
    assert closer == pytest.approx(5.0 * 1017 * 3780 / (988 * 4181), rel=0.01)
    assert KINDS["solar"].model_validate(drains | {"approach": "5 K"}).mean_over_tank_k == 5.0
    lit = sample_weather()
    glycol, water = (
        offer_of(drains | {"frost_protection": fluid}, lit)[0].capacity_w.sum() for fluid in ("glycol", "drain_back")
    )
    assert 1.001 < water / glycol < 1.02


def test_collectors_in_the_dark_lose_what_a_mean_tank_would() -> None:
    # without any sun the line is laid 40 K above the outdoors: 3.8 + 2 x 0.015 x 40 is 5.0 W/(m² K)
    found = offer(SUN, tank__volume="500 L")
    assert found.slope_w_k == pytest.approx(50.0)
    assert not found.capacity_w.any()
    assert found.facts["irradiation_kwh_m2"] == 0.0


def test_collectors_may_face_east_and_the_equator_looks_south() -> None:
    tank = {"tank__volume": "500 L"}
    for azimuth, tilt, told in (("90 deg", "60 deg", False), ("89 deg", "60 deg", True), ("0 deg", "15 deg", False)):
        assert bool(offer({**SUN, "azimuth": azimuth, "tilt": tilt}, **tank).warnings) == told
    equator = replace(COLD, latitude_deg=0.0)
    assert not offer({**SUN, "azimuth": "180 deg"}, equator, **tank).warnings
    assert offer({**SUN, "azimuth": "0 deg"}, equator, **tank).warnings


def test_what_is_kept_for_others_cannot_be_written() -> None:
    dark = np.zeros(3)
    gain, area, _ = solar._caught(PlaneSun(dark, dark, dark, dark), 45.0, 0.1, 0.8, 4.0)
    locked = KINDS["electric"].model_validate({**ELECTRIC, "lockout_above": "-20 degC"})
    allowed = base.may_run(locked, COLD, HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2021))
    assert not allowed.any()
    assert not any(found.flags.writeable for found in (gain, area, allowed, base.constant(1.0, 3)))
    assert not curtailment._coldest(COLD, 3, 2).flags.writeable


def test_a_small_flow_carries_the_water_s_own_heat() -> None:
    # 1 gpm of water at 40 °C from 20 to 60 °C: 6.309e-5 m³/s × 992.3 kg/m³ × 4,179 J/(kg K) × 40 K; water of 20 °C
    unit = {**GAS, "output": "30 kW", "flow": "1 gpm", "max_outlet_temperature": "60 degC"}
    found = offer(unit, wavy_weather(np.tile([30.0, -10.0], 4380)), house__design_supply_temperature="50 degC")
    carried = GALLON_M3 / 60 * 992.3 * 4179 * 40
    # without a tank water of 50 °C returns at 40 °C at design, which leaves a rise of 20 K; the room's water carries twice as much
    assert found.capacity_w == pytest.approx(np.tile([carried, carried / 2], 4380), rel=1e-4)
    assert dict(found.derates) == {
        "flow": pytest.approx(30e3 - carried, rel=1e-3), "water temperature": pytest.approx(0.5 * carried, rel=1e-3)
    }  # fmt: skip


def test_altitude_reaches_the_condensing_curve() -> None:
    gas = {"kind": "gas", "output": "20 kW", "condensing": True, "altitude_rule": "none"}
    more = {"tank__volume": "200 L", "tank__design_supply_temperature": "45 degC"}
    weather = constant_weather(-10.0)
    low, _ = offer_of(gas, weather, **more)
    high, _ = offer_of(gas, weather, place__altitude="2450 m", **more)
    # 1.9 % more fuel at 2,450 m, as reported for a mild season; the coldest water condenses less anywhere
    assert low.heat_per_input.mean() / high.heat_per_input.mean() == pytest.approx(1.025, abs=0.012)
