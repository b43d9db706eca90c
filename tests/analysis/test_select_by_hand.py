"""Parts of a selection on made-up tables: gas, electricity, vessel and relief valve, and what is shown of a source of no list."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from stand_ins import Unit

from costsim.analysis import gas_line, on_service
from costsim.analysis import select as selecting
from costsim.analysis.size_steps import SizeStep
from costsim.study.ratings import USUAL_RELIEF_PA, Ratings
from costsim.study.selection import MarketSize, Selection
from costsim.units.faults import build

LISTED: dict[str, list[MarketSize]] = {
    "propane tank": [MarketSize(1.0, None, 1.0), MarketSize(2.0, 0.8, 1.0), MarketSize(3.0, 0.9, 1.0), MarketSize(4.0, 1.0, 1.0)],
    "propane regulator": [MarketSize(20e3), MarketSize(30e3)],
    "relief valve discharge": [MarketSize(9e3), MarketSize(20e3)],
    "expansion tank": [MarketSize(0.01), MarketSize(0.02)],
}  # fmt: skip
SIZES: Any = SimpleNamespace(of=lambda what: tuple(LISTED[what]))


def gas(
    monkeypatch: pytest.MonkeyPatch, *, fuel: str = "propane", output_w: float = 18e3, other_w: float = 0.0, input_w: float = 0.0,
    at_design: float = 0.9, **more: Any,
) -> Any:  # fmt: skip
    """The gas line of a unit of 90 % beside other units, where a tank boils off 10 kW for each cubic meter; and what was asked."""
    asked: dict[str, Any] = {}

    def told(name: str) -> Any:
        return lambda *given, **named: asked.setdefault(name, (given, named)) and name

    monkeypatch.setattr(gas_line, "boils_off_w", lambda one, coldest: 10e3 * one.value if coldest == -7.0 else 0.0)
    for name in ("next_pipe", "vent_category", "combustion_air", "boil_off"):
        monkeypatch.setattr(gas_line, name, told(name))
    common: Any = SimpleNamespace(coldest_c=-7.0, route=SimpleNamespace(load_w=9e3))
    source: Any = Unit(fuel_key=fuel, efficiency_share=0.9, **more)
    return gas_line.gas_line(
        common,
        SIZES,
        build(Selection, {"other_gas_input": f"{other_w} W"}),
        source,
        output_w,
        input_w or output_w / 0.9,
        at_design,
    ), asked


def test_a_gas_line_carries_the_unit_and_all_else_on_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """18 kW at 90 % take 20 kW; with 5 kW beside it 25 kW go through the pipe, and 9 kW / 0.9 + 5 kW at design load."""
    found, asked = gas(monkeypatch, other_w=5e3)
    assert (found.input_w, found.run_input_w, found.coldest_c) == (pytest.approx(20e3), pytest.approx(25e3), -7.0)
    assert (found.propane_tank_m3, found.vaporizes_w, found.regulator_w) == (3.0, 30e3, 30e3)
    assert asked["next_pipe"][1]["input_w"] == pytest.approx(25e3)
    assert asked["next_pipe"][1]["gas"] == "propane"
    assert asked["combustion_air"][1] == {"input_w": pytest.approx(20e3)}
    assert asked["vent_category"][1] == {"condensing": False, "efficiency_share": 0.9}
    assert asked["boil_off"][0][2:] == (-7.0, pytest.approx(25e3), pytest.approx(15e3), 0.9)
    _, asked = gas(monkeypatch, condensing=True)
    assert asked["vent_category"][1]["condensing"] is True


def test_a_tank_boils_off_what_is_burned_at_the_water_of_the_design_load(monkeypatch: pytest.MonkeyPatch) -> None:
    """18 kW in water in which it gives 80 % take 22.5 kW, more than 2 m³ boil off; 9 kW / 0.8 at the load; a plate of 20 kW burns no more."""
    choice, asked = gas(monkeypatch, input_w=22.5e3, at_design=0.8)
    assert (choice.input_w, choice.run_input_w, choice.regulator_w) == (22.5e3, 22.5e3, 30e3)
    assert (choice.propane_tank_m3, choice.vaporizes_w) == (3.0, 30e3)
    assert asked["boil_off"][0][2:] == (-7.0, pytest.approx(22.5e3), pytest.approx(11.25e3), 0.8)
    plate, asked = gas(monkeypatch, at_design=0.8)
    assert (plate.run_input_w, plate.propane_tank_m3) == (pytest.approx(20e3), 2.0)
    assert asked["boil_off"][0][3] == pytest.approx(20e3)
    cool, asked = gas(
        monkeypatch, at_design=0.96
    )  # 18 / 0.96 = 18.75 kW burned, though pipe and regulator are for 20 kW
    assert (cool.run_input_w, asked["boil_off"][0][3]) == (pytest.approx(20e3), pytest.approx(18.75e3))


def test_a_tank_and_a_regulator_may_be_just_large_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    found, _ = gas(monkeypatch)
    assert (found.propane_tank_m3, found.vaporizes_w, found.regulator_w) == (2.0, 20e3, 20e3)
    large, _ = gas(monkeypatch, output_w=37e3)
    assert (large.propane_tank_m3, large.vaporizes_w, large.regulator_w) == (None, None, None)
    natural, _ = gas(monkeypatch, fuel="natural_gas")
    assert (natural.propane_tank_m3, natural.vaporizes_w, natural.regulator_w) == (None, None, None)


def circuit(
    monkeypatch: pytest.MonkeyPatch,
    *,
    is_open: bool,
    output_w: float = 18e3,
    uncounted_m3: float | None = 0.05,
    **typed: Any,
) -> Any:
    """What keeps the pressure of 0.5 m³ that swells by 4 %, where EN 12828 asks for 30 L."""
    ratings = build(Ratings, typed)
    needs = SimpleNamespace(
        density_kg_m3=1000.0, open_circuit=is_open, content_m3=0.5, swell_share=0.04, uncounted_m3=uncounted_m3
    )
    monkeypatch.setattr(selecting, "needs_of", lambda common: needs)
    monkeypatch.setattr(selecting, "cold_fill_pa", lambda ratings, needs: 100.0 * needs.density_kg_m3)

    def needed(common: Any, known: Any) -> float | None:
        return 0.03 if known == ratings else None

    monkeypatch.setattr(selecting, "needed_vessel_m3", needed)
    monkeypatch.setattr(selecting, "handbook_vessel_m3", lambda ratings, needs: 0.01)
    common: Any = SimpleNamespace(case=SimpleNamespace(ratings=ratings if typed else None))
    return selecting._circuit(common, SIZES, output_w)


def test_a_vessel_and_a_relief_valve_are_the_next_ones_listed(monkeypatch: pytest.MonkeyPatch) -> None:
    closed = circuit(monkeypatch, is_open=False)
    assert (closed.open_circuit, closed.room_m3, closed.relief_pa, closed.fill_pa) == (False, 0.0, USUAL_RELIEF_PA, 1e5)
    assert closed.needed_m3 == 0.03
    assert closed.sold_m3 is None
    assert closed.handbook_m3 == 0.01
    assert (closed.discharge_needed_w, closed.relief_discharge_w) == (18e3, 20e3)
    assert circuit(monkeypatch, is_open=False, output_w=21e3).relief_discharge_w is None
    typed = circuit(monkeypatch, is_open=False, relief_pressure="4 bar")
    assert (typed.relief_pa, typed.needed_m3) == (pytest.approx(4e5), 0.03)


def test_water_of_the_units_is_typed_taken_or_not_known(monkeypatch: pytest.MonkeyPatch) -> None:
    def told(uncounted_m3: float | None, **typed: str) -> tuple[bool, bool]:
        found = circuit(monkeypatch, is_open=False, uncounted_m3=uncounted_m3, **typed)
        return found.units_counted, found.known

    assert told(0.05) == (False, True)
    assert told(None) == (False, False)
    assert told(None, extra_water_volume="1 L") == (True, True)


def test_an_open_tank_takes_what_all_of_the_water_swells_by(monkeypatch: pytest.MonkeyPatch) -> None:
    """0.5 m³, and 0.1 m³ more that the study names, by 4 %: 24 L."""
    found = circuit(monkeypatch, is_open=True, extra_water_volume="100 L")
    assert (found.open_circuit, found.room_m3, found.fill_pa) == (True, pytest.approx(0.024), 0.0)
    assert found.needed_m3 is found.sold_m3 is None
    assert circuit(monkeypatch, is_open=True).room_m3 == pytest.approx(0.02)


def step(**more: Any) -> SizeStep:
    """A size of 10 kW that was chosen."""
    return replace(SizeStep(10e3, 10e3, 9e3, 12.5e3, None, None, 0, 0.0, 0.0, 0.0, True), **more)


@pytest.mark.parametrize(
    ("rated", "found", "load_w", "entered_w"),
    [
        # heat over efficiency, of the size chosen or, where none does, of what is needed; else the year's own highest input,
        # and of what is needed the input of the hour that takes most for its heat, 2 for each unit of electricity
        (True, True, 10e3 / 0.8, 6e3 / 0.8), (True, False, 7e3 / 0.8, 6e3 / 0.8), (False, True, 12.5e3, 8.1e3), (False, False, 7e3 / 2.0, 8.1e3),
    ],
)  # fmt: skip
def test_the_load_of_an_electric_unit(
    monkeypatch: pytest.MonkeyPatch, rated: bool, found: bool, load_w: float, entered_w: float | None
) -> None:
    source: Any = Unit(
        label="Unit", kind="electric", market_list="electric boiler output", continuous_load=True, fuel_key="electricity", collects_sun=False,
        unstoppable=False, outdoors=False, nameplate_w=lambda: 6e3, makes_water=lambda _: True, volts_v=208.0, **({"efficiency_share": 0.8} if rated else {}),
    )  # fmt: skip
    # of its own size at most 24 kW of heat at 3 for each unit of electricity, and a fan of 100 W: 8.1 kW
    offer = SimpleNamespace(capacity_w=np.array([10e3, 24e3]), heat_per_input=np.array([2.0, 3.0]), auxiliary_w=100.0)
    plant = SimpleNamespace(offers=[offer])
    sized: Any = SimpleNamespace(option=SimpleNamespace(sources=[source]), study=None, plant=plant)
    chosen = step() if found else None
    monkeypatch.setattr(selecting, "sized_steps", lambda sized, sizes, number, needed: ((step(),), chosen))
    monkeypatch.setattr(on_service, "circuit_for", lambda **given: (given["load_w"], given["volts_v"]))
    choice = selecting._source(sized, SIZES, Selection(), 0, 7e3)
    assert choice.electric is not None
    assert choice.electric.circuit == (pytest.approx(load_w), 208.0)
    assert (choice.entered_w, choice.chosen, choice.gas, choice.entered_gas) == (6e3, chosen, None, None)
    assert (choice.entered_electric and choice.entered_electric.load_w) == (entered_w and pytest.approx(entered_w))
    assert (choice.electric.rated, choice.electric.service_load_a) == (rated, None)


def test_a_source_of_no_list_is_shown_as_entered() -> None:
    source: Any = Unit(
        label="Stove",
        kind="other",
        fuel_key="wood",
        sized_by="by its maker",
        nameplate_w=lambda: 8e3,
        efficiency_share=0.7,
    )
    sized: Any = SimpleNamespace(option=SimpleNamespace(sources=[source]), plant=SimpleNamespace(offers=[None]))
    found = selecting._source(sized, SIZES, Selection(), 0, 7e3)
    assert (found.needed_w, found.steps, found.chosen, found.electric, found.gas) == (7e3, (), None, None, None)
    assert (found.note, found.entered_w, found.kept) == ("by its maker", 8e3, False)
