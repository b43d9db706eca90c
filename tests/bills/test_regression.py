"""From bills back to the house: known houses are found again, and what cannot carry a fit is refused in plain lines."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from bills.houses import bills_of, winters
from scipy.optimize import curve_fit

from costsim.bills.change import find_change
from costsim.bills.fit import Efficiency, read_efficiency
from costsim.bills.house import fit_house
from costsim.bills.line import best_line, covariance, jacobian, line_at, robust_spread, season_of
from costsim.bills.model import Bills, joined
from costsim.bills.regression import fit_bills
from costsim.bills.temperatures import Temperatures, from_days
from costsim.errors import InputError

EXACT = Efficiency(1.0, 1.0, 1.0, "as given")
WEATHER, LONG = winters(), winters(years=4)


def part(bills: Bills, first: str, end: str) -> Bills:
    """Bills that lie within dates."""
    at = np.searchsorted(bills.start_day, np.array([first, end], dtype="datetime64[D]"))
    return bills.part(slice(int(at[0]), int(at[1])))


def lines_of(bills: Bills, weather: Temperatures = WEATHER) -> list[str]:
    with pytest.raises(InputError) as caught:
        fit_bills(bills, weather)
    return str(caught.value).split("\n")


@pytest.mark.parametrize("seed", range(8))
def test_a_known_house_is_found_within_two_percent(seed: int) -> None:
    """Bills of 24 to 37 days over three years, each 1 % off by chance (rule of ours: recover within 2 %)."""
    weather = winters(seed, years=4)
    fit = fit_bills(bills_of(weather, noise=0.01, seed=100 + seed, months=36), weather, efficiency=EXACT)
    assert fit.loss_w_k == pytest.approx(250.0, rel=0.02)
    assert fit.line.balance_c == pytest.approx(16.0, abs=0.3)
    assert fit.line.base_w == pytest.approx(400.0, abs=20.0)
    assert fit.design_load_w == pytest.approx(250.0 * (16.0 - fit.design_c), rel=0.02)
    assert fit.meets_limits


@pytest.mark.long
def test_more_noise_scatters_the_house_but_does_not_bend_it() -> None:
    """Bills 4 % off by chance: one fit may be some percent off, the mean of 60 is not."""
    fits = [fit_bills(bills_of(WEATHER, noise=0.04, seed=seed), WEATHER, efficiency=EXACT) for seed in range(60)]
    assert np.mean([fit.loss_w_k for fit in fits]) == pytest.approx(250.0, rel=0.015)
    assert np.mean([fit.design_load_w for fit in fits]) == pytest.approx(250.0 * (16.0 - fits[0].design_c), rel=0.01)


@pytest.mark.parametrize(
    ("base_w", "slope_w_k", "balance_c"), [(0.0, 90.0, 13.0), (150.0, 320.0, 18.5), (900.0, 60.0, 10.0)]
)
def test_bills_without_noise_give_the_house_exactly(base_w: float, slope_w_k: float, balance_c: float) -> None:
    bills = bills_of(WEATHER, base_w=base_w, slope_w_k=slope_w_k, balance_c=balance_c, noise=0.0)
    fit = fit_bills(bills, WEATHER, efficiency=EXACT)
    assert fit.loss_w_k == pytest.approx(slope_w_k, rel=1e-3)
    assert fit.line.balance_c == pytest.approx(balance_c, abs=0.01)
    assert fit.line.base_w == pytest.approx(base_w, abs=2.0)
    assert fit.r2 > 0.999999


@pytest.mark.long
def test_the_bands_hold_the_truth_about_nine_times_in_ten() -> None:
    """Coverage over 200 scenarios: a binomial share of 0.9 lies within 0.83 and 0.96 (three standard deviations)."""
    inside = np.zeros((200, 3), dtype=bool)
    for draw in range(200):
        fit = fit_bills(bills_of(WEATHER, noise=0.06, seed=draw, months=24), WEATHER, efficiency=EXACT)
        for at, (band, truth) in enumerate(
            (
                (fit.slope_band_w_k, 250.0),
                (fit.balance_band_c, 16.0),
                (fit.design_band_w, 250.0 * (16.0 - fit.design_c)),
            )
        ):
            inside[draw, at] = band[0] <= truth <= band[1]
    assert ((inside.mean(axis=0) > 0.83) & (inside.mean(axis=0) < 0.97)).all(), inside.mean(axis=0)


def test_the_line_is_the_one_of_weighted_least_squares() -> None:
    """Against the closed form of the weighted mean and slope, and numpy's own fit."""
    bills = bills_of(WEATHER, noise=0.1)
    season = season_of(bills, WEATHER)
    excess, weight, use = season.excess_k(15.0), bills.days, bills.mean_w
    mean_x, mean_y = (weight * excess).sum() / weight.sum(), (weight * use).sum() / weight.sum()
    slope = (weight * (excess - mean_x) * (use - mean_y)).sum() / (weight * (excess - mean_x) ** 2).sum()
    line = line_at(season, use, 15.0)
    assert line.slope_w_k == pytest.approx(slope, rel=1e-10)
    assert line.base_w == pytest.approx(mean_y - slope * mean_x, rel=1e-10)
    np.testing.assert_allclose(np.polyfit(excess, use, 1, w=np.sqrt(weight)), [line.slope_w_k, line.base_w], rtol=1e-9)
    zero = line_at(season, use, 15.0, through_zero=True)
    assert zero.slope_w_k == pytest.approx((weight * excess * use).sum() / (weight * excess**2).sum(), rel=1e-10)


