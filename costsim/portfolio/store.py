"""The folder of results: one file a block, whole or not there, so that a run that was cut off goes on where it was.

The SHA-256 of each file stands in ``sums``: one with a flipped bit is refused by its name.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields
from pathlib import Path
from typing import Any

import numpy as np

from costsim.errors import Fault, InputError
from costsim.files import read_bytes, write_text, write_whole
from costsim.portfolio.compute import Part
from costsim.portfolio.lowered import STEP_W
from costsim.portfolio.rows import RejectedRow
from costsim.units.arrays import Floats
from costsim.weather import Weather

FIRST = ("row", "home", "weight")
WRITTEN = ("run.json", "summary.json", "totals.csv", "homes.csv", "hours.parquet", "set_aside.csv")
FOLDERS, MOST_PART = ("homes", "hours"), 10_000_000_000
_NOTE = b"costsim"


def fingerprint(facts: Mapping[str, Any]) -> str:
    """Short name of everything that the results depend on."""
    return hashlib.sha256(json.dumps(facts, sort_keys=True).encode()).hexdigest()[:32]


def weather_digest(weather: Weather) -> str:
    """Fingerprint of a weather year's numbers."""
    digest = hashlib.sha256()
    for part in fields(weather):
        value = getattr(weather, part.name)
        digest.update(value.tobytes() if isinstance(value, np.ndarray) else repr(value).encode())
    return digest.hexdigest()


@dataclass(frozen=True, slots=True)
class Store:
    """A folder of results. `mark` is the run's fingerprint, which every part carries."""

    folder: Path
    mark: str
    options: tuple[str, ...]
    columns: tuple[str, ...]
    kept: tuple[str, ...] = ()
    of_home: tuple[str, ...] = ()
    _good: set[Path] = field(default_factory=set, repr=False, compare=False)

    def _homes(self, number: int) -> Path:
        return self.folder / "homes" / f"part-{number:05d}.parquet"

    def _hours(self, number: int) -> Path:
        return self.folder / "hours" / f"part-{number:05d}.parquet"

    def _sums(self, number: int) -> Path:
        return self.folder / "sums" / f"part-{number:05d}.json"

    def has(self, number: int) -> bool:
        """Whether a part stands there whole and belongs to this run."""
        marked = all(self._note(path).get("mark") == self.mark for path in (self._homes(number), self._hours(number)))
        return marked and set(_known(self._sums(number))) == set(FOLDERS)

    def drop(self, numbers: Sequence[int]) -> None:
        """Take parts out again."""
        for number in numbers:
            for path in (self._homes(number), self._hours(number), self._sums(number)):
                path.unlink(missing_ok=True)

    def _whole(self, path: Path, number: int) -> Path:
        """The path of a part's file, once its content is what was written.

        Raises
        ------
        InputError
            A bit of it is not.
        """
        if path not in self._good:
            wanted = _known(self._sums(number)).get(path.parent.name)
            if hashlib.sha256(read_bytes(path, most=MOST_PART)).hexdigest() != wanted:
                remedy = "delete it and run the same command again; look after the disk"
                raise InputError(Fault("", "is damaged: its content is not what was written", remedy, str(path)))
            self._good.add(path)
        return path

    def _note(self, path: Path) -> dict[str, Any]:
        import pyarrow as pa
        import pyarrow.parquet as pq

        try:
            return dict(json.loads((pq.read_schema(path).metadata or {})[_NOTE]))
        except (OSError, KeyError, ValueError, pa.ArrowException):
            return {}

    def put(self, part: Part) -> None:
        """Write one part; the homes last, so that a part is there when its homes are."""
        import pyarrow as pa

        names = [f"{name} [W / 2^20]" for name in self.options]
        hours = _packed(pa.table(dict(zip(names, part.power, strict=True))), {"mark": self.mark})
        table: dict[str, Any] = dict(zip(FIRST, (part.rows, list(part.homes), part.weights), strict=True))
        table["home"] = pa.array(table["home"], type=pa.string())
        table |= {name: pa.array(cells, type=pa.string()) for name, cells in zip(self.kept, part.kept, strict=True)}
        if part.facts is not None:
            table |= dict(zip(self.of_home, np.ascontiguousarray(part.facts.T), strict=True))
        table |= dict(zip(self.columns, np.ascontiguousarray(part.values.T), strict=True))
        note = {"mark": self.mark, "aside": [asdict(rejected) for rejected in part.aside]}
        homes = _packed(pa.table(table), note)
        sums = {name: hashlib.sha256(raw).hexdigest() for name, raw in zip(FOLDERS, (homes, hours), strict=True)}
        write_text(self._sums(part.number), json.dumps(sums) + "\n")
        write_whole(self._hours(part.number), lambda beside: beside.write_bytes(hours))
        write_whole(self._homes(part.number), lambda beside: beside.write_bytes(homes))

    def numbers(self) -> Sequence[int]:
        """Numbers of the parts that are there."""
        numbers_kept = sorted(
            int(path.stem.removeprefix("part-")) for path in (self.folder / "homes").glob("part-*.parquet")
        )
        return [number for number in numbers_kept if self.has(number)]

    def parts(self, columns: Sequence[str], numbers: Sequence[int]) -> Iterator[tuple[Floats, Floats]]:
        """Weights (homes,) and some columns (columns, homes) of one part after the other."""
        import pyarrow.parquet as pq

        for number in numbers:
            path = self._whole(self._homes(number), number)
            with pq.ParquetFile(path) as file:
                table = file.read(columns=["weight", *columns])
            values = np.array([table.column(name).to_numpy() for name in ("weight", *columns)], dtype=float)
            yield values[0], values[1:]

    def texts(self, columns: Sequence[str], number: int) -> list[list[str]]:
        """Some columns of text of one part."""
        import pyarrow.parquet as pq

        with pq.ParquetFile(self._whole(self._homes(number), number)) as file:
            table = file.read(columns=list(columns))
        return [table.column(name).to_pylist() for name in columns]

    def aside(self, numbers: Sequence[int]) -> Iterator[RejectedRow]:
        """Every cell that kept a row out."""
        for number in numbers:
            yield from (RejectedRow(**row) for row in self._note(self._whole(self._homes(number), number))["aside"])

    def power_w(self, numbers: Sequence[int], n_hours: int) -> Floats:
        """Electricity of all homes (options, n) [W].

        Raises
        ------
        InputError
            The sum is beyond what whole steps can hold.
        """
        import pyarrow.parquet as pq

        total, bound = np.zeros((len(self.options), n_hours), dtype=np.int64), 0
        for number in numbers:
            table = pq.read_table(self._whole(self._hours(number), number), partitioning=None)
            part = np.array([column.to_numpy() for column in table.columns], dtype=np.int64)
            bound += int(part.max(initial=0))
            if bound > 2**62:
                raise InputError(Fault("weight", "the homes take more than 4,000 GW", "give smaller weights"))
            total += part
        return np.asarray(total * STEP_W, dtype=float)


