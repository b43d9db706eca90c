"""What a result says about itself: warnings on both sides of their limits, assumptions with their figures, JSON in its units."""

from __future__ import annotations

import re
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study, with_uses

from costsim import simulate
from costsim.engine.lower import lower_study
from costsim.results.assumptions import assumptions_of
from costsim.results.cautions import cautions_of
from costsim.results.cycling import too_many_starts
from costsim.results.result import UseSeason, ZoneSeason
from costsim.results.uses import use_assumptions
from costsim.results.warnings import warnings_of
from costsim.study.case import Case, case_from

ELECTRIC = {"kind": "electric", "output": "20 kW"}
GAS = {"kind": "gas", "output": "20 kW", "efficiency": "80 %", "altitude_rule": "none"}
TANK = {"tank__volume": "300 L", "tank__max_temperature": "70 degC"}


def warned(case: Case, outdoor_c: float) -> str:
    """All warnings of a study under one temperature all year, which need no run of it."""
    return "\n".join(warnings_of(lower_study(case, constant_weather(outdoor_c)), ()))


def said(case: Case, outdoor_c: float = 5.0) -> dict[str, tuple[str, str, str]]:
    """Value, source and key of each assumption."""
    return {
        one.what: (one.value, one.source, one.key)
        for one in assumptions_of(lower_study(case, constant_weather(outdoor_c)))
    }


def test_a_design_temperature_far_from_the_weather_is_told() -> None:
    # the study's is -10 °C, 8 K are allowed
    far = "outdoor design temperature, -10.00 °C (14.0 °F), is far from what 99 % of the weather's hours exceed, {}; check both"
    assert far.format("-1.90 °C (28.6 °F)") in warned(study(ELECTRIC), -1.9)
    assert "is far from" not in warned(study(ELECTRIC), -2.1)
    assert "is far from" in warned(study(ELECTRIC), -18.1)
    assert "is far from" not in warned(study(ELECTRIC), -17.9)


@pytest.mark.parametrize(("loss", "told"), [("9.9 kW", False), ("10.2 kW", True)])
def test_more_heat_than_warm_floors_give_is_told(loss: str, told: bool) -> None:
    # 100 m², 100 W/m²
    words = "not be able to give off this much heat: 102.00 W/m²"
    assert (words in warned(study(ELECTRIC, house__design_heat_loss=loss), -5.0)) == told


@pytest.mark.parametrize(
    ("outdoor_c", "design", "told"),
    [
        # 20 °C of balance; hours are 8,760 (20 - outdoor) / (20 - design); °F-days 365 × 1.8 (18.333 - outdoor)
        (7.0, "-10 degC", "3,796 full-load hours are unusual for 7,446 °F-days"),
        (7.0, "-40 degC", ""),  # 1,898 h
        (7.4, "-65 degC", "1,299 full-load hours are unusual for 7,183 °F-days"),
        (7.0, "-65 degC", ""),  # 1,340 h
        (7.0, "-23 degC", "2,648 full-load hours"),
        (7.0, "-24 degC", ""),  # 2,588 h
        (6.1, "-10 degC", ""),  # 8,037 °F-days
        (6.2, "-10 degC", "for 7,972 °F-days"),
        (7.7, "-10 degC", ""),  # 6,986 °F-days
        (7.6, "-10 degC", "for 7,052 °F-days"),
    ],
)
def test_unusual_full_load_hours_are_told_where_they_are_known(outdoor_c: float, design: str, told: str) -> None:
    found = warned(study(ELECTRIC, place__design_outdoor=design), outdoor_c)
    assert told in found
    assert ("full-load hours" in found) == bool(told)


def test_a_rule_of_thumb_and_typical_walls_are_told() -> None:
    per_area = study(ELECTRIC, house__design_heat_loss=None, house__heat_loss_per_area="50 W/m2")
    assert "rule of thumb per floor area" in warned(per_area, -5.0)
    assert "rule of thumb" not in warned(study(ELECTRIC), -5.0)


def test_pumps_that_nobody_pays_for_are_told() -> None:
    """100 W of fans beside a flame all year are 876 kWh; a watt for an hour is not worth a word."""
    data = dict(study({**GAS, "electric": "100 W"}).typed)
    data["prices"] = {"natural_gas": data["prices"]["natural_gas"]}
    free = simulate(case_from(data), constant_weather(5.0))
    assert "electricity of pumps and fans is not in the cost of one: add [prices.electricity]" in free.warnings
    assert not any("pumps and fans" in text for text in simulate(study(GAS), constant_weather(5.0)).warnings)
    data["option"][0]["source"][0] = {**GAS, "electric": "0 W"}
    assert not any("pumps and fans" in text for text in simulate(case_from(data), constant_weather(5.0)).warnings)


