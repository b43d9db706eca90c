"""Winters to come: a study in every winter of a record, a warming by month, and how unusual the last winter was."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats
from weather.layouts import hours, truth
from weather.services import SERVICES

from costsim import load_weather, read_study, read_weather, simulate
from costsim.analysis.winters import Warming, as_json, read_warming, winters
from costsim.cli.main import main
from costsim.errors import InputError
from costsim.weather.history import how_unusual, winters_from
from costsim.weather.model import BASE_C, Weather
from costsim.weather.readers import read_record
from costsim.weather.winters import colder
from costsim.weather.year_weather import winters_of

METEOSTAT = next(one for one in SERVICES if one.name == "Meteostat")


def record(years: int, first: int = 2010) -> bytes:
    """An hourly download over some years; each year is shifted by its own kelvin."""
    n = int((np.datetime64(f"{first + years}-01-01T00", "h") - np.datetime64(f"{first}-01-01T00", "h")).astype(int))
    times = hours(f"{first}-01-01", n)
    year = times.astype("datetime64[Y]").astype(int) + 1970 - first
    shift = np.array([0.0, -2.0, 1.0, -1.0, 2.0, 0.5, -0.5, 1.5, -1.5, 3.0])[year % 10]
    return METEOSTAT.write(times, np.resize(truth(), n) + shift).raw


def spread(shares: list[float]) -> list[tuple[str, Weather]]:
    """Winters made of one year, colder or milder by a share of its degree-days."""
    year = load_weather(read_study("lantern_cottage"))
    return [(f"w{at}", colder(year, share) if share else year) for at, share in enumerate(shares)]


def test_winters_run_from_july_to_june() -> None:
    raw = record(3)
    found = winters_of(read_record("m.csv", content=raw), "m.csv")
    assert [name for name, _ in found] == ["2010–11", "2011–12"]
    values = np.array([float(line.split(b",")[1]) for line in raw.split(b"\n")[1:-1]])
    year = found[0][1]
    july = 181 * 24
    assert year.outdoor_c[july] == values[july]
    assert year.outdoor_c[0] == values[8760]
    assert year.outdoor_c.sum() == pytest.approx(values[july : july + 8760].sum())
    south = replace(read_record("m.csv", content=raw), latitude_deg=-40.0)
    assert [name for name, _ in winters_of(south, "m.csv")] == ["2010", "2011", "2012"]


def test_each_winter_costs_what_the_study_costs_in_it() -> None:
    case = read_study("lantern_cottage")
    named = spread([0.0, 0.1, -0.1])
    table = winters(case, named)
    base = simulate(case, load_weather(case))
    for option in base.options:
        assert table.rows[0].options[option.name].cost == pytest.approx(option.cost_total)
        assert table.rows[1].options[option.name].cost > table.rows[2].options[option.name].cost
    worst = table.options[0]
    assert (worst.worst_cost_winter, worst.worst_cost) == ("w1", table.rows[1].options[worst.name].cost)
    assert any("3 winters hold no one-in-ten winter" in note for note in table.notes)
    assert json.loads(json.dumps(as_json(table)))["rows"][0]["options"][0]["unmet_kwh"] >= 0.0


def test_the_house_stays_the_same_in_a_cold_winter() -> None:
    # a design temperature taken from each winter would make the house better insulated in the colder one
    case = read_study("net_loft")
    typed = case.model_copy(update={"place": case.place.model_copy(update={"design_outdoor_c": None})})
    year = load_weather(typed)
    cold = replace(year, outdoor_c=year.outdoor_c - 10.0)
    table = winters(typed, [("as it is", year), ("ten kelvin colder", cold)])
    name = typed.options[0].name
    assert table.rows[1].options[name].unmet_hours > table.rows[0].options[name].unmet_hours
    assert any("in every winter" in note for note in table.notes)


def test_one_winter_in_ten_by_plotting_positions() -> None:
    case = read_study("lantern_cottage")
    table = winters(case, spread([0.01 * at for at in range(1, 10)]))
    # of nine winters the worst has the position 9 / (9 + 1)
    assert table.options[0].one_in_ten_cost == pytest.approx(table.options[0].worst_cost)
    assert not any("one-in-ten" in note for note in table.notes)


def test_a_warming_by_month_has_a_source_and_lowers_the_degree_days_it_should() -> None:
    case = read_study("lantern_cottage")
    (named,) = spread([0.0])
    july_only = Warming((0.0,) * 6 + (2.0,) + (0.0,) * 5, "an invented scenario")
    table = winters(case, [named], warming=july_only)
    year = named[1]
    warm = np.where(year.months == 7, year.outdoor_c + 2.0, year.outdoor_c)
    assert table.rows[0].degree_days_k_d == pytest.approx(np.maximum(BASE_C - warm, 0.0).sum() / 24)
    assert any("an invented scenario" in note for note in table.notes)
    with pytest.raises(InputError, match="warming source: is missing"):
        Warming((1.0,) * 12, " ")
    for text in ("warm", "1.5", "1,2 K", "nan K", "1 kW", "99 K"):
        with pytest.raises(InputError):
            read_warming(text, "a report")
    twelve = read_warming("1,1,1,1,1,1,1,1,1,1,1,2.5 K", "a report")
    assert twelve is not None
    assert twelve.by_month_k[-1] == 2.5


def test_how_unusual_a_winter_was_equals_the_prediction_interval_of_scipy() -> None:
    named = spread([0.02, -0.04, 0.05, 0.0, -0.03, 0.01, 0.12])
    found = how_unusual(winters_from(named))
    days = np.array([year.degree_days_k_d(BASE_C) for _, year in named])
    before, last = days[:-1], days[-1]
    away = (last - before.mean()) / (before.std(ddof=1) * np.sqrt(1 + 1 / len(before)))
    assert found.one_in == pytest.approx(1 / stats.t.sf(away, len(before) - 1))
    assert (found.milder, found.others, found.colder) == (6, 6, True)
    with pytest.raises(InputError, match="6 are the fewest"):
        how_unusual(winters_from(named[:4]))


@pytest.mark.long
def test_the_commands(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "m.csv"
    table.write_bytes(record(8))
    assert main(["weather", "history", str(table)]) == 0
    text = capsys.readouterr().out
    assert "The winter of 2016–17 had" in text
    assert "2010–11" in text
    assert main(["weather", "history", str(table), "--json", "-"]) == 0
    assert json.loads(capsys.readouterr().out)["last"]["others"] == 6
    out = tmp_path / "severe.csv"
    assert main(["weather", "severe-winter", str(table), "-o", str(out)]) == 0
    text = capsys.readouterr().out
    assert text.count("degF d") + text.count("K d") == 8  # seven winters, and the one that was written
    # half a year 2 K colder and half as it is makes more degree-days than half colder and half 1 K warmer
    assert read_weather(out).years == (2010, 2011)
    table.write_bytes(record(3))
    assert (
        main(["winters", "lantern_cottage", "--weather", str(table), "--warming", "1 K", "--warming-source", "made up"])
        == 0
    )
    text = capsys.readouterr().out
    assert "2 winters: cost of a year" in text
    assert "1 in 10" in text
    assert "source: made up" in text
    assert main(["winters", "lantern_cottage", "--weather", str(table), "--warming", "1 K"]) == 2
    assert "warming source: is missing" in capsys.readouterr().err
    assert main(["winters", "lantern_cottage", "--weather", "greensboro.csv"]) == 2
    assert "typical year" in capsys.readouterr().err
    assert main(["winters", "lantern_cottage"]) == 2
    assert "the study names no years" in capsys.readouterr().err
