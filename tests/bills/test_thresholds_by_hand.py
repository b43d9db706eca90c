"""Bills exactly at a limit and just beyond it: rules of the readers whose numbers are common practice, each worked by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from bills.test_edges_of_fits import even, steady
from bills.test_readers_csv import read

from costsim.bills import outliers, settle
from costsim.bills.amounts import _mark_elsewhere, amounts_of, bare, fuel_of
from costsim.bills.columns import Table
from costsim.bills.dates import read_date
from costsim.bills.line import Line
from costsim.bills.numbers import split_amount
from costsim.bills.outliers import _fault, _robust
from costsim.bills.readers_csv import _drop_payments, _drop_what_went_out, _drop_without_amount, _only_rises
from costsim.bills.regression import _cautions
from costsim.bills.settle import _covered, _read_one_way, _without_half_ends
from costsim.bills.temperatures import from_days
from costsim.bills.times import Times
from costsim.errors import InputError
from costsim.units.quantity import BTU_J, POUND_KG

DAY = np.timedelta64(1, "D")

# cells


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("5 Mar 168", "dmy", None), ("Mar 5, 168", "mdy", None), ("5 Mar 24", "dmy", "2024-03-05"), ("1/1/24", "ymd", None), ("1/2/2", "mdy", None),
        ("5 Mar 68", "dmy", "2068-03-05"), ("5 Mar 69", "dmy", "1969-03-05"), ("5 Mar 00", "dmy", "2000-03-05"),
    ],
)  # fmt: skip
def test_a_year_has_two_digits_or_four(text: str, order: str, day: str | None) -> None:
    """POSIX strptime: 69 to 99 are of the last century, 00 to 68 of this one."""
    found = read_date(text, order)
    assert (found and found.isoformat()) == day


def test_money_in_brackets_is_owed_the_other_way() -> None:
    cells = ("$1.50", "(2.00)", "($2.50)", "( 3.5 EUR )", "-$4", "(5", "EUR 6")
    assert [(split_amount(bare(cell)) or ("",))[0] for cell in cells] == ["1.50", "-2.00", "-2.50", "-3.5", "-4", "-5", "6"]  # fmt: skip


def test_kilograms_alone_are_pellets_and_with_litres_of_propane_they_are_propane() -> None:
    found = read("date,delivered (kg)\n2023-01-05,100\n2023-03-05,1000\n")
    assert found.fuel == "pellets"
    assert found.energy_j == pytest.approx([1000 / POUND_KG * 8200 * BTU_J])  # 8,200 Btu a pound, as published
    both = Table([["1", "kg"], ["2", "L"]], [2, 3], ["delivered", "unit"], {"amount": 0, "unit": 1})
    both.above = ["Propane of the village"]
    assert fuel_of(both, "", "f") == "propane"
    therms = Table([["1", "therm"], ["2", "kWh"]], [2, 3], ["delivered", "unit"], {"amount": 0, "unit": 1})
    assert fuel_of(therms, "", "f") == "natural_gas"  # a gas bill may tell both


def test_averages_a_day_are_taken_times_at_most_800_days() -> None:
    one = Table([["800", "2"], ["801", "2"], ["31", "3"]], [2, 3, 4], ["Days", "Average kWh a day"], {"days": 0, "amount": 1}, [1])  # fmt: skip
    one.per_day, faults = True, list[Any]()
    assert amounts_of(one, "f", faults).tolist() == [1600.0, 0.0, 93.0]
    assert [str(fault) for fault in faults] == ["f: line 3: counts more days than a bill has; write at most 800"]


def test_a_decimal_mark_of_one_column_that_all_others_leave_open() -> None:
    one = Table([["1,234", "", "5,5"], ["1,300", "", "6,5"]], [2, 3], ["use", "note", "cost"])
    one.amounts = [0]
    assert _mark_elsewhere(one) == ","


# which rows count


def rises(
    n: int = 20, *, first: float = 1000.0, flat: int = 0, heading: str = "", fall: bool = False, **more: Any
) -> bool:
    """Whether amounts that rise by ten from row to row, some of them not at all, are states of a register."""
    amounts = first + 10.0 * np.maximum(np.arange(n) - flat, 0)
    if fall:
        amounts[3] = amounts[5]
    table = Table([["2023-01-01", "5"]] * n, list(range(n)), ["date", heading], more.pop("places", {"date": 0, "amount": 1}), heading=heading)  # fmt: skip
    times = Times(np.arange(n) * 86400 * 30, more.pop("ends", None), None, False)
    return _only_rises(table, times, amounts)


def test_amounts_that_only_rise_are_states_from_ten_rows_on() -> None:
    assert [rises(n) for n in (9, 10)] == [False, True]
    # named by the code of what is bought (IEC 62056-61), six are enough
    assert [rises(n, heading="1.8.0") for n in (5, 6)] == [False, True]
    # more than half of ten must rise, and the first be more than two steps
    assert [rises(12, flat=flat) for flat in (5, 6)] == [True, False]
    assert [rises(first=first) for first in (20.0, 20.5)] == [False, True]
    assert not rises(fall=True)
    assert not rises(heading="kWh used")
    assert not rises(ends=np.arange(20))
    assert not rises(places={"date": 0, "amount": 1, "days": 0})


def rows_kept(*cells: str, lone: str = "", more: int = 0) -> list[int]:
    """Rows that are left of a column of amounts, with so many whole ones before it."""
    one = Table([[cell] for cell in (*["5"] * more, *cells)], list(range(more + len(cells))), ["kWh"], {"amount": 0})
    one.lone = lone
    _drop_without_amount(one)
    return [line - more for line in one.lines if line >= more]


def test_rows_without_an_amount_are_left_out_at_the_ends() -> None:
    assert rows_kept("", "5", "6", "n/a") == [1, 2]
    assert rows_kept("", "5", "", "6") == [0, 1, 2, 3]  # one in the middle is told as missing
    assert rows_kept("5", "", "6", "", lone="date") == [0, 1, 2]
    assert rows_kept("5", "", "6", "") == [0, 1, 2, 3]
    # the last date of starts ends the row before it
    assert rows_kept("5", "6", "", lone="start") == [0, 1, 2]
    assert rows_kept("5", "6", "", "", lone="start") == [0, 1, 2]
    assert rows_kept("5", "", "6", "", lone="start") == [0, 1, 2, 3]
    assert rows_kept("", "") == [0, 1]
    # of 300 rows and more those in the middle are left out too
    assert rows_kept("", "5", more=297) == [0, 1]
    assert rows_kept("", "5", more=298) == [1]


def test_rows_of_payments_are_left_out_where_no_use_stands_beside_them() -> None:
    def left(*rows: tuple[str, str, str]) -> list[int]:
        one = Table(
            [list(row) for row in rows], list(range(len(rows))), ["date", "what", "kWh"], {"date": 0, "amount": 2}
        )
        _drop_payments(one)
        return one.lines

    assert left(("d", "bill", "5"), ("d", "Payment", ""), ("d", "late fee", ""), ("d", "bill", "6")) == [0, 3]
    assert left(("d", "bill", "5"), ("d", "Payment", ""), ("d", "Payment", "7")) == [0, 1, 2]  # the word says nothing
    assert left(("d", "Payment", ""), ("d", "fee", "")) == [0, 1]
    assert left(("d", f"{'x' * 50} fee", ""), ("d", f"{'x' * 58} fee", ""), ("d", "", "5")) == [1, 2]


def test_what_went_out_is_left_out_of_up_to_four_kinds_of_rows() -> None:
    def left(*kinds: str) -> list[int]:
        one = Table([["5", kind] for kind in kinds], list(range(len(kinds))), ["kWh", "what"], {"amount": 0})
        _drop_what_went_out(one)
        return one.lines

    assert left("delivered", "received", "delivered") == [0, 2]
    assert left("a", "b", "c", "received") == [0, 1, 2]
    assert left("a", "b", "c", "d", "received") == [0, 1, 2, 3, 4]
    assert left("received", "received") == [0, 1]
    assert left("1.8.0", "2.8.0") == [0]


# odd bills


def test_the_robust_line_and_its_spread_by_hand() -> None:
    """Use 2 W above and below 100 + 10 W/K: a median residual of 2 W is a standard deviation of 2 / 0.6745 of normal scatter."""
    levels = np.repeat(np.linspace(-10.0, 5.0, 12), 2)
    season = steady(levels)
    watts = 100.0 + 10.0 * (16.0 - levels) + np.tile([2.0, -2.0], 12)
    fitted, sigma = _robust(season, watts)
    assert fitted == pytest.approx(100.0 + 10.0 * (16.0 - levels))
    assert sigma == pytest.approx(2.0 / 0.67449, rel=1e-4)
    # without scatter a hundredth of the middle use is left
    assert _robust(season, watts - np.tile([2.0, -2.0], 12))[1] == pytest.approx(0.01 * np.median(fitted))
    # balance points are tried from 8 to 22 °C
    for balance, means, exact in (
        (8.0, np.linspace(-10.0, 30.0, 21), True),
        (22.0, np.linspace(9.0, 30.0, 21), True),
        (24.0, np.linspace(9.0, 30.0, 21), False),
    ):
        use = 100.0 + 10.0 * steady(means).excess_k(balance)
        assert (_robust(steady(means), use)[0] == pytest.approx(use)) is exact


def test_how_far_off_a_bill_is_said() -> None:
    bills = even(12, 30)
    wanted = {
        1.04: "is 1.0 times", 5.06: "is 5.1 times", 0.125: "is one 8th of", 1e-5: "is one 100000th of", 1e-6: "is nothing beside",
    }  # fmt: skip
    for factor, said in wanted.items():
        assert f"2023-04-30 {said} what weather" in _fault(bills, 3, factor).problem
    assert _fault(bills, 3, 2.0).field == "line 5"


# what weakens a fit


def cautions(means_c: Any, left_w: Any = 0.0, *, band: float = 1.0, r2: float = 0.9, zero: bool = False) -> set[str]:
    """What is told of bills of electricity about a flat line of 100 W below 10 °C, by its first words."""
    season = steady(means_c)
    bills = even(len(season.days), 30, 100.0 + np.asarray(left_w), fuel="electricity")
    found = _cautions(bills, season, Line(10.0, 100.0, 0.0, 0.0, zero), (5.0, 5.0 + band), r2)
    return {" ".join(one.split()[:3]) for one in found}


def test_what_weakens_a_fit_begins_at_its_limit() -> None:
    plain = [-6.0, 6.0]  # 16 and 4 K below the balance point: a quarter
    assert cautions(plain) == cautions(plain, band=6.0) == cautions(plain, r2=0.7) == set()
    assert cautions([-6.0, 5.9]) == {"no bill is"}
    assert cautions(plain, band=6.1) == {"the balance point"}
    assert cautions(plain, r2=0.69) == {"the weather explains"}
    assert cautions(plain, zero=True) == {"nothing is used"}
    # three warm bills, half a kelvin-day a day or more short of heating 3 K above the balance point
    cold = -6.0
    assert cautions([cold, 14.0, 16.0, 18.0], [0, 0, 15, 30]) == {"use rises with"}
    assert cautions([cold, 12.5, 16.0, 18.0], [0, 0, 15, 30]) == set()
    assert cautions([cold, 12.6, 16.0, 18.0], [0, 0, 15, 30]) == {"use rises with"}
    # by a fifth of the mean of all: of x in three even steps 0.2 (400 + 1.5 x) / 4, which is x = 21.6 W
    assert cautions([cold, 14.0, 16.0, 18.0], [0, 0, 10.75, 21.5]) == set()
    assert cautions([cold, 14.0, 16.0, 18.0], [0, 0, 10.9, 21.8]) == {"use rises with"}
    # 0, a, 1 correlate with -1, 0, 1 by 1 / sqrt(2 (a² + 1 - (1 + a)² / 3)): 0.7 at a = 1.384
    assert cautions([cold, 14.0, 16.0, 18.0], [0, 0, 137, 100]) == {"use rises with"}
    assert cautions([cold, 14.0, 16.0, 18.0], [0, 0, 140, 100]) == set()
    assert cautions([cold, 14.0, 16.0], [0, 0, 90]) == set()


# what is fitted


def test_six_bills_that_the_weather_knows_are_enough() -> None:
    bills = even(12, 30)
    for known, left in ((180, 6), (179, 12), (150, 12), (330, 11), (360, 12)):
        weather = from_days("w", bills.start_day[0], np.zeros((known, 24)))
        assert _covered(bills, weather).n_periods == left
    later = from_days("w", bills.start_day[1], np.zeros((400, 24)))
    assert (_covered(bills, later).n_periods, str(_covered(bills, later).start_day[0])) == (11, "2023-01-31")


@pytest.mark.parametrize(("days", "left_out"), [(20, True), (21, False), (30, False)])
def test_an_end_shorter_than_seven_tenths_of_the_usual_is_left_out(
    days: int, left_out: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(settle, "odd_rows", lambda bills, season: (np.array([0, 4, bills.n_periods - 1]), None))
    monkeypatch.setattr(settle, "season_of", lambda bills, weather: None)
    bills = even(12, 30)
    bills.start_day[0] = bills.end_day[0] - days * DAY
    found = _without_half_ends(bills, None)  # type: ignore[arg-type]
    assert found.n_periods == 12 - left_out
    assert any(f"the first bill, of {days} days from" in note for note in found.notes) == left_out
    six = bills.part(slice(0, 6))
    assert _without_half_ends(six, None).n_periods == 6  # type: ignore[arg-type]
    seven = bills.part(slice(0, 7))
    assert _without_half_ends(seven, None).n_periods == 7 - left_out  # type: ignore[arg-type]


def test_of_two_readings_of_dates_one_must_leave_half_as_much_again(monkeypatch: pytest.MonkeyPatch) -> None:
    def chosen(one: float, other: float) -> str:
        monkeypatch.setattr(settle, "_left", lambda bills, weather: one if bills.told == "a" else other)
        bills: Any = [even(2), even(2)]
        first, second = (settle.replace(bill, told=told) for bill, told in zip(bills, "ab", strict=True))
        try:
            return _read_one_way(first, second, SimpleNamespace()).told  # type: ignore[arg-type]
        except InputError:
            return ""

    assert [chosen(1.0, second) for second in (1.5, 1.51, float("inf"))] == ["", "a", "a"]
    assert chosen(1.6, 1.0) == "b"
    assert chosen(float("inf"), float("inf")) == ""


def test_what_the_weather_leaves_is_a_share_of_the_spread_about_the_mean_by_days(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """1 and 3 W over 10 and 30 days are 2.5 W at the mean; 10 × 1.5² + 30 × 0.5² = 30, of which 2 are a fifteenth."""
    monkeypatch.setattr(settle, "_covered", lambda bills, weather: bills)
    monkeypatch.setattr(settle, "season_of", lambda bills, weather: None)
    monkeypatch.setattr(settle, "best_line", lambda season, mean_w: SimpleNamespace(squares=2.0))

    def left(*mean_w: float) -> float:
        bills: Any = SimpleNamespace(mean_w=np.array(mean_w), days=np.array([10.0, 30.0]))
        return settle._left(bills, None)  # type: ignore[arg-type]

    assert left(1.0, 3.0) == pytest.approx(2 / 30)
    assert left(2.0, 2.25) == pytest.approx(2 / (30 / 64))
    assert left(2.0, 2.0) == float("inf")


def test_a_bill_is_odd_by_how_far_and_how_many_times_it_is_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 100 W expected; a row at just the limit of the spread is none, one at just the factor is."""

    def odd(sigma: float, *watts: float, days: float = 30.0) -> list[int]:
        monkeypatch.setattr(outliers, "_robust", lambda season, mean_w: (np.full(len(mean_w), 100.0), sigma))
        bills: Any = SimpleNamespace(mean_w=np.array(watts), days=np.full(len(watts), days))
        return outliers.odd_rows(bills, None)[0].tolist()  # type: ignore[arg-type]

    most = 100.0 * outliers.FACTOR
    left = most - 100.0
    usual = [100.0] * 4
    assert odd(left / outliers.SIGMAS, *usual, most, most + 1.0) == [5]
    assert odd(0.0, *usual, most, most - 1.0, 100.0 / outliers.FACTOR, 100.0 / outliers.FACTOR + 1.0) == [4, 6]
    assert odd(0.0, *usual, most, days=outliers.SHORTEST_D) == [4]
    assert odd(0.0, *usual, most, days=outliers.SHORTEST_D - 0.1) == []
