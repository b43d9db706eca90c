"""Both sides of limits and thresholds that a season rarely meets, by hand or by a library of fluids."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, ClassVar, Literal

import numpy as np
import pytest
from cases import constant_weather, offer_of, study, wavy_weather
from CoolProp.CoolProp import PropsSI
from pydantic import ValidationError

from costsim.engine.lower import lower_study
from costsim.physics.combustion import dew_point_c
from costsim.physics.demand import ROUNDING_W
from costsim.physics.sun import PlaneSun
from costsim.sources import KINDS, HeatSource, Layers, Offer, gas, solar
from costsim.sources.base import constant, may_run
from costsim.sources.forecast import forecast_target_c, heating_curve
from costsim.sources.offer import NOT_STORING
from costsim.sources.traits import BURNERS
from costsim.sources.wood import _mass
from costsim.tariffs.calendar import HourCalendar

COLD = constant_weather(-10.0)
FIRE = {"kind": "wood", "load_times": ["07:00"], "moisture": "0 %", "efficiency": "50 %"}
"""Dry wood holds 20 MJ/kg, of which half goes to the water: 10 MJ/kg."""
PUMP = {
    "kind": "heat_pump", "outdoor": ["-30 degC", "20 degC"], "outputs": ["9 kW", "9 kW"], "cut_out": "-40 degC", "defrost": "0 %",
}  # fmt: skip


def made(typed: dict[str, Any], **more: Any) -> Any:
    return KINDS[typed["kind"]].model_validate({**typed, **more})


def seen_by(typed: dict[str, Any], weather: Any = COLD, **house: Any) -> tuple[Any, Any]:
    """A source and its surroundings."""
    common = lower_study(study(typed, **house), weather)
    return common.case.options[0].sources[0], common.surroundings


# fields


@pytest.mark.parametrize(
    ("typed", "key", "taken", "refused"),
    [
        (PUMP, "approach", ("0 K", "20 K"), ("-0.1 K", "20.5 K")), (PUMP, "pump", ("0 W", "100 kW"), ("-1 W", "101 kW")),
        (PUMP, "min_output", ("0 W", "100 MW"), ("-1 W", "105 MW")),
        ({"kind": "pellet", "output": "15 kW", "efficiency": "78 %"}, "min_output", ("0 W", "100 MW"), ("-1 W", "105 MW")),
        ({**FIRE, "output": "25 kW", "burn_time": "6 h"}, "smallest_charge", ("10 %", "100 %"), ("9.5 %", "101 %")),
    ],
)  # fmt: skip
def test_a_field_ends_where_it_says(typed: dict[str, Any], key: str, taken: tuple[str, ...], refused: Any) -> None:
    for value in taken:
        made(typed, **{key: value})
    for value in refused:
        with pytest.raises(ValidationError):
            made(typed, **{key: value})


def test_an_output_beyond_100_mw_is_told_as_such_before_anything_that_follows_from_it() -> None:
    for typed, key in (
        ({**FIRE, "burn_time": "6 h"}, "output"),
        ({"kind": "gas", "output": "100 MW", "efficiency": "90 %"}, "min_output"),
    ):
        with pytest.raises(ValidationError) as refused:
            made(typed, **{key: "105 MW"})
        [error] = refused.value.errors()
        assert (error["loc"][-1], "at most" in error["msg"]) == (key, True)
        with pytest.raises(ValidationError) as refused:
            made({**FIRE, "burn_time": "6 h"}, output="0 W")
        assert refused.value.errors()[0]["loc"][-1] == "output"
    assert made({"kind": "gas", "output": "100 MW", "efficiency": "90 %"}, min_output="100 MW").smallest_fire_w == 1e8


def test_half_a_charge_is_the_least_that_is_loaded() -> None:
    assert made({**FIRE, "output": "25 kW", "burn_time": "6 h"}).smallest_charge_share == 0.5


# fires


def test_a_fire_burns_an_hour_at_least_and_48_at_most() -> None:
    """10 kW for an hour are 36 MJ, of 3.6 kg; for 48 hours 1,728 MJ, of 172.8 kg."""
    for kg, hours in ((3.6, 1.0), (172.8, 48.0)):
        assert made(FIRE, output="10 kW", charge=f"{kg} kg").burns_s == pytest.approx(hours * 3600)
    for kg in (3.59, 172.9):
        with pytest.raises(ValidationError, match="less than 1 h or more than 48 h"):
            made(FIRE, output="10 kW", charge=f"{kg} kg")


def test_a_burn_time_may_lie_a_tenth_beside_what_output_and_charge_give() -> None:
    """10 kW and 21.6 kg: 216 MJ, six hours; a tenth of them is 36 minutes."""
    for burn in ("5.4 h", "6.6 h"):
        assert made(FIRE, output="10 kW", charge="21.6 kg", burn_time=burn).burns_s == pytest.approx(6 * 3600)
    for burn in ("5.39 h", "6.61 h"):
        with pytest.raises(ValidationError, match="do not agree"):
            made(FIRE, output="10 kW", charge="21.6 kg", burn_time=burn)


def test_a_burn_time_a_hundredth_beside_is_told_not_to_count() -> None:
    """A hundredth of six hours are 3.6 minutes; output and charge give the six."""
    for burn, told in (("6.05 h", False), ("6.06 h", True), ("5.95 h", False), ("5.94 h", True)):
        ((_, _, numbers, _),) = made(FIRE, output="10 kW", charge="21.6 kg", burn_time=burn).formulas(0.0)
        assert numbers.endswith(f"; output and charge count, not the {burn} typed") == told
    ((_, _, numbers, _),) = made(FIRE, output="10 kW", charge="21.6 kg").formulas(0.0)
    assert "count" not in numbers


def test_a_hundred_kilograms_are_told_without_decimals() -> None:
    """220.46 lb, by 0.45359237 kg each; 99.9 kg are 220.24 lb."""
    assert (_mass(100.0), _mass(99.9)) == ("100 kg (220 lb)", "99.9 kg (220.2 lb)")


def test_a_tank_as_large_as_the_standard_asks_for_is_large_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    fire = {**FIRE, "output": "25 kW", "burn_time": "6 h"}
    for asked, told in ((0.5, False), (0.501, True)):
        monkeypatch.setattr(KINDS["wood"], "buffer_m3", lambda *of, asked=asked: asked)
        warnings = offer_of(fire, COLD, tank__volume="500 L")[0].warnings
        assert any("EN 303-5" in text for text in warnings) == told


def test_loading_times_on_a_clock_that_turns_at_the_half_hour_of_the_weather() -> None:
    """India is 5 h 30 min ahead of UTC: in a file at +5 h each hour begins at half past, and holds what comes until the next."""
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=5.0, timezone="Asia/Kolkata", year=2021)
    fire = {**FIRE, "output": "25 kW", "burn_time": "6 h"}
    for text, begins in (("07:00", 6.5), ("07:29", 6.5), ("07:30", 7.5), ("08:29", 7.5), ("00:30", 0.5)):
        loaded = np.flatnonzero(made(fire, load_times=[text]).loadings(clock))
        assert set(clock.clock_hour[loaded]) == {begins}, text
        assert len(loaded) >= 364


def test_a_time_that_was_over_when_the_year_began_is_no_loading() -> None:
    """In a file at +9 h the year of Sydney, at +11 h in summer, begins at two in the morning."""
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=9.0, timezone="Australia/Sydney", year=2021)
    assert clock.clock_hour[0] == 2.0
    fire = {**FIRE, "output": "25 kW", "burn_time": "6 h"}
    for text, first in (("00:00", 22), ("00:59", 22), ("02:00", 0), ("03:00", 1)):
        assert np.flatnonzero(made(fire, load_times=[text]).loadings(clock))[0] == first, text


# burners


def test_water_as_warm_as_the_dew_point_is_not_above_it() -> None:
    boiler = made({"kind": "gas", "output": "12 kW", "efficiency": "95 %"})
    dew = float(dew_point_c(fuel="natural_gas"))
    for water, told in ((dew, False), (dew + 0.01, True)):
        seen: Any = SimpleNamespace(
            altitude_m=0.0, water_c=np.array([20.0, water]), drop_k=0.0, demand_w=np.ones(2), design_load_w=1.0
        )
        assert bool(boiler._warnings(seen)) == told


def test_a_propane_tank_that_just_boils_off_what_is_burnt_is_large_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    unit = {"kind": "gas", "fuel": "propane", "output": "10 kW", "efficiency": "50 %", "firing": "one_stage",
            "tank_diameter": "24 in", "tank_length": "5 ft"}  # fmt: skip
    for given, told in ((20e3, False), (19.9e3, True)):
        monkeypatch.setattr(gas, "propane_vaporisation_w", lambda given=given, **of: given)
        assert bool(offer_of(unit, COLD)[0].warnings) == told


def test_no_burner_gives_more_than_the_higher_heating_value_of_its_fuel() -> None:
    assert BURNERS.most == 1.0


# what all kinds have in common


def bare(**more: Any) -> Offer:
    """An offer of which nothing is said but what must be."""
    row = np.full(3, 0.8)
    rows = {name: row for name in ("capacity_w", "price_per_j", "curtailed_w", "fuel_limited_w", "target_c")}
    return Offer(name="x", kind="x", fuel="", price_key="", rated_w=1.0, heat_per_input=row, **rows, **more)


def test_a_fire_of_a_watt_cycles_below_it_and_less_than_rounding_runs_no_fan() -> None:
    # half of the smallest fire: half of a fifth more is lost, 0.625 / 0.9
    assert bare(min_fire_w=1.0, degradation=0.2).input_w(np.array([0.0, 0.5, 1.0])) == pytest.approx(
        [0.0, 0.625 / 0.9, 1.25]
    )
    fans = bare(auxiliary_w=80.0).auxiliary_electric_w(np.array([0.0, ROUNDING_W, 2 * ROUNDING_W]))
    assert fans.tolist() == [0.0, 0.0, 80.0]


def test_a_source_that_may_always_run_keeps_one_figure_for_the_year() -> None:
    """Rows of a portfolio are shared where nothing holds a source: no lockout, or one that no hour meets."""
    for more in ({}, {"lockout_above": "60 degC"}):
        source, seen = seen_by({"kind": "electric", "output": "9 kW", **more})
        assert may_run(source, seen.weather, seen.calendar) is constant(1.0, 8760)
        found = source.offer(seen)
        assert found.curtailed_w is found.fuel_limited_w is constant(0.0, 8760)
        assert found.capacity_w.strides == (0,)
    # one hour of the year beyond it is enough
    source, seen = seen_by(
        {"kind": "electric", "output": "9 kW", "lockout_above": "20 degC"}, wavy_weather(np.r_[21.0, np.zeros(8759)])
    )
    assert may_run(source, seen.weather, seen.calendar).sum() == 8759.0  # fmt: skip


def test_what_nobody_states_costs_nothing_and_gives_no_carbon() -> None:
    source, seen = seen_by({"kind": "gas", "output": "9 kW", "efficiency": "90 %"})
    found = source.offer(replace(seen, price_per_j={}, co2_kg_per_j={}))
    assert (found.co2_kg_per_j, found.price_per_j.any()) == (0.0, False)


def test_a_forecast_without_a_tank_charges_nothing() -> None:
    source, seen = seen_by(
        {"kind": "electric", "output": "9 kW", "store": True, "charging": "forecast", "windows": ["22:00-06:00"]}
    )
    found = source.offer(replace(seen, store_c=NOT_STORING, tank_j_k=0.0))  # fmt: skip
    assert set(found.target_c) == {NOT_STORING}
    assert "may charge a store, but the study has no tank" in found.warnings[0]


def test_rows_of_assumptions_are_a_tuple_of_four() -> None:
    for rows in ([("what", "how", "source", "key")], (["what", "how", "source", "key"],), (("what", "how", "key"),)):
        with pytest.raises(TypeError, match=r"^Listed lacks rests_on as a tuple of \(what, how, source, key\)$"):

            class Listed(HeatSource):
                title: ClassVar[str] = "Listed"
                continuous_load: ClassVar[bool] = True
                example: ClassVar[dict[str, Any]] = {"kind": "listed"}
                rests_on: ClassVar[Any] = rows
                kind: Literal["listed"]

                def nameplate_w(self) -> float:
                    return 1.0

                def offer(self, surroundings: Any) -> Any:
                    return None


# elements


def test_volts_without_a_breaker_limit_nothing() -> None:
    found, _ = offer_of({"kind": "electric", "output": "9 kW", "volts": "120 V"}, COLD)
    assert (found.capacity_w.max(), found.derates, found.warnings) == (9e3, (), ())


def test_a_load_beyond_the_largest_breaker_is_told_so() -> None:
    """NEC 240.6 lists breakers up to 6,000 A: 2 MW at 240 V are 8.3 kA and ask for 10.4 kA."""
    heater = made({"kind": "electric", "output": "2 MW", "volts": "240 V"})
    assert next(iter(heater.formulas(0.0)))[2].endswith("= 10416.7 A; beyond one breaker")


# forecasts


def test_days_alike_to_a_millionth_of_a_kelvin_have_no_line_through_them() -> None:
    values, ones = np.repeat([20.0, 10.0], 24), np.ones(48)
    assert heating_curve(np.repeat([0.0, 0.95e-6], 24), values, ones) == (15.0, 0.0)
    for differ in (1e-6, 1.05e-6):
        assert heating_curve(np.repeat([0.0, differ], 24), values, ones)[1] == pytest.approx(-10.0 / differ)


def test_one_day_that_counts_has_its_mean() -> None:
    days, values = np.repeat([0.0, 10.0], 24), np.repeat([20.0, 10.0], 24)
    assert heating_curve(days, values, np.repeat([1.0, 0.0], 24)) == (20.0, 0.0)
    assert heating_curve(days, values, np.repeat([0.0, 1e-12], 24)) == (10.0, 0.0)


def test_windows_of_the_night_around_the_end_of_the_year() -> None:
    """Two windows a day, 22-02 and 12-13: ten hours follow the first and nine the second; 1 kW and a quarter over 4 MJ/K."""
    allowed = np.tile([1.0] * 2 + [0.0] * 10 + [1.0] + [0.0] * 9 + [1.0] * 2, 3)
    target = forecast_target_c(
        allowed=allowed, outdoor_c=np.zeros(72), demand_w=np.full(72, 1e3), water_c=np.full(72, 30.0), store_c=80.0, tank_j_k=4e6
    )  # fmt: skip
    by_hour = np.r_[[41.25] * 2, [80.0] * 10, 40.125, [80.0] * 9, [41.25] * 2]
    assert target.tolist() == pytest.approx(np.tile(by_hour, 3).tolist())


# heat pumps


def test_a_millionth_of_a_kelvin_hotter_is_the_same_water() -> None:
    pump = made(PUMP, max_outlet_temperature="50 degC", approach="0 K")
    assert [pump.makes_water(50.0 + more) for more in (0.0, 1e-6, 1.05e-6)] == [True, True, False]


def test_a_limit_counts_in_hours_in_which_heat_is_wanted() -> None:
    """20 K over the tank and at most 25 °C: it serves no water of 5 °C and more, in no hour of any heat, be it 0.4 W."""
    outdoor = np.resize([-10.0, 10.0, 19.998, 21.0, 25.0], 8760)
    limit = {"max_outlet_temperature": "25 degC", "approach": "20 K"}
    curve = {"house__design_supply_temperature": "50 degC"}
    [text] = offer_of({**PUMP, **limit}, wavy_weather(outdoor), **curve)[0].warnings
    assert "it stops for 5,256 hours" in text  # three of five
    small = {**PUMP, **limit, "outputs": ["0.5 W", "0.5 W"]}
    [text] = offer_of(small, wavy_weather(outdoor), **curve)[0].warnings
    assert "it stops for 5,256 hours" in text


def test_what_a_stratified_tank_asks_of_a_heat_pump_counts_by_its_heat() -> None:
    """Water of up to 50 °C; what is hotter is left: the floor's where it takes any, the uses' wherever the top is kept for them."""
    source, seen = seen_by(
        {**PUMP, "max_outlet_temperature": "55 degC"}, tank__volume="300 L", tank__max_temperature="85 degC"
    )
    floor_c = np.array([50.1, 20.0, 50.1, 50.1])  # fmt: skip
    floor_w = np.array([0.5, 2e3, 0.0, 2e3])
    uses_c = np.array([20.0, 60.0, 20.0, 60.0])
    uses_w = np.array([1e3, 0.0, 1e3, 0.5])
    layers = replace(seen, layers=Layers(floor_c, floor_w, uses_c, uses_w))
    assert source._served_w(layers).tolist() == [1e3, 2e3, np.inf, 0.0]
    # a tank that is never hotter than what the unit makes asks for no more, be it a millionth of a kelvin over it
    same = 55.0 - 5.0 + 1e-6
    assert np.isinf(source._served_w(replace(layers, max_temperature_c=same))).all()
    for water, stops in ((same, False), (same + 1e-7, True)):
        row, watts = np.array([water]), np.array([1e3])
        for floor_c, uses_c in ((row, row - 9.0), (row - 9.0, row)):
            found = source._served_w(replace(seen, layers=Layers(floor_c, watts, uses_c, 2.0 * watts)))
            assert found[0] == ((2e3 if floor_c is row else 1e3) if stops else np.inf)
        assert source._served_w(replace(seen, water_c=row))[0] == (0.0 if stops else np.inf)


@pytest.mark.parametrize(
    ("use_w", "served", "told"),
    [(0.0, 0.0, "it stops for 8,760 hours in which the water would have to leave it at up to 57 °C"), (0.5, 0.0, "at up to 65 °C"),
     (0.5, 0.5, "for 8,760 hours it leaves to another source what needs water of up to 65 °C")],
)  # fmt: skip
def test_the_hottest_water_that_is_told_is_that_of_heat_which_is_wanted(use_w: float, served: float, told: str) -> None:
    source, seen = seen_by(
        {**PUMP, "max_outlet_temperature": "55 degC"}, tank__volume="300 L", tank__max_temperature="85 degC"
    )
    row = np.ones(8760)  # fmt: skip
    layers = replace(seen, layers=Layers(52.0 * row, 2e3 * row, 60.0 * row, use_w * row))
    [text] = source._left(layers, 9e3 * row, served * row)
    assert told in text


def test_hot_water_is_told_in_hours_in_which_the_unit_could_give_it() -> None:
    """More than 60 °C with 5 K over the tank: 55 °C is not; 0.5 W of capacity or demand are, none is not."""
    source, seen = seen_by(PUMP)
    water = np.array([55.0, 55.01, 70.0, 70.0, 70.0])
    capacity, demand = np.array([9e3, 9e3, 0.5, 0.0, 9e3]), np.array([1e3, 0.5, 1e3, 1e3, 0.0])
    [text] = source._warnings(replace(seen, water_c=water, demand_w=demand), capacity)
    assert "water of up to 75 °C (167 °F), above 60 °C (140 °F) in 2 hours" in text
    assert source._warnings(replace(seen, water_c=water[:1], demand_w=demand[:1]), capacity[:1]) == ()


def test_outputs_are_given_once() -> None:
    row = {"outdoor": "-7 degC", "supply": "34 degC", "output": "5 kW", "cop": 2.8}
    for more in ({"outdoor": ["-7 degC"]}, {"outputs": ["5 kW"]}):
        with pytest.raises(ValidationError, match="outputs are given twice"):
            made({"kind": "heat_pump", "test_point": [row], **more})


# collectors


def test_water_that_drains_back_by_a_library_of_fluids() -> None:
    """Propylene glycol of 40 % by mass at 50 °C against water there, by CoolProp's incompressible fluids and IAPWS-95."""

    def carried(fluid: str) -> float:
        return PropsSI("D", "T", 323.15, "P", 2e5, fluid) * PropsSI("C", "T", 323.15, "P", 2e5, fluid)

    drained = made({"kind": "solar", "area": "1 m2", "frost_protection": "drain_back"})
    assert drained.mean_over_tank_k == pytest.approx(5.0 * carried("INCOMP::MPG[0.4]") / carried("Water"), rel=2e-4)


def test_collectors_catch_in_any_hour_with_sun() -> None:
    """Half a watt a square meter through the cover is sun."""
    beam, none = np.array([0.0, 0.625, 500.0]), np.zeros(3)
    gain, area, hours = solar._caught(PlaneSun(beam, none, none, none), 45.0, 0.1, 0.8, 4.0)
    assert (gain.tolist(), area.tolist(), hours) == (pytest.approx([0.0, 0.5, 400.0]), [0.0, 4.0, 4.0], 2)


def test_a_sum_does_not_depend_on_how_many_houses_there_are() -> None:
    column = 1.0 / (1.0 + np.arange(8760.0))[:, None]
    alone = solar._summed(column)
    assert alone.tolist() == solar._summed(np.hstack([column, column]))[:1].tolist()
    assert alone[0] == pytest.approx(np.log(8760.0) + 0.5772156649 + 1 / 17520)  # harmonic number
