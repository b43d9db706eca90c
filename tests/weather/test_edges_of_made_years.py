"""Years made of monthly means, harder winters and what is written: each formula and limit against a reckoning of its own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ndtri
from weather.layouts import truth
from weather.readings import means_of, outside_wh_m2

from costsim.errors import InputError
from costsim.weather import Weather, design_temperature
from costsim.weather.checks import months_of
from costsim.weather.history import Winter, how_unusual, left_out
from costsim.weather.means import read_means
from costsim.weather.synthesis import (
    _between_months,
    _daily_anomalies,
    _share_of_day,
    _unmet,
    bendt_clearness,
    synthesize,
)
from costsim.weather.winters import ONE_IN_TEN, colder, hard_winter
from costsim.weather.write import weather_csv

MONTHS = months_of(8760)
DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
MEANS = [-5.0, -3.0, 2.0, 8.0, 13.0, 17.0, 19.0, 18.0, 14.0, 8.0, 2.0, -3.0]


def year_of(outdoor: Any = 5.0, **more: Any) -> Weather:
    about = {
        "latitude_deg": 47.0,
        "longitude_deg": 15.0,
        "altitude_m": 0.0,
        "utc_offset_h": 1.0,
        "months": MONTHS,
        **more,
    }
    return Weather(
        "a year", "here", "made", outdoor_c=np.broadcast_to(np.asarray(outdoor, dtype=float), (8760,)).copy(), **about
    )


def test_the_sun_outside_the_atmosphere_is_that_of_a_worked_example() -> None:
    # Duffie and Beckman, example 1.10.1: 33.8 MJ/m² at 43° N on 15 April (value from memory, with 1,367 W/m²)
    assert outside_wh_m2(43.0, 105) * 3600 / 1e6 == pytest.approx(33.8 * 1361 / 1367, rel=3e-3)


@pytest.mark.parametrize("latitude", [80.0, -80.0])
def test_a_made_year_near_a_pole_has_a_night_and_a_day_of_months(latitude: float) -> None:
    """At 80° the sun stays below the horizon where it is more than 10° on the other side of the equator, and above it likewise."""
    made = synthesize(monthly_mean_c=[-10.0] * 12, latitude_deg=latitude, monthly_clearness=[0.5] * 12)
    assert all(np.isfinite(one).all() for one in (made.ghi_w_m2, made.dni_w_m2, made.dhi_w_m2))
    winter, summer = (12, 6) if latitude > 0 else (6, 12)
    assert made.ghi_w_m2[winter == MONTHS].max() == 0.0
    # half of what comes from outside, but for what no noon has under any sky: shares of hours were measured where the sun sets
    outside = sum(outside_wh_m2(latitude, day) for day in range(1, 366) if MONTHS[24 * day - 1] == summer)
    assert made.ghi_w_m2[summer == MONTHS].sum() == pytest.approx(0.5 * outside, rel=0.04)
    assert made.ghi_w_m2[summer == MONTHS].min() > 0.0


def test_days_of_a_month_are_spread_as_bendt_and_others_found() -> None:
    """Their density rises as exp(γ K) from 0.05 to a highest clearness; γ by its condition on the mean, not by the printed fit."""
    for mean in (0.35, 0.45, 0.55, 0.65):
        top = 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8  # Hollands and Huget (1983), value from memory

        def off(gamma: float, top: float = top, mean: float = mean) -> float:
            low, high = np.exp(gamma * 0.05), np.exp(gamma * top)
            return ((0.05 - 1 / gamma) * low - (top - 1 / gamma) * high) / (low - high) - mean

        gamma = brentq(off, 1e-3, 60.0) if off(1e-3) * off(60.0) < 0 else brentq(off, -60.0, -1e-3)
        at = (np.arange(31) + 0.5) / 31
        low, high = np.exp(gamma * 0.05), np.exp(gamma * top)
        by_root = np.log(low + at * (high - low)) / gamma
        found = bendt_clearness(mean, 31)
        assert found == pytest.approx(by_root, abs=0.012)
        assert found.mean() == pytest.approx(mean, abs=1e-3)
        assert found[-1] < top


def test_hours_of_a_day_share_its_sun_as_collares_pereira_and_rabl_say() -> None:
    # r = π/24 (a + b cos ω)(cos ω − cos ω_s)/(sin ω_s − ω_s cos ω_s), a = 0.409 + 0.5016 sin(ω_s − 60°), b = 0.6609 − 0.4767 sin(ω_s − 60°)
    omega = np.radians(15.0 * (np.arange(24) + 0.5 - 12))[None, :]
    for sunset in (60.0, 90.0, 110.0):
        end, lag = np.radians(sunset), np.radians(sunset - 60.0)
        a, b = 0.409 + 0.5016 * np.sin(lag), 0.6609 - 0.4767 * np.sin(lag)
        by_hand = np.where(np.abs(omega) < end, (a + b * np.cos(omega)) * (np.cos(omega) - np.cos(end)), 0.0)
        found = _share_of_day(omega, np.array([[end]]))
        assert found == pytest.approx(by_hand / by_hand.sum())
    assert _share_of_day(omega, np.array([[0.0]])).sum() == 0.0  # the polar night


def test_a_made_year_s_sun_is_its_clearness_and_its_noon_the_place_s() -> None:
    clear = [0.35, 0.4, 0.45, 0.5, 0.5, 0.55, 0.55, 0.5, 0.5, 0.45, 0.4, 0.35]
    made = synthesize(
        monthly_mean_c=MEANS, latitude_deg=40.0, longitude_deg=20.0, utc_offset_h=1.0, monthly_clearness=clear
    )
    assert means_of(made)[1] == pytest.approx(clear, rel=0.02)
    outside = np.array([outside_wh_m2(40.0, day) for day in range(1, 366)])
    days = made.ghi_w_m2.reshape(365, 24).sum(axis=1) / outside
    for month in (1, 6):
        mine = np.sort(days[MONTHS[::24] == month])
        assert mine == pytest.approx(bendt_clearness(clear[month - 1], len(mine)), abs=0.02)
    # 20° E on the clock of 15° E: the sun stands highest twenty minutes before noon
    hours = made.ghi_w_m2.reshape(365, 24).sum(axis=0)
    assert (hours * (np.arange(24) + 0.5)).sum() / hours.sum() == pytest.approx(12 - 1 / 3, abs=0.03)
    assert (made.dhi_w_m2 <= made.ghi_w_m2 + 1e-6).all()
    assert made.dni_w_m2.max() <= 1200.0
    height = np.maximum((made.ghi_w_m2 - made.dhi_w_m2) / np.maximum(made.dni_w_m2, 1e-9), 0)
    assert height[made.dni_w_m2 > 100].max() <= 1.0
    own = synthesize(monthly_mean_c=MEANS, latitude_deg=40.0, utc_offset_h=-5.0, monthly_clearness=clear)
    assert own.longitude_deg == -75.0
    assert not any(one.flags.writeable for one in (own.outdoor_c, own.ghi_w_m2))


def test_a_day_of_a_made_year_has_the_published_course() -> None:
    """Erbs and others: the swing is 25.8 K of clearness less 5.21 K, at least one; without days of their own nothing else is left."""
    hour = np.arange(24) + 0.5
    tau = 2 * np.pi * (hour - 1) / 24
    course = (
        0.4632 * np.cos(tau - 3.805)
        + 0.0984 * np.cos(2 * tau - 0.360)
        + 0.0168 * np.cos(3 * tau - 0.822)
        + 0.0138 * np.cos(4 * tau - 3.513)
    )
    for clear, swing in ((0.6, 25.8 * 0.6 - 5.21), (0.2, 1.0)):
        made = synthesize(
            monthly_mean_c=[10.0] * 12, latitude_deg=47.0, monthly_clearness=[clear] * 12, design_99_c=30.0
        )
        assert made.outdoor_c[:48] == pytest.approx(10.0 + swing * np.tile(course - course.mean(), 2), abs=1e-6)
        assert "not above the 30.0 °C asked for" in made.notes[0]
    plain = synthesize(
        monthly_mean_c=[10.0] * 12, latitude_deg=47.0, design_99_c=30.0
    )  # a clearness of a half without one
    assert np.ptp(plain.outdoor_c[:24]) == pytest.approx((25.8 * 0.5 - 5.21) * np.ptp(course))
    # half a kelvin from what was asked for is no fault
    for asked, told in ((10.0, False), (9.5, False), (9.4, True), (10.5, False), (10.6, True)):
        assert bool(_unmet(asked, np.full(8760, 10.0))) is told
    assert _unmet(None, np.full(8760, 10.0)) == ()
    # of 0, 10, 20 … 1,000 °C one in a hundred lies below the second
    assert [len(_unmet(asked, np.arange(0.0, 1001.0, 10.0))) for asked in (10.0, 10.6, 9.4)] == [0, 1, 1]
    middle = _between_months(np.array(MEANS))
    begun = 0
    for length, mean in zip(DAYS, MEANS, strict=True):
        at = begun + (length - 1) / 2
        assert np.interp(at, np.arange(365), middle) == pytest.approx(mean, abs=0.05)
        begun += length
    for mean, design in ((-5.0, -14.0), (-5.0, -10.0)):
        made = synthesize(monthly_mean_c=[mean, *MEANS[1:]], latitude_deg=47.0, design_99_c=design)
        assert np.percentile(made.outdoor_c, 1.0) == pytest.approx(design, abs=0.05)
        assert made.notes == ()
        assert [made.outdoor_c[month == MONTHS].mean() for month in range(1, 13)] == pytest.approx(MEANS)


def test_days_of_a_month_stray_as_far_as_published() -> None:
    """Erbs and others: σ of monthly means is 1.45 − 0.0290 T + 0.0664 σ of the year, times √30.4 for days; half of it in the coldest month."""
    means = np.array(MEANS)
    month = np.repeat(np.arange(12), DAYS)
    published = np.maximum(1.45 - 0.0290 * means + 0.0664 * means.std(), 0.3)
    found = _daily_anomalies(means, np.random.default_rng(5))
    for one in range(12):
        quantiles = ndtri((np.arange(DAYS[one]) + 0.5) / DAYS[one])
        calmer = published[one] * np.sqrt(published[one] / published.max())
        assert np.sort(found[month == one]) == pytest.approx(0.5 * np.sqrt(30.4) * calmer * quantiles)
    hot = _daily_anomalies(np.full(12, 60.0), np.random.default_rng(5))
    assert np.ptp(hot) == pytest.approx(2 * 0.5 * np.sqrt(30.4) * 0.3 * ndtri(30.5 / 31))
    # each day goes with the one before by 0.65; ranks of single months blur it a little
    lag, rng = [], np.random.default_rng(1)
    for seed in range(60):
        path = _daily_anomalies(np.zeros(12), np.random.default_rng(seed))
        lag.append(np.corrcoef(path[:-1], path[1:])[0, 1])
    theirs = []
    for _ in range(60):
        noise, path = rng.standard_normal(366), np.empty(366)
        path[0] = noise[0]
        for day in range(1, 366):
            path[day] = 0.65 * path[day - 1] + np.sqrt(1 - 0.65**2) * noise[day]
        ranked = np.empty(365)
        for one in range(12):
            ranks = np.argsort(np.argsort(path[1:][month == one]))
            ranked[month == one] = ndtri((ranks + 0.5) / DAYS[one])
        theirs.append(np.corrcoef(ranked[:-1], ranked[1:])[0, 1])
    assert np.mean(lag) == pytest.approx(np.mean(theirs), abs=0.025)


def test_means_and_clearness_that_no_place_has_are_refused() -> None:
    for clear in (0.15, 0.8):
        synthesize(monthly_mean_c=MEANS, latitude_deg=47.0, monthly_clearness=[clear] * 12)
    for clear in (0.149, 0.801):
        with pytest.raises(ValueError, match=r"between 0\.15 and 0\.8"):
            synthesize(monthly_mean_c=MEANS, latitude_deg=47.0, monthly_clearness=[*[0.5] * 11, clear])
    for wrong in ([1.0] * 11, [*[1.0] * 11, np.nan]):
        with pytest.raises(ValueError, match="twelve numbers"):
            synthesize(monthly_mean_c=wrong, latitude_deg=47.0)

    def table(*rows: str, head: str = "month,mean [degC],clearness") -> dict[str, Any]:
        about = "# latitude: 47.0\n# longitude: 12.0\n# utc_offset: 1\n"
        return read_means("m.csv", content=(about + head + "\n" + "\n".join(rows) + "\n").encode())

    rows = [f"{month},{mean},0.5" for month, mean in enumerate(MEANS, 1)]
    found = table(*rows)
    assert (found["monthly_mean_c"], found["monthly_clearness"], found["latitude_deg"]) == (MEANS, [0.5] * 12, 47.0)
    warm = table(*(f"{month},{mean * 1.8 + 32}" for month, mean in enumerate(MEANS, 1)), head="month,mean [degF]")
    assert (warm["monthly_mean_c"], "monthly_clearness" in warm) == (pytest.approx(MEANS), False)
    assert table("1,-80,0.15", "2,130,0.8", *rows[2:])["monthly_mean_c"][:2] == [-80.0, 130.0]
    for wrong, said in (("13,5,0.5", "is no month of its own"), ("2,5,0.5", "is no month of its own"), ("0,5,0.5", "is no month of its own"),
                        ("1,-81,0.5", "has no mean temperature"), ("1,131,0.5", "has no mean temperature"), ("1,5,0.81", "is no clearness index"),
                        ("1,5,0.14", "is no clearness index")):  # fmt: skip
        with pytest.raises(InputError, match=said):
            table(wrong, *rows[1:])
    with pytest.raises(InputError, match="11 months were found"):
        table(*rows[:11])


# winters


def test_a_winter_is_made_colder_by_a_share_and_chosen_by_its_rank() -> None:
    year = year_of(truth())
    for share in (0.2, -0.3):
        found = colder(year, share)
        assert found.degree_hours_k_h(18.0) != year.degree_hours_k_h(18.0)
        assert found.degree_days_k_d(18.333333) == pytest.approx(
            year.degree_days_k_d(18.333333) * (1 + share), rel=1e-6
        )
        shift = year.outdoor_c - found.outdoor_c
        assert np.ptp(shift) < 1e-9
        assert (shift[0] > 0) == (share > 0)
        assert f"made {share:+.1%} in degree-days" in found.title
        assert f"all hours {-shift[0]:+.2f} K" in found.source
        assert design_temperature(found)[0] == pytest.approx(np.percentile(year.outdoor_c, 1))
    # one winter in ten: 1.2816 standard deviations of 5.5 %
    assert pytest.approx(ndtri(0.9) * 0.055) == ONE_IN_TEN
    with pytest.raises(ValueError, match="no degree-hours"):
        colder(year, -1.0)
    years = [year_of(10.0 - at) for at in range(10)]
    assert [hard_winter(years, share=share).outdoor_c[0] for share in (0.9, 0.91, 1.0, 0.05)] == [2.0, 1.0, 1.0, 10.0]
    assert hard_winter(years[:1]).outdoor_c[0] == 10.0
    with pytest.raises(ValueError, match="no years"):
        hard_winter([])


def test_how_unusual_a_winter_is_takes_five_before_it() -> None:
    winters = [
        Winter(str(at), year_of(), float(days), -10.0) for at, days in enumerate((3000, 3100, 3200, 3300, 3400, 3200))
    ]
    found = how_unusual(winters)
    assert (found.milder, found.others, found.mean_k_d, found.colder, found.one_in) == (2, 5, 3200.0, True, 2.0)
    assert found.spread_k_d == pytest.approx(np.std([3000, 3100, 3200, 3300, 3400], ddof=1))
    assert not how_unusual([*winters[:5], replace(winters[0], degree_days_k_d=3199.0)]).colder
    same = [replace(one, degree_days_k_d=3000.0) for one in winters]
    assert (how_unusual(same).one_in, how_unusual([*same[:5], winters[1]]).one_in) == (2.0, float("inf"))
    for count in (5, 1):
        with pytest.raises(
            InputError, match=f"{count} whole winter{'s were' if count > 1 else ' was'} found, and 6 are the fewest"
        ):
            how_unusual(winters[:count])
    named = [(str(at), year_of(years=(at,))) for at in (2010, 2011, 2014)]
    assert left_out(named) == "left out, since hours are missing: 2012, 2013"
    pairs = [(str(at), year_of(years=(at, at + 1))) for at in (1998, 2000)]
    assert left_out(pairs) == "left out, since hours are missing: 1999–00"
    assert left_out([("x", year_of())]) == left_out(named[:2]) == ""


def test_the_colder_half_of_the_year_tells_the_hemisphere_without_a_latitude() -> None:
    swing = np.cos(2 * np.pi * np.arange(8760) / 8760)
    assert [year_of(sign * swing, latitude_deg=np.nan).southern for sign in (1, -1)] == [True, False]
    assert [year_of(swing, latitude_deg=at).southern for at in (-0.1, 0.0, 0.1)] == [True, False, False]
    assert year_of(5.0).degree_days_k_d(15.0) == pytest.approx(3650.0)
    assert year_of(np.tile([0.0] * 12 + [20.0] * 12, 365)).daily_mean_degree_days_k_d(15.0) == pytest.approx(5 * 365)
    assert year_of(np.arange(8760.0)).percentile_design_c(0.99) == pytest.approx(87.59)


def test_what_is_written_is_what_was_known() -> None:
    text = weather_csv(
        year_of(1.25, years=(2023,), wind_m_s=np.full(8760, 2.34), ghi_w_m2=np.full(8760, 99.6)), decimals=2
    )
    assert "time,outdoor [degC],ghi [W/m2],wind [m/s]\n2023-01-01 00:00,1.25,100,2.3\n" in text
    assert text.endswith("2023-12-31 23:00,1.25,100,2.3\n")
    assert "# synthetic: no\n" in text
    for more in ({"years": (2023, 2024)}, {"years": (2024,)}, {"years": (2023,), "synthetic": True}, {}):
        text = weather_csv(year_of(1.0, longitude_deg=np.nan, notes=("two  words",), **more))
        assert "\noutdoor [degC]\n1.0\n" in text
        assert "# longitude" not in text
        assert "# note: two words\n" in text
        assert ("# years: 2023 2024\n" in text) == (len(more.get("years", ())) == 2)
    for year, n in ((1900, 8760), (2000, 8784)):
        leap = Weather("a", "b", "c", 47.0, 15.0, 0.0, 1.0, months_of(n), np.zeros(n), years=(year,))
        assert f"{year}-12-31 23:00,0.0" in weather_csv(leap)
