"""Wheel and sdist installed without a network, outside the suite: `python tests/release/offline.py` (Linux, root for `unshare -n`).

Builds both, fills a wheelhouse with what `requirements.lock` names (the one step that asks a registry, by pip), and installs each
in an empty environment that has no network; `pip check` and `costsim compare` must pass there.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
import venv
from pathlib import Path

ROOT = Path(__file__).parents[2]
BUILD = "from hatchling.build import build_{0}; print(build_{0}('{1}'))"


def run(*command: str | Path, cwd: Path = ROOT) -> str:
    """Run a command; its output, or an error with it."""
    plain = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    done = subprocess.run(
        [str(part) for part in command], cwd=cwd, env=plain, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise SystemExit(f"{' '.join(map(str, command))}\n{done.stdout}{done.stderr}")
    return done.stdout


def installed(made: Path, wheelhouse: Path, folder: Path) -> str:
    """Install a wheel or sdist without a network and run it."""
    venv.create(folder, with_pip=True)
    python = folder / "bin" / "python"
    start = time.monotonic()
    run("unshare", "-n", python, "-m", "pip", "install", "-q", "--no-index", "--find-links", wheelhouse, made)
    took = time.monotonic() - start
    run("unshare", "-n", python, "-m", "pip", "check")
    told = run("unshare", "-n", folder / "bin" / "costsim", "compare", cwd=folder)
    assert "costsim check lantern_cottage" in told, told
    return f"{made.name}: {made.stat().st_size / 1e3:.0f} kB, installed without a network in {took:.0f} s, pip check and costsim compare pass"


def main() -> None:
    """Build, collect, install, run."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--wheelhouse", type=Path, help="folder that holds the wheels already")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        wheelhouse = given.wheelhouse or folder / "wheelhouse"
        if given.wheelhouse is None:
            run(
                sys.executable,
                "-m",
                "pip",
                "download",
                "-q",
                "-d",
                wheelhouse,
                "-r",
                ROOT / "requirements.lock",
                "hatchling",
            )
        for kind in ("wheel", "sdist"):
            made = folder / kind / run(sys.executable, "-c", BUILD.format(kind, folder / kind)).split()[-1]
            print(installed(made, wheelhouse, folder / f"environment-{kind}"), flush=True)


if __name__ == "__main__":
    main()
