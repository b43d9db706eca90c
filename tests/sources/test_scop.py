"""Seasonal performance by the bins of EN 14825, for three certified units, against the season that the simulation finds.

COPs at the part-load points A to D are those of planes fitted to each certified unit, from a table in a public package (its
data CC BY 4.0); that table holds no certified SCOP, so that the standard's own sum over bins, worked out here, stands in for it. The
bins' hours are from memory; that they give the published 2,066 equivalent hours is checked first.
"""

from __future__ import annotations

import numpy as np
import pytest
from cases import study, wavy_weather

from costsim import simulate

DESIGN_C, FIRST_C = -10.0, -10
HOURS = [
    1,
    25,
    23,
    24,
    27,
    68,
    91,
    89,
    165,
    173,
    240,
    280,
    320,
    357,
    356,
    303,
    330,
    326,
    348,
    335,
    315,
    215,
    169,
    151,
    105,
    74,
]
"""Average season, from -10 to 15 °C."""
POINTS_C, SUPPLIES_C = (-7.0, 2.0, 7.0, 12.0), (34.0, 30.0, 27.0, 24.0)
UNITS = {"low": (2.42, 4.01, 4.93, 5.85), "middle": (3.06, 4.96, 6.10, 7.23), "high": (3.75, 5.21, 6.09, 6.98)}
BINS_C = FIRST_C + np.arange(len(HOURS))
LOAD = (BINS_C - 16.0) / (DESIGN_C - 16.0)


def test_the_bins_give_the_published_equivalent_hours(published) -> None:
    published("heat_pump")["bins_of_en14825"].check(float(np.dot(HOURS, LOAD)))
    assert sum(HOURS) == 4910


@pytest.mark.parametrize("unit", UNITS)
def test_the_season_meets_the_sum_over_the_bins(unit: str) -> None:
    # EN 14825: COP of a bin straight between the points, held below the coldest; heat over electricity of the active season
    cop = np.interp(BINS_C, POINTS_C, UNITS[unit])
    heat = np.array(HOURS) * LOAD
    scop = heat.sum() / (heat / cop).sum()
    year = np.concatenate((np.repeat(BINS_C.astype(float), HOURS), np.full(8760 - sum(HOURS), 20.0)))
    points = [
        {"outdoor": f"{out} degC", "supply": f"{supply} degC", "output": "12 kW", "cop": one}
        for out, supply, one in zip(POINTS_C, SUPPLIES_C, UNITS[unit], strict=True)
    ]
    pump = {"kind": "heat_pump", "test_point": points, "approach": "0 K", "min_output": "0 W", "pump": "0 W"}
    # low-temperature application: 22 °C + 13 K × part load, 35 °C at -10 °C; the house loses 10 kW at -16 °C and 6.84 kW at -10 °C
    found = simulate(
        study(pump, house__design_heat_loss="10 kW", house__indoor_temperature="22 degC", house__balance_point="16 degC",
              house__design_supply_temperature="41 degC", place__design_outdoor="-16 degC"),
        wavy_weather(year),
    ).options[0]  # fmt: skip
    season = found.sources[0]
    assert found.unmet.hours == 0
    assert season.heat_j / season.input_j == pytest.approx(scop, rel=0.05)
