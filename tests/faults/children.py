"""Processes of our own that run into trouble: a limit on the size of files, a kill at a chosen step, a cache that is spoilt."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pyarrow.parquet as pq

ROOT = Path(__file__).parents[2]

FULL = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), resource.RLIM_INFINITY))
from costsim.cli.main import main
for line in sys.argv[2:]:
    print(main(line.split()), end=" ", flush=True)
"""
"""Prints the exit code of each command. Every file is cut at so many bytes, as on a full disk (the error is EFBIG in place of ENOSPC)."""

KILLED = """
import os, signal, sys
from pathlib import Path
import costsim.files as files
step, count = sys.argv[1], int(sys.argv[2])

def killing(plain):
    def act(*arguments, **more):
        global count
        count -= 1
        if count <= 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return plain(*arguments, **more)
    return act

if step == "made":
    files.tempfile.mkstemp = killing(files.tempfile.mkstemp)
elif step == "filled":
    files.os.fsync = killing(files.os.fsync)
elif step == "named":
    Path.replace = killing(Path.replace)
else:  # half of the bytes stand in the file
    plain = files._put
    def half(write, beside, target):
        global count
        count -= 1
        write(beside)
        if count <= 0:
            os.truncate(beside, beside.stat().st_size // 2)
            os.kill(os.getpid(), signal.SIGKILL)
        plain(write, beside, target)
    files._put = half
if sys.argv[3] == "text":
    files.write_text(sys.argv[4], "new" * 9999)
else:
    from costsim.cli.main import main
    sys.exit(main(sys.argv[3:]))
"""
"""The process kills itself at the count-th file: before it is made, half filled, filled, or before it gets its name."""

NO_CACHE = """
import sys
from numba.core import caching
caching.FunctionCache._impl_class._locator_classes = []
from costsim.cli.main import main
sys.exit(main(sys.argv[1:]))
"""
"""No folder for compiled code: as in a read-only installation with a read-only home."""

NO_NETWORK = """
import sys
def refuse(event, _):
    if event in ("socket.connect", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto", "urllib.Request"):
        raise OSError("no network: " + event)
sys.addaudithook(refuse)
from costsim.cli.main import main
for command in sys.argv[1:]:
    if main(command.split()):
        sys.exit(1)
"""
"""Commands in a process that may not open a connection or ask for an address."""


def child(script: str, *arguments: object, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run one of the scripts."""
    return subprocess.run(
        [sys.executable, "-c", script, *map(str, arguments)], cwd=ROOT, capture_output=True, text=True, check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT)} | environment,
    )  # fmt: skip


PLAIN = "import sys; from costsim.cli.main import main; sys.exit(main(sys.argv[1:]))"
COMPILED = f"from costsim.engine import block; block.AT_ONCE = 0; {PLAIN}"
"""As `PLAIN`, compiling where nothing is compiled in place of running the kernel's Python."""
HOMES = "home,house.design_heat_loss [kW]\n" + "".join(f"h{at},{5 + at / 10}\n" for at in range(6))


def left_in(folder: Path) -> set[str]:
    """Names of all files in a folder and below."""
    return {path.name for path in folder.rglob("*") if path.is_file()}


def killed_portfolio(folder: Path, homes: Path, step: str, count: int) -> None:
    """A portfolio that was killed at its count-th file goes on by the same command, to the same bytes."""
    whole, cut = folder / "whole", folder / "cut"
    command = ["portfolio", str(homes), "--block", "2", "-o"]
    assert child(PLAIN, *command, whole).returncode == 0
    assert child(KILLED, step, count, *command, cut).returncode == -9
    for part in cut.glob("h*/part-*.parquet"):
        pq.read_table(part)
    assert child(PLAIN, *command, cut).returncode == 0
    assert (cut / "summary.json").read_bytes() == (whole / "summary.json").read_bytes()
    assert not [name for name in left_in(cut / "homes") | left_in(cut / "hours") if name.startswith(".")]


def spoilt_cache(folder: Path, ending: str) -> None:
    """Compiled code or its index on disk is cut or overwritten; the same answer comes out."""
    first = child(COMPILED, "compare", "--json", "-", NUMBA_CACHE_DIR=str(folder))
    files = list(folder.rglob(f"*.{ending}"))
    assert files
    for path in files:
        path.write_bytes(path.read_bytes()[:700] if ending == "nbc" else b"\x80 no pickle")
    again = child(COMPILED, "compare", "--json", "-", NUMBA_CACHE_DIR=str(folder))
    assert again.returncode == 0, again.stderr
    assert again.stdout == first.stdout