def test_a_minimum_bill_that_is_paid_for_nothing_is_told() -> None:
    """3 kW all year at 80 % are 1,121 therms a year: a minimum of 1,200 costs $79 for nothing."""
    price = {"energy": "1.00 $/therm", "minimum_use": "1200 therm/year"}
    steady = {**GAS, "min_output": "0 W", "cycling_degradation": 0.0}
    case = study(steady, prices__natural_gas=price)
    result = simulate(case, constant_weather(5.0))
    wanted = [text for text in result.warnings if "does not use" in text]
    therms = 3000 * 8760 * 3600 / 0.8 / 105.4804e6
    assert len(wanted) == 1
    assert wanted[0].startswith("one pays $")
    paid = float(wanted[0].partition("$")[2].partition(" ")[0])
    assert paid == pytest.approx(1200 - therms, abs=1.0)
    assert not any("does not use" in text for text in simulate(study(GAS), constant_weather(5.0)).warnings)


@pytest.mark.parametrize(
    ("rule", "blocks", "told"), [("cheapest_now", True, True), ("cheapest_now", False, False), ("fixed", True, False)]
)
def test_a_rule_that_looks_at_the_price_of_a_first_block_says_so(rule: str, blocks: bool, told: bool) -> None:
    data = dict(study(GAS, ELECTRIC).typed)
    data["option"][0]["rule"] = rule
    if blocks:
        data["prices"]["natural_gas"] = {
            "block": [{"up_to": "50 therm/month", "energy": "1 $/therm"}, {"energy": "2 $/therm"}]
        }
    words = "one calls its sources by the price of natural gas before heating is added"
    assert (words in warned(case_from(data), -5.0)) == told


def test_what_two_tanks_hold_is_weighed_by_option() -> None:
    # 300 L and 1,000 L of water at 10 °C, 999.7 kg/m³
    data = dict(study(ELECTRIC, **TANK).typed)
    other = {"name": "two", "source": data["option"][0]["source"], "tank": {"volume": "1000 L"}}
    where = {"coldest_c": 5.0, "freeze_c": 0.0, "max_temperature_c": 45.0, "system": "si"}

    def weight(options: list[dict[str, Any]]) -> str:
        found = cautions_of(case_from({**data, "option": options}), **where)
        return next(one.text for one in found if one.key == "weight")

    alone, both = weight(data["option"]), weight([*data["option"], other])
    assert "the tank's content: 300 kg" in alone
    assert "(one)" not in alone
    assert "300 kg (one)" in both
    assert "1,000 kg (two)" in both


def test_zones_and_uses_are_told_in_kilowatts_and_kilowatt_hours() -> None:
    zone = ZoneSeason("bath", 0.25, 24.0, 1500.0, 2, 35.0, 1200.0, 7.2e9, 3.6e6, 3, 1.8e6, 1, None)
    assert zone.as_dict() == {
        "name": "bath", "load_share": 0.25, "indoor_temperature_c": 24.0, "design_load_kw": 1.5, "loops": 2, "supply_c": 35.0,
        "loops_give_kw": 1.2, "heat_kwh": 2000.0, "unmet_kwh": 1.0, "unmet_hours": 3, "loops_short_kwh": 0.5,
        "loops_short_hours": 1, "recovery": None, "coldest_c": None,
    }  # fmt: skip
    bare = ZoneSeason("bath", 0.25, 24.0, 1500.0, None, None, None, 7.2e9, 3.6e6, 3, 0.0, 0, None)
    assert bare.as_dict()["loops_give_kw"] is None
    use = UseSeason("taps", "hot_water", 7.2e9, 3.6e6, 3).as_dict()
    assert (use["heat_kwh"], use["unmet_kwh"]) == (2000.0, 1.0)


def test_uses_say_what_they_rest_on() -> None:
    weather = constant_weather(10.0)
    [none] = use_assumptions(lower_study(study(ELECTRIC), weather))
    assert (none.what, none.value, none.key) == ("hot water and other buildings", "not in the heat demand", "use")
    people = {"kind": "hot_water", "name": "taps", "people": 3, "tap_temperature": "49 degC"}
    shed = {"kind": "zone", "name": "shed", "design_heat_loss": "2 kW", "indoor_temperature": "12 degC"}
    found = use_assumptions(lower_study(with_uses(people, shed), weather))
    told = {one.key: (one.what, one.value, one.source) for one in found}
    # 15 gal of 3.785 L are 57 L for each of three
    assert told["use[1].daily_volume"][1] == "171.0 L (45.2 gal) a day at 49.0 °C (120.2 °F)"
    assert told["use[1].daily_volume"][2].startswith("15 gal a day for each person")
    assert told["use[1].load_profile"][:2] == ("taps: hours", "a usual day of a home")
    assert told["use[1].cold_temperature"][2].startswith("Burch and Christensen 2007")
    assert told["use[2]"][1] == "2.0 kW (6.8 kBtu/h) at design, in step with the cold below its set-point"
    typed = {
        **people,
        "people": None,
        "daily_volume": "100 L",
        "cold_temperature": "10 degC",
        "priority": "after_house",
    }
    late = {
        one.key: one.source
        for one in use_assumptions(lower_study(with_uses({k: v for k, v in typed.items() if v}), weather))
    }
    assert late["use[1].daily_volume"] == "typed in the study"
    assert late["use[1].priority"] == "method"
    assert "use[1].cold_temperature" not in late


