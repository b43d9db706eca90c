"""Parts of the lowering in figures that a pencil can follow: schedules, uses outdoors, lanes, own generation."""

from __future__ import annotations

import os
import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study, wavy_weather

from costsim.engine import ahead, block, gpu, outdoor_uses
from costsim.engine import generation as own_generation
from costsim.engine import layout as k
from costsim.engine.generation import seen_by_rule
from costsim.engine.lane_inputs import LaneInputs, kinds_of
from costsim.engine.lanes import lanes_of
from costsim.engine.mass_rows import reheating_h
from costsim.engine.setpoint import away_share, setpoint_c, zone_setpoints
from costsim.engine.shared import _slots, changes, pieces
from costsim.engine.uses import _as_one, _zone
from costsim.errors import SolverError
from costsim.study.outdoor_uses import PoolOrTub, SnowMelt
from costsim.study.schedules import Absence
from costsim.study.uses import WATER_J_M3K, Zone
from costsim.tariffs.calendar import HourCalendar
from costsim.units.faults import build

ELECTRIC = {"kind": "electric", "output": "20 kW"}
CLOCK = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2025)
DAY = np.arange(8760) // 24


# set-points


@pytest.mark.parametrize(
    ("back_at", "last"), [("", 24), ("15:00", 15), ("00:30", 0.5), ("0:00", 0), ("00:00", 0), ("23:00", 23)]
)
def test_nobody_is_there_from_the_first_day_until_the_hour_of_return(back_at: str, last: float) -> None:
    """From 3 to 5 January."""
    absence = build(Absence, {"from": "Jan 3", "to": "Jan 5", **({"back_at": back_at} if back_at else {})})
    away = away_share([absence], CLOCK)
    assert away[:48].sum() == 0.0
    assert away[48:96].tolist() == [1.0] * 48
    assert away[96:120].sum() == last
    assert away[120:].sum() == 0.0
    twice = build(Absence, {"from": "Jan 4", "to": "Jan 10"})
    assert away_share([absence, twice], CLOCK).sum() == 8 * 24.0


def test_while_nobody_is_there_zones_are_no_cooler_than_they_were_and_no_warmer_than_frost() -> None:
    house = study(
        ELECTRIC, house__absence=[{"from": "Jan 3", "to": "Jan 3"}],
        house__setback=[{"indoor_temperature": "16 degC", "windows": ["00:00-12:00"]}, {"indoor_temperature": "18 degC", "windows": ["06:00-24:00"]}],
        house__zone=[{"name": "a", "load": "25 %", "indoor_temperature": "8 degC"}, {"name": "b", "load": "25 %", "indoor_temperature": "22 degC"}],
    ).house  # fmt: skip
    first, second, rest = zone_setpoints(house, CLOCK)
    assert [one.load_share for one in (first, second, rest)] == [0.25, 0.25, 0.5]
    assert (first.setpoint_c[50], second.setpoint_c[50], rest.setpoint_c[50]) == (8.0, 10.0, 10.0)
    assert (first.setpoint_c[2], second.setpoint_c[2]) == (8.0, 22.0)
    # of two set-backs the later typed holds
    assert rest.setpoint_c[[2, 7, 13]].tolist() == [16.0, 18.0, 18.0]
    mean = setpoint_c(house, CLOCK)
    assert mean[[2, 50]].tolist() == [0.25 * 8 + 0.25 * 22 + 0.5 * 16, 0.25 * 8 + 0.75 * 10]
    only = setpoint_c(house, CLOCK, np.array([2, 50]))
    assert only.tolist() == [[mean[2]], [mean[50]]]


@pytest.mark.parametrize(("low", "hours"), [(10, 12), (24, 12), (26, 13), (60, 30), (96, 48), (200, 48)])
def test_reheating_may_take_half_of_the_longest_set_back(low: int, hours: int) -> None:
    assert (
        reheating_h(np.r_[np.full(30, 20.0), np.full(low, 19.4), np.full(30, 20.0), np.full(5, 15.0), np.full(9, 20.0)])
        == hours
    )
    assert reheating_h(np.r_[np.full(30, 20.0), np.full(low, 19.5)]) == 12  # half a kelvin is no set-back


# uses of the tank


