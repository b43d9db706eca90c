"""Fires that cannot be put out: heat dump, warm return, a flue each, and the heat that is thrown away."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from burners import OIL, PELLETS, PROPANE, WOOD
from cases import study

from costsim.results.caution import Caution
from costsim.results.cautions import cautions_of
from costsim.results.fires import Charge, burns_on, charge_words, charges_of, dumped_warnings, flues_apart
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
    (charge,) = charges_of(case, case.options[0], top_c=80.0, water_c=40.0, load_w=8e3)
    assert charge.tank_j == pytest.approx(164.6 * MJ, rel=0.005)
    assert charge.house_j == pytest.approx(8e3 * 4 * 3600)
    assert charge.heat_j == pytest.approx(190 * MJ, rel=0.05)
    none = study(WOOD)
    (bare,) = charges_of(none, none.options[0], top_c=80.0, water_c=40.0, load_w=8e3)
    assert bare.tank_j == 0.0
    told = found(case, needed_c=40.0, load_w=8e3)["heat_dump"]
    assert "on a mild day more than the tank holds" in told.short
    assert "charge gives" not in found(case)["heat_dump"].short  # where nobody knows the water at design


@pytest.mark.parametrize(
    ("heat", "tank", "house", "words"),
    [
        (100, 0, 50, "there is no tank to take it"),
        (100, 100, 0, "the tank alone takes 100 kWh"),
        (101, 100, 1, "on a mild day more than the tank holds, 100 kWh; on a design night tank and house take 101 kWh"),
        (151, 100, 50, "more than tank and house take even on a design night, 150 kWh"),
    ],
)
def test_each_side_of_what_a_tank_holds_has_its_words(heat: float, tank: float, house: float, words: str) -> None:
    text = charge_words(Charge("Wood", heat * KWH, tank * KWH, house * KWH), "si")
    assert words in text
    assert text.startswith(f"A full charge gives {heat} kWh")


def test_an_installers_example_is_told_as_he_works_it() -> None:
    """105,300 Btu/h for 4.9 h are 516,000 Btu; 220 gal from 108 to 180 °F take about 130,000; the house 34,100 x 4.9 = 167,000."""
    btu = 1055.06
    text = charge_words(Charge("Wood", 516e3 * btu, 130e3 * btu, 167e3 * btu), "us")
    assert text == (
        "A full charge gives 0.52 MMBtu: more than tank and house take even on a design night, 0.30 MMBtu, and on a mild day the tank"
        " alone holds 0.13 MMBtu. Load less: 58 % of a charge finds room on a design night, 25 % on a mild day."
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
            "(11 lb) where that is enough leaves 5 %; a tank of 1,000 L (264 gal), twice as large, hardly helps, 19 %",
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
