"""A new heater in place of today's: who pays it, and when what is spent beside it comes back, by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.analysis.lifecycle import add_on, outlay_of
from costsim.study.case import case_from
from costsim.views import first_study as begun
from costsim.views.bought_anew import anew_text, beyond_today, outlay_text, renewal_sentence
from costsim.views.first_answers import FirstAnswers
from costsim.views.todays_heater import carry_renewal

BOILER = {"kind": "gas", "fuel": "propane", "output": "60 kBtu/h", "efficiency": "78 %"}
NIGHT = {"kind": "off_peak_electric", "output": "20 kW", "windows": ["22:00-06:00"]}
DUE = {"replacement": "7500 $", "replacement_year": 1}
NOW = {"name": "Propane", "today": True, "first_cost": "0 $", "source": [BOILER], **DUE}


def beside(**more: Any) -> dict[str, Any]:
    return {"name": "Both", "first_cost": "9500 $", "source": [NIGHT, BOILER], **more}


def case_of(*options: dict[str, Any]) -> Any:
    return case_from(
        {
            "title": "A house",
            "place": {"weather": "minneapolis_tmy3.csv"},
            "house": {
                "indoor_temperature": "70 degF",
                "balance_point": "63 degF",
                "design_heat_loss": "40 kBtu/h",
                "floor_area": "1500 ft2",
            },
            "tank": {"volume": "200 gal", "max_temperature": "180 degF"},
            "prices": {
                "propane": {"energy": "2.4 $/gal"},
                "off_peak": {"fuel": "electricity", "energy": "0.079 $/kWh"},
                "electricity": {"energy": "0.15 $/kWh"},
            },
            "option": list(options),
        }
    )


def outlays(case: Any) -> list[Any]:
    """Bills of $2,767 and $1,938 a year."""
    bills = {"Propane": 2767.0, "Both": 1938.0}
    return [
        outlay_of(case, one, {"propane": SimpleNamespace(total=bills[one.name], fixed=0.0)}, 0.0, 0)
        for one in case.options
    ]


def test_who_keeps_the_old_boiler_pays_for_the_new_one_too() -> None:
    """9,500 / (2,767 − 1,938) = 11.46 years; at 3 % 1.03^−n = 1 − 0.03 × 9,500 / 829, n = 14.25.

    Over 20 years 9,500 + 7,500 / 1.03 + 1,938 × 14.8775 = 45,614, and 7,282 + 2,767 × 14.8775 = 48,448 as it is.
    """
    both = beside()
    carry_renewal(both, NOW)
    case = case_of(NOW, both)
    now, mix = outlays(case)
    step = add_on(case, now, mix)
    assert step.simple_payback == pytest.approx(11.46, abs=0.005)
    assert step.discounted_payback == pytest.approx(14.25, abs=0.005)
    assert (now.present_cost, mix.present_cost) == (pytest.approx(48_448, abs=2), pytest.approx(45_614, abs=2))
    assert anew_text(case, case.options[1]) == "$7,500 in year 1"
    told = outlay_text(mix, case, "$7,500 in year 1")
    assert told == (
        "Both: first cost $9,500 + bought anew $7,282 ($7,500 in year 1) + other payments of 20 years $28,832 = $45,614"
    )
    (line,) = beyond_today(case, [now, mix])
    assert line.startswith("Both against Propane: $9,500 more at the start, $829 less a year")
    assert line.endswith("comes back after 11 years without interest; 14 years, with 3% interest")


def test_a_new_boiler_that_only_today_pays_is_spared_by_what_does_not_keep_it() -> None:
    """7,500 + 829 in the first year, 829 in the second and third: 9,500 after 2.41 years."""
    case = case_of(NOW, beside())
    now, mix = outlays(case)
    assert add_on(case, now, mix).simple_payback == pytest.approx(1 + (9500 - 8329) / 829, abs=1e-6)


def test_a_replacement_that_was_typed_stands() -> None:
    mine = beside(replacement="0 $")
    carry_renewal(mine, NOW)
    assert "replacement_year" not in mine
    alone = {"name": "New", "source": [BOILER | {"efficiency": "95 %"}]}
    carry_renewal(alone, NOW)
    assert "replacement" not in alone
    plain = beside()
    carry_renewal(plain, {key: one for key, one in NOW.items() if key != "replacement"})
    assert "replacement" not in plain


def test_the_answer_says_who_pays_for_the_new_boiler() -> None:
    told = renewal_sentence(case_of(NOW, beside(**DUE)))
    assert told.startswith(
        "Counts a new heater in place of Propane in year 1 for $7,500, with the efficiency of today's"
    )
    assert told.endswith("Both: keeps that heater, and pays the same for the new one.")
    assert "Both: keeps that heater, but no new one is counted for it" in renewal_sentence(case_of(NOW, beside()))
    assert "Both" not in renewal_sentence(case_of(NOW, beside(replacement="0 $")))
    assert renewal_sentence(case_of(NOW | {"replacement_year": 21}, beside())) == ""
    # a better boiler with the sun beside it is the new one, not the one that is kept
    new = {
        "name": "New",
        "first_cost": "9500 $",
        "source": [BOILER | {"efficiency": "95 %"}, {"kind": "solar", "area": "80 ft2"}],
    }
    assert "New" not in renewal_sentence(case_of(NOW, new, beside()))


def test_questions_answered_anew_move_what_was_carried_and_leave_what_was_typed() -> None:
    def again(was: dict[str, Any], due: dict[str, Any] = DUE) -> dict[str, Any]:
        old = {"prices": {}, "house": {}, "option": [NOW, beside(**was)]}
        new_now = {key: one for key, one in NOW.items() if key not in DUE} | due
        mix = beside()
        carry_renewal(mix, new_now)
        data = {"prices": {}, "house": {}, "option": [new_now, mix]}
        begun.keep_typed(data, old)
        return {key: data["option"][1].get(key) for key in DUE}

    later = {"replacement": "8000 $", "replacement_year": 4}
    assert again(DUE, later) == later  # carried before, so that it follows today's
    assert again(DUE, {}) == {"replacement": None, "replacement_year": None}
    mine = {"replacement": "3000 $", "replacement_year": 9}
    assert again(mine, later) == mine
    assert again({"replacement": "0 $"})["replacement"] == "0 $"
    assert again({}) == DUE


def test_a_new_boiler_of_todays_kind_is_an_option_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """Today's boiler turns 78 % of its propane into heat; the new one 95 %, and costs what today's would in a year."""
    made = made_of(monkeypatch, efficiency="78 %", new_efficiency="95 %", quotes={"new_propane": "7500 $"})
    now, new = made["option"]
    assert (now["name"], now["source"][0]["efficiency"], now["first_cost"]) == ("Propane", "78 %", "0 $")
    assert (new["name"], new["source"][0]["efficiency"], new["first_cost"]) == ("New propane boiler", "95 %", "7500 $")
    assert (now["replacement"], "replacement" in new) == ("7500 $", False)
    assert "condensing" not in now["source"][0]
    assert new["source"][0]["condensing"] is True
    found = begun.answers_of(made)
    assert (found["now"], found["considered"], found["quote/new_propane"]) == ("propane", ["new_propane"], "7500 $")
    usual = made_of(monkeypatch)["option"][1]["source"][0]
    assert usual["efficiency"] == "92 %"  # what every new propane boiler is assumed to have
    low = made_of(monkeypatch, new_efficiency="85 %")["option"][1]["source"][0]
    assert "condensing" not in low  # its flue gas leaves warm


def test_a_new_boiler_stands_where_todays_stands_without_the_tank_of_the_others(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    today, new, beside = made_of(monkeypatch, considered=("new_propane", "off_peak_propane"))["option"]
    assert (today["no_tank"], new["no_tank"], "no_tank" in beside) == (True, True, False)
    alone = made_of(monkeypatch, considered=("new_propane",))["option"]
    assert [one.get("no_tank") for one in alone] == [None, None]  # nobody has a tank


def test_hours_of_an_off_peak_meter_come_back_as_they_were_answered(monkeypatch: pytest.MonkeyPatch) -> None:
    made = made_of(monkeypatch, considered=("off_peak_propane",), windows=("21:00-16:00",))
    assert begun.answers_of(made)["cheap_hours"] == "21:00-16:00"
    assert "cheap" not in begun.answers_of(made)
    assert (made["option"][1]["replacement"], made["option"][1]["replacement_year"]) == ("7500 $", 1)


def made_of(monkeypatch: pytest.MonkeyPatch, **more: Any) -> Any:
    """1,500 ft² that heat with propane today, whose boiler is due in a year for $7,500."""
    monkeypatch.setattr(begun, "design_temperature", lambda weather: (-9.0, "made up"))
    given: dict[str, Any] = {
        "weather_name": "w.csv", "weather": SimpleNamespace(outdoor_c=np.array([10.0, -9.0]), altitude_m=0.0), "area": "1500 ft2", "insulation": "average",
        "heat_loss": "40 kBtu/h", "now": "propane", "considered": ("new_propane",), "prices": {}, "system": "us", "currency": "$", "renewal": DUE,
    }  # fmt: skip
    return begun.first_study(FirstAnswers(**given | more))
