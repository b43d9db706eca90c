"""One figure, one rounding, one name: what pages and papers say of the same thing agrees, and says what it is of."""

from __future__ import annotations

import re
from typing import Any

import pytest

from costsim import load_weather, simulate
from costsim.analysis.decision import decide
from costsim.analysis.lifecycle import life_cycle
from costsim.report.household import replaced_text
from costsim.report.sign import _parts
from costsim.results.result import Result
from costsim.study.case import Case, case_from
from costsim.study_files import StudyFiles
from costsim.views.card_math import Sums, steps_of
from costsim.views.cards import cards, years_finding
from costsim.views.headline import headline
from costsim.views.label_efficiency import label_sentence
from costsim.views.tables import season_rows
from costsim.views.text_decision import verdict_rows
from costsim.views.text_uncertainty import lifecycle_rows, step_lines
from costsim.views.verdict import decision
from costsim.views.yearly_use import in_thousands, refitted
from costsim.weather import Weather

PUMP = "Heat pump"


def house(place: str = "greensboro.csv") -> dict[str, Any]:
    """An invented house whose old boiler is replaced in year 5, where the carbon of power is not known."""
    return {
        "title": "An invented house",
        "place": {"weather": place, "timezone": "Europe/Vienna"},
        "house": {"floor_area": "1800 ft2", "indoor_temperature": "70 degF", "heat_loss_rate": "700 Btu/(h degF)",
                  "balance_point": "62 degF"},
        "prices": {
            "propane": {"energy": "2.65 $/gal", "rent": "120 $/year"},
            "electricity": {"energy": "0.194 $/kWh", "fixed": "18.5 $/month", "period": [
                {"name": "Night", "energy": "0.11 $/kWh", "windows": ["21:00-07:00"]}]},
        },
        "uncertainty": {"scenarios": 100},
        "option": [
            {"name": "Propane", "today": True, "first_cost": "0 $", "replacement": "8900 $", "replacement_year": 5,
             "source": [{"kind": "gas", "fuel": "propane", "output": "80 kBtu/h", "efficiency": "95 %", "condensing": True}]},
            {"name": PUMP, "first_cost": "16500 $", "source": [
                {"kind": "heat_pump", "outdoor": ["5 degF", "47 degF"], "outputs": ["40 kBtu/h", "60 kBtu/h"]},
                {"kind": "electric", "output": "20 kW", "backup_only": True}]},
        ],
    }  # fmt: skip


@pytest.fixture(scope="module")
def found() -> tuple[Case, Weather, Result]:
    case = case_from(house())
    weather = load_weather(case)
    return case, weather, simulate(case, weather)


def test_money_over_the_years_is_the_same_figure_everywhere(found: tuple[Case, Weather, Result]) -> None:
    case, weather, result = found
    outlays, steps = life_cycle(case, result)
    costs = {one.option: one.present_cost for one in outlays}
    best, other = sorted(costs.values())
    # the difference is that of the costs as shown, so that a reader who subtracts finds it
    low, gap = (f"${amount:,.0f}" for amount in (round(best, -2), round(other, -2) - round(best, -2)))
    assert best > 10_000
    for text in (years_finding(case, result), headline(case, weather, result, "us", at_once=True),
                 " ".join(one.note for one in cards(case, result.lowered, result, None, persona="household", system="us"))):  # fmt: skip
        assert low in text
        assert f"{gap} less" in text
    over = re.search(r"Over 20 years it costs (\$[\d,]+) less", decision(result, "household", "us"))
    assert over is None or over[1] == gap
    verdict = next(row for row in verdict_rows(case, decide(case, weather, outlays))[1] if "over 20 years" in row[0])
    assert verdict[1] == min(costs, key=costs.__getitem__)
    assert re.split(r" \(median of the scenarios ", verdict[3])[0] == low
    # what each dollar brings back is of the first cost named, and nothing else
    (_step,) = steps
    (line,) = step_lines(case, outlays, steps)
    back = float(re.search(r"brings back \$([\d.]+)", line)[1])  # type: ignore[index]
    assert "costs $16,500 more" in line
    assert back == pytest.approx((costs["Propane"] - costs[PUMP] + 16_500.0) / 16_500.0, abs=0.006)
    headings, rows = lifecycle_rows(case, outlays)
    assert headings[-2:] == ["paid by year 20", "20 years, in today's money"]
    assert rows[0][-2] == f"${sum(outlays[0].yearly):,.0f}"
    # sums of the table add up to the total of the option
    table = season_rows(result, "us")[1]
    energy = [int(row[4].strip("$").replace(",", "")) for row in table[-4:]]
    assert energy[0] == sum(energy[1:])
    assert replaced_text(case, case.options[0]) == "Propane is replaced: $8,900 in year 5."


def test_prices_carbon_and_efficiency_say_what_they_are(found: tuple[Case, Weather, Result]) -> None:
    case, _, result = found
    shown = ", ".join(_parts(case.typed["prices"]["electricity"]))
    assert "0.194 $/kWh in other hours" in shown
    assert "0.11 $/kWh 21:00-07:00 (Night)" in shown
    assert "18.5 $/month" in shown
    steps = steps_of("carbon", Sums(case, result, None, "us"))
    assert not any("nan" in one.formula for one in steps)
    assert "not known" in steps[0].formula
    season = result.option("Propane").sources[0]
    real = season.heat_j / season.input_j
    said = label_sentence(case.options[0].sources[0], season)
    assert said.startswith(f"95% on the label, {real:.0%} over the year with water as warm as your house needs")
    assert any(said in one.source for one in steps_of("run", Sums(case, result, None, "us")))


def test_another_weather_can_be_fitted_to_the_same_use_and_keeps_everything_else() -> None:
    data = house("cold_valley.csv") | {"price_date": "2026-02"}
    data["option"].reverse()
    weather = load_weather(case_from(data))
    new = refitted(data, "1150 gal", hot_water=False, weather=weather, system="us", files=StudyFiles())
    case = case_from(new)
    season = simulate(case, weather).option("Propane").sources[0]
    assert case.prices["propane"].sold("propane", season.input_j, "us")[0] == pytest.approx(1150, rel=0.01)
    assert new["house"].pop("heat_loss_rate") != data["house"].pop("heat_loss_rate")
    assert new["house"].pop("heat_loss_rate_band") == "15 %"
    assert new.pop("note").startswith(f"Your {in_thousands('1150 gal')} a year tell")
    assert new == data
