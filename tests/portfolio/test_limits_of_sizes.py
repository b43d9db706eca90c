"""What a study's sizes leave undelivered is said, and each home's sources can be sized to its own load; by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cases import TANK, constant_weather, study, wavy_weather

from costsim import simulate
from costsim.errors import InputError
from costsim.portfolio.run import run_portfolio
from costsim.study.case import case_from
from costsim.views.homes_totals import size_lines
from costsim.views.text_portfolio import coldest_lines, peak_note
from costsim.views.text_season import printed_case

STUDY = {
    "title": "test",
    "place": {"weather": "greensboro.csv", "design_outdoor": "0 degC"},
    "house": {
        "floor_area": "100 m2",
        "design_heat_loss": "5 kW",
        "indoor_temperature": "20 degC",
        "balance_point": "20 degC",
    },
    "prices": {"electricity": {"energy": "0.20 $/kWh"}},
    "option": [{"name": "Electric", "source": [{"kind": "electric", "volts": "240 V", "breaker": "30 A"}]}],
}
"""30 A at 240 V carry 0.8 x 7.2 = 5.76 kW for hours (NEC 210.20), 1.152 times the design load of 5 kW."""


def _run(table: str, folder: Path, **settings: str) -> dict:
    folder.mkdir(exist_ok=True)
    homes = folder / "homes.csv"
    homes.write_text(table, encoding="utf-8")
    return run_portfolio(case_from(STUDY), constant_weather(0.0), homes, folder / "out", **settings)


def test_a_breaker_that_holds_homes_short_is_named_with_the_peak_they_ask_for(tmp_path: Path) -> None:
    # 0 °C all year: A asks for 4 kW, B for 10 kW and gets 5.76
    found = _run("home,house.design_heat_loss [kW]\nA,4\nB,10\n", tmp_path)
    option = found["options"][0]
    assert option["coincident_peak_kw"] == pytest.approx(9.76, rel=1e-9)
    held = option["held_short"]
    assert held["homes"] == 1.0
    assert held["peak_at_most_kw"] == pytest.approx(14.0, rel=1e-9)
    assert [(cap["most_kw"], cap["breaker_a"]) for cap in held["caps"]] == [(pytest.approx(5.76), 30.0)]
    assert (
        "Electric boiler of at most 19.7 kBtu/h (breaker of 30 A)" in size_lines(found | {"units": "us"})[-1]
    )  # 5.76 x 3.412
    assert f"has unmet hours, {4.24 * 8760 * 3.412142e-3:,.1f} MMBtu a year" in size_lines(found | {"units": "us"})[-1]
    assert ["--sizes" in " ".join(size_lines(found, on_page=page)) for page in (False, True)] == [True, False]
    line = size_lines(found)[-1]
    assert "Electric: 1 home has unmet hours" in line
    assert f"{4.24 * 8760:,.0f} kWh a year" in line
    assert "up to 14 kW, not 10 kW" in line


def test_the_homes_that_lack_heat_are_named_longest_first(tmp_path: Path) -> None:
    # 5.76 kW, and colder by 5 K from July on; the balance point is 20 °C
    weather = wavy_weather(np.where(np.arange(8760) < 181 * 24, 0.0, -5.0))
    lines = ["A,4", "B,5", "C,10", *(f"D{at},9" for at in range(11))]
    (tmp_path / "homes.csv").write_text("\n".join(["home,house.design_heat_loss [kW]", *lines]), encoding="utf-8")
    found = run_portfolio(case_from(STUDY), weather, tmp_path / "homes.csv", tmp_path / "out", block=3)
    (one,) = found["coldest"]
    assert (one["option"], one["rows"], len(one["homes"])) == ("Electric", 13, 10)
    assert [each["home"] for each in one["homes"]] == ["C", *sorted(f"D{at}" for at in range(11))[:9]]
    assert {each["hours"] for each in one["homes"]} == {8760}
    (line,) = coldest_lines(found)
    assert line.startswith("Unmet hours with Electric, longest first: C 8,760 h, D0 8,760 h, D1 8,760 h, D10 8,760 h")
    assert line.endswith("; 3 more stand in homes.csv.")
    (line,) = coldest_lines(found, on_page=True)
    assert line.endswith("; 3 more stand in the file of “Every home as CSV”.")
    (tmp_path / "homes.csv").write_text("home,house.design_heat_loss [kW]\nB,5\nC,10\nA,4", encoding="utf-8")
    found = run_portfolio(case_from(STUDY), weather, tmp_path / "homes.csv", tmp_path / "two")
    # 5 kW at 0 °C are 6.25 kW at -5 °C, more than 5.76 kW, in 184 days from July to December; 4 kW are 5 kW
    assert coldest_lines(found) == [f"Unmet hours with Electric, longest first: C 8,760 h, B {184 * 24:,} h."]


def test_sources_sized_to_each_load_leave_nobody_short(tmp_path: Path) -> None:
    found = _run("home,house.design_heat_loss [kW]\nA,4\nB,10\n", tmp_path, sizes="load")
    assert found["options"][0]["coincident_peak_kw"] == pytest.approx(14.0, rel=1e-9)
    assert found["options"][0]["held_short"] is None
    (sized,) = found["sizes"]["to_load"]
    assert sized["share"] == pytest.approx(5.76 / 5.0, rel=1e-9)
    assert "Electric boiler 1.15" in size_lines(found)[0]
    assert found["size_column"] == ""


@pytest.mark.long
@pytest.mark.parametrize(
    "sheet",
    [
        {"outdoor": ["-15 degC", "7 degC"], "outputs": ["5 kW", "8 kW"]},
        {"test_point": [{"outdoor": f"{at} degC", "supply": "35 degC", "output": f"{kw} kW", "cop": 3.0} for at, kw in ((-15, 5), (7, 8))]},
    ],
)  # fmt: skip
def test_a_heat_pump_is_sized_to_each_load_with_all_outputs_of_its_sheet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, sheet: dict
) -> None:
    # 0 °C all year: 5 + 15/22 x (8 - 5) = 7.05 kW, enough for 5 kW and too little for 10 kW. Twice the unit on twice the house takes
    # twice the electricity at the same COP, so that both take three times what the first does.
    monkeypatch.setitem(STUDY, "option", [{"name": "Pump", "source": [{"kind": "heat_pump", "pump": "0 W", **sheet}]}])
    one = _run("home,house.design_heat_loss [kW]\nA,5\n", tmp_path / "one", sizes="load")
    found = _run("home,house.design_heat_loss [kW]\nA,5\nB,10\n", tmp_path / "two", sizes="load")
    assert found["options"][0]["held_short"] is None
    peaks = [each["options"][0]["coincident_peak_kw"] for each in (found, one)]
    assert peaks[0] == pytest.approx(3 * peaks[1], rel=1e-6)
    assert [each["share"] for each in found["sizes"]["to_load"]] == [pytest.approx(8.0 / 5.0, rel=1e-9)]
    assert "Pump, Air-to-water heat pump 1.60" in size_lines(found)[0]
    assert (
        _run("home,house.design_heat_loss [kW]\nA,5\nB,10\n", tmp_path / "same")["options"][0]["held_short"]["homes"]
        == 1.0
    )


@pytest.mark.parametrize(
    ("more", "cells", "peak_kw"),
    [("", ("", ""), 10.0 + 5.76), (",option[1].source[1].breaker [A]", (",30", ",30"), 5.76 + 5.76)],
)
def test_an_output_of_a_column_leaves_the_breaker_of_the_study_out(
    tmp_path: Path, more: str, cells: tuple[str, str], peak_kw: float
) -> None:
    # both ask for 10 kW; B's cell is empty, so that the study's breaker holds it
    table = (
        f"home,house.design_heat_loss [kW],option[1].source[1].output [kW]{more}\nA,10,12{cells[0]}\nB,10,{cells[1]}\n"
    )
    found = _run(table, tmp_path)
    assert found["options"][0]["coincident_peak_kw"] == pytest.approx(peak_kw, rel=1e-9)
    assert any("breaker of 30 A is left out" in line for line in size_lines(found)) == (not more)


def test_a_study_as_understood_shows_what_a_breaker_leaves_and_what_cannot_be_computed() -> None:
    # 60 A at 240 V carry 11.52 kW for hours
    boiler = {"kind": "electric", "output": "20 kW", "volts": "240 V", "breaker": "60 A"}
    assert "20.0 kW, of which its breaker carries 11.5 kW" in printed_case(study(boiler), constant_weather(0.0), "si")
    collectors = study(
        {"kind": "solar", "area": "10 m2"},
        boiler,
        tank__volume="1 m3",
        tank__max_temperature="80 degC",
        tank__loss="1 W/K",
    )
    with pytest.raises(InputError, match="cannot be computed"):
        printed_case(collectors, replace(constant_weather(0.0), ghi_w_m2=None, dni_w_m2=None, dhi_w_m2=None), "si")


def test_a_tank_is_warmed_besides_the_house_in_an_hour_that_turns_colder() -> None:
    # 10 °C until noon of 1 February, then 0 °C: the tank's water must be warmer from that hour on
    outdoor = np.where(np.arange(8760) < 31 * 24 + 12, 10.0, 0.0)
    found = simulate(study({"kind": "electric", "output": "40 kW"}, **TANK), wavy_weather(outdoor)).options[0].hourly
    at = 31 * 24 + 12
    rise_k = found.tank_c[at] - found.tank_c[at - 1]
    assert rise_k > 2.0
    # 300 L of water: 0.3 m3 x 990 kg/m3 x 4.18 kJ/(kg K) is 0.345 kWh/K, handbook figures for water at 40 °C
    assert found.heat_w[0, at] == pytest.approx(found.demand_w[at] + 345.0 * rise_k, rel=0.01)
    assert found.heat_w[0, at] > found.heat_w[0].mean() * 1.1
    assert "that turns colder" in peak_note()
