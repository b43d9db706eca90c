"""Perfect foresight: the least-cost year as one linear program, a bound that no rule can beat."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from costsim.engine import layout as k
from costsim.engine.lower import NO_TANK_J_K, LoweredOption, LoweredStudy, lower_plant, option_study
from costsim.errors import SolverError
from costsim.results.result import Hourly
from costsim.simulation import run_hours
from costsim.study.case import Option
from costsim.units.arrays import Floats, Ints
from costsim.units.quantity import HOUR_S

KW = 1e3
ROOM = 1e-6
"""By how much every limit is loosened, in kW, kWh and K."""
WORTH = 1.2
"""What a kWh delivered is worth in the search, as a multiple of the highest price: any above one gives the same year."""
PIVOTS = {"simplex_dual_edge_weight_strategy": 1, "simplex_scale_strategy": 0}
"""How HiGHS goes from corner to corner: by Devex, whose steps are cheap, and unscaled, since kW, kWh and K are of one size here."""


@dataclass(frozen=True, slots=True)
class OptimalDispatch:
    """The least-cost year: energy cost, heat (sources, n) [W], tank (n,) [°C], what is not delivered (n,) [W]."""

    cost: float
    heat_w: Floats
    tank_c: Floats
    unmet_w: Floats


@dataclass(frozen=True, slots=True)
class ControllerGap:
    """What a perfect controller would save: energy at hourly prices under the rule and at best, without fixed charges."""

    option: str
    rule_cost: float
    best_cost: float

    @property
    def saving(self) -> float:
        """Money a year."""
        return self.rule_cost - self.best_cost


def controller_gap(common: LoweredStudy, option: Option) -> ControllerGap:
    """Compare an option's rule with perfect foresight.

    Parameters
    ----------
    common : LoweredStudy
    option : Option

    Returns
    -------
    ControllerGap
        Energy at each hour's own price; blocks at the price that the rule sees, demand charges left out on both sides.

    Raises
    ------
    SolverError
        The study lets the slab store heat, or the solver found no answer.
    """
    common = option_study(common, option)
    plant = lower_plant(common, option)
    hourly = run_hours(common, plant)
    prices = np.stack([offer.price_per_heat_j for offer in plant.offers])
    paid = [
        float((hourly.input_w[i] * prices[i] * offer.heat_per_input).sum()) * HOUR_S
        for i, offer in enumerate(plant.offers)
    ]
    return ControllerGap(option.name, sum(paid), perfect_foresight(plant, prices, hourly).cost)


def perfect_foresight(plant: LoweredOption, price_per_heat_j: Floats, rule: Hourly) -> OptimalDispatch:
    """Find the cheapest year that leaves the house no colder and the tank no emptier than a rule did.

    Parameters
    ----------
    plant : LoweredOption
    price_per_heat_j : array (sources, n)
        Money per joule of heat at full-load efficiency.
    rule : Hourly
        A year under any rule.

    Returns
    -------
    OptimalDispatch

    Raises
    ------
    SolverError
        The slab stores heat, or HiGHS found no answer.

    Notes
    -----
    Everything is relaxed so that no rule's year is cut off: unmet load may be placed anywhere up to the rule's sum, heat of
    fires and sun may be thrown away, charges need not be lit whole, collectors may meet the coldest tank, cycling and
    standby cost nothing. So the bound is at most what any rule pays, and the gap is at least what a controller could save.

    References
    ----------
    HiGHS' dual simplex method through `scipy.optimize.milp`, which takes rows with two sides and here has no integers.
    """
    if plant.scalars[k.WITH_MASS] > 0.5:
        raise SolverError("perfect foresight is computed without thermal mass: take [floor.mass] out of the study")
    if _stores_nothing(plant):
        return _hour_by_hour(plant, price_per_heat_j, rule)
    return _LinearProgram(plant, price_per_heat_j, rule).solve()


def _stores_nothing(plant: LoweredOption) -> bool:
    """Whether there is no tank, and each source runs when it is told to, so that no hour knows of another."""
    own, scalars = plant.source_scalars, plant.scalars
    no_tank = scalars[k.TANK_RISE] * NO_TANK_J_K >= HOUR_S and scalars[k.LOSS_NET] == 0.0
    return bool(no_tank and (own[:, k.MUST_RUN] < 0.5).all() and (own[:, k.BURN_POWER] == 0.0).all())


def _hour_by_hour(plant: LoweredOption, price_per_heat_j: Floats, rule: Hourly) -> OptimalDispatch:
    """The least-cost year where nothing is stored: of all hours' heat the cheapest, until as much is given as under the rule.

    What taps and other uses take is given first. No corner of the linear program is cheaper, since every hour's cost is convex.
    """
    call, use = np.minimum(plant.hours[k.DEMAND], plant.hours[k.FLOOR_LIMIT]), rule.use_delivered_w
    order = np.argsort(price_per_heat_j, axis=0, kind="stable")
    price, capacity = (
        np.take_along_axis(rows, order, axis=0) for rows in (price_per_heat_j, plant.source_hours[:, k.CAPACITY])
    )
    top = np.cumsum(capacity, axis=0)
    bottom = top - capacity
    for_uses = np.maximum(np.minimum(top, use) - bottom, 0.0)
    most = np.maximum(np.minimum(top, use + call) - np.maximum(bottom, use), 0.0)
    cheapest = np.argsort(price, axis=None, kind="stable")
    parts = most.ravel()[cheapest]
    given, wanted = np.empty(most.size), float(np.minimum(rule.delivered_w, call).sum())
    given[cheapest] = np.clip(wanted - (np.cumsum(parts) - parts), 0.0, parts)
    delivered, heat = given.reshape(most.shape), np.empty(most.shape)
    np.put_along_axis(heat, order, for_uses + delivered, axis=0)
    # the rule's own year stores the little that `NO_TANK_J_K` holds
    cost = min(float((heat_w * price_per_heat_j).sum()) for heat_w in (heat, rule.heat_w)) * HOUR_S
    return OptimalDispatch(cost, heat, rule.tank_c, call - delivered.sum(axis=0))


class _LinearProgram:
    """The linear program. Columns: heat of each source, delivered, tank at the hour's end, fuel in each fire, spare; kW and kWh.

    Three things bring the first corner that is tried close to the least-cost year, and leave the answer as it is: the heat
    of the dearest source that runs under the rule follows from the tank's balance, so that the tank is a column of its own
    that begins as cold as it may be; a fire's fuel is followed from charge to charge; and where something is left
    undelivered, each kWh is worth more than its price, and what is spare beyond the least costs that much.
    """

    def __init__(self, plant: LoweredOption, price_per_heat_j: Floats, rule: Hourly) -> None:
        self._plant, self._rule = plant, rule
        self._n, self._count = plant.hours.shape[1], len(plant.offers)
        self._fires = [i for i in range(self._count) if plant.source_scalars[i, k.BURN_POWER] > 0]
        self._price = price_per_heat_j * KW * HOUR_S
        self._call = np.minimum(plant.hours[k.DEMAND], plant.hours[k.FLOOR_LIMIT]) / KW
        self._least = np.minimum(rule.delivered_w / KW, self._call)
        self._whole = float((self._call - self._least).sum()) <= ROOM
        self._keep, self._rise = plant.scalars[k.TANK_KEEP], plant.scalars[k.TANK_RISE] * KW
        self._charges = [np.cumsum(plant.source_hours[i, k.CHARGE] > 0) for i in self._fires]
        first = (self._count + 2) * self._n
        self._fuel_at = first + np.cumsum([0, *(int(charge[-1]) + 1 for charge in self._charges)])
        self._width = int(self._fuel_at[-1]) + 1

    def _columns(self, block: int) -> Ints:
        return np.arange(block * self._n, (block + 1) * self._n)

    def solve(self) -> OptimalDispatch:
        """Build and solve."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import vstack

        cost, bounds = self._costs(), self._bounds()
        (balance, given), (limits, least, most) = self._balance(), self._limits()
        running = np.where(self._rule.heat_w > ROOM * KW, self._price, -np.inf)
        gone = running.argmax(axis=0) * self._n + np.arange(self._n)
        fixed = bounds[:, 0] == bounds[:, 1]  # what is delivered, where nothing is left undelivered
        fixed[gone] = False
        still, kept = (
            np.flatnonzero(fixed),
            np.delete(np.arange(self._width), np.concatenate((gone, np.flatnonzero(fixed)))),
        )
        held = bounds[still, 0]
        given = given - balance[:, still] @ held
        follows, by = balance[:, kept], limits[:, gone]
        rows, moved = vstack([follows, limits[:, kept] + by @ follows]).tocsr(), by @ given - limits[:, still] @ held
        rows.eliminate_zeros()
        lowest, highest = (
            np.concatenate([side + given, limit + moved])
            for side, limit in zip(bounds[gone].T, (least, most), strict=True)
        )
        # SciPy hands these to HiGHS as they are, and warns that it does
        warnings.filterwarnings("ignore", "Unrecognized options detected", RuntimeWarning)
        # presolve finds nothing more, and may lose the rule's own year to rounding
        for options in ({"presolve": False, **PIVOTS}, {}):
            solution = milp(
                cost[kept] + follows.T @ cost[gone],
                constraints=LinearConstraint(rows, lowest, highest),
                bounds=Bounds(*bounds[kept].T),
                options=options,
            )
            if solution.status == 0:
                break
        else:
            raise SolverError(f"no least-cost year was found: {solution.message}")
        values = np.empty(self._width)
        values[kept], values[still], values[gone] = solution.x, held, follows @ solution.x - given
        heat = values[: self._count * self._n].reshape(self._count, self._n)
        tank = self._plant.scalars[k.TANK_START] + self._rise * values[self._columns(self._count + 1)]
        unmet = self._call - values[self._columns(self._count)]
        return OptimalDispatch(float((self._price * heat).sum()), heat * KW, tank, unmet * KW)

    def _costs(self) -> Floats:
        """Cost of every column; what is delivered beyond the least is worth nothing."""
        cost, n, count = np.zeros(self._width), self._n, self._count
        cost[: count * n] = self._price.ravel()
        worth = 0.0 if self._whole else WORTH * max(float(self._price.max()), 0.0)
        cost[self._columns(count)], cost[-1] = -worth, worth
        return cost

    def _balance(self) -> tuple[Any, Floats]:
        """Heat of the sources from tank at the hour's end, tank at its start and delivery: sources = rows - known [kWh]."""
        n, rows, scalars = self._n, np.arange(self._n), self._plant.scalars
        tank, given = self._columns(self._count + 1), self._columns(self._count)
        parts = [
            (rows, tank, np.ones(n)),
            (rows[1:], tank[:-1], np.full(n - 1, -self._keep)),
            (rows, given, np.ones(n)),
        ]
        parts += [(rows, self._columns(i), -np.ones(n)) for i in range(self._count)]
        # the tank's column counts from its start
        known = (1.0 - self._keep) * (self._plant.hours[k.ROOM] - scalars[k.TANK_START]) / self._rise
        # what taps and other uses take is taken as the rule gave it
        return self._matrix(parts, n), known - self._rule.use_delivered_w / KW

    def _limits(self) -> tuple[Any, Floats, Floats]:
        """What must be delivered, floor against tank temperature, fuel in the fires: rows, least and most."""
        n, rows, scalars = self._n, np.arange(self._n), self._plant.scalars
        tank, given = self._columns(self._count + 1), self._columns(self._count)
        asked = float(self._least.sum()) - ROOM
        parts = [
            (np.zeros(n, dtype=np.int64), given, np.ones(n)),
            (np.zeros(1, dtype=np.int64), [self._width - 1], [-1.0]),
        ]
        least, most = [np.array([asked])], [np.array([asked])]
        sink = np.minimum(self._plant.hours[k.ROOM], self._rule.tank_c)
        resistance = scalars[k.WATER_RESISTANCE] * KW
        floor = 1 + rows
        parts += [(floor, given, np.full(n, resistance)), (floor, tank, np.full(n, -self._rise))]
        # what runs heats the floor's water before the tank's
        direct = [i for i in range(self._count) if self._plant.source_scalars[i, k.MUST_RUN] < 0.5 or i in self._fires]
        parts += [(floor, self._columns(i), np.full(n, -resistance)) for i in direct]
        # a rule's year lies on these limits; without some room rounding would make it look impossible.
        # of a stratified tank the top is hotter than the mean that is followed here: no limit of it is known
        most.append(np.full(n, np.inf) if scalars[k.ZONES_KEPT] > 0 else scalars[k.TANK_START] - sink + ROOM)
        top = 1 + n
        for i, charges, fuel_at in zip(self._fires, self._charges, self._fuel_at, strict=False):
            own = np.arange(charges[-1] + 1)
            parts += [
                (top + own, fuel_at + own, np.ones(len(own))),
                (top + own[1:], fuel_at + own[:-1], -np.ones(len(own) - 1)),
                (top + charges, self._columns(i), np.ones(n)),
            ]
            charged = self._plant.source_hours[i, k.CHARGE] / (KW * HOUR_S)
            most.append(np.bincount(charges, charged + ROOM, len(own)))
            top += len(own)
        least.append(np.full(top - 1, -np.inf))
        return self._matrix(parts, top), np.concatenate(least), np.concatenate(most)

    def _matrix(self, parts: Sequence[tuple[Any, Any, Any]], rows: int) -> Any:
        """A sparse matrix from rows, columns and values."""
        from scipy.sparse import csc_array

        r, c, v = (np.concatenate(part) for part in zip(*parts, strict=True))
        return csc_array((v, (r, c)), shape=(rows, self._width))

    def _bounds(self) -> Floats:
        """Lowest and highest value of every column (columns, 2)."""
        n, scalars = self._n, self._plant.scalars
        lowest = float(min(self._plant.hours[k.ROOM].min(), self._rule.tank_bottom_c.min(), scalars[k.TANK_START]))
        blocks = [np.column_stack([np.zeros(n), self._most_heat(i, lowest) / KW + ROOM]) for i in range(self._count)]
        blocks.append(np.column_stack([self._call if self._whole else np.zeros(n), self._call]))
        highest = max(float(scalars[k.TANK_TOP]), float(self._rule.tank_c.max()))
        coldest = np.full(n, lowest)
        coldest[-1] = max(lowest, float(self._rule.tank_c[-1]))  # left no emptier at the year's end
        tank = np.column_stack([coldest - ROOM, np.full(n, highest + ROOM)])
        blocks.append((tank - scalars[k.TANK_START]) / self._rise)
        blocks.append(np.tile([0.0, np.inf], (self._width - (self._count + 2) * n, 1)))
        return np.concatenate(blocks)

    def _most_heat(self, i: int, lowest_c: float) -> Floats:
        """Most heat of a source in each hour [W]."""
        own = self._plant.source_scalars[i]
        if own[k.BURN_POWER] > 0:
            return np.full(self._n, own[k.BURN_POWER])
        capacity = self._plant.source_hours[i, k.CAPACITY]
        if own[k.MUST_RUN] > 0.5:
            return np.where(capacity > 0, np.maximum(capacity - own[k.SLOPE] * lowest_c, 0.0), 0.0)
        return np.asarray(capacity)
