"""Water that a layout sets against the floor's limits by hand: EN 1264-2, q = 8.92 (surface − room)^1.1."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim import load_weather
from costsim.analysis.capacity import capacity_report
from costsim.analysis.entered import entered
from costsim.analysis.layout import LayoutResult, layout
from costsim.analysis.layout_plan import valve_c
from costsim.engine.lower import lower_study
from costsim.study.case import case_from
from costsim.units.quantity import FOOT_M, GALLON_M3
from costsim.views.option_fill import option_fill_lines
from costsim.views.system import system_of
from costsim.views.text_layout import supply_note

ROOM_C = (70 - 32) / 1.8


def two_floors(bath_kw: float = 0.4, *, top: str = "150 degF", **layout_keys: str) -> dict[str, Any]:
    """An invented house of two floors whose rooms need different water."""
    down = [
        {"name": "Living", "area": "420 ft2", "heat_loss": "2.6 kW", "covering": "0.6 h ft2 degF/Btu", "distance": "10 ft"},
        {"name": "Kitchen", "area": "180 ft2", "heat_loss": "1.2 kW", "distance": "25 ft"},
        {"name": "Bath", "area": "60 ft2", "heat_loss": f"{bath_kw} kW", "distance": "30 ft", "spacing": "6 in"},
    ]  # fmt: skip
    up = [
        {"name": "Bed 1", "area": "290 ft2", "heat_loss": "1.8 kW", "covering": "1.2 h ft2 degF/Btu"},
        {"name": "Bed 2", "area": "290 ft2", "heat_loss": "1.8 kW"},
    ]
    return {
        "title": "Two floors",
        "place": {"weather": "greensboro.csv", "design_outdoor": "15 degF"},
        "house": {
            "floor_area": "1240 ft2", "design_heat_loss": "8 kW", "indoor_temperature": "70 degF", "balance_point": "62 degF",
        },
        "floor": {
            "build_up": "screed_65",
            "layout": {
                "tube": "1/2 in PEX",
                "spacing": "12 in",
                "longest_loop": "300 ft",
                "mains_tube": "1 in PEX",
                "level": [
                    {"name": "Down", "distance": "15 ft", "mains": "25 ft", "room": down},
                    {"name": "Up", "distance": "20 ft", "rise": "9 ft", "mains": "35 ft", "room": up},
                ],
                **layout_keys,
            },
        },
        "tank": {"volume": "50 gal", "max_temperature": top},
        "prices": {"electricity": {"energy": "0.14 $/kWh"}},
        "option": [{"name": "E", "source": [{"kind": "electric", "output": "12 kW"}]}],
    }  # fmt: skip


def found(data: dict[str, Any]) -> LayoutResult:
    case = case_from(data)
    return layout(case, load_weather(case))


@pytest.mark.parametrize("keys", [{"max_supply": "38 degC"}, {"top": "38 degC"}])
def test_no_valve_is_set_hotter_than_the_floor_or_the_tank_may_be(keys: dict[str, str]) -> None:
    """Living needs 45 degC and more; with 38 allowed every page says 38, and the rooms are told short."""
    case = case_from(two_floors(**keys))
    weather = load_weather(case)
    result, common = layout(case, weather), lower_study(case, weather)
    assert "Down: Living" in [one.circuit for one in result.unserved]
    assert max(plan.design.supply_c for plan in result.loops) > 45
    assert [result.supply_c, result.year_supply_c, result.tank_c] == pytest.approx([38, 38, 38])
    assert "for 38 °C:" in supply_note(result, "si")
    capacity = capacity_report(case, weather)
    assert capacity.design_supply_temperature_c == pytest.approx(38)
    drawn = system_of(common, case.option[0], capacity.options[0].sources, result)
    assert drawn.supply_c == pytest.approx(38)
    assert drawn.limit_c is not None
    assert drawn.limit_c < 38 + 1e-9 or "top" in keys


def test_a_valve_is_set_no_hotter_than_its_surface_bears() -> None:
    """Bath: 60 ft2 at 29 degC over 21.1 degC give 8.92 × 7.89^1.1 × 5.574 m2 = 482 W of 600 W; the valve gives no more."""
    case = case_from(two_floors(bath_kw=0.6))
    weather = load_weather(case)
    result = layout(case, weather)
    most_w = 8.92 * (29 - ROOM_C) ** 1.1 * 60 * FOOT_M**2
    bath = result.cooler["Down: Bath"]
    own_c = valve_c(bath)
    by_hand = bath[0].design.load_w / (bath[0].design.supply_c - ROOM_C) * (own_c - ROOM_C)
    assert most_w == pytest.approx(482, abs=1)
    assert by_hand == pytest.approx(most_w, rel=0.01)
    drawn = system_of(
        lower_study(case, weather), case.option[0], capacity_report(case, weather).options[0].sources, result
    )
    assert all(one.limit_c is not None and one.water_c <= one.limit_c for one in drawn.valves)
    text = supply_note(result, "si")
    assert f"Down: Bath takes a mixing valve of its own, set for {own_c:.0f} °C" in text
    assert "warmer than the 29 °C it may have" in text
    assert "gives 0.48 kW of the 0.60 kW asked" in text


def test_the_one_room_of_a_floor_is_not_sent_more_than_its_surface_bears() -> None:
    """5.574 m2 bear 482 W: a load of 600 W is short, and the main valve stays at the water that gives them."""
    data = two_floors()
    bath = data["floor"]["layout"]["level"][0]["room"][2] | {"heat_loss": "0.6 kW"}
    data["floor"]["layout"]["level"] = [{"name": "Down", "distance": "15 ft", "room": [bath]}]
    data["house"] |= {"floor_area": "60 ft2", "design_heat_loss": "0.6 kW"}
    result = found(data)
    one = result.loops[0]
    assert not result.cooler
    assert 600 / (one.design.supply_c - ROOM_C) * (result.supply_c - ROOM_C) == pytest.approx(482, abs=2)
    assert result.year_supply_c == pytest.approx(result.supply_c)


def test_loops_of_other_water_have_pumps_of_their_own() -> None:
    """Two like rooms of three like loops would be three pumps of two, one of them mixed; apart they take four, in list and drawing."""
    data = two_floors()
    room = {"area": "540 ft2", "heat_loss": "3 kW", "spacing": "12 in"}
    rooms = [room | {"name": "Carpet", "covering": "1.2 h ft2 degF/Btu"}, room | {"name": "Bare"}]
    data["floor"]["layout"]["level"] = [{"name": "Down", "distance": "20 ft", "room": rooms}]
    data["house"] |= {"floor_area": "1080 ft2", "design_heat_loss": "6 kW"}
    case = case_from(data)
    weather = load_weather(case)
    result = layout(case, weather)
    assert [one.count for one in dict.fromkeys(plan.circuit for plan in result.loops)] == [3, 3]
    assert list(result.cooler) == ["Down: Bare"]
    assert sorted(pump.loops for pump in result.pumps) == [(0,), (0, 0), (1,), (1, 1)]
    drawn = system_of(
        lower_study(case, weather), case.option[0], capacity_report(case, weather).options[0].sources, result
    )
    assert [(zone.loops, zone.pumps) for zone in drawn.zones] == [(3, 2), (3, 2)]
    for at, zone in enumerate(drawn.zones):
        flow = sum(pump.flow_m3_s for pump in result.pumps if at in pump.loops)
        assert zone.flow_m3_s == pytest.approx(flow)
    year = lower_study(case, weather).water
    assert [check.count for check in year.loops] == [plan.fed.count for plan in result.loops]


def test_each_option_is_filled_with_its_own_tank() -> None:
    """1/2 in PEX holds 0.0092 gal/ft (0.485 in bore): tubes and mains are what is left beside the study's 50 gal tank, which one has."""
    data = two_floors()
    plain = data["option"][0]
    data["option"] = [
        plain | {"name": "Today", "no_tank": True},
        plain,
        plain | {"name": "Own", "tank": {"volume": "20 gal"}},
    ]
    case = case_from(data)
    weather = load_weather(case)
    common = lower_study(case, weather)
    content = layout(case, weather).fluid.content_m3
    rest = (content["tubes"] + content["mains"]) / GALLON_M3
    assert content["tank"] / GALLON_M3 == pytest.approx(50)
    assert content["tubes"] / GALLON_M3 == pytest.approx(0.0092 * layout(case, weather).tube_m / FOOT_M, rel=0.03)
    told = [option_fill_lines(entered(common, weather, option), "us") for option in case.options]
    for lines, tank, whose in zip(
        told,
        (0.0, 50.0, 20.0),
        ("without a tank:", "with its tank of 50.0 gal:", "with its tank of 20.0 gal:"),
        strict=True,
    ):
        assert lines[0].endswith(whose)
        assert f"Fill: {rest + tank:,.0f} gal (" in lines[1]
        assert lines[-1].startswith("Expansion tank: ")
        assert any(line.startswith("Tank connections") for line in lines) is (tank > 0)
    # the rest of what the list of material says is of the same option
    assert [lines[0].split(",")[0] for lines in told] == ["For Today", f"For {plain['name']}", "For Own"]


