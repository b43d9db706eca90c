"""The least-cost year as a plain linear program, column by column as it is told: what the shorter program must agree with."""

from __future__ import annotations

from typing import Any

import numpy as np

from costsim.analysis.foresight import HOUR_S, KW, ROOM
from costsim.engine import layout as k
from costsim.engine.lower import LoweredOption
from costsim.results.result import Hourly
from costsim.units.arrays import Floats, Ints


def least_cost(plant: LoweredOption, price_per_heat_j: Floats, rule: Hourly) -> float:
    """Cost of the cheapest year."""
    return PlainProgram(plant, price_per_heat_j, rule).solve()


class PlainProgram:
    """The linear program. Columns: heat of each source, delivered, tank at the hour's end, fuel in each fire; kW, °C, kWh."""

    def __init__(self, plant: LoweredOption, price_per_heat_j: Floats, rule: Hourly) -> None:
        self._plant, self._rule = plant, rule
        self._n, self._count = plant.hours.shape[1], len(plant.offers)
        self._fires = [i for i in range(self._count) if plant.source_scalars[i, k.BURN_POWER] > 0]
        self._price = price_per_heat_j
        self._call = np.minimum(plant.hours[k.DEMAND], plant.hours[k.FLOOR_LIMIT])

    def _columns(self, block: int) -> Ints:
        return np.arange(block * self._n, (block + 1) * self._n)

    def solve(self) -> float:
        """Build and solve."""
        from scipy.optimize import linprog

        width = (self._count + 2 + len(self._fires)) * self._n
        cost = np.zeros(width)
        cost[: self._count * self._n] = (self._price * KW * HOUR_S).ravel()
        equal, right = self._balance(width)
        below, most = self._limits(width)
        settings = {"c": cost, "A_ub": below, "b_ub": most, "A_eq": equal, "b_eq": right, "bounds": self._bounds()}
        found = linprog(**settings, method="highs")
        if found.status == 2:  # HiGHS' presolve sometimes loses the rule's own year to rounding
            found = linprog(**settings, method="highs-ds", options={"presolve": False})
        assert found.status == 0, found.message
        return float(found.fun)

    def _balance(self, width: int) -> tuple[Any, Floats]:
        """Tank at the hour's end from tank at its start, heat and delivery."""
        from scipy.sparse import csr_array

        n, scalars, rows = self._n, self._plant.scalars, np.arange(self._n)
        keep, rise = scalars[k.TANK_KEEP], scalars[k.TANK_RISE] * KW
        tank, given = self._columns(self._count + 1), self._columns(self._count)
        parts = [
            (rows, tank, np.ones(n)),
            (rows[1:], tank[:-1], np.full(n - 1, -keep)),
            (rows, given, np.full(n, rise)),
        ]
        parts += [(rows, self._columns(i), np.full(n, -rise)) for i in range(self._count)]
        right = (1.0 - keep) * self._plant.hours[k.ROOM]
        right = right - scalars[k.TANK_RISE] * self._rule.use_delivered_w
        right[0] += keep * scalars[k.TANK_START]
        r, c, v = (np.concatenate(one) for one in zip(*parts, strict=True))
        return csr_array((v, (r, c)), shape=(n, width)), right

    def _limits(self, width: int) -> tuple[Any, Floats]:
        """Floor against tank temperature, total unmet, fuel in the fires, tank at the year's end."""
        from scipy.sparse import csr_array

        n, rows, scalars = self._n, np.arange(self._n), self._plant.scalars
        tank, given = self._columns(self._count + 1), self._columns(self._count)
        sink = np.minimum(self._plant.hours[k.ROOM], self._rule.tank_c)
        resistance = scalars[k.WATER_RESISTANCE] * KW
        parts = [(rows, given, np.full(n, resistance)), (rows, tank, -np.ones(n))]
        # what runs heats the floor's water before the tank's
        direct = [i for i in range(self._count) if self._plant.source_scalars[i, k.MUST_RUN] < 0.5 or i in self._fires]
        parts += [(rows, self._columns(i), np.full(n, -resistance)) for i in direct]
        # of a stratified tank the top is hotter than the mean that is followed here: no limit of it is known
        right = [np.full(n, 1e6) if self._plant.scalars[k.ZONES_KEPT] > 0 else -sink]
        parts += [(np.full(n, n), given, -np.ones(n)), (np.array([n + 1]), tank[-1:], np.array([-1.0]))]
        right += [
            np.array([-float(np.minimum(self._rule.delivered_w, self._call).sum()) / KW]),
            np.array([-self._rule.tank_c[-1]]),
        ]
        top = n + 2
        for at, i in enumerate(self._fires):
            fuel, own = self._columns(self._count + 2 + at), rows + top + at * n
            parts += [
                (own, fuel, np.ones(n)),
                (own[1:], fuel[:-1], -np.ones(n - 1)),
                (own, self._columns(i), np.ones(n)),
            ]
            right.append(self._plant.source_hours[i, k.CHARGE] / (KW * HOUR_S))
        r, c, v = (np.concatenate(one) for one in zip(*parts, strict=True))
        # a rule's year lies on these limits; without some room rounding would make it look impossible
        return csr_array((v, (r, c)), shape=(top + len(self._fires) * n, width)), np.concatenate(right) + ROOM

    def _bounds(self) -> Floats:
        """Lowest and highest value of every column."""
        n, scalars = self._n, self._plant.scalars
        lowest = float(min(self._plant.hours[k.ROOM].min(), self._rule.tank_bottom_c.min(), scalars[k.TANK_START]))
        blocks = [np.column_stack([np.zeros(n), self._most_heat(i, lowest) / KW + ROOM]) for i in range(self._count)]
        blocks.append(np.column_stack([np.zeros(n), self._call / KW]))
        highest = max(float(scalars[k.TANK_TOP]), float(self._rule.tank_c.max()))
        blocks.append(np.column_stack([np.full(n, lowest - ROOM), np.full(n, highest + ROOM)]))
        blocks += [np.column_stack([np.zeros(n), np.full(n, np.inf)]) for _ in self._fires]
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
