"""Days away and zones: demand by hand, hot water that nobody draws, recovery after a winter's absence, and what is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from cases import constant_weather, one, study, wavy_weather, with_uses

from costsim import simulate
from costsim.engine import layout as k
from costsim.engine.batch import run_once
from costsim.engine.lower import lower_study
from costsim.errors import InputError
from costsim.study.case import Case
from costsim.units.away_words import TwoMeaningsError, absences, away_text

ELECTRIC = {"kind": "electric", "output": "12 kW"}
AWAY = {"from": "Jan 10", "to": "Jan 19", "indoor_temperature": "10 degC"}
LOOPS = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
DAY_J = 24 * 3600.0


def demand_j(**house: Any) -> float:
    """A year's demand at 0 °C of a house that loses 200 W/K and is kept at 20 °C."""
    return simulate(study(ELECTRIC, **house), constant_weather(0.0)).options[0].demand_j


def test_days_away_cost_their_degrees() -> None:
    year = 365 * 20 * 200 * DAY_J
    assert demand_j() == pytest.approx(year)
    assert demand_j(house__absence=[AWAY]) == pytest.approx(year - 10 * 10 * 200 * DAY_J)
    # across the new year, in ISO dates: 31 December to 1 January
    over = AWAY | {"from": "2025-12-31", "to": "2026-01-01"}
    assert demand_j(house__absence=[over]) == pytest.approx(year - 2 * 10 * 200 * DAY_J)
    # warm again from four in the afternoon of the last day: 8 of its hours are at 20 °C
    assert demand_j(house__absence=[AWAY | {"back_at": "16:00"}]) == pytest.approx(
        year - (10 - 8 / 24) * 10 * 200 * DAY_J
    )
    # a frost set-point above a set-back does not heat the house more
    back = [{"indoor_temperature": "8 degC", "windows": ["00:00-24:00"], "months": "Jan"}]
    assert demand_j(house__setback=back, house__absence=[AWAY]) == pytest.approx(demand_j(house__setback=back))


def test_nobody_draws_hot_water_while_away() -> None:
    tap = {"kind": "hot_water", "daily_volume": "50 gal", "cold_temperature": "50 degF"}
    here, away = (one(tap, weather=constant_weather(30.0), house__absence=days) for days in ([], [AWAY]))
    assert away.uses[0].heat_j == pytest.approx(here.uses[0].heat_j * 355 / 365)
    # the pipe that is kept warm loses on
    pipe = tap | {"circulation": "50 W"}
    lost = one(pipe, weather=constant_weather(30.0), house__absence=[AWAY]).uses[0].heat_j - away.uses[0].heat_j
    assert lost == pytest.approx(50 * 8760 * 3600)


