"""A study that carries its own files."""

from __future__ import annotations

import io
import zipfile

import pytest

from costsim import InputError
from costsim.study.bundle import INDEX, STUDY, pack, unpack

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
