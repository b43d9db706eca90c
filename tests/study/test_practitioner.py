"""The cases of a practitioner, typed as a stranger types them and run by `costsim compare`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from costsim.cli.main import main

HOUSE = """
title = "A house of a practitioner, invented"
[place]
weather = "greensboro.csv"
design_outdoor = "15 degF"
timezone = "America/New_York"
[house]
floor_area = "1500 ft2"
design_heat_loss = "33 kBtu/h"
indoor_temperature = "70 degF"
balance_point = "62 degF"
"""
POWER = '[prices.electricity]\nenergy = "0.14 $/kWh"\n'
ELECTRIC = '[[option.source]]\nkind = "electric"\noutput = "12 kW"\n'


def compared(folder: Path, text: str, capsys: pytest.CaptureFixture[str]) -> tuple[dict[str, Any], str]:
    """What the command prints, and its JSON."""
    (folder / "study.toml").write_text(text, encoding="utf-8")
    main(["compare", str(folder / "study.toml"), "--json", str(folder / "out.json")])
    return json.loads((folder / "out.json").read_text(encoding="utf-8")), capsys.readouterr().out


def test_a_bigger_store_is_never_colder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sizes = (80, 250, 500, 1000)
    options = "".join(
        f'[[option]]\nname = "{size} gal"\n[option.tank]\nvolume = "{size} gal"\nmax_temperature = "180 degF"\n'
        f'loss = "3 W/K"\nstratification = "80 %"\n[[option.source]]\nkind = "off_peak_electric"\noutput = "20 kW"\n'
        'windows = ["22:00-06:00"]\n'
        for size in sizes
    )
    found, text = compared(tmp_path, HOUSE + POWER + options, capsys)
    hours = [option["unmet_hours"] for option in found["options"]]
    assert hours == sorted(hours, reverse=True)
    assert hours[0] > 1000 > hours[-1]
    assert "1000 gal" in text


def test_a_heat_pump_on_110_degree_water_earns_what_installers_see(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pump = (
        '[[option]]\nname = "Heat pump"\n[[option.source]]\nkind = "heat_pump"\noutdoor = ["5 degF", "47 degF"]\n'
        'outputs = ["30 kBtu/h", "40 kBtu/h"]\n[[option.source]]\nkind = "electric"\noutput = "5 kW"\nbackup_only = true\n'
    )
    found, text = compared(tmp_path, HOUSE + 'design_supply_temperature = "110 degF"\n' + POWER + pump, capsys)
    unit = found["options"][0]["sources"][0]
    # about 3.4 with its circulator, not the 4.3 that a curve without approach, defrosting and circulator gives
    scop = unit["heat_kwh"] / (unit["input_kwh"] + unit["auxiliary_kwh"])
    assert scop == pytest.approx(3.4, abs=0.2)
    assert f"Air-to-water heat pump gives {scop:.1f} units of heat for each of electricity (SCOP)" in text


@pytest.mark.long
def test_hot_water_adds_what_the_plumber_says(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tank = '[tank]\nvolume = "80 gal"\nloss = "0 W/K"\nmax_temperature = "150 degF"\n'
    use = '[[use]]\nkind = "hot_water"\ndaily_volume = "50 gal"\ntap_temperature = "120 degF"\ncold_temperature = "50 degF"\n'
    options = POWER + '[[option]]\nname = "Electric"\n' + ELECTRIC
    without, _ = compared(tmp_path, HOUSE + tank + options, capsys)
    found, text = compared(tmp_path, HOUSE + tank + use + options, capsys)
    heat = [run["options"][0]["sources"][0]["heat_kwh"] for run in (without, found)]
    # 50 gal × 8.34 lb × 70 °F × 365 days = 10.66 MMBtu
    assert (heat[1] - heat[0]) * 3412.14 / 1e6 == pytest.approx(10.7, rel=0.02)
    assert "always hot enough" in text
    main(["report", str(tmp_path / "study.toml"), "-o", str(tmp_path / "page.html")])
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert "always hot enough." in page
    for caution in ("Hot water at the taps", "Legionella", "scalds", "keeps heating water out of it"):
        assert caution in page


def test_a_cabin_after_a_weekend_is_recovering_and_not_cold(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    week = '[[house.setback]]\nindoor_temperature = "45 degF"\nwindows = ["00:00-24:00"]\ndays = "Mon-Thu"\n'
    floor = '[floor]\n[[floor.loops]]\ncount = 8\nlength = "300 ft"\nspacing = "6 in"\nflow = "0.8 gpm"\n[floor.mass]\n'
    found, text = compared(
        tmp_path, HOUSE + week + floor + POWER + '[[option]]\nname = "Electric"\n' + ELECTRIC, capsys
    )
    option = found["options"][0]
    assert option["unmet_hours"] == 0
    assert option["recovery"]["longest_h"] > 3
    assert "Warm again after set-back" in text
    assert "back to 70 °F in" in text
