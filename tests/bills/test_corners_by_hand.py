"""Corners of the bills' readers and fits that whole files seldom turn: a lone figure changed in each of them changes an answer here."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from bills.test_choices_by_hand import daily
from bills.test_edges_of_fits import even, steady
from bills.test_readers_csv import read

from costsim.bills import change
from costsim.bills.amounts import _comma_likely, _factor_unit, fuels_in
from costsim.bills.columns import Table
from costsim.bills.times import Times, times_of
from costsim.bills.zone import on_clock
from costsim.errors import InputError

JAN = 1704067200
"""Midnight of 1 January 2024 in UTC."""


# temperatures by day


def test_a_gap_and_a_temperature_that_cannot_be_are_told_together_with_their_days() -> None:
    days = [f"2023-01-{day:02}" for day in (1, 2, 3, 8, 9, 10)]
    with pytest.raises(InputError) as caught:
        daily(days, outdoor=[1.0, 2.0, 3.0, 4.0, 61.0, 62.0])
    gap, hot = caught.value.faults
    assert "4 days in a row are missing from 2023-01-04" in str(gap)
    assert "2 temperatures lie outside -90 to 60 °C, the first on 2023-01-09" in str(hot)


# a change of the house


def test_the_band_of_a_ratio_follows_from_the_spread_of_both_slopes(monkeypatch: pytest.MonkeyPatch) -> None:
    """The ratio r = a/b of two estimates varies by (r² Vbb - 2 r Vab + Vaa) / b² (delta method); Student's t of 8 degrees is 1.860."""
    season = steady([5.0, 10.0, 15.0, 0.0, 5.0, 10.0, 15.0, 5.0, 10.0, 15.0, 0.0, 5.0, 10.0])
    excess, late = season.excess_k(18.0), np.arange(13) >= 6
    bills = even(13, 30, 200.0 + np.where(late, 50.0, 100.0) * excess)
    spread = np.diag([7.0, 16.0, 36.0, 9.0])
    spread[1, 2] = spread[2, 1] = 4.0
    monkeypatch.setattr(change, "robust_spread", lambda columns, left: spread)
    found = change._told(bills, season, 6, 18.0, False, 40.0)
    assert (found.slope_before_w_k, found.slope_after_w_k) == (pytest.approx(100.0), pytest.approx(50.0))
    # 13 bills less three lines, the balance point and the date; √(0.25 · 16 - 1.0 · 4 + 36) / 100 = 0.06
    low, high = found.ratio_band
    assert (low, high) == (pytest.approx(0.5 - 1.860 * 0.06, abs=5e-5), pytest.approx(0.5 + 1.860 * 0.06, abs=5e-5))


# amounts


def test_dates_with_points_go_with_decimal_commas() -> None:
    def likely(role: str, *dates: str, notes: Any = ()) -> bool:
        rows = [["5", one] for one in dates]
        return _comma_likely(Table(rows, [2, 3], ["kWh", "from"], {"amount": 0, role: 1}, notes=[*notes]))

    for role in ("start", "date"):
        assert likely(role, "01.02.2024", "01.03.2024")
        assert not likely(role, "2024-02-01", "2024-03-01")
        assert not likely(role, "01.02.2024", "2024-03-01")
    assert likely("date", "2024-02-01", notes=["columns parted by semicolons"])


def test_fuels_are_looked_for_in_columns_without_a_role_and_among_flags() -> None:
    def rows(**places: int) -> dict[str, list[int]]:
        return fuels_in(Table([["propane", "gas"], ["propane", "oil"]], [2, 3], ["Address", "Kind"], places))

    assert rows() == {"propane": [0, 1]}
    assert rows(unit=0) == {"natural_gas": [0], "heating_oil": [1]}
    assert rows(flag=0) == {"propane": [0, 1]}
    assert rows(unit=0, flag=1) == {"natural_gas": [0], "heating_oil": [1]}
    assert rows(unit=0, date=1) == {}


# clocks


