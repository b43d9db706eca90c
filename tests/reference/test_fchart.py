"""The f-chart reference against its published numbers, before it is used to judge the hourly tank model."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reference.fchart import (
    Month,
    SolarSystem,
    annual_fraction,
    load_exchanger_correction,
    loss_and_gain,
    monthly_fraction,
    solar_fraction,
    storage_correction,
)

JANUARY = Month(sun_j_m2=12.9e6 * 31, outdoor_c=-7.0, load_j=36e9, length_s=31 * 86400.0)


def madison(area_m2: float) -> SolarSystem:
    return SolarSystem(area_m2=area_m2, fr_tau_alpha=0.74, fr_ul_w_m2k=4.0, exchanger_factor=0.97, angle_factor=0.96)


def test_polynomial_gives_the_published_values(published) -> None:
    rows = published("collector")
    for key, x, y in (
        ("fchart_f_05_05", 0.5, 0.5),
        ("fchart_f_1_05", 1.0, 0.5),
        ("fchart_f_2_1", 2.0, 1.0),
        ("fchart_f_4_1", 4.0, 1.0),
    ):
        rows[key].check(solar_fraction(x, y))


def test_corrections_give_the_published_values(published) -> None:
    rows = published("collector")
    for key, litres in (("fchart_storage_38", 37.5), ("fchart_storage_150", 150.0), ("fchart_storage_300", 300.0)):
        rows[key].check(storage_correction(litres))
    for key, z in (("fchart_exchanger_1", 1.0), ("fchart_exchanger_2", 2.0), ("fchart_exchanger_10", 10.0)):
        rows[key].check(load_exchanger_correction(z))


def test_example_after_madison_in_january(published) -> None:
    rows = published("collector")
    seen = 0
    for key, row in rows.items():
        if key.startswith("fchart_madison_"):
            area, quantity = key.removeprefix("fchart_madison_").split("_")
            x, y = loss_and_gain(madison(float(area)), JANUARY)
            f = solar_fraction(x, y)
            row.check({"x": x, "y": y, "f": f, "heat": f * JANUARY.load_j / 1e9}[quantity])
            seen += 1
    assert seen == 7


def test_standard_store_and_exchanger_change_next_to_nothing() -> None:
    x, y = loss_and_gain(madison(50), JANUARY)
    assert monthly_fraction(madison(50), JANUARY) == pytest.approx(solar_fraction(x, y), abs=0.003)


def test_annual_fraction_is_weighted_by_load() -> None:
    mild = Month(sun_j_m2=15e6 * 30, outdoor_c=15.0, load_j=2e9, length_s=30 * 86400.0)
    idle = Month(sun_j_m2=20e6 * 31, outdoor_c=25.0, load_j=0.0, length_s=31 * 86400.0)
    system = madison(50)
    january, may = monthly_fraction(system, JANUARY), monthly_fraction(system, mild)
    assert may > january
    assert annual_fraction(system, [JANUARY, mild, idle]) == pytest.approx((36 * january + 2 * may) / 38)


@settings(max_examples=50, deadline=None)
@given(x=st.floats(0.1, 10.0), y=st.floats(0.05, 2.0))
def test_more_sun_never_gives_less_and_more_loss_never_more(x: float, y: float) -> None:
    f = solar_fraction(x, y)
    assert 0.0 <= f <= 1.0
    assert solar_fraction(x, y + 0.05) >= f - 1e-12
    assert solar_fraction(x + 0.1, y) <= f + 1e-12


def test_outside_the_method_is_refused() -> None:
    for wrong in (10.0, 400.0, math.nan):
        with pytest.raises(ValueError, match="outside"):
            storage_correction(wrong)
    with pytest.raises(ValueError, match="outside"):
        load_exchanger_correction(0.1)
