"""Each limit of what cautions and warnings say, on both sides and at it, and what counts where nothing is given."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from burners import GAS, OIL, PROPANE, WOOD
from cases import constant_weather, study, with_uses
from stand_ins import Unit

from costsim.engine.lower import lower_study
from costsim.results import amperes, cautions, fires
from costsim.results.assumptions import assumptions_of
from costsim.results.caution import Site
from costsim.results.cautions import cautions_of
from costsim.results.fires import Charge, charge_words, charges_of, dumped_warnings, heat_words
from costsim.results.return_water import return_water
from costsim.results.uses import hot_water_words
from costsim.results.warnings import warnings_of
from costsim.study.case import case_from
from costsim.study_files import StudyFiles

ELECTRIC = {"kind": "electric", "output": "9 kW", "efficiency": "100 %"}
PUMP = {"kind": "heat_pump", "outdoor": ["-8 degC", "8 degC"], "outputs": ["6 kW", "9 kW"]}
TANK = {"tank__volume": "1000 L", "tank__max_temperature": "80 degC"}
KWH = 3.6e6


def told(case: Any, **more: Any) -> dict[str, Any]:
    """Cautions by key, in their order."""
    where = {"coldest_c": 5.0, "freeze_c": 0.0, "max_temperature_c": 45.0, "system": "si"}
    return {one.key: one for one in cautions_of(case, **{**where, **more})}


def site(**given: Any) -> Site:
    return Site(**{"coldest_c": -5.0, "freeze_c": 0.0, "max_temperature_c": 65.0, "system": "si", **given})


# water


@pytest.mark.parametrize(
    ("supply_c", "plain"), [(None, True), (61.9, False), (62.0, False), (62.1, True), (65.0, True)]
)
def test_the_house_s_own_water_is_named_three_kelvin_and_more_below_the_hottest(
    supply_c: float | None, plain: bool
) -> None:
    said = site(supply_c=supply_c).hottest
    assert (said == "65 °C") == plain
    assert plain or said == "65 °C (the most that a source here makes; the house runs on 62 °C at design)"


def test_what_nobody_told_of_a_place_is_not_known() -> None:
    bare = Site(-5.0, 0.0, 65.0, "si")
    assert (bare.supply_c, bare.return_c, bare.needed_c, bare.load_w) == (None, None, None, 0.0)
    case = study(WOOD, **TANK)
    for given, known in (
        ({"needed_c": 40.0}, False),
        ({"load_w": 8e3}, False),
        ({"needed_c": 40.0, "mild_c": 30.0, "load_w": 0.5}, True),
    ):
        assert ("A full charge gives" in told(case, **given)["heat_dump"].short) == known


@pytest.mark.parametrize(("return_c", "efficiency", "warned"), [
    (54.3, 0.89, True), (54.4, 0.89, False), (54.3, 0.9, False), (None, 0.89, False), (54.3, None, False),
])  # fmt: skip
def test_a_dry_boiler_is_warned_below_130_degrees_and_90_percent_and_not_at_them(
    return_c: float | None, efficiency: float | None, warned: bool
) -> None:
    plain: Any = Unit(label="Boiler", fuel_key="propane", efficiency_share=efficiency)
    case: Any = SimpleNamespace(options=[SimpleNamespace(sources=[plain])])
    assert bool([*return_water(case, site(return_c=return_c))]) == warned
    plain.fuel_key = "wood"
    assert [*return_water(case, site(return_c=return_c))] == []


def test_boilers_of_all_three_fuels_that_must_stay_dry_are_named_once() -> None:
    dry = {"condensing": False, "efficiency": "85 %", "altitude_rule": "none"}
    case = study({**GAS, **dry}, {**PROPANE, **dry}, {**OIL, "altitude_rule": "none"})
    twice: Any = SimpleNamespace(options=case.options * 2)
    [found] = return_water(twice, site(return_c=40.0))
    assert found.short.partition(":")[0] == ", ".join(dict.fromkeys(one.label for one in case.options[0].sources))
    assert "comes back at about 40 °C" in found.text
    assert "Below about 54 °C" in found.text
    assert "usually 54 °C to 60 °C" in found.text


def test_stored_water_and_water_heated_as_it_is_drawn_are_told_apart() -> None:
    def short(**use: Any) -> str:
        case = with_uses({"kind": "hot_water", "name": "taps", "people": 2, **use}, tank__max_temperature="75 degC")
        return hot_water_words(case, lambda value: f"{value:g} C")[0][2]

    assert short(exchanger="stored", storage_temperature="60 degC") == (
        "Stored drinking water at 60 C or more, tempered to 49 C at the tap."
    )
    assert short().startswith("Drinking water is heated as it is drawn and not stored here; where it is stored, 60 C")


# fires


def test_a_tank_takes_heat_only_above_the_water_that_the_floor_needs() -> None:
    """1,000 L from 70 to 80 °C: 974.7 kg/m³ × 4.194 kJ/(kg K) × 10 K (handbook values of water at 75 °C) = 40.9 MJ."""
    case = study(WOOD, **TANK)

    def tank_j(water_c: float) -> float:
        return charges_of(case, case.options[0], top_c=80.0, water_c=water_c, mild_c=20.0, load_w=0.0)[0].tank_j

    assert tank_j(70.0) == pytest.approx(40.88e6, rel=2e-3)
    assert (tank_j(80.0), tank_j(90.0)) == (0.0, 0.0)


def test_a_charge_is_of_what_burns_on_and_has_one() -> None:
    fire = {"burns_fuel": True, "unstoppable": True, "label": "Fire"}
    units = [
        Unit(**fire, heat_per_charge_j=0.5), Unit(**fire), Unit(**fire, heat_per_charge_j=0.0),
        Unit(**{**fire, "unstoppable": False}, heat_per_charge_j=9.0, burns_s=60.0),
        Unit(**{**fire, "burns_fuel": False}, heat_per_charge_j=9.0, burns_s=60.0),
        Unit(**fire, heat_per_charge_j=9.0, burns_s=60.0),
    ]  # fmt: skip
    option: Any = SimpleNamespace(sources=units, floor=None, tank_of=lambda case: None)
    case: Any = SimpleNamespace(floor=None)
    found = charges_of(case, option, top_c=80.0, water_c=40.0, mild_c=30.0, load_w=10.0)
    assert found == [Charge("Fire", 0.5, 0.0, 0.0, 0.0, 40.0, 30.0), Charge("Fire", 9.0, 0.0, 600.0, 0.0, 40.0, 30.0)]


def test_glycol_in_the_tank_takes_less_heat() -> None:
    """50 % propylene glycol at 60 °C: 1,010 kg/m³ × 3.66 kJ/(kg K) against water's 983 × 4.185 (values from memory): 0.90."""
    floor = {"loops": [{"count": 6, "length": "85 m", "tube": "16x2", "flow": "2 L/min"}]}
    mix = {**floor, "antifreeze": "propylene_glycol", "concentration": "50 vol%"}
    data = dict(study(WOOD, **TANK).typed)
    data["option"] = [{"name": name, "source": [WOOD], "floor": one} for name, one in (("plain", floor), ("mix", mix))]
    case = case_from(data)
    plain, mixed = (
        charges_of(case, one, top_c=80.0, water_c=40.0, mild_c=30.0, load_w=0.0)[0].tank_j for one in case.options
    )
    assert mixed / plain == pytest.approx(0.9, abs=0.015)


