"""What a year of hours is taken for where one hour or one month tells: the side of the equator, borrowed hours, rows a year."""

from __future__ import annotations

import math

import numpy as np
import pytest
from weather.readings import hours_of

from costsim.weather.checks import count_faults, months_of
from costsim.weather.model import Weather, design_temperature
from costsim.weather.years import whole_years


def year(outdoor_c: np.ndarray, latitude_deg: float = math.nan, **more: object) -> Weather:
    return Weather("", "", "", latitude_deg, 0.0, 0.0, 0.0, months_of(len(outdoor_c)), outdoor_c, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("month", range(1, 13))
def test_a_place_of_which_no_latitude_is_stated_lies_south_where_the_middle_of_its_year_is_colder(month: int) -> None:
    """December to February against June to August, each of the six months alone."""
    here = months_of(8760) == month
    assert year(np.where(here, -1.0, 0.0)).southern == (month in (6, 7, 8))
    assert year(np.where(here, 1.0, 0.0)).southern == (month in (12, 1, 2))
    assert not year(np.zeros(8760)).southern


def test_a_latitude_tells_the_side_of_the_equator_whatever_the_air_is() -> None:
    cold_july = np.where(months_of(8760) == 7, -9.0, 0.0)
    assert [year(cold_july, latitude).southern for latitude in (-0.1, 0.0, 0.1)] == [True, False, False]
    assert year(np.zeros(8760), -40.0).southern


def test_degrees_are_counted_below_the_base_by_hour_and_by_day() -> None:
    """A day of 12 hours at 8 °C and 12 at 16 °C below a base of 14 °C: 72 K h, 3 K d, and 2 K d by its mean of 12 °C."""
    warm = np.full(8784, 20.0)
    warm[:12], warm[12:24] = 8.0, 16.0
    one = year(warm)
    assert (one.n_hours, one.degree_hours_k_h(14.0), one.degree_days_k_d(14.0), one.daily_mean_degree_days_k_d(14.0)) == (
        8784, 72.0, 3.0, 2.0,
    )  # fmt: skip


def test_a_header_s_design_temperature_goes_before_that_of_the_hours() -> None:
    """Hours at 1, 2 … 101 °C: 99 % of them lie above the second."""
    hours = np.arange(1.0, 102.0)
    bare = Weather("", "", "", 47.0, 0.0, 0.0, 0.0, np.ones(101, dtype=np.int8), hours)
    assert bare.percentile_design_c(0.99) == pytest.approx(2.0)
    assert design_temperature(bare) == (
        pytest.approx(2.0),
        "it is colder than this only about 88 hours a year in the weather file",
    )
    stated = Weather("", "", "", 47.0, 0.0, 0.0, 0.0, np.ones(101, dtype=np.int8), hours, design_99_c=0.0)
    assert design_temperature(stated) == (0.0, "99 % value in the weather file's header")


def test_an_edge_is_lent_by_the_first_hours_of_all_and_never_by_hours_that_are_not_there() -> None:
    """Hours from 31 December 2021 on, without the last day of 2022: it comes from that 31 December, hour by hour."""
    (one,) = whole_years(hours_of("2021-12-31", 8760))
    assert one.name == "2022"
    assert one.values["outdoor"][8736:].tolist() == list(range(24))
    assert one.notes[0] == "24 hours at the year's edge come from the same day of the year beside"
    # five hours late, and no year beside: they take the first hour's value
    (late,) = whole_years(hours_of("2022-01-01T05", 8755))
    assert late.values["outdoor"][:7].tolist() == [0, 0, 0, 0, 0, 0, 1]
    assert late.notes == ("outdoor: 5 missing hours were interpolated, the longest run 5 h",)
    # one hour more lends its own to the first
    (lent,) = whole_years(hours_of("2022-01-01T05", 8756))
    assert lent.values["outdoor"][:2].tolist() == [8755, 8755 * 0.8]
    assert lent.notes[0] == "1 hours at the year's edge come from the same day of the year beside"


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (17_520, "17,520 rows without times were found, 2 for each hour"),
        (17_568, "17,568 rows without times were found, 2 for each hour"),
        (52_704, "52,704 rows without times were found, 6 for each hour"),
        (17_521, "17,521 hourly records were found"),
        (5, "5 hourly records were found"),
        (11, "11 hourly records were found"),
    ],
)
def test_rows_that_make_no_year_are_counted(rows: int, said: str) -> None:
    [fault] = count_faults(rows, "f")
    assert fault.problem.startswith(said)
