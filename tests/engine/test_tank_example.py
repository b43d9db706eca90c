"""The tank against a textbook's ten hours of charging and discharging, and against the law on standing loss."""

from __future__ import annotations

import numpy as np
import pytest
from engine.plants import run
from engine.test_stratified import tank

from costsim.engine import layout as k

MJ_AN_HOUR_W = 1e6 / 3600.0


def test_ten_hours_of_sun_and_load_as_in_a_textbook(published) -> None:
    # 500 kg of water, 12 W/K to a room of 20 °C, 45 °C at five in the morning
    rows = published("tank")
    one = tank(10, litres=500 * 4180 / 4186, loss=12.0, start=45.0, kept=0.0)
    one["scalars"][[k.WATER_RESISTANCE, k.WATER_DROP]] = 1e-9
    one["scalars"][k.TANK_TOP] = one["source_hours"][0, k.TARGET] = 200.0
    one["source_hours"][0, k.CAPACITY] = np.array([0, 0, 0, 10, 21, 30, 40, 55, 65, 55]) * MJ_AN_HOUR_W
    one["hours"][k.DEMAND] = np.array([12, 12, 12, 15, 15, 15, 25, 25, 25, 25]) * MJ_AN_HOUR_W
    out = run(one)["out"]
    assert out[k.SHORT].max() == pytest.approx(0.0, abs=1e-6)
    for at, celsius in enumerate(out[k.TANK].tolist()):
        rows[f"mixed_{5 + at:02d}"].check(celsius)


def test_a_store_kept_hot_takes_its_standing_loss(published) -> None:
    row = published("tank")["standing_300"]
    row.check(16.66 + 8.33 * 300.0**0.4)
    for kept in (0.0, 1.0):
        one = tank(48, litres=300.0, loss=row.value / 45.0, start=65.0, kept=kept)
        one["source_hours"][0, k.CAPACITY] = 2000.0
        found = run(one)
        assert found["heat"][0, 24:].sum() / 1e3 == pytest.approx(24 * row.value / 1e3, rel=0.002)
