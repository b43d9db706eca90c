"""Winter bills with nobody at home: asked about where they bend the line, left out where somebody says so."""

from __future__ import annotations

import numpy as np
import pytest
from bills.houses import bills_of, winters

from costsim.bills.away import asked_about, read_spans, without_days
from costsim.bills.house import fit_house
from costsim.bills.line import best_line, season_of
from costsim.bills.model import Bills, joined
from costsim.bills.read import HowToRead, read_bill_file
from costsim.errors import InputError
from costsim.views.text_fit import doubts

TRUE = {"base_w": 500.0, "slope_w_k": 220.0, "balance_c": 17.0}
"""The house that the bills are made of; at 82 % its heat loss is 180 W/K."""


def year(noise: float = 0.0, seed: int = 0, start: str = "2020-06-10") -> Bills:
    return bills_of(winters(seed=seed), noise=noise, months=12, seed=seed + 100, start=start, **TRUE)  # type: ignore[arg-type]


def rows_of(bills: Bills, *months: int) -> list[int]:
    middle = bills.start_day + (bills.end_day - bills.start_day) // 2
    which = middle.astype("datetime64[M]").astype(int) % 12 + 1
    return [int(np.flatnonzero(which == month)[0]) for month in months]


@pytest.mark.parametrize("months", [(1,), (2,), (1, 2)])
def test_bills_with_days_away_are_named_with_the_house_that_the_others_show(months: tuple[int, ...]) -> None:
    """Four tenths less than the house needs; the other bills are exact, so without it the line is the one they were made of."""
    bills = year()
    rows = rows_of(bills, *months)
    bills.energy_j[rows] *= 0.6
    fit = fit_house(bills, winters()).now
    assert [one.start_day for one in fit.away] == sorted(bills.start_day[row] for row in rows)
    assert all(one.slope_w_k == pytest.approx(220.0, rel=1e-3) for one in fit.away)
    assert all(one.low_share == pytest.approx(0.4, abs=1e-3) for one in fit.away)
    assert fit.line.slope_w_k < 0.95 * 220.0
    (said,) = [one for one in doubts(fit, "si", command_line=True) if "away" in one]
    assert "180 W/K" in said
    assert f"--away {fit.away[0].start_day}" in said
    assert "--away" not in " ".join(doubts(fit, "si"))
    # somebody says yes: the house is right
    days = [str(one.start_day) for one in fit.away]
    again = fit_house(without_days([bills], days)[0], winters()).now
    assert again.away == ()
    assert again.line.slope_w_k == pytest.approx(220.0, rel=1e-3)
    assert again.loss_w_k == pytest.approx(180.4, abs=0.2)
    assert sum("you were away" in note for note in again.bills.notes) == 1


def test_a_summer_away_bends_nothing_and_is_not_asked_about() -> None:
    bills = year()
    bills.energy_j[rows_of(bills, 7)] *= 0.8
    season = season_of(bills, winters())
    assert asked_about(bills, season, best_line(season, bills.mean_w)) == ()


def test_bills_that_scatter_are_seldom_asked_about() -> None:
    """Of 20 houses whose bills scatter by 3 and 6 %, with nobody away, none; of as many with a month away, most are right."""
    named = right = 0
    for seed in range(20):
        for away in (False, True):
            bills = year(0.03 if seed % 2 else 0.06, seed)
            season = season_of(bills, winters(seed=seed))
            row = int(season.mean_c().argmin())
            bills.energy_j[row] *= 0.55 if away else 1.0
            asked = asked_about(bills, season, best_line(season, bills.mean_w))
            named += bool(asked) and not away
            right += away and [one.start_day for one in asked] == [bills.start_day[row]]
    assert named == 0
    assert right >= 15


HEAD = "from,to,therms,{heading}\n"
ROWS = [(f"2023-{month:02d}-01", f"2023-{month:02d}-28", 120 - 15 * min(month, 12 - month)) for month in range(1, 13)]


def table(heading: str, marks: dict[int, str]) -> bytes:
    lines = []
    for at, (start, _, use) in enumerate(ROWS):
        end = ROWS[at + 1][0] if at < 11 else "2024-01-01"
        lines.append(f"{start},{end},{use},{marks.get(at, '')}\n")
    return (HEAD.format(heading=heading) + "".join(lines)).encode()


@pytest.mark.parametrize(
    ("heading", "mark"), [("away", "x"), ("Away", "yes"), ("vacation", "1"), ("notes", "away over Christmas")]
)
def test_a_column_or_a_note_leaves_a_bill_out(heading: str, mark: str) -> None:
    (bills,) = read_bill_file("b.csv", content=table(heading, {1: mark}))
    assert bills.n_periods == 11
    assert np.datetime64("2023-02-01") not in bills.start_day
    assert bills.left_out == ((np.datetime64("2023-02-01"), np.datetime64("2023-03-01")),)
    assert any("you were away: 2023-02-01 to 2023-02-28" in note for note in bills.notes)


def test_two_bills_left_out_are_no_gap_even_where_files_are_joined() -> None:
    """59 of 365 days, more than the tenth that may be missing by itself."""
    raw = table("away", {0: "x", 1: "x"})
    (first,) = read_bill_file("a.csv", content=raw)
    (later,) = read_bill_file(
        "b.csv", content=table("away", {3: "y", 4: "y"}).replace(b"2024", b"2025").replace(b"2023", b"2024")
    )
    (whole,) = joined([first, later])
    assert whole.n_periods == 20
    assert len(whole.left_out) == 4
    assert not any("no bill covers" in note for note in whole.notes)


def test_what_is_wrong_of_days_away_is_one_message() -> None:
    with pytest.raises(InputError, match="line 3: 'perhaps' does not say whether you were away"):
        read_bill_file("b.csv", content=table("away", {1: "perhaps"}))
    bills = read_bill_file("b.csv", content=table("notes", {}))
    with pytest.raises(InputError, match="no bill holds 2019-01-01"):
        without_days(bills, ["2019-01-01"])
    for text in ("soon", "2024-01", "2024-03-05 to 2024-03-01"):
        with pytest.raises(InputError, match="is no day"):
            read_spans([text])
    with pytest.raises(InputError, match="all bills are left out"):
        without_days(bills, ["2023-01-01 to 2024-01-01"])
    assert without_days(bills, ["Feb 10, 2023"])[0].n_periods == 11
    assert HowToRead().away == ()


@pytest.mark.parametrize(("heading", "cell"), [("Property type", "Vacation home"), ("Rate", "Vacation rate")])
def test_words_that_every_line_has_leave_no_bill_out(heading: str, cell: str) -> None:
    (bills,) = read_bill_file("b.csv", content=table(heading, dict.fromkeys(range(12), cell)))
    assert (bills.n_periods, bills.left_out) == (12, ())
    (some,) = read_bill_file("b.csv", content=table(heading, dict.fromkeys((0, 1), cell)))
    assert some.n_periods == 10


def test_a_column_that_says_away_on_every_line_is_named() -> None:
    with pytest.raises(InputError, match="all bills are left out as away: column 'Vacation' says 'yes', 'x'"):
        read_bill_file("b.csv", content=table("Vacation", {0: "x"} | dict.fromkeys(range(12), "yes") | {3: "x"}))
