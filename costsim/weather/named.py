"""The weather that a study names, read once for the same content however often it is asked for."""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict

from costsim.study_files import StudyFiles
from costsim.weather.model import Weather
from costsim.weather.readers import MOST_BYTES, read_weather

KEPT = 16
"""Years of hours that are kept, some 400 kB each; the least lately used go first."""

_READ: OrderedDict[tuple[str, bytes], Weather] = OrderedDict()
_LOCK = threading.Lock()


def named_weather(files: StudyFiles, name: str, key: str, file: str = "") -> Weather:
    """Read the weather that a study names under a key.

    Parameters
    ----------
    files : StudyFiles
        Where the study's files may lie.
    name, key, file : str
        The name as typed, the key path that holds it, and the study's name for messages.

    Raises
    ------
    InputError
        There is no such file, or it has faults.
    """
    raw = files.read(name, key, file=file, most=MOST_BYTES)
    mark = (name, hashlib.sha256(raw).digest())
    with _LOCK:
        if mark in _READ:
            _READ.move_to_end(mark)
            return _READ[mark]
    found = read_weather(name, content=raw)
    with _LOCK:
        _READ[mark] = found
        while len(_READ) > KEPT:
            _READ.popitem(last=False)
    return found
