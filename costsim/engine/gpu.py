"""The same balance on a CUDA device: each thread runs one lane's year of the kernel's own source.

What runs is the function of `kernel.build` for one lane, compiled for the device instead of the processor; nothing of the
balance is written twice. It is worth it from some hundred thousand lanes on, that share their hourly rows.
"""

from __future__ import annotations

import functools
import importlib
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.engine.kernel import build
from costsim.engine.shared import Shared
from costsim.errors import SolverError
from costsim.units.arrays import Floats

cuda: Any = None
_FAULT = ""
try:
    cuda = importlib.import_module("numba.cuda")
except Exception as error:  # it is not installed, or does not go with this numpy or driver
    _FAULT = f"{type(error).__name__}: {error}"

THREADS = 128
"""Threads of a block on the device; 64 to 256 took the same time on an H200."""
LANES_AT_ONCE = 2_000_000
"""Lanes that lie on the device together, about 1 kB each."""


def why_not() -> str:
    """Why no device can be used; empty where one can."""
    try:
        return "" if cuda.is_available() else "no CUDA device is found"
    except Exception as error:  # numba-cuda is not installed, or does not go with this numpy or driver
        return f"numba's CUDA support cannot be loaded ({type(error).__name__}: {error}); pip install 'costsim[gpu]'"


def run_on_gpu(shared: Shared, lanes: Floats) -> tuple[Floats, Floats, Floats]:
    """Run every lane's year on the device.

    Parameters
    ----------
    shared : Shared
        What all lanes share; lanes cannot have hourly rows of their own here.
    lanes : array (LANES, lanes)
        By `costsim.engine.lanes.lanes_of`.

    Returns
    -------
    sums : array (lanes, SUMS + sources)
    energy : array (lanes, sources + 1, 12, periods)
        [J]
    peaks : array (lanes, charges, 12)
        [W]

    Raises
    ------
    SolverError
        There is no device, or it gives up.

    Notes
    -----
    Equal to the processor's float64 to 1e-9, since the device may fuse a product and a sum.
    """
    if reason := why_not():
        raise SolverError(f"no year can be run on a GPU: {reason}")
    parts = [
        _run(shared, np.ascontiguousarray(lanes[:, first : first + LANES_AT_ONCE]))
        for first in range(0, lanes.shape[1], LANES_AT_ONCE)
    ]
    sums, energy, peaks = (np.concatenate(pieces) for pieces in zip(*parts, strict=True))
    return sums, energy, peaks


def run_resident(shared: Shared, lanes: Floats, rounds: int) -> float:
    """Seconds that the device takes for so many rounds of lanes that lie on it, without copies, for benchmarks."""
    launch, _ = _launcher(shared, lanes)
    launch()
    cuda.synchronize()
    start = time.perf_counter()
    for _ in range(rounds):
        launch()
    cuda.synchronize()
    return time.perf_counter() - start


def _run(shared: Shared, lanes: Floats) -> tuple[Floats, Floats, Floats]:
    launch, buffers = _launcher(shared, lanes)
    launch()
    sums, energy, peaks = (np.moveaxis(flat.copy_to_host().reshape(shape), -1, 0) for flat, (_, *shape) in buffers)
    return sums, energy, peaks[:, : len(shared.meters)]


def _launcher(shared: Shared, lanes: Floats) -> tuple[Callable[[], None], list[tuple[Any, tuple[int, ...]]]]:
    """What starts the kernel on lanes that lie on the device, and where it writes: flat arrays and their shapes."""
    n, count, charges = lanes.shape[1], shared.count, len(shared.meters)
    periods = shared.shares.shape[2]
    shapes = (k.SUMS + count,), (count + 1, 12, periods), (max(charges, 1), 12)
    # numba copies flat arrays only at the speed of the bus
    buffers = [(cuda.device_array(int(np.prod(shape)) * n), (1, *shape, n)) for shape in shapes]
    meters = shared.meters if charges else np.full((1, shared.hours.shape[1]), k.OUTSIDE_W)
    payers = shared.payers if charges else np.zeros((1, count + 1))
    rows: list[NDArray[Any]] = [
        shared.hours, shared.degrees, shared.source_hours, shared.per_heat, np.array(shared.kinds), shared.first, shared.month,
        shared.slots, shared.shares, lanes[None], meters, payers,
    ]  # fmt: skip
    there = [cuda.to_device(np.ascontiguousarray(row).ravel()).reshape(row.shape) for row in rows]
    into = [flat.reshape(shape) for flat, shape in buffers]
    kernel = _kernel(shared.kinds, shared.mass, shared.zones, shared.uses, charges > 0)
    return lambda: kernel[-(-n // THREADS), THREADS](*there, *into), buffers


@functools.cache
def _kernel(kinds: tuple[int, int, int], mass: int, zones: int, uses: int, hourly: bool) -> Any:
    """Compile the kernel's source for the device, for one topology."""
    made = build(1, kinds, mass, False, hourly, True, zones, uses, stack=False)
    years = cuda.jit(device=True)(getattr(made, "py_func", made))
    work = (k.LAYERED_WORK if zones else k.WORK) * k.WIDTH

    @cuda.jit
    def run(  # type: ignore[no-untyped-def]
        hours, degrees, source_hours, per_heat, any_kinds, first, month, slots, shares, lanes, meters, payers, sums, energy, peaks,
    ):  # fmt: skip
        lane = cuda.grid(1)
        if lane < lanes.shape[2]:
            w = cuda.local.array(work, np.float64)
            none = cuda.local.array(1, np.int64)
            nothing = cuda.local.array((1, 1), np.float64)
            no_entries = cuda.local.array((1, 1), np.int32)
            no_hours = cuda.local.array((1, 1, 1), np.float64)
            mine = slice(lane, lane + 1)
            years(
                w, mass, uses, hours, degrees, source_hours, per_heat, any_kinds, first, month, slots, shares,
                lanes[:, :, mine], no_hours, none, no_entries, meters, payers, nothing[0, :0], nothing[0], sums[:, :, mine], energy[:, :, :, :, mine],
                peaks[:, :, :, mine], none[:0], nothing[:, :0], no_hours[:, :, :0],
            )  # fmt: skip

    return run
