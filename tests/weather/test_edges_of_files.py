"""Heads, hours and sizes of weather files, and winters as plain data: what stands in a file and what is made of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.weather import readers
from costsim.weather.download import Download, _stated
from costsim.weather.history import Winter, history_json, how_unusual
from costsim.weather.hours import Hours
from costsim.weather.times import find_times


def download(*head: str, lines: tuple[str, ...]) -> Download:
    return Download({}, {}, list(head), list(lines), ",", None)


def test_what_stands_above_a_table_is_read_in_pairs_of_lines_and_by_colons() -> None:
    assert _stated(["Latitude,Longitude,Elevation", "47,12.8,900"]) == {
        "latitude": "47",
        "longitude": "12.8",
        "elevation": "900",
    }
    assert _stated(["Latitude: 47", "no colon, no key"]) == {"latitude": "47"}


def test_hours_follow_their_first() -> None:
    hours = Hours(np.datetime64("2021-12-31T22:00"), {"outdoor": np.zeros(4)})
    assert [str(one) for one in hours.times] == [
        "2021-12-31T22:00",
        "2021-12-31T23:00",
        "2022-01-01T00:00",
        "2022-01-01T01:00",
    ]


def test_hours_as_100_to_2400_are_those_of_a_clock() -> None:
    """Such as some services write them; 24 alone is an hour too."""
    head = ("Year", "Month", "Day", "Hour", "x")
    for step in (1, 100):
        lines = [f"2021,1,{day},{hour * step},0" for day in (1, 2) for hour in range(1, 25)]
        found = find_times(download(*head, lines=tuple(lines)), {}, "f")
        assert found is not None
        assert [str(one)[:16] for one in found.times[[0, 22, 23, 24]]] == [
            "2021-01-01T01:00",
            "2021-01-01T23:00",
            "2021-01-02T00:00",
            "2021-01-02T01:00",
        ]
    with pytest.raises(InputError, match="--map time: no column is headed 'when'"):
        find_times(download(*head, lines=("2021,1,1,1,0",)), {"time": ("when", "")}, "f")


def test_a_file_beyond_measure_is_told_with_its_size(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(readers, "MOST_BYTES", 2_000_000)
    assert readers.text_of(b"a,b\n" * 500_000, "f") == "a,b\n" * 500_000
    with pytest.raises(InputError, match="is 3 MB large"):
        readers.text_of(b"a" * 3_000_000, "f")


def test_winters_as_plain_data() -> None:
    some: Any = Winter("2020–21", None, 2000.0, -10.0)  # type: ignore[arg-type]
    found = history_json([some], None)
    # 65 °F are 18.33 °C
    assert found == {
        "base_c": 18.33,
        "winters": [{"name": "2020–21", "degree_days_k_d": 2000.0, "coldest_c": -10.0}],
        "last": None,
    }
    last = how_unusual([replace(some, degree_days_k_d=2000.0 + at) for at in range(8)])
    assert history_json([some], last)["last"]["milder"] == 7
