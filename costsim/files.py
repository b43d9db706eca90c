"""Reading files whole, and writing results so that a full disk or a killed process never leaves half a file."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from costsim.errors import Fault, InputError, reason

MOST_LINES, MOST_LETTERS = 600_000, 100_000
"""Of a table: a year of minutes has 525,600 lines; rows of many columns have some thousand letters."""


def read_bytes(path: str | Path, *, name: str = "") -> bytes:
    """Read a whole file; `name` is what messages call it, the path by default.

    Raises
    ------
    InputError
        It is missing, may not be read, or no file can have such a name.
    """
    try:
        return Path(path).read_bytes()
    except (OSError, ValueError) as error:  # a name with a null character is a ValueError
        raise InputError(Fault("", f"cannot be read ({reason(error)})", "check the path", name or str(path))) from None


def check_lines(text: str, file: str, remedy: str) -> None:
    """Refuse a table with lines without end before it is taken apart, which needs many times its own memory.

    Raises
    ------
    InputError
        It has more lines than a year of minutes, or a line longer than any row.
    """
    for end in ("\n", "\r"):
        if text.count(end) > MOST_LINES:
            raise InputError(Fault("", f"has more than {MOST_LINES:,} lines", remedy, file))
    longest = max(map(len, text.split("\n")))
    if longest > MOST_LETTERS:
        raise InputError(Fault("", f"has a line of {longest:,} letters", remedy, file))


def write_whole(path: str | Path, write: Callable[[Path], object]) -> None:
    """Write beside the target and rename, so that the target is old or whole.

    Parameters
    ----------
    path : str or Path
        Where the file shall stand. A link is followed; a device or pipe, such as ``/dev/stdout``, is written to directly.
    write : callable
        Fills the path it is given.

    Raises
    ------
    InputError
        The folder is missing, not writable, or full.
    """
    target = Path(os.path.realpath(path)) if os.path.isfile(path) else Path(path)
    if os.path.exists(target) and not os.path.isfile(target) and not os.path.isdir(target):
        _tried(path, lambda: write(target))
        return
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.stem[:40]}.", suffix=target.suffix, dir=target.parent)
        os.close(handle)
    except (OSError, ValueError) as error:
        what = f"cannot be written ({reason(error)})"
        raise InputError(Fault("", what, "name a folder that exists and may be written to", str(path))) from None
    beside = Path(name)
    try:
        _tried(path, lambda: _put(write, beside, target))
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)


def _put(write: Callable[[Path], object], beside: Path, target: Path) -> None:
    """Fill the file beside, see it on the disk, and give it the target's name."""
    write(beside)
    with beside.open("rb+") as stream:
        os.fsync(stream.fileno())  # or a power cut could leave the name without its content
    beside.chmod(0o666 & ~_umask())
    beside.replace(target)


def _tried(path: str | Path, act: Callable[[], object]) -> None:
    try:
        act()
    except OSError as error:
        what = f"could not be written ({reason(error)})"
        raise InputError(Fault("", what, "free some space or name another folder", str(path))) from None


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def write_text(path: str | Path, text: str) -> None:
    """Write text as UTF-8, whole or not at all."""
    write_whole(path, lambda beside: beside.write_text(text, encoding="utf-8"))
