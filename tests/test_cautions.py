"""The cautions: each where it applies, none where it does not, and all tell what to look up."""

from __future__ import annotations

from typing import Any

import pytest
from burners import GAS, OIL, PELLETS, PROPANE, WOOD
from cases import study

from costsim.physics.circuits import continuous_amps
from costsim.results.caution import Caution
from costsim.results.cautions import cautions_of
from costsim.study.case import Case, read_study

ALWAYS = {"pressure_relief", "drinking_water"}
ELECTRIC = {"kind": "electric", "output": "9.6 kW", "efficiency": "100 %", "volts": "240 V", "breaker": "60 A"}
SUN = {"kind": "solar", "area": "8 m2"}
TANK = {"tank__volume": "300 L"}
FLOOR = {
    "floor__loops": [{"count": 6, "length": "85 m", "tube": "16x2", "flow": "2 L/min"}],
    "floor__insulation": "2 m2 K/W",
}


def found(
    case: Case, *, coldest_c: float = 5.0, freeze_c: float = 0.0, max_temperature_c: float = 45.0
) -> dict[str, Caution]:
    """Cautions by key."""
    listed = cautions_of(case, coldest_c=coldest_c, freeze_c=freeze_c, max_temperature_c=max_temperature_c, system="si")
    keys = {caution.key: caution for caution in listed}
    assert len(keys) == len(listed)
    return keys


@pytest.mark.parametrize(
    ("source", "more"),
    [
        (ELECTRIC, {"electrical_work"}),
        (GAS, {"carbon_monoxide", "gas_work"}),
        (OIL, {"carbon_monoxide", "oil_work"}),
        (WOOD, {"carbon_monoxide", "chimney", "heat_dump", "solid_return"}),
        (PELLETS, {"carbon_monoxide", "chimney", "solid_return"}),
        (
            {"kind": "heat_pump", "outdoor": ["-8 degC", "8 degC"], "outputs": ["6 kW", "9 kW"]},
            {"electrical_work", "refrigerant"},
        ),
    ],
)
def test_each_kind_brings_its_own_and_no_others(source: dict[str, Any], more: set[str]) -> None:
    assert set(found(study(source))) == ALWAYS | more


def test_collectors_bring_roof_and_stagnation() -> None:
    assert set(found(study(SUN, ELECTRIC, **TANK))) == ALWAYS | {"electrical_work", "collectors", "weight"}


def test_a_floor_brings_tube_and_surface() -> None:
    assert set(found(study(ELECTRIC, **FLOOR))) == ALWAYS | {"electrical_work", "oxygen", "floor_surface", "weight"}


def test_frost_and_heat_bring_theirs() -> None:
    assert "freezing" in found(study(ELECTRIC), coldest_c=-1.0)
    assert "freezing" not in found(study(ELECTRIC), coldest_c=0.0)
    assert "scalding" in found(study(ELECTRIC), max_temperature_c=50.0)


def test_propane_names_its_own_code_and_natural_gas_does_not() -> None:
    assert "NFPA 58" in found(study(PROPANE))["gas_work"].check
    assert "NFPA 58" not in found(study(GAS))["gas_work"].check


def test_antifreeze_is_judged_against_the_coldest_hour() -> None:
    glycol = {**FLOOR, "floor__antifreeze": "ethylene_glycol", "floor__concentration": "30 vol%"}
    enough = found(study(ELECTRIC, **glycol), coldest_c=-10.0, freeze_c=-15.0)
    few = found(study(ELECTRIC, **glycol), coldest_c=-20.0, freeze_c=-15.0)
    assert "outside the heated house needs a stronger mix" in few["freezing"].text
    assert "a stronger mix only where pipe lies outside" in few["freezing"].short
    assert "stronger" not in enough["freezing"].text
    assert "POISONOUS" in few["drinking_water"].text


def test_the_caution_says_what_the_largest_electric_option_asks_of_the_service() -> None:
    """Lantern Cottage's two banks of 9 kW at 99 %: 18,000 W / 0.99 / 240 V x 1.25 = 94.7 A."""
    short = found(read_study("lantern_cottage"))["electrical_work"].short
    assert short.endswith("Off-peak with electric by day asks for 94.7 A at 240 V for its heat alone.")


def test_circuit_of_a_published_example() -> None:
    # 9,600 W at 240 V and a 3 A motor ask for 53.75 A: worked example of NEC 424, 210.19 and 210.20, M. Holt's
    # newsletter of October 2019, seen
    assert continuous_amps(load_w=9600 + 3 * 240, volts_v=240) == pytest.approx(53.75)


def test_a_breaker_is_judged() -> None:
    assert "the breaker of 60 A is enough" in found(study(ELECTRIC))["electrical_work"].text
    weak = ELECTRIC | {"breaker": "40 A"}
    assert "the breaker of 40 A is too small" in found(study(weak))["electrical_work"].text


@pytest.mark.parametrize("name", ["lantern_cottage", "net_loft", "valley_row"])
def test_all_say_what_to_look_up_and_where_they_come_from(name: str) -> None:
    for caution in found(read_study(name), coldest_c=-20.0, max_temperature_c=85.0).values():
        assert caution.check.startswith("Check the locally adopted edition of ")
        assert any(figure.isdigit() for figure in caution.standards) or caution.key == "freezing"
        assert caution.source
        assert caution.text.endswith(".")


def test_water_in_collectors_is_not_called_safe_from_frost() -> None:
    alone = found(study(ELECTRIC, **TANK), coldest_c=-20.0)["freezing"]
    sunny = found(study(SUN, ELECTRIC, **TANK), coldest_c=-20.0)["freezing"]
    assert "needs antifreeze of its own" in sunny.short
    assert "needs antifreeze of its own" in sunny.text
    assert "outdoors" not in alone.short


def test_weights_of_floor_and_tank_by_hand() -> None:
    # 65 mm of screed at 2,000 kg/m³ (EN 1991-1-1 gives cement mortar 19 to 23 kN/m³, value from memory), 300 L of water
    weight = found(study(ELECTRIC, **FLOOR, **TANK, floor__build_up="screed_65"))["weight"]
    assert "130 kg/m²" in weight.text
    assert "300 kg" in weight.text
    assert "weight" not in found(study(ELECTRIC, **FLOOR, floor__build_up="plates"))


def test_hot_water_is_said_to_be_stored_hot_and_tempered() -> None:
    from engine.test_uses import TAP, with_uses

    where = {"coldest_c": -10.0, "freeze_c": 0.0, "max_temperature_c": 60.0, "system": "us"}
    told = {one.key: one.text for one in cautions_of(with_uses(TAP), **where)}
    assert all(word in told["legionella"] for word in ("Legionella", "140", "120", "licensed"))
    cool = with_uses(TAP | {"exchanger": "stored", "storage_temperature": "125 degF"})
    assert "125" in next(one.text for one in cautions_of(cool, **where) if one.key == "legionella")
    assert "legionella" not in {one.key for one in cautions_of(with_uses(), **where)}