def test_zones_count_by_their_share() -> None:
    year = 365 * 20 * 200 * DAY_J
    by_area = [{"name": "Bedrooms", "area": "30 m2", "indoor_temperature": "15 degC"}]
    by_load = [{"name": "Bedrooms", "load": "30 %", "indoor_temperature": "15 degC"}]
    assert demand_j(house__zone=by_area) == pytest.approx(year * (0.7 + 0.3 * 15 / 20))
    assert demand_j(house__zone=by_load) == pytest.approx(demand_j(house__zone=by_area))
    night = {"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}
    nightly = [{"name": "Rooms", "load": "50 %", "setback": [night]}]
    assert demand_j(house__zone=nightly) == pytest.approx(year - 0.5 * 365 * 8 / 24 * 4 * 200 * DAY_J)


def cabin(**house: Any) -> Case:
    """A cabin with a slab that is kept from frost for a week."""
    return study(ELECTRIC, house__absence=[AWAY], floor__loops=LOOPS, floor__mass={}, **house)


def test_after_a_week_away_a_cabin_is_recovering_and_not_cold() -> None:
    weather = wavy_weather(-4.0 + 4.0 * np.sin(2 * np.pi * np.arange(8760) / 24))
    found = simulate(cabin(), weather).options[0]
    assert found.recovery is not None
    assert (found.recovery.count, found.recovery.unfinished) == (1, 0)
    assert 3 < found.recovery.longest_h < 48
    assert found.unmet.hours == 0
    # while away the house is held at the frost set-point
    assert 9.0 < float(found.hourly.room_c[9 * 24 : 19 * 24].min()) < 10.5


def test_scenarios_see_days_away_and_zones() -> None:
    zone = [{"name": "Bedrooms", "load": "30 %", "indoor_temperature": "15 degC"}]
    tap = {"kind": "hot_water", "people": 3}
    case = with_uses(tap, house__absence=[AWAY], house__zone=zone)
    weather = wavy_weather(5.0 + 10 * np.sin(np.arange(8760) / 1000))
    found = simulate(case, weather).options[0]
    sums = run_once(lower_study(case, weather), case.options[0]).sums[0]
    assert sums[k.SUM_DEMAND] == pytest.approx(found.demand_j)
    assert sums[k.SUM_USE] == pytest.approx(found.uses[0].heat_j)


@pytest.mark.parametrize(("text", "away", "cool"), [
    ("away Jan 10 - Jan 19 at 10 °C", 10, 10), ("Jan 10 to 19, 50 F", 10, 10), ("10 to 19 January at 10", 10, 10),
    ("1/20 - 1/29 at 50 degF", 10, 10), ("the house is empty from December 31 to the 1st of January at 50 degrees", 2, 10),
    ("Jan 10 - 14 and Feb 3 - 7 at 10 C", 10, 10), ("Jan 10 - 14 at 10 C; Jan 12 - 19 at 10 C", 10, 10),
    ("Jan 10 - 19", 10, 10), ("February at 12 °C", 28, 12), ("2025-12-20 to 2026-01-05 at 41 degF", 17, 5),
    # 2025 began on a Wednesday, so that it had 52 of every day of the week and a 53rd Wednesday
    ("a cabin used weekends only, 5 °C otherwise", 261, 5), ("weekends only; 24 Dec - 25 Dec", 261, 10),
    ("we are only there Fri to Sun, 5 C the rest of the week", 209, 5), ("away weekdays at 5", 261, 5),
    ("gone Saturdays and Sundays at 15 °C", 104, 15), ("away Mon-Fri, Jan 1 - Jan 31 at 5 C", 23, 5),
])  # fmt: skip
def test_days_away_in_words_cost_their_degrees(text: str, away: int, cool: float) -> None:
    year = 365 * 20 * 200 * DAY_J
    assert demand_j(house__absence=text) == pytest.approx(year - away * (20 - cool) * 200 * DAY_J, rel=1e-9)


def test_a_weekly_absence_ends_at_its_hour_on_the_last_of_its_days() -> None:
    """52 Fridays, each warm for its last 6 hours; the days before them are cold throughout."""
    year = 365 * 20 * 200 * DAY_J
    found = demand_j(house__absence="weekends only, 10 °C otherwise, back at 6 pm")
    assert found == pytest.approx(year - (261 - 52 * 6 / 24) * 10 * 200 * DAY_J, rel=1e-9)


@pytest.mark.parametrize(("text", "answers"), [
    ("12/5 - 1/6 at 50", ("Dec 5 - Jan 6 at 50", "May 12 - Jun 1 at 50")),
    ("weekends at 45 F", ("away Sat-Sun at 45 °F", "away Mon-Fri at 45 °F")),
    ("Dec 25 - Jan 5 only, 50 otherwise", ("away Dec 25 - Jan 5 at 50 °F", "away Jan 6 - Dec 24 at 50 °F")),
    ("Feb 3 - 10, back at 4", ("feb 3 - 10, back at 4 am", "feb 3 - 10, back at 4 pm")),
    ("1/2 - 3/4 and Feb 3 - 10 at 50; weekends only", (
        "Jan 2 - Mar 4 and feb 3 - 10 at 50; weekends only",
        "Feb 1 - Apr 3 and feb 3 - 10 at 50; weekends only")),
])  # fmt: skip
def test_what_can_be_meant_two_ways_is_one_question(text: str, answers: tuple[str, str]) -> None:
    with pytest.raises(TwoMeaningsError) as caught:
        absences(text)
    assert caught.value.answers == answers
    first, second = (absences(one) for one in answers)
    assert first != second
    with pytest.raises(InputError) as refused:
        study(ELECTRIC, house__absence=text)
    assert len(refused.value.faults) == 1


@pytest.mark.parametrize("item", [
    {"from": "Dec 20", "to": "Jan 5"}, {"from": "Feb 3", "to": "Feb 3", "indoor_temperature": "50 degF", "back_at": "16:30"},
    {"days": "Mon-Fri", "indoor_temperature": "7.5 degC", "back_at": "00:00"}, {"days": "Sat"}, {"days": "Thu-Mon"},
    {"from": "Nov 1", "to": "Mar 31", "days": "Mon-Thu", "indoor_temperature": "45 degF", "back_at": "12:00"},
])  # fmt: skip
def test_an_absence_is_shown_as_it_would_be_typed(item: dict[str, str]) -> None:
    assert [absences(away_text(item, system)) for system in ("us", "si")] == [[item], [item]]


@pytest.mark.parametrize(("house", "words"), [
    ({"absence": "two weeks at Christmas"}, "two weeks christmas"),
    ({"absence": "Dec 20 - 5"}, "lies before Dec 20"),
    ({"absence": "Feb 30 - Mar 2"}, "Feb has no day 30"),
    ({"absence": "Dec 20 - Jan 5 at 30 F"}, "30 degF"),
    ({"absence": "Dec 20 - Jan 5, back at 25:00"}, "not understood"),
    ({"absence": "Sun to Sat"}, "every day of the week"),
    ({"absence": ["at 50 F"]}, "names no days"),
    ({"absence": [{"to": "Jan 5"}]}, "names no days"),
    ({"absence": [{"days": "Mon-Blue"}]}, "Mon-Blue"),
    ({"absence": [AWAY | {"from": "Feb 30"}]}, "absence.*Feb 30"),
    ({"absence": [AWAY | {"to": "2025-13-01"}]}, "2025-13-01"),
    ({"absence": [AWAY | {"to": "January"}]}, "January"),
    ({"absence": [AWAY | {"back_at": "25:00"}]}, "25:00"),
    ({"absence": [AWAY | {"indoor_temperature": "-5 degC"}]}, "indoor_temperature"),
    ({"zone": [{"name": "A"}]}, "area or load"),
    ({"zone": [{"name": "A", "area": "90 m2"}, {"name": "B", "load": "20 %"}]}, "110%"),
    ({"zone": [{"name": "A", "load": "10 %"}, {"name": "A", "load": "20 %"}]}, "one name"),
])  # fmt: skip
def test_schedules_that_cannot_be_are_one_line_each(house: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        study(ELECTRIC, **{f"house__{key}": value for key, value in house.items()})
    assert len(caught.value.faults) == 1