def test_degree_hours_are_clipped_hour_by_hour_over_the_bills_own_days() -> None:
    bills = bills_of(WEATHER)
    season = season_of(bills, WEATHER)
    first = int((bills.start_day[3] - WEATHER.first_day).astype(int))
    hours = WEATHER.outdoor_c[first : first + int(bills.days[3])].ravel()
    assert season.excess_k(12.0)[3] == pytest.approx(np.mean([max(12.0 - t, 0.0) for t in hours]))
    assert season.cold_share(12.0)[3] == pytest.approx(np.mean(hours < 12.0))


def test_the_search_ends_where_a_general_least_squares_does() -> None:
    """Levenberg and Marquardt over all three at once, with the weights as standard deviations."""
    bills = bills_of(WEATHER, noise=0.05, seed=9)
    season = season_of(bills, WEATHER)

    def use(_: object, base: float, slope: float, balance: float) -> np.ndarray:
        return base + slope * season.excess_k(balance)

    found, _ = curve_fit(use, np.arange(bills.n_periods), bills.mean_w, p0=(300.0, 200.0, 15.0), sigma=bills.days**-0.5)
    line = best_line(season, bills.mean_w)
    np.testing.assert_allclose([line.base_w, line.slope_w_k, line.balance_c], found, rtol=1e-3)


def test_the_covariance_is_the_sandwich_of_the_left_out_residuals() -> None:
    """HC3 written out in plain matrices, and the derivatives by difference."""
    bills = bills_of(WEATHER, noise=0.05, seed=9)
    season = season_of(bills, WEATHER)
    line = best_line(season, bills.mean_w)
    columns = jacobian(season, line)
    step = (season.excess_k(line.balance_c + 1e-4) - season.excess_k(line.balance_c - 1e-4)) / 2e-4
    np.testing.assert_allclose(columns[:, 2], line.slope_w_k * step, atol=2.0)
    x = columns * np.sqrt(bills.days)[:, None]
    left = (bills.mean_w - line.at(season.excess_k(line.balance_c))) * np.sqrt(bills.days)
    inner = np.linalg.inv(x.T @ x)
    hat = np.diag(x @ inner @ x.T)
    middle = x.T @ np.diag((left / (1 - hat)) ** 2) @ x
    np.testing.assert_allclose(covariance(season, line, bills.mean_w), inner @ middle @ inner, rtol=1e-6)


