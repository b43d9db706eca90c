"""What is said where a figure is not what it seems: a short peak billed as an hour's mean, a typed balance point, a tie."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
from cases import study

from costsim.analysis.decision import OptionDecision, Verdict, _verdicts
from costsim.results.assumptions import _balance_source
from costsim.results.warnings import _short_peaks
from costsim.study.case import case_from
from costsim.views.text_decision import _winner

ELECTRIC: dict[str, Any] = {"kind": "electric", "output": "9 kW"}


def test_a_short_peak_without_its_factor_is_named_once() -> None:
    def told(**more: Any) -> list[str]:
        typed: dict[str, Any] = dict(study(ELECTRIC).typed)
        charge = {"price": "10 $/kW", **more}
        typed["prices"] = {"electricity": {"energy": "0.10 $/kWh", "demand": [charge]}}
        common: Any = SimpleNamespace(case=case_from(typed))
        return _short_peaks(common)

    assert told() == told(minutes=60) == told(minutes=15, peak_factor=1.0) == told(minutes=15, peak_factor=1.2) == []
    (text,) = told(minutes=15)
    assert text.startswith("10 $/kW of [[prices.electricity.demand]] is metered over 15 minutes")
    assert "peak_factor" in text


def test_a_typed_balance_point_is_shown_beside_the_years_mean() -> None:
    # 2 K lower for nights of a quarter of the hours: 18 °C typed, 17.5 °C the mean of the year
    def source(**house: Any) -> str:
        usual = {"balance_point_c": 18.0, "solar_aperture_m2": 0.0, "found_at_c": 20.0, "indoor_temperature_c": 20.0}
        own = SimpleNamespace(**{**usual, "absence": (), "setback": (), **house})
        case = SimpleNamespace(house=own, typed={"house": {"balance_point": "18 degC"}})
        return _balance_source(SimpleNamespace(case=case, gains_w=np.zeros(4)))  # type: ignore[arg-type]

    assert "mean of the year" not in source()
    for name in ("absence", "setback"):
        assert "18.00 °C (64.4 °F) at the usual set-point, here the mean of the year" in source(**{name: ("one",)})


def test_a_tie_is_called_a_tie() -> None:
    case, none = study(ELECTRIC), np.zeros(3)

    def judged(name: str, run: list[float]) -> OptionDecision:
        return OptionDecision(name, None, np.array(run), np.array(run), np.array(run), none)

    both = [judged("E", [5.0, 6.0, 7.0]), judged("F", [5.0, 6.0, 7.0])]
    found: dict[str, Verdict] = {one.question: one for one in _verdicts(case, both, both)}
    decision: Any = SimpleNamespace(options=both)
    assert found["cheapest to run"].alike == ("F",)
    assert _winner(found["cheapest to run"], decision) == ("E, F", "the same in every scenario")
    apart = [judged("E", [5.0, 6.0, 7.0]), judged("F", [5.0, 6.0, 7.1])]
    assert next(one for one in _verdicts(case, apart, apart) if one.question == "cheapest to run").alike == ()
