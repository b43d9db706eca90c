"""Each assumption that a study may rest on, with its figure, and who says so."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study

from costsim.engine.lower import lower_study
from costsim.results.assumptions import assumptions_of, weather_facts
from costsim.study.case import Case, case_from
from costsim.study_files import StudyFiles

ELECTRIC = {"kind": "electric", "output": "20 kW"}
GAS = {"kind": "gas", "output": "20 kW", "efficiency": "80 %", "altitude_rule": "none"}
WEATHER = constant_weather(5.0)


def said(case: Case) -> dict[str, tuple[str, str, str]]:
    """Value, source and key of each assumption."""
    return {one.what: (one.value, one.source, one.key) for one in assumptions_of(lower_study(case, WEATHER))}


def with_panels(metering: str, rule: str = "fixed") -> dict[str, tuple[str, str, str]]:
    """A house that generates half a kilowatt in each hour of a file."""
    data = dict(study(ELECTRIC, GAS, house__other_electricity="3000 kWh/year").typed)
    data["solar_electric"] = {"hours": "pv.csv", "net_metering": metering}
    data["option"][0]["rule"] = rule
    content = "electricity [kWh]\n" + "0.5\n" * 8760
    return said(case_from(data, files=StudyFiles(opened={"pv.csv": content.encode()})))


@pytest.mark.parametrize(
    ("metering", "counted"),
    [
        ("none", "each hour's use takes from it first, the house before heating"),
        ("month", "export counts against use of the same price period and month"),
        ("year", "export counts against use of the same price period over the year"),
    ],
)
def test_own_generation_is_told_in_kilowatt_hours_with_how_it_counts(metering: str, counted: str) -> None:
    value, source, key = with_panels(metering)["own generation"]
    assert value.startswith(f"4,380 kWh a year; {counted}; no battery;")
    assert (source, key) == ("read from pv.csv", "solar_electric")
    assert "cheapest_now" not in value
    told = with_panels(metering, "cheapest_now")["own generation"][0]
    assert told.endswith("; the rule cheapest_now counts what would be exported at its export price") == (
        metering == "none"
    )


def test_a_house_without_panels_says_nothing_of_them() -> None:
    assert "own generation" not in said(study(ELECTRIC))


def priced(*sources: dict[str, Any], other: str | None = None, **prices: Any) -> dict[str, tuple[str, str, str]]:
    """What is said of a study with these price tables."""
    tables = {f"prices__{key}": table for key, table in prices.items()}
    return said(study(*sources, **tables, **({"house__other_electricity": other} if other else {})))


FIXED = {"electricity": {"energy": "0.1 $/kWh", "fixed": "10 $/month"}}


def test_services_with_fixed_charges_are_told_by_whether_they_are_there_anyway() -> None:
    rests = "fixed charges and minimums"
    assert rests not in priced(GAS)
    gas = {"natural_gas": {"energy": "1 $/therm", "fixed": "12 $/month"}}
    value, source, key = priced(GAS, **gas)[rests]
    assert value == "counted for natural gas with every option that buys it"
    assert (source, key) == ("the usual way where nothing is typed", "prices.service")
    assert priced(GAS, **FIXED)[rests][0] == "not counted for electricity, there whatever heats the house"
    both = priced(GAS, **gas, **FIXED)[rests][0]
    assert (
        both
        == "not counted for electricity, there whatever heats the house; counted for natural gas with every option that buys it"
    )
    # where the house's other use is known the whole bill is told with and without heating
    assert rests not in priced(GAS, other="3000 kWh/year", **FIXED)
    assert (
        priced(GAS, other="3000 kWh/year", **gas, **FIXED)[rests][0]
        == "counted for natural gas with every option that buys it"
    )
    cooks = {"natural_gas": {**gas["natural_gas"], "service": "there_anyway"}}
    assert priced(GAS, **cooks)[rests][:2] == ("not counted for natural gas, there whatever heats the house", "typed")


def test_other_electricity_is_told_where_it_is_priced() -> None:
    assert priced(GAS, **FIXED)["other electricity"][0].startswith("none counted")
    known = priced(GAS, other="3000 kWh/year")["other electricity"]
    assert known[0].startswith("3,000 kWh a year")
    assert known[1] == "typed; spread over the year and the day in a plain shape of our own"
    data = dict(study(GAS).typed)
    del data["prices"]["electricity"]
    assert "other electricity" not in said(case_from(data))


def test_the_mean_of_delivery_tickets_is_told_with_its_days() -> None:
    tickets = [
        {"date": "2025-11-03", "amount": "100 gal", "total": "250 $"},
        {"date": "2025-01-20", "amount": "300 gal", "total": "900 $"},
    ]
    propane = {**GAS, "fuel": "propane"}
    found = priced(propane, propane={"ticket": tickets})
    assert found["price of propane"] == (
        "mean by amount of 2 deliveries from 2025-01-20 to 2025-11-03",
        "delivery tickets",
        "prices.propane.ticket",
    )
    assert "price of propane" not in priced(propane)


def test_what_is_typed_and_what_is_common_practice_is_told_apart() -> None:
    plain = said(study(ELECTRIC, tank__volume="300 L"))
    typed = said(
        study(ELECTRIC, tank__volume="300 L", tank__differential="6 K", tank__circuit="open", house__max_unmet_hours=7)
    )
    assert plain["tank, between stop and start of a unit"][1] == "common practice, no source"
    assert typed["tank, between stop and start of a unit"][:2] == ("6.0 K (10.8 °F)", "typed in the study")
    assert plain["circuit"][:2] == ("sealed: relief valve, expansion tank", "the usual way where nothing is typed")
    assert typed["circuit"][:2] == ("open: vented, no expansion tank; oxygen comes in", "typed")
    assert typed["unmet hours allowed"][:2] == (
        "7 h a year, up to which an option counts as keeping the house warm",
        "typed in the study",
    )
    assert plain["unmet hours allowed"][1] == "common practice, no source"
    assert plain["tank"][1].startswith("the safe side")
    assert said(study(ELECTRIC, tank__volume="300 L", tank__stratification="60 %"))["tank"][1] == "typed in the study"
    assert "circuit" not in said(study(ELECTRIC))


def test_gains_and_mass_are_told() -> None:
    by_gains = said(study(ELECTRIC, house__balance_point=None, house__gains="600 W"))
    assert by_gains["balance point"][0] == "17.00 °C (62.6 °F)"
    assert by_gains["balance point"][1].startswith("set-point less gains over heat loss; mean gains 0.60 kW")
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
    light, heavy = (said(study(ELECTRIC, floor__loops=loops, **more)) for more in ({}, {"floor__mass": {}}))
    assert "thermal mass" not in light
    assert "more than 1 K (1.8 °F) too cold" in heavy["thermal mass"][0]
    assert light["floor"][2] == "floor"
    supply = said(study(ELECTRIC))["design supply temperature"]
    assert supply[0].startswith("45.00 °C (113.0 °F); cooler in proportion")
    assert "design supply temperature" not in light


def test_carbon_of_wood_is_told_as_its_own_and_of_an_unknown_grid_not_at_all() -> None:
    fire = {"kind": "wood", "charge": "20 kg", "burn_time": "4 h", "load_times": ["07:00"], "efficiency": "60 %"}
    assert said(study(fire, tank__volume="500 L"))["wood: CO2"][0].endswith(
        ", of wood's own carbon, which the tables leave out"
    )
    assert "carbon" not in said(study(GAS))["natural gas: CO2"][0]
    euros = study(ELECTRIC, prices__electricity={"energy": "0.30 EUR/kWh", "co2": "0.25 kg/kWh"})
    assert said(euros)["electricity: CO2"][0] == "0.250 kg/kWh (0.55 lb/kWh)"


def test_facts_of_the_weather_year() -> None:
    found = weather_facts(lower_study(study(ELECTRIC), WEATHER))
    # 18.33 °C is 65 °F: 13.33 K for 365 days
    assert found["degree_days_k_d"] == pytest.approx(365 * (65 - 41) / 1.8)
    assert (found["degree_days_base_c"], found["coldest_c"], found["design_c"], found["hours"]) == (
        18.33,
        5.0,
        -10.0,
        8760,
    )
    assert np.isfinite(found["degree_days_k_d"])
