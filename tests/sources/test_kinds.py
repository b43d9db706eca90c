"""What is particular to one kind of source."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import cases
import numpy as np
import pytest
from cases import constant_weather, sample_weather, study

from costsim import InputError, simulate
from costsim.results.condensing import untold_condensing
from costsim.results.result import OptionResult
from costsim.sources import KINDS
from costsim.sources.base import coldest_hours
from costsim.units.quantity import FOOT_M
from costsim.views.text_season import printed_case
from costsim.weather.sunlight import sun_on

GREENSBORO = sample_weather()
ELECTRIC = {"kind": "electric", "output": "20 kW"}
TANK = {"tank__volume": "1500 L", "tank__max_temperature": "85 degC"}


def run(*sources: dict, weather=GREENSBORO, **house: Any) -> OptionResult:
    return simulate(study(*sources, **house), weather).options[0]


def test_solar_facts_add_up() -> None:
    found = run({"kind": "solar", "area": "20 m2"}, ELECTRIC, **TANK)
    sun = found.sources[0]
    assert sun.facts["collected_kwh"] == pytest.approx(sun.facts["useful_kwh"] + sun.facts["dumped_kwh"])
    assert sun.heat_j / 3.6e6 == pytest.approx(sun.facts["useful_kwh"])
    assert sun.facts["useful_kwh_m2"] == pytest.approx(sun.facts["useful_kwh"] / 20)
    assert sun.facts["stagnation_hours"] > 100
    assert sun.cost == 0.0
    assert 900 < sun.facts["irradiation_kwh_m2"] < 2000


def test_collectors_that_face_away_are_told() -> None:
    south, north = (
        run({"kind": "solar", "area": "10 m2", "azimuth": a}, ELECTRIC, **TANK) for a in ("180 deg", "0 deg")
    )
    assert north.sources[0].heat_j < 0.6 * south.sources[0].heat_j
    assert any("away from the equator" in text for text in north.warnings)


def test_solar_needs_radiation() -> None:
    dark = replace(GREENSBORO, ghi_w_m2=None)
    with pytest.raises(InputError, match="holds no sunshine"):
        run({"kind": "solar", "area": "10 m2"}, ELECTRIC, weather=dark, **TANK)


def test_a_heat_pump_gives_less_in_the_cold() -> None:
    pump = {
        "kind": "heat_pump",
        "outdoor": ["-15 degC", "7 degC"],
        "outputs": ["5 kW", "9 kW"],
        "cut_out": "-12 degC",
        "carnot_fraction": 0.4,
    }
    found = run(pump, ELECTRIC, tank__volume="300 L", tank__design_supply_temperature="40 degC")
    cold = GREENSBORO.outdoor_c < -12
    assert found.hourly.heat_w[0][cold].max() == 0
    factor = found.sources[0].heat_j / found.sources[0].input_j
    assert 2.2 < factor < 4.5
    half = 5000 + 4000 * 11 / 22  # straight line at −4 °C, less a tenth for defrosting
    at = np.flatnonzero(GREENSBORO.outdoor_c == -4.4)
    assert found.hourly.available_w[0][at] == pytest.approx((half - 0.4 * 4000 / 22) * 0.9, rel=0.01)


def test_the_coldest_hours_with_a_longest_run() -> None:
    marked = coldest_hours(GREENSBORO.outdoor_c, 300, 12)
    assert marked.sum() == 300
    edges = np.flatnonzero(np.diff(np.concatenate(([0], marked, [0]))))
    assert (edges[1::2] - edges[::2]).max() <= 12
    assert GREENSBORO.outdoor_c[marked > 0].max() <= np.sort(GREENSBORO.outdoor_c)[500]


def test_control_events_are_their_own_cause() -> None:
    held = {"kind": "off_peak_electric", "output": "20 kW", "curtailment": {"coldest_hours": 200}}
    found = run(held)
    assert 150 <= found.unmet.hours <= 200
    assert found.unmet.by_cause_j["curtailment"] == pytest.approx(found.unmet.energy_j)
    assert run(held, {"kind": "gas", "output": "20 kW", "efficiency": "90 %"}).unmet.hours == 0


def test_cycling_and_standby_only_add() -> None:
    unit = {"kind": "gas", "output": "20 kW", "efficiency": "90 %", "cycling_degradation": 0.0}
    plain, cycling = run(unit), run({**unit, "cycling_degradation": 0.2, "min_output": "8 kW"})
    idle = run({**unit, "standby": "50 W"})
    assert cycling.sources[0].input_j > plain.sources[0].input_j
    assert idle.sources[0].input_j - plain.sources[0].input_j == pytest.approx(50 * 8760 * 3600)


def test_a_pellet_boiler_is_billed_by_weight() -> None:
    found = run({"kind": "pellet", "output": "15 kW", "efficiency": "80 %"}, weather=constant_weather(5.0))
    # 3 kW of 15, two thirds of the smallest fire of 4.5 kW: a tenth of a third is lost
    fuel = found.sources[0].input_j / 1055.05585262 / 8200  # 8,200 Btu/lb, value from memory
    assert fuel == pytest.approx(200 * 15 * 8760 * 3.412142 / 0.80 / (1 - 0.1 / 3) / 8200, rel=1e-3)
    pump_free = found.cost_energy - found.sources[0].auxiliary_j / 3.6e6 * 0.10
    assert pump_free == pytest.approx(fuel * 0.15)


def test_a_small_propane_tank_in_the_cold_is_doubted() -> None:
    unit = {"kind": "gas", "fuel": "propane", "output": "40 kW", "efficiency": "90 %", "firing": "one_stage"}
    small = run({**unit, "tank_diameter": "24 in", "tank_length": "5 ft"})
    large = run({**unit, "tank_diameter": "60 in", "tank_length": "24 ft"})
    assert any("may boil off only" in text for text in small.warnings)
    assert large.warnings == ()
    assert small.sources[0].heat_j == large.sources[0].heat_j


def test_paying_for_fuel_that_is_not_used_is_told() -> None:
    unit = {"kind": "gas", "fuel": "propane", "output": "20 kW", "efficiency": "90 %"}
    case = study(unit, prices__propane={"energy": "2.50 $/gal", "minimum_use": "900 gal/year"})
    result = simulate(case, constant_weather(15.0))
    assert any("it does not use (minimum use)" in text for text in result.warnings)


def test_a_high_efficiency_needs_cool_water() -> None:
    # natural gas with 20 % excess air condenses below some 55 °C
    unit = {"kind": "gas", "output": "20 kW", "efficiency": "95 %"}
    hot, cool = (
        run(unit, **TANK, tank__design_supply_temperature="75 degC"),
        run(unit, **TANK, tank__design_supply_temperature="35 degC"),
    )
    assert any("95% needs return water below" in text for text in hot.warnings)
    steady = run({**unit, "cycling_degradation": 0.0}, **TANK, tank__design_supply_temperature="75 degC").sources[0]
    assert steady.input_j * 0.95 == pytest.approx(steady.heat_j)  # taken as typed all the same
    assert cool.warnings == ()
    assert run({**unit, "efficiency": "88 %"}, **TANK, tank__design_supply_temperature="75 degC").warnings == ()
    assert run({**unit, "condensing": True}, **TANK, tank__design_supply_temperature="75 degC").warnings == ()


def test_a_boiler_of_94_percent_is_asked_whether_it_condenses_with_its_dollars() -> None:
    """94 % by the higher heating value leaves 6 % for flue and vapor, and the vapor of propane alone holds 8 %."""
    unit = {"kind": "gas", "fuel": "propane", "output": "20 kW", "efficiency": "94 %", "cycling_degradation": 0.0}
    hot = {**TANK, "tank__design_supply_temperature": "75 degC", "prices__propane": {"energy": "2.29 $/gal"}}
    told, typed = (run({**unit, **more}, **hot) for more in ({}, {"condensing": True}))
    [text] = [text for text in told.warnings if "only a condensing unit reaches that" in text]
    real = typed.sources[0].heat_j / typed.sources[0].input_j
    assert real < 0.9
    assert f"gives about {real:.0%} over the year" in text
    assert f"about ${typed.sources[0].cost - told.sources[0].cost:,.0f} a year more" in text
    for more in ({"condensing": True}, {"condensing": False}, {"efficiency": "89 %"}):
        found = run({**unit, **more}, **hot)
        assert not any("only a condensing unit" in text for text in found.warnings)
        assert untold_condensing(study({**unit, **more}).options) == []
    [asked] = untold_condensing(study(unit).options)
    assert "Does it condense?" in asked
    assert asked in printed_case(study(unit), constant_weather(0.0), "us")


def test_a_condensing_boiler_takes_less_where_its_water_is_cool() -> None:
    unit = {"kind": "gas", "output": "20 kW", "condensing": True, "cycling_degradation": 0.0}
    hot, cool = (run(unit, **TANK, tank__design_supply_temperature=f"{warm} degC").sources[0] for warm in (75, 30))
    # between the latent heat of natural gas (10 % of its higher heating value) and a few per cent of flue loss
    assert 0.80 < hot.heat_j / hot.input_j < 0.91
    assert hot.heat_j / hot.input_j + 0.02 < cool.heat_j / cool.input_j < 0.99
    capped = run({**unit, "efficiency": "85 %"}, **TANK, tank__design_supply_temperature="30 degC").sources[0]
    assert capped.heat_j / capped.input_j == pytest.approx(0.85, abs=1e-6)


@pytest.mark.parametrize("change", [{"efficiency": None, "condensing": False}, {"min_output": "21 kW"}])
def test_what_a_burner_cannot_be_is_refused(change: dict[str, Any]) -> None:
    unit = {"kind": "gas", "output": "20 kW", "efficiency": "90 %"} | change
    with pytest.raises((InputError, ValueError)):
        run({key: value for key, value in unit.items() if value is not None})


def test_days_and_months_alone_hold_a_source() -> None:
    weekend = run({**ELECTRIC, "days": "Sat, Sun"}, weather=constant_weather(0.0)).hourly.heat_w[0]
    winter = run({**ELECTRIC, "months": "Jan"}, weather=constant_weather(0.0)).hourly.heat_w[0]
    whole = run(ELECTRIC, weather=constant_weather(0.0)).hourly.heat_w[0]
    assert (whole > 0).all()
    assert np.count_nonzero(weekend) == 104 * 24  # 2025 has 52 Saturdays and 52 Sundays
    assert np.count_nonzero(winter) == 31 * 24


@pytest.mark.parametrize(
    ("rule", "left"), [("total", 1 - 0.04 * 5000 / 1000), ("above_2000ft", 1 - 0.04 * 3000 / 1000), ("none", 1.0)]
)
def test_thin_air_takes_four_per_cent_each_thousand_feet(rule: str, left: float) -> None:
    # NFPA 54, 4 % each 1,000 ft; which reading holds is the field's own question
    unit = {"kind": "gas", "output": "10 kW", "efficiency": "90 %", "altitude_rule": rule}
    found = run(unit, weather=constant_weather(-60.0), place__altitude="5000 ft").sources[0]
    assert found.peak_w == pytest.approx(1e4 * left, rel=1e-3)
    [told] = list(study(unit).options[0].sources[0].formulas(5000 * FOOT_M))
    assert told[1].startswith("no correction" if rule == "none" else "4 % less for each 1,000 ft")
    assert told[2] == f"1,524 m (5,000 ft): {left * 100:.0f} % of the rated output is left"


def test_standby_and_fans_are_nothing_unless_told() -> None:
    found = run(
        {"kind": "gas", "output": "20 kW", "efficiency": "90 %", "cycling_degradation": 0.0},
        weather=constant_weather(25.0),
    )
    assert found.sources[0].input_j == 0.0
    assert found.sources[0].auxiliary_j == 0.0


def offer_of(source: dict[str, Any], weather=GREENSBORO, **house: Any):
    """A source's offer in Greensboro."""
    return cases.offer_of(source, weather, **house)


