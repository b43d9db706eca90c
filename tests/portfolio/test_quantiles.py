"""Quantiles and sums of homes read in parts, against a plain sort."""

from __future__ import annotations

import math

import numpy as np
import pytest

from costsim.portfolio.quantiles import SHARES, ExactSum, quantiles_of


def plain(values: np.ndarray, weights: np.ndarray, share: float) -> float:
    """The smallest value that this share of the weight does not exceed, by going through a sorted list."""
    risen = 0.0
    for value, weight in sorted(zip(values.tolist(), weights.tolist(), strict=True)):
        risen += weight
        if risen >= share * weights.sum():
            return value
    raise AssertionError


@pytest.mark.parametrize("size", [1, 2, 17, 400])
@pytest.mark.parametrize("kind", ["wide", "ties", "small steps"])
def test_pieces_in_any_order_give_the_quantiles_of_the_whole(size: int, kind: str) -> None:
    rng = np.random.default_rng(size)
    spread = {
        "wide": lambda: rng.normal(size=size) * 10.0 ** rng.integers(-300, 300, size),
        "ties": lambda: rng.integers(-2, 3, size).astype(float) * -0.0 + rng.integers(-2, 3, size),
        "small steps": lambda: 1000.0 + np.arange(size) * np.spacing(1000.0),
    }[kind]
    values, weights = np.stack([spread(), spread()]), rng.integers(0, 9, size).astype(float)
    weights[0] = 3.0
    cuts = np.sort(rng.integers(0, size + 1, 3))
    found = []
    for order in (np.arange(size), rng.permutation(size)):

        def parts(order: np.ndarray = order) -> list[tuple[np.ndarray, np.ndarray]]:
            return [(values[:, at], weights[at]) for at in np.split(order, cuts)]

        found.append(quantiles_of(parts, 2, float(weights.max())))
    assert found[0] == found[1]
    for row, mine in zip(values, found[0], strict=True):
        assert mine == [plain(row, weights, share) for share in SHARES]


def test_weights_that_are_no_whole_numbers() -> None:
    rng = np.random.default_rng(2)
    values, weights = rng.normal(size=3000), rng.uniform(0.1, 2.0, 3000)
    for scale in (1.0, 1e-12):
        [found] = quantiles_of(lambda scale=scale: [(values[None], weights * scale)], 1, float(weights.max()) * scale)
        assert found == [plain(values, weights, share) for share in SHARES]


def test_a_home_of_weight_two_counts_as_two() -> None:
    values, weights = np.array([5.0, 1.0, 3.0]), np.array([2.0, 1.0, 3.0])
    repeated = np.sort(np.repeat(values, weights.astype(int)))
    for share in (*SHARES, 1.0):
        found = quantiles_of(lambda: [(values[None], weights)], 1, 3.0, (share,))
        assert found == [[repeated[math.ceil(share * 6) - 1]]]


def test_sums_are_those_of_one_list() -> None:
    rng = np.random.default_rng(4)
    values = rng.normal(size=5000) * 10.0 ** rng.integers(-30, 30, 5000)
    for order in (np.arange(5000), rng.permutation(5000)):
        found = ExactSum()
        for piece in np.array_split(values[order], 7):
            found.add(piece)
        assert found.value == math.fsum(values)
    found.add(np.array([np.nan]))
    found.add(np.array([1.0]))
    assert math.isnan(found.value)
    assert ExactSum().value == 0.0