def _packed(table: Any, note: Mapping[str, Any]) -> bytes:
    """A table as the bytes of a Parquet file that carries a note."""
    import pyarrow.parquet as pq

    buffer = io.BytesIO()
    pq.write_table(table.replace_schema_metadata({_NOTE: json.dumps(note)}), buffer, compression="zstd")
    return buffer.getvalue()


def open_store(
    folder: str | Path,
    facts: Mapping[str, Any],
    options: Sequence[str],
    columns: Sequence[str],
    kept: Sequence[str] = (),
    of_home: Sequence[str] = (),
    *,
    overwrite: bool = False,
) -> Store:
    """Open a folder of results, new or begun.

    Parameters
    ----------
    folder : str or Path
        Made where it is not there.
    facts : mapping
        What the results depend on; stands in ``run.json``.
    options, columns : sequence of str
        Names of the study's options and of the columns of results.
    kept : sequence of str
        Names of the planner's own columns.
    of_home : sequence of str
        Names of what is told of each home itself, as `costsim.portfolio.home_facts.fact_columns` gives them.
    overwrite : bool
        Whether another run's results in the folder are deleted.

    Raises
    ------
    InputError
        The folder cannot be used, or holds the results of something else.
    """
    path, mark = Path(folder), fingerprint(facts)
    try:
        for name in (*FOLDERS, "sums"):
            (path / name).mkdir(parents=True, exist_ok=True)
            for left in (path / name).glob(".part-*"):  # of a run that was cut off while writing
                left.unlink(missing_ok=True)
    except OSError as error:
        raise InputError(
            Fault("", f"cannot be used ({error.strerror})", "name a folder that may be written to", str(folder))
        ) from None
    if overwrite and _known(path / "run.json").get("fingerprint") != mark:
        _delete_run(path)
    _refuse_another_run(path, facts, mark)
    write_text(path / "run.json", json.dumps({"fingerprint": mark, **facts}, indent=2, ensure_ascii=False) + "\n")
    return Store(path, mark, tuple(options), tuple(columns), tuple(kept), tuple(of_home))


def _delete_run(path: Path) -> None:
    """Delete what a run writes, and nothing else that may lie in its folder."""
    files = [path / name for name in WRITTEN]
    for name in (*FOLDERS, "sums"):
        files += [*(path / name).glob("part-*.parquet"), *(path / name).glob("part-*.json")]
    try:
        for file in files:
            file.unlink(missing_ok=True)
    except OSError as error:
        problem = f"cannot be overwritten ({error.strerror})"
        raise InputError(Fault("", problem, "name another folder", str(path))) from None


@contextlib.contextmanager
def alone(folder: str | Path) -> Iterator[None]:
    """Keep a folder for one run; the system gives it free again when the run ends, however it does.

    Raises
    ------
    InputError
        Another run is at it, or the folder cannot be used.
    """
    path = Path(folder)
    try:
        path.mkdir(parents=True, exist_ok=True)
        stream = (path / ".lock").open("ab")
    except OSError as error:
        raise InputError(
            Fault("", f"cannot be used ({error.strerror})", "name a folder that may be written to", str(folder))
        ) from None
    with stream:
        try:
            _lock(stream.fileno())
        except OSError:
            remedy = "wait until it has ended, or name another folder"
            raise InputError(Fault("", "another run is writing into it", remedy, str(folder))) from None
        yield


def _lock(handle: int) -> None:
    if os.name == "nt":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _refuse_another_run(path: Path, facts: Mapping[str, Any], mark: str) -> None:
    known = _known(path / "run.json")
    parts = any((path / "homes").glob("part-*.parquet"))
    if known.get("fingerprint") == mark or not (known or parts):
        return
    differs = [key for key, value in facts.items() if known.get(key) != value] if known else ["run.json"]
    problem = f"holds another run: {', '.join(differs)} differ{'s' if len(differs) == 1 else ''}"
    raise InputError(Fault("run.json", problem, "name another folder, or write --overwrite", str(path)))


def _known(path: Path) -> dict[str, Any]:
    with contextlib.suppress(InputError, ValueError):
        return dict(json.loads(read_bytes(path)))
    return {}
