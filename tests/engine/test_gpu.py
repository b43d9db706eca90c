"""The balance on a CUDA device, run here by numba's simulator of one; on a real one by `python -m costsim.benchmarks.gpu`."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from costsim.benchmarks.race import RACES, year_of
from costsim.engine import gpu, layout
from costsim.engine.block import run_lanes
from costsim.engine.lanes import lanes_of
from costsim.engine.shared import Shared, share
from costsim.errors import SolverError

HOURS = 30
SCRIPT = """
import sys
import numpy as np
from costsim.engine.gpu import run_on_gpu
from engine.test_gpu import cases

found = {f"{at}{name}": array for at, case in enumerate(cases()) for name, array in zip("sep", run_on_gpu(*case))}
np.savez(sys.argv[1], **found)
"""


def cases() -> list[tuple[Shared, np.ndarray]]:
    """The first hours of each race, three lanes of them, with a meter of a demand charge."""
    found = []
    for study, option in RACES:
        year = year_of(study, option, 3)
        plant, few, count = year.plant, slice(0, HOURS), len(year.per_input)
        shared = share(
            plant.scalars, plant.hours[:, few], plant.source_scalars, plant.source_hours[:, :, few], plant.order[:, few],
            per_input=year.per_input[:, few], shares=np.ones((count + 1, 1, HOURS)), months=year.months[few],
            degrees=year.degrees[few], meters=np.zeros((1, HOURS)), payers=np.ones((1, count + 1)),
        )  # fmt: skip
        lanes = lanes_of(plant.scalars, plant.source_scalars, 3, loss_w_k=year.loss_w_k, shift_k=year.shift_k)
        found.append((shared, lanes))
    return found


@pytest.mark.long
def test_the_device_gives_what_the_processor_gives(tmp_path: Path) -> None:
    environment = {
        **os.environ, "NUMBA_ENABLE_CUDASIM": "1", "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": str(Path(__file__).parents[1]),
    }  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(tmp_path / "there.npz")], env=environment, capture_output=True, text=True, check=False
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    with np.load(tmp_path / "there.npz") as there:
        for at, case in enumerate(cases()):
            here = run_lanes(*case, alone=True)
            assert here.sums[:, layout.SUM_DEMAND].min() > 0
            for name, one in zip("sep", (here.sums, here.energy_j, here.peaks_w), strict=True):
                np.testing.assert_allclose(there[f"{at}{name}"], one, rtol=1e-9, atol=1e-9 * np.abs(one).max())


def test_without_a_device_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpu, "why_not", lambda: "no CUDA device is found")
    scalars = np.zeros(layout.SCALARS)
    scalars[layout.TANK_RISE] = 1.0
    sources = np.zeros((1, layout.BILLED_SCALARS))
    shared = share(
        scalars, np.zeros((layout.HOURS, 2)), sources, np.zeros((1, layout.SOURCE_HOURS, 2)), np.zeros((1, 2), int)
    )
    with pytest.raises(SolverError, match="no year can be run on a GPU: no CUDA device is found"):
        run_lanes(shared, lanes_of(scalars, sources, 2), gpu=True)