def test_draws_of_several_uses_are_one() -> None:
    heat = np.array([[0.0, 10.0, 30.0], [0.0, 30.0, 0.0]])
    needs, cold = np.array([[60.0] * 3, [45.0] * 3]), np.array([[10.0] * 3, [30.0] * 3])
    ready = np.array([[True] * 3, [False] * 3])
    found = _as_one(heat, heat, needs, cold, np.array([False, True]), ready, settled=False)
    assert found.heat_w.tolist() == [0.0, 40.0, 30.0]
    assert found.needs_c.tolist() == [60.0, 60.0, 60.0]
    assert found.cold_c.tolist() == [10.0, 25.0, 10.0]
    assert not found.settled
    # the second waits: of 5, 25 and -1 W that are idle it gets no more
    late = found.within(np.array([5.0, 25.0, -1.0]))
    assert late.asked_w.tolist() == [[0.0, 10.0, 30.0], [0.0, 25.0, 0.0]]
    assert late.by_use_w.tolist() == heat.tolist()
    assert late.settled
    only_low = _as_one(heat[1:], heat[1:], needs[1:], np.full((1, 3), 44.5), late.late[:1], ready[1:], settled=True)
    assert only_low.cold_c[1] == 44.0  # a kelvin below what is wanted at least


def test_a_shed_takes_its_share_by_the_cold() -> None:
    """2 kW at -8 °C in a shed of 12 °C, with water of 32 °C."""
    shed = build(
        Zone,
        {
            "kind": "zone",
            "design_heat_loss": "2 kW",
            "indoor_temperature": "12 degC",
            "design_supply_temperature": "32 degC",
        },
    )
    heat, needs, cold = _zone(shed, wavy_weather(np.resize([-8.0, 2.0, 12.0, 30.0, -18.0], 8760)), -8.0)
    assert heat[:5].tolist() == [2000.0, 1000.0, 0.0, 0.0, 3000.0]
    assert needs[:5].tolist() == [32.0, 22.0, 13.0, 13.0, 42.0]
    assert set(cold) == {12.0}
    mild, *_ = _zone(shed, constant_weather(11.0), 20.0)  # a design warmer than the shed: a kelvin is its least
    assert mild[0] == 2000.0


def test_a_day_s_surplus_of_sun_is_for_the_days_after() -> None:
    days = np.repeat([10.0, -30.0, 20.0, 25.0, 5.0], 24)
    assert outdoor_uses._by_day_w(days)[::24].tolist() == [10.0, 0.0, 0.0, 15.0, 5.0]
    swing = np.tile(np.r_[np.full(12, -10.0), np.full(12, 30.0)], 2)
    assert outdoor_uses._by_day_w(swing).tolist() == [10.0] * 48


def test_a_season_begins_with_four_days_of_warming() -> None:
    pool = build(PoolOrTub, {"kind": "pool_or_tub", "area": "10 m2", "depth": "1.5 m", "water_temperature": "27 degC"})
    season, air = np.zeros(8760), np.where(np.arange(8760) < 3000, 7.0, 17.0)
    season[3000:5000] = 1.0
    heat = outdoor_uses._warm_up_w(season, air, 27.0, pool)
    each = 10 * 1.5 * WATER_J_M3K * 20.0 / (96 * 3600)
    assert heat[3000:3096].tolist() == pytest.approx([each] * 96)
    assert np.count_nonzero(heat) == 96
    # water is never colder than a degree, and a year without a break never starts
    cold = outdoor_uses._warm_up_w(season, np.full(8760, -20.0), 27.0, pool)
    assert cold[3000] == pytest.approx(each * 26 / 20)
    assert not outdoor_uses._warm_up_w(np.ones(8760), air, 27.0, pool).any()
    around = np.zeros(8760)
    around[8700:] = 1.0
    assert np.flatnonzero(outdoor_uses._warm_up_w(around, air, 27.0, pool)).tolist() == [*range(36), *range(8700, 8760)]


def test_dew_points_by_the_humidity_told() -> None:
    """Magnus: 20 °C and 50 % are 9.3 °C, 55 % are 10.7 °C (psychrometric charts)."""

    def dew(**given: Any) -> float:
        pool = build(PoolOrTub, {"kind": "pool_or_tub", "area": "10 m2", **given})
        return float(outdoor_uses._dew_point_c(np.full(48, 20.0), pool)[0])

    assert dew(humidity="50 %") == pytest.approx(9.3, abs=0.1)
    assert dew(indoor_air="20 degC") == pytest.approx(10.7, abs=0.1)
    assert dew(indoor_air="20 degC", humidity="100 %") == pytest.approx(20.0)


