"""Recovery after set-back: by hand, in a whole study, and never as unmet load."""

from __future__ import annotations

import numpy as np
import pytest
from cases import study, wavy_weather

from costsim import simulate
from costsim.results.recovery import recovery_of
from costsim.views.text_season import text_comparison

LOOPS = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
BACK = [{"indoor_temperature": "15 degC", "windows": ["22:00-06:00"]}]


def test_recoveries_by_hand() -> None:
    setpoint = np.array([20.0, 16, 16, 20, 20, 20, 16, 20, 20, 16])
    room = np.array([20.0, 18, 16, 17, 18, 20, 18, 18, 19, 18])
    found = recovery_of(setpoint_c=setpoint, room_c=room, outdoor_c=np.arange(10.0))
    assert found is not None
    # from 16 °C over 17 and 18 to 20 °C: 19.5 °C after 2.75 h; the second time it falls again after 2 h
    assert (found.longest_h, found.longest_at, found.outdoor_c) == (2.75, 3, 3.0)
    assert (found.count, found.unfinished, found.setpoint_c) == (2, 1, 20.0)
    assert found.median_h == pytest.approx((2.75 + 2) / 2)
    assert recovery_of(setpoint_c=np.full(5, 20.0), room_c=np.full(5, 19.0), outdoor_c=np.zeros(5)) is None


def test_after_a_weekend_a_cabin_is_recovering_and_not_cold() -> None:
    weekend = [{"indoor_temperature": "8 degC", "windows": ["00:00-24:00"], "days": "Mon-Thu"}]
    weather = wavy_weather(-4.0 + 4.0 * np.sin(2 * np.pi * np.arange(8760) / 24))
    case = study({"kind": "electric", "output": "12 kW"}, house__setback=weekend, floor__loops=LOOPS, floor__mass={})
    found = simulate(case, weather).options[0]
    assert found.recovery is not None
    assert found.recovery.median_h > 3
    assert found.recovery.unfinished == 0
    assert found.unmet.hours == 0


def test_a_stronger_source_is_warm_again_sooner_and_neither_is_cold() -> None:
    weather = wavy_weather(-4.0 + 4.0 * np.sin(2 * np.pi * np.arange(8760) / 24))
    found = []
    for output in ("8 kW", "14 kW"):
        case = study({"kind": "electric", "output": output}, house__setback=BACK, floor__loops=LOOPS, floor__mass={})
        result = simulate(case, weather)
        found.append(result.options[0])
        assert "Warm again after set-back" in text_comparison(case, result, "us", "test", "")
    weak, strong = found
    assert weak.recovery is not None
    assert strong.recovery is not None
    assert strong.recovery.median_h <= weak.recovery.median_h
    assert weak.unmet.hours == 0
    assert weak.recovery.count == 365
    assert weak.recovery.median_h > 0
