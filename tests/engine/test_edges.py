"""Places in the kernel's arrays, and the hours in which it could go either way."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from costsim.engine import rows as k
from costsim.engine.block import lanes_of, one_year, run_lanes, share

# families of places, each from its first to the size of its array
SCALARS = "TANK_KEEP TANK_RISE LOSS_STATE LOSS_NET WATER_RESISTANCE TANK_TOP TANK_START WITH_MASS SLAB_SLAB SLAB_ROOM ROOM_SLAB ROOM_ROOM SLAB_HEAT ROOM_HEAT"
SCALARS += " ROOM_GAIN SLAB_GAIN SLAB_FEEDBACK FLOOR_RESISTANCE ROOM_CEILING PUMP_POWER SCALARS"
ONE_BY_ONE = {
    "plant": (0, SCALARS),
    "hours": (0, "DEMAND ROOM FLOOR_LIMIT GAINS SLAB_WEATHER ROOM_WEATHER PRECHARGE COLD_BELOW HOURS"),
    "hours of lanes": (0, "DEMAND ROOM FLOOR_LIMIT GAINS SLAB_WEATHER ROOM_WEATHER PRECHARGE COLD_BELOW DEGREES SOURCES"),
    "hours of a source": (0, "CAPACITY TARGET CHARGE AHEAD SOURCE_HOURS"),
    "hours of a lane's source": (0, "CAPACITY TARGET CHARGE AHEAD PER_HEAT SOURCE_ROWS"),
    "source": (0, "SLOPE MUST_RUN BURN_POWER SOURCE_SCALARS"),
    "billed source": (0, "SLOPE MUST_RUN BURN_POWER MIN_FIRE DEGRADATION STANDBY AUX_SHARE AUX_W ELECTRIC BILLED_SCALARS"),
    "a lane's source": (9, "DAMPED DAMPED_WATER PER_LEAST FACTOR LANE_SCALARS"),
    "results": (0, "DELIVERED SHORT TANK TANK_LOSS CALL SLAB_T ROOM_T VENTED BEYOND RESULTS"),
    "sums": (0, "SUM_DEMAND SUM_DELIVERED SUM_SHORT SHORT_HOURS WORST_SHORT SUM_PUMP_HOURS LOWEST_ROOM SUMS"),
    "kinds": (1, "FIRE SUN TOLD CYCLING"),
    "lane": (0, "LOSS SHIFT LIMIT KEEP RISE PER_RISE WATER PER_WATER PER_BOTH TOP START PUMP STEPS STATE_LOSS NET_LOSS MASS"),
    "lane with slab": (26, "PER_SLAB_HEAT INDOOR OWN"),
    "carried": (67, "TANK_C SLAB_C ROOM_C FUEL"),
    "pieces": (73, "WANTED GIVEN MISSING HOURS_SHORT WORST RUNNING LOWEST HEAT"),
}  # fmt: skip


@pytest.mark.parametrize("family", ONE_BY_ONE)
def test_every_row_has_a_place_of_its_own(family: str) -> None:
    first, names = ONE_BY_ONE[family]
    places = [getattr(k, name) for name in names.split()]
    assert places == list(range(first, first + len(places)))


def test_blocks_of_rows_follow_each_other() -> None:
    assert k.SOURCE_SCALARS == k.MIN_FIRE
    assert k.BILLED_SCALARS == k.DAMPED
    assert k.MASS + (k.ROOM_CEILING - k.SLAB_SLAB + 1) == k.PER_SLAB_HEAT
    assert k.OWN + k.SLOTS * k.LANE_SCALARS == k.LANES == k.TANK_C
    for first, size, following in (
        (k.FUEL, k.SLOTS, k.WANTED), (k.HEAT, k.SLOTS, k.USED), (k.USED, k.SLOTS + 1, k.NOW), (k.NOW, k.SLOTS + 1, k.SLOT),
        (k.SLOT, k.SLOTS * k.LANE_SCALARS, k.HOUR), (k.HOUR, k.SOURCES + k.SLOTS * k.SOURCE_ROWS, k.WORK),
    ):  # fmt: skip
        assert first + size == following
    assert (k.HOUR_S, k.ROUNDING_W, k.WANTED_SHARE, k.SLOTS) == (3600.0, 0.5, 0.5, 3)


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
        heavy = plant(**HEAVY | {"TANK_START": 20.0})
        heavy["hours"][k.COLD_BELOW], heavy["hours"][k.DEMAND, 1:] = below, 1000.0
        out, *_ = one_year(**heavy)
        # wished for: a slab a kelvin over the room, which takes 1 kWh
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
    assert (sums[k.WORST_SHORT], sums[k.SUM_PUMP_HOURS], sums[k.LOWEST_ROOM]) == (pytest.approx(2.0), 0.0, 20.0)


def test_a_fire_is_lit_where_half_its_charge_finds_a_place() -> None:
    # a full tank; what the floor will take ahead is half of 8 kWh, or a joule less; or what is left in the fire takes the place
    for ahead, lit in ((4 * 3.6e6, True), (4 * 3.6e6 - 1, False)):
        one = plant(TANK_START=60.0)
        one["source_scalars"][0, [k.MUST_RUN, k.BURN_POWER]] = 1.0, 2000.0
        one["source_hours"][0, k.CHARGE, 0], one["source_hours"][0, k.AHEAD, 0] = 8 * 3.6e6, ahead
        _, heat, dumped, able = one_year(**one)
        assert able[0].tolist() == ([2000.0] * 3 if lit else [0.0] * 3)
        assert dumped[0].tolist() == able[0].tolist()
        assert not heat.any()
    # a kelvin of room in the tank is a kilowatt-hour
    for start, lit in ((56.0, True), (56.001, False)):
        one = plant(TANK_START=start)
        one["source_scalars"][0, [k.MUST_RUN, k.BURN_POWER]] = 1.0, 2000.0
        one["source_hours"][0, k.CHARGE, 0] = 8 * 3.6e6
        _, heat, dumped, _ = one_year(**one)
        assert heat[0].tolist() == (pytest.approx([2000.0, 2000.0, 0.0]) if lit else [0.0] * 3)
        assert dumped[0].tolist() == (pytest.approx([0.0, 0.0, 2000.0], abs=1e-6) if lit else [0.0] * 3)


def test_a_charge_that_is_smaller_than_an_hour_burns_out_in_it() -> None:
    one = plant()
    one["source_scalars"][0, [k.MUST_RUN, k.BURN_POWER]] = 1.0, 5000.0
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