def test_where_no_wind_is_told_it_is_three_metres_a_second() -> None:
    weather = constant_weather(0.0)
    assert set(outdoor_uses._wind_m_s(weather)) == {3.0}


@pytest.mark.parametrize(("air", "falls"), [(-15.1, False), (-15.0, True), (1.0, True), (1.1, False)])
def test_snow_falls_from_minus_fifteen_to_one_degree(air: float, falls: bool) -> None:
    fall, first = outdoor_uses.snowfall_m_s(np.full(8760, air), 0.012)
    assert bool(fall.any()) == falls
    if falls:  # 12 mm, a millimeter an hour, are two falls of six hours
        assert (len(first), np.count_nonzero(fall)) == (2, 12)
        assert fall[fall > 0].tolist() == pytest.approx([1e-3 / 3600] * 12)
    none, starts = outdoor_uses.snowfall_m_s(np.full(8760, air), 0.0)
    assert (none.any(), len(starts)) == (False, 0)


def test_a_drive_is_warmed_before_the_snow_and_dried_after_it() -> None:
    """Ten cold hours in a mild year: one fall of six, two hours before and two after; its slab is warmed from -5 °C."""
    air = np.full(8760, 8.0)
    air[1000:1020] = -5.0
    use = build(SnowMelt, {"kind": "snow_melt", "area": "1 m2", "snowfall": "60 mm", "back_loss": "0 %"})
    heat, supply, cold = outdoor_uses.snow_melt(use, wavy_weather(air))
    fall, first = outdoor_uses.snowfall_m_s(air, 0.006)
    [start] = first.tolist()
    assert np.flatnonzero(fall).tolist() == list(range(start, start + 6))
    assert np.flatnonzero(heat).tolist() == list(range(start - 2, start + 8))
    # 100 mm of concrete, 230 kJ/(m² K), through 5.56 K in two hours, beside what the bare slab loses after the fall
    assert heat[start - 1] - heat[start + 7] == pytest.approx(230e3 * 5.56 / 7200)
    assert (supply[0], cold[0]) == (43.0, 29.0)
    ready = build(
        SnowMelt,
        {"kind": "snow_melt", "area": "2 m2", "snowfall": "60 mm", "back_loss": "50 %", "idle_below": "0 degC"},
    )
    kept, *_ = outdoor_uses.snow_melt(ready, wavy_weather(air))
    assert np.flatnonzero(kept).tolist() == list(range(1000, 1020))
    # a slab that idles is warm already
    assert kept[start - 1] == pytest.approx(kept[start + 7]) == pytest.approx(2 * 1.5 * heat[start + 7], rel=0.2)


# rows of the kernel


def test_the_year_is_cut_where_anything_changes() -> None:
    assert pieces(changes([np.array([1, 1, 2, 2, 2]), np.array([0, 0, 0, 0, 1])], 5)).tolist() == [0, 2, 4, 5]
    assert pieces(changes([], 4)).tolist() == [0, 4]


def test_sources_stand_in_slots_of_their_kind() -> None:
    rows = np.zeros((4, k.BILLED_SCALARS))
    rows[0, k.BURN_POWER] = 1.0
    rows[1, [k.DEGRADATION, k.MIN_FIRE]] = 0.1, 0.5
    rows[2, k.MUST_RUN] = 1.0
    rows[3, k.DEGRADATION] = 0.1
    assert kinds_of(rows) == [k.BATCH_FIRED, k.CYCLING, k.SOLAR, k.DISPATCHABLE]
    kinds, slots = _slots([k.CYCLING, k.SOLAR, k.DISPATCHABLE], np.array([[0, 2], [1, 1], [2, 0]]))
    # the sun first; then two that change places: both are asked for what cycling loses
    assert kinds == (k.SOLAR, k.CYCLING, k.CYCLING)
    assert slots.tolist() == [[1, 0, 2], [1, 2, 0]]
    still, same = _slots([k.CYCLING, k.SOLAR, k.DISPATCHABLE], np.array([[0], [1], [2]]))
    assert (still, same.tolist()) == ((k.SOLAR, k.CYCLING, k.DISPATCHABLE), [[1, 0, 2]])
    assert _slots([k.SOLAR], np.array([[0]]))[0] == (k.SOLAR, 0, 0)


