"""What changes the result most: each uncertain thing alone at its low and its high value, everything else in the middle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from costsim.analysis.scenarios import Scenarios, price_name, simulate_scenarios
from costsim.analysis.sizing import named_option
from costsim.engine.batch import price_batch
from costsim.engine.lower import LoweredStudy
from costsim.study.case import Option
from costsim.units.arrays import Floats

LOW, HIGH = 10.0, 90.0
"""Percentiles of what was drawn."""


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What one thing does to the gap between two options (cost of the second less that of the first).

    `low` and `high` are the gap with the thing at its 10 % and 90 % value, `middle` with all in the middle. `values` are
    those two values: factors, for a winter the degree-days above the mean as a share, for the indoor temperature kelvin.
    """

    what: str
    values: tuple[float, float]
    low: float
    high: float
    middle: float

    @property
    def width(self) -> float:
        """How far the thing moves the gap."""
        return abs(self.high - self.low)

    @property
    def turns(self) -> bool:
        """Whether the thing alone makes the other option the cheaper one."""
        return min(self.low, self.high) < 0.0 < self.middle or max(self.low, self.high) > 0.0 > self.middle


def sensitivity(years: Sequence[LoweredStudy], scenarios: Scenarios, pair: tuple[str, str]) -> tuple[Sensitivity, ...]:
    """Move one thing at a time.

    Parameters
    ----------
    years : sequence of LoweredStudy
        As for `draw`.
    scenarios : Scenarios
        Their percentiles are the low, middle and high values.
    pair : tuple of str
        Names of the two options.

    Returns
    -------
    tuple of Sensitivity
        Widest first. What several things do together is in the scenarios, not here.
    """
    corners = _corners(scenarios)
    # the same option twice where a study has one
    options = [named_option(years[0].case, name) for name in pair]
    narrow = [_narrowed(year, options) for year in years]
    costs = [price_batch(narrow[0], many, corners.prices) for many in simulate_scenarios(narrow, corners)]
    gap = costs[1] - costs[0]
    rows = [
        Sensitivity(what, (_at(drawn, LOW), _at(drawn, HIGH)), float(gap[2 * i]), float(gap[2 * i + 1]), float(gap[-1]))
        for i, (what, drawn) in enumerate(scenarios.named().items())
    ]
    return tuple(sorted(rows, key=lambda row: -row.width))


def _narrowed(common: LoweredStudy, options: Sequence[Option]) -> LoweredStudy:
    return replace(common, case=common.case.model_copy(update={"option": tuple(options)}))


def _corners(scenarios: Scenarios) -> Scenarios:
    """Rows low and high of each thing in turn, and a last row with everything in the middle."""
    named = scenarios.named()
    count = 2 * len(named) + 1
    columns = {name: np.full(count, _at(values, 50.0)) for name, values in named.items() if name != "winter"}
    winter = np.full(count, _year_at(scenarios, 50.0))
    for i, (name, values) in enumerate(named.items()):
        for row, share in ((2 * i, LOW), (2 * i + 1, HIGH)):
            if name == "winter":
                winter[row] = _year_at(scenarios, share)
            else:
                columns[name][row] = _at(values, share)
    return Scenarios(
        load=columns["design load"],
        setpoint_spread_k=columns["indoor temperature"],
        efficiency={name: columns[name] for name in scenarios.efficiency},
        curtailment=columns.get("curtailment hours", np.ones(count)),
        prices={key: columns[price_name(key)] for key in scenarios.prices},
        winter_k=scenarios.winter_k[winter],
        year=scenarios.year[winter],
        winter=scenarios.winter[winter],
    )


def _at(values: Floats, share: float) -> float:
    """A value that was drawn: curtailment hours go in steps, and a step between two is none."""
    return float(np.percentile(values, share, method="nearest"))


def _year_at(scenarios: Scenarios, share: float) -> int:
    """Place of the draw whose winter stands at that percentile."""
    return int(np.abs(scenarios.winter - _at(scenarios.winter, share)).argmin())
