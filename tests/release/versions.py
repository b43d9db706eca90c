"""The suite on other versions, outside the suite: `python tests/release/versions.py [--python python3.13] [--lowest]`.

Makes an empty environment with that Python, installs costsim with its test extra there, at the newest versions or at the lowest
ones `pyproject.toml` declares for what it needs at run time, and runs the whole suite (further words go to pytest). Types are
checked at the newest versions alone: old ones describe their own arrays less exactly, which no run depends on.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
TYPES = "tests/test_house_rules.py::test_linters_find_nothing[mypy costsim]"


def lowest() -> str:
    """Each run-time dependency at its lower bound, one a line, as pip reads constraints."""
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    pairs = [(one.name, [bound.version for bound in one.specifier]) for one in map(Requirement, declared)]
    return "".join(f"{name}=={bound}\n" for name, (bound,) in pairs)


def made(python: str, folder: Path, at_lowest: bool) -> Path:
    """A fresh environment with costsim in it; its interpreter."""
    shutil.rmtree(folder, ignore_errors=True)
    subprocess.run([python, "-m", "venv", folder], check=True)
    inside = folder / "bin" / "python"
    limits = folder / "limits.txt"
    limits.write_text(lowest() if at_lowest else "", encoding="utf-8")
    subprocess.run([inside, "-m", "pip", "install", "-q", "-e", f"{ROOT}[test]", "-c", limits], check=True)
    return inside


def main() -> None:
    """Make the environment, say what is in it, run the suite."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--python", default=sys.executable)
    parser.add_argument("--lowest", action="store_true")
    parser.add_argument("--folder", type=Path, default=ROOT / "out" / "versions")
    asked, further = parser.parse_known_args()
    inside = made(asked.python, asked.folder, asked.lowest)
    subprocess.run([inside, "-m", "pip", "list"], check=True)
    left = ["--deselect", TYPES] if asked.lowest else []
    raise SystemExit(
        subprocess.run([inside, "-m", "pytest", "-q", "-n", "2", *left, *further], cwd=ROOT, check=False).returncode
    )


if __name__ == "__main__":
    main()
