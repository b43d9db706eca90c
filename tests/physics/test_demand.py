"""Degree-hours and the tank's hour against worked examples and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from costsim.physics.demand import balance_point_c, degree_hour_demand_w, heat_loss_rate_w_k, tank_step
from costsim.units.quantity import BTU_J


def test_worked_examples(published) -> None:
    rows = published("weather")
    outdoor = np.full(37_440, 19.0)
    heat = degree_hour_demand_w(loss_w_k=0.97 * 17.9, balance_c=20.0, outdoor_c=outdoor).sum()
    rows["degree_hours_wall"].check(heat)
    spell = degree_hour_demand_w(loss_w_k=1.0, balance_c=15.5, outdoor_c=np.full(48, 7.5)).sum() / 24
    rows["degree_hours_spell"].check(spell)


def test_loss_rate_from_a_design_load() -> None:
    # 60,000 Btu/h over 70 °F is 857.14 Btu/(h °F): arithmetic from the definition
    rate = heat_loss_rate_w_k(design_loss_w=60_000 * BTU_J / 3600, indoor_temperature_c=21.0, outdoor_c=21.0 - 70 / 1.8)
    assert rate * 1.8**-1 * 3600 / BTU_J == pytest.approx(857.14, abs=0.005)


def test_a_year_of_degree_days() -> None:
    # UA 857.143 Btu/(h °F) and 7,000 °F-days are 144.00 MMBtu: arithmetic E = 24 UA HDD
    outdoor_f = np.full(8760, 65 - 7000 / 365)
    rate = 857.143 * BTU_J / 3600 * 1.8
    heat = degree_hour_demand_w(loss_w_k=rate, balance_c=(65 - 32) / 1.8, outdoor_c=(outdoor_f - 32) / 1.8).sum() * 3600
    assert heat / BTU_J / 1e6 == pytest.approx(144.00, abs=0.005)


def test_balance_point_example() -> None:
    # 3,000 Btu/h over 500 Btu/(h °F) below 70 °F is 64 °F: arithmetic
    found = balance_point_c(
        indoor_temperature_c=(70 - 32) / 1.8, gains_w=3000 * BTU_J / 3600, loss_w_k=500 * BTU_J / 3600 * 1.8
    )
    assert float(found) * 1.8 + 32 == pytest.approx(64.0, abs=1e-9)


def test_a_design_day_warmer_than_the_room_is_refused() -> None:
    with pytest.raises(ValueError, match="must be below the indoor one"):
        heat_loss_rate_w_k(design_loss_w=1.0, indoor_temperature_c=20.0, outdoor_c=20.0)


@pytest.mark.parametrize("loss", [0.0, 1e-9, 1e-4, 3.0, 80.0, 5000.0])
def test_the_tanks_hour_against_an_integrator(loss: float) -> None:
    capacity, excess, heat = 1.2e6, 31.0, 900.0
    keep, rise, loss_state, loss_net = tank_step(heat_capacity_j_k=capacity, loss_w_k=loss)

    def slope(_: float, y: np.ndarray) -> list[float]:
        return [(heat - loss * y[0]) / capacity, loss * y[0]]

    end = solve_ivp(slope, (0, 3600), [excess, 0.0], rtol=1e-10, atol=1e-9, method="LSODA").y[:, -1]
    assert keep * excess + rise * heat == pytest.approx(end[0], rel=1e-7)
    assert (loss_state * excess + loss_net * heat) * 3600 == pytest.approx(end[1], rel=1e-6, abs=1e-3)
