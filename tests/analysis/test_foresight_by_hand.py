"""Perfect foresight where a pencil finds the cheapest day."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from costsim.analysis.foresight import ControllerGap, OptimalDispatch, perfect_foresight
from costsim.engine import layout as k
from costsim.engine.lower import LoweredOption
from costsim.engine.one_year import one_year
from costsim.errors import SolverError
from costsim.physics.demand import tank_step
from costsim.results.result import Hourly

N, KWH = 24, 3.6e6
CHEAP = np.where(np.arange(N) < 12, 0.1, 0.3) / KWH
"""Money for a joule of heat: a third in the first half of the day."""


def day(
    *sources: dict[str, Any], loss: float = 0.0, start: float = 20.0, demand: float = 2000.0
) -> tuple[LoweredOption, Hourly]:
    """A day of 2 kW on a tank of 3.6 MJ/K (a kilowatt-hour a kelvin) between 20 and 80 °C, under the order in which sources are given."""
    scalars, hours, count = np.zeros(k.SCALARS), np.zeros((k.HOURS, N)), len(sources)
    scalars[:4] = tank_step(heat_capacity_j_k=KWH, loss_w_k=loss)
    scalars[k.TANK_TOP], scalars[k.TANK_START] = 80.0, start
    hours[k.ROOM], hours[k.DEMAND], hours[k.FLOOR_LIMIT] = 20.0, demand, 1e9
    own, rows = np.zeros((count, k.BILLED_SCALARS)), np.zeros((count, k.SOURCE_HOURS, N))
    rows[:, k.TARGET] = -1e3
    for i, source in enumerate(sources):
        for row, value in source.items():
            if isinstance(row, int):
                rows[i, row] = value
            else:
                own[i, getattr(k, row)] = value
    order = np.repeat(np.arange(count)[:, None], N, 1)
    plant = LoweredOption(tuple(range(count)), scalars, hours, own, rows, order)  # type: ignore[arg-type]
    out, heat, dumped, available = one_year(scalars, hours, own, rows, order)
    zero = np.zeros(N)
    return plant, Hourly(
        demand_w=out[k.CALL], delivered_w=out[k.DELIVERED], unmet_w=out[k.SHORT], unmet_by_cause_w={}, tank_c=out[k.TANK],
        tank_top_c=out[k.TANK], tank_bottom_c=out[k.TANK], hot_share=zero, use_w=zero, use_delivered_w=zero,
        tank_loss_w=out[k.TANK_LOSS], tank_change_w=zero, slab_c=zero, room_c=zero, heat_w=heat, dumped_w=dumped, available_w=available,
        input_w=heat, auxiliary_w=zero, pump_w=zero,
    )  # fmt: skip


def best(*sources: dict[str, Any], prices: Any = CHEAP, **house: Any) -> tuple[OptimalDispatch, Hourly]:
    """The cheapest day, and the rule's."""
    plant, rule = day(*sources, **house)
    return perfect_foresight(plant, np.broadcast_to(prices, (len(sources), N)), rule), rule


def test_the_second_half_of_the_day_is_bought_in_the_first() -> None:
    # 24 kWh for the second half are 24 K: all 48 kWh at 0.1
    found, rule = best({k.CAPACITY: 10e3})
    assert found.cost == pytest.approx(4.8, rel=1e-4)
    assert float((rule.heat_w * CHEAP).sum()) * 3600 == pytest.approx(24 * 0.1 + 24 * 0.3)
    assert found.heat_w.shape == (1, N)
    assert found.heat_w[0, :12].sum() == pytest.approx(48e3, rel=1e-4)
    assert found.tank_c.max() == pytest.approx(20.0 + 24.0, rel=1e-3)
    assert np.abs(found.unmet_w).max() < 1.0


