"""How fast the kernel could be: the same hour in C (`yardstick.c`), built on the spot where a compiler is there, for one plant.

`yardstick(year)` gives what runs the years, or says why there is none. Its sums are the kernel's: `tests/engine/test_yardstick.py`.

It is not the least a year can take. It has less to do than the kernel: tank, floor and sources are the same in all lanes, nothing sums up
what is dumped, and its arrays are laid out before the clock starts. But gcc runs one vector of lanes after the other, where
the kernel has all of a block's in step.
"""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Sequence
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
SUM_PLACES = ("SUMS", "SUM_DEMAND", "SUM_DELIVERED", "SUM_SHORT", "SHORT_HOURS", "WORST_SHORT", "LOWEST_ROOM")
"""Rows of the sums that the C writes, by their names in `engine.layout`."""


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
    return next((path for name in ("gcc", "cc") if (path := shutil.which(name))), None)


def build(year: Year, folder: Path) -> Callable[[], tuple[Floats, Floats]]:
    """Compile `yardstick.c` for a plant and lay its arrays out as the C takes them.

    Returns
    -------
    callable
        Gives sums (scenarios, SUMS + sources) and energy (scenarios, sources + 1, 12) [J] of one price period.

    Raises
    ------
    subprocess.CalledProcessError, OSError
        The compiler is missing or fails.
    """
    plant, count, n = year.plant, len(year.per_input), len(year.degrees)
    shared = share(
        plant.scalars, plant.hours, plant.source_scalars, plant.source_hours, plant.order,
        shares=np.ones((count + 1, 1, n)), months=year.months, degrees=year.degrees,
    )  # fmt: skip
    library = compiled(shared.kinds, bool(plant.scalars[k.PUMP_POWER] > 0), folder)
    scenarios = len(year.loss_w_k)
    blocks = -(-scenarios // WIDTH)
    lanes = np.ones((blocks, 2 + count, WIDTH))
    for row, values in enumerate((year.loss_w_k, year.shift_k)):
        lanes[:, row] = np.resize(values, blocks * WIDTH).reshape(blocks, WIDTH)
    sums, energy = np.empty((blocks, k.SUMS + count, WIDTH)), np.empty((blocks, count + 1, 12, WIDTH))
    longs = tuple(ctypes.c_long(number) for number in (n, blocks, len(shared.month), 12))
    # in the order of the parameters of `years` in yardstick.c
    arrays = (
        shared.first, shared.month, shared.slots, hours_of(year), tank_of(plant), sources_of(plant), lanes, sums, energy,
    )  # fmt: skip

    def run() -> tuple[Floats, Floats]:
        library.years(*longs, *(ctypes.c_void_p(array.ctypes.data) for array in arrays))
        return unblocked(sums, scenarios), unblocked(energy, scenarios)

    return run


def compiled(kinds: Sequence[int], pumps: bool, folder: Path) -> ctypes.CDLL:
    """The yardstick for a topology: kinds of source and the places of sums are constants of its C."""
    constants = {name: getattr(k, name) for name in SUM_PLACES} | {f"KIND{at}": kind for at, kind in enumerate(kinds)}
    defined = [f"-D{name}={value}" for name, value in (constants | {"PUMPS": int(pumps)}).items()]
    target = folder / "yardstick.so"
    command = [str(compiler() or "cc"), *FLAGS, *defined, "-o", str(target), str(SOURCE)]
    subprocess.run(command, check=True, capture_output=True)
    return ctypes.CDLL(str(target))


def hours_of(year: Year) -> Floats:
    """Rows by hour: room, degrees, and `struct hour` of each source."""
    rows = [year.plant.hours[k.ROOM], year.degrees]
    for source, per_input in zip(year.plant.source_hours, year.per_input, strict=True):
        rows += [*source[[k.CAPACITY, k.TARGET, k.CHARGE, k.AHEAD, k.UNTIL]], 1.0 / per_input]
    return np.ascontiguousarray(rows)


def tank_of(plant: LoweredOption) -> Floats:
    """The tank, the floor's limit and its pumps."""
    s, limit = plant.scalars, plant.hours[k.FLOOR_LIMIT, 0]
    tank = s[[k.TANK_KEEP, k.TANK_RISE, k.WATER_RESISTANCE, k.TANK_TOP, k.TANK_START]]
    return np.array([*tank, limit, s[k.PUMP_POWER]])


def sources_of(plant: LoweredOption) -> Floats:
    """`struct own` of each source."""
    own = plant.source_scalars
    smallest = own[:, k.MIN_FIRE]
    per_fire = np.divide(1.0, smallest, out=np.full(len(own), EVER), where=smallest > 0)
    # in a slot whose kind cycles, a source without a smallest fire loses nothing by it and runs its fans through the hour
    cycling = own[:, k.DEGRADATION] * (smallest > 0)
    others = own[:, [k.STANDBY, k.AUX_SHARE, k.AUX_W, k.BURN_POWER, k.LEAST_CHARGE]].T
    return np.ascontiguousarray(np.column_stack((own[:, k.SLOPE], cycling, per_fire, *others)))


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
