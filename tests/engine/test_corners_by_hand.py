"""Corners of the engine: where snow falls, what compiled code answers, which form a device gets, and when two zones are one."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from cases import constant_weather
from engine.test_small_by_hand import Device, tank_of_an_hour
from numba.core import callconv

from costsim.engine import gpu, layered
from costsim.engine import layout as k
from costsim.engine.compiling import plain
from costsim.engine.lanes import lanes_of
from costsim.engine.object_code import Code
from costsim.engine.outdoor_uses import snow_melt, snowfall_m_s
from costsim.engine.shared import share
from costsim.study.outdoor_uses import SnowMelt
from costsim.units.faults import build as built

# snow


@pytest.mark.parametrize(("fall_h", "starts"), [(6, [4379]), (18, [2189, 4379, 6569]), (4, [4379]), (10, [2919, 5839])])
def test_snow_falls_in_storms_of_six_hours_at_even_steps_of_the_cold_hours(fall_h: int, starts: list[int]) -> None:
    """A millimeter an hour: 18 mm are three storms, at one, two and three quarters of a year that is cold in all its hours."""
    depth = fall_h * 1e-3
    fall, first = snowfall_m_s(np.full(8760, -3.0), depth)
    assert first.tolist() == starts
    assert np.flatnonzero(fall).tolist() == [start + hour for start in starts for hour in range(6)]
    assert fall.sum() * 3600.0 == pytest.approx(depth, rel=1e-12)


def test_it_snows_between_fifteen_below_and_one_above() -> None:
    outdoor = np.full(8760, 20.0)
    outdoor[100:104] = -15.0, 1.0, -15.1, 1.1
    fall, first = snowfall_m_s(outdoor, 0.01)
    assert (np.flatnonzero(fall).tolist(), first.tolist()) == ([100, 101], [100])
    for nothing in (snowfall_m_s(np.full(8760, 20.0), 0.01), snowfall_m_s(outdoor, 0.0)):
        assert not nothing[0].any()
        assert len(nothing[1]) == 0


# compiled code


def test_code_is_done_where_numba_says_so() -> None:
    """The compiler's own convention has one status for a value and one for none; all others are faults."""
    code = Code.__new__(Code)
    code.kinds = [None]
    answers: list[int] = []
    code._call = lambda *words: answers[0]  # type: ignore[assignment]
    for done in (callconv.RETCODE_OK, callconv.RETCODE_NONE):
        answers[:] = [done.constant]
        assert code(5)
    for fault in (callconv.RETCODE_EXC.constant, callconv.RETCODE_STOPIT.constant, callconv.RETCODE_USEREXC.constant):
        answers[:] = [fault]
        with pytest.raises(RuntimeError, match="the kernel stopped"):
            code(5)


@pytest.mark.parametrize("charges", [0, 1])
def test_a_device_looks_at_meters_where_there_are_any(monkeypatch: pytest.MonkeyPatch, charges: int) -> None:
    asked: list[Any] = []
    monkeypatch.setattr(gpu, "cuda", Device())
    monkeypatch.setattr(gpu, "_kernel", lambda *form: asked.append(form))
    plant = tank_of_an_hour(4)
    meters: dict[str, Any] = {"meters": np.zeros((1, 4)), "payers": np.ones((1, 2))} if charges else {}
    shared = share(**plant, shares=np.ones((2, 1, 4)), months=np.ones(4, dtype=int), degrees=np.zeros(4), **meters)
    gpu._launcher(shared, lanes_of(plant["scalars"], plant["source_scalars"], 1))
    assert asked == [(shared.kinds, 0, 0, 0, bool(charges))]


# zones of a tank


def test_zones_are_one_where_the_bottom_is_warmer_or_the_hot_one_fills_the_tank() -> None:
    """A quarter at 40 °C over the rest at 50 °C are 47.5 °C all through."""
    even, full, top = plain(layered.one_where_even), plain(layered.one_where_full), plain(layered.zone_on_top)
    assert even(40.0, 50.0, 0.25) == (47.5, 47.5, 0.0)
    assert even(50.0, 40.0, 0.25) == (50.0, 40.0, 0.25)
    assert full(60.0, 20.0, 1.0 - k.SMALL / 2.0) == (60.0, 0.0)
    assert full(60.0, 20.0, 0.75) == (20.0, 0.75)
    # a tank that is one zone serves with what it has at the bottom
    assert top(60.0, 20.0, 0.0) == (20.0, 1.0)
    assert top(60.0, 20.0, 0.5) == (60.0, 0.5)


def test_what_is_drawn_from_the_top_comes_back_at_the_bottom() -> None:
    """Of a tank half hot a tenth is drawn and returns at 30 °C: of the cold six tenths five are at 20 °C and one at 30 °C."""
    draw = plain(layered.draw)
    cold_c, hot = draw(20.0, 0.5, 0.1, 30.0)
    assert hot == pytest.approx(0.4)
    assert cold_c == pytest.approx((0.5 * 20.0 + 0.1 * 30.0) / 0.6)
    assert draw(20.0, 0.5, 0.0, 30.0) == (20.0, 0.5)


def test_a_drive_idles_in_hours_colder_than_it_is_told() -> None:
    """A year at -3 °C: kept warm all year below -2 °C, and not at all below -3 °C, which it never is."""
    heats = []
    for below in ("-2 degC", "-3 degC"):
        use = built(SnowMelt, {"kind": "snow_melt", "area": "64 m2", "snowfall": "60 mm", "idle_below": below})
        heats.append(snow_melt(use, constant_weather(-3.0))[0])
    assert (heats[0] > 0.0).all()
    assert (heats[1] > 0.0).mean() < 0.01  # the one storm, and the hours around it
