"""Changes of a house, spreads of lines, meters of a file and pieces of readers, each by plain reckoning beside it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from bills.houses import bills_of, winters
from bills.test_edges_of_fits import even, steady
from bills.test_edges_of_readings import channel, hours, told

from costsim.bills.change import Change, _best_split, _splits, change_day, find_change
from costsim.bills.green_button import ReadingType, _channel, _close_entry, _Feed, _put_reading, _put_type, _Raw
from costsim.bills.intervals import _answers, _joule, _listed, _long, _rank, _sorted_out, read_hours, readings_to_year
from costsim.bills.line import Line, best_line, robust_spread, season_of
from costsim.bills.local_time import LocalTime
from costsim.bills.model import span_faults
from costsim.bills.periods import _ends
from costsim.bills.text import MOST_BYTES, decoded

DAY, JAN = 86400, 1704067200

# changes


@pytest.mark.parametrize(("more_w", "kind", "count"), [(0.0, "slope", 5), (400.0, "base and slope", 6)])
def test_by_how_much_a_change_lowers_the_criterion(more_w: float, kind: str, count: int) -> None:
    """BIC is n ln(S / n) + p ln n: base, slope and balance point are three, one or two more lines and the date five or six."""
    weather = winters(years=4)
    bills = bills_of(weather, change=(17, 0.6), noise=0.01, months=34)
    bills.energy_j[17:] += more_w * bills.days[17:] * DAY
    season = season_of(bills, weather)
    found = find_change(bills, season)
    assert found is not None
    assert found.kind == kind
    excess, late, root = season.excess_k(found.balance_c), np.arange(34) >= found.index, np.sqrt(season.days)
    bases = [~late, late] if more_w else [np.ones(34)]
    by = np.column_stack([*bases, excess * ~late, excess * late])
    squares = np.linalg.lstsq(by * root[:, None], bills.mean_w * root, rcond=None)[1][0]
    plain = 34 * np.log(best_line(season, bills.mean_w).squares / 34) + 3 * np.log(34)
    assert found.bic_drop == pytest.approx(plain - 34 * np.log(squares / 34) - count * np.log(34), rel=1e-6)


def test_splits_are_eighty_at_most_and_want_three_kelvin_on_either_side() -> None:
    turns = np.tile([0.0, 10.0], 100)
    for n, count in ((91, 80), (92, 41), (171, 80), (172, 54)):
        assert len(_splits(steady(turns[:n]))) == count
    for warm, good in ((3.0, [6]), (2.9, [])):
        assert _splits(steady(np.tile([10.0, 10.0 + warm], 6))).tolist() == good
    assert _splits(steady(np.tile([19.0, 30.0], 6))).tolist() == []  # no degree-days below 18 °C


@pytest.mark.parametrize(("middle", "first", "last"), [(15.0, 11.0, 19.0), (6.0, 4.0, 10.0), (23.0, 19.0, 25.0)])
def test_a_split_is_sought_four_kelvin_around_the_whole_line_by_halves(
    middle: float, first: float, last: float
) -> None:
    tried: list[float] = []
    real = steady(np.tile([0.0, 10.0], 6))

    def excess(balance: float) -> Any:
        tried.append(balance)
        return real.excess_k(balance)

    season: Any = SimpleNamespace(days=real.days, excess_k=excess)
    _best_split(season, np.arange(12.0), np.array([6]), False, Line(middle, 0.0, 0.0, 0.0))
    assert tried == np.arange(first, last + 0.1, 0.5).tolist()


def test_the_day_of_a_change_is_sought_between_the_first_and_the_last() -> None:
    season = steady(np.zeros(40), length=1)

    def day(use_w: float, at: int) -> int:
        bills = even(40, 1, use_w)
        given: Any = {
            "kind": "base and slope",
            "ratio": 1.0,
            "ratio_band": (1.0, 1.0),
            "balance_c": 0.0,
            "bic_drop": 99.0,
        }
        given |= {"slope_before_w_k": 0.0, "slope_after_w_k": 0.0, "base_before_w": 100.0, "base_after_w": 50.0}
        change = Change(day=bills.start_day[at], index=0, **given)
        return int((change_day(bills, season, change) - bills.start_day[0]).astype(int))

    # all of it is like after, and all of it like before: 28 days to either side, but for the first day and behind the last
    assert [day(50.0, at) for at in (3, 29, 30, 39)] == [1, 1, 2, 11]
    assert [day(100.0, at) for at in (0, 3, 10, 11, 39)] == [28, 31, 38, 39, 39]


def test_the_spread_of_coefficients_by_hand() -> None:
    """HC3 (MacKinnon and White 1985): residuals over one minus leverage, which is a half, a half and, of the lone row, 0.95 at most."""
    columns = np.array([[1.0, 0.0], [1.0, 0.0], [0.0, 2.0]])
    found = robust_spread(columns, np.array([0.3, 0.4, 0.1]))
    # the mean of two: (0.6² + 0.8²) / 4; the lone one: (0.1 / 0.05)² / 2²
    assert found == pytest.approx(np.diag([0.25, 1.0]))
    nothing = robust_spread(np.column_stack([np.ones(4), np.zeros(4)]), np.array([3.0, -3.0, 3.0, -3.0]))
    assert nothing == pytest.approx(np.diag([4 * (3 / 0.75) ** 2 / 16, 0.0]))


# meters of a file


def test_meters_are_listed_by_number_up_to_twelve() -> None:
    some = [channel(hours(1), point=f"p{at}") for at in range(13)]
    assert _listed(some[:12]).startswith("1 ('the p0', p0: 24 readings, 24 Wh), 2 (")
    assert _listed(some[:12]).endswith("12 ('the p11', p11: 24 readings, 24 Wh)")
    assert _listed(some).endswith("12 ('the p11', p11: 24 readings, 24 Wh) …")
    more = channel(hours(60), value=123456.0, point="p0", uom=5)
    assert (
        _listed([some[0], more]) == "1 ('the p0', p0: 1,440 readings, 1.778e+08)"
    )  # of the most readings, whose unit is none
    assert _answers(some[:2]) == ("the p0", "the p1")
    twice = [channel([JAN], point=one) for one in ("a", "b")]
    object.__setattr__(twice[1], "title", "the a")
    assert _answers(twice) == ("a", "b")
    object.__setattr__(twice[1], "title", "")
    assert _answers(twice) == ("a", "b")


def test_the_meter_that_covers_more_days_comes_first_then_the_finer_one() -> None:
    day, half, more = channel(hours(2)), channel(JAN + np.arange(96) * 1800, 1800), channel(hours(3))
    assert _rank(day) == (2, -3600.0)
    assert sorted([more, half, day], key=_rank) == [day, half, more]
    assert [_long(seconds) for seconds in (900.0, 86400.0, 86401.0, 2592000.0)] == ["15 minutes", "1440 minutes", "1 days", "30 days"]  # fmt: skip


def test_heat_contents_are_of_volumes_alone() -> None:
    for uom, unit_m3 in ((42, 1.0), (119, 0.3048**3), (134, 1e-3)):
        fuel = "propane" if uom == 134 else "natural_gas"
        assert _joule(channel([JAN], value=2.0, uom=uom), fuel, 40e6, "f", []) == pytest.approx([2 * unit_m3 * 40e6])
    assert _joule(channel([JAN], value=2.0), "electricity", 40e6, "f", []) == pytest.approx([7200.0])
    notes: list[str] = []
    assert _joule(channel([JAN], value=0.0), "electricity", None, "f", notes).tolist() == [0.0]
    assert notes == ["amounts in Wh times ten to the power of 0"]
    assert "2 readings are negative" in told(_joule, channel([JAN, JAN + 1, JAN + 2], value=[-1.0, 0.0, -2.0]), "electricity", None, "f", [])  # fmt: skip
    # a service kind tells the fuel where the commodity does not; a unit of power of ten or of nothing does not
    assert _sorted_out([channel([JAN], commodity=0, service=1)], "", "f")[0][0][0] == "natural_gas"
    assert _sorted_out([channel([JAN], commodity=2, service=1)], "", "f")[0][0][0] == "electricity"
    assert "of commodity 3, which heats no house" in told(
        _sorted_out, [channel([JAN], commodity=3, service=0)], "", "f"
    )


def test_an_hour_is_read_where_no_second_of_it_is_missing() -> None:
    first = JAN - 365 * DAY
    for short, fine in ((0, True), (1, False)):
        length = np.full(8760, 3600)
        length[100:125] -= short
        year = channel(first + np.arange(8760) * 3600, length)
        if fine:
            assert len(readings_to_year(year, year.value, LocalTime(known=True), "f")[0]) == 8760
        else:
            assert "8,735 of the year's 8,760 hours were read" in told(readings_to_year, year, year.value, LocalTime(known=True), "f")  # fmt: skip


def test_hours_of_a_meter_want_readings_of_an_hour(monkeypatch: pytest.MonkeyPatch) -> None:
    from costsim.bills import intervals

    for length, fine in ((3600, True), (3601, False)):
        one = channel(JAN - 365 * DAY + np.arange(8760) * 3600, length)
        monkeypatch.setattr(intervals, "read_channels", lambda path, content, one=one: ([one], LocalTime(known=True)))
        if not fine:
            assert "has no readings of an hour or shorter" in told(read_hours, "f.xml")
            continue
        assert read_hours("f.xml")[0] == pytest.approx(np.full(8760, 3600.0))


# pieces of a file of readings


def test_readings_types_and_their_numbers() -> None:
    feed = _Feed()
    _put_reading(feed, {"start": "5", "duration": "60", "value": "7", "quality": "", "cost": "250000"}, {})
    _put_reading(feed, {"start": "65", "duration": "60", "value": "7", "quality": "8"}, {})
    assert (feed.pending.quality.tolist(), feed.pending.cost[0], np.isnan(feed.pending.cost[1])) == ([0, 8], 2.5, True)
    _put_type(feed, {"uom": "72", "powerOfTenMultiplier": "-12"}, {})
    _put_type(feed, {"powerOfTenMultiplier": ""}, {"self": ["/a"]})
    assert feed.types == {"type 1": ReadingType(72, power_of_ten=-12), "a": ReadingType()}
    for power in ("13", "-13"):
        with pytest.raises(ValueError, match=f"powerOfTenMultiplier {power}"):
            _put_type(feed, {"powerOfTenMultiplier": power}, {})
    _close_entry(feed, {"up": ["/x/UsagePoint/1/MeterReading/2/IntervalBlock"]})
    assert list(feed.raw) == ["x/UsagePoint/1/MeterReading/2"]
    _close_entry(feed, {})  # nothing was read since
    assert len(feed.raw) == 1


def raw(start: Any, length: Any, value: Any, quality: Any = 0) -> _Raw:
    """Readings of one meter while they are read."""
    from array import array

    n = len(start)
    spread = [np.broadcast_to(one, n).tolist() for one in (length, value, quality)]
    length, value, quality = (array(kind, list(one)) for kind, one in zip("qdh", spread, strict=True))
    return _Raw("", array("q", start), length, value, quality, array("d", [float("nan")] * n))


def test_a_meter_s_readings_are_from_1970_to_2100_and_last_some_time() -> None:
    feed = _Feed(services={"p": 1}, types={"t": ReadingType(power_of_ten=3)})
    found = _channel(feed, "UsagePoint/9/MeterReading/1", raw([10, 0, 5], 5, [1.0, 2.0, 3.0], [8, 0, 9]), "f")
    assert (found.start_s.tolist(), found.value.tolist(), found.estimated.tolist()) == ([0, 5, 10], [2e3, 3e3, 1e3], [False, True, True])  # fmt: skip
    assert (found.point, found.service, found.cost) == ("UsagePoint/9", 1, None)  # the only service of the file
    feed.services["q"] = 0
    assert _channel(feed, "UsagePoint/9/MeterReading/1", raw([0], 5, 1.0), "f").service == -1
    for start, length, value, fine in (
        ([4_102_444_800], 1, 1.0, True), ([4_102_444_801], 1, 1.0, False), ([-1], 1, 1.0, False), ([5], 0, 1.0, False), ([5], -1, 1.0, False),
        ([5], 1, float("inf"), False),
    ):  # fmt: skip
        if fine:
            assert len(_channel(feed, "m", raw(start, length, value), "f").value) == 1
        else:
            assert "has a reading without length, or outside of 1970 to 2100" in told(_channel, feed, "m", raw(start, length, value), "f")  # fmt: skip
    # readings of 0 s may hold a hundredth of the use
    assert len(_channel(feed, "m", raw([0, 5], [0, 5], [1.0, 99.0]), "f").value) == 2
    assert "1 readings without length hold 2% of the use" in told(
        _channel, feed, "m", raw([0, 5], [0, 5], [1.5, 98.5]), "f"
    )


# letters and periods


def test_letters_of_two_bytes_are_told_by_their_nulls() -> None:
    # of every second byte more than nine tenths are nothing, of the others none is
    for letters, fine in (("a" * 19 + "Ё", True), ("a" * 9 + "Ё", False), ("a" * 19 + "Ѐ", False)):
        for name in ("utf-16-le", "utf-16-be"):
            text = letters * 30
            if fine:
                assert decoded(text.encode(name), "f") == (text, ["letters read as UTF-16"])
            else:
                assert "is not text" in told(decoded, text.encode(name), "f")
    assert MOST_BYTES == 40e6


def test_periods_that_touch_overlap_or_stand_alone() -> None:
    def days(*texts: str) -> Any:
        return np.array(texts, dtype="datetime64[D]")

    def faults(start: Any, end: Any, lines: list[int]) -> list[str]:
        return [f"{one.field}: {one.problem}" for one in span_faults("f", start, end, lines, [])]

    assert faults(days(), days(), []) == []
    assert faults(days("2023-01-01", "2023-02-01"), days("2023-02-01", "2023-02-01"), [2, 3]) == [
        "line 3: the period from 2023-02-01 ends on 2023-02-01"
    ]
    assert faults(days("2023-01-01", "2023-01-31"), days("2023-02-01", "2023-03-01"), [0, 0]) == [
        "2023-01-31: the period from 2023-01-31 begins 1 days before the one before it ends (2023-02-01)"
    ]
    # what ends before it begins is told once
    assert len(faults(days("2023-01-01", "2023-01-31"), days("2023-02-01", "2023-01-30"), [2, 3])) == 1


def test_nothing_is_known_before_the_first_actual_reading() -> None:
    dates = np.datetime64("2023-01-01") + np.arange(4) * np.timedelta64(31, "D")
    for flags, first in (([1, 0, 0, 0], 1), ([0, 1, 0, 0], 0), ([1, 1, 1, 1], 0), ([1, 1, 0, 0], 2)):
        found = _ends(dates, np.arange(4.0), np.array(flags, dtype=bool), np.arange(2, 6))
        assert found.energy_j.tolist() == list(range(first + 1, 4))
        assert (found.start.tolist(), found.end.tolist()) == (dates[first:-1].tolist(), dates[first + 1 :].tolist())
        assert found.lines.tolist() == list(range(first + 3, 6))
