"""A first study from its answers, and what a study made anew keeps of the one before."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.views import first_study as begun
from costsim.views import payback, source_words
from costsim.views.first_answers import FirstAnswers

NEAR = pytest.approx


def study(monkeypatch: pytest.MonkeyPatch, design_c: float = -9.0, coldest_c: float = -9.0, **more: Any) -> Any:
    """100 m² that heat with propane today, in a place of so many degrees."""
    monkeypatch.setattr(begun, "design_temperature", lambda weather: (design_c, "made up"))
    given: dict[str, Any] = {
        "weather_name": "w.csv", "weather": SimpleNamespace(outdoor_c=np.array([10.0, coldest_c]), altitude_m=0.0), "area": "100 m2", "insulation": "average",
        "heat_loss": "10 kW", "now": "propane", "considered": ("gas",), "prices": {}, "system": "si", "currency": "€",
    }  # fmt: skip
    rate = more.pop("rate", {})
    return begun.first_study(FirstAnswers(**given | more), rate)


def outputs(made: Any) -> list[str]:
    return [one["source"][0]["output"] for one in made["option"]]


def test_sizes_follow_the_heat_loss_by_whichever_way_it_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """15 % more than the load, in whole kilowatts: 10 kW are 12; 400 W/K at 30 K are 12 kW, 14; 2 W/(m² K) on 100 m² at 30 K are 6, 7.

    Of a calculation and a year's fuel both stand, and sizes follow the larger: 400 W/K at 41 K are 16.4 kW, 19; against 20 kW, 23.
    """
    assert outputs(study(monkeypatch)) == ["12 kW", "12 kW"]
    rate = {"heat_loss_rate": "400 W/K", "heat_loss_rate_band": "18 %"}
    by_use = study(monkeypatch, rate=rate, heat_loss="")
    assert outputs(by_use)[0] == "14 kW"
    assert by_use["house"].items() >= rate.items()
    assert "design_heat_loss" not in by_use["house"]
    assert "design_outdoor" not in by_use["place"]
    for calculated, size in (("10 kW", "19 kW"), ("20 kW", "23 kW")):
        both = study(monkeypatch, rate=rate, heat_loss=calculated, loss_at="-20 degC")
        assert outputs(both)[0] == size
        assert both["house"].items() >= (rate | {"design_heat_loss": calculated}).items()
        assert both["place"]["design_outdoor"] == "-20 degC"
    thumb = study(monkeypatch, heat_loss="", loss_at="-20 degC")
    assert (thumb["house"]["heat_loss_per_area"], outputs(thumb)[0]) == ("60 W/m2", "7 kW")
    assert "design_outdoor" not in thumb["place"]
    # no place is taken as warmer than 12 °C: 400 W/K at 9 K are 3.6 kW, 5 of them
    assert outputs(study(monkeypatch, 18.0, 12.0, rate=rate, heat_loss=""))[0] == "5 kW"


def test_a_warmer_house_wants_more_and_a_cooler_one_no_less(monkeypatch: pytest.MonkeyPatch) -> None:
    """At 24 °C 33 K for 30: 11 kW, 13 of them. With the loss told at -19 °C 43 K for 40: 10.75 kW."""
    made = study(monkeypatch, thermostat="24 degC")
    assert outputs(made)[0] == "13 kW"
    assert (made["house"]["indoor_temperature"], made["house"]["design_indoor"]) == ("24 degC", "21 degC")
    assert outputs(study(monkeypatch, thermostat="18 degC"))[0] == "12 kW"


def test_a_calculation_may_be_meant_at_its_own_indoor_temperature(monkeypatch: pytest.MonkeyPatch) -> None:
    """20 kW at 18 °C and -9 °C are 27 K: at 21 °C 22.2 kW, 26 of them; kept at 18 °C 20 kW, 23. 4 K of gains either way."""
    calculated = {"heat_loss": "20 kW", "loss_at": "-9 degC", "loss_indoor": "18 degC"}
    made = study(monkeypatch, **calculated)
    assert {key: made["house"][key] for key in ("design_heat_loss", "design_indoor", "balance_point", "indoor_temperature")} == {
        "design_heat_loss": "20 kW", "design_indoor": "18 degC", "balance_point": "14 degC", "indoor_temperature": "21 degC",
    }  # fmt: skip
    assert outputs(made)[0] == "26 kW"
    cooler = study(monkeypatch, **calculated, thermostat="18 degC")
    assert outputs(cooler)[0] == "23 kW"
    assert begun.answers_of(cooler)["loss_indoor"] == "18 degC"
    plain = study(monkeypatch, heat_loss="20 kW", loss_at="-9 degC")
    assert (plain["house"]["design_indoor"], plain["house"]["balance_point"]) == ("21 degC", "17 degC")
    assert begun.answers_of(plain)["loss_indoor"] == ""
    # without a calculation nothing is meant at it
    assert study(monkeypatch, heat_loss="", loss_indoor="18 degC")["house"]["design_indoor"] == "21 degC"
    own = study(monkeypatch, thermostat="27 degC", loss_at="-19 degC", coldest_c=-19.0)
    assert outputs(own)[0] == "14 kW"  # 46 K for 40 are 11.5 kW, by 1.15
    assert own["place"] == {"weather": "w.csv", "design_outdoor": "-19 degC"}
    mild = study(monkeypatch, 18.0, 12.0, thermostat="22.8 degC")
    assert outputs(mild)[0] == "14 kW"  # 10.8 K for 9 are 12 kW


def test_answers_on_todays_heating_go_to_what_heats_today(monkeypatch: pytest.MonkeyPatch) -> None:
    made = study(
        monkeypatch, efficiency="80 %", emitter="radiators", quotes={"gas": "9000 €"}, prices={"propane": "1 €/L", "natural_gas": "", "coal": "1 €/t"},
        tables={"propane": {"rent": "5 €/month"}, "coal": {"rent": "1 €/month"}}, renewal={"replacement": "8000 €"},
    )  # fmt: skip
    now, gas = made["option"]
    assert (now["today"], now["first_cost"], now["replacement"]) == (True, "0 €", "8000 €")
    assert now["source"][0]["efficiency"] == "80 %"
    assert "condensing" not in now["source"][0]
    assert gas["source"][0]["condensing"] is True
    assert (gas["first_cost"], "today" in gas, "replacement" in gas) == ("9000 €", False, False)
    assert made["house"]["emitter"] == "radiators"
    assert made["prices"]["propane"] == {"energy": "1 €/L", "rent": "5 €/month"}
    assert made["prices"]["natural_gas"]["energy"] == "0.12 €/kWh"  # left out, so an example
    assert "coal" not in made["prices"]
    assert study(monkeypatch, efficiency="95 %")["option"][0]["source"][0]["condensing"] is True
    assert "efficiency" not in study(monkeypatch, now="electric", efficiency="95 %")["option"][0]["source"][0]
    plain = study(monkeypatch)
    assert "first_cost" not in plain["option"][1]
    assert "emitter" not in plain["house"]
    us = study(monkeypatch, system="us", currency="$")["house"]
    assert (us["indoor_temperature"], plain["house"]["indoor_temperature"]) == ("70 degF", "21 degC")


def test_a_study_made_anew_keeps_its_name(monkeypatch: pytest.MonkeyPatch) -> None:
    made = study(monkeypatch)
    begun.keep_typed(made, {})
    assert made["title"] == "My house"
    begun.keep_typed(made, {"title": "Hill house"})
    assert made["title"] == "Hill house"


def test_a_price_that_is_paid_stands_without_the_fixed_charge_of_an_example(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "fixed" in study(monkeypatch, now="gas")["prices"]["natural_gas"]
    paid = study(monkeypatch, now="gas", prices={"natural_gas": "0.10 €/kWh"})
    assert paid["prices"]["natural_gas"] == {"energy": "0.10 €/kWh"}


def test_cheaper_hours_are_those_of_an_off_peak_source(monkeypatch: pytest.MonkeyPatch) -> None:
    made = study(monkeypatch, considered=("off_peak_propane",), windows=("23:00-05:00",))
    night, boiler = made["option"][1]["source"]
    assert night["windows"] == ["23:00-05:00"]
    assert "windows" not in boiler
    same = study(monkeypatch, considered=("off_peak_propane",))["option"][1]["source"][0]
    assert same["windows"] == ["22:00-06:00"]


def anew(*options: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"prices": {"electricity": {}, "propane": {}}, "house": {}, "option": [dict(one) for one in options], **more}


def test_what_the_questions_do_not_ask_is_kept() -> None:
    typed = anew(
        {"name": "Propane", "rebate": "1 $", "maintenance": "2 $/year", "replacement": "3 $", "replacement_year": 9},
        {"name": "Mine", "source": [{"kind": "oil"}], "rebate": "4 $", "first_cost": "5 $"},
        economics={"study_period": 15, "escalation": {"heating_oil": "2 %", "propane": "3 %"}}, uncertainty={"price": {"heating_oil": "9 %"}},
        house={"other_electricity": "4000 kWh", "other_electricity_profile": "p.csv", "floor_area": "1 m2"},
    )  # fmt: skip
    typed["prices"]["heating_oil"] = {}
    data = anew({"name": "Propane", "today": True}, {"name": "Oil boiler", "rebate": "6 $"})
    begun.keep_typed(data, typed)
    assert data["economics"] == {"study_period": 15, "escalation": {"propane": "3 %"}}
    assert data["uncertainty"] == {"price": {}}
    assert typed["economics"]["escalation"] == {"heating_oil": "2 %", "propane": "3 %"}  # the old one stays as it was
    assert data["house"] == {"other_electricity": "4000 kWh", "other_electricity_profile": "p.csv"}
    today, oil = data["option"]
    # what replaces today's heating was asked just now
    assert today == {"name": "Propane", "today": True, "rebate": "1 $", "maintenance": "2 $/year"}
    assert oil == {"name": "Mine", "rebate": "6 $"}  # an oil boiler under the name that it was given
    begun.keep_typed(bare := anew({"name": "Propane"}), typed)
    assert bare["option"][0] == typed["option"][0]
    begun.keep_typed(empty := anew({"name": "Propane"}), {})
    assert empty == anew({"name": "Propane"})


def test_other_electricity_is_kept_where_electricity_is_priced_and_nothing_else_is_typed() -> None:
    typed = {"house": {"other_electricity": "4000 kWh"}}
    begun.keep_typed(data := anew(house={"other_electricity": "1 kWh"}), typed)
    assert data["house"] == {"other_electricity": "1 kWh"}
    begun.keep_typed(data := {"prices": {}, "house": {}, "option": []}, typed)
    assert data["house"] == {}


def test_a_name_is_kept_only_where_no_other_option_has_it() -> None:
    typed = anew({"name": "Gas", "source": [{"kind": "oil"}], "rebate": "1 $"})
    begun.keep_typed(data := anew({"name": "Oil boiler"}, {"name": "Gas"}), typed)
    assert [one["name"] for one in data["option"]] == ["Oil boiler", "Gas"]
    assert [one.get("rebate") for one in data["option"]] == ["1 $", "1 $"]


def test_a_heater_that_may_not_last_is_told_of_where_nobody_typed_what_a_new_one_costs() -> None:
    def told(count: int = 2, **more: Any) -> str:
        today = {"name": "Gas", "replacement_money": 0.0, "first_cost_money": 0.0, "part": False, **more}
        case = SimpleNamespace(
            today=SimpleNamespace(**today),
            options=[1] * count,
            economics=SimpleNamespace(study_period=20, discount_rate_share_per_year=0.03),
        )
        return payback.lasts_sentence(SimpleNamespace(lowered=SimpleNamespace(case=case)))  # type: ignore[arg-type]

    assert told().startswith("Counts no new heater in place of Gas within 20 years: ")
    assert told(3) == told()
    assert told(1) == told(first_cost_money=1.0) == told(part=True) == ""
    nobody: Any = SimpleNamespace(lowered=SimpleNamespace(case=SimpleNamespace(today=None, options=[1, 2])))
    assert payback.lasts_sentence(nobody) == ""


def test_extra_is_between_two_warm_options_whose_first_costs_are_known(monkeypatch: pytest.MonkeyPatch) -> None:
    one, other = (SimpleNamespace(name=name, keeps_warm=True) for name in ("Pump", "Gas"))
    paid = {
        name: SimpleNamespace(option=name, priced=True, present_cost=cost, first=first)
        for name, cost, first in (("Pump", 30e3, 9e3), ("Gas", 40e3, 0.0))
    }
    case = SimpleNamespace(
        options=[one, other], today=None, economics=SimpleNamespace(study_period=20, discount_rate_share_per_year=0.03)
    )
    result: Any = SimpleNamespace(lowered=SimpleNamespace(case=case), option={"Pump": one, "Gas": other}.__getitem__)
    monkeypatch.setattr(payback, "outlay", lambda study, typed, run: paid[typed.name])
    monkeypatch.setattr(
        payback,
        "add_on",
        lambda study, base, more: SimpleNamespace(investment=more.first - base.first, discounted_payback=7.5),
    )

    def extra(both: Any = (one, other)) -> Any:
        monkeypatch.setattr(payback, "pair", lambda _: both)
        return payback.extra_of(result)

    assert extra() == payback.Extra("Pump", "Gas", 9e3, 7.5, (30e3, 40e3), 20, True, rate=0.03)
    for first, spent in ((0.99, True), (1.0, False), (-1.0, False), (500.0, False)):
        paid["Gas"].first = first
        assert extra().spent is spent
    for name in paid:
        paid[name].priced = False
        assert extra() is None
        paid[name].priced = True
    assert extra(None) is None
    for cold in (one, other):
        cold.keeps_warm = False
        assert extra() is None
        cold.keeps_warm = True


def test_an_option_against_todays_heating(monkeypatch: pytest.MonkeyPatch) -> None:
    """$1,897 a year for $1,128: to the place of their difference $1,900 and $1,130."""
    paid = {name: SimpleNamespace(priced=True) for name in ("Gas", "Pump")}
    step = SimpleNamespace(investment=9000.0, simple_payback=7.5, discounted_payback=7.5)
    monkeypatch.setattr(payback, "outlay", lambda case, typed, season: paid[typed.name])
    monkeypatch.setattr(payback, "add_on", lambda case, base, more: step)
    now, pump = SimpleNamespace(name="Gas", replacement_year=0), SimpleNamespace(name="Pump", replacement_year=0)
    case = SimpleNamespace(
        today=now, options=[now, pump], economics=SimpleNamespace(study_period=20, discount_rate_share_per_year=0.03)
    )
    costs = {"Gas": 1897.0, "Pump": 1128.0}
    result: Any = SimpleNamespace(
        lowered=SimpleNamespace(case=case),
        currency="$",
        option=lambda name: SimpleNamespace(cost_total=costs[name], keeps_warm=True),
    )

    def told(name: str = "Pump") -> str:
        return payback.today_sentence(result, name)

    assert (
        told()
        == "Against Gas today ($1,900 a year), Pump costs $1,130 a year; its $9,000 pays for itself in 7.5 years, with 3% interest."
    )
    step.discounted_payback = None
    assert told().endswith("its $9,000 does not pay for itself within 20 years.")
    assert told("Gas") == ""
    for one in paid.values():
        one.priced = False
        assert told() == ""
        one.priced = True
    for investment, said in ((9.9, False), (10.0, True), (-50.0, False), (0.0, False)):
        step.investment = investment
        assert bool(told()) is said
    case.today = None
    assert told() == ""


def test_sources_of_a_mix_that_charge_by_the_clock_are_named() -> None:
    def told(*stores: bool, tank: Any = 1, windows: tuple[str, ...] = ("22:00-06:00",)) -> str:
        sources = [SimpleNamespace(store=one, label=f"S{at}", windows=windows) for at, one in enumerate(stores)]
        option = SimpleNamespace(sources=sources, tank_of=lambda case: tank)
        return source_words.clock_sentence(None, option)  # type: ignore[arg-type]

    assert told(True, False).startswith("S0 charges the tank in its own hours (22:00-06:00), wherever")
    assert "(all day)" in told(False, True, windows=())
    assert told(True, True).count("charges") == 2
    assert told(False, False) == told(True) == told(True, False, tank=None) == told() == ""
    assert (source_words.icon_of("wood"), source_words.icon_of("unheard")) == ("forest", "water_heater")


def test_what_stays_of_today_is_today_s_with_its_efficiency_and_its_renewal(monkeypatch: pytest.MonkeyPatch) -> None:
    due = {"replacement": "7500 €", "replacement_year": 2}
    made = study(monkeypatch, considered=("wood_propane", "gas"), efficiency="78 %", renewal=due)
    today, beside, other = made["option"]
    assert today["source"][0]["efficiency"] == "78 %"
    assert beside["source"][1] == today["source"][0] | {"backup_only": True}
    assert [{key: one[key] for key in due if key in one} for one in (today, beside, other)] == [due, due, {}]
