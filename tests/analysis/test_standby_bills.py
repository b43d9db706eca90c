"""Standby fuel in bills: it goes by the hours, not by the cold, so it is neither heat loss nor a gap."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from bills.houses import bills_of, winters

from costsim import load_weather, simulate
from costsim.analysis.last_winter import against_bills
from costsim.bills.house import fit_house
from costsim.results.result import Result
from costsim.study.case import Case, case_from
from costsim.views.text_fit import base_left_out
from costsim.views.text_verify import gap

WEATHER = replace(winters(years=2), design_c=-9.0)


@cache
def boiler(standby: str = "100 W") -> tuple[Case, Result]:
    """A house of 250 W/K that needs no heat from 15 °C on, a boiler of 85 % that does not cycle, and its standby."""
    source = {"kind": "gas", "output": "14 kW", "efficiency": "85 %", "cycling_degradation": 0, "standby": standby}
    case = case_from(
        {
            "title": "Invented", "place": {"weather": "greensboro.csv", "design_outdoor": "-9 degC"},
            "house": {"floor_area": "160 m2", "heat_loss_rate": "250 W/K", "indoor_temperature": "21 degC", "balance_point": "15 degC"},
            "prices": {"natural_gas": {"energy": "0.10 €/kWh", "fixed": "12 €/month"}},
            "option": [{"name": "Gas", "source": [source]}],
        }
    )  # fmt: skip
    return case, simulate(case, load_weather(case))


def test_standby_is_no_heat_loss_and_no_gap() -> None:
    """By hand, each bill holds 100 W for all its hours and the heat of 250 W/K over 0.85."""
    case, result = boiler()
    bills = bills_of(WEATHER, base_w=100.0, slope_w_k=250.0 / 0.85, balance_c=15.0, noise=0.0, months=16)
    verification = against_bills(case, result, bills, WEATHER)
    assert verification.predicted_j == pytest.approx(bills.energy_j, rel=1e-6)
    summer = int(np.argmin(bills.energy_j / bills.days))
    assert verification.predicted_j[summer] >= 100.0 * 86400.0 * bills.days[summer]
    for share in verification.shares[1:]:
        assert share.energy_j == pytest.approx(0.0, abs=1e-4 * verification.planned_j), share.what
    house = verification.fit.now
    # 250 W/K over 24 K, from 15 °C down to -9 °C, are 6.0 kW
    assert (house.loss_w_k, house.design_load_w) == pytest.approx((250.0, 6000.0), rel=1e-3)
    assert house.efficiency.value == pytest.approx(0.85)
    assert base_left_out(house, case, "si") == ""
    assert "base use" in gap(verification, "si", "€")[2][1][0]


def test_what_the_study_does_not_count_is_said() -> None:
    """Of 300 W that do not go by the weather, 2,628 kWh in 365 days, the study counts a third."""
    case, result = boiler()
    bills = bills_of(WEATHER, base_w=300.0, slope_w_k=250.0 / 0.85, balance_c=15.0, noise=0.0, months=16)
    verification = against_bills(case, result, bills, WEATHER)
    words = base_left_out(verification.fit.now, case, "si")
    assert words.startswith(
        "2,628 kWh a year of these bills do not go by the weather, and the study counts 876 kWh of it."
    )
    plain = fit_house(bills, WEATHER).now
    assert "lights and appliances too. The house leaves them out" in base_left_out(plain, case, "si")
