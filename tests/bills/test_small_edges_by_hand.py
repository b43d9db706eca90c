"""The last small edges of readers: days that had only begun, names and links of files, clocks that run backward through a file."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from bills.test_edges_of_fits import steady

from costsim.bills import xml_stream
from costsim.bills.green_button import ReadingType, _Feed, _put_meter, _put_service, _put_time, _Raw, _type_of
from costsim.bills.line import line_at
from costsim.bills.register import differences
from costsim.bills.times import Times
from costsim.bills.whole_days import without_begun
from costsim.bills.words import dims_of, role_of
from costsim.bills.xml_stream import Pieces
from costsim.bills.year import year_of_hours
from costsim.bills.zone import on_clock


@pytest.mark.parametrize(
    ("good", "lacks", "left"),
    [
        ([1, 1], [1, 0], (0, 2)), ([1, 1, 1], [1, 0, 0], (1, 3)), ([1, 1, 1], [0, 0, 1], (0, 2)), ([1, 1, 1], [1, 0, 1], (0, 3)),
        ([1, 1, 1, 1], [1, 0, 0, 1], (1, 3)), ([0, 1, 1, 0], [0, 1, 0, 0], (1, 3)), ([0, 1, 1, 1, 0], [0, 1, 0, 0, 0], (2, 4)), ([1], [1], (0, 1)),
    ],
)  # fmt: skip
def test_days_that_had_only_begun_go_where_more_are_left(good: Any, lacks: Any, left: tuple[int, int]) -> None:
    found = without_begun(np.array(good, dtype=bool), np.array(lacks, dtype=bool), 0, [])
    assert (found.start, found.stop) == left


def test_a_unit_has_twenty_four_letters_at_most() -> None:
    assert dims_of("kWh" + " " * 21) == (2, 1, -2, 0, 0)
    assert dims_of("kWh" + " " * 22) is None


@pytest.mark.parametrize(
    ("heading", "role"),
    [
        ("BTU factor of gas", "factor"), ("my heat content", "factor"), ("Factor", "factor"), ("Heat factor", "factor"), ("Load factor", ""), ("Day", "date"),
        ("Unit of measure of gas", "unit"), ("Serial number", "meter"), ("The reading type", "flag"), ("Hour of day", "time"),
        ("Ablesedatum neu", "date"),
    ],
)  # fmt: skip
def test_words_of_headings(heading: str, role: str) -> None:
    assert role_of(heading) == role


# files of readings


def read(text: bytes) -> tuple[list[Any], list[Any]]:
    """What pieces of a file are put, and the links of entries that are closed."""
    put, closed = list[Any](), list[Any]()
    pieces = Pieces(
        {"P": lambda facts, links: put.append((facts, dict(links)))},
        ("a",),
        "M",
        lambda links: closed.append(dict(links)),
    )
    pieces.read(io.BytesIO(text))
    return put, closed


def test_pieces_hold_the_facts_that_are_wanted_and_the_title_of_their_entry() -> None:
    entry = b'<f><title>all</title><entry><title> one </title><link rel="self" href="/x"/><P><a> 1 </a><b>2</b></P></entry><title>end</title></f>'
    assert read(entry) == ([({"a": "1"}, {"title": ["one"], "self": ["/x"]})], [{"title": ["one"], "self": ["/x"]}])
    assert read(b"<f><P><a>1</a><a>2</a></P></f>") == ([({"a": "2"}, {})], [])


def test_links_parts_and_names_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    assert (xml_stream.MOST_TAG, xml_stream.MOST_NAMES, xml_stream.MOST_DEEP, xml_stream.MOST_LINKS) == (
        1 << 20,
        10_000,
        64,
        10_000,
    )
    monkeypatch.setattr(xml_stream, "MOST_LINKS", 2)
    for part, said in ((b'<link rel="up" href="/x"/>', "more than 2 links"), (b"<P/>", "more than 2 parts")):
        read(b"<entry>" + part * 2 + b"</entry>")
        with pytest.raises(ValueError, match=said):
            read(b"<entry>" + part * 3 + b"</entry>")
    monkeypatch.setattr(xml_stream, "MOST_DEEP", 3)
    read(b"<a><a><a/></a></a>")
    with pytest.raises(ValueError, match="more than 3 deep"):
        read(b"<a><a><a><a/></a></a></a>")


def test_a_meter_s_type_is_that_of_its_links_or_the_only_one_or_the_last() -> None:
    feed = _Feed(types={"t1": ReadingType(72), "t2": ReadingType(31)}, related={"m": ["x", "t2"]})
    assert _type_of(feed, "m", _Raw()).uom == 31
    assert _type_of(feed, "other", _Raw(near="t1")).uom == 72
    assert _type_of(feed, "other", _Raw()).uom == -1
    feed.types["t2"] = ReadingType(72)
    assert _type_of(feed, "other", _Raw()).uom == 72
    _put_meter(feed, {}, {})
    _put_meter(feed, {}, {"self": ["/a"], "related": ["https://h/t2"]})
    assert (feed.meter, feed.related) == ("a", {"m": ["x", "t2"], "meter 2": [], "a": ["t2"]})
    _put_service(feed, {"kind": "1"}, {"self": ["/p"], "title": ["House"]})
    _put_service(feed, {}, {"self": ["/q"]})
    assert (feed.services, feed.titles) == ({"p": 1, "q": -1}, {"p": "House", "q": ""})
    _put_time(
        feed, {"tzOffset": "-18000", "dstOffset": "3600", "dstStartRule": "360E2000", "dstEndRule": "B40E2000"}, {}
    )
    assert (feed.time.offset_s, feed.time.summer_s, feed.time.start_rule, feed.time.known) == (
        -18000,
        3600,
        0x360E2000,
        True,
    )
    _put_time(feed, {"dstOffset": ""}, {})
    assert (feed.time.offset_s, feed.time.summer_s, feed.time.end_rule, feed.time.known) == (0, 0, 0xFFFFFFFF, False)


# clocks and years


def test_a_file_that_runs_backward_repeats_its_hour_backward() -> None:
    """Chicago, 3 November 2024: 1:00 comes first in summer time, five hours behind UTC, then in standard time, six."""
    clock = np.array(
        ["2024-11-03T00", "2024-11-03T01", "2024-11-03T01", "2024-11-03T02"], dtype="datetime64[s]"
    ).astype(np.int64)
    for order, hours in ((slice(None), [-5, -5, -6, -6]), (slice(None, None, -1), [-6, -6, -5, -5])):
        found = on_clock(Times(clock[order], None, None, True), "America/Chicago", False, [])
        assert found.offset_s is not None
        assert (found.offset_s / 3600).tolist() == hours


def test_a_year_counts_hours_that_were_read_as_a_whole() -> None:
    hours = np.datetime64("2023-01-01", "h") + np.arange(8760)
    whole = np.ones(8760, dtype=bool)
    whole[:24] = False
    year, told, count = year_of_hours(hours, np.arange(8760.0), whole)
    assert year is not None
    # the day before the first hour lies between the last hour, 8,759, and the first that was read, 24
    assert year[:24] == pytest.approx(8759.0 + (24.0 - 8759.0) * np.arange(1, 25) / 25)
    assert (len(told), count) == (1, 8760)
    assert year_of_hours(hours, np.arange(8760.0), ~whole)[::2] == (None, 24)


def test_a_register_may_roll_over_by_what_its_digits_hold() -> None:
    def use(*states: float) -> list[float]:
        return differences(np.array(states), list(range(len(states))), "f")[0].tolist()

    assert use(980.0, 990.0, 5.0) == [10.0, 15.0]  # three digits
    assert use(99.5, 99.9, 0.4) == pytest.approx([0.4, 0.5])
    assert use(5.0, 5.0, 5.0) == [0.0, 0.0]


def test_a_line_through_zero_has_no_base() -> None:
    season = steady(np.linspace(-5.0, 10.0, 8))
    line = line_at(season, 20.0 * season.excess_k(15.0), 15.0, through_zero=True)
    assert (line.base_w, line.slope_w_k, line.through_zero) == (0.0, pytest.approx(20.0), True)
