"""A wheel carries what a stranger needs: studies, samples, tables of fluids."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def names(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    pytest.importorskip("hatchling", reason="the build backend is not installed here")
    folder = tmp_path_factory.mktemp("wheel")
    command = [
        sys.executable,
        "-c",
        "from hatchling.build import build_wheel; print(build_wheel('" + str(folder) + "'))",
    ]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    with zipfile.ZipFile(next(folder.glob("*.whl"))) as wheel:
        return wheel.namelist()


@pytest.mark.parametrize(
    "name",
    [
        "costsim/studies/lantern_cottage.toml", "costsim/studies/net_loft.toml", "costsim/studies/valley_row.toml",
        "costsim/_samples/greensboro.csv", "costsim/_samples/sand_point.csv", "costsim/_samples/cold_valley.csv", "costsim/_samples/SOURCES.md",
        "costsim/physics/data/fluids.csv", "costsim/physics/data/freeze.csv", "costsim/screens/page.py", "costsim/py.typed",
        "costsim/report/page.typ",
    ],
)  # fmt: skip
def test_the_wheel_carries_it(names: list[str], name: str) -> None:
    assert name in names


def test_the_wheel_leaves_tests_out(names: list[str]) -> None:
    assert not [name for name in names if name.startswith("tests/") or "__pycache__" in name]
