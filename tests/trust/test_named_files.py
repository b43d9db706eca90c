"""No study opens a file of the machine: each of its keys is tried with paths of other files, links, pipes and devices."""

from __future__ import annotations

import copy
import os
import sys
import threading
import tomllib
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any, get_args

import pytest
import tomli_w
from pydantic import BaseModel
from streamlit.testing.v1 import AppTest

from costsim import simulate
from costsim.cli.main import main
from costsim.dashboard.link import packed
from costsim.errors import InputError
from costsim.files import open_regular, read_bytes
from costsim.simulation import load_weather, load_winters
from costsim.study.case import Case, built_in_studies, case_from, read_study
from costsim.study_files import NamesFile, StudyFiles
from costsim.units.fields import OneOf, QuantityField

APP = Path(__file__).parents[2] / "app.py"
SECRET = "secret-of-the-machine:x:0:0"
Keys = tuple[str | int, ...]

_watched: list[str] = []
_seen: list[str] = []


def _hook(event: str, arguments: tuple[Any, ...]) -> None:
    if _watched and event == "open" and isinstance(arguments[0], str | bytes | os.PathLike):
        name = os.fsdecode(arguments[0])
        if name in _watched or os.path.realpath(name) in _watched:
            _seen.append(name)
            raise PermissionError(13, "a file was opened that no study may open", name)


sys.addaudithook(_hook)  # for good; it does nothing while no path is watched


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Path]:
    """A study's folder with a link, a pipe and a device in it, and a secret beside it; opening those is told."""
    home = tmp_path / "study"
    home.mkdir()
    (tmp_path / "secret.csv").write_text(f"{SECRET}\nelectricity [kWh]\n1\n")
    (home / "link.csv").symlink_to(tmp_path / "secret.csv")
    (home / "endless.csv").symlink_to("/dev/zero")
    os.mkfifo(home / "pipe.csv")
    _seen.clear()
    _watched[:] = [
        "/etc/passwd", "/dev/zero", "/proc/self/environ", str(tmp_path / "secret.csv"), str(home / "pipe.csv"), "/dev/stdin",
    ]  # fmt: skip
    yield home
    _watched.clear()


def hostile(home: Path) -> list[str]:
    return [
        "/etc/passwd", "../secret.csv", "../../../../../../etc/passwd", "x/../../secret.csv", str(home.parent / "secret.csv"),
        "link.csv", "pipe.csv", "endless.csv", "/dev/zero", "/proc/self/environ", "..\\secret.csv", "C:\\secret.csv", "\\\\host\\share\\x.csv",
        "file:///etc/passwd", ".", "..", "", "~/x.csv", "a" * 5000, "greensboro.csv\x00", "study.toml/",
    ]  # fmt: skip


def fields_of(model: type[BaseModel], path: Keys = ()) -> Iterator[tuple[Keys, list[Any]]]:
    """Every key of a model and those below it, with what is known of it; a list is entered at its first item."""
    for name, field in model.model_fields.items():
        here = (*path, field.alias or name)
        yield here, [*field.metadata, *_inner_marks(field.annotation)]
        many = "tuple" in str(field.annotation)
        keyed = "dict[" in str(field.annotation)
        for inner in _models(field.annotation):
            yield from fields_of(inner, (*here, *((0,) if many else ()), *(("electricity",) if keyed else ())))