def test_collectors_follow_their_test_coefficients() -> None:
    # ISO 9806: heat = area × (eta0 × sun − a1 x − a2 x²), x from outdoor air to the mean fluid, 5 K above the tank
    unit = {
        "kind": "solar",
        "area": "8 m2",
        "eta0": "80 %",
        "a1": "3.5 W/(m2 K)",
        "a2": "0.02 W/m2/K2",
        "incidence_b0": 0.0,
        "tilt": "45 deg",
    }
    offer, seen = offer_of(unit, **TANK, tank__design_supply_temperature="50 degC")
    sun = sun_on(GREENSBORO, 45.0, 180.0)
    gain = 0.80 * (sun.beam_w_m2 + sun.sky_w_m2 + sun.ground_w_m2)
    x = seen.water_c + 5.0 - GREENSBORO.outdoor_c
    expected = 8.0 * (gain - 3.5 * x - 0.02 * x**2)
    some = (gain > 0) & (offer.capacity_w > 0)
    assert some.sum() > 3000
    assert (offer.capacity_w - offer.slope_w_k * seen.water_c)[some] == pytest.approx(expected[some], abs=1e-6)
    assert offer.slope_w_k == pytest.approx(8.0 * (3.5 + 2 * 0.02 * x[gain > 0].mean()))
    assert (offer.capacity_w[gain <= 0] == 0).all()
    assert offer.rated_w == pytest.approx(8.0 * 0.80 * 1000)
    assert offer.facts["irradiation_kwh_m2"] == pytest.approx(gain.sum() / 0.80 / 1e3)


