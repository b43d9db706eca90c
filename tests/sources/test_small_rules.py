"""Rules of sources that a season rarely meets: test points at their limits, one moment, a pause of one hour, small tanks under collectors."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from costsim.sources import KINDS
from costsim.sources.forecast import forecast_target_c, heating_curve
from costsim.sources.fuel_fired import SMALLEST_FIRE
from costsim.sources.heat_pump import TestPoint
from costsim.sources.houses import Moments

# heat pumps


def point(**changed: Any) -> TestPoint:
    """A row of a sheet."""
    return TestPoint.model_validate(
        {"outdoor": "-7 degC", "supply": "34 degC", "output": "6 kW", "cop": 3.0, **changed}
    )


@pytest.mark.parametrize(
    ("taken", "refused"),
    [
        # the ideal machine between -7 and 34 °C: 307.15 K over 41 K, 7.49; four fifths of it 5.993
        ({"cop": 5.99}, {"cop": 6.0}),
        ({"cop": 1.0}, {"cop": 0.99}),
        (
            {"outdoor": "40 degC", "supply": "70 degC", "cop": 9.14},
            {"outdoor": "40 degC", "supply": "70 degC", "cop": 9.16},
        ),
        (
            {"outdoor": "45 degC", "supply": "60 degC", "cop": 12.0},
            {"outdoor": "45 degC", "supply": "60 degC", "cop": 12.1},
        ),
        ({"outdoor": "30 degC", "supply": "35 degC"}, {"outdoor": "30 degC", "supply": "34.9 degC"}),
        ({"outdoor": "-60 degC", "cop": 1.5}, {"outdoor": "-60.5 degC", "cop": 1.5}),
        ({"outdoor": "45 degC", "supply": "50 degC"}, {"outdoor": "45.5 degC", "supply": "51 degC"}),
        ({"supply": "90 degC", "cop": 1.5}, {"supply": "90.5 degC", "cop": 1.5}),
        ({"outdoor": "5 degC", "supply": "15 degC"}, {"outdoor": "5 degC", "supply": "14.5 degC"}),
        ({"output": "0.5 W"}, {"output": "0 W"}),
        ({"output": "100 MW"}, {"output": "105 MW"}),
    ],
)
def test_a_test_point_ends_where_it_says(taken: dict[str, Any], refused: dict[str, Any]) -> None:
    point(**taken)
    with pytest.raises(ValidationError):
        point(**refused)


def pump(**more: Any) -> Any:
    """A heat pump by its sheet."""
    return KINDS["heat_pump"].model_validate({"kind": "heat_pump", **more})


def test_outputs_of_a_heat_pump_end_at_100_mw_and_forty_points() -> None:
    pump(outdoor=["-7 degC", "7 degC"], outputs=["5 kW", "100 MW"])
    with pytest.raises(ValidationError):
        pump(outdoor=["-7 degC", "7 degC"], outputs=["5 kW", "105 MW"])
    row = {"outdoor": "-7 degC", "supply": "34 degC", "output": "6 kW", "cop": 3.0}
    assert len(pump(test_point=[row] * 40).test_point) == 40
    with pytest.raises(ValidationError):
        pump(test_point=[row] * 41)


def test_a_sheet_tells_its_ends_and_keeps_its_shape_when_resized() -> None:
    """Twice the output at the warmest point is twice everywhere; the COP stays."""
    rows = [
        {"outdoor": "7 degC", "supply": "35 degC", "output": "8 kW", "cop": 4.0},
        {"outdoor": "-7 degC", "supply": "35 degC", "output": "5 kW", "cop": 2.5},
    ]
    typed = {"kind": "heat_pump", "test_point": rows, "min_output": "2 kW"}
    found = pump(**{key: value for key, value in typed.items() if key != "kind"})
    assert (found.nameplate_w(), found.curve_ends()) == (8e3, ((7.0, 8e3), (-7.0, 5e3)))
    double = KINDS["heat_pump"].model_validate(found.resized(typed, 16e3))
    assert [(one.output_w, one.cop) for one in double.test_point] == [(16e3, 4.0), (10e3, 2.5)]
    assert double.min_output_w == 4e3
    by_curve = {"kind": "heat_pump", "outdoor": ["-7 degC", "7 degC"], "outputs": ["5 kW", "8 kW"]}
    plain = KINDS["heat_pump"].model_validate(by_curve)
    assert plain.curve_ends() == ((7.0, 8e3), (-7.0, 5e3))
    half = KINDS["heat_pump"].model_validate(plain.resized(by_curve, 4e3))
    assert half.curve_ends() == ((7.0, 4e3), (-7.0, 2.5e3))
    assert "min_output" not in plain.resized(by_curve, 4e3)


def test_heat_between_two_test_points_and_beyond() -> None:
    """Straight over the outdoor temperature, the warmest point beyond it, the same line below, nothing under the cut-out."""
    rows = [
        {"outdoor": "-7 degC", "supply": "35 degC", "output": "5 kW", "cop": 2.5},
        {"outdoor": "7 degC", "supply": "35 degC", "output": "8 kW", "cop": 4.0},
        {"outdoor": "7 degC", "supply": "55 degC", "output": "7 kW", "cop": 2.8},
    ]
    found = pump(test_point=rows, cut_out="-14 degC")
    outdoor = np.array([-14.0, -14.1, -7.0, 0.0, 7.0, 20.0, 0.0, 7.0])
    supply = np.array([35.0, 35.0, 35.0, 35.0, 35.0, 35.0, 45.0, 60.0])
    # at 45 °C the warm point gives 7.5 kW, halfway to it 6.25; past 55 °C the last figure stands
    assert found._full_w(outdoor, supply) == pytest.approx([3.5e3, 0, 5e3, 6.5e3, 8e3, 8e3, 6.25e3, 7e3])
    assert found.follows_house() == {"heat_per_input", "capacity"}
    assert pump(test_point=rows[:2]).follows_house() == {"heat_per_input"}
    alone = pump(test_point=rows[:1])
    assert alone._full_w(np.array([-10.0, 5.0]), np.array([35.0, 35.0])).tolist() == [5e3, 5e3]


# moments, forecasts


def test_hours_that_never_differ_are_one_moment() -> None:
    for rows in ([np.ones(3)], [np.ones(3), np.zeros(3)]):
        found = Moments.of_rows(rows)
        assert (found.first.tolist(), found.of.tolist()) == ([0], [0, 0, 0])
    late = Moments.of_rows([np.ones(4), np.array([2.0, 2.0, 1.0, 2.0])])
    assert late.of.tolist() in ([1, 1, 0, 1], [0, 0, 1, 0])
    assert sorted(late.first.tolist()) == [0, 2]


def target(allowed: Any, tank_j_k: float = 4e6, outdoor: Any = 0.0) -> Any:
    """Targets of a house that wants 1 kW at 30 °C all day long."""
    n = len(allowed)
    return forecast_target_c(
        allowed=np.array(allowed, dtype=float), outdoor_c=np.zeros(n) + outdoor, demand_w=np.full(n, 1e3), water_c=np.full(n, 30.0),
        store_c=80.0, tank_j_k=tank_j_k,
    )  # fmt: skip


def test_a_pause_of_one_hour_is_charged_for_and_so_is_one_around_the_end_of_the_year() -> None:
    """An hour of 1 kW and a quarter more over 4 MJ/K are 1.125 K; four hours are 4.5 K."""
    assert target(([1] * 23 + [0]) * 2).tolist() == pytest.approx(([31.125] * 23 + [80.0]) * 2)
    assert target([0] * 2 + [1] * 20 + [0] * 4 + [1] * 20 + [0] * 2).tolist() == pytest.approx(
        [80.0] * 2 + [34.5] * 20 + [80.0] * 4 + [34.5] * 20 + [80.0] * 2
    )
    # a run that goes on over the end of the year looks at what follows it there
    around = target([1] * 4 + [0] * 8 + [1] * 26 + [0] * 1 + [1] * 9)
    assert around.tolist() == pytest.approx([39.0] * 4 + [80.0] * 8 + [31.125] * 26 + [80.0] + [39.0] * 9)
    assert (target([1] * 48) == -np.inf).all()
    assert (target([0] * 48) == 80.0).all()
    assert target(([1] * 23 + [0]) * 2, tank_j_k=1e4)[0] == 80.0  # never above the store


def test_a_line_needs_two_days_that_differ() -> None:
    day = np.repeat([0.0, 0.0], 24)
    assert heating_curve(day, np.repeat([20.0, 10.0], 24), np.ones(48)) == (15.0, 0.0)
    assert heating_curve(np.repeat([0.0, 9.0], 24), np.repeat([20.0, 10.0], 24), np.repeat([1.0, 0.0], 24)) == (
        20.0,
        0.0,
    )
    assert heating_curve(day, np.repeat([20.0, 10.0], 24), np.zeros(48)) == (0.0, 0.0)


# what else is told


def test_thirty_liters_for_a_square_meter_of_collector_are_enough() -> None:
    sun = KINDS["solar"].model_validate({"kind": "solar", "area": "10 m2"})
    for share, told in ((1.0, False), (0.999, True)):
        seen: Any = SimpleNamespace(weather=SimpleNamespace(southern=False), tank_j_k=share * 10 * 30 * 4186.0)
        assert any("less than 30 L" in text for text in sun._warnings(seen)) is told
    assert sun.outdoor_content_m3 == pytest.approx(0.020)  # a liter a square meter, ten in pipes


def test_a_burner_s_smallest_fire_is_as_its_stages_say() -> None:
    """One stage burns all, two 60 %, modulating ones a fifth or a tenth: common practice, as the field's help says."""
    assert SMALLEST_FIRE == {"one_stage": 1.0, "two_stage": 0.6, "modulating_5": 0.2, "modulating_10": 0.1}

    def fire(**more: Any) -> float:
        return (
            KINDS["gas"]
            .model_validate({"kind": "gas", "output": "10 kW", "efficiency": "85 %", **more})
            .smallest_fire_w
        )

    assert [fire(), fire(efficiency="89 %"), fire(efficiency="90 %"), fire(condensing=True)] == [10e3, 10e3, 2e3, 2e3]
    assert [fire(firing="two_stage"), fire(firing="modulating_10"), fire(min_output="3 kW")] == [6e3, 1e3, 3e3]