def test_what_is_bought_ahead_ends_at_capacity_and_at_the_top() -> None:
    # 3 kW for twelve hours are 12 kWh more than the first half needs
    found, _ = best({k.CAPACITY: 3e3})
    assert found.cost == pytest.approx(36 * 0.1 + 12 * 0.3, rel=1e-4)
    # 6 kW all day: 72 kWh for the second half, of which the tank holds 60 from 20 to 80 °C
    found, _ = best({k.CAPACITY: 90e3}, demand=6000.0)
    assert found.cost == pytest.approx((72 + 60) * 0.1 + 12 * 0.3, rel=1e-4)
    assert found.tank_c.max() == pytest.approx(80.0, abs=0.01)


def test_a_tank_that_is_warm_at_first_must_be_as_warm_at_the_end_as_the_rule_left_it() -> None:
    # the rule lets ten kelvin, 10 kWh, go into the house and ends at 20 °C: 38 kWh are left to buy
    found, rule = best({k.CAPACITY: 10e3}, start=30.0)
    assert rule.tank_c[-1] == pytest.approx(20.0)
    assert found.cost == pytest.approx(38 * 0.1, rel=1e-4)
    # a rule that stores up to 50 °C in the last hours leaves 30 kWh behind, which the best day must leave too
    target = np.where(np.arange(N) >= 20, 50.0, -1e3)
    found, rule = best({k.CAPACITY: 60e3, k.TARGET: target})
    assert rule.tank_c[-1] == pytest.approx(50.0)
    assert found.cost == pytest.approx((48 + 30) * 0.1, rel=1e-4)


def test_a_tank_s_loss_makes_it_cheaper_to_buy_late() -> None:
    # at 0.1 all day nothing is worth storing: 48 kWh, and no loss from a tank at room temperature
    found, _ = best({k.CAPACITY: 10e3}, prices=np.full(N, 0.1 / KWH), loss=50.0)
    assert found.cost == pytest.approx(4.8, rel=1e-4)
    assert np.abs(found.tank_c - 20.0).max() < 0.01
    # of a tank that keeps 1/e over an hour, e kilowatt-hours of the last cheap hour save one of the first dear one: e × 0.1 against
    # 0.3; two hours ahead it is e² × 0.1, which is too much
    found, _ = best({k.CAPACITY: 10e3}, loss=1000.0)
    assert found.cost == pytest.approx(24 * 0.1 + 2 * np.e * 0.1 + 22 * 0.3, rel=1e-5)


def test_the_cheaper_source_goes_as_far_as_it_can() -> None:
    prices = np.stack([np.full(N, 0.3), np.full(N, 0.1)]) / KWH
    found, rule = best({k.CAPACITY: 10e3}, {k.CAPACITY: 1500.0}, prices=prices)
    assert rule.heat_w[1].sum() == 0.0
    assert found.cost == pytest.approx(36 * 0.1 + 12 * 0.3, rel=1e-4)
    assert found.heat_w[:, :].sum(axis=1) == pytest.approx([12e3, 36e3], rel=1e-3)


def test_no_less_is_delivered_than_the_rule_delivered() -> None:
    # 1.5 kW of 2 kW: 12 kWh are missing under any rule, and may be missing in the dear hours
    found, rule = best({k.CAPACITY: 1500.0})
    assert rule.unmet_w.sum() == pytest.approx(12e3)
    assert found.unmet_w.sum() == pytest.approx(12e3, rel=1e-4)
    assert found.cost == pytest.approx(18 * 0.1 + 18 * 0.3, rel=1e-4)


def test_fuel_of_a_fire_is_no_more_than_was_loaded() -> None:
    # 6 kWh at midnight and at noon, at 4 kW, for nothing; the rest is bought
    charge = np.where(np.isin(np.arange(N), (0, 12)), 6 * KWH, 0.0)
    fire = {"MUST_RUN": 1.0, "BURN_POWER": 4000.0, k.CAPACITY: 4000.0, k.CHARGE: charge, k.AHEAD: 1e9}
    prices = np.stack([np.zeros(N), CHEAP * KWH]) / KWH
    found, rule = best(fire, {k.CAPACITY: 10e3}, prices=prices)
    assert rule.heat_w[0].sum() == pytest.approx(12e3)
    # all 36 kWh in the first half: what is loaded at noon is left for the second
    assert found.cost == pytest.approx(36 * 0.1, rel=1e-4)
    assert found.heat_w[0].sum() == pytest.approx(12e3, rel=1e-3)
    assert found.heat_w[0].max() <= 4000.1
    assert found.heat_w[0, :12].sum() <= 6000.5


