"""Water that returns to a boiler, with and without a tank, by hand."""

from __future__ import annotations

import numpy as np
import pytest
from cases import offer_of, wavy_weather
from engine.test_small_by_hand import seen as seen_by

from costsim.physics.combustion import theoretical_efficiency


def test_water_returns_cooler_only_where_no_tank_stands_between() -> None:
    # 2 K for each kW, of 4 K over the room; the floor takes no more than 5 kW; nothing colder than the room comes back
    alone = {"tank_j_k": 0.0, "drop_k_w": 0.002}
    assert seen_by([0.0, 1000.0, 9000.0], None, None, **alone)["drop_k"].tolist() == [0.0, 2.0, 10.0]
    assert seen_by([4000.0], None, None, **alone, loops_top_c=25.0)["drop_k"].tolist() == [5.0]
    assert seen_by([4000.0], None, None, drop_k_w=0.002)["drop_k"] == 0.0
    # what a use sends back in its hour is not known, and nothing is counted
    assert seen_by([1000.0, 1000.0], [0.0, 500.0], [50.0, 50.0], **alone)["drop_k"].tolist() == [2.0, 0.0]


def test_water_returns_to_a_boiler_without_a_tank_as_its_emitters_cool_it() -> None:
    """45 °C at design in rooms of 20 °C returns 10 K cooler, and at half the load 32.5 °C returns 5 K cooler: 35 and 27.5 °C.

    The flue gas leaves 10 °F above that, less 2 % for the jacket; from a mixed tank the boiler draws the 45 °C.
    """
    unit, half = {"kind": "gas", "output": "12 kW", "condensing": True}, wavy_weather(np.tile([-10.0, 5.0], 4380))
    typed = {"house__design_supply_temperature": "45 degC"}
    found, seen = offer_of(unit, half, **typed)
    assert seen.water_c[:2] == pytest.approx([45.0, 32.5])
    assert (seen.water_c - seen.drop_k)[:2] == pytest.approx([35.0, 27.5])
    theory = theoretical_efficiency(flue_c=np.array([35.0, 27.5]) + 10 / 1.8, fuel="natural_gas") - 0.02
    assert found.heat_per_input[:2] == pytest.approx(theory, abs=4e-4)
    tank = offer_of(unit, half, tank__volume="300 L", tank__design_supply_temperature="45 degC")[0].heat_per_input
    theory = theoretical_efficiency(flue_c=45.0 + 10 / 1.8, fuel="natural_gas") - 0.02
    assert tank[0] == pytest.approx(float(theory), abs=4e-4)
    # a pump of its own that carries twice the load's 10 K sends half of the supply back: 5 K at design
    flow = 2 * seen.demand_w[0] / 10.0 / (seen.density_kg_m3 * seen.heat_capacity_j_kgk) * 6e4
    fast = offer_of({**unit, "flow": f"{flow} L/min"}, half, **typed)[0].heat_per_input
    theory = theoretical_efficiency(flue_c=40.0 + 10 / 1.8, fuel="natural_gas") - 0.02
    assert fast[0] == pytest.approx(float(theory), abs=4e-4)