def test_what_a_room_gives_at_the_hottest_supply_falls_with_water_over_room() -> None:
    """Living at 38 degC: what it gives falls with water over room, 2,600 W × (38 − room) / (needed − room)."""
    result = found(two_floors(max_supply="38 degC"))
    living = next(plan for plan in result.loops if plan.circuit.rooms == ("Living",))
    per_k = 1300 / (living.design.supply_c - ROOM_C)
    assert living.output_w == pytest.approx(per_k * (38 - ROOM_C), rel=1e-6)


@pytest.mark.parametrize(
    ("most_c", "told"),
    [
        (39.6, "Bath needs only 30 °C, much less than 40 °C: it takes a mixing valve of its own, set for 30 °C."),
        (
            39.4,
            "Bath takes a mixing valve of its own, set for 30 °C: with 40 °C its floor could get warmer than the 29 °C it may have"
            " wherever its thermostat does not stop it.",
        ),
        (
            28.0,
            "Bath takes a mixing valve of its own, set for 28 °C: with 40 °C its floor could get warmer than the 29 °C it may have"
            " wherever its thermostat does not stop it; it then gives 0.80 kW of the 1.00 kW asked.",
        ),
    ],
)
def test_a_valve_of_its_own_is_told_with_its_reason(most_c: float, told: str) -> None:
    """Two loops of 500 W at 30 degC beside water of 40 degC; 400 W each where the surface stops them before that."""
    bath: Any = SimpleNamespace(
        design=SimpleNamespace(supply_c=30.0, load_w=500.0), fed=SimpleNamespace(count=2), output_w=400.0, most_c=most_c, limit_c=29.0,
    )  # fmt: skip
    water: Any = SimpleNamespace(
        supply_c=40.0, year_supply_c=40.0, tank_c=40.0, beside=(), cooler={"Bath": [bath]}, loops=[bath], fires=(),
    )  # fmt: skip
    assert supply_note(water, "si").endswith(told)