def test_a_study_says_the_figures_it_rests_on() -> None:
    found = said(study(GAS, **TANK, tank__stratification="60 %"))
    # 6 kW over 30 K; Btu/h is 0.29307 W, °F 5/9 K
    assert found["heat loss per degree"][0] == "200.00 W/K (379.1 Btu/(h °F))"
    assert found["design heat loss"][:2] == ("6.00 kW (20.5 kBtu/h)", found["design heat loss"][1])
    assert found["tank"][0].startswith("a day of rest leaves 60%")
    assert found["balance point"][1] == "typed; mean gains 0.00 kW (0.0 kBtu/h)"
    # EPA: 53.06 kg of CO2 in a million Btu, value of the emission factor hub
    kilograms = 53.06 / 293.071
    assert found["natural gas: CO2"][0] == f"{kilograms:.3f} kg/kWh ({kilograms / 0.45359237 * 29.3071:.1f} lb/therm)"
    # and 73.96 kg in a million Btu of No. 2 oil, of which a gallon holds 0.1385 (EIA): EPA, the same table
    [oil, *_] = said(study({"kind": "oil", "output": "12 kW", "efficiency": "85 %"}))["heating oil: CO2"]
    kilograms, pounds = re.fullmatch(r"(0\.\d+) kg/kWh \((\d+\.\d) lb/gal\)", oil).groups()
    assert (float(kilograms), float(pounds)) == (
        pytest.approx(73.96 / 293.071, abs=6e-4),
        pytest.approx(73.96 * 0.1385 / 0.45359, abs=0.06),
    )
    assert found["other electricity"][1:] == ("none given", "house.other_electricity")
    assert said(study(GAS, **TANK))["tank"][0] == "fully mixed"
    assert "tank" not in said(study(GAS))
    typed = said(study(GAS, house__other_electricity="500 kWh/month"))["other electricity"][0]
    assert typed.startswith("6,000 kWh a year")
    assert np.isfinite(lower_study(study(GAS), constant_weather(5.0)).loss_w_k)


def test_pumps_are_told_by_their_plates_or_by_their_efficiency() -> None:
    free = {"count": 8, "length": "90 m", "spacing": "150 mm"}
    curve = {"flows": ["0 L/min", "20 L/min", "40 L/min"], "heads": ["60 kPa", "50 kPa", "20 kPa"]}

    def pumps(flow: dict[str, str], **pump: Any) -> tuple[str, str, str]:
        tables = {"floor__pump": {**curve, **pump}} if pump else {}
        return said(study(ELECTRIC, floor__loops=[{**free, **flow}], **tables))["pumps of the floor"]

    plain = pumps({"flow": "3 L/min"})
    assert "flow and head over 20 % wire-to-water" in plain[1]
    assert plain[2] == "floor.pump"
    # a pump of 60 W on each four of eight loops
    typed = pumps({}, electric="60 W", loops_per_pump=4)
    assert typed[0].startswith("120 W for the share of an hour")
    assert typed[1:] == ("watts of each pump as typed", "floor.pump.electric")
    assert "over 40 % wire-to-water" in pumps({}, efficiency="40 %")[1]
    assert "over 60 % wire-to-water" in pumps({}, efficiency="60 %")[1]
    # where each loop has its own flow, each of the eight has a pump of that plate
    own = pumps({"flow": "3 L/min"}, electric="60 W")
    assert own[0].startswith("480 W for the share of an hour")
    assert own[1:] == ("watts of each pump as typed", "floor.pump.electric")
    assert "over 40 % wire-to-water" in pumps({"flow": "3 L/min"}, efficiency="40 %")[1]
    assert "pumps of the floor" not in said(study(ELECTRIC))


def test_starts_are_told_with_their_figures() -> None:
    offer = SimpleNamespace(name="boiler", min_fire_w=8000.0, must_run=False)
    facts = {"starts": 12345.0, "most_starts_per_hour": 9.0}
    told = too_many_starts(offer, facts, 0.9e6)  # type: ignore[arg-type]
    assert told.startswith(
        "boiler starts up to 9.0 times an hour, 12,345 times a season, since it gives 8.0 kW at least"
    )
    assert "takes 0.25 kWh between" in told
    assert "1.5 times the tank or the differential" in told
    assert too_many_starts(offer, {**facts, "most_starts_per_hour": 6.0}, 0.9e6) == ""  # type: ignore[arg-type]
