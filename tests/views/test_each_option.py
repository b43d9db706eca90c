"""Every option asked about has a sentence: what it costs beside the best, whether it is large enough, when it wins; by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study

from costsim.simulation import simulate
from costsim.study.case import case_from
from costsim.views import each_option, yearly_use

ELEMENT = {"kind": "electric", "output": "12 kW", "efficiency": "100 %"}


def test_an_option_beside_the_pair_is_told_with_its_size_and_its_break_even(monkeypatch: pytest.MonkeyPatch) -> None:
    """$3,923 against $2,568, both to hundreds since the gap has four figures: 3,900 less 2,600."""
    made: Any = [
        SimpleNamespace(name=name, cost_total=cost, keeps_warm=True, unmet=SimpleNamespace(hours=hours, worst_w=1500.0))
        for name, cost, hours in (("Gas", 2568.0, 0), ("Pump", 2600.0, 0), ("Electric", 3923.0, 0), ("Oil", 2568.0, 7))
    ]
    case = SimpleNamespace(today=None, options=made)
    result: Any = SimpleNamespace(
        options=made,
        currency="$",
        option=lambda name: next(one for one in made if one.name == name),
        lowered=SimpleNamespace(case=case, demand_w=np.array([9e3, 10.4e3])),
    )
    for name, value in (
        ("ranked", made), ("pair", made[:2]), ("named_option", None), ("turning_prices", []), ("nearest", SimpleNamespace(factor=1.5)),
        ("turning_line", "TURNS."), ("left_w", [SimpleNamespace(day_w=12e3)]),
    ):  # fmt: skip
        monkeypatch.setattr(each_option, name, lambda *_, value=value: value)
    turns = each_option.option_turns(result)
    assert each_option.option_lines(result, turns, "si") == [
        "Electric costs $1,300 a year more than Gas; it is large enough: it can give 12.0 kW, and the coldest hour asks for 10.4 kW. TURNS.",
        "Oil costs as much a year as Gas; it is too small in 7 hours, by at most 1.5 kW. TURNS.",
    ]  # fmt: skip
    assert each_option.short_lines(result, turns) == [
        "Electric costs $1,300 a year more than Gas; it is large enough.",
        "Oil costs as much a year as Gas; it is too small in 7 hours.",
    ]
    # no price turns it, or nobody asked for one
    for none in (SimpleNamespace(factor=None), None):
        [line] = each_option.option_lines(result, {"Electric": none}, "si")  # type: ignore[dict-item]
        assert line.endswith("the coldest hour asks for 10.4 kW.")
    made[3].keeps_warm = False
    assert list(each_option.option_turns(result)) == ["Electric"]
    made[0].keeps_warm = False
    assert each_option.option_turns(result) == {}
    made[0].keeps_warm = True
    monkeypatch.setattr(each_option, "pair", lambda _: None)
    assert each_option.option_turns(result) == {}


def test_hot_water_that_the_bill_paid_too_still_has_to_be_heated() -> None:
    """170 therms are 4,982 kWh; at 10 cents each $498, to two figures $500."""
    case = study(ELEMENT)
    first = case.typed["option"][0]
    now = case_from({**case.typed, "option": [{**first, "today": True}, {**first, "name": "two"}]})
    result = simulate(now, constant_weather(0.0))
    told = yearly_use.water_sentence(result)
    assert told.startswith(
        "Every cost here is for heating alone. About $500 a year of what one costs you today was taken as hot water"
    )
    assert yearly_use.water_sentence(simulate(case, constant_weather(0.0))) == ""
    # once the study counts hot water every option's bill holds it, and nothing comes on top
    taps = case_from({**now.typed, "use": [{"kind": "hot_water", "people": 3}]})
    assert yearly_use.water_sentence(replace(result, lowered=replace(result.lowered, case=taps))) == ""
