"""Many tariffs at once against studies typed one by one."""

from __future__ import annotations

from pathlib import Path

import pytest
from cases import demo

from costsim import load_weather, read_study, simulate
from costsim.analysis.tariff_choice import compare_tariffs
from costsim.cli.main import main
from costsim.study.case import case_from

NIGHT = {
    "electricity": {
        "energy": "0.19 $/kWh",
        "fixed": "20 $/month",
        "period": [{"name": "night", "energy": "0.05 $/kWh", "windows": ["22:00-06:00"]}],
    }
}


def test_each_tariff_is_the_study_typed_with_it() -> None:
    case = read_study("lantern_cottage")
    weather = load_weather(case)
    choice = compare_tariffs(case, weather, {"as typed": {}, "night": NIGHT})
    data = demo()
    data["prices"]["electricity"] = NIGHT["electricity"]
    typed = simulate(case_from(data), weather)
    assert choice.costs[1] == tuple(option.cost_total for option in typed.options)
    assert choice.costs[0] == tuple(option.cost_total for option in simulate(case, weather).options)
    without = typed.options[0].bills["electricity"].without_heating
    assert without is not None
    assert choice.whole_bills[1][0] == pytest.approx(typed.options[0].cost_total + without)
    for option in choice.options:
        at = choice.options.index(option)
        cheapest = min((0, 1), key=lambda row: choice.whole_bills[row][at])
        assert choice.best(option) == choice.tariffs[cheapest]


def test_the_command_says_which_rate_the_house_should_be_on(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "night.toml").write_text('[prices.electricity]\nenergy = "0.05 $/kWh"\n')
    assert main(["compare", "--tariffs", str(tmp_path / "night.toml")]) == 0
    text = capsys.readouterr().out
    assert "is cheapest on" in text
    assert "night.toml" in text
    (tmp_path / "bad.toml").write_text('title = "x"\n')
    assert main(["compare", "--tariffs", str(tmp_path / "bad.toml")]) == 2
    assert "there is no price table" in capsys.readouterr().err
    (tmp_path / "euro.toml").write_text('[prices.electricity]\nenergy = "0.05 €/kWh"\n')
    assert main(["compare", "--tariffs", str(tmp_path / "euro.toml")]) == 2
    assert "is in €" in capsys.readouterr().err
