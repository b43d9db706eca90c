"""What is typed against the rows the kernel takes, by arithmetic: clock, set-point, gains, water, tank, slab, sources."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, offer_of, sample_weather, study, wavy_weather

from costsim import InputError
from costsim.engine import layout as k
from costsim.engine.lower import (
    LoweredStudy,
    house_rows,
    lower_option,
    lower_study,
    priced,
    source_rows,
    with_house,
)
from costsim.engine.mass_rows import lowest_before
from costsim.engine.study_clock import calendar_of
from costsim.physics.thermal_mass import TwoNode, discretise
from costsim.results.assumptions import assumptions_of
from costsim.simulation import simulate, simulate_option
from costsim.weather.sunlight import sun_on

ELECTRIC = {"kind": "electric", "output": "20 kW"}
COLD = constant_weather(-10.0)
GREENSBORO = sample_weather()
LOOPS = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
HOUR = np.arange(8760) % 24


def common(weather: Any = COLD, **house: Any) -> LoweredStudy:
    """A lowered house of 200 W/K with one source."""
    return lower_study(study(ELECTRIC, **house), weather)


def test_weather_of_a_leap_year_is_put_into_one() -> None:
    leap = constant_weather(0.0, 8784)
    for typed, used in ((2025, 2024), (2027, 2024), (2024, 2024), (2028, 2028)):
        assert calendar_of(study(ELECTRIC, place__calendar_year=typed), leap).year == used
    assert calendar_of(study(ELECTRIC, place__calendar_year=2025), COLD).year == 2025
    assert calendar_of(study(ELECTRIC, place__calendar_year=2024), COLD).n_hours == 8760


def test_a_leap_year_that_was_measured_is_billed_by_its_own_days() -> None:
    """1 January 2016 was a Friday, and the fourth Thursday of its November the 24th; of 2024 a Monday and the 28th."""
    measured = replace(constant_weather(0.0, 8784), years=(2016,))
    for weather, first_day, thanksgiving in ((measured, 4, 24), (replace(measured, years=()), 0, 28)):
        plain = calendar_of(study(ELECTRIC, place__holidays="US"), weather)
        assert plain.weekday[0] == first_day
        november = set(plain.day_of_month[(plain.month == 11) & plain.is_holiday].tolist())
        assert november == {11, thanksgiving}  # and Veterans Day
        assert not plain.warning
    # what was typed and cannot be is told
    typed = calendar_of(study(ELECTRIC, place__calendar_year=2023), measured)
    assert (typed.year, "those of 2016, not of the calendar year 2023" in typed.warning) == (2016, True)
    assert not calendar_of(study(ELECTRIC, place__calendar_year=2020), measured).warning


def test_what_is_typed_of_the_place_comes_before_the_file() -> None:
    typed = common(place__altitude="1000 m")
    assert (typed.design_outdoor_c, typed.design_outdoor_source) == (-10.0, "typed in the study")
    assert typed.surroundings.altitude_m == 1000.0
    from_file = lower_study(study(ELECTRIC, place__design_outdoor=None), replace(COLD, altitude_m=77.0))
    assert from_file.surroundings.altitude_m == 77.0
    assert from_file.design_outdoor_source != "typed in the study"
    assert common(place__altitude="0 m").surroundings.altitude_m == 0.0
    # all US generation, before grid losses: 0.81 lb/kWh
    assert typed.surroundings.co2_kg_per_j["electricity"] * 3.6e6 == pytest.approx(0.81 * 0.45359237)


def test_demand_set_point_and_gains_by_hand() -> None:
    plain = common(wavy_weather(np.where(HOUR < 12, -10.0, 30.0)), house__balance_point="15 degC")
    # 6 kW over 30 K; the balance point 5 K under the room stands for 1 kW of gains
    assert plain.loss_w_k == pytest.approx(200.0)
    assert plain.gains_w == pytest.approx(np.full(8760, 1000.0))
    assert plain.demand_w == pytest.approx(np.where(HOUR < 12, 5000.0, 0.0))
    assert plain.degree_hours_k_h == pytest.approx(25.0 * 12 * 365)
    typed = common(house__balance_point=None, house__gains="600 W")
    assert typed.balance_c == pytest.approx(np.full(8760, 17.0))
    assert not common(house__balance_point=None, house__gains="0 W").gains_w.any()
    back = common(
        house__setback=[
            {"indoor_temperature": "16 degC", "windows": ["22:30-06:00"]},
            {"indoor_temperature": "12 degC", "windows": ["23:00-24:00"]},
        ]
    )
    by_hand = np.select([HOUR == 22, HOUR == 23, HOUR < 6], [18.0, 12.0, 16.0], 20.0)
    assert back.setpoint_c == pytest.approx(by_hand)
    assert back.surroundings.room_c == pytest.approx(by_hand)
    assert back.demand_w == pytest.approx(200.0 * (by_hand + 10.0))


def test_solar_gains_come_through_the_wall_that_faces_the_equator() -> None:
    for latitude, azimuth in ((36.0, 180.0), (0.0, 180.0), (-36.0, 0.0)):
        weather = replace(GREENSBORO, latitude_deg=latitude)
        found = common(weather, house__solar_aperture="3 m2", house__balance_point="17 degC")
        assert found.gains_w == pytest.approx(600.0 + 3.0 * sun_on(weather, 90.0, azimuth).total_w_m2)
    with pytest.raises(InputError, match=r"house\.solar_aperture.*set solar_aperture to 0"):
        common(replace(GREENSBORO, ghi_w_m2=None), house__solar_aperture="3 m2")


def test_water_follows_the_demand_up_to_the_top() -> None:
    outdoor = np.tile([-10.0, 5.0, 20.0, -40.0], 2190)
    found = common(
        wavy_weather(outdoor),
        tank__volume="300 L",
        tank__max_temperature="48 degC",
        tank__design_supply_temperature="44 degC",
    )
    # 24 K over the room for 6 kW: 12 K for 3 kW, and at most the 28 K of the hottest tank
    assert found.surroundings.water_c[:4] == pytest.approx([44.0, 32.0, 20.0, 48.0])
    assert found.surroundings.max_temperature_c == found.surroundings.store_c == 48.0
    assert found.surroundings.tank_j_k == pytest.approx(0.3 * 992.2 * 4179, rel=5e-4)
    assert common().surroundings.tank_j_k == 1.0  # nothing where there is no tank
    # without tank and floor that of the emitter, 45 °C at design
    assert common(wavy_weather(outdoor)).surroundings.water_c[:3] == pytest.approx([45.0, 32.5, 20.0])
    assert common(wavy_weather(outdoor), house__emitter="radiators").surroundings.water_c[0] == 65.0


def test_prices_go_with_their_factors_and_nothing_else() -> None:
    both = lower_study(study(ELECTRIC, {"kind": "gas", "output": "9 kW", "efficiency": "90 %"}), COLD)
    dearer = priced(both, {"electricity": 3.0})
    for key, factor in (("electricity", 3.0), ("natural_gas", 1.0)):
        before = both.surroundings.price_per_j[key]
        assert dearer.surroundings.price_per_j[key] == pytest.approx(factor * before)
        assert dearer.tariffs[key].price_per_j == pytest.approx(factor * both.tariffs[key].price_per_j)
    assert dearer.demand_w is both.demand_w


def test_a_rule_sees_the_block_that_the_house_s_other_use_has_reached() -> None:
    # 8,760 kWh a year are more than 600 kWh in every month, and 3,000 are less
    blocks = [{"up_to": "600 kWh/month", "energy": "0.06 $/kWh"}, {"energy": "0.20 $/kWh"}]
    gas = {"kind": "gas", "output": "9 kW", "efficiency": "90 %"}
    for other, price, first in (("8760 kWh/year", 0.20, 1), ("3000 kWh/year", 0.06, 0), (None, 0.06, 0)):
        prices = {"prices__electricity": {"block": blocks}, "prices__natural_gas": {"energy": "0.09 $/kWh"}}
        case = study(ELECTRIC, gas, **prices, house__other_electricity=other)
        found = lower_study(case, COLD)
        assert found.surroundings.price_per_j["electricity"] * 3.6e6 == pytest.approx(np.full(8760, price))
        twice = priced(found, {"electricity": 2.0}).surroundings.price_per_j["electricity"]
        assert twice * 3.6e6 == pytest.approx(np.full(8760, 2 * price))
        # 0.09 $/kWh at 90 % are 0.10 $ for a kWh of heat
        rule = case.options[0].model_copy(update={"rule": "cheapest_now"})
        assert set(lower_option(found, rule).order[0]) == {first}
        worth = simulate_option(found, case.options[0]).sources[0].cost
        assert worth == pytest.approx(simulate_option(found, case.options[0]).bills["electricity"].total)
        # an order that looks at a price with blocks is told of; a fixed one, and one price for all sources, are not
        for option, told in (
            (rule, True),
            (case.options[0], False),
            (rule.model_copy(update={"source": rule.source[:1] * 2}), False),
        ):
            said = simulate(case.model_copy(update={"option": (option,)}), COLD).warnings
            assert any("before heating is added" in text for text in said) == told


def test_another_house_in_the_same_place_is_lowered_as_if_alone() -> None:
    water = {"tank__volume": "300 L", "tank__max_temperature": "70 degC"}
    first = common(GREENSBORO, **water)
    second = study(
        ELECTRIC,
        **water,
        house__design_heat_loss="9 kW",
        house__indoor_temperature="21 degC",
        house__balance_point="16 degC",
    )
    moved, alone = with_house(first, second), lower_study(second, GREENSBORO)
    assert moved.loss_w_k == alone.loss_w_k == pytest.approx(9000 / 31)
    for name in ("setpoint_c", "balance_c", "gains_w", "demand_w"):
        assert np.array_equal(getattr(moved, name), getattr(alone, name))
    for name in ("demand_w", "room_c", "water_c"):
        assert np.array_equal(getattr(moved.surroundings, name), getattr(alone.surroundings, name))
    assert moved.case is second
    assert moved.calendar is first.calendar


def test_rows_of_the_house_by_hand() -> None:
    found = common(
        GREENSBORO,
        tank__volume="300 L",
        tank__loss="4 W/K",
        tank__max_temperature="70 degC",
        tank__design_supply_temperature="50 degC",
    )
    scalars, hours = house_rows(found)
    assert (scalars.shape, hours.shape) == ((k.SCALARS,), (k.HOURS, 8760))
    capacity = found.surroundings.tank_j_k
    keep = np.exp(-4 * 3600 / capacity)
    mean = (1 - keep) / (4 * 3600 / capacity)
    by_hand = {
        k.TANK_KEEP: keep,
        k.TANK_RISE: (1 - keep) / 4,
        k.LOSS_STATE: 4 * mean,
        k.LOSS_NET: 1 - mean,
        k.WATER_RESISTANCE: 30 / 6000,
        k.TANK_TOP: 70.0,
        k.TANK_START: 20 + found.demand_w[0] * 30 / 6000,
        k.WITH_MASS: 0.0,
        k.PUMP_POWER: 0.0,
    }
    assert {row: scalars[row] for row in by_hand} == pytest.approx(by_hand)
    for row, values in (
        (k.DEMAND, found.demand_w),
        (k.ROOM, found.setpoint_c),
        (k.FLOOR_LIMIT, np.full(8760, 50 / 30 * 6000)),
    ):
        assert hours[row] == pytest.approx(values)
    assert not hours[[k.GAINS, k.SLAB_WEATHER, k.ROOM_WEATHER, k.PRECHARGE, k.COLD_BELOW]].any()
    # a first hour so cold that the hottest tank is too cool
    frozen = common(
        constant_weather(-60.0),
        tank__volume="300 L",
        tank__max_temperature="50 degC",
        tank__design_supply_temperature="50 degC",
    )
    assert house_rows(frozen)[0][k.TANK_START] == 50.0
    assert house_rows(common())[0][k.TANK_RISE] == pytest.approx(3600.0)


def test_rows_of_slab_and_room_by_hand() -> None:
    mass = {
        "precharge": "2 K",
        "precharge_windows": ["03:30-06:00"],
        "ground": "8 degC",
        "room_ceiling": "4 K",
        "feedback": 1.5,
    }
    back = [{"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}]
    outdoor = np.where(np.arange(8760) < 4000, -10.0, 30.0)
    found = common(
        wavy_weather(outdoor), floor__loops=LOOPS, floor__mass=mass, house__setback=back, house__balance_point="19 degC"
    )
    scalars, hours = house_rows(found)
    side = found.water.mass
    keep, drive = discretise(
        TwoNode(side.slab_j_k, side.room_j_k, side.floor_room_w_k, side.ground_w_k, found.loss_w_k)
    )
    assert scalars[k.SLAB_SLAB : k.ROOM_ROOM + 1].tolist() == [*keep[0], *keep[1]]
    assert (scalars[k.SLAB_HEAT], scalars[k.ROOM_HEAT]) == (drive[0, 0], drive[1, 0])
    assert (scalars[k.SLAB_GAIN], scalars[k.ROOM_GAIN]) == (drive[0, 1], drive[1, 1])
    assert (scalars[k.WITH_MASS], scalars[k.SLAB_FEEDBACK], scalars[k.ROOM_CEILING]) == (1.0, 1.5, 24.0)
    assert scalars[k.FLOOR_RESISTANCE] == pytest.approx(1 / side.floor_room_w_k)
    assert scalars[k.WATER_RESISTANCE] == side.water_resistance_k_w
    assert hours[k.SLAB_WEATHER] == pytest.approx(drive[0, 2] * outdoor + drive[0, 3] * 8.0)
    assert hours[k.ROOM_WEATHER] == pytest.approx(drive[1, 2] * outdoor + drive[1, 3] * 8.0)
    assert hours[k.GAINS] == pytest.approx(np.full(8760, found.loss_w_k * 1.0))
    # half of the first hour of the windows, and only while there is demand
    ahead = np.where(HOUR == 3, 1.0, np.where((HOUR == 4) | (HOUR == 5), 2.0, 0.0)) * (outdoor < 0)
    assert hours[k.PRECHARGE] == pytest.approx(ahead)
    # from six the room may still be a kelvin under the 16 °C of any of the twelve hours before
    cold = np.where((HOUR >= 18) & (HOUR < 22), 19.0, 15.0)
    assert hours[k.COLD_BELOW, 24:] == pytest.approx(cold[24:])
    assert hours[k.FLOOR_LIMIT, 0] == pytest.approx(8 * 90 * 0.15 * 100, rel=1e-3)  # EN 1264: 100 W/m²


def test_the_lowest_of_an_hour_and_those_before_it() -> None:
    assert lowest_before(np.array([3.0, 5.0, 1.0, 4.0, 2.0, 6.0]), 1).tolist() == [3.0, 3.0, 1.0, 1.0, 2.0, 2.0]
    assert lowest_before(np.array([3.0, 5.0]), 0).tolist() == [3.0, 5.0]


def test_rows_of_sources_stand_in_their_places() -> None:
    offer, _ = offer_of(ELECTRIC, COLD)
    n = len(offer.capacity_w)
    rows = {
        name: np.full(n, value)
        for name, value in (
            ("capacity_w", 5e3),
            ("target_c", 60.0),
            ("charge_j", 7e6),
            ("ahead_j", 8e6),
            ("until_j", 9e6),
        )
    }
    first = replace(
        offer,
        slope_w_k=2.0,
        must_run=True,
        burn_power_w=3.0,
        min_fire_w=4.0,
        degradation=0.5,
        standby_w=6.0,
        auxiliary_share=0.7,
        auxiliary_w=8.0,
        fuel="natural_gas",
        **rows,
    )
    scalars, hours = source_rows([first, offer])
    places = (k.SLOPE, k.MUST_RUN, k.BURN_POWER, k.MIN_FIRE, k.DEGRADATION, k.STANDBY, k.AUX_SHARE, k.AUX_W, k.ELECTRIC)
    assert scalars.shape == (2, k.BILLED_SCALARS)
    assert scalars[0, list(places)].tolist() == [2.0, 1.0, 3.0, 4.0, 0.5, 6.0, 0.7, 8.0, 0.0]
    assert scalars[1, list(places)].tolist() == [0.0] * 8 + [1.0]
    assert hours.shape == (2, k.SOURCE_HOURS, n)
    assert hours[0, [k.CAPACITY, k.TARGET, k.CHARGE, k.AHEAD, k.UNTIL], 0].tolist() == [5e3, 60.0, 7e6, 8e6, 9e6]
    assert not hours[1, [k.CHARGE, k.AHEAD, k.UNTIL]].any()


def test_design_temperatures_that_do_not_fit_are_told() -> None:
    with pytest.raises(InputError, match=r'place\.design_outdoor.*give place\.design_outdoor, such as "15 degF"'):
        common(place__design_outdoor="20 degC")


WALL = {"surface": [{"name": "Walls", "area": "100 m2", "u_value": "3 W/(m2 K)"}]}


@pytest.mark.parametrize(
    "known",
    [{"design_heat_loss": "9 kW"}, {"heat_loss_per_area": "90 W/m2"}, {"heat_loss_rate": "300 W/K"}, WALL],
    ids=["load", "rule", "rate", "walls"],
)
def test_a_warmer_thermostat_takes_more_heat_by_any_route(known: dict[str, Any]) -> None:
    """9 kW from 20 to -10 °C are 300 W/K; free of heating from 16 °C up, so gains of 4 K × 300 W/K stay whatever is set."""
    house = {f"house__{key}": value for key, value in ({"design_heat_loss": None} | known).items()}
    for set_c, load_w, balance_c in ((20, 9000, 16), (22, 9600, 18), (18, 8400, 14)):
        kept = {"indoor_temperature": f"{set_c} degC", "design_indoor": "20 degC", "balance_point": "16 degC"}
        at = common(constant_weather(0.0), **house, **{f"house__{key}": value for key, value in kept.items()})
        assert (at.route.load_w, at.loss_w_k, at.balance_c[0]) == pytest.approx((load_w, 300.0, balance_c))
        assert at.demand_w[0] == pytest.approx(300.0 * balance_c)
        found = next(one.source for one in assumptions_of(at) if one.what == "balance point")
        assert ("found at 20" in found) == (set_c != 20)


def test_a_load_found_no_warmer_than_the_design_night_is_refused() -> None:
    with pytest.raises(InputError, match=r"place\.design_outdoor.*must be below"):
        common(house__design_indoor="9 degC", house__balance_point="8 degC", place__design_outdoor="10 degC")


def test_what_stands_outdoors_must_stand_the_design_night_too() -> None:
    coldest = float(GREENSBORO.outdoor_c.min())
    mild, hard = (
        lower_study(study({"kind": "electric", "output": "9 kW"}, place__design_outdoor=typed), GREENSBORO)
        for typed in ("0 degC", "-40 degC")
    )
    assert mild.coldest_c == coldest
    assert hard.coldest_c == pytest.approx(-40.0)
