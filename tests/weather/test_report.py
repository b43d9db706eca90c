"""A weather file looked at, twelve means made into a year, and harder winters; on the command line too."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import numpy as np
import pytest
from cases import constant_weather, sample_weather

from costsim import read_weather
from costsim.cli.main import main, parser_of_commands
from costsim.cli.weather import EXAMPLES, VERBS
from costsim.errors import InputError
from costsim.views.text_weather import printed_weather
from costsim.weather.means import read_means
from costsim.weather.model import BASE_C
from costsim.weather.report import report
from costsim.weather.synthesis import synthesize
from costsim.weather.winters import ONE_IN_TEN, colder, hard_winter
from costsim.weather.write import weather_csv

MEANS = [-7.2, -4.8, 1.1, 7.0, 12.4, 15.9, 18.2, 17.3, 12.8, 7.1, 0.6, -5.3]
CLEAR = [0.47, 0.51, 0.52, 0.51, 0.50, 0.50, 0.54, 0.53, 0.52, 0.47, 0.44, 0.43]
PLACE = (
    "# title: Upper valley\n# latitude: 47.0\n# longitude: 12.8\n# utc_offset: 1\n# altitude: 900\n# design_99: -16\n"
)


def table(rows: list[str] | None = None, head: str = "month,mean [degC],clearness") -> bytes:
    plain = [f"{i},{m},{c}" for i, (m, c) in enumerate(zip(MEANS, CLEAR, strict=True), 1)]
    return (PLACE + "\n".join([head, *(rows if rows is not None else plain)]) + "\n").encode()


def test_a_year_of_one_temperature_by_hand() -> None:
    found = report(constant_weather(0.0))
    assert found.degree_days_k_d == pytest.approx(365 * BASE_C)
    assert found.degree_days_daily_k_d == pytest.approx(365 * BASE_C)
    assert found.hourly_99_c == found.hourly_996_c == found.coldest_c == 0.0
    assert found.monthly_c == (0.0,) * 12


def test_a_sample_shows_its_place_and_its_noon() -> None:
    found = report(sample_weather())
    assert found.latitude_deg == 36.1
    # noon by the sun: 12 h less 5 h to Greenwich, plus 79.95° at 15° an hour
    assert found.noon_hour == pytest.approx(12 - 5 + 79.95 / 15)
    assert found.sun_hour == pytest.approx(found.noon_hour, abs=0.3)
    text = printed_weather(found, "us")
    assert "8,760 hours of standard time" in text
    assert "Jan   32.6" in text
    assert found.coldest_at == "Feb 5, hour 5"


def test_a_file_without_sun_says_so() -> None:
    year = synthesize(monthly_mean_c=MEANS, latitude_deg=47.0)
    assert "no radiation in the file" in printed_weather(report(year), "si")


def test_a_year_written_is_read_back(tmp_path: Path) -> None:
    year = sample_weather("sand_point.csv")
    again = read_weather("again.csv", content=weather_csv(year).encode())
    np.testing.assert_allclose(again.outdoor_c, year.outdoor_c, atol=0.05)
    np.testing.assert_allclose(again.ghi_w_m2, year.ghi_w_m2, atol=0.5)
    assert (again.latitude_deg, again.utc_offset_h, again.synthetic) == (year.latitude_deg, year.utc_offset_h, False)


def test_twelve_means_make_a_year() -> None:
    given = read_means("valley.csv", content=table())
    assert given["monthly_mean_c"] == MEANS
    assert given["monthly_clearness"] == CLEAR
    year = synthesize(**given, seed=3)
    assert year.design_99_c == -16.0
    for month in range(1, 13):
        assert year.outdoor_c[year.months == month].mean() == pytest.approx(MEANS[month - 1])


def test_means_in_fahrenheit_with_semicolons_and_commas() -> None:
    rows = [f"{i};{str(m * 1.8 + 32).replace('.', ',')}" for i, m in enumerate(MEANS, 1)]
    given = read_means("v.csv", content=table(rows, "month;mean [°F]"))
    assert given["monthly_mean_c"] == pytest.approx(MEANS)
    assert "monthly_clearness" not in given


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (table(["1,2,0.5"]), "1 months were found"),
        (table(["1,2,0.5", "1,3,0.5"]), "row 3: is no month of its own"),
        (table(["1,warm,0.5"]), "row 2: has no mean temperature"),
        (table(head="month,mean,clearness"), "no month and mean with its unit"),
        (table([f"{i},2,0.95" for i in range(1, 13)]), "clearness"),
        (table().replace(b"# latitude: 47.0\n", b""), "# latitude: is missing"),
        (b"x" * 200_000, "too large"),
    ],
)
def test_means_that_cannot_be_used_are_told(content: bytes, words: str) -> None:
    with pytest.raises(InputError) as caught:
        read_means("v.csv", content=content)
    assert words in str(caught.value)


def test_a_colder_year_has_the_degree_days_it_says_and_is_labelled() -> None:
    year = sample_weather()
    made = colder(year)
    assert made.degree_hours_k_h(BASE_C) / year.degree_hours_k_h(BASE_C) == pytest.approx(1 + ONE_IN_TEN)
    assert made.synthetic
    assert "+7.0%" in made.title
    drop = year.outdoor_c - made.outdoor_c
    assert drop.min() == pytest.approx(drop.max())
    assert 0.2 < drop.min() < 1.5
    with pytest.raises(ValueError, match="no degree-hours"):
        colder(constant_weather(30.0))


def test_a_hard_winter_is_the_cold_one_of_ten_years() -> None:
    typical = synthesize(monthly_mean_c=MEANS, latitude_deg=47.0)
    years = [colder(typical, share) for share in (-0.08, 0.02, 0.11, -0.03, 0.05, 0.0, -0.05, 0.08, 0.03, -0.01)]
    chosen = hard_winter(years)
    assert sum(one.degree_hours_k_h(BASE_C) > chosen.degree_hours_k_h(BASE_C) for one in years) == 1
    with pytest.raises(ValueError, match="no years"):
        hard_winter([])


def test_the_commands(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    means, out, hard = tmp_path / "means.csv", tmp_path / "year.csv", tmp_path / "hard.csv"
    means.write_bytes(table())
    assert main(["weather", "synthesize", str(means), "-o", str(out), "--seed", "4"]) == 0
    assert "synthetic" in capsys.readouterr().out
    assert main(["weather", "show", str(out), "--json", "-"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["synthetic"] is True
    assert data["monthly_c"] == pytest.approx(MEANS, abs=0.01)
    assert main(["weather", "severe-winter", str(out), "greensboro.csv", "-o", str(hard)]) == 0
    assert read_weather(hard).outdoor_c.mean() == pytest.approx(float(np.mean(read_weather(out).outdoor_c)), abs=0.01)
    capsys.readouterr()
    assert main(["weather", "severe-winter", "greensboro.csv", "-o", str(hard)]) == 0
    assert "+7.0%" in capsys.readouterr().out
    assert main(["weather", "show", "nowhere.csv"]) == 2
    assert "no such weather file" in capsys.readouterr().err


@pytest.mark.parametrize("name", sorted(VERBS))
def test_every_verb_shows_an_example_that_can_be_typed(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["weather", name, "--help"])
    assert f"costsim {EXAMPLES[name]}" in capsys.readouterr().out
    assert parser_of_commands().parse_args(shlex.split(EXAMPLES[name])).verb == name
