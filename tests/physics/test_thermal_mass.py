"""The two-node house against scipy's own solver and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from cooling import cooling_curve
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import expm
from scipy.signal import lsim

from costsim.physics.thermal_mass import TwoNode, _exponential, discretise, hours_to, steady_feedback

HOUSES = st.builds(
    TwoNode,
    slab_j_k=st.floats(1e6, 1e8),
    room_j_k=st.floats(1e6, 3e7),
    floor_room_w_k=st.floats(50, 3000),
    floor_ground_w_k=st.floats(0, 100),
    loss_w_k=st.floats(0, 1000),
)


@settings(max_examples=40, deadline=None)
@given(HOUSES, st.integers(0, 99))
def test_an_hour_is_what_lsim_gives(house: TwoNode, seed: int) -> None:
    rng = np.random.default_rng(seed)
    inputs = np.array([rng.uniform(0, 8000), rng.uniform(0, 2000), rng.uniform(-20, 15), 10.0])
    start = np.array([rng.uniform(18, 28), rng.uniform(15, 22)])
    a = np.array([
        [-(house.floor_room_w_k + house.floor_ground_w_k) / house.slab_j_k, house.floor_room_w_k / house.slab_j_k],
        [house.floor_room_w_k / house.room_j_k, -(house.floor_room_w_k + house.loss_w_k) / house.room_j_k],
    ])  # fmt: skip
    b = np.array(
        [
            [1 / house.slab_j_k, 0, 0, house.floor_ground_w_k / house.slab_j_k],
            [0, 1 / house.room_j_k, house.loss_w_k / house.room_j_k, 0],
        ]
    )
    times = np.linspace(0, 3600, 5)
    _, _, states = lsim((a, b, np.eye(2), np.zeros((2, 4))), U=np.tile(inputs, (5, 1)), T=times, X0=start, interp=False)
    keep, drive = discretise(house)
    assert keep @ start + drive @ inputs == pytest.approx(states[-1], rel=1e-7, abs=1e-7)


def test_a_slab_alone_answers_with_its_time_constant() -> None:
    # 100 mm of concrete at 10.8 W/(m² K) to a room that does not move: 63.2 % of a step after 5.9 h
    house = TwoNode(slab_j_k=230e3, room_j_k=1e12, floor_room_w_k=10.8, floor_ground_w_k=0.0, loss_w_k=0.0)
    slab, _ = cooling_curve(house, slab_c=30.0, room_c=20.0, outdoor_c=np.zeros(12), ground_c=10.0)
    at = 230e3 / 10.8 / 3600
    assert np.interp(at, np.arange(1, 13), slab) == pytest.approx(20 + 10 * np.exp(-1), abs=0.05)


def test_a_house_without_heat_goes_to_the_outdoors() -> None:
    house = TwoNode(2.3e7, 5e6, 1000.0, 0.0, 200.0)
    slab, room = cooling_curve(house, slab_c=27.0, room_c=20.0, outdoor_c=np.full(600, -10.0), ground_c=10.0)
    assert (np.diff(room[2:]) < 1e-9).all()
    assert room[-1] == pytest.approx(-10.0, abs=0.1)
    assert slab[-1] == pytest.approx(-10.0, abs=0.1)
    hours = [hours_to(room, level) for level in (16.0, 10.0, 4.0)]
    assert hours == sorted(hours)
    assert hours_to(room, -50.0) is None


def test_nothing_coupled_stands_still() -> None:
    keep, drive = discretise(TwoNode(1e6, 1e6, 0.0, 0.0, 0.0))
    assert keep == pytest.approx(np.eye(2))
    assert drive[0, 0] == pytest.approx(3.6e-3)


def swing(house: TwoNode, feedback: float) -> float:
    """By how much an hour more of this control widens a swing: the largest eigenvalue of slab and room under it."""
    keep, drive = discretise(house)
    heat = (np.array([0.0, -feedback]) - keep[0]) / drive[
        0, 0
    ]  # of each kelvin of slab and room, to put the slab where it is wished
    return float(max(abs(np.linalg.eigvals(keep + np.outer(drive[:, 0], heat)))))


@settings(max_examples=60, deadline=None)
@given(HOUSES)
def test_a_steady_feedback_parts_swings_that_die_from_those_that_grow(house: TwoNode) -> None:
    most = steady_feedback(house)
    if most < 1e4:
        assert swing(house, 0.99 * most) < 1.0 < swing(house, 1.01 * most)
    else:
        assert swing(house, 20.0) < 1.0


def test_the_usual_feedback_is_far_from_swinging_on_every_build_up() -> None:
    from costsim.physics.floor import BUILD_UPS

    for build_up in BUILD_UPS.values():
        for room_j_m2k in (20e3, 50e3, 100e3):
            for surface in (5.0, 8.0, 10.8):
                house = TwoNode(build_up.heat_capacity_j_m2k, room_j_m2k, surface, 0.0, 1.5)
                assert swing(house, 1.0) < 0.6


def test_the_exponential_is_that_of_scipy() -> None:
    random = np.random.default_rng(7)
    for size in random.uniform(-12.0, 8.0, 40):
        coupled = np.zeros((6, 6))
        coupled[:2] = random.uniform(0.0, np.exp(size), (2, 6))
        coupled[[0, 1], [0, 1]] = -coupled[:2].sum(axis=1)  # a house that cools
        assert np.allclose(_exponential(coupled), expm(coupled), rtol=1e-11, atol=1e-13)
    assert np.array_equal(_exponential(np.zeros((2, 2))), np.eye(2))


def test_the_step_of_a_house_does_not_depend_on_those_beside_it() -> None:
    # a loss a hundred times that of the first, whose matrix alone is scaled further
    houses = [TwoNode(2.3e7, 5e6, 1000.0, 10.0, loss) for loss in (200.0, 20_000.0)]
    keep, drive = discretise(TwoNode(2.3e7, 5e6, 1000.0, 10.0, np.array([200.0, 20_000.0])))
    for at, house in enumerate(houses):
        for beside, alone in zip((keep[at], drive[at]), discretise(house), strict=True):
            assert beside.tolist() == alone.tolist()
