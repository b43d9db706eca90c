"""Amounts, money, steps and lines at the edge where nothing is left: zeros, blanks and commas."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from bills.test_readers_csv import lines_of, read

from costsim.bills.amounts import _mark_elsewhere
from costsim.bills.beside import months_beside
from costsim.bills.columns import Table
from costsim.bills.cost import _money, _sign
from costsim.bills.distinct import distinct
from costsim.bills.line import best_line
from costsim.bills.times import Times
from costsim.errors import SolverError
from costsim.units.quantity import THERM_J

SPANS = ["2023-01-01,2023-02-01", "2023-02-01,2023-03-01", "2023-03-01,2023-04-01"]
NAMES = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def file(head: str, *cells: str, mark: str = ",") -> str:
    rows = [f"start,end,{head}", *(f"{a},{b}" for a, b in zip(SPANS, cells, strict=True))]
    return "\n".join(row.replace(",", mark) for row in rows).replace("~", ",")


def test_heat_contents_of_nothing_are_told_by_line() -> None:
    told = lines_of(file("Usage (CCF),Heat content (therm/CCF)", "100,1.03", "80,0", "20,1.02"))
    assert told == ["bills.csv: line 3: '0' is no heat content; write a number of therm/CCF"]
    told = lines_of(file("Usage (CCF),Heat content (therm/CCF)", "100,1.03", "80,x", "20,1.02"))
    assert any("line 3: 'x' is no heat content" in line for line in told)
    found = read(file("Usage (CCF),Therm factor", "100,1~03", "80,1~02", "20,1~03", mark=";"))
    assert found.energy_j == pytest.approx(np.array([103, 81.6, 20.6]) * THERM_J)


def test_thousands_and_decimals_are_told_from_the_other_columns() -> None:
    def elsewhere(*cells: str) -> str:
        one = Table([["1,234", cell, "2023-01-01"] for cell in cells], [2] * len(cells), ["use", "cost", "date"])
        one.amounts = [0]
        return _mark_elsewhere(one)

    assert [elsewhere("10,50"), elsewhere("10.5", "11.25"), elsewhere("10.50", "1,2345"), elsewhere("10", "11")] == [
        ",",
        ".",
        "",
        "",
    ]
    assert [elsewhere("1,234"), elsewhere("$1.5"), elsewhere("1.2345")] == ["", ".", "."]
    found = read(file("usage (kWh),cost", '"1~234",10.50', '"1~100",9.75', '"1~002",8.20'))
    assert found.energy_j.tolist() == [1234 * 3.6e6, 1100 * 3.6e6, 1002 * 3.6e6]


def test_money_with_commas_blanks_and_signs() -> None:
    def money(*cells: str, parted: str = "columns parted by semicolons") -> list[float] | None:
        one = Table([[cell] for cell in cells], list(range(len(cells))), ["cost"])
        one.notes.append(parted)
        found = _money(one, 0)
        return None if found is None else found.tolist()

    assert money("10,50", "12,75") == [10.5, 12.75]
    assert money("€ 1.010,50", "(2,75)") == [1010.5, -2.75]
    assert money("10", "") == [10.0, pytest.approx(np.nan, nan_ok=True)]  # half of the rows
    assert money("10", "", "n/a") is None
    assert money("x", "y") is None
    signs = {
        ("Cost ($)", "5"): "$",
        ("Cost", "5 EUR"): "€",
        ("Cost", "£5"): "£",
        ("Cost ($)", "€5"): "",
        ("Cost", "5"): "",
        ("Cost USD", "$5"): "$",
    }
    for (head, cell), sign in signs.items():
        assert _sign(Table([[cell]], [2], [head]), 0) == sign
    late = Table([["5"]] * 20 + [["$5"]], [2] * 21, ["Cost"])
    assert _sign(late, 0) == ""
    late.rows[19] = ["$5"]
    assert _sign(late, 0) == "$"


def test_steps_are_those_of_readings_that_last() -> None:
    start = np.array([0, 3600, 7200, 10800, 14400])
    assert Times(start, start + np.array([0, 0, 0, 3600, 3600]), None, True).step_s == 3600
    assert Times(start, start + np.array([0, 0, -5, 3600, 7200]), None, True).step_s == 5400
    assert Times(np.array([7200, 0, 3600, 3600]), None, None, True).step_s == 3600
    assert Times(start, start, None, True).step_s == 0
    assert Times(start, start, None, True).is_interval
    assert not Times(start, start, None, False).is_interval


def test_use_that_never_rises_has_no_line(steady_season: Any) -> None:
    for use in (np.zeros(24), -20.0 * steady_season.excess_k(16.0)):
        with pytest.raises(SolverError, match="does not rise with the cold"):
            best_line(steady_season, use)
    for balance in (25.0, 27.0):  # the grid holds the last balance point itself
        assert best_line(steady_season, 50.0 + 20.0 * steady_season.excess_k(balance)).balance_c == pytest.approx(
            25.0, abs=2e-4
        )


@pytest.fixture
def steady_season() -> Any:
    from bills.test_edges_of_fits import steady

    return steady(np.linspace(-15, 32, 24))


def test_blanks_beside_months_are_no_months() -> None:
    for heads, found in (
        ([*NAMES[1:10], "", ""], False),
        ([*NAMES[1:11], ""], True),
        ([*NAMES[1:10], "5", "7"], False),
    ):
        rows = [["", *heads], ["2023", *map(str, range(len(heads)))]]
        assert (months_beside(rows, [1, 2]) is not None) == found

    # years side by side over two columns each; as many columns of other things as there are sums of money are no matter
    def years(head: list[str], *cells: str) -> int:
        rows = [head, *([name, *cells] for name in NAMES)]
        one = months_beside(rows, list(range(13)))
        return 0 if one is None else len(one.rows)

    assert years(["Month", "2022", "2023"], "5", "6") == 24
    assert years(["Month", "2022", "2023", "note"], "5", "6", "x") == 24
    assert years(["Month", "2022", "2023", "note", "more"], "5", "6", "x", "y") == 0
    assert years(["Month", "2022", "2023", "note", "Cost ($)"], "5", "6", "x", "9") == 24
    assert years(["Month", "2022"], "5") == 0
    spread = months_beside(
        [
            ["Month", "2022", "", "2023", ""],
            ["", "kWh", "Cost", "kWh", "Cost"],
            *([n, "5", "1", "6", "2"] for n in NAMES),
        ],
        list(range(14)),
    )
    assert spread is not None
    assert [row[1] for row in spread.rows] == ["5"] * 12 + ["6"] * 12
    assert (
        months_beside(
            [
                ["Month", "2022", "", "2023", ""],
                ["", "kWh", "kWh", "kWh", "x"],
                *([n, "5", "1", "6", "2"] for n in NAMES),
            ],
            list(range(14)),
        )
        is None
    )
    whole = [f"{name}-24 Therms" for name in NAMES[:10]]
    assert months_beside([["Account", *whole], ["17", *map(str, range(10))]], [1, 2]).rows[0] == ["2024-01", "0"]
    bare = [f"{name} 2024" for name in NAMES[:10]]
    assert months_beside(
        [["", *bare], ["Usage (kWh)", *map(str, range(10))], ["Cost", *map(str, range(10))]], [1, 2, 3]
    ).rows[9] == ["2024-10", "9"]
    assert months_beside([["", *bare], ["Cost", *map(str, range(10))]], [1, 2]) is None


def test_sums_of_columns_within_a_millionth() -> None:
    def kept(*rows: tuple[float, float, float]) -> list[int]:
        one = Table([["x", *map(str, row)] for row in rows], list(range(len(rows))), ["d", "A", "B", "C"], {"start": 0})
        return distinct(one, [1, 2, 3])

    assert kept((1, 2, 3), (4, 5, 9), (1, 1, 2)) == [3]
    assert kept((1, 2, 3.003), (4, 5, 9), (1, 1, 2)) == [3]  # rounded: a thousandth
    assert kept((1, 2, 3.01), (4, 5, 9), (1, 1, 2)) == [1, 2, 3]