def test_what_is_said_of_collectors_begins_where_it_says() -> None:
    def told(litres: int, azimuth: int, tilt: int, word: str) -> bool:
        unit = {"kind": "solar", "area": "10 m2", "azimuth": f"{azimuth} deg", "tilt": f"{tilt} deg"}
        offer, _ = offer_of(unit, tank__volume=f"{litres} L", tank__max_temperature="85 degC")
        return any(word in text for text in offer.warnings)

    assert told(290, 180, 45, "less than 30 L")
    assert not told(306, 180, 45, "less than 30 L")
    assert told(900, 89, 16, "91° away")
    assert told(900, 271, 16, "91° away")
    assert not told(900, 91, 16, "away")
    assert not told(900, 0, 15, "away")


def test_the_equator_lies_north_of_southern_houses() -> None:
    south = replace(GREENSBORO, latitude_deg=-36.0)
    unit = {"kind": "solar", "area": "10 m2", "tilt": "45 deg"}
    assert any("180° away" in text for text in offer_of({**unit, "azimuth": "180 deg"}, south, **TANK)[0].warnings)
    assert not offer_of({**unit, "azimuth": "0 deg"}, south, **TANK)[0].warnings
    # where no direction is typed they face the equator by the place's latitude, as panels do
    for weather, azimuth in ((south, "0 deg"), (GREENSBORO, "180 deg")):
        plain, typed = (offer_of(one, weather, **TANK)[0] for one in (unit, {**unit, "azimuth": azimuth}))
        assert plain.facts == typed.facts
        assert not plain.warnings


