"""Small rules of the readers, each against a plain reckoning beside it: clock rules, gaps, headings, units, odd bills."""

from __future__ import annotations

import calendar
import datetime as dt
import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from bills.houses import bills_of, winters
from bills.test_readers_csv import read

from costsim.bills import change
from costsim.bills.beside import _use
from costsim.bills.change import find_change
from costsim.bills.line import Season, season_of
from costsim.bills.local_time import rule_s
from costsim.bills.model import Bills, joined
from costsim.bills.outliers import odd_rows
from costsim.bills.register import differences
from costsim.bills.sheet import _joined
from costsim.bills.words import dims_of
from costsim.errors import InputError
from costsim.units.quantity import THERM_J


@pytest.mark.parametrize("year", [2023, 2024])
def test_a_rule_of_the_clock_falls_on_the_day_that_a_calendar_shows(year: int) -> None:
    """DstRuleType of ESPI: operators 1 to 7 are on or after a day, the first to the fifth, and the last such weekday."""
    for month in range(1, 13):
        for weekday in range(1, 8):
            days = [one for one in calendar.Calendar().itermonthdates(year, month) if one.month == month]
            fits = [one for one in days if one.isoweekday() == weekday]
            wanted = {2: fits[0], 3: fits[1], 4: fits[2], 5: fits[3], 6: fits[-1], 7: fits[-1]}
            after = [day for day in range(1, 23) if day % 3 == 1]
            for operator, day in [(1, day) for day in after] + [(one, 1) for one in wanted]:
                rule = month << 28 | operator << 25 | day << 20 | weekday << 17 | 2 << 12 | 90
                due = wanted.get(operator) or next(one for one in fits if one.day >= day)
                found = dt.datetime(1970, 1, 1) + dt.timedelta(seconds=rule_s(rule, year))
                assert found == dt.datetime.combine(due, dt.time(2, 1, 30)), (month, weekday, operator, day)


def test_periods_a_day_apart_are_joined_and_two_days_apart_are_not() -> None:
    rows = ["end,days,usage (therm)", "2023-02-01,31,60", "2023-03-01,27,50", "2023-04-01,29,40", "2023-05-01,30,30"]
    found = read("\n".join(rows))
    # 27 days before 1 March is 2 February, a day late; 29 before 1 April is 3 March, two days late
    assert found.start_day.astype(str).tolist() == ["2023-01-01", "2023-02-01", "2023-03-03", "2023-04-01"]
    np.testing.assert_allclose(found.energy_j, np.array([60, 50, 40, 30]) * THERM_J)


def test_a_clock_that_is_set_at_midnight_leaves_its_hour_to_no_day() -> None:
    """Cairo, April 2025: after 23:00 of Thursday the 24th comes 01:00 of the 25th, whose day has 23 hours."""
    hours = [dt.datetime(2025, 4, 21) + dt.timedelta(hours=at) for at in range(24 * 8)]
    hours.remove(dt.datetime(2025, 4, 25))
    rows = [f"{a:%Y-%m-%d %H:%M},{b:%Y-%m-%d %H:%M},1.5" for a, b in pairwise(hours)]
    found = read("\n".join(["start,end,usage (kWh)", *rows, "2025-04-28 23:00,2025-04-29 00:00,1.5"]))
    np.testing.assert_allclose(found.energy_j / 3.6e6, [36.0, 36.0, 36.0, 36.0, 34.5, 36.0, 36.0, 36.0])


def test_a_month_that_is_named_is_that_month_on_every_clock() -> None:
    rows = "month,usage (kWh)\nJan 2023,310\nFeb 2023,280\nMar 2023,250\n"
    for clock in ({}, {"zone": "America/Chicago"}, {"utc": True}, {"utc": True, "zone": "America/Chicago"}):
        found = read(rows, **clock)
        assert found.start_day.astype(str).tolist() == ["2023-01-01", "2023-02-01", "2023-03-01"]
        np.testing.assert_allclose(found.energy_j / 3.6e6, [310, 280, 250])


def test_a_heading_over_several_columns_counts_for_each() -> None:
    assert _joined([["Gas", "", "Power", ""], ["from", "therm", "from", "kWh"]], 5) == [
        "Gas from", "Gas therm", "Power from", "Power kWh", "Power",
    ]  # fmt: skip
    assert _joined([["from", "", "therm"]], 3) == ["from", "", "therm"]


def test_what_is_no_unit_is_none() -> None:
    assert dims_of("kWh") == (2, 1, -2, 0, 0)
    assert [dims_of(text) for text in ("%", "", "5", "kWh" + " " * 24)] == [None] * 4


def test_the_use_is_the_column_without_signs_of_money() -> None:
    rows = [
        "start,end,Use (kWh),Electricity (kWh)",
        "2023-01-01,2023-02-01,310,$45.10",
        "2023-02-01,2023-03-01,280,$41.00",
    ]
    np.testing.assert_allclose(read("\n".join(rows)).energy_j, np.array([310, 280]) * 3.6e6)


