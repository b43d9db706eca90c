"""The same year, tank, sources and months in plain Python, over the rows of a table, and in numpy across scenarios.

What is written here three times is the kernel's balance for plants without mass and fires, and with one price period.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Any

import numpy as np

from costsim.benchmarks.yardstick import Year
from costsim.engine import layout as k
from costsim.units.arrays import Floats

NAMES = ("capacity", "target", "per_input")


def table_of(year: Year) -> dict[str, Floats]:
    """Hourly columns: month, room, degrees, and of each source capacity, target and heat per input."""
    columns = {"month": year.months.astype(float) - 1, "room": year.plant.hours[k.ROOM], "degrees": year.degrees}
    for i, rows in enumerate(year.plant.source_hours):
        for name, values in zip(NAMES, (rows[k.CAPACITY], rows[k.TARGET], year.per_input[i]), strict=True):
            columns[f"{name}_{i}"] = values
    return columns


def plain(year: Year, scenario: int, rows: Iterable[Sequence[float]]) -> tuple[list[float], list[list[float]]]:
    """One scenario in plain Python: sums and energy by source and month, as the kernel gives them."""
    s, limit, own = year.plant.scalars.tolist(), float(year.plant.hours[k.FLOOR_LIMIT, 0]), year.plant.source_scalars
    keep, rise, resistance, top, tank = (s[i] for i in (k.TANK_KEEP, k.TANK_RISE, k.WATER_RESISTANCE, k.TANK_TOP, k.TANK_START))  # fmt: skip
    loss, shift, pump = float(year.loss_w_k[scenario]), float(year.shift_k[scenario]), s[k.PUMP_POWER]
    owns = own.tolist()
    count = len(owns)
    suns = [i for i in range(count) if owns[i][k.MUST_RUN] > 0.5]
    callable_sources = [i for i in range(count) if owns[i][k.MUST_RUN] < 0.5]
    sums, energy = [0.0] * (k.SUMS + count), [[0.0] * 12 for _ in range(count + 1)]
    sums[k.LOWEST_ROOM] = 1e3
    for row in rows:
        month, room, degrees = int(row[0]), row[1], row[2]
        full = loss * max(0.0, degrees + shift)
        call = min(full, limit)
        if call * resistance > top - room:
            call = max(0.0, top - room) / resistance if resistance > 0.0 else 0.0
        idle = room + keep * (tank - room)
        need = room + call * resistance
        heat, given, direct = [0.0] * count, 0.0, 0.0
        aid = sum(row[3 + 3 * j] for j in callable_sources)
        for i in suns:
            most, slope = row[3 + 3 * i], owns[i][k.SLOPE]
            if most <= 0.0:
                continue
            damp = 1.0 + slope * rise
            meets = (idle + rise * (given + most - call)) / damp
            if meets < need:
                warmed = idle + rise * (given + aid + most)
                meets = need
                if warmed - rise * call < need * damp:
                    meets = warmed / damp
                    if meets > room:
                        meets = (resistance * warmed + rise * room) / (resistance * damp + rise)
                    meets = max(min(meets, (warmed - rise * aid) / damp), (warmed - rise * call) / damp)
            heat[i] = min(max(0.0, most - slope * meets), max(0.0, (top - idle) / rise + call - given))
            given += heat[i]
        for i in callable_sources:
            goal = min(top, max(need, row[4 + 3 * i]))
            heat[i] = min(max((goal - idle) / rise + call - given, 0.0), row[3 + 3 * i])
            given += heat[i]
            direct += heat[i]
        flow = (idle - room + rise * given) / (resistance + rise)
        delivered = min(call, max(direct, flow))
        tank = idle + rise * (given - delivered)
        short = full - delivered
        sums[k.SUM_DEMAND] += full * k.HOUR_S
        sums[k.SUM_DELIVERED] += delivered * k.HOUR_S
        sums[k.LOWEST_ROOM] = min(sums[k.LOWEST_ROOM], room)
        if short > k.ROUNDING_W:
            sums[k.SUM_SHORT] += short * k.HOUR_S
            sums[k.SHORT_HOURS] += 1.0
            sums[k.WORST_SHORT] = max(sums[k.WORST_SHORT], short)
        auxiliary = 0.0
        if delivered > k.ROUNDING_W:
            auxiliary = pump * delivered / max(delivered, min(flow, limit))
        for i, one in enumerate(owns):
            used = heat[i] / row[5 + 3 * i]
            running = min(heat[i] / one[k.MIN_FIRE], 1.0) if one[k.MIN_FIRE] > 0.0 else 1.0
            used /= 1.0 - one[k.DEGRADATION] * (1.0 - running)
            energy[i][month] += (used + one[k.STANDBY]) * k.HOUR_S
            sums[k.SUMS + i] += heat[i] * k.HOUR_S
            auxiliary += one[k.AUX_SHARE] * heat[i] + (one[k.AUX_W] * running if heat[i] > k.ROUNDING_W else 0.0)
        energy[count][month] += auxiliary * k.HOUR_S
    return sums, energy


def across(year: Year) -> tuple[Floats, Floats]:
    """All scenarios at once in numpy, a Python loop over the hours."""
    s, limit, own = year.plant.scalars, float(year.plant.hours[k.FLOOR_LIMIT, 0]), year.plant.source_scalars
    keep, rise, resistance, top = s[k.TANK_KEEP], s[k.TANK_RISE], s[k.WATER_RESISTANCE], s[k.TANK_TOP]
    count, scenarios = len(own), len(year.loss_w_k)
    sums, energy = np.zeros((k.SUMS + count, scenarios)), np.zeros((count + 1, 12, scenarios))
    sums[k.LOWEST_ROOM] = 1e3
    tank = np.full(scenarios, s[k.TANK_START])
    is_sun = own[:, k.MUST_RUN] > 0.5
    hours = np.ascontiguousarray(list(table_of(year).values())).T
    for row in hours:
        month, room, degrees = int(row[0]), row[1], row[2]
        full = year.loss_w_k * np.maximum(0.0, degrees + year.shift_k)
        call = np.minimum(full, limit)
        if resistance > 0.0:
            call = np.minimum(call, max(0.0, top - room) / resistance)
        idle, need = room + keep * (tank - room), room + call * resistance
        aid = float(row[3::3][~is_sun].sum())
        heat, given = np.zeros((count, scenarios)), np.zeros(scenarios)
        for i in np.flatnonzero(is_sun).tolist():
            most, slope = row[3 + 3 * i], own[i, k.SLOPE]
            damp = 1.0 + slope * rise
            alone = (idle + rise * (given + most - call)) / damp
            warmed = idle + rise * (given + aid + most)
            lower = warmed / damp
            lower = np.where(lower > room, (resistance * warmed + rise * room) / (resistance * damp + rise), lower)
            lower = np.maximum(np.minimum(lower, (warmed - rise * aid) / damp), (warmed - rise * call) / damp)
            meets = np.where(alone < need, np.where(warmed - rise * call < need * damp, lower, need), alone)
            sunny = np.maximum(0.0, most - slope * meets) if most > 0.0 else 0.0
            heat[i] = np.minimum(sunny, np.maximum(0.0, (top - idle) / rise + call - given))
            given = given + heat[i]
        for i in np.flatnonzero(~is_sun).tolist():
            goal = np.minimum(top, np.maximum(need, row[4 + 3 * i]))
            heat[i] = np.minimum(np.maximum((goal - idle) / rise + call - given, 0.0), row[3 + 3 * i])
            given = given + heat[i]
        direct = heat[~is_sun].sum(axis=0)
        flow = (idle - room + rise * given) / (resistance + rise)
        delivered = np.minimum(call, np.maximum(direct, flow))
        could = np.maximum(delivered, np.minimum(flow, limit))
        duty = np.where(delivered > k.ROUNDING_W, delivered / np.maximum(could, k.SMALL), 0.0)
        tank = idle + rise * (given - delivered)
        short = full - delivered
        counted = short > k.ROUNDING_W
        sums[k.SUM_DEMAND] += full * k.HOUR_S
        sums[k.SUM_DELIVERED] += delivered * k.HOUR_S
        sums[k.SUM_SHORT] += np.where(counted, short, 0.0) * k.HOUR_S
        sums[k.SHORT_HOURS] += counted
        sums[k.WORST_SHORT] = np.maximum(sums[k.WORST_SHORT], np.where(counted, short, 0.0))
        sums[k.LOWEST_ROOM] = np.minimum(sums[k.LOWEST_ROOM], room)
        auxiliary = s[k.PUMP_POWER] * duty
        for i in range(count):
            used = heat[i] / row[5 + 3 * i]
            running = np.minimum(heat[i] / own[i, k.MIN_FIRE], 1.0) if own[i, k.MIN_FIRE] > 0.0 else 1.0
            used = used / (1.0 - own[i, k.DEGRADATION] * (1.0 - running))
            energy[i, month] += (used + own[i, k.STANDBY]) * k.HOUR_S
            sums[k.SUMS + i] += heat[i] * k.HOUR_S
            auxiliary += own[i, k.AUX_SHARE] * heat[i] + np.where(
                heat[i] > k.ROUNDING_W, own[i, k.AUX_W] * running, 0.0
            )
        energy[count, month] += auxiliary * k.HOUR_S
    return sums.T, np.moveaxis(energy, -1, 0)


def slow_ways(year: Year) -> dict[str, tuple[Callable[[], Any], int]]:
    """Ways to compute scenarios without a compiler: work and how many scenarios it does."""
    import pandas as pd

    table = table_of(year)
    frame, rows = pd.DataFrame(table), list(zip(*(column.tolist() for column in table.values()), strict=True))

    def by_rows() -> Any:
        return plain(year, 0, (row.tolist() for _, row in frame.iterrows()))

    return {
        "rows of a DataFrame (iterrows)": (by_rows, 1),
        "rows of a DataFrame (itertuples)": (lambda: plain(year, 0, frame.itertuples(index=False)), 1),
        "plain Python over lists": (partial(plain, year, 0, rows), 1),
        "numpy across scenarios": (partial(across, year), len(year.loss_w_k)),
    }
