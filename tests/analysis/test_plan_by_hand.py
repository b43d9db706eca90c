"""What a layout adds up to, worked by hand on made-up loops."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.analysis import layout as laying
from costsim.analysis.layout_plan import FluidPlan, LayoutResult, LoopPlan


def plan(
    name: str, level: str, *, supply: float, most: float = 99.0, count: int = 2, reynolds: float = 5000.0
) -> LoopPlan:
    """Like loops of a room."""
    circuit: Any = SimpleNamespace(name=name, level=level, length_m=50.0, thermostat=level)
    fed: Any = SimpleNamespace(count=count, reynolds=reynolds)
    design: Any = SimpleNamespace(supply_c=supply)
    return LoopPlan(circuit, fed, design, design, 29.0, 500.0, most, 1.0, 1.0)


def whole(*loops: LoopPlan, supply: float = 50.0) -> LayoutResult:
    """A layout of these loops."""
    fields: dict[str, Any] = dict.fromkeys(LayoutResult.__dataclass_fields__)
    return LayoutResult(**{**fields, "loops": loops, "supply_c": supply})


@pytest.mark.parametrize(
    ("reynolds", "regime"),
    [
        (2290.0, "laminar"),
        (2300.0, "between"),  # friction jumps there
        (2301.0, "between"),
        (3999.0, "between"),
        (4000.0, "turbulent"),
        (100.0, "laminar"),
        (9e4, "turbulent"),
    ],
)
def test_between_laminar_and_turbulent(reynolds: float, regime: str) -> None:
    """Critical Reynolds numbers of a tube: 2,300 and 4,000 (VDI Heat Atlas, value from memory)."""
    assert plan("a", "one", supply=40.0, reynolds=reynolds).regime == regime


def test_water_and_antifreeze_to_buy() -> None:
    """0.2 m³ at 30 %: 60 L of antifreeze and a tenth more, 140 L of water."""
    fluid = FluidPlan({"tank": 0.15, "tubes": 0.05}, "propylene_glycol", 0.3, -13.0, 0.35, -18.0)
    assert (fluid.total_m3, fluid.antifreeze_m3, fluid.water_m3) == pytest.approx((0.2, 0.066, 0.14))


def test_loops_and_tube_are_counted() -> None:
    found = whole(
        plan("a", "one", supply=50.0, count=2),
        plan("b", "two", supply=50.0, count=3),
        plan("c", "one", supply=50.0, count=1),
    )
    assert (found.loop_count, found.tube_m, found.thermostats) == (6, 300.0, ("one", "two"))


def names(found: LayoutResult) -> dict[str, list[str]]:
    """Rooms by their valve."""
    return {valve: [one.circuit.name for one in loops] for valve, loops in found.cooler.items()}


def test_what_takes_much_cooler_water_gets_a_valve_of_its_own() -> None:
    """15 °F are 8.33 K: 41.6 °C beside 50 °C takes a valve, 41.7 °C does not."""
    hot = plan("a", "one", supply=50.0)
    assert names(whole(hot, plan("b", "one", supply=41.6))) == {"b": ["b"]}
    assert names(whole(hot, plan("b", "one", supply=41.7))) == {}
    assert names(whole(hot, plan("b", "two", supply=41.6), plan("c", "two", supply=40.0))) == {"two": ["b", "c"]}
    assert names(whole(hot, plan("b", "two", supply=41.6), plan("c", "two", supply=45.0))) == {"b": ["b"]}
    # by its surface: half a kelvin less than the water is the same
    assert names(whole(hot, plan("b", "one", supply=48.0, most=49.5))) == {}
    assert names(whole(hot, plan("b", "one", supply=48.0, most=49.4))) == {"b": ["b"]}
    # a valve that all take is the system's
    assert names(whole(plan("a", "one", supply=50.0, most=49.0), plan("b", "one", supply=40.0))) == {}


@pytest.mark.parametrize(
    ("coldest_c", "needed"), [(5.0, 0.0), (-0.5, 0.01), (-40.0, 0.4), (-56.5, 0.57), (-57.5, None)]
)
def test_antifreeze_is_counted_by_whole_per_cents_up_to_57(
    coldest_c: float, needed: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a fluid whose freezing point falls by a kelvin for each per cent; 57 % is as far as the tables go."""
    monkeypatch.setattr(laying, "_freezes_c", lambda fluid, share: -100.0 * share)
    monkeypatch.setattr(laying, "contents_m3", lambda case: {"tank": 0.3})
    case: Any = SimpleNamespace(fluid=None, floor=SimpleNamespace(antifreeze="none", concentration_share=0.0))
    found = laying._fluid_plan(case, SimpleNamespace(freeze_margin_k=0.0), 0.0, coldest_c)  # type: ignore[arg-type]
    assert found.needed_share == needed
