"""The one resolver of what a study names: nothing else in the library opens a path that stands in a study.

A `StudyFiles` is handed in to reading a study and stays with its `Case`. On the command line it knows the study's own
folder; in the dashboard it knows what was opened in the session; both know the built-in samples, and no other file.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path, PureWindowsPath

from costsim.errors import Fault, InputError
from costsim.files import MOST_BYTES, read_bytes

LONGEST_NAME = 255
"""Letters of a name, as most file systems allow."""


@dataclass(frozen=True, slots=True)
class NamesFile:
    """Marks a study's key whose text is the name of a file, so that tests and forms find all of them."""

    what: str


@dataclass(frozen=True, slots=True)
class StudyFiles:
    """Where the files that a study names may lie.

    Parameters
    ----------
    folder : Path, optional
        Folder of the study, on the command line; files in it and below it are read. None: no file of this machine is.
    opened : mapping of str to bytes
        Files opened in a session of the dashboard, by name.

    Examples
    --------
    >>> StudyFiles().read("greensboro.csv", "place.weather")[:3]
    b'723'
    >>> StudyFiles().read("/etc/passwd", "place.weather")
    Traceback (most recent call last):
    costsim.errors.InputError: place.weather: '/etc/passwd' is a path that leads out of the study's folder; ...
    """

    folder: Path | None = None
    opened: Mapping[str, bytes] = field(default_factory=dict)

    def read(self, name: str, key: str, *, file: str = "", most: int = MOST_BYTES) -> bytes:
        """Content of a file that a study names.

        Parameters
        ----------
        name : str
            As typed in the study.
        key : str
            Key path that names it, for messages.
        file : str
            The study's name, for messages.
        most : int
            Bytes that the file may have.

        Raises
        ------
        InputError
            There is none of that name, it lies elsewhere, is no regular file, or is too large.
        """
        if name in self.opened:
            return self.opened[name]
        path = self.find(name, key, file=file)
        try:
            return read_bytes(path, name=name, most=most)
        except InputError as error:
            raise InputError(
                [Fault(key, f"'{name}' {fault.problem}", fault.remedy, file) for fault in error.faults]
            ) from None

    def has(self, name: str, key: str, *, file: str = "") -> None:
        """Raise unless the file is there to be read; nothing is read yet.

        Raises
        ------
        InputError
            As `read`, but for what only its content can tell.
        """
        if name not in self.opened:
            self.find(name, key, file=file)

    def find(self, name: str, key: str, *, file: str = "") -> Path:
        """Path of a file beside the study, else of a built-in sample.

        Raises
        ------
        InputError
            There is none of that name, or it lies elsewhere.
        """
        if _leads_out(name):
            problem = f"'{name}' is a path that leads out of the study's folder"
            raise InputError(Fault(key, problem, self._remedy(), file))
        if self.folder is not None:
            beside = os.path.join(self.folder, name)
            if os.path.lexists(beside):
                home = os.path.realpath(self.folder)
                if os.path.commonpath((home, os.path.realpath(beside))) != home:
                    problem = f"'{name}' is a link that leads out of the study's folder"
                    raise InputError(Fault(key, problem, self._remedy(), file))
                if os.path.isfile(beside):
                    return Path(beside)
                if not os.path.isdir(beside):
                    problem = f"'{name}' is a pipe, a device or a broken link, not a file"
                    raise InputError(Fault(key, problem, self._remedy(), file))
        sample = sample_path(name)
        if sample is None:
            missing = "no such file beside the study" if self.folder is not None else "is not open in this session"
            raise InputError(Fault(key, f"'{name}': {missing}", self._remedy(), file))
        return sample

    def _remedy(self) -> str:
        how = (
            "put it beside the study and name it alone"
            if self.folder is not None
            else "open it on the House page first"
        )
        return f"{how}, or use a built-in one: {', '.join(sample_names())}"


def _leads_out(name: str) -> bool:
    """Whether a name is none of a file in a folder or below it, on any system."""
    parts = PureWindowsPath(name)  # knows both slashes, and drives
    odd = not name.strip() or len(name) > LONGEST_NAME or not name.isprintable()
    return odd or bool(parts.drive or parts.root) or ".." in parts.parts


def sample_folders() -> list[Path]:
    """Where built-in samples lie: in an installed wheel, or in the repository."""
    package = Path(str(resources.files("costsim")))
    return [folder for folder in (package / "_samples", package.parent / "weather_samples") if folder.is_dir()]


def sample_names() -> list[str]:
    """Names of the built-in samples."""
    return sorted({path.name for folder in sample_folders() for path in folder.glob("*.csv")})


def sample_path(name: str) -> Path | None:
    """Path of a built-in sample by its bare file name; None where there is none."""
    if name not in sample_names():
        return None
    return next(folder / name for folder in sample_folders() if (folder / name).is_file())
