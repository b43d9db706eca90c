"""What carries a fit and what does not, on both sides of every limit, with bills and weather made by arithmetic."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from bills.houses import bills_of, winters
from scipy import stats

from costsim.bills.change import _splits, change_day, find_change
from costsim.bills.fit import DEFAULT_EFFICIENCY, Efficiency, Fit, measures, read_efficiency
from costsim.bills.house import _by_week, as_json, fit_house
from costsim.bills.line import Season, best_line, line_at, season_of
from costsim.bills.model import Bills
from costsim.bills.outliers import odd_faults, odd_rows
from costsim.bills.regression import _too_little, _winter_days, fit_bills
from costsim.bills.settle import settled
from costsim.bills.temperatures import (
    Temperatures,
    from_days,
)
from costsim.errors import InputError, SolverError

DAY = np.timedelta64(1, "D")
EXACT = Efficiency(1.0, 1.0, 1.0, "as given")
WEATHER = winters()


def even(n: int, length: int = 30, watts: Any = 100.0, start: str = "2023-01-01", fuel: str = "natural_gas") -> Bills:
    """Bills of one length, one after the other."""
    first = np.datetime64(start) + np.arange(n) * length * DAY
    energy = np.broadcast_to(watts, (n,)) * length * 86400.0
    return Bills("b", fuel, first, first + length * DAY, energy, np.zeros(n, dtype=bool), np.arange(2, n + 2))


def steady(means_c: Any, length: int = 30) -> Season:
    """A season whose periods have one temperature each."""
    means = np.asarray(means_c, dtype=float)
    outdoor = np.repeat(means, length)[:, None] * np.ones(24)
    return Season(outdoor, np.arange(len(means)) * length, np.full(len(means), float(length)))


def told(bills: Bills, weather: Temperatures = WEATHER) -> str:
    with pytest.raises(InputError) as caught:
        fit_bills(bills, weather)
    return str(caught.value)


# lines


def test_a_line_needs_use_that_rises_with_the_cold() -> None:
    season = steady(np.linspace(-5, 20, 12))
    exact = best_line(season, 100.0 + 30.0 * season.excess_k(14.0))
    assert (exact.base_w, exact.slope_w_k, exact.balance_c) == (
        pytest.approx(100, abs=0.5),
        pytest.approx(30, rel=1e-3),
        pytest.approx(14, abs=0.01),
    )
    slight = best_line(season, 1.0 + 0.3 * season.excess_k(14.0))  # as small as a well insulated flat on one radiator
    assert (slight.base_w, slight.slope_w_k) == (pytest.approx(1.0, abs=0.01), pytest.approx(0.3, rel=1e-3))
    with pytest.raises(SolverError, match="does not rise"):
        best_line(season, 100.0 - season.excess_k(14.0))
    with pytest.raises(SolverError, match="does not rise"):
        best_line(
            steady(np.linspace(24.95, 30.0, 12)), np.linspace(200.0, 100.0, 12)
        )  # never 0.1 K below the highest balance point
    below = best_line(season, 30.0 * season.excess_k(14.0) - 30.0)
    assert (below.through_zero, below.base_w) == (True, 0.0)
    line = line_at(season, np.full(12, 7.0), 10.0)
    assert (line.base_w, line.slope_w_k, line.squares) == (
        pytest.approx(7.0),
        pytest.approx(0.0, abs=1e-9),
        pytest.approx(0.0, abs=1e-12),
    )
    # weights by length: 30 days at 1 W and 10 at 2 W about one base are 1.25 W
    two = Season(np.full((40, 24), 30.0), np.array([0, 30]), np.array([30.0, 10.0]))
    assert line_at(two, np.array([1.0, 2.0]), 10.0).base_w == pytest.approx(1.25)
    assert line_at(two, np.array([1.0, 2.0]), 10.0).squares == pytest.approx(30 * 0.25**2 + 10 * 0.75**2)
    part = season.part(slice(2, 5))
    assert (part.mean_c().tolist(), part.firsts.tolist()) == (season.mean_c()[2:5].tolist(), [0, 30, 60])
    assert season.deviation_k() == pytest.approx(np.zeros(48))
    assert season.cold_share(float(season.outdoor_c[90, 0])).tolist() == [1.0] * 3 + [0.0] * 9


def test_balance_points_are_sought_from_4_to_25_degrees() -> None:
    season = steady(np.linspace(-15, 32, 24))
    for balance, found in ((4.0, 4.0), (25.0, 25.0), (2.0, 4.0), (27.0, 25.0)):
        line = best_line(season, 50.0 + 20.0 * season.excess_k(balance))
        assert line.balance_c == pytest.approx(found, abs=0.6)


# what carries a fit


def test_too_few_days_bills_winters_or_changes_are_refused() -> None:
    warm = {"start": "2020-11-01"}
    nine = even(9, 30, 100.0 + np.arange(9), **warm)
    season = season_of(nine, WEATHER)
    assert not _too_little(nine, WEATHER, season)
    short = replace(nine, end_day=np.append(nine.end_day[:-1], nine.end_day[-1] - DAY))
    (fault,) = _too_little(short, WEATHER, season_of(short, WEATHER))
    assert "the bills reach over 269 days, 90 of them in the three coldest months" in fault.problem
    six = even(6, 60, 100.0, **warm)
    assert not _too_little(six, WEATHER, season_of(six, WEATHER))
    five = even(5, 60, 100.0, **warm)
    (fault,) = _too_little(five, WEATHER, season_of(five, WEATHER))
    assert "there are 5 periods" in fault.problem
    one = even(1, 300, 100.0, **warm)
    assert "there is 1 period, too few" in _too_little(one, WEATHER, season_of(one, WEATHER))[0].problem
    # the coldest months of this wave are December to February: twenty of their days are enough
    assert _winter_days(even(1, 90, start="2020-12-01"), WEATHER) == 90
    for first, days, said in (
        ("2021-02-09", 20, ""),
        ("2021-02-10", 19, "19 days lie"),
        ("2021-03-01", 0, "no days lie"),
    ):
        bills = even(9, 30, 100.0, start=first)
        assert _winter_days(bills, WEATHER) == days
        faults = _too_little(bills, WEATHER, season_of(bills, WEATHER))
        assert [bool(said)] * len(faults) == [True] * len(faults)
        assert bool(faults) == bool(said)
        if said:
            assert said in faults[0].problem
    # degree-days below 18 °C must differ by 5 K·d a day
    typical = Temperatures("t", np.datetime64("2023-01-01"), np.zeros((365, 24)), True)
    for most, refused in ((4.99, True), (5.01, False)):
        season = steady(np.linspace(10.0, 10.0 + most, 12))
        assert bool(_too_little(even(12), typical, season)) == refused


def test_the_design_load_and_its_bands_by_hand() -> None:
    bills = bills_of(WEATHER, noise=0.05, seed=3)
    fit = fit_bills(bills, WEATHER, efficiency=Efficiency(0.8, 0.7, 0.9, "x"), design_c=-10.0)
    line, t = fit.line, float(stats.t.ppf(0.95, bills.n_periods - 3))
    assert fit.slope_band_w_k == pytest.approx(
        (line.slope_w_k - t * fit.slope_se_w_k, line.slope_w_k + t * fit.slope_se_w_k)
    )
    assert fit.loss_w_k == pytest.approx(0.8 * line.slope_w_k)
    half = fit.loss_w_k * np.hypot(t * fit.slope_se_w_k / line.slope_w_k, 0.1 / 0.8)
    assert fit.loss_band_w_k == pytest.approx((fit.loss_w_k - half, fit.loss_w_k + half))
    below = line.balance_c + 10.0
    assert fit.design_load_w == pytest.approx(0.8 * line.slope_w_k * below)
    by = 0.8 * np.array([0.0, below, line.slope_w_k])
    half = np.hypot(t * np.sqrt(by @ fit.covariance @ by), 0.125 * fit.design_load_w)
    assert fit.design_band_w == pytest.approx((fit.design_load_w - half, fit.design_load_w + half))
    year = WEATHER.average_year()
    mean = line.base_w + line.slope_w_k * np.maximum(line.balance_c - year, 0).mean()
    assert fit.annual_j == pytest.approx(mean * 365 * 86400)
    by = np.array([1.0, np.maximum(line.balance_c - year, 0).mean(), line.slope_w_k * (year < line.balance_c).mean()])
    half = t * np.sqrt(by @ fit.covariance @ by) * 365 * 86400
    assert fit.annual_band_j == pytest.approx((fit.annual_j - half, fit.annual_j + half))
    assert fit.annual_base_j == pytest.approx(line.base_w * 365 * 86400)
    assert fit.residual_j == pytest.approx(bills.energy_j - fit.fitted_j)
    assert (fit.parameters, fit.design_from) == (3, "as given")
    # the profile likelihood: squares grow by 1 + t²/(n - p) at the edges
    season, most = season_of(bills, WEATHER), line.squares * (1 + t**2 / (bills.n_periods - 3))
    for edge, side in zip(fit.balance_band_c, (-1, 1), strict=True):
        inside, beyond = (line_at(season, bills.mean_w, edge + side * step).squares for step in (-0.06, 0.06))
        assert inside <= most < beyond
    warm = fit_bills(bills, WEATHER, design_c=30.0)
    half = float(stats.t.ppf(0.95, bills.n_periods - 3)) * 0.82 * warm.line.slope_w_k * np.sqrt(warm.covariance[2, 2])
    assert (warm.design_load_w, warm.design_band_w) == (0.0, (0.0, pytest.approx(half)))
    up, half = fit.curve(np.array([0.0, 30.0]))
    assert up[1] == pytest.approx(line.base_w)
    assert up[0] == pytest.approx(line.base_w + line.slope_w_k * np.maximum(line.balance_c - fit.deviation_k, 0).mean())
    assert half[1] == pytest.approx(t * np.sqrt(fit.covariance[0, 0]))


def test_efficiencies_are_shares_from_a_tenth_to_six() -> None:
    assert (read_efficiency("10 %").value, read_efficiency("600 %").value) == (pytest.approx(0.1), pytest.approx(6.0))
    band = read_efficiency("80 % - 90 %")
    assert (band.low, band.high, band.source) == (pytest.approx(0.8), pytest.approx(0.9), "as given")
    assert read_efficiency("80 %").source == "as given, taken as exact"
    for text in ("9.9 %", "601 %", "80 % to 85 % to 90 %", "0.8"):
        with pytest.raises(InputError, match="--efficiency"):
            read_efficiency(text)
    bands = {fuel: (one.low, one.value, one.high) for fuel, one in DEFAULT_EFFICIENCY.items()}
    # common practice, no source: told as such beside every fit
    assert bands == {
        "electricity": (1.0, 1.0, 1.0), "natural_gas": (0.72, 0.82, 0.92), "propane": (0.72, 0.82, 0.92), "heating_oil": (0.72, 0.80, 0.88),
        "wood": (0.45, 0.60, 0.75), "pellets": (0.70, 0.80, 0.90),
    }  # fmt: skip


def test_limits_of_the_guideline_are_met_at_their_edge() -> None:
    fit = fit_bills(bills_of(WEATHER), WEATHER)

    def meets(cv: float, nmbe: float) -> bool:
        one: Fit = replace(fit, cv_rmse=cv, nmbe=nmbe)
        return one.meets_limits

    # ASHRAE Guideline 14: 15 % and 5 % for monthly data
    assert [meets(*one) for one in ((0.15, 0.05), (0.151, 0.0), (0.0, 0.051), (0.0, -0.051), (0.0, -0.05))] == [
        True,
        False,
        False,
        False,
        True,
    ]
    # weeks are put together into four and more before they are measured: 12 of them, of 7 days, three groups of 28
    weeks = even(12, 7, 100.0)
    left = np.tile([1.0, -1.0], 6) * weeks.energy_j[0]
    assert measures(weeks, weeks.energy_j - left, 1)[1] == pytest.approx(0.0, abs=1e-12)
    months = even(12, 21, 100.0)
    left = np.tile([1.0, -1.0], 6) * months.energy_j[0]
    assert measures(months, months.energy_j - left, 2)[1] == pytest.approx(np.sqrt(12 / 10))
    assert measures(months, months.energy_j - left, 2)[0] == 0.0  # nothing to explain
    assert measures(months, months.energy_j - months.energy_j[0], 2)[2] == pytest.approx(12 / 10)
    assert measures(even(2), even(2).energy_j * 0.5, 5)[1] == pytest.approx(np.sqrt(2 * 0.25))


# odd bills, changes, what is fitted


def test_a_bill_is_odd_five_times_off_and_not_before() -> None:
    season, watts = steady(np.linspace(-5.0, 12.0, 12)), np.full(12, 100.0)
    for factor, odd in ((4.9, []), (5.1, [5]), (1 / 4.9, []), (1 / 5.1, [5])):
        bills = even(12, 30, np.where(np.arange(12) == 5, 100.0 * factor, watts))
        assert odd_rows(bills, season)[0].tolist() == odd
    high = odd_faults(even(12, 30, np.where(np.arange(12) == 5, 1000.0, watts)), season)
    low = odd_faults(even(12, 30, np.where(np.arange(12) == 5, 10.0, watts)), season)
    none = odd_faults(even(12, 30, np.where(np.arange(12) == 5, 0.0, watts)), season)
    assert [one[0].problem.partition("to ")[2][11:] for one in (high, low, none)] == [
        "is 10.0 times what weather and the other bills say", "is one 10th of what weather and the other bills say",
        "is nothing beside what weather and the other bills say",
    ]  # fmt: skip
    assert high[0].field == "line 7"
    # periods under five days are left alone
    for length, odd in ((4, []), (5, [5])):
        short = Season(
            np.repeat(np.linspace(-5.0, 12.0, 12), length)[:, None] * np.ones(24),
            np.arange(12) * length,
            np.full(12, float(length)),
        )
        assert odd_rows(even(12, length, np.where(np.arange(12) == 5, 1000.0, watts)), short)[0].tolist() == odd


def test_a_change_is_told_where_both_sides_can_carry_it() -> None:
    weather = winters(years=4)
    bills = bills_of(weather, change=(17, 0.6), noise=0.01, months=34)
    change = find_change(bills, season_of(bills, weather))
    assert change is not None
    assert abs(change.index - 17) <= 2
    assert change.ratio == pytest.approx(change.slope_after_w_k / change.slope_before_w_k)
    assert change.ratio_band[0] < change.ratio < change.ratio_band[1]
    assert change.day == bills.start_day[change.index]
    assert (
        find_change(bills.part(slice(12, 22)), season_of(bills.part(slice(12, 22)), weather)) is None
    )  # too few on either side
    found = fit_house(bills, weather, efficiency=EXACT)
    assert found.is_part
    data = as_json(found)
    assert data["change"]["fitted_since_then"] is True
    assert data["before_change"]["loss_w_k"] == pytest.approx(250.0, rel=0.05)
    assert data["design_load_kw"] == pytest.approx(found.now.design_load_w / 1000)
    assert data["base_kwh_day"] == pytest.approx(found.now.line.base_w * 24 / 1000)
    assert data["normal_year_kwh"] == pytest.approx(found.now.annual_j / 3.6e6)
    assert data["design_load_band_kw"] == pytest.approx([one / 1e3 for one in found.now.design_band_w])
    assert data["limits"] == {"cv_rmse": 0.15, "nmbe": 0.05, "met": True}
    assert data["last_day"] == str(bills.end_day[-1] - DAY)
    # by day, the day itself is found again
    days = weather.outdoor_c[:400].mean(axis=1)
    use = np.where(
        np.arange(400) < 330, 100.0 + 30.0 * np.maximum(16 - days, 0), 100.0 + 10.0 * np.maximum(16 - days, 0)
    )
    daily = Bills(
        "d",
        "electricity",
        weather.days[:400],
        weather.days[1:401],
        use * 86400.0,
        np.zeros(400, dtype=bool),
        np.zeros(400, dtype=int),
    )
    season = Season(weather.outdoor_c[:400].mean(axis=1, keepdims=True), np.arange(400), np.ones(400))
    near = replace(
        change,
        day=weather.days[320],
        balance_c=16.0,
        base_before_w=100.0,
        base_after_w=100.0,
        slope_before_w_k=30.0,
        slope_after_w_k=10.0,
    )
    assert change_day(daily, season, near) == weather.days[330]
    assert change_day(daily, season, near, reach_d=5) == weather.days[325]


def test_the_band_of_a_change_counts_its_balance_point_and_its_date() -> None:
    """Delta method on HC3 (MacKinnon and White 1985), with derivatives by differences; base, slopes, balance point and date are five."""
    weather = winters(years=4)
    bills = bills_of(weather, change=(17, 0.6), noise=0.02, months=34)
    season = season_of(bills, weather)
    found = find_change(bills, season)
    assert found is not None
    assert found.kind == "slope"
    late = np.arange(34) >= found.index

    def model(x: np.ndarray) -> np.ndarray:
        return np.asarray(x[0] + np.where(late, x[2], x[1]) * season.excess_k(float(x[3])))

    at = np.array([found.base_before_w, found.slope_before_w_k, found.slope_after_w_k, found.balance_c])
    steps = np.diag([1e-3, 1e-3, 1e-3, 1e-4])
    by = np.stack([(model(at + one) - model(at - one)) / (2 * one.max()) for one in steps], axis=1)
    root = np.sqrt(season.days)
    by, left = by * root[:, None], (bills.mean_w - model(at)) * root
    inner = np.linalg.inv(by.T @ by)
    leverage = (by @ inner * by).sum(axis=1)
    spread = inner @ (by.T * (left / (1 - leverage)) ** 2) @ by @ inner
    of_ratio = np.array([0.0, -at[2] / at[1] ** 2, 1 / at[1], 0.0])
    half = stats.t.ppf(0.95, 34 - 5) * np.sqrt(of_ratio @ spread @ of_ratio)
    assert found.ratio_band == pytest.approx((found.ratio - half, found.ratio + half), rel=1e-3)


def test_either_side_of_a_change_keeps_six_bills_and_150_days_with_warm_and_cold_ones() -> None:
    turns = np.tile([0.0, 10.0], 7)
    assert _splits(steady(turns[:11])).tolist() == []
    assert _splits(steady(turns[:12])).tolist() == [6]
    assert _splits(steady(turns)).tolist() == [6, 7, 8]
    assert _splits(steady(turns, length=25)).tolist() == [6, 7, 8]
    assert _splits(steady(turns, length=24)).tolist() == [7]  # six of 24 days are 144
    assert _splits(steady([*turns[:6], *[0.0] * 8])).tolist() == []  # nothing tells warm from cold after the sixth


def test_daily_use_is_put_into_weeks_and_weeks_are_left() -> None:
    assert _by_week(even(60, 1)).days.tolist() == [7.0] * 7 + [11.0]
    assert [_by_week(even(60, length)).n_periods for length in (5, 6, 7)] == [30, 60, 60]


def test_short_ends_of_another_household_are_left_out() -> None:
    bills = bills_of(WEATHER, noise=0.0)

    def ends(length: int, factor: float, at: int) -> int:
        start, end, energy = bills.start_day.copy(), bills.end_day.copy(), bills.energy_j.copy()
        if at:
            end[-1] = start[-1] + length * DAY
        else:
            start[0] = end[0] - length * DAY
        energy[at] *= factor * length / float(bills.days[at])
        return settled(replace(bills, start_day=start, end_day=end, energy_j=energy), WEATHER).n_periods

    usual = int(np.median(bills.days))
    for at in (0, -1):
        assert ends(usual // 2, 0.1, at) == bills.n_periods - 1
        assert ends(usual // 2, 1.0, at) == bills.n_periods
        assert ends(int(0.8 * usual), 0.1, at) == bills.n_periods  # not so short
    both = replace(bills, told="one way")
    other = replace(bills, start_day=bills.start_day + 40 * DAY, end_day=bills.end_day + 40 * DAY, told="another way")
    chosen = settled(replace(both, other=other), WEATHER)
    assert chosen.start_day[0] == bills.start_day[0]
    assert "one way, which fits the weather better than the other way" in chosen.notes
    turned = settled(replace(other, other=both), WEATHER)
    assert turned.start_day[0] == bills.start_day[0]
    with pytest.raises(InputError, match="neither fits the weather clearly better"):
        settled(replace(both, other=replace(bills, told="another way")), WEATHER)


@pytest.mark.parametrize(
    ("outdoor", "use", "said"),
    [
        (np.linspace(-10, 5, 12), lambda s: 100 + 20 * s.excess_k(16.0), "no bill is of a warm time"),
        (np.linspace(-10, 25, 12), lambda s: 300 + 20 * s.excess_k(16.0) + np.tile([90.0, -90.0], 6) * 3, "the weather explains only"),
        (np.linspace(-10, 25, 12), lambda s: 100 + 20 * s.excess_k(14.0) + 30 * np.maximum(s.mean_c() - 17.0, 0), "use rises with the heat of summer"),
        (np.linspace(-10, 25, 12), lambda s: 100 + 20 * s.excess_k(16.0) + np.tile([1.0, -1.0], 6), ""),
    ],
)  # fmt: skip
def test_what_weakens_a_fit_is_told(outdoor: np.ndarray, use: Any, said: str) -> None:
    season = steady(outdoor)
    weather = from_days("w", np.datetime64("2023-01-01"), season.outdoor_c)
    bills = even(12, 30, use(season), fuel="electricity")
    notes = [note for note in fit_bills(bills, weather).notes if note not in weather.notes]
    assert any(said in note for note in notes) if said else not notes