def test_the_measures_are_those_of_the_guideline() -> None:
    """CV(RMSE) and NMBE of ASHRAE Guideline 14-2014 (formulas from memory): n minus p below, over the mean."""
    fit = fit_bills(bills_of(WEATHER, noise=0.08, seed=4), WEATHER)
    left, mean = fit.bills.energy_j - fit.fitted_j, fit.bills.energy_j.mean()
    assert fit.cv_rmse == pytest.approx(np.sqrt((left**2).sum() / (30 - 3)) / mean)
    assert fit.nmbe == pytest.approx(left.sum() / (30 - 3) / mean, abs=1e-12)
    assert 0.04 < fit.cv_rmse < 0.12
    assert fit.meets_limits
    assert not fit_bills(bills_of(WEATHER, noise=0.4, seed=4), WEATHER).meets_limits


@pytest.mark.parametrize("factor", [10.0, 0.1, 100.0])
def test_a_missed_decimal_is_found_and_named(factor: float) -> None:
    bills = bills_of(WEATHER)
    energy = bills.energy_j.copy()
    energy[11] *= factor
    told = lines_of(replace(bills, energy_j=energy))
    assert len(told) == 1
    assert told[0].startswith("made.csv: line 13: the bill from ")
    assert "check the decimal point" in told[0]


def test_cold_spells_and_honest_noise_are_no_missed_decimals() -> None:
    for seed in range(30):
        fit_bills(bills_of(WEATHER, noise=0.15, seed=seed), WEATHER)


def test_summer_bills_alone_are_refused() -> None:
    told = lines_of(part(bills_of(WEATHER), "2021-05-01", "2021-09-20"))
    (line,) = told
    assert "days, none of them in the three coldest months of the weather; at least nine months are needed" in line


def test_nine_months_without_a_winter_are_refused() -> None:
    told = lines_of(part(bills_of(WEATHER), "2021-03-01", "2021-11-20"))
    assert any("coldest months" in line or "nine months" in line for line in told)


@pytest.mark.parametrize(("first", "shift", "words"), [(10, -3, "begins 3 days before"), (14, 0, "no bill covers the")])
def test_overlapping_and_missing_periods_are_refused_in_one_line(first: int, shift: int, words: str) -> None:
    bills = bills_of(WEATHER)
    one, two = bills.part(slice(0, 10)), bills.part(slice(first, 20))
    two = replace(two, start_day=two.start_day.copy())
    two.start_day[0] += np.timedelta64(shift, "D")
    with pytest.raises(InputError) as caught:
        joined([one, two])
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_one_missing_bill_is_left_out_and_told() -> None:
    bills = bills_of(WEATHER, noise=0.0)
    keep = np.arange(bills.n_periods) != 8
    (gappy,) = joined([bills.part(slice(0, 8)), bills.part(slice(9, None))])
    assert any("no bill covers" in note and "left out of the fit" in note for note in gappy.notes)
    found, whole = fit_house(gappy, WEATHER).now, fit_house(bills, WEATHER).now
    assert found.bills.n_periods == keep.sum()
    assert found.loss_w_k == pytest.approx(whole.loss_w_k, rel=1e-6)
    assert found.line.balance_c == pytest.approx(whole.line.balance_c, abs=1e-3)


def test_weather_that_ends_before_the_last_bill_leaves_it_out_and_tells() -> None:
    bills = bills_of(WEATHER)
    days = int((bills.end_day[-1] - WEATHER.first_day).astype(int)) - 3
    found = fit_house(bills, replace(WEATHER, outdoor_c=WEATHER.outdoor_c[:days])).now
    assert found.bills.n_periods == bills.n_periods - 1
    assert any(f"1 of {bills.n_periods} bills lie outside" in note for note in found.bills.notes)


