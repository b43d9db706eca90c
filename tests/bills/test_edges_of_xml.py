"""Files of Green Button (XML) at the limits of what is taken for what, and what they are refused for."""

from __future__ import annotations

import io

import pytest
from bills.espi import entry, feed, meter, reading, reads
from bills.test_edges_of_readings import DAY, HOUR, JAN, hours, told
from bills.test_readers_csv import read

from costsim.bills.green_button import Channel, looks_like_xml, read_channels
from costsim.bills.intervals import read_green_button


def channels(text: str) -> list[Channel]:
    return read_channels("g.xml", content=io.BytesIO(text.encode()))[0]


def test_limits_of_an_xml_file() -> None:
    good = meter([reading(JAN, HOUR, 5)])
    assert channels(feed(good))[0].value.tolist() == [5.0]
    for power, value in ((12, 5e12), (-9, 5e-9), (3, 5e3)):
        assert channels(feed(meter([reading(JAN, HOUR, 5)], type_=reads(powerOfTenMultiplier=power))))[0].value[
            0
        ] == pytest.approx(value)
    assert "powerOfTenMultiplier 13" in told(
        channels, feed(meter([reading(JAN, HOUR, 5)], type_=reads(powerOfTenMultiplier=13)))
    )
    for at, refused in ((0, False), (4_102_444_800, False), (4_102_444_801, True), (-1, True)):
        text = feed(meter([reading(at, HOUR, 5)]))
        if refused:
            assert "outside of 1970 to 2100" in told(channels, text)
        else:
            channels(text)
    assert "without length" in told(channels, feed(meter([reading(JAN, 0, 5)])))
    # readings of no length may hold a hundredth of the use, and no more
    for value, refused in ((1.0, False), (1.1, True)):
        text = feed(meter([reading(JAN, HOUR, 100.0 - value) + reading(JAN + HOUR, 0, value)]))
        if refused:
            assert "1 readings without length hold 1% of the use" in told(channels, text)
        else:
            channels(text)
    flags = channels(
        feed(
            meter(
                [
                    "".join(
                        reading(JAN + at * HOUR, HOUR, 5, quality) for at, quality in enumerate((0, 8, 9, 10, 12, 14))
                    )
                ]
            )
        )
    )[0].estimated
    assert flags.tolist() == [False, True, True, False, True, False]
    paid = reading(JAN, HOUR, 5).replace("<IntervalReading>", "<IntervalReading><cost>123456</cost>")
    assert channels(feed(meter([paid + reading(JAN + HOUR, HOUR, 5)])))[0].cost[0] == pytest.approx(1.23456)
    # a link that says nothing of what it leads to, and an element of another kind that does, are passed over
    for more in ('<link href="/x"/>', '<category rel="self" href="/x"/>', '<link rel="license" href="/x"/>'):
        odd = feed(good).replace("<entry>", f"<entry>{more}")
        assert channels(odd)[0].value.tolist() == [5.0]
    assert "holds no readings of a meter" in told(channels, feed(""))
    assert "an IntervalReading without value" in told(
        channels, feed(meter([reading(JAN, HOUR, 5).replace("<value>5</value>", "")]))
    )
    # feed, entry, content and the piece itself are four: sixty more are the most
    deep = "<a>" * 60 + "</a>" * 60
    channels(feed(good, entry(f"<x>{deep}</x>", "/x")))
    assert "more than 64 deep" in told(channels, feed(good, entry(f"<x><a>{deep}</a></x>", "/x")))
    assert "a document type" in told(channels, "<!DOCTYPE a><a/>")
    assert "is no whole XML file" in told(channels, feed(good)[:-9])
    for raw, xml in (
        (b" \n<a/>", True),
        (b"a,b", False),
        (b"\xef\xbb\xbf<a/>", True),
        ("<a/>".encode("utf-16"), True),
        (b" " * 200 + b"<", False),
        (b" " * 199 + b"<", True),
    ):
        assert looks_like_xml(raw) == xml


def test_what_a_reading_of_no_length_counts_goes_to_the_next_one() -> None:
    """Ten days of 1 kWh an hour; where the clock is set a reading of 0 s holds 0.2 kWh more."""
    blocks = [reading(int(at), HOUR, 1000) for at in hours(10)]
    blocks.insert(73, reading(JAN + 73 * HOUR, 0, 200))
    text = feed(meter(["".join(blocks)]), clock="<tzOffset>0</tzOffset>")
    (found,) = read_green_button("g.xml", content=io.BytesIO(text.encode()))
    assert found.energy_j / 3.6e6 == pytest.approx([24.0] * 3 + [24.2] + [24.0] * 6)
    assert any("1 readings of 0 s" in note for note in found.notes)


def test_a_feed_of_two_meters_gives_bills_of_each_fuel() -> None:
    gas = meter(
        [reading(JAN + at * DAY, DAY, 3) for at in range(10)],
        number=2,
        point=2,
        kind=1,
        type_=reads(uom=169, commodity=7),
    )
    power = meter(["".join(reading(at, HOUR, 900) for at in hours(10).tolist())])
    text = feed(power, gas, clock="<tzOffset>0</tzOffset>")
    found = read_green_button("g.xml", content=io.BytesIO(text.encode()))
    assert {one.fuel: one.n_periods for one in found} == {"electricity": 10, "natural_gas": 10}
    assert found[0].energy_j[0] == pytest.approx(24 * 900 * 3600.0)
    assert [one.fuel for one in read_green_button("g.xml", content=io.BytesIO(text.encode()), fuel="natural_gas")] == [
        "natural_gas"
    ]
    assert "readings are negative" in told(
        read_green_button, "g.xml", content=io.BytesIO(feed(meter([reading(JAN, HOUR, -5)])).encode())
    )
    assert read("start,end,kWh\n2024-01-01,2024-02-01,5\n2024-02-01,2024-03-01,6\n").n_periods == 2
