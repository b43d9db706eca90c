"""Collectors against the standard's form, pvlib and closed forms."""

from __future__ import annotations

import numpy as np
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.physics.collector import (
    collector_output_w_m2,
    diffuse_angles_deg,
    incidence_modifier,
    linear_output,
    stagnation_temperature_c,
)

GLAZED = {"eta0": 0.8, "a1_w_m2k": 3.5, "a2_w_m2k2": 0.015}
TUBES = {"eta0": 0.623, "a1_w_m2k": 1.52, "a2_w_m2k2": 0.0146}  # SPF C762, as printed on aucklatsolar.com


def test_output_gives_the_published_values(published) -> None:
    rows = published("collector")
    for key, sun, excess in (
        ("iso9806_1000_0", 1000.0, 0.0),
        ("iso9806_1000_30", 1000.0, 30.0),
        ("iso9806_1000_50", 1000.0, 50.0),
        ("iso9806_500_30", 500.0, 30.0),
    ):
        rows[key].check(
            float(collector_output_w_m2(irradiance_w_m2=sun, mean_fluid_c=excess - 5.0, outdoor_c=-5.0, **GLAZED))
        )


def test_output_is_never_negative_and_vectorised() -> None:
    sun = np.array([0.0, 100.0, 1000.0])
    output = collector_output_w_m2(
        irradiance_w_m2=sun, mean_fluid_c=60.0, outdoor_c=np.array([-20.0, 0.0, 10.0]), **GLAZED
    )
    assert output.shape == (3,)
    assert output[:2].tolist() == [0.0, 0.0]
    assert output[2] == pytest.approx(800.0 - 175.0 - 37.5)


def test_incidence_modifier_gives_the_published_values(published) -> None:
    for key, row in published("collector").items():
        if key.startswith("ashrae93_"):
            row.check(float(incidence_modifier(angle_deg=float(key.removeprefix("ashrae93_")), b0=0.1)))


def test_incidence_modifier_agrees_with_pvlib_and_is_dark_from_behind() -> None:
    angles = np.linspace(-85.0, 85.0, 171)
    np.testing.assert_allclose(
        incidence_modifier(angle_deg=angles, b0=0.07), pvlib.iam.ashrae(angles, b=0.07), atol=1e-12
    )
    assert incidence_modifier(angle_deg=[90.0, 120.0, 180.0]).tolist() == [0.0, 0.0, 0.0]


@pytest.mark.parametrize("tilt", [0.0, 30.0, 60.0, 90.0])
def test_effective_diffuse_angles_agree_with_integration_over_the_sky(tilt: float) -> None:
    # pvlib integrates the same modifier over the sky and ground; the angles are a fit by Brandemuehl and Beckman
    # for glass, so the 1/cos form agrees only to a few points.
    sky, ground = diffuse_angles_deg(tilt_deg=tilt)
    integrated = pvlib.iam.marion_diffuse("ashrae", tilt, b=0.1)
    assert float(incidence_modifier(angle_deg=sky)) == pytest.approx(float(integrated["sky"]), abs=0.03)
    if tilt >= 60.0:
        assert float(incidence_modifier(angle_deg=ground)) == pytest.approx(float(integrated["ground"]), abs=0.06)


@settings(max_examples=50, deadline=None)
@given(
    sun=st.floats(200.0, 1100.0),
    fluid=st.floats(20.0, 80.0),
    outdoor=st.floats(-25.0, 15.0),
    half=st.floats(1.0, 30.0),
)
def test_lines_touch_or_cut_the_curve_where_they_should(sun: float, fluid: float, outdoor: float, half: float) -> None:
    def curve(temperature: float) -> float:
        excess = temperature - outdoor
        return 0.623 * sun - 1.52 * excess - 0.0146 * excess**2

    where = {"irradiance_w_m2": sun, "mean_fluid_c": fluid, "outdoor_c": outdoor, **TUBES}
    intercept, slope = linear_output(**where)
    assert intercept - slope * fluid == pytest.approx(curve(fluid), abs=1e-8)
    assert slope == pytest.approx((curve(fluid - 1e-3) - curve(fluid + 1e-3)) / 2e-3, rel=1e-5)
    assert intercept - slope * (fluid + half) >= curve(fluid + half)
    intercept, slope = linear_output(span_k=2 * half, **where)
    for end in (fluid - half, fluid + half):
        assert intercept - slope * end == pytest.approx(curve(end), abs=1e-8)
    assert intercept - slope * fluid <= curve(fluid)


@settings(max_examples=50, deadline=None)
@given(sun=st.floats(50.0, 1200.0), outdoor=st.floats(-30.0, 40.0), a2=st.sampled_from([0.0, 1e-6, 0.005, 0.015]))
def test_output_vanishes_at_stagnation_and_not_before(sun: float, outdoor: float, a2: float) -> None:
    numbers = {"eta0": 0.75, "a1_w_m2k": 3.0, "a2_w_m2k2": a2}
    hot = float(stagnation_temperature_c(irradiance_w_m2=sun, outdoor_c=outdoor, **numbers))
    at = {"irradiance_w_m2": sun, "outdoor_c": outdoor, **numbers}
    assert float(collector_output_w_m2(mean_fluid_c=hot, **at)) == pytest.approx(0.0, abs=1e-8)
    assert float(collector_output_w_m2(mean_fluid_c=hot - 1.0, **at)) > 2.9


def test_stagnation_without_quadratic_loss_is_the_quotient() -> None:
    hot = stagnation_temperature_c(irradiance_w_m2=1000.0, outdoor_c=30.0, eta0=0.7, a1_w_m2k=5.0, a2_w_m2k2=0.0)
    assert float(hot) == pytest.approx(30.0 + 700.0 / 5.0)
    assert float(stagnation_temperature_c(irradiance_w_m2=0.0, outdoor_c=7.0, **GLAZED)) == pytest.approx(7.0)


def test_a_collector_without_losses_is_refused() -> None:
    with pytest.raises(ValueError, match="without losses"):
        stagnation_temperature_c(irradiance_w_m2=1000.0, outdoor_c=30.0, eta0=0.7, a1_w_m2k=0.0, a2_w_m2k2=0.0)
