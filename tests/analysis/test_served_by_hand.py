"""What serves a room, a house or an option that lacks something: each search on a made-up answer."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import Any

import pytest
from cases import constant_weather, study
from stand_ins import Unit

from costsim.analysis import addition, layout, left_out
from costsim.analysis.layout_plan import LoopPlan, Remedy
from costsim.analysis.needs import needs_of
from costsim.analysis.price_costs import OptionCosts
from costsim.analysis.scenarios import in_winter, shift_for_share
from costsim.analysis.sizing import _circuit
from costsim.engine.lower import lower_study
from costsim.study.case import case_from
from costsim.units.quantity import INCH_M

ELECTRIC = {"kind": "electric", "output": "20 kW"}


@dataclass(frozen=True)
class Loop:
    """Like loops of a room."""

    name: str = "a"
    level: str = "l"
    count: int = 2
    spacing_m: float = 12 * INCH_M
    covering_m2k_w: float = 0.1
    area_m2: float = 20.0
    length_m: float = 60.0
    rooms: tuple[str, ...] = ("a",)

    def fewest(self, longest_m: float) -> int:
        """Loops it takes."""
        return round(longest_m / 100 + 12 * INCH_M / self.spacing_m)


def plan(
    *,
    supply: float = 40.0,
    surface: float = 25.0,
    drop: float = 5.0,
    flow: float = 1e-5,
    pumped: int = 1,
    name: str = "a",
) -> LoopPlan:
    """A loop with what it needs at design: 500 W each."""
    circuit: Any = Loop(name=name)
    fed: Any = SimpleNamespace(flow_m3_s=flow, loops_per_pump=pumped, count=2)
    design: Any = SimpleNamespace(supply_c=supply, surface_c=surface, drop_k=drop, load_w=500.0)
    return LoopPlan(circuit, fed, design, design, 29.0, 500.0, 60.0, 1.0, 1.0)


def ground(*speeds: float) -> Any:
    """Floor, layout and pump of 50 °C and 10 K."""
    return SimpleNamespace(
        max_supply_c=50.0,
        layout=SimpleNamespace(temperature_drop_k=10.0, speed_shares=speeds or (0.6, 1.0), longest_m=100.0),
    )


@pytest.mark.parametrize(
    ("given", "why"),
    [
        ({}, None), ({"supply": 50.0, "surface": 29.05, "drop": 10.0}, None), ({"supply": 50.1}, "supply"), ({"drop": 10.1}, "drop"),
        ({"surface": 29.1}, "surface"), ({"supply": 60.0, "flow": 0.9e-7}, "flow"), ({"supply": 60.0, "flow": 1e-7}, "supply"),
        ({"supply": 60.0, "surface": 30.0}, "surface"), ({"supply": 60.0, "drop": 12.0}, "supply"),
    ],
)  # fmt: skip
def test_why_a_room_is_not_served(monkeypatch: pytest.MonkeyPatch, given: dict[str, float], why: str | None) -> None:
    monkeypatch.setattr(layout, "most_w", lambda *rest: 400.0)
    monkeypatch.setattr(layout, "_remedies", lambda *rest: [Remedy("more")])
    found = layout._unserved(ground(), [plan(**given)], {"l": 0.0})  # type: ignore[arg-type]
    if why is None:
        assert found == ()
        return
    [one] = found
    # two loops lack 100 W each
    assert (one.circuit, one.why, one.missing_w) == ("a", why, 200.0)
    ways = [way.what for way in one.remedies]
    first = {"flow": ["wider or shorter mains, or a pump of more head"], "surface": []}.get(why, ["more"])
    assert ways == [*first, "a panel or another emitter that gives"]


def test_a_room_is_told_once_and_half_a_watt_asks_for_no_panel(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(layout, "_remedies", lambda *rest: [])
    short = plan(supply=60.0)
    for able, panels in ((499.75, 0), (499.7, 1), (600.0, 0)):
        monkeypatch.setattr(layout, "most_w", lambda *rest, able=able: able)
        [one] = layout._unserved(ground(), [short, short], {"l": 0.0})
        assert len(one.remedies) == panels
    two = layout._unserved(ground(), [short, plan(supply=60.0, name="b")], {"l": 0.0})
    assert [one.circuit for one in two] == ["a", "b"]


def remedies(
    monkeypatch: pytest.MonkeyPatch, does: Any, *, speeds: tuple[float, ...] = (0.6, 1.0), pumped: int = 1, **room: Any
) -> list[Remedy]:
    """Remedies where a room is served as `does` says of a loop and a speed."""

    def run(ground: Any, circuits: Any, each: Any, which: Any, speed: float, lift: float) -> Any:
        assert each == [500.0 * room.get("count", 2) / circuits[0].count]
        return SimpleNamespace(serves=does(circuits[0], speed))

    monkeypatch.setattr(layout, "run_pump", run)
    short = plan(supply=60.0, pumped=pumped)
    short = replace(short, circuit=replace(short.circuit, **room))
    return layout._remedies(ground(*speeds), short, 0.0)


def test_each_remedy_is_tried_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    def told(does: Any, **more: Any) -> list[tuple[str, float | None]]:
        return [(one.what, one.value) for one in remedies(monkeypatch, does, **more)]

    bare = {"covering_m2k_w": 0.0}
    assert told(lambda loop, speed: False) == []
    alone = ("one loop on each pump", None)
    assert alone in told(lambda loop, speed: True, pumped=2)
    assert alone not in told(lambda loop, speed: True, pumped=1)
    # full speed helps where the pump has none faster
    assert ("a pump speed of", 1.0) in told(lambda loop, speed: speed == 1.0, speeds=(0.6, 0.8))
    assert told(lambda loop, speed: speed > 1.0, speeds=(0.6, 1.0)) == []
    assert "a pump speed of" not in [what for what, _ in told(lambda loop, speed: True, speeds=(0.6, 1.0))]
    for more, loops in ((1, "1 more loop"), (2, "2 more loops"), (3, "3 more loops")):
        words = f"{loops}, each shorter"
        assert told(lambda loop, speed, more=more: loop.count >= 2 + more and loop.spacing_m > 11 * INCH_M, **bare) == [
            (words, None)
        ]
    assert told(lambda loop, speed: loop.count >= 6 and loop.spacing_m > 11 * INCH_M, **bare) == []
    for inch in (10, 9, 8, 6, 4):
        [(words, spacing)] = told(lambda loop, speed, inch=inch: loop.spacing_m <= (inch + 0.1) * INCH_M, **bare)
        assert (words, spacing) == (f"{round(1 + 12 / inch)} loops at a spacing of", inch * INCH_M)
    # no wider than it is laid, and not the same
    assert (
        told(lambda loop, speed: loop.spacing_m <= 9.1 * INCH_M and loop.count != 2, spacing_m=8 * INCH_M, **bare)[-1][
            1
        ]
        == 6 * INCH_M
    )
    few = told(
        lambda loop, speed: loop.spacing_m <= 8.1 * INCH_M and loop.count > 1, spacing_m=8 * INCH_M, count=1, **bare
    )
    assert few == [("1 more loop, each shorter", None), ("3 loops at a spacing of", 6 * INCH_M)]
    # the thickest covering that does, by halving 0.1 m² K/W twenty times
    [(words, value)] = told(lambda loop, speed: loop.covering_m2k_w <= 0.03)
    assert words == "a covering of no more than"
    assert value == pytest.approx(0.03, abs=0.1 / 2**19)
    assert value <= 0.03


def noted(loops: Any, loads_w: Any, design_w: float) -> tuple[str, ...]:
    """Notes on loops of levels of which no number of loops is entered."""
    plan: Any = SimpleNamespace(level=[], longest_m=100.0)
    return layout._notes(study(ELECTRIC), plan, loops, loads_w, design_w)


def test_connections_at_the_tank_are_two_for_a_level_on_mains_or_for_each_pump() -> None:
    layout_of: Any = SimpleNamespace(
        level=[SimpleNamespace(name="a", mains_m=5.0), SimpleNamespace(name="b", mains_m=0.0)]
    )
    pumps: Any = [SimpleNamespace(level=level) for level in "aabbb"]
    assert layout._tappings(layout_of, pumps) == 2 + 6


@pytest.mark.parametrize(
    ("loads", "area", "told"),
    [((3300.0, 3300.0), 50.0, ()), ((3310.0, 3310.0), 50.0, ("add up to 110%",)), ((2690.0, 2690.0), 50.0, ("add up to 90%",)),
     ((3e3, 3e3), 50.05, ()), ((3e3, 3e3), 50.1, ("covers 100% of the heated floor",))],
)  # fmt: skip
def test_notes_on_a_layout_begin_beyond_their_limits(loads: Any, area: float, told: tuple[str, ...]) -> None:
    """6 kW by the house, a tenth more or less is allowed; 100 m², and a thousandth."""
    loops: Any = [Loop(area_m2=area), Loop(area_m2=area)]
    notes = noted(loops, loads, 6e3)
    assert len(notes) == len(told)
    assert all(words in note for words, note in zip(told, notes, strict=True))


def test_loops_that_differ_and_rooms_that_share_are_noted() -> None:
    loads = (3e3, 3e3)
    near: Any = [Loop(length_m=100.0, area_m2=1.0), Loop(length_m=90.0, area_m2=1.0)]
    assert noted(near, loads, 6e3) == ()
    far: Any = [
        Loop(length_m=100.0, area_m2=1.0),
        Loop(length_m=89.9, area_m2=1.0),
        Loop(level="m", length_m=10.0, area_m2=1.0),
    ]
    [note] = noted(far, (3e3, 3e3, 0.0), 6e3)
    assert note.startswith("l: loops differ in length by 10 %")
    shared: Any = [Loop(rooms=("a", "b"), name="l: a + b", area_m2=1.0), Loop(area_m2=1.0)]
    assert noted(shared, loads, 6e3) == ("small rooms share loops: l: a + b",)


def test_loops_that_were_counted_and_do_not_do_are_noted() -> None:
    """A loop may be 100 m long, rounding aside, and no more are laid than were entered."""

    def typed(length: float, loops: int | None, count: int = 2) -> tuple[str, ...]:
        plan: Any = SimpleNamespace(level=[SimpleNamespace(name="l", loops=loops)], longest_m=100.0)
        one: Any = Loop(length_m=length, count=count, area_m2=1.0)
        return layout._notes(study(ELECTRIC), plan, [one], [6e3], 6e3)

    assert typed(100.05, 2) == typed(200.0, None) == typed(90.0, 2) == typed(90.0, 3) == ()
    assert len(typed(100.052, 2)) == 1
    [long] = typed(100.1, 2)
    assert long.startswith("l: the longest of the 2 loops is 100 m")
    assert long.endswith("2 loops keep to it")
    [many] = typed(90.0, 1)
    assert many == "l: 2 loops, one for each room, are more than the 1 entered"


# an addition, an option left out


@pytest.mark.parametrize(("beside", "needed"), [(4e3, 2e3), (6e3, 0.0), (9e3, 0.0), (5999.5, 0.5)])
def test_an_addition_carries_what_the_others_leave(
    monkeypatch: pytest.MonkeyPatch, beside: float, needed: float
) -> None:
    case = study(ELECTRIC, {**ELECTRIC, "output": "3 kW"})
    asked: list[tuple[int, float]] = []
    monkeypatch.setattr(addition, "capacity_report", lambda case, weather: SimpleNamespace(options=["capacity"]))
    monkeypatch.setattr(
        addition, "beside_w", lambda option, capacity, number: beside if (capacity, number) == ("capacity", 1) else -1.0
    )
    monkeypatch.setattr(
        addition,
        "SizedOption",
        lambda case, weather, at: SimpleNamespace(study=SimpleNamespace(route=SimpleNamespace(load_w=6e3))),
    )
    monkeypatch.setattr(addition, "smallest_step", lambda sized, sizes, number, load: asked.append((number, load)))
    addition.smallest_addition(case, constant_weather(0.0), option="one")
    assert asked == [(1, needed)]


def result(*options: tuple[str, float, int]) -> Any:
    """Costs and unmet hours of options of which ten hours are allowed."""
    return SimpleNamespace(
        options=[
            SimpleNamespace(name=name, cost_total=cost, unmet=SimpleNamespace(hours=hours), keeps_warm=hours <= 10)
            for name, cost, hours in options
        ],
        lowered=SimpleNamespace(case=SimpleNamespace(today=None, economics=SimpleNamespace(study_period=20))),
        told={},
    )


@pytest.fixture
def without_years(monkeypatch: pytest.MonkeyPatch) -> None:
    """No first cost is known, so that nothing is told over the years."""
    monkeypatch.setattr(left_out, "over_years", lambda *rest: SimpleNamespace(order=()))


@pytest.mark.usefixtures("without_years")
def test_what_would_close_an_option_that_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    gas = {"kind": "gas", "output": "8 kW", "efficiency": "90 %"}
    case = study(ELECTRIC, gas, {**ELECTRIC, "backup_only": True, "output": "2 kW"})
    case = case.model_copy(update={"option": (case.options[0], case.options[0].model_copy(update={"name": "warm"}))})
    asked: list[tuple[int, int]] = []

    def smallest(case: Any, weather: Any, *, option: str, what: str, source: int, hours: int = 0) -> Any:
        asked.append((source, hours))
        return SimpleNamespace(value=9e3 if hours else None, today=2e3, cost=70.0, present_cost=700.0)

    monkeypatch.setattr(left_out, "smallest", smallest)
    given = result(("one", 60.0, 20), ("warm", 90.0, 0))
    found = left_out.left_out(case, constant_weather(0.0), given)
    assert found is not None
    assert (found.cheaper.cold.name, found.cheaper.cold.unmet.hours, found.cheaper.best.name) == ("one", 20, "warm")
    [cheaper] = left_out.cheaper_cold(given)
    assert (cheaper.year, cheaper.over) == ((60.0, 90.0), None)
    # the backup, with the hours that are borne; asked once for a result
    borne = case.house.max_unmet_hours
    assert borne > 0
    assert found.enough == left_out.Enough("Electric boiler", True, False, 2e3, 9e3, borne, 70.0, 700.0)
    assert left_out.left_out(case, constant_weather(0.0), given) == found
    assert (asked, found.stops_c) == ([(2, borne)], None)
    assert left_out.left_out(case, constant_weather(0.0), result(("one", 60.0, 0), ("warm", 90.0, 0))) is None
    # without a backup the last whose output is typed
    asked.clear()
    plain = study(ELECTRIC, gas)
    plain = plain.model_copy(
        update={"option": (plain.options[0], plain.options[0].model_copy(update={"name": "warm"}))}
    )
    burner = left_out.left_out(plain, constant_weather(0.0), result(("one", 60.0, 20), ("warm", 90.0, 0)))
    assert burner is not None
    assert burner.enough is not None
    assert (asked[0], burner.enough.electric) == ((1, borne), False)
    fire = {"kind": "wood", "charge": "20 kg", "burn_time": "4 h", "load_times": ["07:00"], "efficiency": "60 %"}
    none = study(fire, tank__volume="500 L")
    none = none.model_copy(update={"option": (none.options[0], none.options[0].model_copy(update={"name": "warm"}))})
    bare = left_out.left_out(none, constant_weather(0.0), result(("one", 60.0, 20), ("warm", 90.0, 0)))
    assert bare is not None
    assert bare.enough is None


@pytest.mark.usefixtures("without_years")
def test_a_heat_pump_that_stops_in_the_cold_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(left_out, "can_size", lambda case, option, what: [])
    given = result(("one", 60.0, 20), ("warm", 90.0, 0))
    for typed, coldest, told in ((None, -40.0, True), ("-15 degC", -40.0, False), (None, 5.0, False)):
        pump = {
            "kind": "heat_pump",
            "outdoor": ["-10 degC", "10 degC"],
            "outputs": ["9 kW", "14 kW"],
            **({"cut_out": typed} if typed else {}),
        }
        case = study(pump)
        case = case.model_copy(
            update={"option": (case.options[0], case.options[0].model_copy(update={"name": "warm"}))}
        )
        limit = case.options[0].sources[0].cut_out_c  # type: ignore[attr-defined]
        found = left_out.left_out(case, constant_weather(coldest), given)
        assert found is not None
        assert found.stops_c == (limit if told and limit is not None and coldest < limit else None)


# what a case asks for


def test_needs_of_a_study_are_those_of_its_own_tank_and_largest_option() -> None:
    loops = [{"count": 4, "length": "50 m", "tube": "16x2", "flow": "2 L/min"}]
    pump = {"flows": ["0 L/min", "20 L/min", "40 L/min"], "heads": ["60 kPa", "50 kPa", "20 kPa"]}
    data = dict(study(ELECTRIC, {**ELECTRIC, "output": "5 kW"}, tank__volume="300 L", tank__circuit="open", ratings__extra_water_volume="40 L",
                      floor__loops=[{key: value for key, value in loops[0].items() if key != "flow"}],
                      floor__pump=pump, floor__antifreeze="propylene_glycol", floor__concentration="30 vol%").typed)  # fmt: skip
    data["option"].append({"name": "small", "source": [ELECTRIC], "tank": {"volume": "100 L"}})
    case = case_from(data)
    common = lower_study(case, constant_weather(-3.0))
    whole, small = needs_of(common), needs_of(common, case.options[1])
    assert (whole.source_w, small.source_w) == (25e3, 20e3)
    assert (whole.antifreeze, whole.floor, whole.tank, whole.open_circuit, small.open_circuit) == (
        True,
        True,
        True,
        True,
        False,
    )
    # the house's design night is colder than this year
    assert (whole.coldest_c, whole.pump_head_pa) == (common.design_outdoor_c, 60e3)
    assert common.design_outdoor_c == -10.0
    colder = lower_study(case, constant_weather(-12.0))
    assert needs_of(colder).coldest_c == -12.0
    # the units' own water is counted elsewhere
    assert whole.content_m3 - small.content_m3 == pytest.approx(0.2)
    bare = needs_of(lower_study(study(ELECTRIC), constant_weather(5.0)))
    assert (bare.antifreeze, bare.floor, bare.tank, bare.open_circuit, bare.pump_head_pa, bare.content_m3) == (
        False,
        False,
        False,
        False,
        0.0,
        0.0,
    )
    water = needs_of(lower_study(study(ELECTRIC, floor__loops=loops), constant_weather(5.0)))
    assert (water.antifreeze, water.floor) == (False, True)


@pytest.mark.parametrize(
    ("pump_w", "offers", "pays"),
    [(0.0, (0.0, 0.0), False), (1.0, (0.0, 0.0), True), (0.0, (0.5, 0.0), True), (0.0, (0.0, 0.01), True)],
)
def test_electricity_is_paid_where_pumps_or_fans_take_it(
    pump_w: float, offers: tuple[float, float], pays: bool
) -> None:
    one: Any = SimpleNamespace(auxiliary_w=offers[0], auxiliary_share=offers[1])
    costs: Any = SimpleNamespace(
        option=SimpleNamespace(price_keys=lambda prices: ["natural_gas"]),
        plant=SimpleNamespace(offers=(one,)),
        own=SimpleNamespace(water=SimpleNamespace(pump_w=pump_w), case=SimpleNamespace(prices={})),
    )
    assert OptionCosts.paid_keys(costs) == {"natural_gas"} | ({"electricity"} if pays else set())


def test_a_winter_of_hardly_any_cold_is_a_winter_too() -> None:
    """A ten-thousandth of a kelvin all year is 0.876 K h."""
    common = lower_study(study(ELECTRIC), constant_weather(20.0 - 1e-4))
    assert common.degree_hours_k_h == pytest.approx(0.876, rel=1e-3)
    assert in_winter(common, 0.2) is not common
    assert shift_for_share(common, 0.0) == pytest.approx(0.0, abs=1e-3)
    assert shift_for_share(common, 9.0) > 0  # type: ignore[arg-type]


def test_a_breaker_s_ground_is_told_with_its_figures() -> None:
    """30 A at 240 V carry 24 A over hours, 5.76 kW."""
    unit: Any = Unit(output_w=None, volts_v=240.0)
    year = SimpleNamespace(lacking_hours=9)
    best = _circuit(lambda amps: SimpleNamespace(lacking_hours=0 if amps >= 30 else 9), unit, year, 0)  # type: ignore[arg-type, return-value]
    assert (best.value, best.ground) == (30.0, "a unit of 5.8 kW, 24 A over hours, on a standard rating")
    typed: Any = Unit(output_w=9e3, efficiency_share=0.9, volts_v=240.0)
    whole = _circuit(lambda amps: year, typed, year, 0)  # type: ignore[arg-type, return-value]
    assert (whole.value, whole.ground) == (60.0, "41.7 A of the unit × 1.25 = 52.1 A, next standard rating")
    large: Any = Unit(output_w=2e5, efficiency_share=1.0, volts_v=240.0)
    assert _circuit(lambda amps: year, large, year, 0).value is None  # type: ignore[arg-type, return-value]
    # a rating that cannot be run is no answer either
    assert _circuit(lambda amps: None, typed, year, 0).value is None  # type: ignore[arg-type]
