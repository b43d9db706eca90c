"""The smallest output that does, guessed from what is missing: sizes that are run, by hand, on plants of one line."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.analysis.halving import bears, narrow, told_by_unmet

NEEDED = (8000.0, 7000.0, 5000.0, 4000.0)
"""What four hours need [W]."""


class Plant:
    """Lacks in each hour a share of what its output is below the need; cannot be below a smallest fire."""

    def __init__(self, *, needed: tuple[float, ...] = (5000.0,), share: float = 1.0, fire_w: float = 0.0) -> None:
        self.needed, self.share, self.fire_w = needed, share, fire_w
        self.run_w: list[float] = []

    def __call__(self, value: float) -> Any:
        if value not in self.run_w:
            self.run_w.append(value)
        if value < self.fire_w:
            return None
        missing = [self.share * max(0.0, one - value) for one in self.needed]
        return SimpleNamespace(
            lacking_hours=sum(one > 0 for one in missing), missing_w=lambda hours: sorted(missing)[-1 - hours], at=value
        )


@pytest.mark.parametrize(
    ("plant", "hours", "run_w"),
    [
        # 4 kW are missing with 1 kW: a quarter of a thousandth below 5 kW falls short, as much above does
        (Plant(), 0, [1000.0, 4998.75, 5001.25]),
        # half a watt is missing for each watt of output: 3 kW, then 1000.375 W more, then as the last two tell
        (Plant(share=0.5), 0, [1000.0, 2999.25, 3998.62509375, 4998.75, 5001.25]),
        # half way to what does, and again, until one can be made
        (Plant(needed=(4000.0,), fire_w=3000.0), 0, [1000.0, 5000.0, 3000.0, 3999.0, 4001.0]),
        # two of the hours are borne, and the third needs 5 kW
        (Plant(needed=NEEDED), 2, [1000.0, 4998.75, 5001.25]),
        (Plant(needed=NEEDED, share=0.5), 2, [1000.0, 2999.25, 3000.75, 4998.75, 5001.25]),
        # all that does is out of reach: nothing more is run
        (Plant(needed=(9500.0,)), 0, [1000.0]),
    ],
)
def test_outputs_that_are_run_follow_what_is_missing(plant: Plant, hours: int, run_w: list[float]) -> None:
    told_by_unmet(plant, 1000.0, 9000.0, hours)
    assert plant.run_w == pytest.approx(run_w, rel=1e-12)


def test_an_output_above_one_that_does_is_not_run() -> None:
    """What is a quarter of a thousandth above the guess is the one that does already."""
    plant = Plant()
    told_by_unmet(plant, 1000.0, 5000.0 * (1.0 + 0.25e-3), 0)
    assert plant.run_w == [1000.0, 4998.75]
    plant = Plant()
    does = told_by_unmet(plant, 1000.0, 4998.75, 0)  # the guess itself is the one that was said to do
    assert plant.run_w == [1000.0]
    assert does(4998.75)
    assert not does(1000.0)
    assert plant.run_w == [1000.0]


def test_a_size_is_run_only_between_what_falls_short_and_what_does() -> None:
    plant = Plant()
    does = told_by_unmet(plant, 1000.0, 9000.0, 0)
    assert [does(one) for one in (500.0, 1000.0, 4998.75, 5001.25, 9000.0, 9500.0)] == [False] * 3 + [True] * 3
    assert plant.run_w == [1000.0, 4998.75, 5001.25]
    assert does(5000.0)
    assert not does(4999.0)
    assert plant.run_w == [1000.0, 4998.75, 5001.25, 5000.0, 4999.0]
    assert [does(5000.5), does(4998.9)] == [True, False]
    assert len(plant.run_w) == 5


def test_a_guess_above_what_is_asked_is_run_first() -> None:
    """What is missing goes with the square of what the output lacks, so that six guesses end below what does."""

    class Square(Plant):
        def __call__(self, value: float) -> Any:
            found = super().__call__(value)
            found.missing_w = lambda hours: (5000.0 - value) ** 2 / 8000.0 if value < 5000.0 else 0.0
            return found

    plant = Square()
    does = told_by_unmet(plant, 1000.0, 9000.0, 0)
    assert len(plant.run_w) == 7
    assert plant.run_w[1:3] == pytest.approx([3000.0 * 0.99975, (2999.25 + 2000.75**2 / 8000.0) * 0.99975])
    before, last = plant.run_w[-2:]
    missing = [(5000.0 - one) ** 2 / 8000.0 for one in (before, last)]
    guess = last + missing[1] * (last - before) / (missing[0] - missing[1])
    assert last < guess * 0.99975 < 5000.0
    asked = (last + guess * 0.99975) / 2.0
    assert not does(asked)
    assert plant.run_w[7:] == pytest.approx([guess * 0.99975])  # which falls short, and so does what is below
    assert does(5000.0)


def test_a_plant_whose_house_lacks_nothing_is_halved() -> None:
    """A use before the house lacks heat in an hour, which tells nothing of how much."""

    class Tap(Plant):
        def __call__(self, value: float) -> Any:
            found = super().__call__(value)
            found.missing_w = lambda hours: 0.0
            return found

    plant = Tap()
    does = told_by_unmet(plant, 1000.0, 9000.0, 0)
    assert plant.run_w == [1000.0]
    high, found = narrow(does, plant, 1000.0, 9000.0, plant(9000.0), 0)
    assert plant.run_w[1:6] == [9000.0, 5000.0, 3000.0, 4000.0, 4500.0]
    assert high == found.at == 5000.0  # type: ignore[attr-defined]
    # 8 kW halved eleven times is less than a thousandth of 5 kW
    assert len(plant.run_w) == 2 + 11


def test_the_span_is_halved_to_a_thousandth() -> None:
    run = Plant()
    asked: list[float] = []

    def does(value: float) -> bool:
        asked.append(value)
        return value >= 5000.0

    high, found = narrow(does, run, 4990.0, 5000.0, run(5000.0), 0)
    # 10 W, then 5 W, which is just a thousandth
    assert (high, found.at, asked) == (5000.0, 5000.0, [4995.0])  # type: ignore[attr-defined]
    asked.clear()
    best: Any = SimpleNamespace(lacking_hours=0)
    assert narrow(does, run, 4000.0, 5000.0, best, 0) == (5000.0, best)
    assert asked == [4500.0, 4750.0, 4875.0, 4937.5, 4968.75, 4984.375, 4992.1875, 4996.09375]


def test_a_year_bears_as_many_hours_as_are_allowed() -> None:
    year: Any = SimpleNamespace(lacking_hours=3)
    assert [bears(year, hours) for hours in (2, 3, 4)] == [False, True, True]
    assert not bears(None, 8760)
