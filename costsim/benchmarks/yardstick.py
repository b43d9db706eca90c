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

from costsim.engine import kernel as k
from costsim.engine.lower import LoweredOption

Floats = NDArray[np.float64]
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
    own, count, n = year.plant.source_scalars, len(year.plant.source_scalars), len(year.degrees)
    target = folder / "yardstick.so"
    cycling = (own[:, k.DEGRADATION] > 0) & (own[:, k.MIN_FIRE] > 0)
    numbers = [*np.where(own[:, k.MUST_RUN] > 0.5, 1, np.where(cycling, 3, 2)).tolist(), 0, 0]
    kinds = [f"-DKIND{i}={numbers[i]}" for i in range(3)]
    command = [str(compiler() or "cc"), *FLAGS, *kinds, "-o", str(target), str(SOURCE)]
    subprocess.run(command, check=True, capture_output=True)
    years = ctypes.CDLL(str(target)).years
    first = np.append(np.flatnonzero(np.diff(year.months, prepend=0)), n).astype(np.int64)
    place = year.months[first[:-1]].astype(np.int64) - 1
    s, h = year.plant.scalars, year.plant.hours
    rows = [h[k.ROOM], year.degrees]
    for i in range(count):
        rows += [year.plant.source_hours[i, k.CAPACITY], year.plant.source_hours[i, k.TARGET], 1.0 / year.per_input[i]]
    hours = np.ascontiguousarray(rows)
    plant = np.array([s[k.TANK_KEEP], s[k.TANK_RISE], s[k.WATER_RESISTANCE], s[k.TANK_TOP], s[k.TANK_START],
                      h[k.FLOOR_LIMIT, 0], s[k.PUMP_POWER], s[k.LOSS_STATE], s[k.LOSS_NET]])  # fmt: skip
    fire = np.divide(1.0, own[:, k.MIN_FIRE], out=np.zeros(count), where=own[:, k.MIN_FIRE] > 0)
    source = np.column_stack([own[:, k.SLOPE], own[:, k.DEGRADATION], fire, own[:, k.STANDBY], own[:, k.AUX_SHARE], own[:, k.AUX_W]])  # fmt: skip
    blocks = -(-len(year.loss_w_k) // WIDTH)
    lanes = np.ones((blocks, 2 + count, WIDTH))
    for row, values in enumerate((year.loss_w_k, year.shift_k)):
        lanes[:, row] = np.resize(values, blocks * WIDTH).reshape(blocks, WIDTH)
    sums, energy = np.empty((blocks, k.SUMS + count, WIDTH)), np.empty((blocks, count + 1, 12, WIDTH))

    def run() -> tuple[Floats, Floats]:
        longs = (ctypes.c_long(n), ctypes.c_long(blocks), ctypes.c_long(len(place)), ctypes.c_long(12))
        arrays = (first, place, hours, plant, source, lanes, sums, energy)
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
