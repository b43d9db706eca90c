"""What changes the result most: one thing at a time, against costs that can be worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from cases import constant_weather

from costsim.analysis.scenarios import draw
from costsim.analysis.sensitivity import Sensitivity, sensitivity
from costsim.analysis.uncertainty import uncertainty
from costsim.engine.lower import lower_study
from costsim.study.case import Case, case_from

HEAT_KWH = (
    7.6 / 27.5 * 17.5 * 8760
)  # 7.6 kW at 27.5 K (60.5 °F less 11 °F), in a year that is 17.5 K below the balance point
Z90 = 1.2815515655446004


def two(**settings: object) -> Case:
    """Electric against gas, both without fixed charges, over a winter of one temperature."""
    return case_from(
        {
            "title": "Two",
            "place": {"weather": "constant", "design_outdoor": "-7.5 degC"},
            "house": {
                "floor_area": "100 m2",
                "design_heat_loss": "7.6 kW",
                "indoor_temperature": "20 degC",
                "balance_point": "17.5 degC",
            },
            "prices": {"electricity": {"energy": "0.10 $/kWh"}, "natural_gas": {"energy": "0.06 $/kWh"}},
            "uncertainty": {"scenarios": 40_000, **settings},
            "option": [
                {"name": "E", "source": [{"kind": "electric", "output": "40 kW", "efficiency": "100 %"}]},
                {
                    "name": "G",
                    "source": [
                        {
                            "kind": "gas",
                            "fuel": "natural_gas",
                            "output": "40 kW",
                            "efficiency": "80 %",
                            "standby": "0 W",
                            "min_output": "0 W",
                        }
                    ],
                },
            ],
        }
    )


def found(case: Case) -> dict[str, Sensitivity]:
    common = lower_study(case, constant_weather(0.0))
    return {one.what: one for one in sensitivity([common], draw(case, common), ("G", "E"))}


def test_each_price_alone_moves_the_gap_by_its_own_share() -> None:
    one = found(two(price={"electricity": "10 %", "natural_gas": "20 %"}))
    electric, gas = HEAT_KWH * 0.10, HEAT_KWH * 0.06 / 0.8
    # the middle is the median of the scenarios, whose own error is some 0.1 % of each price
    assert one["price of electricity"].middle == pytest.approx(electric - gas, rel=0.01)
    for share, factor in (("low", np.exp(-0.1 * Z90)), ("high", np.exp(0.1 * Z90))):
        assert getattr(one["price of electricity"], share) == pytest.approx(electric * factor - gas, abs=20)
    for share, factor in (("low", np.exp(-0.2 * Z90)), ("high", np.exp(0.2 * Z90))):
        assert getattr(one["price of natural gas"], share) == pytest.approx(electric - gas * factor, abs=20)


def test_load_efficiency_and_warmth_by_hand() -> None:
    one = found(two(load="10 %", efficiency="5 %", setpoint_spread="1 K"))
    electric, gas = HEAT_KWH * 0.10, HEAT_KWH * 0.06 / 0.8
    assert one["design load"].low == pytest.approx((electric - gas) * np.exp(-0.1 * Z90), rel=0.01)
    assert one["efficiency of burners"].high == pytest.approx(electric - gas / (1 + 0.05 * Z90), rel=0.02)
    assert one["indoor temperature"].high == pytest.approx((electric - gas) * (17.5 + Z90) / 17.5, rel=0.01)
    assert not any(swing.turns for swing in one.values())


def test_with_gains_in_watts_the_load_moves_alone_and_the_balance_point_with_it() -> None:
    case = two(load="10 %", setpoint_spread="0 K")
    house = {key: value for key, value in case.typed["house"].items() if key != "balance_point"}
    one = found(case_from({**case.typed, "house": {**house, "gains": "1382 W"}}))
    # 7.6 kW at 27.5 K are 276.4 W/K, so 1,382 W are 5 K: 20 K wanted less 5 K carried
    assert one["indoor temperature"].values == (0.0, 0.0)
    assert one["indoor temperature"].width == 0.0
    worth = (0.10 - 0.06 / 0.8) * 8.760
    for share, factor in (("low", np.exp(-0.1 * Z90)), ("high", np.exp(0.1 * Z90))):
        assert getattr(one["design load"], share) == pytest.approx(worth * (7600 / 27.5 * factor * 20 - 1382), rel=0.01)


@pytest.mark.long
def test_widest_first_and_a_wide_price_turns_the_answer() -> None:
    case = two(price={"electricity": "40 %", "natural_gas": "1 %"})
    result = uncertainty(case, constant_weather(0.0))
    widths = [one.width for one in result.sensitivity]
    assert widths == sorted(widths, reverse=True)
    assert result.sensitivity[0].what == "price of electricity"
    assert result.sensitivity[0].turns
    assert [one.what for one in result.sensitivity if one.turns] == ["price of electricity"]


def test_a_swing_turns_only_across_zero() -> None:
    one = Sensitivity("x", (0.9, 1.1), 5.0, 15.0, 10.0)
    assert not one.turns
    assert replace(one, low=-1.0).turns
    assert replace(one, middle=-3.0, low=-9.0, high=1.0).turns
    assert not replace(one, middle=-3.0, low=-9.0, high=-1.0).turns
