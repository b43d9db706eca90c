"""What a boiler gives where its water ends, and its smallest fire in thin air; worked by hand."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, offer_of, wavy_weather

from costsim.sources import Offer

COLD = constant_weather(-10.0)
GAS = {"kind": "gas", "output": "10 kW", "efficiency": "90 %", "altitude_rule": "none"}


def offer(source: dict[str, Any], weather: Any = COLD, **house: Any) -> Offer:
    """A source's offer alone."""
    return offer_of(source, weather, **house)[0]


def test_a_hottest_outlet_holds_without_a_flow_too() -> None:
    """Water 1 K over the room for each 1 K of cold: 60 °C at the design's -20 °C, 50 °C at -10 °C, 40 °C at 0 °C; emitters linear."""
    weather = wavy_weather(np.tile([0.0, -10.0], 4380))
    hot = {
        "house__design_supply_temperature": "60 degC",
        "house__design_indoor": "20 degC",
        "place__design_outdoor": "-20 degC",
    }
    plain, ended = (offer({**GAS, **more}, weather, **hot) for more in ({}, {"max_outlet_temperature": "45 degC"}))
    assert plain.capacity_w == pytest.approx(10e3)
    assert set(plain.capacity_w.tolist()) == {10e3}
    assert set(ended.capacity_w[::2].tolist()) == {10e3}
    assert set(ended.capacity_w[1::2].tolist()) == {0.0}
    assert dict(ended.derates) == {"water temperature": pytest.approx(10e3)}
    [told] = [text for text in ended.warnings if "hotter than the" in text]
    assert "stops for 4,380 hours" in told or "stops for 4380 hours" in told


def test_thin_air_takes_its_share_of_the_smallest_fire_too() -> None:
    """Of one stage, the smallest fire is all that is left: 4 % for each 1,000 ft of 2,500 m (8,202 ft), 32.8 % less."""
    high = replace(COLD, altitude_m=2500.0)
    left = 10e3 * (1 - 0.04 * 2500.0 / 304.8)
    unit = {"kind": "gas", "output": "10 kW", "efficiency": "80 %"}
    assert offer(unit, high).min_fire_w == pytest.approx(left)
    assert offer({**unit, "firing": "two_stage"}, high).min_fire_w == pytest.approx(0.6 * left)
    # what was typed stays, but a fire is never larger than what is left
    assert offer({**unit, "min_output": "3 kW"}, high).min_fire_w == pytest.approx(3e3)
    assert offer({**unit, "min_output": "9 kW"}, high).min_fire_w == pytest.approx(left)
