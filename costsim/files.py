"""Writing results so that a full disk or a killed process never leaves half a file."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from costsim.errors import Fault, InputError


def write_whole(path: str | Path, write: Callable[[Path], object]) -> None:
    """Write beside the target and rename, so that the target is old or whole.

    Parameters
    ----------
    path : str or Path
        Where the file shall stand.
    write : callable
        Fills the path it is given.

    Raises
    ------
    InputError
        The folder is missing, not writable, or full.
    """
    target = Path(path)
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.stem}.", suffix=target.suffix, dir=target.parent)
        os.close(handle)
    except OSError as error:
        raise InputError(
            Fault(
                "",
                f"cannot be written ({error.strerror})",
                "name a folder that exists and may be written to",
                str(path),
            )
        ) from None
    beside = Path(name)
    try:
        write(beside)
        beside.chmod(0o666 & ~_umask())
        beside.replace(target)
    except OSError as error:
        raise InputError(
            Fault("", f"could not be written ({error.strerror})", "free some space or name another folder", str(path))
        ) from None
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def write_text(path: str | Path, text: str) -> None:
    """Write text as UTF-8, whole or not at all."""
    write_whole(path, lambda beside: beside.write_text(text, encoding="utf-8"))
