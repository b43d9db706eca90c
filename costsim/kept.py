"""What was worked out once from the same bytes, kept on disk: weather files taken apart, holidays of a country, compiled code.

A cache is a convenience: what is missing, damaged or of another version counts as not there, and a folder that cannot be
written to is done without. Each entry is sealed with a digest of its key and its content.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from pathlib import Path

from costsim.errors import CostsimError
from costsim.files import read_bytes, write_whole

MOST_KEPT, MOST_BYTES = 32, 5_000_000
"""Entries kept where nothing else is said, the oldest go first; bytes of one: a year of weather has some 400 kB."""
_DIGEST = hashlib.sha256().digest_size


def folder() -> Path:
    """Where they are kept: where compiled code is, that of ``NUMBA_CACHE_DIR``, else in the package."""
    chosen = os.environ.get("NUMBA_CACHE_DIR", "")
    return Path(chosen) if chosen else Path(__file__).with_name("__pycache__")


def mark_of(*parts: bytes) -> bytes:
    """Key of an entry: a digest of all that it depends on.

    Examples
    --------
    >>> mark_of(b"a", b"bc") == mark_of(b"ab", b"c")
    False
    """
    return hashlib.sha256(b"".join(hashlib.sha256(part).digest() for part in parts)).digest()


def state_of(*paths: Path) -> bytes:
    """Size and time of files that made an entry, so that a changed reader is never passed by."""
    return repr([(path.name, (status := path.stat()).st_size, status.st_mtime_ns) for path in paths]).encode()


def _path(mark: bytes, ending: str) -> Path:
    return folder() / f"costsim-{mark.hex()[:32]}.{ending}"


def get(mark: bytes, ending: str = "kept") -> bytes | None:
    """Content of an entry; None where there is none that is whole and its own."""
    path = _path(mark, ending)
    if not path.is_file():
        return None
    try:
        raw = read_bytes(path, most=MOST_BYTES)
    except CostsimError:
        return None
    seal, body = raw[:_DIGEST], raw[_DIGEST:]
    return body if seal == hashlib.sha256(mark + body).digest() else None


def put(mark: bytes, body: bytes, ending: str = "kept", most: int | None = None) -> None:
    """Keep an entry, whole or not at all, and the latest `most` of its ending."""
    sealed = hashlib.sha256(mark + body).digest() + body
    with contextlib.suppress(CostsimError, OSError):
        folder().mkdir(parents=True, exist_ok=True)
        write_whole(_path(mark, ending), lambda beside: beside.write_bytes(sealed))
        for path in entries(ending)[: -(most or MOST_KEPT)]:
            path.unlink(missing_ok=True)


def entries(ending: str = "kept") -> list[Path]:
    """Files of all entries, the oldest first."""
    return sorted(folder().glob(f"costsim-*.{ending}"), key=lambda path: path.stat().st_mtime)