def test_lanes_take_what_is_theirs() -> None:
    scalars, source = np.zeros(k.SCALARS), np.zeros((1, k.BILLED_SCALARS))
    scalars[[k.TANK_RISE, k.WATER_RESISTANCE, k.WATER_DROP, k.SLAB_HEAT]] = 0.5, 1.5, 4.0, 0.0
    source[0, [k.SLOPE, k.MIN_FIRE, k.DEGRADATION]] = 2.0, 8.0, 0.25
    found = lanes_of(scalars, source, 2, loss_w_k=np.array([1.0, 2.0]), factor=np.array([[4.0, 5.0]]))
    assert found[k.LOSS].tolist() == [1.0, 2.0]
    assert found[[k.PER_RISE, k.PER_BOTH, k.PER_WATER, k.PER_DROP, k.PER_SLAB_HEAT], 0].tolist() == [
        2.0,
        0.5,
        pytest.approx(1 / 1.5),
        0.25,
        0.0,
    ]
    assert (found[k.LIMIT, 0], found[k.STEPS, 0], found[k.OTHER, 0], found[k.INDOOR, 0], found[k.SHIFT, 0]) == (
        np.inf,
        0.0,
        1.0,
        0.0,
        0.0,
    )
    own = found[k.OWN : k.OWN + k.LANE_SCALARS]
    # a sun's loss of 2 W/K on a rise of 0.5 K/W: it meets half of it
    assert own[[k.DAMPED, k.DAMPED_WATER, k.PER_LEAST, k.DEGRADATION], 0].tolist() == [
        0.5,
        pytest.approx(1 / 3.5),
        0.125,
        0.25,
    ]
    assert own[k.FACTOR].tolist() == [0.25, 0.2]
    source[0, k.MIN_FIRE] = 0.0
    none = lanes_of(scalars, source, 1)[k.OWN : k.OWN + k.LANE_SCALARS]
    assert none[[k.PER_LEAST, k.DEGRADATION, k.FACTOR], 0].tolist() == [1e30, 0.0, 1.0]


def test_hourly_rows_of_lanes_are_packed_with_the_last_one_again() -> None:
    rows = np.arange(12.0).reshape(3, 2, 2)
    found = LaneInputs.of_hours(rows, np.array([1, 0]))
    assert found.entries.tolist() == [[0, 1], [2, 3]]
    assert found.values.tolist() == [[0.0, 4.0, 8.0], [2.0, 6.0, 10.0], [1.0, 5.0, 9.0], [3.0, 7.0, 11.0]]
    packed = found.packed(2)
    assert packed[:, 0].tolist() == [[0.0, 4.0], [8.0, 8.0]]
    assert found.packed(2) is packed
    assert found.pick(np.array([2, 0])).values[0].tolist() == [8.0, 0.0]


# own generation and rules


def test_what_would_be_exported_is_worth_the_export_price(monkeypatch: pytest.MonkeyPatch) -> None:
    """5 kWh made, 1 used by the house: 4 are left. A source of 2 kW at 0.5 takes 4, of 9 kW as much as 3 kW wanted asks: 6."""
    monkeypatch.setattr(
        own_generation, "generation_j", lambda case, weather: np.array([5.0, 5.0, 0.5, 5.0, 0.0]) * 3.6e6
    )
    own = SimpleNamespace(net_metering="none", export_per_j=0.25)
    case: Any = SimpleNamespace(solar_electric=own, other_electricity_j=lambda clock: np.full(5, 3.6e6))

    def seen(capacity: float, key: str = "electricity", metering: str = "none") -> list[float]:
        from costsim.sources import Offer

        fields: dict[str, Any] = dict.fromkeys(Offer.__dataclass_fields__)
        offer = Offer(
            **{
                **fields,
                "price_key": key,
                "capacity_w": np.full(5, capacity),
                "heat_per_input": np.full(5, 0.5),
                "price_per_j": np.full(5, 1.0),
            }
        )
        own.net_metering = metering
        [found] = seen_by_rule(case, constant_weather(0.0), CLOCK, np.array([3000.0, 500.0, 3000.0, 0.0, 0.0]), [offer])
        return np.asarray(found.price_per_j).tolist()

    assert seen(2000.0) == pytest.approx([0.25, 0.25, 1.0, 0.25, 1.0])
    assert seen(9000.0) == pytest.approx([1 - 0.75 * 4 / 6, 0.25, 1.0, 0.25, 1.0])
    assert seen(9000.0, key="off_peak") == seen(9000.0, metering="month") == [1.0] * 5


# compiling ahead, and devices


