"""Collectors against the standard's form, pvlib and closed forms."""

from __future__ import annotations

import numpy as np
import pvlib
import pytest

from costsim.physics.collector import (
    diffuse_angles_deg,
    incidence_modifier,
    lost_w_m2,
)


def test_what_the_losses_leave_is_the_published_output(published) -> None:
    rows = published("collector")
    for key, sun, excess in (
        ("iso9806_1000_0", 1000.0, 0.0),
        ("iso9806_1000_30", 1000.0, 30.0),
        ("iso9806_1000_50", 1000.0, 50.0),
        ("iso9806_500_30", 500.0, 30.0),
    ):
        rows[key].check(0.8 * sun - float(lost_w_m2(excess_k=excess, a1_w_m2k=3.5, a2_w_m2k2=0.015)))


def test_fluid_colder_than_the_air_gains_by_the_first_coefficient_and_loses_by_the_second() -> None:
    by_hand = [-10 * 4.0 + 100 * 0.01, 0.0, 10 * 4.0 + 100 * 0.01]
    assert lost_w_m2(excess_k=[-10.0, 0.0, 10.0], a1_w_m2k=4.0, a2_w_m2k2=0.01) == pytest.approx(by_hand)


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
