"""The hourly solar tank against the f-chart method: eighteen houses in two climates.

Agreement seen when this was written: −0.01 to −0.08 of a year's load, mean −0.04, fourteen of eighteen within the target of
±0.05. The hourly figure is the lower one because here the second source heats the same tank as the collectors, while the
method keeps it apart; the difference grows with the solar share and with small stores.
"""

from __future__ import annotations

import numpy as np
import pytest
from cases import sample_weather
from reference.solar_cases import AREAS_M2, table


@pytest.fixture(scope="module")
def rows() -> np.ndarray:
    weathers = [sample_weather(name) for name in ("greensboro.csv", "sand_point.csv")]
    return np.array([row for weather in weathers for row in table(weather)])


def test_annual_shares_agree(rows: np.ndarray) -> None:
    assert len(rows) == 18
    difference = rows[:, 2] - rows[:, 3]
    assert np.abs(difference).max() < 0.08
    assert np.count_nonzero(np.abs(difference) <= 0.05) >= 13
    assert abs(difference.mean()) < 0.05


def test_both_rise_with_collector_and_store(rows: np.ndarray) -> None:
    for climate in (rows[:9], rows[9:]):
        for column in (2, 3):
            shares = climate[:, column].reshape(3, 3)
            assert (np.diff(shares, axis=0) > 0).all()
            assert (np.diff(shares, axis=1) > 0).all()
            each = np.diff(shares[:, 1]) / np.diff(AREAS_M2)
            assert each[1] < each[0], "the next square metre must bring less"
