"""The weather that a study names, read once for the same content however often it is asked for."""

from __future__ import annotations

import functools
import io
import json
import threading
from collections import OrderedDict
from dataclasses import fields
from pathlib import Path

import numpy as np

from costsim import __version__, kept
from costsim.study_files import StudyFiles
from costsim.weather.model import MOST_BYTES, Weather

KEPT = 16
"""Years of hours that are kept in memory, some 400 kB each; the least lately used go first."""

_ARRAYS = ("months", "outdoor_c", "ghi_w_m2", "dni_w_m2", "dhi_w_m2", "wind_m_s")
_READ: OrderedDict[bytes, Weather] = OrderedDict()
_LOCK = threading.Lock()


def named_weather(files: StudyFiles, name: str, key: str, file: str = "") -> Weather:
    """Read the weather that a study names under a key.

    A year that was read before is taken from disk as plain arrays, known by the file's bytes; what was opened in a
    session of the dashboard stays in the session.

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
    mark = kept.mark_of(raw, name.encode(), _readers())
    with _LOCK:
        if mark in _READ:
            _READ.move_to_end(mark)
            return _READ[mark]
    weather = _read(name, raw, mark, keep=name not in files.opened)
    with _LOCK:
        _READ[mark] = weather
        while len(_READ) > KEPT:
            _READ.popitem(last=False)
    return weather


@functools.cache
def _readers() -> bytes:
    return __version__.encode() + kept.state_of(*sorted(Path(__file__).parent.glob("*.py")))


def _read(name: str, raw: bytes, mark: bytes, *, keep: bool) -> Weather:
    body = kept.get(mark) if keep else None
    if body is not None:
        return _unpacked(body)
    from costsim.weather.readers import read_weather

    weather = read_weather(name, content=raw)
    if keep:
        kept.put(mark, _packed(weather))
    return weather


def _packed(weather: Weather) -> bytes:
    """A year as arrays in numpy's own format, its words and figures as JSON among them."""
    facts = {field.name: getattr(weather, field.name) for field in fields(weather)}
    arrays = {name: array for name in _ARRAYS if (array := facts.pop(name)) is not None}
    body = io.BytesIO()
    np.savez(body, facts=np.frombuffer(json.dumps(facts).encode(), np.uint8), **arrays)
    return body.getvalue()


def _unpacked(body: bytes) -> Weather:
    with np.load(io.BytesIO(body), allow_pickle=False) as parts:
        arrays = {name: parts[name] for name in _ARRAYS if name in parts}
        facts = json.loads(parts["facts"].tobytes())
    for array in arrays.values():
        array.flags.writeable = False
    return Weather(**arrays, **facts | {name: tuple(facts[name]) for name in ("years", "notes")})