def test_plain_water_takes_nothing_for_antifreeze() -> None:
    unit = {
        "kind": "gas",
        "output": "30 kW",
        "efficiency": "90 %",
        "flow": "4 gpm",
        "max_outlet_temperature": "60 degC",
        "altitude_rule": "none",
    }
    offer, seen = offer_of(unit, **TANK, tank__design_supply_temperature="45 degC")
    # 4 gpm is 2.5236e-4 m³/s, and water carries 4.18 MJ/(m³ K) from the tank to the outlet
    assert {name for name, _ in offer.derates} == {"water temperature"}
    assert 30e3 - dict(offer.derates)["water temperature"] == pytest.approx(offer.capacity_w.min(), rel=1e-3)
    assert offer.capacity_w.min() == pytest.approx(2.5236e-4 * 4.18e6 * (60 - seen.water_c.max()), rel=0.02)


OURS = {"electric", "off_peak_electric", "gas", "oil", "wood", "pellet", "heat_pump", "solar"}


def test_every_kind_stops_when_the_power_fails() -> None:
    # each has an element, a compressor, a fan or at least a circulator between it and the tank, unless it says it does not
    for kind, example in ((name, model.example) for name, model in KINDS.items()):
        offer, _ = offer_of(dict(example), **TANK)
        assert offer.needs_power == KINDS[kind].needs_power, kind
        assert offer.needs_power or kind not in OURS, kind
        assert offer.rank == 0
        assert (
            offer_of({**example, "backup_only": True}, **TANK)[0].rank == 1 if kind not in ("solar", "wood") else True
        )


def test_a_boiler_that_fills_a_store_up_to_its_own_outlet_still_gives() -> None:
    from cases import study

    from costsim import simulate

    boiler = {
        "kind": "gas",
        "output": "12 kW",
        "condensing": True,
        "flow": "8 L/min",
        "max_outlet_temperature": "65 degC",
        "store": True,
    }
    found = []
    for store in ("50 degC", "65 degC"):
        option = simulate(
            study(boiler, tank__volume="500 L", tank__store=store, tank__max_temperature="70 degC"), GREENSBORO
        ).options[0]
        source = option.sources[0]
        found.append(source.heat_j / source.input_j)
        assert option.unmet.hours < 50
    # filling a hotter store means warmer return water
    assert found[1] < found[0]


