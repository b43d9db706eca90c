"""Antifreeze in the whole system: what it takes off tank and boiler, what it swells by, and what is said of it."""

from __future__ import annotations

from typing import Any

import pytest
from cases import TANK, constant_weather, offer_of, study

from costsim import simulate
from costsim.analysis.capacity import capacity_report
from costsim.analysis.needs import cautions_for, needs_of
from costsim.engine.lower import lower_study
from costsim.errors import InputError
from costsim.views.antifreeze_words import antifreeze_words, fill_words
from costsim.views.system import system_of

# 40 % by mass: 0.4 x 998.2 / (0.4 x 998.2 + 0.6 x 1036) = 39.11 % by volume
MIX = {"fluid__antifreeze": "propylene_glycol", "fluid__concentration": "39.11 vol%"}
RADIATORS = {"house__emitter": "radiators", **TANK}
ELECTRIC = {"kind": "electric", "output": "12 kW"}
LOOPS = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
PUMP = {"kind": "heat_pump", "outdoor": ["-15 degC", "8 degC"], "outputs": ["6 kW", "10 kW"], "cut_out": "-25 degC"}
COLLECTOR = {"kind": "solar", "area": "8 m2"}
COLD = constant_weather(-10.0)


def test_a_tank_of_glycol_holds_less_and_swells_more(published: Any) -> None:
    """300 L at 1,020.06 kg/m³ and 3,770.8 J/(kg K), of CoolProp; water swells by 2.24 % from 10 to 70 °C (999.7 to 977.8 kg/m³)."""
    fluids = published("fluids")
    rho, heat = fluids["mix_pg40_rho"].value, fluids["mix_pg40_cp"].value
    plain, mixed = (lower_study(study(ELECTRIC, **RADIATORS, **mix), COLD) for mix in ({}, MIX))
    assert mixed.water.tank_j_k == pytest.approx(0.3 * rho * heat, rel=2e-4)
    assert mixed.water.tank_j_k / plain.water.tank_j_k == pytest.approx(0.9275, abs=5e-4)
    assert mixed.water.freeze_c == pytest.approx(fluids["mix_pg40_freeze"].value, abs=0.05)
    swell, more = (needs_of(one).swell_share for one in (plain, mixed))
    assert swell == pytest.approx(999.7 / 977.8 - 1.0, abs=2e-4)
    # 40 % by mass: 1,037.62 and 999.05 kg/m³ at 10 and 70 °C by CoolProp 8, INCOMP::MPG
    assert more == pytest.approx(1037.62 / 999.05 - 1.0, abs=2e-4)


def test_a_boiler_on_glycol_gives_what_its_flow_carries() -> None:
    """0.1 L/s from 40 to 82 °C: 0.1 x 1.02006 x 3.7708 x 42 = 16.155 kW, with water 0.1 x 0.99226 x 4.1792 x 42 = 17.417 kW."""
    boiler = {
        "kind": "gas",
        "output": "30 kW",
        "flow": "0.1 L/s",
        "efficiency": "85 %",
        "max_outlet_temperature": "82 degC",
    }
    for mix, kw in (({}, 17.417), (MIX, 16.155)):
        offer, _ = offer_of(boiler, COLD, **RADIATORS, **mix)
        assert float(offer.capacity_w.min()) / 1e3 == pytest.approx(kw, rel=3e-4)


def test_said_of_the_whole_system_or_of_its_floor_it_is_the_same_year() -> None:
    floor = {"floor__loops": LOOPS, **TANK}
    whole = simulate(study(ELECTRIC, **floor, **MIX), COLD).options[0]
    said = {"floor__antifreeze": "propylene_glycol", "floor__concentration": "39.11 vol%"}
    part = simulate(study(ELECTRIC, **floor, **said), COLD).options[0]
    assert whole.cost_total == part.cost_total
    assert simulate(study(ELECTRIC, **floor, **said, **MIX), COLD).options[0].cost_total == whole.cost_total
    other = said | {"floor__concentration": "30 vol%"}
    with pytest.raises(InputError, match="another mix than the floor's") as caught:
        study(ELECTRIC, **floor, **other, **MIX)
    assert len(caught.value.faults) == 1


@pytest.mark.parametrize(("mix", "words"), [
    ({"fluid__antifreeze": "propylene_glycol"}, "concentration"),
    ({"fluid__antifreeze": "automotive", "fluid__concentration": "40 vol%"}, "fluid.antifreeze"),
    ({"fluid__antifreeze": "propylene_glycol", "fluid__concentration": "59.5 vol%"}, "57 vol%"),
])  # fmt: skip
def test_a_mix_that_cannot_be_is_one_line(mix: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        study(ELECTRIC, **RADIATORS, **mix)
    assert len(caught.value.faults) == 1


def drawn(*sources: dict[str, Any], **mix: Any) -> list[str]:
    common = lower_study(study(*sources, **RADIATORS, **mix), COLD)
    looks = capacity_report(common.case, COLD).options[0].sources
    return [one.circuit for one in system_of(common, common.case.options[0], looks, None).sources]


def test_a_heat_pump_outdoors_hangs_on_the_mix_and_collectors_do_not() -> None:
    assert drawn(PUMP, COLLECTOR) == ["glycol", "glycol"]
    assert drawn(PUMP, COLLECTOR, **MIX) == ["", "glycol"]


def told(key: str, *sources: dict[str, Any], **mix: Any) -> tuple[str, str]:
    common = lower_study(study(*sources, **RADIATORS, **mix), COLD)
    (one,) = (one for one in cautions_for(common, "si") if one.key == key)
    return one.short, one.text


def test_who_signs_reads_which_antifreeze_and_which_preventer() -> None:
    short, text = told("drinking_water", ELECTRIC, **MIX)
    assert "inhibited and made for heating, never a car's antifreeze" in short
    assert "backflow preventer" in short
    assert "Many local codes ask for a backflow preventer of a higher hazard class" in text
    assert "car's" not in "".join(told("drinking_water", ELECTRIC))
    poison = told("drinking_water", ELECTRIC, **MIX | {"fluid__antifreeze": "ethylene_glycol"})
    assert poison[0].startswith("Ethylene glycol: POISONOUS")


def test_a_mix_too_weak_for_what_stands_outdoors_is_told_loudly() -> None:
    """20 % by volume begins to freeze at about -7 to -8 °C; it is -10 °C."""
    weak = MIX | {"fluid__concentration": "20 vol%"}
    assert "TOO WEAK for Air-to-water heat pump" in told("freezing", PUMP, **weak)[0]
    assert "on the same mix, without an exchanger" in told("freezing", PUMP, **MIX)[0]
    assert "behind an exchanger" in told("freezing", PUMP)[0]
    warnings = " ".join(lower_study(study(PUMP, **RADIATORS, **weak), COLD).water.warnings)
    assert "Air-to-water heat pump stands outdoors on it: take a stronger mix" in warnings


def test_what_to_buy_is_counted_with_a_tenth_spare() -> None:
    """300 L at 39.11 %: 117.3 L and a tenth are 129.1 L; 182.7 L of water."""
    case = study(ELECTRIC, **RADIATORS, **MIX)
    assert fill_words(case, "si").startswith(
        "129.1 L of inhibited propylene glycol made for heating, not a car's (a tenth spare), and 182.7 L of water"
    )
    assert fill_words(study(ELECTRIC, **RADIATORS), "si") == ""
    assert antifreeze_words(case).startswith("This mix fills everything on the tank's water")
