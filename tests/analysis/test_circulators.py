"""Flow and head of circulators against a pencil."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from cases import constant_weather, study

from costsim.analysis.circulators import PumpDuty, room_pumps, run_head_pa, source_pumps
from costsim.engine.lower import lower_study
from costsim.physics.fluids import mixed
from costsim.physics.hydraulics import COPPER
from costsim.study.selection import Selection
from costsim.units.faults import build
from costsim.units.table import FOOT_M, GALLON_M3
from costsim.views.text_circulators import head_lines, pump_rows, source_pump_lines

GPM, FOOT_OF_WATER_PA = GALLON_M3 / 60.0, 2989.07
OIL = {"kind": "oil", "output": "85 kBtu/h", "efficiency": "84 %"}
WEATHER = constant_weather(-5.0)


def pumps_of(**house: Any) -> tuple[PumpDuty, ...]:
    case = study(OIL, **house)
    return room_pumps(case, WEATHER, lower_study(case, WEATHER))


@pytest.mark.parametrize(
    ("pipe", "gallons"),
    [("1/2 in copper", 0.01319), ("3/4 in copper", 0.02685), ("1 in copper", 0.0454), ("1 1/4 in copper", 0.06804)],
)
def test_copper_holds_what_a_trade_table_says(pipe: str, gallons: float) -> None:
    """Gallons a foot of a trade column's table (pmengineer.com, sizing diaphragm-type expansion tanks), read."""
    assert COPPER[pipe].area_m2 * FOOT_M / GALLON_M3 == pytest.approx(gallons, rel=2e-3)


def test_baseboards_of_a_whole_house_have_a_pump_by_their_load() -> None:
    """6 kW over 983.2 kg/m3 × 4.185 kJ/(kg K) × 10 K: 0.1458 L/s."""
    (pump,) = pumps_of(house__emitter="baseboard")
    assert pump.flow_m3_s == pytest.approx(6000.0 / (983.2 * 4185.0 * 10.0), rel=1e-3)
    assert (pump.name, pump.count, pump.head_pa, pump.drop_k, pump.load_share) == ("baseboard", 1, None, 10.0, 1.0)
    assert pumps_of(house__emitter="radiant_floor") == ()


def test_baseboards_beside_a_floor_carry_their_share() -> None:
    loops = [{"count": 4, "length": "50 m", "tube": "16x2", "flow": "2 L/min"}]
    zone = [{"name": "Up", "load": "60 %", "emitter": "baseboard"}]
    floor, up = pumps_of(floor__loops=loops, house__zone=zone)
    assert (floor.drop_k, floor.load_share) == (None, None)
    assert floor.head_pa is not None
    assert (up.name, up.head_pa, up.load_share) == ("Up, baseboard", None, pytest.approx(0.6))
    assert up.flow_m3_s == pytest.approx(0.6 * 6000.0 / (983.2 * 4185.0 * 10.0), rel=1e-3)
    # half of the house on a floor that is not described has no flow to tell
    (alone,) = pumps_of(house__emitter="radiant_floor", house__zone=zone)
    assert alone.name == "Up, baseboard"


def test_the_head_of_a_run_by_blasius() -> None:
    """150 ft of 3/4 in copper, 0.811 in inside, at 3.2 gpm and 60 °C: v = 0.606 m/s, Re = 0.606 × 0.0206 × 983 / 4.66e-4 = 26,300.

    f = 0.316/Re^0.25 = 0.0248 (Blasius), f L/D ρ v²/2 = 0.0248 × 45.72/0.0206 × 983 × 0.606²/2 = 9.94 kPa, 3.3 ft. A trade formula,
    0.0475 × 0.062 × 150 × 3.2^1.75 = 3.4 ft (value from memory), says the same.
    """
    typed = build(Selection, {"run_length": "150 ft"})
    head = run_head_pa(typed, 3.2 * GPM, mixed("none", 0.0, 60.0))
    assert head == pytest.approx(9.94e3, rel=0.04)
    assert head / FOOT_OF_WATER_PA == pytest.approx(3.4, rel=0.06)
    assert run_head_pa(Selection(), 3.2 * GPM, mixed("none", 0.0, 60.0)) is None
    (pump,) = pumps_of(house__emitter="baseboard", selection__run_length="150 ft", selection__run_pipe="1/2 in copper")
    own = build(Selection, {"run_length": "150 ft", "run_pipe": "1/2 in copper"})
    assert pump.head_pa == pytest.approx(run_head_pa(own, pump.flow_m3_s or 0.0, mixed("none", 0.0, 60.0)))


