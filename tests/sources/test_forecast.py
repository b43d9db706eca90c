"""A store charged by tomorrow's mean temperature: between always full and perfect foresight, and without a look at hours to come."""

from __future__ import annotations

import numpy as np
import pytest
from cases import constant_weather, sample_weather, study, wavy_weather, with_uses

from costsim import simulate
from costsim.analysis.foresight import controller_gap
from costsim.engine.lower import lower_study
from costsim.errors import InputError
from costsim.sources.forecast import MARGIN_SHARE, forecast_target_c, heating_curve
from costsim.study.case import case_from

NIGHT = {"kind": "off_peak_electric", "output": "20 kW", "windows": ["22:00-06:00"], "price": "electricity"}
TANK = {
    "tank__volume": "3 m3", "tank__loss": "10 W/K", "tank__max_temperature": "90 degC",
    "tank__design_supply_temperature": "35 degC",
}  # fmt: skip


def test_a_night_charge_by_hand() -> None:
    # 200 W/K at 0 °C and 20 °C inside: 4 kW for 16 h and 25 % are 80 kWh, in 3 m³ of 3.45 kWh/K 23.2 K above the need of 30 °C
    case = study(NIGHT | {"charging": "forecast"}, **TANK)
    seen = lower_study(case, constant_weather(0.0)).surroundings
    target = case.options[0].sources[0].offer(seen).target_c
    assert float(target[0]) == pytest.approx(30.0 + 80 * 3.6e6 / seen.tank_j_k, abs=0.1)
    assert target[12] < -100


@pytest.mark.long
def test_it_lies_between_always_full_and_perfect_foresight() -> None:
    weather = sample_weather()
    data = study(NIGHT, **TANK).typed
    full = data["option"][0] | {"name": "full"}
    forecast = full | {"name": "forecast", "source": [NIGHT | {"charging": "forecast"}]}
    case = case_from({**data, "option": [full, forecast]})
    always, cast = simulate(case, weather).options
    common = lower_study(case, weather)
    best = controller_gap(common, case.options[1]).best_cost
    assert best < cast.cost_energy < 0.97 * always.cost_energy
    assert always.unmet.hours == 0
    assert cast.unmet.energy_j < 0.001 * cast.demand_j
    assert cast.hourly.imbalance() < 1e-9


def test_it_knows_tomorrows_mean_and_no_hour_of_it() -> None:
    """Two years whose days have the same means but other hours are charged for alike."""
    day = np.repeat(5.0 + 8.0 * np.sin(np.arange(365) / 58), 24)
    swing = np.tile(5.0 * np.cos(2 * np.pi * np.arange(24) / 24), 365)
    targets = []
    for outdoor in (day + swing, day - swing):
        case = study(
            NIGHT | {"charging": "forecast", "windows": ["00:00-06:00"]}, house__balance_point="20 degC", **TANK
        )
        seen = lower_study(case, wavy_weather(outdoor)).surroundings
        targets.append(case.options[0].sources[0].offer(seen).target_c)
    winter = (np.abs(targets[0]) < 500) & (day + 5 < 15)
    # the controller's day begins at six, so that a part of the swing is left in its mean
    assert np.abs(targets[0] - targets[1])[winter].max() < 4.0


def test_without_a_store_it_is_refused() -> None:
    with pytest.raises(InputError, match="no store is charged"):
        case_from(
            {
                **study(NIGHT).typed,
                "option": [{"name": "one", "source": [NIGHT | {"store": False, "charging": "forecast"}]}],
            }
        )


def test_perfect_foresight_pays_for_hot_water_too() -> None:
    # no house to heat, no loss: heat for the taps is all that is bought, at one price, by any controller
    tap = {"kind": "hot_water", "daily_volume": "50 gal", "cold_temperature": "50 degF"}
    case = with_uses(tap, source={"kind": "electric", "output": "12 kW"})
    weather = constant_weather(30.0)
    found = simulate(case, weather).options[0]
    gap = controller_gap(lower_study(case, weather), case.options[0])
    assert gap.best_cost == pytest.approx(found.uses[0].heat_j / 3.6e6 * 0.10, rel=0.01)
    assert gap.best_cost <= gap.rule_cost + 1e-6


@pytest.mark.parametrize(("share", "counts"), [(1.0, False), (2.0, False), (2.1, True), (3.0, True)])
def test_days_that_want_next_to_nothing_do_not_turn_the_line(share: float, counts: bool) -> None:
    """Two cold days on the line 20 - t; a day that wants 2 % of the most is left out, one of 2.1 % counts."""
    days, values = np.repeat([0.0, 10.0, 20.0], 24), np.repeat([20.0, 10.0, 90.0], 24)
    found = heating_curve(days, values, np.repeat([100.0, 100.0, share], 24))
    # least squares through (0, 20), (10, 10) and (20, 90): slope 700 / 200, through the mean (10, 40)
    assert found == pytest.approx((5.0, 3.5) if counts else (20.0, -1.0))


def test_a_day_beyond_the_foot_of_the_line_wants_nothing() -> None:
    """2 kW at 0 °C and 1 kW at 10 °C are nothing from 20 °C on: before a day of 30 °C the water alone is reached."""
    days = np.repeat([0.0, 10.0, 30.0], 24)
    target = forecast_target_c(
        allowed=np.tile([1.0] + [0.0] * 23, 3), outdoor_c=days, demand_w=np.maximum(2000.0 - 100.0 * days, 0.0),
        water_c=np.full(72, 30.0), store_c=95.0, tank_j_k=1e5,
    )  # fmt: skip
    assert target[48] == pytest.approx(30.0, abs=1e-6)
    assert target[0] == 95.0


def test_windows_of_one_hour_look_each_at_their_own_day() -> None:
    """An hour at midnight carries the 23 hours after it: on cold days twice the heat of mild ones, and the margin."""
    allowed = np.tile([1.0] + [0.0] * 23, 4)
    outdoor = np.repeat([0.0, 10.0, 0.0, 10.0], 24)
    demand, water = np.repeat([2000.0, 1000.0, 2000.0, 1000.0], 24), np.full(96, 30.0)
    target = forecast_target_c(
        allowed=allowed, outdoor_c=outdoor, demand_w=demand, water_c=water, store_c=95.0, tank_j_k=4e6
    )
    rise = 2000.0 * 23 * 3600 * (1.0 + MARGIN_SHARE) / 4e6
    # the day that begins with the hours without the source has one hour of the next
    cold, mild = rise * (1 - 1 / 48), rise * (1 / 2 + 1 / 48)
    assert target[::24] == pytest.approx([30 + cold, 30 + mild, 30 + cold, 30 + mild], rel=1e-6)