def test_the_sun_gives_at_most_what_the_coldest_tank_would_let_it() -> None:
    # 4 kW at 0 °C less 50 W for each kelvin of a tank at 20 °C are 3 kW, from eight to four: 24 kWh
    shining = np.where((np.arange(N) >= 8) & (np.arange(N) < 16), 4000.0, 0.0)
    sun = {"MUST_RUN": 1.0, "SLOPE": 50.0, k.CAPACITY: shining}
    prices = np.stack([np.zeros(N), np.full(N, 0.3)]) / KWH
    found, _ = best(sun, {k.CAPACITY: 10e3}, prices=prices)
    assert found.heat_w[0].max() == pytest.approx(3000.0, rel=1e-3)
    assert not found.heat_w[0, [0, 7, 16]].max() > 0.01
    assert found.cost == pytest.approx(24 * 0.3, rel=1e-3)


def test_water_must_be_as_hot_as_the_floor_needs() -> None:
    # with 10 K/kW the tank stands at 40 °C for 2 kW; it starts there and may fall to 20 °C only as the floor gives less
    plant, rule = day({k.CAPACITY: 10e3}, start=40.0)
    plant.scalars[k.WATER_RESISTANCE] = 0.01
    out, heat, *_ = plant.year()
    rule = replace(rule, tank_c=out[k.TANK], tank_bottom_c=out[k.TANK], delivered_w=out[k.DELIVERED], heat_w=heat)
    assert out[k.TANK] == pytest.approx(np.full(N, 40.0))
    found = perfect_foresight(plant, CHEAP[None], rule)
    # 24 kWh ahead are 24 K over the 40 °C that the last hour needs
    assert found.cost == pytest.approx(4.8, rel=1e-3)
    # among days that cost the same any may be found: what runs heats the floor's water, the tank the rest of it
    assert (found.tank_c >= 20.0 + 10.0 * (2.0 - found.heat_w[0] / 1e3) - 0.1).all()
    assert found.tank_c[-1] == pytest.approx(40.0, abs=0.1)
    assert found.tank_c.max() == pytest.approx(64.0, rel=2e-3)


@pytest.mark.parametrize(("answers", "presolved"), [([0], [False]), ([2, 0], [False, True]), ([4, 0], [False, True])])
def test_a_solver_that_finds_no_year_is_asked_once_more(
    monkeypatch: pytest.MonkeyPatch, answers: list[int], presolved: list[bool]
) -> None:
    from scipy import optimize

    solve, seen = optimize.milp, []

    def told(*arguments: Any, **more: Any) -> Any:
        seen.append(more["options"].get("presolve", True))
        found = solve(*arguments, **more)
        found.status = answers[len(seen) - 1]
        return found

    monkeypatch.setattr(optimize, "milp", told)
    assert best({k.CAPACITY: 10e3})[0].cost == pytest.approx(4.8, rel=1e-4)
    assert seen == presolved


@pytest.mark.parametrize("answers", [[1, 1], [2, 2], [2, 4]])
def test_a_solver_without_an_answer_is_told(monkeypatch: pytest.MonkeyPatch, answers: list[int]) -> None:
    from scipy import optimize

    left = list(answers)

    class Found:
        message = "out of time"

        def __init__(self) -> None:
            self.status = left.pop(0)

    monkeypatch.setattr(optimize, "milp", lambda *_a, **_k: Found())
    with pytest.raises(SolverError, match="no least-cost year was found: out of time"):
        best({k.CAPACITY: 10e3})
    assert left == []


def test_slabs_are_refused_and_a_gap_is_a_difference() -> None:
    plant, rule = day({k.CAPACITY: 10e3})
    plant.scalars[k.WITH_MASS] = 1.0
    with pytest.raises(SolverError, match="without thermal mass"):
        perfect_foresight(plant, CHEAP[None], rule)
    assert ControllerGap("x", 10.0, 7.5).saving == 2.5