def test_pumps_of_sources_by_their_heat_or_as_typed() -> None:
    """24.9 kW over 4.114 MJ/(m3 K): 10 K take 0.605 L/s, 9.6 gpm; a heat pump of 12 kW at 5 K 0.583 L/s; a fire's manual says it."""
    pump = {"kind": "heat_pump", "outdoor": ["-10 degC", "10 degC"], "outputs": ["12 kW", "12 kW"]}
    wood = {"kind": "wood", "output": "25 kW", "burn_time": "5 h", "load_times": ["07:00"], "efficiency": "60 %"}
    case = study(OIL, pump, wood, tank__volume="1500 L", tank__max_temperature="80 degC")
    oil, lifted, fire = source_pumps(case, case.options[0])
    assert oil.flow_m3_s == pytest.approx(24.91e3 / (4.1146e6 * 10.0), rel=2e-3)
    assert lifted.flow_m3_s == pytest.approx(12e3 / (4.1146e6 * 5.0), rel=2e-3)
    assert (oil.head_pa, oil.drop_k, lifted.drop_k) == (None, 10.0, 5.0)
    assert (fire.flow_m3_s, fire.head_pa) == (None, None)
    typed = {"kind": "gas", "fuel": "propane", "output": "20 kW", "efficiency": "90 %", "flow": "4 gpm"}
    small = study(typed)
    (own,) = source_pumps(small, small.options[0])
    assert (own.flow_m3_s, own.drop_k) == (pytest.approx(4 * GPM), None)
    lines = list(source_pump_lines((oil, fire, own), "us"))
    assert lines[0].startswith("Circulator of Oil boiler, where none is built in: 9.6 gpm, its heat at a drop of 18 °F")
    assert lines[1] == "Circulator of Wood boiler, where none is built in: flow and head by its manual."
    assert "4.0 gpm, as typed; head: the unit's pressure drop" in lines[2]


def test_the_head_of_a_source_is_the_drop_of_its_circuit_at_its_flow() -> None:
    """12 kW at 5 K take 0.583 L/s. A sheet's 20 kPa at 30 L/min, 0.5 L/s, are 20 × (0.583 / 0.5)² = 27.2 kPa there, 9.1 ft of water."""
    pump = {
        "kind": "heat_pump",
        "outdoor": ["-10 degC", "10 degC"],
        "outputs": ["12 kW", "12 kW"],
        "circuit_head": "20 kPa",
    }
    oil, sun = {**OIL, "circuit_head": "8 ftH2O"}, {"kind": "solar", "area": "6 m2", "circuit_head": "15 kPa"}
    case = study(
        oil, {**pump, "circuit_head_flow": "30 L/min"}, {**sun, "circuit_head_flow": "5 L/min"}, tank__volume="500 L"
    )
    boiler, lifted, collector = source_pumps(case, case.options[0])
    assert lifted.head_pa == pytest.approx(20e3 * (0.5833 / 0.5) ** 2, rel=4e-3)
    assert boiler.head_pa == pytest.approx(8 * FOOT_OF_WATER_PA, rel=1e-5)
    assert (collector.flow_m3_s, collector.head_pa) == (pytest.approx(5e-3 / 60), pytest.approx(15e3))
    line, _, roof = source_pump_lines((lifted, boiler, collector), "us")
    assert "; head 9.1 ft of head, the drop of its circuit as typed, by the square of the flow." in line
    assert "1.3 gpm, as typed; head 5.0 ft" in roof
    (bare,) = source_pumps(case, study(sun, tank__volume="500 L").options[0])
    assert next(iter(source_pump_lines((bare,), "si"))).endswith("flow by its manual; head 15.0 kPa.")


def test_a_head_that_is_not_known_says_what_to_type() -> None:
    floor = PumpDuty("Down", 2, 1e-4, 2e4)
    base = PumpDuty("Up, baseboard", 1, 2e-4, None, 10.0, 0.6)
    assert pump_rows((floor, base), "si")[1] == [
        ["Down", "2", "6.00", "20.0"],
        ["Up, baseboard", "1", "12.00", "not known"],
    ]
    (line,) = head_lines((floor, base))
    assert "type “Longest run of baseboards or radiators” and its pipe" in line
    (line,) = head_lines((floor, replace(base, head_pa=9e3)))
    assert line.startswith("Head: of baseboards or radiators all flow through the longest run typed")
    assert head_lines((floor,)) == []