def _models(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [found for part in get_args(annotation) for found in _models(part)]


def _inner_marks(annotation: Any) -> list[Any]:
    return [part for one in get_args(annotation) for part in (*getattr(one, "__metadata__", ()), *_inner_marks(one))]


FIELDS = list(fields_of(Case))


def names_a_file(path: Keys) -> bool:
    return any(path == here and any(isinstance(m, NamesFile) for m in marks) for here, marks in FIELDS)


EVERY = sorted(
    {
        here
        for here, marks in FIELDS
        if not any(isinstance(mark, QuantityField | OneOf) for mark in marks)
    },
    key=str,
)  # fmt: skip
FILES = [here for here in EVERY if names_a_file(here)]
LATE = {("selection", "sizes")}
"""Read only once the command asks for it: `select`."""
LISTS = {here for here in FILES if here == ("uncertainty", "weather")}


@cache
def first_demo() -> Any:
    return tomllib.loads(built_in_studies()["lantern_cottage"].read_text(encoding="utf-8"))


def study_with(path: Keys, value: Any) -> dict[str, Any]:
    """The first demo with one key set, the tables on the way made where they are missing."""
    whole = data = copy.deepcopy(first_demo())
    if path[:1] == ("house",) and str(path[-1]).startswith("other_electricity"):
        data["house"].pop("other_electricity", None)
    for part, after in pairwise(path):
        if isinstance(part, int):
            while len(data) <= part:
                data.append({})
            data = data[part]
        else:
            data = data.setdefault(part, [] if isinstance(after, int) else {})
    data[path[-1]] = value
    if path[:1] == ("use",):
        data["kind"] = "profile"
    if "charge" in path and path[-1] == "file":
        data["kind"] = "hourly_price"
    return dict(whole)


def used(data: dict[str, Any], files: StudyFiles) -> None:
    case = case_from(data, file="s.toml", files=files)
    winters = load_winters(case)
    for weather in (load_weather(case), *winters):
        simulate(case, weather)


def test_the_walk_finds_what_names_a_file() -> None:
    assert {("place", "weather"), ("house", "other_electricity_profile")} <= set(FILES)
    assert any(path[-1] == "weather" and len(path) == 2 and path[0] != "place" for path in FILES)
    assert len(EVERY) > 60
    assert {path[-1] for path in EVERY} >= {"holidays", "timezone", "note", "price_date", "windows", "kind"}
    assert any("source" in path for path in EVERY)


@pytest.mark.parametrize("path", EVERY, ids=lambda path: ".".join(map(str, path)))
def test_no_key_opens_a_file_elsewhere(path: Keys, place: Path) -> None:
    for name in hostile(place) if path in FILES else ("/etc/passwd", "../secret.csv", "pipe.csv"):
        for value in (name, [name]):
            for files in (StudyFiles(), StudyFiles(place)) if path in FILES else (StudyFiles(place),):
                data = study_with(path, copy.deepcopy(value))
                refused = ""
                try:
                    used(data, files)
                except InputError as error:
                    refused = str(error)
                assert not _seen, f"{'.'.join(map(str, path))} = {value!r} opened {_seen}"
                assert SECRET not in refused
                assert "root:" not in refused
                if path in FILES and path not in LATE and name and isinstance(value, list) == (path in LISTS):
                    assert refused.count("\n") == 0
                    assert ".".join(map(str, path)).replace(".0.", "[1].") in refused


@pytest.mark.parametrize("path", FILES, ids=lambda path: ".".join(map(str, path)))
def test_the_command_line_says_so_in_one_line(path: Keys, place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    study = place / "study.toml"
    for name in ("/etc/passwd", "../secret.csv", "link.csv", "pipe.csv", "endless.csv"):
        study.write_text(tomli_w.dumps(study_with(path, [name] if path in LISTS else name)))
        assert main(["select" if path in LATE else "compare", str(study)]) == 2
        told = capsys.readouterr().err
        assert told.count("\n") == 1
        assert name in told
        assert SECRET not in told
        assert not _seen


@pytest.mark.parametrize("path", FILES, ids=lambda path: ".".join(map(str, path)))
@pytest.mark.long
@pytest.mark.parametrize("way", ["link", "upload"])
def test_no_link_and_no_upload_opens_a_file(path: Keys, way: str, place: Path) -> None:
    secret = str(place.parent / "secret.csv")
    data = study_with(path, [secret] if path in LISTS else secret)
    app = AppTest.from_file(str(APP), default_timeout=120)
    if way == "link":
        app.query_params["study"] = packed(data)
    app.run()
    if way == "upload":
        # the uploader hands these bytes to the same reading
        app.session_state["typed"], app.session_state["study_name"] = data, "mine.toml"
        app.run()
    assert not app.exception
    assert not _seen
    shown = " ".join(str(getattr(one, "value", "")) for one in app.main) + " ".join(str(t.value) for t in app.text)
    assert SECRET not in shown


def test_what_is_beside_the_study_or_open_in_the_session_is_read(tmp_path: Path) -> None:
    (tmp_path / "years").mkdir()
    (tmp_path / "years" / "a.csv").write_text("x")
    assert StudyFiles(tmp_path).read("years/a.csv", "place.weather") == b"x"
    assert StudyFiles(opened={"mine.csv": b"y"}).read("mine.csv", "place.weather") == b"y"
    assert StudyFiles().read("greensboro.csv", "place.weather").startswith(b"723170")
    with pytest.raises(InputError, match=r"place\.weather: 'years/a\.csv': is not open in this session"):
        StudyFiles(opened={"a.csv": b"y"}).read("years/a.csv", "place.weather")
    (tmp_path / "a.toml").write_text(tomli_w.dumps(study_with(("place", "weather"), "greensboro.csv")))
    assert load_weather(read_study(tmp_path / "a.toml")).n_hours == 8760


def test_only_regular_files_of_known_size_are_read(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "large").write_bytes(b"x" * 11)
    read: list[str] = []

    def each() -> None:
        for name in (tmp_path / "pipe", "/dev/zero", "/dev/null", tmp_path, "/dev/tty"):
            with pytest.raises(InputError, match=r"cannot be read"):
                read_bytes(name)
            read.append(str(name))

    thread = threading.Thread(target=each, daemon=True)
    thread.start()
    thread.join(10)
    assert len(read) == 5, f"reading waits after {read}"
    with pytest.raises(InputError, match="more than"):
        read_bytes(tmp_path / "large", most=10)
    with open_regular(tmp_path / "large") as (stream, size):
        assert size == 11
        with (tmp_path / "large").open("ab") as more:
            more.write(b"y" * 100)
        assert len(stream.read(size)) == 11


@pytest.mark.parametrize(
    "arguments",
    [["compare", "PIPE"], ["weather", "show", "PIPE"], ["weather", "synthesize", "PIPE", "-o", "OUT"], ["weather", "severe-winter", "PIPE", "-o", "OUT"],
     ["fit", "PIPE", "--weather", "greensboro.csv"],
     ["fit", "lantern_bills.csv", "--weather", "PIPE"], ["portfolio", "PIPE.csv", "-o", "OUT"], ["weather", "show", "/dev/zero"], ["compare", "/dev/zero"]],
    ids=" ".join,
)  # fmt: skip
def test_no_command_waits_for_a_pipe(arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    os.mkfifo(tmp_path / "PIPE")
    os.mkfifo(tmp_path / "PIPE.csv")
    given = [str(tmp_path / one) if one.isupper() or one == "PIPE.csv" else one for one in arguments]
    assert main(given) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "not a file" in told
