"""`simulate` from end to end against analytical answers and arithmetic."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from cases import constant_weather, demo, sample_weather, study, wavy_weather

import costsim
from costsim import InputError, load_weather, simulate
from costsim.results.result import OptionResult
from costsim.study.case import case_from, read_study
from costsim.units.quantity import HOUR_S
from costsim.views.result_json import as_json
from costsim.views.tables import season_rows

ELECTRIC = {"kind": "electric", "output": "20 kW", "efficiency": "99 %"}
GAS = {"kind": "gas", "output": "20 kW", "efficiency": "90 %", "min_output": "0 W"}
GREENSBORO = sample_weather()


def one(*sources: dict[str, Any], weather=GREENSBORO, **house: Any) -> OptionResult:
    """Result of a one-option study."""
    return simulate(study(*sources, **house), weather).options[0]


@pytest.mark.parametrize(
    ("case", "outdoor", "efficiency"),
    [("he100", -30.0, "100 %"), ("he110", -30.0, "80 %"), ("he120", 0.0, "80 %"), ("he130", 20.0, "80 %")],
)
def test_the_analytical_heating_equipment_cases(published, case: str, outdoor: float, efficiency: str) -> None:
    # UA 200 W/K, 20 °C inside, a 10 kW source, 90 days: 2,160 of the year's hours are cold, the others at the set-point
    temperatures = np.full(8760, 20.0)
    temperatures[:2160] = outdoor
    gas = {"kind": "gas", "output": "10 kW", "efficiency": efficiency, "altitude_rule": "none"}
    found = one(
        gas, weather=wavy_weather(temperatures), house__design_heat_loss="10 kW", place__design_outdoor="-30 degC"
    )
    rows = published("heating_equipment")
    rows[f"{case}_load"].check(found.delivered_j / 1e9)
    if f"{case}_input" in rows:
        rows[f"{case}_input"].check(found.sources[0].input_j / 1e9)


def test_season_cost_and_emissions_by_hand(published) -> None:
    # 6 kW at −10 °C and 20 °C is 200 W/K; 8,760 h at 5 °C are 200 × 15 × 8.76 = 26,280 kWh
    found = one(
        GAS, weather=constant_weather(5.0), prices__natural_gas={"energy": "1.00 $/therm", "fixed": "10 $/month"}
    )
    assert found.demand_j / 3.6e6 == pytest.approx(26_280)
    therms = 26_280 / 0.9 * 3.6e6 / 105.505585262e6
    assert found.cost_energy == pytest.approx(therms)
    assert (found.cost_fixed, found.cost_total) == (pytest.approx(120), pytest.approx(120 + therms))
    assert found.co2_kg == pytest.approx(therms * 5.306, rel=1e-3)  # 53.06 kg/MMBtu, 40 CFR 98 table C-1
    assert found.sources[0].cost == pytest.approx(found.cost_energy)


def test_propane_by_the_gallon_with_minimum_use() -> None:
    propane = {**GAS, "fuel": "propane"}
    price = {"energy": "2.50 $/gal", "minimum_use": "3000 gal/year"}
    found = one(propane, weather=constant_weather(15.0), prices__propane=price)
    gallons = 200 * 5 * 8.760 * 3412.14163 / 0.9 / 91_452
    assert found.cost_energy == pytest.approx(gallons * 2.5, rel=1e-6)
    assert found.cost_total == pytest.approx(7500, rel=1e-6)


def test_every_hour_balances_and_adds_up() -> None:
    found = one({**ELECTRIC, "output": "3 kW"}, {**GAS, "output": "1 kW"}, tank__volume="300 L", tank__loss="4 W/K")
    hourly = found.hourly
    assert hourly.imbalance() < 1e-9
    assert np.allclose(hourly.delivered_w + hourly.unmet_w, hourly.demand_w, rtol=0, atol=1e-9 * 6000)
    parts = sum(hourly.unmet_by_cause_w.values())
    assert np.allclose(parts, hourly.unmet_w, rtol=0, atol=1e-6)
    assert found.unmet.hours > 100
    assert not hourly.heat_w.flags.writeable


def test_shortfall_is_what_the_source_lacks() -> None:
    found = one({**ELECTRIC, "output": "5 kW"}, weather=constant_weather(-10.0))
    assert found.unmet.hours == 8760
    assert found.unmet.worst_w == pytest.approx(1000)
    assert found.unmet.energy_j == pytest.approx(1000 * 8760 * HOUR_S)
    assert found.unmet.by_cause_j["capacity"] == pytest.approx(found.unmet.energy_j)


def test_shortfall_names_the_clock_that_withheld_capacity() -> None:
    night = {"kind": "off_peak_electric", "output": "20 kW", "windows": ["22:00-06:00"]}
    found = one(night, weather=constant_weather(5.0))
    assert found.unmet.hours == 16 * 365
    assert found.unmet.by_cause_j["curtailment"] == pytest.approx(found.unmet.energy_j)


def test_lockout_hands_over_to_the_second_source() -> None:
    first = {**ELECTRIC, "lockout_below": "0 degC"}
    found = one(first, GAS)
    cold = GREENSBORO.outdoor_c < 0
    assert found.hourly.heat_w[0][cold].max() == 0
    assert found.hourly.heat_w[1][~cold].max() == 0
    assert found.unmet.hours == 0


def test_backup_runs_last_and_only_for_what_is_missing() -> None:
    found = one({**GAS, "backup_only": True}, {**ELECTRIC, "output": "3 kW"})
    assert np.allclose(found.hourly.heat_w[0], np.maximum(0, found.hourly.demand_w - 3000), atol=1e-3)


def test_cheapest_now_follows_the_tariff() -> None:
    price = {"energy": "0.20 $/kWh", "period": [{"name": "night", "energy": "0.02 $/kWh", "windows": ["22:00-06:00"]}]}
    data = demo()
    data["prices"]["electricity"] = price
    data["option"] = [
        {"name": "both", "rule": "cheapest_now", "source": [GAS, ELECTRIC]},
        {"name": "gas", "source": [GAS]},
    ]
    data["prices"].pop("off_peak")
    data["house"].pop("other_electricity")
    both, gas = simulate(case_from(data), GREENSBORO).options
    assert both.sources[0].heat_j > 0
    assert both.sources[1].heat_j > 0
    assert both.cost_energy < gas.cost_energy
    clock = simulate(case_from(data), GREENSBORO).clock
    at_noon = [i for i, label in enumerate(clock) if label.endswith("12 pm")]
    assert both.hourly.heat_w[1][at_noon].max() == 0


def test_set_back_lowers_the_season() -> None:
    steady, lower = (
        one(ELECTRIC),
        one(ELECTRIC, house__setback=[{"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}]),
    )
    nights = parse_nights()
    saved = np.minimum(200 * 4.0, steady.hourly.demand_w)[nights].sum() * HOUR_S
    assert steady.demand_j - lower.demand_j == pytest.approx(saved, rel=1e-9)


def parse_nights() -> np.ndarray:
    """Hours from ten at night to six in standard time."""
    hours = np.arange(8760) % 24
    return (hours >= 22) | (hours < 6)


def test_a_tank_carries_night_heat_into_the_day() -> None:
    night = {"kind": "off_peak_electric", "output": "20 kW", "windows": ["22:00-06:00"]}
    small = one(night, tank__volume="200 L", tank__max_temperature="80 degC")
    large = one(night, tank__volume="3000 L", tank__max_temperature="80 degC")
    assert large.unmet.energy_j < 0.6 * small.unmet.energy_j
    assert large.hourly.tank_c.max() <= 80 + 1e-6
    assert large.hourly.imbalance() < 1e-9


def test_the_breaker_limits_what_is_typed() -> None:
    found = one({"kind": "electric", "output": "10.5 kW", "volts": "240 V", "breaker": "40 A"})
    assert found.sources[0].derates == (("breaker", pytest.approx(10_500 - 240 * 40 * 0.8)),)
    assert found.hourly.available_w.max() == pytest.approx(7680)
    assert "licensed electrician" in found.warnings[0]


def test_altitude_and_flow_are_named_derates() -> None:
    unit = {
        "kind": "gas",
        "output": "30 kW",
        "efficiency": "95 %",
        "flow": "6 L/min",
        "max_outlet_temperature": "60 degC",
    }
    found = one(unit, place__altitude="1524 m", tank__volume="200 L", tank__design_supply_temperature="50 degC")
    lost = dict(found.sources[0].derates)
    assert lost["altitude"] == pytest.approx(30_000 * 0.20)  # 4 % each 1,000 ft of 5,000 ft, NFPA 54
    # 6 L/min carry 16.6 kW over the 40 K from the room to the hottest outlet, and much less from a warm tank
    assert lost["flow"] == pytest.approx(24_000 - 0.1e-3 * 992.3 * 4179 * 40, rel=1e-3)
    assert lost["flow"] + lost["water temperature"] > 15_000
    assert found.hourly.available_w.min() == pytest.approx(30_000 - sum(lost.values()), rel=1e-6)


def test_other_electricity_takes_the_fixed_charge_out() -> None:
    price = {"fixed": "14 $/month", "energy": "0.10 $/kWh"}
    alone = one(ELECTRIC, prices__electricity={**price, "service": "for_heating_alone"})
    usual = one(ELECTRIC, prices__electricity=price)  # the house has a meter anyway
    assert (usual.cost_fixed, usual.cost_energy) == (0.0, pytest.approx(alone.cost_energy))
    shared = one(ELECTRIC, prices__electricity=price, house__other_electricity="5000 kWh/year")
    assert alone.cost_fixed == pytest.approx(168)
    assert shared.cost_fixed == 0
    assert shared.cost_energy == pytest.approx(alone.cost_energy)


def test_the_demo_study_and_the_json_contract() -> None:
    case = read_study("lantern_cottage")
    data = as_json(simulate(case, load_weather(case)))
    assert [option["name"] for option in data["options"]] == [option["name"] for option in case.typed["option"]]
    keys = {"name", "demand_kwh", "delivered_kwh", "unmet_kwh", "unmet_hours", "worst_unmet_kw", "worst_unmet_at", "cost_total", "cost_fixed",
            "cost_energy", "co2_kg", "sources"}  # fmt: skip
    for option in data["options"]:
        assert keys <= set(option)
        assert option["cost_total"] == pytest.approx(option["cost_fixed"] + option["cost_energy"])
        assert option["delivered_kwh"] + option["unmet_kwh"] == pytest.approx(option["demand_kwh"], rel=1e-6)
        assert {"name", "kind", "heat_kwh", "input_kwh", "cost", "hours", "peak_kw"} <= set(option["sources"][0])
    assert {"assumptions", "warnings", "weather", "version"} <= set(data)
    assert {"station", "degree_days_k_d", "design_c", "design_from"} <= set(data["weather"])


def test_us_and_si_studies_give_one_answer() -> None:
    us = demo()
    si = demo()
    si["house"] |= {
        "floor_area": "109.62558 m2",
        "indoor_temperature": "21.1111111111 degC",
        "balance_point": "17.2222222222 degC",
    }
    si["place"]["design_outdoor"] = "-9.4444444444 degC"
    a, b = (simulate(case_from(data), GREENSBORO) for data in (us, si))
    for x, y in zip(a.options, b.options, strict=True):
        assert x.cost_total == pytest.approx(y.cost_total, rel=1e-9)


@pytest.mark.parametrize("factor", [2.0, 0.5])
def test_doubling_the_load_doubles_the_heat(factor: float) -> None:
    base, more = one(ELECTRIC), one(ELECTRIC, house__design_heat_loss=f"{6 * factor} kW")
    assert more.demand_j == pytest.approx(factor * base.demand_j)


def test_order_of_options_does_not_matter() -> None:
    data = demo()
    turned = {**data, "option": data["option"][::-1]}
    a, b = (simulate(case_from(d), GREENSBORO) for d in (data, turned))
    assert {o.name: o.cost_total for o in a.options} == {o.name: o.cost_total for o in b.options}


def test_public_names_are_there() -> None:
    for name in costsim.__all__:
        assert getattr(costsim, name) is not None
    with pytest.raises(AttributeError):
        costsim.nothing  # noqa: B018


def test_the_planners_demo() -> None:
    from costsim.analysis.collector_sweep import marginal_collector_area

    case = read_study("valley_row")
    weather = load_weather(case)
    result = simulate(case, weather)
    assert result.currency == "€"
    assert result.weather_facts["synthetic"]
    for option in result.options:
        assert option.hourly.imbalance() < 1e-9
        assert option.unmet.hours == 0
    steps = marginal_collector_area(case, weather, option=case.options[1].name, areas_m2=[2.0, 6.0, 10.0, 14.0])
    gains = [step.next_useful_j_m2 for step in steps[1:]]
    assert gains == sorted(gains, reverse=True)
    assert steps[-1].dumped_j > steps[0].dumped_j


def test_a_leap_year_of_weather_keeps_its_months() -> None:
    result = simulate(study(ELECTRIC), constant_weather(5.0, 8784))
    assert result.months[-1] == 12
    assert result.options[0].demand_j / 3.6e6 == pytest.approx(200 * 15 * 8.784)


def test_a_country_nobody_knows_is_one_plain_line() -> None:
    with pytest.raises(costsim.InputError, match=r"place\.holidays: 'Atlantis' is not a known country"):
        simulate(study(ELECTRIC, place__holidays="Atlantis"), GREENSBORO)


@pytest.mark.parametrize(("feedback", "sensitivity"), [(1.0, False), (19.0, True)])
def test_a_feedback_that_makes_the_room_swing_is_told(feedback: float, sensitivity: bool) -> None:
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
    case = study(ELECTRIC, floor__loops=loops, floor__mass={"feedback": feedback})
    found = simulate(case, wavy_weather(np.where(np.arange(8760) < 4000, 5.0, 0.0)))  # one step, then steady
    last = found.options[0].hourly.room_c[-200:]
    assert float(np.ptp(last)) == pytest.approx(0.9 if sensitivity else 0.0, abs=0.4 if sensitivity else 1e-6)
    told = any(text.startswith("floor.mass.feedback = 19 makes floor and room swing") for text in found.warnings)
    assert told is sensitivity


@pytest.mark.parametrize("size", ["200 L", "5000 L"])
def test_a_bigger_tank_is_no_colder_house(size: str) -> None:
    # 200 W/K from 20 °C to -20 °C are 8 kW; 9 kW serve the call first, and lift the tank with what is left
    tank = {"tank__volume": size, "tank__design_supply_temperature": "45 degC", "tank__loss": "3 W/K"}
    outdoor = np.where(np.arange(8760) % 2000 < 1000, 12.0, -20.0)
    found = simulate(study({"kind": "electric", "output": "9 kW"}, **tank), wavy_weather(outdoor)).options[0]
    assert found.unmet.hours == 0
    assert found.hourly.imbalance() < 1e-9


def test_reheating_after_a_set_back_is_no_unmet_load() -> None:
    back = [{"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}]
    tank = {"tank__volume": "1000 L", "tank__design_supply_temperature": "45 degC", "tank__loss": "3 W/K"}
    outdoor = -8.0 + 6.0 * np.sin(2 * np.pi * np.arange(8760) / 24)
    found = simulate(
        study({"kind": "electric", "output": "9 kW"}, house__setback=back, **tank), wavy_weather(outdoor)
    ).options[0]
    assert found.unmet.hours == 0


def test_without_a_tank_nothing_is_stored() -> None:
    found = simulate(study({"kind": "electric", "output": "9 kW", "store": True}), constant_weather(5.0)).options[0]
    assert np.allclose(found.hourly.heat_w.sum(axis=0), found.hourly.demand_w, rtol=0, atol=0.02)


def test_the_us_average_grid_stands_for_no_other_country() -> None:
    weather = constant_weather(5.0)
    for place, known in (
        ({}, True),  # 36° north, 80° west
        ({"place__timezone": "America/New_York"}, True),
        ({"place__timezone": "Europe/Vienna"}, False),
        ({"place__timezone": "America/Toronto"}, False),
        ({"place__holidays": "CA"}, False),
        ({"prices__electricity": {"energy": "0.2 €/kWh"}}, False),
    ):
        case = study({"kind": "electric", "output": "20 kW"}, **place)
        result = simulate(case, weather)
        option, told = result.options[0], " ".join(result.warnings)
        assert np.isfinite(option.co2_kg) == known, place
        assert ("CO2 of electricity is not known for this place" in told) == (not known)
        text = " ".join(cell for row in season_rows(result, "si")[1] for cell in row)
        assert ("not known" in text) == (not known)
        assert (as_json(result)["options"][0]["co2_kg"] is None) == (not known)
    typed = study(
        {"kind": "electric", "output": "20 kW"}, prices__electricity={"energy": "0.2 €/kWh", "co2": "0.1 kg/kWh"}
    )
    assert simulate(typed, weather).options[0].co2_kg == pytest.approx(2628.0, rel=1e-3)
    # gas has its own carbon; only what its fan uses is not known, and this one has none
    gas = study({**GAS, "electric": "0 W"}, place__timezone="Europe/Vienna")
    assert np.isfinite(simulate(gas, weather).options[0].co2_kg)


def test_a_carbon_price_needs_the_grid_s_own_factor() -> None:
    case = study(ELECTRIC, place__timezone="Europe/Vienna", economics__carbon_price="100 $/tonne")
    with pytest.raises(InputError, match=r"prices\.electricity\.co2: is missing: carbon_price counts it"):
        simulate(case, constant_weather(5.0))
