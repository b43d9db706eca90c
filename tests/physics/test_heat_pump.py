"""Heat pumps against Carnot and certified averages."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.physics.heat_pump import (
    CERTIFIED_SPREAD,
    capacity_w,
    carnot_cop,
    certified_cop,
    cop_between_points,
    defrost_factor,
)


def test_the_default_curve_meets_certified_averages(published) -> None:
    rows, seen = published("heat_pump"), []
    for key, row in rows.items():
        if key.startswith("certified_") and key.count("_") == 2:
            source, sink = (float(part.replace("minus", "-")) for part in key.removeprefix("certified_").split("_"))
            seen.append(float(certified_cop(lift_k=sink - source)))
            row.check(seen[-1])
    assert len(seen) == 8
    rows["certified_mean"].check(float(np.mean(seen)))
    rows["certified_spread"].check(CERTIFIED_SPREAD)


def test_the_default_curve_falls_with_the_lift_and_ends_at_one() -> None:
    lift = np.linspace(0.0, 150.0, 301)
    cop = certified_cop(lift_k=lift)
    assert np.all(np.diff(cop) <= 1e-12)
    assert cop[0] == pytest.approx(10.197 - 0.25444 * 12 + 0.00195196 * 144)
    assert cop[-1] == 1.0
    # beyond the points the share of the ideal machine stays, which would be 0.35 to 0.4 there
    share = cop[120:190] / carnot_cop(sink_c=60.0, source_c=60.0 - lift[120:190])
    assert share.min() > 0.33
    assert share.max() < 0.4


def test_test_points_give_their_own_cop_and_between_them_the_share_of_the_ideal() -> None:
    points = {"test_supply_c": (34.0, 30.0, 27.0), "test_outdoor_c": (-7.0, 2.0, 7.0), "test_cop": (2.8, 4.6, 6.0)}
    at = cop_between_points(supply_c=[34.0, 30.0, 27.0], outdoor_c=[-7.0, 2.0, 7.0], **points)
    np.testing.assert_allclose(at, [2.8, 4.6, 6.0])
    # 0.7 of the way from 2 to 7 °C outdoors, lifts of 28 and 20 K; 40 - 5.5 = 34.5 K
    shares = 2.8 * 41 / 307.15, 4.6 * 28 / 303.15, 6.0 * 20 / 300.15
    by_hand = (0.3 * shares[1] + 0.7 * shares[2]) * (40.0 + 273.15) / 34.5
    assert float(cop_between_points(supply_c=40.0, outdoor_c=5.5, **points)) == pytest.approx(by_hand)
    # beyond the ends: the same share above, the same lift below
    assert float(cop_between_points(supply_c=55.0, outdoor_c=-7.0, **points)) == pytest.approx(shares[0] * 328.15 / 62)
    assert float(cop_between_points(supply_c=27.0, outdoor_c=20.0, **points)) == pytest.approx(6.0)
    cooler = cop_between_points(supply_c=np.arange(50.0, 10.0, -0.5), outdoor_c=7.0, **points)
    assert np.diff(cooler).min() >= -1e-12  # cooler water at the same outdoor air never takes more
    for bad in ({"test_cop": (2.8, 4.6)}, {"test_supply_c": (34.0, 2.0, 27.0)}):
        with pytest.raises(ValueError, match="warmer supply"):
            cop_between_points(supply_c=35.0, outdoor_c=0.0, **{**points, **bad})


def test_points_of_one_lift_keep_their_own_figures() -> None:
    """A sheet as EN 14511 has it: A2/W35 and A12/W45 lie 33 K apart both, A-7/W35 and A2/W44 42 K."""
    sheet = [(-7, 35, 2.8), (2, 35, 3.4), (2, 44, 2.8), (7, 35, 4.5), (12, 35, 5.2), (12, 45, 4.0)]
    points = {
        f"test_{name}": [float(row[i]) for row in sheet] for i, name in enumerate(("outdoor_c", "supply_c", "cop"))
    }
    given = cop_between_points(outdoor_c=points["test_outdoor_c"], supply_c=points["test_supply_c"], **points)
    np.testing.assert_allclose(given, points["test_cop"])
    # at 2 °C and 39.5 °C halfway between its own two points; colder than any point the coldest one's share
    half = (3.4 * 33 / 308.15 + 2.8 * 42 / 317.15) / 2 * 312.65 / 37.5
    assert float(cop_between_points(outdoor_c=2.0, supply_c=39.5, **points)) == pytest.approx(half)
    assert float(cop_between_points(outdoor_c=-17.0, supply_c=35.0, **points)) == pytest.approx(2.8 * 42 / 52)


def test_carnot_is_the_ratio_of_absolute_temperatures(published) -> None:
    published("heat_pump")["carnot_35_2"].check(float(carnot_cop(sink_c=35.0, source_c=2.0)))
    assert float(carnot_cop(sink_c=35.0, source_c=2.0, share=0.4)) == pytest.approx(0.4 * 308.15 / 33.0)
    assert float(carnot_cop(sink_c=35.0, source_c=34.0)) == pytest.approx(308.15 / 15.0)
    assert float(carnot_cop(sink_c=90.0, source_c=-40.0, share=0.3)) == 1.0


@settings(max_examples=50, deadline=None)
@given(sink=st.floats(25.0, 65.0), source=st.floats(-30.0, 20.0), share=st.floats(0.2, 0.6))
def test_colder_air_or_hotter_water_never_helps(sink: float, source: float, share: float) -> None:
    cop = float(carnot_cop(sink_c=sink, source_c=source, share=share))
    assert float(carnot_cop(sink_c=sink, source_c=source - 1.0, share=share)) <= cop
    assert float(certified_cop(lift_k=sink - source + 1.0)) <= float(certified_cop(lift_k=sink - source))


def test_capacity_follows_its_test_points() -> None:
    points = {"test_outdoor_c": (-15.0, -7.0, 7.0), "test_capacity_w": (5200.0, 6800.0, 10000.0)}
    given_w = capacity_w(outdoor_c=[-15.0, -7.0, 0.0, 7.0, 20.0], **points)
    np.testing.assert_allclose(given_w, [5200.0, 6800.0, 8400.0, 10000.0, 10000.0])
    below = capacity_w(outdoor_c=[-20.0, -41.0, -60.0], **points)
    np.testing.assert_allclose(below, [4200.0, 0.0, 0.0], atol=1e-9)


def test_capacity_is_nothing_below_the_cut_out() -> None:
    points = {"test_outdoor_c": (-7.0, 7.0), "test_capacity_w": (7e3, 9e3), "cut_out_c": -20.0}
    assert capacity_w(outdoor_c=[-20.1, -20.0], **points)[0] == 0.0
    assert capacity_w(outdoor_c=[-20.1, -20.0], **points)[1] > 0.0
    assert float(capacity_w(outdoor_c=-18.0, test_outdoor_c=(7.0,), test_capacity_w=(8e3,))) == 8e3


def test_bad_test_points_are_refused() -> None:
    for temperatures, outputs in (((7.0, -7.0), (9e3, 7e3)), ((7.0, 7.0), (9e3, 7e3)), ((7.0,), (9e3, 7e3)), ((), ())):
        with pytest.raises(ValueError, match="rising"):
            capacity_w(outdoor_c=0.0, test_outdoor_c=temperatures, test_capacity_w=outputs)


def test_defrosting_costs_most_around_freezing(published) -> None:
    rows = published("heat_pump")
    loss = 100 * (1.0 - float(defrost_factor(outdoor_c=0.0)))
    assert rows["defrost_low"].value <= loss <= rows["defrost_high"].value
    np.testing.assert_allclose(
        defrost_factor(outdoor_c=[-25.0, -7.0, -5.0, 5.0, 7.0, 15.0], depth=0.08), [1, 1, 0.92, 0.92, 1, 1]
    )