def test_an_option_without_a_tank_is_held_against_nothing_and_one_with_against_its_own() -> None:
    data = dict(study(WOOD, **TANK).typed)
    data["option"] = [
        {"name": "hot", "source": [WOOD], "tank": {"volume": "1000 L", "max_temperature": "90 degC"}},
        {"name": "bare", "source": [WOOD], "no_tank": True},
    ]
    short = told(case_from(data), needed_c=80.0, mild_c=70.0, load_w=1.0, max_temperature_c=85.0)["heat_dump"].short
    # from 80 to 90 °C: 968.6 kg/m³ × 4.201 kJ/(kg K) × 10 K = 40.7 MJ or 11 kWh (handbook values of water at 85 °C)
    assert "tank and house take 11 kWh on a design night, from water of 80 °C" in short
    assert "there is no tank to take it" in short


def test_heat_of_a_charge_is_written_to_the_kilowatt_hour_and_to_a_hundredth_of_a_million() -> None:
    assert (heat_words(12.4 * KWH, "si"), heat_words(0.1249e6 * 1055.06, "us")) == ("12 kWh", "0.12 MMBtu")
    tiny = charge_words(Charge("Fire", 2.0 * KWH, 0.25, 0.0, 0.25, 40.0, 30.0), "si")
    assert "tank and house take 0 kWh" in tiny  # the smallest tank is one


