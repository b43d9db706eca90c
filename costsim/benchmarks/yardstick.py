"""The yardstick in C: built on the spot where a compiler is there, for the topology of one plant."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.engine.lanes import EVER
from costsim.engine.lower import LoweredOption
from costsim.engine.shared import share
from costsim.units.arrays import Floats

SOURCE = Path(__file__).with_name("yardstick.c")
WIDTH = 16
# no fused multiply-add, so that the numbers stay those of the kernel; whole unrolling of the lanes would end vectorising
FLAGS = (
    "-O3", "-march=native", "-fno-math-errno", "-fno-trapping-math", "-ffp-contract=off",
    "--param", "max-completely-peel-times=8", "-shared", "-fPIC",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Year:
    """What a way of computing many years takes: shared rows, one plant, and a loss and a shift of each scenario."""

    plant: LoweredOption
    degrees: Floats
    per_input: Floats
    months: NDArray[np.int8]
    loss_w_k: Floats
    shift_k: Floats


def compiler() -> str | None:
    """Path of a C compiler, if there is one."""
    return next((found for name in ("gcc", "cc") if (found := shutil.which(name))), None)


def build(year: Year, folder: Path) -> Callable[[], tuple[Floats, Floats]]:
    """Build the yardstick for a plant.

    Returns
    -------
    callable
        Gives sums (scenarios, SUMS + sources) and energy (scenarios, sources + 1, 12) [J] of one price period.

    Raises
    ------
    subprocess.CalledProcessError, OSError
        The compiler is missing or fails.
    """
    plant, count, n = year.plant, len(year.plant.source_scalars), len(year.degrees)
    own, s, h = plant.source_scalars, plant.scalars, plant.hours
    shared = share(
        s,
        h,
        own,
        plant.source_hours,
        plant.order,
        shares=np.ones((count + 1, 1, n)),
        months=year.months,
        degrees=year.degrees,
    )
    target = folder / "yardstick.so"
    places = (
        "SUMS",
        "SUM_DEMAND",
        "SUM_DELIVERED",
        "SUM_SHORT",
        "SHORT_HOURS",
        "WORST_SHORT",
        "LOWEST_ROOM",
    )
    named = {name: getattr(k, name) for name in places} | {f"KIND{i}": kind for i, kind in enumerate(shared.kinds)}
    named["PUMPS"] = int(s[k.PUMP_POWER] > 0)
    given = [f"-D{name}={value}" for name, value in named.items()]
    subprocess.run(
        [str(compiler() or "cc"), *FLAGS, *given, "-o", str(target), str(SOURCE)], check=True, capture_output=True
    )
    years = ctypes.CDLL(str(target)).years
    rows = [h[k.ROOM], year.degrees]
    for i in range(count):
        rows += [*plant.source_hours[i, [k.CAPACITY, k.TARGET, k.CHARGE, k.AHEAD, k.UNTIL]], 1.0 / year.per_input[i]]
    hours = np.ascontiguousarray(rows)
    tank = np.array([s[k.TANK_KEEP], s[k.TANK_RISE], s[k.WATER_RESISTANCE], s[k.TANK_TOP], s[k.TANK_START],
                     h[k.FLOOR_LIMIT, 0], s[k.PUMP_POWER]])  # fmt: skip
    first, place, slots = shared.first, shared.month, shared.slots
    fire = np.divide(1.0, own[:, k.MIN_FIRE], out=np.full(count, EVER), where=own[:, k.MIN_FIRE] > 0)
    # in a slot whose kind cycles, a source without a smallest fire loses nothing by it and runs its fans through the hour
    cycling = own[:, k.DEGRADATION] * (own[:, k.MIN_FIRE] > 0)
    own_rows = (
        own[:, k.SLOPE],
        cycling,
        fire,
        *own[:, [k.STANDBY, k.AUX_SHARE, k.AUX_W, k.BURN_POWER, k.LEAST_CHARGE]].T,
    )
    source = np.ascontiguousarray(np.column_stack(own_rows))
    blocks = -(-len(year.loss_w_k) // WIDTH)
    lanes = np.ones((blocks, 2 + count, WIDTH))
    for row, values in enumerate((year.loss_w_k, year.shift_k)):
        lanes[:, row] = np.resize(values, blocks * WIDTH).reshape(blocks, WIDTH)
    sums, energy = np.empty((blocks, k.SUMS + count, WIDTH)), np.empty((blocks, count + 1, 12, WIDTH))

    def run() -> tuple[Floats, Floats]:
        longs = (ctypes.c_long(n), ctypes.c_long(blocks), ctypes.c_long(len(place)), ctypes.c_long(12))
        arrays = (first, place, slots, hours, tank, source, lanes, sums, energy)
        years(*longs, *(ctypes.c_void_p(array.ctypes.data) for array in arrays))
        return unblocked(sums, len(year.loss_w_k)), unblocked(energy, len(year.loss_w_k))

    return run


def unblocked(values: Floats, scenarios: int) -> Floats:
    """Scenarios first instead of blocks first and lanes last."""
    return np.moveaxis(values, -1, 1).reshape(-1, *values.shape[1:-1])[:scenarios]


def yardstick(year: Year) -> tuple[Callable[[], tuple[Floats, Floats]] | None, str]:
    """The yardstick for a plant, or why there is none."""
    if compiler() is None:
        return None, "no C compiler here"
    plant = year.plant
    if plant.scalars[k.WITH_MASS] or plant.scalars[k.ZONES_KEPT] or plant.hours[k.USE].any():
        return None, "the yardstick knows one mixed tank, without mass or other uses"
    if (plant.hours[k.FLOOR_LIMIT] != plant.hours[k.FLOOR_LIMIT, 0]).any():
        return None, "the yardstick knows one limit of the floor"
    if not SOURCE.is_file():
        return None, f"{SOURCE.name} is not there"
    folder = tempfile.mkdtemp(prefix="yardstick")
    try:
        return build(year, Path(folder)), ""
    except (subprocess.CalledProcessError, OSError) as error:
        return None, f"the C compiler failed: {error}"
    finally:
        # the loaded library stays mapped
        shutil.rmtree(folder, ignore_errors=True)
