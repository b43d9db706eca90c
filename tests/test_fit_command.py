"""`costsim fit`: from files to a page, to JSON and into a copy of a study; everything else is refused in plain lines."""

from __future__ import annotations

import functools
import json
import re
import shlex
import tomllib
from pathlib import Path

import numpy as np
import pytest
from bills.houses import bills_of, winters

from costsim.analysis.scenarios import load_spread
from costsim.bills.read import read_all_temperatures
from costsim.cli.main import main
from costsim.errors import InputError
from costsim.study.case import find_study, read_study
from costsim.units.quantity import GALLON_M3, THERM_J

WEATHER = winters(years=4)


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Files: hourly weather by year, and bills of a house that loses 205 W/K by a furnace of 82 %."""
    monkeypatch.chdir(tmp_path)
    for name, text in hours_by_year().items():
        Path(name).write_text(text, encoding="utf-8")
    write_bills("bills.csv")


@functools.cache
def hours_by_year() -> dict[str, str]:
    """A file of hours for each year of the weather."""
    years = WEATHER.days.astype("datetime64[Y]").astype(int) + 1970
    texts = {}
    for year in np.unique(years):
        rows = [
            f"{day} {hour:02}:00,{value:.2f}"
            for day, values in zip(WEATHER.days[years == year], WEATHER.outdoor_c[years == year], strict=True)
            for hour, value in enumerate(values)
        ]
        texts[f"{year}.csv"] = "\n".join(["time,outdoor [degC]", *rows])
    return texts


def write_bills(name: str, unit: str = "therm", joule: float = THERM_J, **more: float) -> None:
    made = bills_of(WEATHER, slope_w_k=250.0, noise=0.002, **more)
    rows = [f"{made.start_day[i]},{made.end_day[i]},{made.energy_j[i] / joule:.3f}" for i in range(made.n_periods)]
    Path(name).write_text("\n".join([f"start,end,usage ({unit})", *rows]), encoding="utf-8")


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(["fit", *words]) == 0
    return capsys.readouterr().out


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> list[str]:
    assert main(["fit", *words]) == 2
    caught = capsys.readouterr()
    assert caught.out == ""
    return caught.err.strip().split("\n")


def test_the_page_has_house_quality_guesses_and_next_step(capsys) -> None:
    text = told(capsys, "bills.csv", "--weather", "2020.csv", "2021.csv", "2022.csv", "--units", "si")
    assert re.search(r"the house loses\s+20\d W/K \(1[78]\d to 2[23]\d W/K\)", text)
    assert re.search(r"balance point +(15\.[89]|16\.[012]) °C", text)
    assert re.search(r"heat needed at -\d+ °C +\d\.\d kW", text)
    assert "within the monthly limits of ASHRAE Guideline 14" in text
    assert "fuel guessed from the unit therm: natural gas; overrule it with --fuel" in text
    assert "common practice without a source" in text
    assert "costsim fit bills.csv --weather 2020.csv 2021.csv 2022.csv --study my_house.toml -o fitted.toml" in text
    assert max(len(line) for line in text.split("\n")) <= 120


def test_guesses_are_overridden(capsys) -> None:
    made = bills_of(WEATHER, noise=0.002)
    rows = [f"{made.start_day[i]},{made.end_day[i]},{made.mean_w[i] * made.days[i] / 1e6:.6f}" for i in range(30)]
    Path("odd.csv").write_text("\n".join(["start,end,usage", *rows]), encoding="utf-8")
    words = ("odd.csv", "--weather", "2020.csv", "2021.csv", "2022.csv", "--json", "-")
    (line,) = refused(capsys, *words)
    assert "the amounts in 'usage' have no unit; say it with --unit" in line  # one line names unit and fuel
    content = 1e6 * 86400.0 * GALLON_M3**-1 / 1e9  # so that a number of the file is 86400e6 J
    given = ("--fuel", "propane", "--unit", "gal", "--heat", f"{content} GJ/m3", "--efficiency", "90 %")
    data = json.loads(told(capsys, *words, *given))[0]
    assert data["fuel"] == "propane"
    assert data["loss_w_k"] == pytest.approx(0.9 * 250.0, rel=0.02)
    assert data["efficiency_band"] == [0.9, 0.9]


def test_json_goes_where_it_is_told_and_holds_every_period(capsys, tmp_path: Path) -> None:
    words = ("bills.csv", "--weather", "2020.csv", "2021.csv", "2022.csv", "--efficiency", "100 %")
    shown = json.loads(told(capsys, *words, "--json", "-"))
    told(capsys, *words, "--json", "fit.json")
    assert json.loads(Path("fit.json").read_text(encoding="utf-8")) == shown
    (data,) = shown
    assert data["loss_w_k"] == pytest.approx(250.0, rel=0.02)
    assert data["loss_band_w_k"][0] < data["loss_w_k"] < data["loss_band_w_k"][1]
    assert data["limits"]["met"]
    assert len(data["periods"]) == 30
    assert data["change"] is None
    assert sum(p["use_kwh"] for p in data["periods"]) == pytest.approx(
        sum(p["fitted_kwh"] for p in data["periods"]), rel=1e-6
    )


def test_a_change_is_told(capsys) -> None:
    write_bills("changed.csv", change=(15, 0.8), months=36)
    text = told(capsys, "changed.csv", "--weather", "2020.csv", "2021.csv", "2022.csv", "2023.csv")
    assert re.search(r"From 2021-\d\d-\d\d on, bills rise differently with the cold: -(19|20|21)%", text)
    assert "The house above is the one since then." in text


def test_a_copy_of_the_study_keeps_its_text_and_never_overwrites(capsys) -> None:
    words = (
        "bills.csv",
        "--weather",
        "2020.csv",
        "2021.csv",
        "2022.csv",
        "--efficiency",
        "80 %",
        "--study",
        "lantern_cottage",
    )
    text = told(capsys, *words, "-o", "new.toml", "--units", "si")
    assert "costsim compare new.toml" in text
    old, new = read_study("lantern_cottage"), read_study("new.toml")
    design, indoor = old.place.design_outdoor_c, old.house.indoor_temperature_c
    assert design is not None
    used = new.house.route(new.house.route_used, design, 0.0)
    assert used.words == "fitted to bills"
    assert used.load_w == pytest.approx(200.0 * (indoor - design), rel=0.02)
    assert used.band == pytest.approx(0.02, abs=0.02)
    assert new.house.balance_point_c == pytest.approx(16.0, abs=0.3)
    assert {**new.typed, "house": 0} == {**old.typed, "house": 0}
    assert load_spread(new) == pytest.approx(0.01, abs=0.01)  # the bills are 0.2 % off, the efficiency is given
    kept = find_study("lantern_cottage").read_text(encoding="utf-8").split("\n")
    lines = Path("new.toml").read_text(encoding="utf-8").split("\n")
    assert [line for line in kept if line not in lines] == ['design_indoor = "70 degF"', 'balance_point = "63 degF"']
    assert "fitted to bills (bills.csv, 2020-02-10 to" in "\n".join(lines)
    before = Path("new.toml").read_bytes()
    assert refused(capsys, *words, "-o", "new.toml") == [
        "new.toml: is there already; name another file with -o, or add --overwrite"
    ]
    assert Path("new.toml").read_bytes() == before
    told(capsys, *words, "-o", "new.toml", "--overwrite")
    assert Path("new.toml").read_bytes() != before  # US units now
    assert main(["compare", "new.toml"]) == 0


def test_a_house_in_one_line_is_written_too_and_extras_are_warned_of(capsys) -> None:
    data = find_study("lantern_cottage").read_text(encoding="utf-8")
    house = re.search(r"\[house\]\n((?:.+\n)+)", data)
    assert house is not None
    data = data.replace(
        "[prices.electricity]", '[uncertainty]\nsetpoint_spread = "1.5 K"\nload = "30 %"\n\n[prices.electricity]'
    )
    inline = "house = { " + ", ".join(house[1].strip().split("\n")) + ', solar_aperture = "2 m2" }\n'
    Path("mine.toml").write_text(inline + data.replace(house[0], ""), encoding="utf-8")
    words = ("bills.csv", "--weather", "2020.csv", "2021.csv", "2022.csv", "--study", "mine.toml", "-o", "new.toml")
    assert "house.solar_aperture of the study count on top" in " ".join(told(capsys, *words).split())
    written = tomllib.loads(Path("new.toml").read_text(encoding="utf-8"))["house"]
    assert written["solar_aperture"] == "2 m2"
    assert written["balance_point"] != "63 degF"
    new = read_study("new.toml")
    assert new.uncertainty.setpoint_spread_k == 1.5
    assert new.uncertainty.load_share is None  # the 30 % typed made room for the fit's own band
    assert 0.02 < load_spread(new) < 0.12  # mostly that of the assumed efficiency


def test_the_studys_weather_serves_where_none_is_given(capsys) -> None:
    text = told(capsys, "lantern_bills.csv", "--study", "lantern_cottage")
    assert "the weather is a typical year" in text
    assert "heat needed at 15 °F" in text


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("bills.csv",), "--weather: no weather was given; "),
        (("nothing.csv", "--weather", "2020.csv"), "nothing.csv: cannot be read (No such file or directory); "),
        (("bills.csv", "--weather", "2020.csv", "2022.csv"), "2022.csv: 365 days are missing between 2020-12-31 and 2022-01-01; "),
        (("bills.csv", "--weather", "2022.csv"), "the bills reach over"),
        (("bills.csv", "--weather", "2020.csv", "greensboro.csv"), "typical year, which cannot be joined"),
        (("bills.csv", "--weather", "greensboro.csv", "--fuel", "straw"), "--fuel: 'straw' is not a fuel; use one of electricity, "),
        (("bills.csv", "--weather", "greensboro.csv", "--unit", "floop"), "'floop' is not known"),
        (("bills.csv", "--weather", "greensboro.csv", "--efficiency", "92"), "--efficiency: "),
        (("bills.csv", "--weather", "greensboro.csv", "--heat", "3 kWh"), "heat content"),
        (("bills.csv", "--weather", "greensboro.csv", "-o", "new.toml"), "-o: there is no study to copy; "),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_refused_in_plain_lines(capsys, words: tuple[str, ...], line: str) -> None:
    lines = refused(capsys, *words)
    assert any(line in one for one in lines), lines
    assert all("; " in one for one in lines)


def test_two_fuels_are_fitted_apart_and_go_into_no_study(capsys) -> None:
    write_bills("power.csv", "kWh", 3.6e6)
    words = ("bills.csv", "power.csv", "--weather", "2020.csv", "2021.csv", "2022.csv")
    assert [one["fuel"] for one in json.loads(told(capsys, *words, "--json", "-"))] == ["natural_gas", "electricity"]
    (line,) = refused(capsys, *words, "--study", "lantern_cottage", "-o", "new.toml")
    assert line.startswith("-o: the bills are of natural gas and electricity, and a study has one heat loss; ")
    assert not Path("new.toml").exists()


def test_weather_files_join_by_date_and_overlap_does_not_count_twice() -> None:
    rows = Path("2021.csv").read_text(encoding="utf-8").split("\n")
    Path("more.csv").write_text("\n".join([rows[0], *Path("2020.csv").read_text().split("\n")[-48:], *rows[1:]]))
    joined = read_all_temperatures(["more.csv", "2020.csv"])
    np.testing.assert_allclose(joined.outdoor_c, WEATHER.outdoor_c[: 366 + 365], atol=0.006)
    days = [
        f"{day},{value.mean():.3f}"
        for day, value in zip(WEATHER.days[366:731], WEATHER.outdoor_c[366:731], strict=True)
    ]
    Path("days.csv").write_text("\n".join(["date,outdoor [degC]", *days]))
    assert read_all_temperatures(["2020.csv", "days.csv"]).outdoor_c.shape == (731, 1)
    with pytest.raises(InputError, match="days are missing"):
        read_all_temperatures(["2020.csv", "2023.csv"])


def test_the_json_contract_is_the_one_written_down(capsys) -> None:
    text = (Path(__file__).parents[1] / "costsim" / "guide" / "inside.md").read_text(encoding="utf-8")
    shown = re.search(r"`costsim fit --json` is a list[^:]*: ([^.]*)\.", text)
    assert shown is not None
    data = json.loads(told(capsys, "lantern_bills.csv", "--weather", "greensboro.csv", "--json", "-"))
    assert list(data[0]) == re.findall(r"`([a-z0-9_]+)`", shown[1])


def test_the_studys_source_that_burned_the_bills_gives_the_efficiency_or_is_asked(capsys, tmp_path: Path) -> None:
    """The gas boiler of Lantern Cottage has 92 %; with a second one of 80 % the command asks which burned them."""
    one = json.loads(told(capsys, "bills.csv", "--weather", "2020.csv", "2021.csv", "2022.csv", "--study", "lantern_cottage", "--json", "-"))  # fmt: skip
    assert one[0]["efficiency"] == pytest.approx(0.92, abs=0.02)
    text = find_study("lantern_cottage").read_text(encoding="utf-8")
    second = '\n[[option]]\nname = "Old gas"\n[[option.source]]\nkind = "gas"\nfuel = "natural_gas"\noutput = "12 kW"\nefficiency = "80 %"\n'
    Path("two.toml").write_text(text + second, encoding="utf-8")
    words = ("bills.csv", "--weather", "2020.csv", "2021.csv", "2022.csv", "--study", "two.toml")
    (line,) = refused(capsys, *words)
    assert re.search(r"'Natural gas' 9\d%, 'Old gas' \d\d%", line)
    chosen = json.loads(told(capsys, *words, "--option", "Old gas", "--json", "-"))
    assert main(["compare", "two.toml", "--json", "season.json"]) == 0
    capsys.readouterr()
    boiler = json.loads(Path("season.json").read_text(encoding="utf-8"))["options"][-1]["sources"][0]
    assert chosen[0]["efficiency"] == pytest.approx(boiler["heat_kwh"] / boiler["input_kwh"], rel=1e-6)
    assert 0.7 < chosen[0]["efficiency"] < 0.8  # less than on the plate, by its losses over the season
    assert "--option: 'New' is no option of the study" in refused(capsys, *words, "--option", "New")[0]


def test_json_tells_a_change_of_the_house(capsys) -> None:
    write_bills("bills.csv", change=(15, 0.7))
    found = json.loads(told(capsys, "bills.csv", "--weather", "2020.csv", "2021.csv", "2022.csv", "--json", "-"))
    assert found[0]["change"]["fitted_since_then"] in (True, False)
    assert found[0]["change"]["slope_ratio"] == pytest.approx(0.7, abs=0.05)


def test_verify_prints_writes_and_says_what_is_missing(capsys) -> None:
    words = ["verify", "lantern_cottage", "--bills", "bills.csv", "--weather", "2020.csv", "2021.csv", "2022.csv"]
    assert main([*words, "--paid", "5000 $", "-o", "again.toml"]) == 0
    text = capsys.readouterr().out
    for part in ("NMBE", "CV(RMSE)", "What explains the gap", "base use", "costsim compare again.toml"):
        assert part in text, part
    again = tomllib.loads(Path("again.toml").read_text(encoding="utf-8"))
    assert again["house"]["heat_loss_rate"].endswith("Btu/(h degF)")
    assert main(["verify", "again.toml", *words[2:], "--json", "-"]) == 0
    found = json.loads(capsys.readouterr().out)
    causes = {one["what"].split(":")[0].split(",")[0]: one["kwh"] for one in found["shares"]}
    assert abs(causes["efficiency and heat loss"]) < 0.01 * found["metered_kwh"]
    assert main([*words, "--paid", "much"]) == 2
    assert "--paid: 'much' is no amount of money" in capsys.readouterr().err


def test_the_next_command_says_again_what_was_said_of_the_files(capsys) -> None:
    """A table of weather whose column is named, bills without a unit: the command at the end would run as it stands."""
    rows = Path("bills.csv").read_text(encoding="utf-8").replace("usage (therm)", "usage")
    Path("bare.csv").write_text(rows, encoding="utf-8")
    days = [f"{day},{row.mean():.2f},{row.min():.2f}" for day, row in zip(WEATHER.days, WEATHER.outdoor_c, strict=True)]
    Path("two.csv").write_text("\n".join(["date,Boston [degC],Salem [degC]", *days]), encoding="utf-8")
    words = (
        "bare.csv",
        "--weather",
        "two.csv",
        "--unit",
        "therm",
        "--map",
        "temp=Boston [degC]",
        "--date-order",
        "ymd",
    )
    line = told(capsys, *words).rstrip().split("\n")[-1].strip()
    assert line.startswith(
        "costsim fit bare.csv --weather two.csv --unit therm --date-order ymd --map 'temp=Boston [degC]'"
    )
    assert main([*shlex.split(line)[1:-4], "--units", "si"]) == 0


def test_all_that_is_wrong_is_told_at_once(capsys) -> None:
    """An empty file is not the weather's fault, nor hides it the rest."""
    Path("empty.csv").touch()

    def lines(*words: str) -> list[str]:
        return [one.split("; ")[0] for one in refused(capsys, "empty.csv", *words)]

    assert lines() == ["empty.csv: is empty", "--weather: no weather was given"]
    assert lines("--efficiency", "good", "--weather", "none.csv") == [
        "empty.csv: is empty",
        "--efficiency: 'good' does not start with a number",
        "none.csv: no such weather file",
    ]
    wrong = lines("--study", "none.toml", "--map", "x", "--efficiency", "good")
    assert [one.split(":")[0] for one in wrong] == ["none.toml", "--map", "empty.csv", "--efficiency"]
    assert [one.split(":")[0] for one in lines("--fuel", "straw", "--weather", "2020.csv")] == ["--fuel"]
