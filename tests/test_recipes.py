"""The first recipe of DEVELOPERS.md on a scratch copy of the package: one new file; `tariffs/test_new_charge.py` has the second."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from sources.test_another_package import KIND, LIFT, STUDY

pytestmark = pytest.mark.long
ROOT = Path(__file__).parents[1]


@pytest.fixture
def scratch(tmp_path: Path) -> Path:
    skip = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "costsim", tmp_path / "costsim", ignore=skip)
    shutil.copytree(ROOT / "weather_samples", tmp_path / "weather_samples", ignore=skip)
    return tmp_path


def costsim(folder: Path, *commands: str) -> list[str]:
    """Run commands of the scratch copy in one process and give what each prints."""
    script = (
        "import contextlib, io, json, shlex, sys\n"
        "from costsim.cli.main import main\n"
        "shown = []\n"
        "for line in json.loads(sys.argv[1]):\n"
        "    with contextlib.redirect_stdout(io.StringIO()) as out:\n"
        "        assert main(shlex.split(line)) == 0, line\n"
        "    shown.append(out.getvalue())\n"
        "print(json.dumps(shown))\n"
    )
    env = {**os.environ, "PYTHONPATH": str(folder)}
    done = subprocess.run(
        [sys.executable, "-c", script, json.dumps(commands)],
        cwd=folder, env=env, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return list(json.loads(done.stdout))


def files(folder: Path) -> set[str]:
    """Python files of the scratch copy."""
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*.py")}


def test_a_heat_source_is_one_file(scratch: Path) -> None:
    before = files(scratch)
    (scratch / "costsim/sources/corn.py").write_text(KIND, encoding="utf-8")
    (scratch / "study.toml").write_text(STUDY, encoding="utf-8")
    (scratch / "homes.csv").write_text("home,house.design_heat_loss [kW]\nA,5\nB,8\n", encoding="utf-8")
    assert files(scratch) - before == {"costsim/sources/corn.py"}
    (scratch / "costsim/sources/lift.py").write_text(LIFT, encoding="utf-8")
    compare, capacity, _, _, _, keys = costsim(
        scratch, "compare study.toml", "capacity study.toml", "uncertainty study.toml", "report study.toml -o page.html",
        "portfolio homes.csv --study study.toml -o out", "schema --markdown",
    )  # fmt: skip
    assert "Corn stove" in compare
    assert "Corn stove" in capacity
    assert "kind = corn" in keys
    page = (scratch / "page.html").read_text(encoding="utf-8")
    assert "Corn stove" in page
    assert "arbon monoxide" in page
    summary = json.loads((scratch / "out/summary.json").read_text(encoding="utf-8"))
    assert [option["name"] for option in summary["options"]] == ["Corn", "Lift", "Electric"]
    conformance = [
        str(ROOT / "tests/sources" / name) for name in ("test_conformance.py", "test_conformance_portfolio.py")
    ]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-n0", "-k", "corn", "-c", str(ROOT / "pyproject.toml"), *conformance],
        cwd=scratch, env={**os.environ, "PYTHONPATH": str(scratch)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout
    assert " passed" in done.stdout