def test_times_with_an_offset_are_turned_into_the_clock_of_the_house() -> None:
    """Noon and one o'clock at UTC-5 are 17 and 18 UTC, which is 18 and 19 in Vienna in January (UTC+1)."""
    hour, noon = 3600, JAN + 12 * 3600
    west = np.array([-5 * hour])
    for end_offset, ends in ((None, 19), (np.array([-4 * hour]), 18)):
        given = Times(np.array([noon]), np.array([noon + hour]), west, True, end_offset_s=end_offset)
        turned = on_clock(given, "Europe/Vienna", False, [])
        assert turned.start_s.tolist() == [JAN + 18 * hour]
        assert turned.end_s is not None
        assert turned.end_s.tolist() == [JAN + ends * hour]
        assert turned.offset_s is not None
        assert turned.end_offset_s is not None
        assert (turned.offset_s.tolist(), turned.end_offset_s.tolist()) == ([hour], [hour])
    alone = on_clock(Times(np.array([noon]), None, west, True), "Europe/Vienna", False, [])
    assert alone.end_s is None


# the order of day and month


def order(*dates: str, heading: str = "Date", times: int = 1) -> str:
    """The first of some dates as it is read, or what is asked of them."""
    cells = [one for one in dates for _ in range(times)]
    table = Table([[one, "1"] for one in cells], list(range(len(cells))), [heading, "kWh"], {"date": 0, "amount": 1})
    faults: list[Any] = []
    found = times_of(table, "f", faults)
    if found is None:
        return str(faults[0])
    return str(found.start_s[:1].astype("datetime64[s]").astype("datetime64[D]")[0])


def test_two_days_tell_the_order_where_each_comes_several_times_and_three_where_not() -> None:
    # 1 and 2 May follow one another, 5 January and 5 February do not
    assert order("05/01/2024", "05/02/2024", times=3) == "2024-05-01"
    assert "can be read as" in order("05/01/2024", times=3)
    # 4, 5 and 6 March are each a day, 3 April to 3 June a month: a word tells which; of two dates none is believed
    assert order("03/04/2024", "03/05/2024", "03/06/2024", heading="Billing date") == "2024-04-03"
    assert order("03/04/2024", "03/05/2024", "03/06/2024", heading="Daily date") == "2024-03-04"
    assert "can be read as" in order("03/04/2024", "03/05/2024", heading="Billing date")


# tables of bills


def test_rows_are_told_to_be_put_in_order_where_they_were_not() -> None:
    rows = ["2023-01-05,2023-02-03,100", "2023-02-03,2023-03-03,90"]
    for turned in (False, True):
        found = read("\n".join(["start,end,kWh", *(rows[::-1] if turned else rows), ""]))
        assert found.energy_j.tolist() == [100 * 3.6e6, 90 * 3.6e6]
        assert ("rows were put in the order of time" in found.notes) == turned


def test_corrected_volumes_are_taken_before_those_of_the_meter() -> None:
    both = read(
        "start,end,Volume (m3),Corrected volume (m3)\n2023-01-05,2023-02-03,100,104\n2023-02-03,2023-03-03,90,94\n"
    )
    alone = read("start,end,Volume (m3)\n2023-01-05,2023-02-03,104\n2023-02-03,2023-03-03,94\n")
    assert both.energy_j == pytest.approx(alone.energy_j)


@pytest.mark.parametrize(
    ("unit", "low", "high"),
    [("therm/CCF", 0.8, 1.4), ("kWh/m3", 8.0, 14.0), ("MJ/m3", 30.0, 50.0), ("Btu/ft3", 800.0, 1400.0)],
)
def test_a_factor_s_unit_is_told_by_its_size(unit: str, low: float, high: float) -> None:
    """Natural gas holds some 1.04 therm/CCF, 10.8 kWh/m³, 39 MJ/m³ or 1,037 Btu/ft³ (EIA); 0.8 to 1.4 times a round figure are taken."""
    assert _factor_unit([low, high]) == unit
    for outside in (low * 0.999, high * 1.001):
        assert _factor_unit([low, outside]) == _factor_unit([outside, high]) == ""
    assert _factor_unit([]) == ""