def test_a_wood_fire_of_ninety_minutes_burns_in_two_hours_of_the_clock() -> None:
    wood = {"kind": "wood", "charge": "10 kg", "load_times": ["07:00", "18:00"], "efficiency": "60 %"}

    def fire(time: str) -> Any:
        return KINDS["wood"].model_validate({**wood, "burn_time": time})

    assert [fire(time)._burn_hours for time in ("1 h", "89 min", "90 min", "2 h", "149 min", "151 min")] == [
        1,
        1,
        2,
        2,
        2,
        3,
    ]
    # two fires of 6 h hold half a day, three times as much no more than all of it
    assert (fire("6 h").lasting_share(), fire("18 h").lasting_share()) == (0.5, 1.0)


TRAITS = ("burns_fuel", "outdoors", "unstoppable", "collects_sun", "automatic", "needs_power")


@pytest.mark.parametrize(
    ("kind", "true"),
    [
        ("gas", "burns_fuel automatic needs_power"), ("oil", "burns_fuel automatic needs_power"), ("electric", "automatic needs_power"),
        ("off_peak_electric", "automatic needs_power"), ("heat_pump", "outdoors automatic needs_power"),
        ("wood", "burns_fuel unstoppable needs_power"), ("pellet", "burns_fuel automatic needs_power"),
        ("solar", "outdoors unstoppable collects_sun needs_power"),
    ],
)  # fmt: skip
def test_what_a_kind_is(kind: str, true: str) -> None:
    assert {name for name in TRAITS if getattr(KINDS[kind], name)} == set(true.split())