def test_a_form_is_asked_for_once_and_a_lost_lock_is_broken_after_ten_minutes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(ahead, "_tell", lambda spec, lock: told.append(spec))
    function = SimpleNamespace(_cache=SimpleNamespace(cache_path=str(tmp_path / "new")), signatures=())
    ahead.begin(function, "a")
    ahead.begin(function, "a")
    assert told == ["a"]
    lock = tmp_path / "new" / "compiling-a.lock"
    for age, again in ((590.0, False), (610.0, True)):
        os.utime(lock, (time.time() - age,) * 2)
        ahead.begin(function, "a")
        assert (len(told) == 2) == again
    ahead.begin(SimpleNamespace(_cache=function._cache, signatures=("known",)), "b")
    ahead.begin(SimpleNamespace(signatures=()), "c")
    assert told == ["a", "a"]

    def lost(spec: str, lock: Path) -> None:
        raise OSError

    monkeypatch.setattr(ahead, "_tell", lost)
    ahead.begin(function, "d")
    assert not (tmp_path / "new" / "compiling-d.lock").exists()


def test_forms_come_through_a_pipe_in_whole_lines() -> None:
    inbox, outbox = os.pipe()
    os.write(outbox, b"a\tone\nb\ttwo\nc\tth")
    os.write(outbox, b"ree\n")
    os.close(outbox)
    assert list(ahead._told(inbox)) == [["a", "one"], ["b", "two"], ["c", "three"]]
    with pytest.raises(OSError, match="descriptor"):
        os.fstat(inbox)


def test_without_a_device_it_is_said_why(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpu, "cuda", SimpleNamespace(is_available=lambda: True))
    assert gpu.why_not() == ""
    monkeypatch.setattr(gpu, "cuda", SimpleNamespace(is_available=lambda: False))
    assert gpu.why_not() == "no CUDA device is found"
    with pytest.raises(SolverError, match="no CUDA device"):
        gpu.run_on_gpu(None, np.zeros((1, 1)))  # type: ignore[arg-type]
    monkeypatch.setattr(gpu, "cuda", None)
    assert "pip install 'costsim[gpu]'" in gpu.why_not()


# which form of the kernel runs


def test_a_form_is_told_by_one_word_and_made_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[Any] = []
    monkeypatch.setattr(block, "_warm", made.append)
    forms = [
        block._Form((k.SOLAR, k.CYCLING, 0), 1, True, False, True, 0, 1, False),
        block._Form((k.DISPATCHABLE, 0, 0), 0, False, True, False, 1, 0, True),
        block._Form((k.ANY,) * 3, k.ANY, True, True, True, 0, 0),
    ]
    for form in forms:
        block.compile_form(form.spec())
    assert made == forms
    assert [form.width for form in forms] == [k.WIDTH, k.WIDTH, 1]


def test_topologies_share_a_form_below_65_536_and_wish_for_their_own_from_4_096(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    later: set[Any] = set()
    monkeypatch.setattr(block, "_later", later)
    monkeypatch.setattr(block, "AT_ONCE", 8)
    own = block._Form((k.SOLAR, k.DISPATCHABLE, k.CYCLING), 1, True, False, False, 1, 0, False)
    shared = block._Form((k.SOLAR, k.CYCLING, k.CYCLING), 1, True, False, True, 1, 0, True)
    assert own.for_job(65_536) is own
    assert own.for_job(4_095) == shared
    assert later == set()
    assert own.for_job(65_535) == shared
    assert later == {own}
    later.clear()
    assert own.for_job(4_096) == shared
    assert later == {own}
    later.clear()
    monkeypatch.setattr(block, "AT_ONCE", 0)
    own.for_job(5_000)
    assert later == set()


def test_lanes_come_first_again() -> None:
    values = np.arange(12.0).reshape(2, 2, 3)  # two blocks of three lanes, two sums each
    assert block._unblocked(values, 5).tolist() == [[0.0, 3.0], [1.0, 4.0], [2.0, 5.0], [6.0, 9.0], [7.0, 10.0]]


def test_fans_are_any_electricity_beside_the_input() -> None:
    lanes = np.zeros((k.LANES, 3))
    assert not block.has_fans(lanes, 2)
    for source, row in ((0, k.AUX_SHARE), (1, k.AUX_W)):
        one = lanes.copy()
        one[k.OWN + source * k.LANE_SCALARS + row, 2] = 0.5
        assert block.has_fans(one, 2)
        assert block.has_fans(one, 1) == (source == 0)