@pytest.mark.parametrize(("return_c", "cool"), [(59.9, True), (60.0, False), (None, False)])
def test_water_that_comes_back_to_a_wood_boiler_below_140_degrees_is_told(return_c: float | None, cool: bool) -> None:
    one = told(study(WOOD, **TANK), return_c=return_c)["solid_return"]
    for text in (one.short, one.text):
        assert ("comes back at about 60 °C at design" in text) == cool


def test_thrown_away_heat_is_told_in_both_units_of_the_fire_s_own_option_alone() -> None:
    """27 of 400 kWh are 6.75 %, 0.1 MMBtu (293.07 kWh); a twentieth is 20."""
    case = study(WOOD, ELECTRIC)

    def said(dumped: float, *, option: str = "one", **facts: Any) -> list[str]:
        fire = SimpleNamespace(name="Wood boiler", dumped_j=dumped * KWH, heat_j=(400.0 - dumped) * KWH, facts=facts)
        common: Any = SimpleNamespace(case=case)
        seasons: Any = [SimpleNamespace(name=option, sources=[fire])]
        return dumped_warnings(common, seasons)

    [text] = said(27.0, dumping_hours=1761)
    assert "7 % of the heat of Wood boiler is thrown away (27 kWh (0.1 MMBtu) in 1,761 hours" in text
    assert "in 0 hours" in said(27.0)[0]
    assert said(21.0)
    assert not said(20.0)
    assert not said(27.0, option="other")


def test_only_the_pairs_of_one_option_are_named() -> None:
    data = dict(study(WOOD, OIL, **TANK).typed)
    data["option"] = [
        {"name": name, "source": sources}
        for name, sources in (("a", [WOOD, PROPANE]), ("b", [OIL]), ("c", [WOOD, OIL]))
    ]
    case = case_from({**data, "prices": {**data["prices"], "propane": {"energy": "2.5 $/gal"}}})
    assert told(case)["flues_apart"].short == "Wood boiler and Propane boiler, Oil boiler: never on one flue."
    assert fires.flues_apart([]) == ("", "")


# cautions


def test_what_can_kill_comes_first() -> None:
    keys = [*told(study(WOOD, PROPANE, PUMP, **TANK), return_c=30.0, max_temperature_c=80.0, coldest_c=-9.0)]
    order = [
        "carbon_monoxide",
        "gas_work",
        "heat_dump",
        "electrical_work",
        "pressure_relief",
        "freezing",
        "drinking_water",
        "scalding",
    ]
    assert [key for key in keys if key in order] == order
    assert keys.index("scalding") < keys.index("refrigerant")


def test_wood_draws_by_its_chimney() -> None:
    text = told(study(WOOD, **TANK))["carbon_monoxide"].text
    assert "Where a flue works by draft" in text
    assert "A sealed condensing unit" not in text


def test_a_layer_as_heavy_as_is_light_is_no_load(monkeypatch: pytest.MonkeyPatch) -> None:
    """65 mm of screed at 2,000 kg/m³ are 130 kg/m²; 40 kg/m² are 41 mm of wooden floor at 980 (common practice, no source)."""
    loops = [{"count": 6, "length": "85 m", "tube": "16x2", "flow": "2 L/min"}]
    case = study(ELECTRIC, floor__loops=loops, floor__build_up="screed_65")
    assert cautions.LIGHT_FLOOR_KG_M2 == 40.0
    for light, weighs in ((130.0, False), (129.9, True)):
        monkeypatch.setattr(cautions, "LIGHT_FLOOR_KG_M2", light)
        assert ("weight" in told(case)) == weighs