def test_a_short_first_bill_of_another_household_is_left_out_and_told() -> None:
    bills = bills_of(WEATHER)
    start = bills.start_day.copy()
    start[0] = bills.end_day[0] - np.timedelta64(10, "D")
    energy = bills.energy_j.copy()
    energy[0] *= 10.0 / bills.days[0] / 8.0
    found = fit_house(replace(bills, start_day=start, energy_j=energy), WEATHER).now
    assert found.bills.n_periods == bills.n_periods - 1
    assert any("as when somebody moves" in note for note in found.bills.notes)


def test_use_that_falls_with_the_cold_is_refused() -> None:
    bills = bills_of(WEATHER, noise=0.0)
    told = lines_of(replace(bills, energy_j=(3000.0 - bills.mean_w / 3) * bills.days * 86400.0))
    assert len(told) == 1
    assert "does not rise with the cold" in told[0]


def test_weather_of_other_years_is_refused() -> None:
    bills, later = bills_of(WEATHER), np.timedelta64(3000, "D")
    late = replace(bills, start_day=bills.start_day + later, end_day=bills.end_day + later)
    told = lines_of(late)
    assert len(told) == 1
    assert "the weather runs from 2020-01-01" in told[0]


def test_a_doubtful_efficiency_widens_the_loss_and_not_the_fuel() -> None:
    bills = bills_of(WEATHER, noise=0.01)
    sharp = fit_bills(bills, WEATHER, efficiency=read_efficiency("80 %"))
    wide = fit_bills(bills, WEATHER, efficiency=read_efficiency("70 % to 90 %"))
    assert sharp.slope_band_w_k == wide.slope_band_w_k
    assert sharp.loss_w_k == pytest.approx(wide.loss_w_k)
    assert wide.loss_band_w_k[1] - wide.loss_w_k == pytest.approx(wide.loss_w_k / 8, rel=0.05)
    with pytest.raises(InputError, match="no seasonal efficiency"):
        read_efficiency("5 %")


@pytest.mark.parametrize("houses", [4, pytest.param(30, marks=pytest.mark.long)])
def test_a_changed_house_is_seen_at_its_bill(houses: int) -> None:
    """The loss falls by a fifth in the middle of the second winter (the 23rd bill), with 3 % noise."""
    inside = 0
    for seed in range(houses):
        found = fit_house(bills_of(LONG, change=(22, 0.8), seed=seed, months=34), LONG, efficiency=EXACT)
        assert found.change is not None
        assert abs(found.change.index - 22) <= 1
        assert found.change.ratio == pytest.approx(0.8, abs=0.06)
        assert found.is_part
        inside += found.change.ratio_band[0] < 0.8 < found.change.ratio_band[1]
    assert (
        inside >= houses * 2 // 3
    )  # the date was searched as well, which the band does not know: it holds the truth 8 times in 10


def test_a_change_in_summer_is_seen_without_its_day() -> None:
    """Bills without heating cannot tell the day: any of that summer's is right."""
    bills = bills_of(LONG, change=(18, 0.8), months=34)
    found = fit_house(bills, LONG, efficiency=EXACT)
    assert found.change is not None
    assert np.datetime64("2021-04-20") < found.change.day < np.datetime64("2021-11-01")
    assert found.change.ratio_band[0] < 0.8 < found.change.ratio_band[1]


@pytest.mark.parametrize("houses", [6, pytest.param(40, marks=pytest.mark.long)])
def test_an_unchanged_house_has_no_change(houses: int) -> None:
    """Of 40 houses with noise at most one is said to have changed."""
    seen = [fit_house(bills_of(WEATHER, noise=0.06, seed=seed), WEATHER).change is not None for seed in range(houses)]
    assert sum(seen) <= 1


