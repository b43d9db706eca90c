"""Starts of a unit on a store against a thermostat stepped second by second, and by hand."""

from __future__ import annotations

import numpy as np
import pytest
from cases import constant_weather, study

from costsim import simulate
from costsim.physics.cycling import starts_per_hour


def stepped(load_w: float, unit_w: float, store_j: float, hours: int = 200) -> float:
    """Starts an hour of a thermostat that switches at an empty and at a full store, second by second."""
    held, on, starts = 0.5 * store_j, True, 0
    for _ in range(hours * 3600):
        held += (unit_w if on else 0.0) - load_w
        if on and held >= store_j:
            on = False
        elif not on and held <= 0.0:
            on, starts = True, starts + 1
    return starts / hours


@pytest.mark.parametrize("share", [0.1, 0.5, 0.8])
def test_starts_of_a_thermostat(share: float) -> None:
    store = 300 * 4180.0 * 5
    by_formula = float(starts_per_hour(load_w=share * 10e3, smallest_w=10e3, store_j=store))
    assert stepped(share * 10e3, 10e3, store) == pytest.approx(by_formula, rel=0.03)


def test_none_where_nothing_is_wanted_or_the_unit_runs_through() -> None:
    assert starts_per_hour(load_w=[0.0, 10e3, 12e3], smallest_w=10e3, store_j=1e6).tolist() == [0.0, 0.0, 0.0]
    assert float(starts_per_hour(load_w=5e3, smallest_w=0.0, store_j=1e6)) == 0.0
    with pytest.raises(ValueError, match="holds nothing"):
        starts_per_hour(load_w=5e3, smallest_w=10e3, store_j=0.0)


def test_too_many_starts_are_told_with_what_would_help() -> None:
    # 3 kW of 20 kW on 50 L and 5 K: 3 × 17 / (20 × 1,036 kJ) × 3,600
    oil = {"kind": "oil", "output": "20 kW", "efficiency": "85 %", "altitude_rule": "none"}
    tank = {"tank__volume": "50 L", "tank__loss": "0 W/K"}
    option = simulate(study(oil, **tank), constant_weather(5.0)).options[0]
    facts = option.sources[0].facts
    by_hand = 3e3 * 17e3 / (20e3 * 0.05 * 992.2 * 4179 * 5) * 3600
    assert np.median(facts["starts"] / 8760) == pytest.approx(by_hand, rel=2e-3)
    assert any(f"starts up to {facts['most_starts_per_hour']:.1f} times an hour" in text for text in option.warnings)
    wide = simulate(study(oil, **tank, tank__differential="20 K"), constant_weather(5.0)).options[0]
    assert wide.sources[0].facts["starts"] == pytest.approx(facts["starts"] / 4, rel=1e-6)
    assert not any("times an hour" in text for text in wide.warnings)
    # one that modulates as far as the load does not start, and without a tank nothing is said
    assert (
        simulate(study({**oil, "min_output": "3 kW"}, **tank), constant_weather(5.0))
        .options[0]
        .sources[0]
        .facts["starts"]
        < 2
    )
    assert "starts" not in simulate(study(oil), constant_weather(5.0)).options[0].sources[0].facts