def test_what_a_propane_tank_must_boil_off_is_the_fuel_not_the_heat() -> None:
    unit = {
        "kind": "gas",
        "fuel": "propane",
        "output": "40 kW",
        "tank_diameter": "24 in",
        "tank_length": "5 ft",
        "firing": "one_stage",
    }
    said = {}
    for name, more in (
        ("half", {"efficiency": "50 %"}),
        ("whole", {"efficiency": "100 %"}),
        ("usual", {"condensing": True}),
    ):
        said[name] = next(
            text for text in offer_of({**unit, **more}, **TANK)[0].warnings if "may boil off only" in text
        )
    assert "80 kW (273 kBtu/h) at full fire" in said["half"]
    assert "40 kW (136 kBtu/h) at full fire" in said["whole"]
    assert (
        "44 kW (152 kBtu/h) at full fire" in said["usual"]
    )  # where no efficiency is told, 90 % (common practice, no source)
    # one that does not turn down burns its plate whenever it burns
    assert "of the 80 kW (273 kBtu/h) it burns on the design night" in said["half"]


def test_control_hours_leave_a_pause_after_the_longest_run() -> None:
    for text, hours in (("2 h", 2), ("90 min", 2), ("5 h", 5)):  # whole hours: the weather knows no other
        offer, _ = offer_of(
            {"kind": "electric", "output": "9 kW", "curtailment": {"coldest_hours": 400, "longest_run": text}}
        )
        off = np.concatenate(([0], offer.curtailed_w > 0, [0])).astype(int)
        runs = np.flatnonzero(np.diff(off) < 0) - np.flatnonzero(np.diff(off) > 0)
        assert runs.max() == hours
        assert runs.sum() == 400


def test_the_smallest_fire_may_be_the_whole_output() -> None:
    assert run({"kind": "gas", "output": "20 kW", "efficiency": "90 %", "min_output": "20 kW"}).sources[0].heat_j > 0


def test_the_collector_of_the_defaults_is_an_ordinary_flat_plate() -> None:
    # ranges of certified flat-plate collectors on their gross area, values from memory
    plain = KINDS["solar"].model_validate({"kind": "solar", "area": "10 m2"})
    assert 0.68 <= plain.eta0_share <= 0.80
    assert 3.0 <= plain.a1_w_m2k <= 5.0
    assert 0.005 <= plain.a2_w_m2k2 <= 0.02
    assert 0.05 <= plain.incidence_b0 <= 0.2


def test_a_boiler_that_stores_meets_water_halfway_to_the_store() -> None:
    boiler = {
        "kind": "gas",
        "output": "40 kW",
        "efficiency": "90 %",
        "flow": "8 L/min",
        "max_outlet_temperature": "70 degC",
    }
    tank = {"tank__volume": "500 L", "tank__store": "60 degC", "tank__max_temperature": "70 degC"}
    plain, seen = offer_of(boiler, **tank)
    storing, _ = offer_of({**boiler, "store": True}, **tank)
    per_k = 8 / 6e4 * seen.density_kg_m3 * seen.heat_capacity_j_kgk
    np.testing.assert_allclose(plain.capacity_w, np.minimum(40e3, per_k * (70 - seen.water_c)), rtol=1e-6)
    halfway = (seen.water_c + np.maximum(60.0, seen.water_c)) / 2
    np.testing.assert_allclose(storing.capacity_w, np.minimum(40e3, per_k * (70 - halfway)), rtol=1e-6)


def test_collectors_by_their_coefficients() -> None:
    # 10 m² at 0.75: 7.5 kW in full sun; 6 kW are 8 m²
    [sun] = study({"kind": "solar", "area": "10 m2", "eta0": "75 %"}, tank__volume="800 L").options[0].sources
    assert sun.nameplate_w() == pytest.approx(7500.0)
    assert float(sun.resized({"kind": "solar"}, 6000.0)["area"].split()[0]) == pytest.approx(8.0)
    assert (sun.lasting_share(), sun.automatic, sun.fuel_key) == (0.0, False, "")


def test_a_store_that_is_not_there_is_told() -> None:
    words = "may charge a store, but the study has no tank: it heats only in its own hours"
    night = {**ELECTRIC, "store": True, "windows": ["22:00-06:00"]}
    told = [
        any(words in text for text in run(night, weather=constant_weather(0.0), **tank).warnings)
        for tank in ({}, {"tank__volume": "500 L"})
    ]
    assert told == [True, False]