def test_daily_means_give_nearly_the_same_house() -> None:
    """Degree-days from daily means understate mild days, by less than 5 % where winters are real (model.md section 1)."""
    daily = from_days("daily means", WEATHER.first_day, WEATHER.outdoor_c.mean(axis=1, keepdims=True))
    fit = fit_bills(bills_of(WEATHER, noise=0.0), daily, efficiency=EXACT)
    assert fit.loss_w_k == pytest.approx(250.0, rel=0.05)


def test_a_mild_winter_beside_a_typical_year_is_no_change() -> None:
    """Bills of unlike winters, judged by one year's weather: no change is told, since none can be."""
    typical = replace(
        WEATHER, outdoor_c=WEATHER.outdoor_c[366:731], first_day=np.datetime64("2023-01-01"), typical=True
    )
    found = fit_house(bills_of(WEATHER, change=(18, 0.7)), typical)
    assert found.change is None
    assert found.now.cv_rmse > fit_house(bills_of(WEATHER), WEATHER).now.cv_rmse


@pytest.mark.parametrize("seed", range(4))
def test_a_house_is_found_from_deliveries_that_fill_the_tank_unevenly(seed: int) -> None:
    """Each fill stops up to 3 % of a fill off the mark; what is too much now is too little the next time."""
    fills = bills_of(LONG, noise=0.0, months=34, fuel="propane")
    missed = 0.03 * fills.energy_j.mean() * np.random.default_rng(seed).standard_normal(35)
    uneven = replace(fills, energy_j=fills.energy_j + np.diff(missed), delivered=True)
    fit = fit_bills(uneven, LONG, efficiency=EXACT)
    assert fit.loss_w_k == pytest.approx(250.0, rel=0.04)
    assert fit.line.balance_c == pytest.approx(16.0, abs=0.8)


def test_line_and_change_against_independent_fits() -> None:
    """Statsmodels at the balance point found, with its HC3 errors; scipy's curve fit for all three; two segments for a change."""
    import statsmodels.api as statsmodels

    bills = bills_of(WEATHER, noise=0.04)
    season = season_of(bills, WEATHER)
    line = best_line(season, bills.mean_w)
    columns = statsmodels.add_constant(season.excess_k(line.balance_c))
    theirs = statsmodels.WLS(bills.mean_w, columns, weights=bills.days).fit(cov_type="HC3")
    assert (line.base_w, line.slope_w_k) == pytest.approx(tuple(theirs.params), rel=1e-9)
    ours = robust_spread(columns * np.sqrt(bills.days)[:, None], (bills.mean_w - line.at(season.excess_k(line.balance_c))) * np.sqrt(bills.days))  # fmt: skip
    np.testing.assert_allclose(ours, theirs.cov_params(), rtol=1e-6)

    def model(_: np.ndarray, base: float, slope: float, balance: float) -> np.ndarray:
        return base + slope * season.excess_k(balance)

    found, _ = curve_fit(
        model, np.zeros(bills.n_periods), bills.mean_w, p0=(300.0, 200.0, 15.0), sigma=bills.days**-0.5
    )
    assert tuple(found) == pytest.approx((line.base_w, line.slope_w_k, line.balance_c), rel=2e-3)

    changed = bills_of(WEATHER, noise=0.02, change=(14, 0.7))
    season = season_of(changed, WEATHER)
    change = find_change(changed, season)
    assert change is not None
    assert change.index == 14
    late = np.arange(changed.n_periods) >= change.index
    excess = season.excess_k(change.balance_c)
    parts = statsmodels.add_constant(np.column_stack((excess * ~late, excess * late)))
    two = statsmodels.WLS(changed.mean_w, parts, weights=changed.days).fit()
    if change.kind == "slope":
        assert (change.slope_before_w_k, change.slope_after_w_k) == pytest.approx(tuple(two.params[1:]), rel=1e-6)
    assert change.ratio == pytest.approx(0.7, abs=0.04)