def test_units_that_only_their_plate_tells_are_named_beside_what_is_counted() -> None:
    """9 kW at 240 V are 37.5 A, and 46.9 A with a quarter more; what a compressor takes its plate alone tells (NEC 440.4)."""
    plate = "a circuit of its own on top of that, by its nameplate (MCA and MOP)."
    case = study(ELECTRIC, PUMP, PUMP)
    bank, pump, _ = (one.label for one in case.options[0].sources)
    asked = f"one asks for 46.9 A at 240 V for {bank} alone, which is not the whole. {pump}: {plate}"
    assert amperes.of_the_service(case) == asked
    assert amperes.of_the_service(study(PUMP)).endswith(plate)
    assert "A at" not in amperes.of_the_service(study(PUMP))
    assert amperes.by_plate(study(ELECTRIC).options) == ""
    euros = study(PUMP, prices__electricity={"energy": "0.3 EUR/kWh"})
    assert amperes.of_the_service(euros).endswith(plate)


def test_a_unit_whose_efficiency_is_not_known_has_no_circuit() -> None:
    unit: Any = Unit(efficiency_share=None, nameplate_w=lambda: 9600.0, label="pump", volts_v=240.0, breaker_a=50.0)
    assert amperes.circuit(unit) == ""


@pytest.mark.parametrize(("sources", "told_of"), [((GAS,), False), ((GAS, ELECTRIC), True)])
def test_one_price_alone_moves_no_order(sources: Any, told_of: bool) -> None:
    data = dict(study(*sources).typed)
    data["option"][0]["rule"] = "cheapest_now"
    blocks = [{"up_to": "50 therm/month", "energy": "1 $/therm"}, {"energy": "2 $/therm"}]
    data["prices"] = {"natural_gas": {"block": blocks}, **({"electricity": {"energy": "0.1 $/kWh"}} if told_of else {})}
    found = warnings_of(lower_study(case_from(data), constant_weather(-5.0)), ())
    assert any("later blocks" in text for text in found) == told_of


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"energy": "1.50 $/therm"}, True), ({}, False), ({"energy": "1.50 $/therm", "minimum_use": "90 therm/year"}, False),
        ({"energy": "1.50 $/therm", "minimum_use": "90 therm/year", "minimum_use_price": "1 $/therm"}, True),
        ({"energy": "1.50 $/therm", "months": "Nov-Mar"}, False),
    ],
)  # fmt: skip
def test_an_energy_price_beside_blocks_of_every_month_is_said_to_count_for_nothing(more: Any, told: bool) -> None:
    data = dict(study(GAS).typed)
    more = dict(more)
    season = {"months": more.pop("months")} if "months" in more else {}
    blocks = [{"up_to": "50 therm/month", "energy": "1 $/therm"} | season, {"energy": "2 $/therm"} | season]
    data["prices"] = {"natural_gas": {"block": blocks, **more}, "electricity": {"energy": "0.1 $/kWh"}}
    found = warnings_of(lower_study(case_from(data), constant_weather(-5.0)), ())
    assert ('energy = "1.50 $/therm" of [prices.natural_gas] counts for nothing' in " ".join(found)) == told


def test_options_without_the_tank_are_named() -> None:
    data = dict(study(ELECTRIC, **TANK).typed)
    data["option"] = [{"name": name, "source": [ELECTRIC], "no_tank": name != "a"} for name in "abc"]
    found = {one.what: one for one in assumptions_of(lower_study(case_from(data), constant_weather(5.0)))}
    assert (found["without the tank"].value, found["without the tank"].key) == ("b, c", "option.no_tank")
    alone = assumptions_of(lower_study(study(ELECTRIC, **TANK), constant_weather(5.0)))
    assert "without the tank" not in {one.what for one in alone}


# assumptions


def rests_on(case: Any, **weather: Any) -> dict[str, Any]:
    """Each assumption by what it is of, under 5 °C all year."""
    year = replace(constant_weather(5.0), **weather)
    return {one.what: one for one in assumptions_of(lower_study(case, year))}


