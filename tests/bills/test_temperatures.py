"""Weather for bills: dated records of every usual form are read right, gaps are told or refused, typical years fit any bill."""

from __future__ import annotations

import numpy as np
import pytest
from bills.houses import winters

from costsim.bills.temperatures import Temperatures, read_temperatures
from costsim.errors import InputError
from costsim.weather import read_weather

RECORD = winters(years=1)
DAYS = RECORD.days[:40]
DAILY = RECORD.outdoor_c[:40].mean(axis=1)


def read(text: str, name: str = "weather.csv") -> Temperatures:
    return read_temperatures(name, content=text.encode())


def table(head: str, cells: list[str]) -> str:
    return "\n".join([head, *cells, ""])


def refused(text: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        read(text)
    return str(caught.value).split("\n")


@pytest.mark.parametrize(
    ("head", "mark", "scale", "shift", "comma"),
    [
        ("date,outdoor [degC]", ",", 1.0, 0.0, False),
        ("date,Temp (°F)", ",", 1.8, 32.0, False),
        ("day;Lufttemperatur [°C]", ";", 1.0, 0.0, True),
        ("date\tt_mean_c", "\t", 1.0, 0.0, False),
        ("date,dry bulb [K]", ",", 1.0, 273.15, False),
    ],
)
def test_daily_means_in_many_units(head: str, mark: str, scale: float, shift: float, comma: bool) -> None:
    cells = [f"{day}{mark}{value * scale + shift:.4f}" for day, value in zip(DAYS, DAILY, strict=True)]
    found = read(table(head, [cell.replace(".", ",") if comma else cell for cell in cells]))
    np.testing.assert_allclose(found.outdoor_c[:, 0], DAILY, atol=1e-3)
    assert found.first_day == DAYS[0]
    assert any("daily means are known only" in note for note in found.notes)


def test_lowest_and_highest_make_a_mean() -> None:
    cells = [f"{day},{value + 5:.3f},{value - 5:.3f}" for day, value in zip(DAYS, DAILY, strict=True)]
    found = read(table("date,tmax [degC],tmin [degC]", cells))
    np.testing.assert_allclose(found.outdoor_c[:, 0], DAILY, atol=1e-3)
    assert any("mean of lowest and highest" in note for note in found.notes)


@pytest.mark.parametrize("form", ["%Y-%m-%d %H:00", "%m/%d/%Y %H:00", "%d.%m.%Y %H:00", "%Y-%m-%dT%H:00"])
def test_hours_in_many_forms(form: str) -> None:
    hours = [(day.item(), hour) for day in DAYS for hour in range(24)]
    values = RECORD.outdoor_c[:40].ravel()
    stamps = [day.strftime(form.replace("%H", str(hour).zfill(2))) for day, hour in hours]
    cells = [f"{stamp},{value:.3f}" for stamp, value in zip(stamps, values, strict=True)]
    found = read(table("time,outdoor [degC]", cells))
    np.testing.assert_allclose(found.outdoor_c, RECORD.outdoor_c[:40], atol=1e-3)
    assert not found.notes


def hourly(left_out: tuple[int, ...] = (), changed: dict[int, str] | None = None) -> str:
    texts = {i: f"{value:.3f}" for i, value in enumerate(RECORD.outdoor_c[:40].ravel())} | (changed or {})
    cells = [f"{DAYS[i // 24]} {i % 24:02}:00,{text}" for i, text in texts.items() if i not in left_out]
    return table("time,outdoor [degC]", cells)


def test_short_gaps_are_filled_and_told_and_long_ones_refused() -> None:
    found = read(hourly(left_out=tuple(range(100, 106))))
    straight = np.interp(np.arange(100, 106), [99, 106], RECORD.outdoor_c[:40].ravel()[[99, 106]])
    np.testing.assert_allclose(found.outdoor_c.ravel()[100:106], straight, atol=1e-3)
    assert found.notes == ("outdoor: 6 missing hours were interpolated, the longest run 6 h",)
    longer = read(hourly(left_out=tuple(range(100, 172))))
    assert longer.notes == ("outdoor: 72 missing hours were filled from the days around, the longest run 72 h",)
    (line,) = refused(hourly(left_out=tuple(range(100, 173))))
    assert "73 hours in a row are missing from 2020-01-05" in line
    assert read(hourly(changed={100: "9999"})).notes == (
        "outdoor: 1 missing hours were interpolated, the longest run 1 h",
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (table("date,outdoor", [f"{d},3" for d in DAYS]), "column outdoor: has no unit"),
        (table("date,rain [mm]", [f"{d},3" for d in DAYS]), "the temperature column is missing; add a column"),
        (table("date,outdoor [degC]", [f"{d},{3.5 if i else 350}" for i, d in enumerate(DAYS)]), "lie outside -90 to 60 °C, the first on 2020-01-01"),
        (table("date,outdoor [degC]", ["01/02/2020,3.5"]), "cannot be told apart"),
        (table("date,outdoor [degC]", [f"{d},{3.5 if i % 8 < 4 else ''}" for i, d in enumerate(DAYS)]), "4 days in a row are missing from 2020-01-05"),
        (table("date,outdoor [degC]", ["2020-01-01,x", "2020-01-02,y"]), "not one temperature"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_refused_in_plain_lines(text: str, words: str) -> None:
    lines = refused(text)
    assert any(words in line for line in lines), lines
    assert all(line.startswith("weather.csv: ") and "; " in line for line in lines)


def test_a_typical_year_gives_each_day_its_own_hours_and_says_that_it_is_weak() -> None:
    found, weather = read_temperatures("greensboro.csv"), read_weather("weather_samples/greensboro.csv")
    year = weather.outdoor_c.reshape(-1, 24)
    assert found.typical
    assert any("The fit is weaker" in note for note in found.notes)
    over = found.over(np.datetime64("2024-02-27"), np.datetime64("2024-03-02"))
    np.testing.assert_array_equal(over, year[[57, 58, 58, 59]])  # 29 February takes the 28th's
    np.testing.assert_allclose(found.average_year(), year)


def test_the_average_year_of_a_record_holds_all_its_years() -> None:
    record = winters(years=3)
    year = record.average_year()
    assert year is not None
    assert year.shape[0] == 365
    assert year.mean() == pytest.approx(record.outdoor_c[:1095].mean(), abs=0.1)
    july = Temperatures("", np.datetime64("2020-07-01"), record.outdoor_c[182 : 182 + 366], False)
    summer = july.average_year()
    assert summer is not None
    np.testing.assert_allclose(summer[181], record.outdoor_c[182])  # 1 July stands in its own row
    assert read(hourly()).average_year() is None
