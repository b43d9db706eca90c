"""Places in the kernel's arrays, and the hours in which it could go either way."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from costsim.engine import layout as k
from costsim.engine.block import run_lanes
from costsim.engine.lanes import lanes_of
from costsim.engine.one_year import one_year
from costsim.engine.shared import share


def test_blocks_of_rows_follow_each_other_without_a_gap() -> None:
    # lanes, then what is carried from hour to hour, then sums by slot, scalars of the sources by slot, own hourly rows
    mass_rows = k.MASS_SCALARS.stop - k.MASS_SCALARS.start
    blocks = [
        (k.LOSS, k.MASS), (k.MASS, mass_rows), (k.OWN, k.SLOTS * k.LANE_SCALARS), (k.TANK_C, k.FUEL - k.TANK_C), (k.FUEL, k.SLOTS),
        (k.HEAT, k.SLOTS), (k.USED, k.SLOTS), (k.DUMPED, k.SLOTS + 1), (k.NOW, k.SLOTS + 1), (k.SLOT, k.SLOTS * k.LANE_SCALARS),
        (k.HOUR, k.HOURS + 1 + k.SLOTS * (k.SOURCE_HOURS + 1)),
    ]  # fmt: skip
    ends = [first + size for first, size in blocks]
    assert [0, *ends] == [*(first for first, _ in blocks), k.WORK]
    assert k.SLOTS == 3


def plant(n: int = 3, **scalars: float) -> dict[str, Any]:
    """A tank of a kilowatt-hour a kelvin without loss, at 20 °C, and one source that gives nothing."""
    found = np.zeros(k.SCALARS)
    found[[k.TANK_KEEP, k.TANK_RISE, k.TANK_TOP, k.TANK_START]] = 1.0, 1e-3, 60.0, 20.0
    for name, value in scalars.items():
        found[getattr(k, name)] = value
    hours = np.zeros((k.HOURS, n))
    hours[k.ROOM], hours[k.FLOOR_LIMIT] = 20.0, 1e9
    rows = np.zeros((1, k.SOURCE_HOURS, n))
    rows[:, k.TARGET] = -1e3
    return {"scalars": found, "hours": hours, "source_scalars": np.zeros((1, k.BILLED_SCALARS)), "source_hours": rows,
            "order": np.zeros((1, n), dtype=np.int64)}  # fmt: skip


HEAVY = {
    "WITH_MASS": 1.0, "SLAB_SLAB": 1.0, "ROOM_ROOM": 1.0, "SLAB_HEAT": 1e-3, "FLOOR_RESISTANCE": 1e-3, "SLAB_FEEDBACK": 1.0, "ROOM_CEILING": 23.0,
    "TANK_START": 60.0,
}  # fmt: skip


def test_a_room_that_is_just_warm_enough_is_not_short() -> None:
    # slab and room keep what they have; the tank gives nothing at 20 °C
    for below, short in ((20.0, 0.0), (20.0 + 1e-9, 1000.0)):
        heavy = plant(**HEAVY | {"TANK_START": 20.0, "HOUSE_LOSS": 2000.0})
        heavy["hours"][k.COLD_BELOW], heavy["hours"][k.DEMAND, 1:] = below, 1000.0
        out, *_ = one_year(**heavy)
        # the house lacks 2 kW for each kelvin below 21 °C, but never more than its demand
        assert out[k.SHORT].tolist() == pytest.approx([0.0, short, short])
        assert out[k.ROOM_T].tolist() == [20.0] * 3


def test_a_room_at_its_ceiling_is_not_charged_ahead() -> None:
    for ceiling, call in ((20.0, 1000.0), (20.5, 3000.0)):
        heavy = plant(**HEAVY | {"ROOM_CEILING": ceiling})
        heavy["hours"][k.DEMAND, 1:], heavy["hours"][k.PRECHARGE, 1:] = 1000.0, 2.0
        heavy["hours"][k.COLD_BELOW] = 99.0
        out, *_ = one_year(**heavy)
        assert out[k.CALL, 1] == pytest.approx(call)


def test_warmth_over_the_ceiling_goes_out_of_the_window() -> None:
    heavy = plant(**HEAVY)
    heavy["hours"][k.ROOM_WEATHER] = [2.0, 2.0, 0.0]
    out, *_ = one_year(**heavy)
    assert out[k.ROOM_T].tolist() == [22.0, 23.0, 23.0]
    assert out[k.VENTED].tolist() == [0.0, 1.0, 0.0]


def test_half_a_watt_is_not_short_and_more_is() -> None:
    bare = plant()
    shared = share(**bare, degrees=np.array([0.5, 0.6, 2.0]), months=np.array([1, 1, 1]))
    sums = run_lanes(shared, lanes_of(bare["scalars"], bare["source_scalars"], 1, loss_w_k=1.0)).sums[0]
    assert sums[k.SHORT_HOURS] == 2
    assert sums[k.SUM_SHORT] == pytest.approx(2.6 * 3600)
    assert sums[k.SUM_DEMAND] == pytest.approx(3.1 * 3600)
    assert (sums[k.WORST_SHORT], sums[k.LOWEST_ROOM]) == (pytest.approx(2.0), 20.0)


def test_a_fire_is_lit_where_half_its_charge_finds_a_place_and_the_tank_does_not_last() -> None:
    # a full tank that does not last;
    # what the floor will take ahead is half of 8 kWh, or a joule less; or what is left in the fire takes the place
    for ahead, lit in ((4 * 3.6e6, True), (4 * 3.6e6 - 1, False)):
        one = plant(TANK_START=60.0)
        one["source_scalars"][0, [k.MUST_RUN, k.BURN_POWER, k.LEAST_CHARGE]] = 1.0, 2000.0, 1.0
        one["source_hours"][0, [k.CHARGE, k.AHEAD, k.UNTIL], 0] = 8 * 3.6e6, ahead, 1e9
        _, heat, dumped, able = one_year(**one)
        assert able[0].tolist() == ([2000.0] * 3 if lit else [0.0] * 3)
        assert dumped[0].tolist() == able[0].tolist()
        assert not heat.any()
    # a kelvin of room in the tank is a kilowatt-hour
    for start, lit in ((56.0, True), (56.001, False)):
        one = plant(TANK_START=start)
        one["source_scalars"][0, [k.MUST_RUN, k.BURN_POWER, k.LEAST_CHARGE]] = 1.0, 2000.0, 1.0
        one["source_hours"][0, [k.CHARGE, k.UNTIL], 0] = 8 * 3.6e6, 1e9
        _, heat, dumped, _ = one_year(**one)
        assert heat[0].tolist() == (pytest.approx([2000.0, 2000.0, 0.0]) if lit else [0.0] * 3)
        assert dumped[0].tolist() == (pytest.approx([0.0, 0.0, 2000.0], abs=1e-6) if lit else [0.0] * 3)


def test_a_tank_that_lasts_until_the_next_charge_is_filled_by_whole_charges_alone() -> None:
    # a kilowatt-hour a kelvin: room for 4 of 8 kWh at 56 °C, and above the 20 °C that the floor needs 36 kWh are held; 8 fit at 52 °C
    for start, until_kwh, lit in ((56.0, 36.0, False), (56.0, 36.001, True), (52.0, 0.0, True), (52.001, 31.0, False)):
        one = plant(TANK_START=start)
        one["source_scalars"][0, [k.MUST_RUN, k.BURN_POWER, k.LEAST_CHARGE]] = 1.0, 2000.0, 1.0
        one["source_hours"][0, [k.CHARGE, k.UNTIL], 0] = 8 * 3.6e6, until_kwh * 3.6e6
        _, _, _, able = one_year(**one)
        assert bool(able[0, 0]) is lit


def test_a_charge_that_is_smaller_than_an_hour_burns_out_in_it() -> None:
    one = plant()
    one["source_scalars"][0, [k.MUST_RUN, k.BURN_POWER, k.LEAST_CHARGE]] = 1.0, 5000.0, 1.0
    one["source_hours"][0, k.CHARGE, [0, 2]] = 3 * 3.6e6, 7 * 3.6e6
    _, heat, *_ = one_year(**one)
    assert heat[0].tolist() == pytest.approx([3000.0, 0.0, 5000.0])


def test_the_sun_meets_the_tank_at_the_hour_s_end() -> None:
    # 4,000 W at 0 °C less 100 W/K: a tank from 20 °C ends at (20 + 0.001 × 4000) / 1.1 and 100 W/K less of that
    one = plant(n=2)
    one["source_scalars"][0, [k.MUST_RUN, k.SLOPE]] = 1.0, 100.0
    one["source_hours"][0, k.CAPACITY] = [4000.0, 0.0]
    out, heat, _, able = one_year(**one)
    end = 24.0 / 1.1
    assert out[k.TANK, 0] == pytest.approx(end)
    assert heat[0].tolist() == able[0].tolist() == pytest.approx([4000.0 - 100.0 * end, 0.0])


def test_sources_give_in_their_order_up_to_what_is_missing() -> None:
    own, rows = np.zeros((2, k.BILLED_SCALARS)), np.zeros((2, k.SOURCE_HOURS, 4))
    rows[:, k.TARGET] = -1e3
    rows[:, k.CAPACITY] = [[3000.0] * 4, [2000.0] * 4]
    rows[1, k.TARGET, 3] = 21.0
    two = plant(n=4) | {"source_scalars": own, "source_hours": rows}
    two["hours"][k.DEMAND] = [4000.0, 4000.0, 6000.0, 1000.0]
    two["order"] = np.array([[0, 1, 1, 0], [1, 0, 0, 1]])
    out, heat, *_ = one_year(**two)
    assert heat.tolist() == [pytest.approx(one) for one in ([3000.0, 2000.0, 3000.0, 1000.0], [1000.0, 2000.0, 2000.0, 1000.0])]  # fmt: skip
    assert out[k.SHORT].tolist() == pytest.approx([0.0, 0.0, 1000.0, 0.0])
    # in the last hour the second may store up to 21 °C: a kilowatt-hour
    assert out[k.TANK].tolist() == pytest.approx([20.0, 20.0, 20.0, 21.0])


def test_a_hot_tank_gives_the_floor_what_the_way_lets_through() -> None:
    # 5 K/kW between tank and floor: from 60 °C in a room of 20 °C at most 8 kW, at the hour's end (60 - 20) / (5 + 1) kW without a source
    for demand, delivered, beyond in ((9000.0, 40 / 6e-3, 1000.0), (5000.0, 5000.0, 0.0)):
        one = plant(n=1, WATER_RESISTANCE=5e-3, TANK_START=60.0)
        one["hours"][k.DEMAND] = demand
        out, *_ = one_year(**one)
        assert out[k.DELIVERED, 0] == pytest.approx(delivered)
        assert out[k.BEYOND, 0] == pytest.approx(beyond)
        assert out[k.SHORT, 0] == pytest.approx(demand - delivered)
    # a tank cooler than the floor gives nothing and takes nothing
    cool = plant(n=1, WATER_RESISTANCE=5e-3, TANK_START=15.0)
    cool["hours"][k.DEMAND] = 1000.0
    out, *_ = one_year(**cool)
    assert (out[k.DELIVERED, 0], out[k.TANK, 0]) == (0.0, 15.0)


def test_a_charge_follows_what_tank_and_floor_will_take_down_to_the_smallest() -> None:
    # 8 kWh burn at 2 kW for 4 h; the floor takes 1 kW; 2 kWh of room in the tank at 58 °C, so half a charge fits: it
    # burns 2 h, of which the floor takes 2 kWh and the tank 2 kWh
    for least, start, loaded in (
        (0.25, 58.0, 4.0),
        (0.75, 58.0, 6.0),
        (0.25, 59.9, 2.0),
        (1.0, 50.0, 8.0),
        (0.25, 40.0, 8.0),
    ):
        one = plant(n=5, TANK_START=start)
        one["source_scalars"][0, [k.MUST_RUN, k.BURN_POWER, k.LEAST_CHARGE]] = 1.0, 2000.0, least
        one["source_hours"][0, [k.CHARGE, k.AHEAD, k.UNTIL], 0] = 8 * 3.6e6, 4 * 3.6e6, 1e9
        one["hours"][k.DEMAND] = 1000.0
        _, _heat, dumped, able = one_year(**one)
        assert able[0].sum() == pytest.approx(1000 * loaded)
        if least == 0.25 and start != 59.9:
            assert dumped.sum() == pytest.approx(0.0, abs=1e-6)


def test_the_call_comes_before_the_tank() -> None:
    # 5 K/kW between water and room: 4 kW want a tank at 40 °C; this one is at 20 °C and takes 20 kWh to get there
    one = plant(n=4, WATER_RESISTANCE=5e-3, TANK_RISE=1e-3)
    one["hours"][k.DEMAND] = 4000.0
    one["source_hours"][0, k.CAPACITY] = 5000.0
    out, *_ = one_year(**one)
    assert out[k.DELIVERED].tolist() == pytest.approx([4000.0] * 4)
    assert out[k.TANK].tolist() == pytest.approx([21.0, 22.0, 23.0, 24.0])
    assert not out[k.SHORT].any()
    # collectors reach the floor through the tank alone
    one["source_scalars"][0, k.MUST_RUN] = 1.0
    out, _heat, *_ = one_year(**one)
    assert out[k.DELIVERED, 0] == pytest.approx(5.0 / 6e-3)


def test_pumps_run_while_thermostats_call() -> None:
    # a floor of 5 K/kW at 60 °C takes 40 K / (5 + 1) K/kW over the hour in which the tank cools; it wants 1 kW
    one = plant(n=1, WATER_RESISTANCE=5e-3, TANK_START=60.0, PUMP_POWER=45.0)
    one["hours"][k.DEMAND] = 1000.0
    could = 40.0 / 6e-3
    for limit, duty in ((1e9, 1000.0 / could), (2000.0, 0.5), (800.0, 1.0)):
        one["hours"][k.FLOOR_LIMIT] = limit
        out, *_ = one_year(**one)
        assert out[k.DUTY, 0] == pytest.approx(duty)
        lanes = lanes_of(one["scalars"], one["source_scalars"], 1)
        sums = run_lanes(share(**one, shares=np.ones((2, 1, 1))), lanes, alone=True)
        assert sums.energy_j[0, 1].sum() == pytest.approx(45.0 * duty * 3600)
    # a source that holds the tank just at need keeps them running, and so does one that is not enough
    cold = plant(n=2, WATER_RESISTANCE=5e-3, TANK_START=25.0)
    cold["hours"][k.DEMAND], cold["hours"][k.FLOOR_LIMIT] = 1000.0, 1e9
    for capacity in (3000.0, 500.0):
        cold["source_hours"][0, k.CAPACITY] = capacity
        assert one_year(**cold)[0][k.DUTY] == pytest.approx([1.0, 1.0])
    # the hot zone of a stratified tank serves 40 K / 5 K/kW, then the cold one nothing more
    zones = plant(n=1, WATER_RESISTANCE=5e-3, WATER_DROP=5e-3, ZONES_KEPT=1.0, TANK_START=60.0)
    zones["hours"][k.DEMAND] = 1000.0
    assert one_year(**zones)[0][k.DUTY, 0] == pytest.approx(1000.0 / 8000.0)


def test_pumps_and_fans_do_not_hang_on_rounding() -> None:
    one = plant(n=4, PUMP_POWER=45.0)
    one["hours"][k.DEMAND] = [0.0, 1e-10, 0.4, 0.6]
    one["source_hours"][0, k.CAPACITY] = 5000.0
    one["source_scalars"][0, k.AUX_W] = 7.0
    sums = run_lanes(
        share(**one, shares=np.ones((2, 1, 4))), lanes_of(one["scalars"], one["source_scalars"], 1), alone=True
    )
    assert sums.energy_j[0, 1].sum() == pytest.approx((45.0 + 7.0) * 3600)