def test_a_usual_balance_point_is_told_as_such_and_a_found_one_with_where_it_was_found() -> None:
    usual, typed = (
        rests_on(study(ELECTRIC, house__balance_point=text))["balance point"] for text in ("17 degC", "15 degC")
    )
    assert usual.source.startswith("as entered, and what the five questions enter where nobody does: common practice")
    assert typed.source == "typed; mean gains 1.00 kW (3.4 kBtu/h)"  # 5 K at 200 W/K; 16 °C is what is taken at 20 °C
    sunny = study(ELECTRIC, house__balance_point="16 degC", house__solar_aperture="4 m2")
    sun = {one: np.zeros(8760) for one in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2")}
    assert "hour by hour with the sun on 4.00 m² (43.1 ft²) of glass" in rests_on(sunny, **sun)["balance point"].source
    moved = rests_on(study(ELECTRIC, house__balance_point="16 degC", house__design_indoor="21 degC"))
    for what in ("balance point", "design heat loss"):
        assert "; found at 21.00 °C (69.8 °F) indoors, here at 20.00 °C (68.0 °F)" in moved[what].source


def test_a_year_that_nobody_measured_is_said_to_be_made() -> None:
    case = study(ELECTRIC)
    assert rests_on(case)["weather"].source == "made for a test; typical or measured year; some winters are colder"
    assert rests_on(case, synthetic=True)["weather"].source == "made for a test; synthetic year"
    assert rests_on(case)["weather"].value == "test (8,760 hours)"


def test_other_use_that_was_metered_is_told_with_its_file() -> None:
    data = dict(study(ELECTRIC).typed)
    data["house"] = {**data["house"], "other_electricity_profile": "meter.csv"}
    content = "electricity [kWh]\n" + "0.5\n" * 8760
    case = case_from(data, files=StudyFiles(opened={"meter.csv": content.encode()}))
    found = rests_on(case)["other electricity"]
    assert found.value.startswith("4,380 kWh a year")
    assert found.source.startswith("read from meter.csv, hour by hour")


def test_clocks_pumps_and_kinds_are_told() -> None:
    assert rests_on(study(ELECTRIC))["clock"].value == "standard time all year"
    east = rests_on(study(ELECTRIC, place__timezone="America/New_York"))
    assert east["clock"].value == "America/New_York"
    # what a kind rests on is told once, and begins small after the kind's own words
    found = [one.what for one in assumptions_of(lower_study(study(PUMP, PUMP), constant_weather(5.0)))]
    assert len(found) == len(set(found))
    for kind in {type(one) for one in study(PUMP).options[0].sources}:
        for what, _, _, key in kind.rests_on:
            [row] = [one for one in rests_on(study(PUMP)).values() if one.what.endswith(f", {what}")]
            assert row.key == (f"option.source.{key}" if key else "")


@pytest.mark.parametrize(
    ("fuel", "more", "return_c", "least_c"),
    [
        ("heating_oil", {"efficiency_share": 0.84}, 35.0, 54.4),  # 130 °F, least inlet of makers' manuals
        ("heating_oil", {"efficiency_share": 0.84}, 54.4, None),
        ("natural_gas", {"efficiency_share": 0.84, "condensing": True}, 35.0, None),
        ("natural_gas", {"efficiency_share": 0.92}, 35.0, None),
        ("natural_gas", {"efficiency_share": None}, 35.0, None),
        ("electricity", {"efficiency_share": 0.84}, 35.0, None),
    ],
)
def test_a_loading_unit_is_drawn_where_a_dry_boiler_gets_cool_water(
    monkeypatch: pytest.MonkeyPatch, fuel: str, more: dict[str, Any], return_c: float, least_c: float | None
) -> None:
    source: Any = Unit(fuel_key=fuel, **more)
    monkeypatch.setattr(fires, "solid", lambda sources: [])
    assert fires.least_return_c(source, return_c) == least_c
    monkeypatch.setattr(fires, "solid", lambda sources: sources)
    assert fires.least_return_c(source, return_c) == 60.0  # 140 °F of a fire of wood, whatever comes back
