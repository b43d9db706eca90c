"""What is kept on disk gives the same as reading anew, and is never believed where it is damaged or another's."""

from __future__ import annotations

import io
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from costsim import kept
from costsim.study_files import StudyFiles, sample_path
from costsim.tariffs import holidays
from costsim.weather import Weather, named, read_weather


@pytest.fixture(autouse=True)
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty cache, and nothing in memory."""
    folder = tmp_path / "cache"
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(folder))
    monkeypatch.setattr(named, "_READ", named._READ.__class__())
    return folder


def again(files: StudyFiles | None = None) -> Weather:
    named._READ.clear()
    return named.named_weather(files or StudyFiles(), "greensboro.csv", "place.weather")


def same(one: Weather, other: Weather) -> bool:
    return all(
        np.array_equal(a, b) and a.dtype == b.dtype if isinstance(a, np.ndarray) else a == b
        for a, b in ((getattr(one, field.name), getattr(other, field.name)) for field in fields(Weather))
    )


def entries(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.kept"))


def test_a_kept_year_is_the_year_and_saves_the_reading(empty: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = again()
    assert len(entries(empty)) == 1
    monkeypatch.setattr("costsim.weather.readers.read_weather", lambda *_, **__: pytest.fail("was read anew"))
    second = again()
    assert same(first, second)
    assert not second.outdoor_c.flags.writeable


@pytest.mark.parametrize("at", [*(pytest.param(at, marks=pytest.mark.long) for at in (0, 40, 5_000)), -1])
def test_damaged_entries_are_made_anew(empty: Path, at: int) -> None:
    first = again()
    path = entries(empty)[0]
    raw = bytearray(path.read_bytes())
    raw[at] ^= 1
    path.write_bytes(raw)
    assert same(again(), first)
    assert path.read_bytes() != bytes(raw)
    path.write_bytes(b"")
    assert same(again(), first)


def test_an_entry_under_another_name_is_not_believed(empty: Path, tmp_path: Path) -> None:
    first = again()
    (tmp_path / "greensboro.csv").write_bytes(sample_path("sand_point.csv").read_bytes())
    other = again(StudyFiles(tmp_path))
    assert not same(first, other)
    mine, theirs = entries(empty)
    content = theirs.read_bytes()
    theirs.write_bytes(mine.read_bytes())
    mine.write_bytes(content)
    assert same(again(), first)


def test_objects_are_never_unpickled() -> None:
    body = io.BytesIO()
    np.savez(body, facts=np.array([{"a": 1}], dtype=object))
    with pytest.raises(ValueError, match="pickle"):
        named._unpacked(body.getvalue())


def test_what_was_opened_in_a_session_is_not_kept(empty: Path) -> None:
    raw = sample_path("greensboro.csv").read_bytes()
    found = again(StudyFiles(opened={"greensboro.csv": raw}))
    assert same(found, read_weather("greensboro.csv", content=raw))
    assert not entries(empty)


def test_a_folder_that_cannot_be_written_to_is_done_without(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "file"))
    assert again().n_hours == 8760


def test_the_oldest_entries_go(empty: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "MOST_KEPT", 3)
    for n in range(5):
        kept.put(kept.mark_of(bytes([n])), b"x")
    assert len(entries(empty)) == 3


def test_holidays_are_kept_as_they_were_looked_up(empty: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = holidays.public_holidays.__wrapped__("US", "CA", 2025)
    monkeypatch.setattr(holidays, "_looked_up", lambda *_: pytest.fail("was looked up again"))
    assert holidays.public_holidays.__wrapped__("US", "CA", 2025) == first
