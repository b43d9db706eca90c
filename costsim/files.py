"""Reading files whole, and writing results so that a full disk or a killed process never leaves half a file.

Reading goes through `open_regular`: regular files alone, their size known and bounded before the first byte is read.
What a study names is opened by `costsim.study_files` and by nothing else.
"""

from __future__ import annotations

import contextlib
import csv
import os
import re
import stat
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import BufferedReader
from pathlib import Path

from costsim.errors import Fault, InputError, reason

MOST_LINES, MOST_LETTERS, MOST_CELL = 600_000, 100_000, 1_000
"""Of a table, a line and a cell: a year of minutes has 525,600 lines; rows of many columns have some thousand letters."""
_MARKS = ",;\t|"

MOST_BYTES = 50_000_000
"""Of a file that is read whole, unless its reader says otherwise."""


def read_bytes(path: str | Path, *, name: str = "", most: int = MOST_BYTES) -> bytes:
    """Read a whole regular file; `name` is what messages call it, the path by default.

    Raises
    ------
    InputError
        It is missing, may not be read, is no regular file, has more than `most` bytes, or no file can have such a name.
    """
    with open_regular(path, name=name, most=most) as (stream, size):
        return stream.read(size)  # of the size it had: what is written to it meanwhile, or without end, is left out


@contextmanager
def open_regular(path: str | Path, *, name: str = "", most: int = MOST_BYTES) -> Iterator[tuple[BufferedReader, int]]:
    """Open a regular file for reading and give its size [bytes]; a pipe or device is neither opened nor waited for.

    Raises
    ------
    InputError
        As `read_bytes`.
    """
    shown = name or str(path)
    try:
        if not stat.S_ISREG(os.stat(path).st_mode):  # before it is opened: opening alone can wait, or move a device
            raise _no_regular_file(path, shown)
        # in between, another file can have taken its name
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except (OSError, ValueError) as error:  # a name with a null character is a ValueError
        raise InputError(Fault("", f"cannot be read ({reason(error)})", "check the path", shown)) from None
    with os.fdopen(handle, "rb") as stream:
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode):
            raise _no_regular_file(path, shown)
        if status.st_size > most:
            what = f"is {status.st_size / 1e6:,.1f} MB large, more than the {most / 1e6:,.0f} MB that are read"
            raise InputError(Fault("", what, "check that it is the right file", shown))
        try:
            yield stream, status.st_size
        except OSError as error:
            raise InputError(Fault("", f"cannot be read ({reason(error)})", "check the disk", shown)) from None


def _no_regular_file(path: str | Path, shown: str) -> InputError:
    what = "Is a directory" if os.path.isdir(path) else "it is a pipe or device, not a file"
    return InputError(Fault("", f"cannot be read ({what})", "name a file", shown))


def check_lines(text: str, file: str, remedy: str) -> None:
    """Refuse a table with lines or cells without end before it is taken apart, which needs many times its own memory.

    Raises
    ------
    InputError
        It has more lines than a year of minutes, a line longer than any row, or a cell or heading longer than any name.
    """
    for end in ("\n", "\r"):
        if text.count(end) > MOST_LINES:
            raise InputError(Fault("", f"has more than {MOST_LINES:,} lines", remedy, file))
    for number, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1):
        check_line(line, number, file, remedy)


def check_line(line: str, number: int, file: str, remedy: str) -> None:
    """Refuse a line of a table, or a cell in it, that is longer than any row or name.

    Raises
    ------
    InputError
        With the number of the line.
    """
    if len(line) <= MOST_CELL:
        return
    if len(line) > MOST_LETTERS:
        problem = f"has a line of {len(line):,} letters"
        raise InputError(Fault(f"line {number}", problem, remedy, file))
    # by the mark that parts it best, as which one the table uses is not known yet
    plain = line.translate({0: "", 10: " ", 13: " "})
    parted = (next(csv.reader([plain], delimiter=mark), []) for mark in _MARKS)
    longest = min(max(map(len, cells), default=0) for cells in parted)
    if longest > MOST_CELL:
        problem = f"has a cell or heading of {longest:,} letters, more than the {MOST_CELL:,} that are read"
        raise InputError(Fault(f"line {number}", problem, f"shorten it, or take the column out; {remedy}", file))


MOST_DEPTH = 16
"""Tables in tables: a study's deepest key stands in five."""
_PIECES = re.compile(
    r'''"""(?:[^"\\]++|\\.|"(?!""))*+(?:""")?|"(?:[^"\\\n]++|\\.)*+"?'''
    r"""|'''(?:[^']++|'(?!''))*+(?:''')?|'[^'\n]*+'?|\#[^\n]*+|[][{}.\n,=]""",
    re.DOTALL,
)


def check_nesting(text: str, file: str) -> None:
    """Refuse TOML or JSON nested deeper than any study, before a parser goes down into it.

    Raises
    ------
    InputError
        Brackets or dotted keys are more than `MOST_DEPTH` deep.
    """
    deep = dots = 0
    for match in _PIECES.finditer(text):
        piece = match.group()
        if piece == ".":
            dots += 1
        else:
            deep += (piece in ("[", "{")) - (piece in ("]", "}"))
            dots = 0 if piece in ("[", "{", "]", "}", "\n", ",", "=") else dots
        if max(deep, dots) > MOST_DEPTH:
            line = text.count("\n", 0, match.start()) + 1
            problem = f"is nested more than {MOST_DEPTH} deep"
            raise InputError(Fault(f"line {line}", problem, "a study has tables in tables five deep", file))
        deep = max(deep, 0)


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


def may_be_formula(text: str) -> bool:
    r"""Whether a spreadsheet may run a cell: those begin with such a sign, behind spaces or tabs too.

    Examples
    --------
    >>> may_be_formula("\t=1+1"), may_be_formula("gas")
    (True, False)
    """
    return text.lstrip()[:1] in ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20") or text[:1] in ("\t", "\r")


def write_text(path: str | Path, text: str) -> None:
    """Write text as UTF-8, whole or not at all."""
    write_whole(path, lambda beside: beside.write_text(text, encoding="utf-8"))
