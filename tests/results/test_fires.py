"""Fires that cannot be put out: heat dump, warm return, a flue each, and the heat that is thrown away."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from burners import OIL, PELLETS, PROPANE, WOOD
from cases import study

from costsim.results.caution import Caution
from costsim.results.cautions import cautions_of
from costsim.results.fires import Charge, burns_on, charge_words, charges_of, dumped_warnings, flues_apart, mild_water_c
from costsim.study.case import Case

MJ, KWH = 1e6, 3.6e6
ELECTRIC = {"kind": "electric", "output": "9 kW"}
SUN = {"kind": "solar", "area": "8 m2"}
TANK = {"tank__volume": "1000 L", "tank__max_temperature": "80 degC"}


def found(case: Case, **more: Any) -> dict[str, Caution]:
    told = cautions_of(case, coldest_c=5.0, freeze_c=0.0, max_temperature_c=80.0, system="si", **more)
    return {one.key: one for one in told}


@pytest.mark.parametrize(
    ("sources", "keys"),
    [
        ((WOOD,), {"heat_dump", "solid_return"}),
        ((WOOD, PROPANE), {"heat_dump", "solid_return", "flues_apart"}),
        ((WOOD, OIL), {"heat_dump", "solid_return", "flues_apart"}),
        ((WOOD, ELECTRIC), {"heat_dump", "solid_return"}),
        ((PELLETS, PROPANE), {"solid_return", "flues_apart"}),
        ((PROPANE, OIL), set()),
        ((SUN, ELECTRIC), set()),
    ],
)
def test_what_burns_on_and_what_burns_solid_fuel_bring_their_cautions(sources: Any, keys: set[str]) -> None:
    told = found(study(*sources, **TANK))
    assert {"heat_dump", "solid_return", "flues_apart"} & set(told) == keys
    for key in keys:
        assert "memory" not in told[key].short + told[key].text + told[key].standards


def test_the_cautions_say_dump_relief_return_and_flue() -> None:
    told = found(study(WOOD, PROPANE, **TANK), return_c=30.0)
    dump = told["heat_dump"]
    for word in ("heat dump", "without power", "relief", "manual"):
        assert word in dump.short
    assert "valve that opens without power" in dump.text
    assert "nothing shut between it and the boiler" in dump.text
    # the mean of a charge, 190 MJ over its burn time, is no size of a valve: nothing of it is printed
    assert "kW" not in dump.short + dump.text
    assert "a relief valve as large as its plate says" in dump.short
    assert "60 °C or more" in told["solid_return"].short
    assert "comes back at about 30 °C" in told["solid_return"].short
    assert "comes back" not in found(study(WOOD, **TANK), return_c=60.0)["solid_return"].short
    assert told["flues_apart"].short == "Wood boiler and Propane boiler: never on one flue."
    assert (
        "503.5.7.1" in told["flues_apart"].standards
    )  # seen on up.codes: solid fuel shares no flue with another appliance


def test_a_charge_is_held_against_what_tank_and_house_take() -> None:
    """1000 L of water from 40 to 80 °C: 983 kg/m3 x 4.185 kJ/(kg K) x 40 K = 165 MJ (handbook values at 60 °C); 8 kW for 4 h: 115 MJ.

    20 kg of wood at 60 %, 20 % moist, at 15.9 MJ/kg by the higher value: about 190 MJ.
    """
    case = study(WOOD, **TANK)
    (charge,) = charges_of(case, case.options[0], top_c=80.0, water_c=40.0, mild_c=30.0, load_w=8e3)
    assert charge.tank_j == pytest.approx(164.6 * MJ, rel=0.005)
    assert charge.house_j == pytest.approx(8e3 * 4 * 3600)
    # from 30 °C: 985.6 kg/m3 x 4.182 kJ/(kg K) x 50 K = 206 MJ at 55 °C; a quarter of 8 kW for 4 h is 29 MJ
    assert charge.mild_tank_j == pytest.approx(206.1 * MJ, rel=0.005)
    assert charge.mild_j == pytest.approx(206.1 * MJ + 28.8 * MJ, rel=0.005)
    assert charge.night_j == pytest.approx(164.6 * MJ + 115.2 * MJ, rel=0.005)
    assert charge.heat_j == pytest.approx(190 * MJ, rel=0.05)
    none = study(WOOD)
    (bare,) = charges_of(none, none.options[0], top_c=80.0, water_c=40.0, mild_c=30.0, load_w=8e3)
    assert bare.tank_j == bare.mild_tank_j == 0.0
    told = found(case, needed_c=40.0, mild_c=30.0, load_w=8e3)["heat_dump"]
    # 164.6 + 115.2 MJ are 77.7 kWh, 206.1 + 28.8 MJ 65.3
    assert (
        "tank and house take 78 kWh on a design night, from water of 40 °C, and 65 kWh on a mild day of 25% of"
        in told.short
    )
    assert "charge gives" not in found(case)["heat_dump"].short  # where nobody knows the water at design


@pytest.mark.parametrize(
    ("heat", "tank", "house", "mild", "words"),
    [
        (100, 0, 50, 0, "and there is no tank to take it."),
        # a mild day leaves a quarter of the house: 80 and 25 kWh, 74 and 25
        (100, 50, 100, 80, "down to that."),
        (100, 50, 100, 74, "Load less: 100 % of a charge finds room on a design night, 99 % on a mild day."),
        (200, 50, 100, 175, "Load less: 75 % of a charge finds room on a design night, 100 % on a mild day."),
    ],
)
def test_each_side_of_what_a_tank_holds_has_its_words(
    heat: float, tank: float, house: float, mild: float, words: str
) -> None:
    text = charge_words(Charge("Wood", heat * KWH, tank * KWH, house * KWH, mild * KWH, 70.0, 40.0), "si")
    assert text.endswith(words)
    assert text.startswith(f"A full charge gives {heat} kWh")


def test_an_installers_example_is_told_as_he_works_it() -> None:
    """500 gal at 8.1 lb/gal: 13 °F from 167 to 180 °F are 0.05 MMBtu, 77 °F from 103 °F 0.31; 48,000 Btu/h for 6 h 0.29, a quarter 0.07.

    Baseboards: 70 + 97 × 0.25^(1/1.3) = 70 + 97 × 0.344 = 103 °F.
    """
    btu, kelvin = 1055.06, 1.8
    mild = mild_water_c(indoor_c=38.0 / kelvin, water_c=135.0 / kelvin, exponent=1.3)
    assert mild * kelvin + 32.0 == pytest.approx(103.4, abs=0.1)
    charge = Charge("Wood", 316e3 * btu, 53e3 * btu, 288e3 * btu, 312e3 * btu, 135.0 / kelvin, mild)
    text = charge_words(charge, "us")
    assert text == (
        "A full charge gives 0.32 MMBtu. While it burns, tank and house take 0.34 MMBtu on a design night, from water of 167 °F, and"
        " 0.38 MMBtu on a mild day of 25% of that load, from 103 °F; less where the tank has not come down to that."
    )


def test_only_fires_of_one_option_share_a_house() -> None:
    case = study(WOOD, PELLETS, ELECTRIC)
    assert [one.kind for one in burns_on(case.options[0].sources)] == ["wood"]
    assert flues_apart(case.options[0].sources) == ("", "")


def fire_of(dumped: float) -> Any:
    return SimpleNamespace(
        name="Wood boiler", dumped_j=dumped * KWH, heat_j=(100.0 - dumped) * KWH, facts={"dumping_hours": 761}
    )


@pytest.mark.parametrize(("dumped", "said"), [(5.0, False), (5.1, True), (24.9, True)])
def test_heat_that_is_thrown_away_is_told_above_a_twentieth(dumped: float, said: bool) -> None:
    case = study(WOOD, ELECTRIC)
    name = case.options[0].name
    other = SimpleNamespace(name="Electric", dumped_j=50 * KWH, heat_j=50 * KWH, facts={})
    common: Any = SimpleNamespace(case=case)
    options: Any = [SimpleNamespace(name=name, sources=(fire_of(dumped), other))]
    told = dumped_warnings(common, options, lambda option: options[0])
    assert bool(told) is said
    if said:
        assert told[0].startswith(f"{name}: {dumped:.0f} % of the heat of Wood boiler is thrown away ({dumped:.0f} kWh")
        assert "in 761 hours of the year" in told[0]


@pytest.mark.parametrize(
    ("tank", "loads", "said"),
    [
        (
            15.0,
            14.9,
            "(11 lb) where that is enough leaves 15 %; a tank of 1,000 L (264 gal), twice as large, leaves 15 %",
        ),
        (
            19.0,
            5.0,
            "(11 lb) where that is enough leaves 5 %; a tank of 1,000 L (264 gal), twice as large, hardly helps, 19 %"
            " (each load comes by the clock and is 50 % of a charge or more",
        ),
        (3.0, 19.9, "a tank of 1,000 L (264 gal), twice as large, leaves 3 %; loading as little as 5 kg (11 lb)"),
    ],
)
def test_only_what_a_year_computed_anew_shows_to_help_is_advised(tank: float, loads: float, said: str) -> None:
    """Of 20 % a change must leave 15 % or less; loads go down to a quarter of 20 kg in place of half, the tank from 500 L to 1,000 L."""
    case = study(WOOD, tank__volume="500 L")
    common: Any = SimpleNamespace(case=case)

    def again(option: Any) -> Any:
        larger = option.tank_of(case).volume_m3 > 0.6
        if not larger:
            assert option.sources[0].smallest_charge_share == pytest.approx(0.25)
        return SimpleNamespace(sources=(fire_of(tank if larger else loads),))

    (told,) = dumped_warnings(common, [SimpleNamespace(name=case.options[0].name, sources=(fire_of(20.0),))], again)  # type: ignore[list-item]
    assert "; computed anew: " in told
    assert said in told
