"""A study that carries its own files."""

from __future__ import annotations

import copy
import io
import zipfile
from pathlib import Path

import pytest

from costsim import InputError, read_study
from costsim.study.bundle import INDEX, STUDY, pack, unpack
from costsim.study.edit import study_text
from costsim.study.tariff_file import read_price_tables
from costsim.study_files import StudyFiles

DATA = {"title": "Mine", "place": {"weather": "mine.csv"}}


def test_what_is_packed_comes_back_and_is_the_same_each_time() -> None:
    raw = pack(DATA, {"mine.csv": b"hours"})
    assert unpack(raw) == (DATA, {"mine.csv": b"hours"}, {})
    assert pack(DATA, {"mine.csv": b"hours"}) == raw


def test_bills_and_homes_come_back_under_their_names_and_purposes() -> None:
    papers = {"bills": {"gas.csv": b"1", "mine.csv": b"2"}, "homes": {"mine.csv": b"3"}}
    raw = pack(DATA, {"mine.csv": b"hours"}, papers)
    assert unpack(raw) == (DATA, {"mine.csv": b"hours"}, papers)


def zipped(names: dict[str, bytes]) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in names.items():
            archive.writestr(name, content)
    return target.getvalue()


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"no zip", "cannot be unpacked"),
        (zipped({"a.csv": b"1"}), "holds no study.toml"),
        (zipped({STUDY: b'title = "x"', "../a.csv": b"1"}), "no bare name"),
        (zipped({STUDY: b'title = "x"', "/etc/passwd": b"1"}), "no bare name"),
        (zipped({STUDY: b"\n" * 2_000_000}), "too large"),
        (zipped({STUDY: b'title = "x"', "a.csv": bytes(26_000_000)}), "too large"),
        (zipped({STUDY: b'title = "x"', INDEX: b'{"bills": {"bills-1": "gas.csv"}}'}), "does not fit"),
        (zipped({STUDY: b'title = "x"', INDEX: b'{"bills": ["a"]}'}), "does not fit"),
        (zipped({STUDY: b'title = "x"', "b": b"", INDEX: b'{"homes": {"b": "a\\nb"}}'}), "does not fit"),
        (zipped({STUDY: b'title = "x"', **{f"{at}.csv": b"" for at in range(70)}}), "holds 71 files"),
    ],
)
def test_what_is_no_study_is_refused_in_a_line(raw: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        unpack(raw, file="study.zip")


def test_a_zip_is_read_wherever_a_study_is(tmp_path: Path) -> None:
    data = copy.deepcopy(dict(read_study("lantern_cottage").typed))
    hours = StudyFiles().read(data["place"]["weather"], "place.weather")
    data["place"]["weather"] = "mine.csv"
    target = tmp_path / "my-house.zip"
    target.write_bytes(pack(data, {"mine.csv": hours}))
    case = read_study(target)
    assert case.typed == data
    assert case.files.read("mine.csv", "place.weather") == hours
    assert read_price_tables(target) == data["prices"]
    with pytest.raises(InputError, match=r"is a zip; unzip it and give its study\.toml"):
        study_text(case)
    target.write_bytes(b"no zip")
    with pytest.raises(InputError, match="cannot be unpacked"):
        read_study(target)