def test_a_bill_far_off_a_wide_scatter_is_not_odd_and_one_far_off_a_narrow_one_is() -> None:
    """Twelve bills of 30 days about 100 W at no weather's bidding; one of 10 W is a tenth of the line, 90 W off."""
    outdoor = np.repeat(np.linspace(-5.0, 12.0, 12), 30)[:, None] * np.ones(24)
    season = Season(outdoor, np.arange(12) * 30, np.full(12, 30.0))
    start = np.datetime64("2023-01-01") + np.arange(12) * np.timedelta64(30, "D")
    for spread_w, odd in ((2.0, [5]), (11.5, [])):  # six robust deviations are 18 and 102 W
        watts = 100.0 + spread_w * np.array([1, -1, -1, 1, 1, 0, -1, 1, 1, -1, -1, 1.0])
        watts[5], no = 10.0, np.zeros(12, dtype=bool)
        bills = Bills("b", "electricity", start, start + np.timedelta64(30, "D"), watts * 30 * 86400, no, no * 0)
        assert odd_rows(bills, season)[0].tolist() == odd


def test_an_odd_day_is_found_among_more_pairs_of_days_than_are_looked_at() -> None:
    """300 days have 44,850 pairs, of which 40,000 are looked at: the line holds, and one day of ten times its use is off it."""
    n = 300
    outdoor = (10.0 + 12.0 * np.cos(np.arange(n) / n * 2 * np.pi))[:, None] * np.ones(24)
    season = Season(outdoor.repeat(5, axis=0), np.arange(n) * 5, np.full(n, 5.0))
    start = np.datetime64("2020-01-01") + np.arange(n) * np.timedelta64(5, "D")
    watts, no = 100.0 + 30.0 * season.excess_k(16.0), np.zeros(n, dtype=bool)
    watts[137] *= 10.0
    bills = Bills("b", "electricity", start, start + np.timedelta64(5, "D"), watts * 5 * 86400, no, no * 0)
    assert odd_rows(bills, season)[0].tolist() == [137]
    assert odd_rows(bills, season)[1] == pytest.approx(np.where(np.arange(n) == 137, 10.0, 1.0), rel=0.01)


def test_files_whose_dates_can_be_read_two_ways_are_joined_either_way() -> None:
    def of(first: str, told: str = "", other: Bills | None = None) -> Bills:
        start, no = np.datetime64(first) + np.arange(2) * np.timedelta64(30, "D"), np.zeros(2, dtype=bool)
        energy = np.array([1e9, 2e9])
        return Bills(
            f"{first}.csv", "electricity", start, start + np.timedelta64(30, "D"), energy, no, no * 0, told=told, other=other
        )  # fmt: skip

    doubtful = of("2023-01-01", "as starts", of("2022-12-31"))
    (found,) = joined([doubtful, of("2023-03-02")])
    assert (found.n_periods, str(found.start_day[0]), found.told) == (4, "2023-01-01", "as starts")
    assert found.other is not None
    assert (found.other.n_periods, str(found.other.start_day[0])) == (4, "2022-12-31")
    (plain,) = joined([of("2023-01-01"), of("2023-03-02")])
    assert plain.other is None


@pytest.mark.parametrize(
    ("states", "taken"),
    [
        ([5000, 5100, 5200, 5300, 20, 120, 220, 320], True),  # a new meter, and 100 a month on either side
        ([5000, 5100, 5200, 5300, 20, 900, 1000, 1100], False),  # 880 in the month after are no month of this house
        ([5000, 5100, 5200, 6100, 20, 120, 220, 320], False),  # and 900 in the month before neither
        ([5000, 5100, 5200, 5300, 400, 500, 600, 700], False),  # nor does a new meter stand at four months' use
    ],
)
def test_a_meter_was_replaced_where_the_months_around_it_are_like_the_others(states: list[int], taken: bool) -> None:
    given: Any = np.array(states, dtype=float), range(2, 10), "m.csv"
    if taken:
        use, notes = differences(*given)
        assert np.isnan(use).tolist() == [at == 3 for at in range(7)]
        assert "as where the meter was replaced" in notes[1]
        return
    with pytest.raises(InputError, match="line 6: the register falls from"):
        differences(*given)


@pytest.mark.parametrize(("half_band", "tells"), [(0.14, True), (0.16, False)])
def test_a_change_counts_where_its_slopes_differ_by_two_half_bands(
    half_band: float, tells: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Slopes of 0.7 of each other are 0.3 from none: two half bands of 0.14, and not of 0.16."""
    weather = winters(years=4)
    bills = bills_of(weather, change=(17, 0.7), noise=0.02, months=34)
    told = change._told
    monkeypatch.setattr(
        change, "_told", lambda *of: replace(told(*of), ratio=0.7, ratio_band=(0.7 - half_band, 0.7 + half_band))
    )
    monkeypatch.setattr(change, "PLAIN_BIC", math.inf)  # however plain it is
    assert (find_change(bills, season_of(bills, weather)) is not None) == tells


def test_the_use_beside_months_is_headed_by_its_unit_or_else_by_its_name() -> None:
    for rows, told in (
        ([["kWh"], ["Usage"]], "kWh"), ([["", "Consumption"]], "Consumption"), ([["Bill", "Gas use (therm)"]], "Gas use (therm)"), ([["2023"]], "usage"),
    ):  # fmt: skip
        assert _use(rows) == told
