"""Pages of a report from made-up results: which line stands where, and that it is gone on the other side of its limit."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import study
from report.bases import KW, basis, failing, option
from views.made import ELECTRIC, GAS, PRESSURE, SOURCE, STEP, but

from costsim.physics.circuits import circuit_for
from costsim.physics.fluids import freeze_point_c, mass_fraction_from_volume
from costsim.report import bought, household, inspect, sign, sizes, system_pages, water
from costsim.report.blocks import Facts, Heading, Text
from costsim.report.reader import LINE
from costsim.study.financing import Part
from costsim.views.size_rows import CONFIRM, filling_row

NEAR = pytest.approx


def check(what: str, verdict: str) -> Any:
    return SimpleNamespace(
        what=what, verdict=verdict, given_text=lambda system: "1 bar", needed_text=lambda system: "at least 2 bar"
    )


def test_open_items_stand_only_while_they_are_open() -> None:
    def items(one: Any, waiting: int = 0, *, parts: bool = True) -> dict[str, str]:
        return dict(sign.open_rows(one, waiting, parts=parts))

    assert items(basis()) == dict(sign.open_rows(basis())) == {"none": "no open items are known"}
    for parts in (True, False):  # a short report has no list at its end
        assert items(basis(short=True), 2, parts=parts)["2 sources"].endswith("; the full report lists them")
        assert items(basis(), 2, parts=parts)["2 sources"].endswith("; listed on the last page")
    undated = basis(case__price_date="")
    assert items(undated) == {"date of the prices": LINE}
    assert LINE not in items(undated, parts=False)["date of the prices"]
    by_file = basis(common__design_outdoor_source="the weather file")
    assert LINE in items(by_file)["outdoor design temperature"]
    assert LINE not in items(by_file, parts=False)["outdoor design temperature"]
    rough = basis(result__route=SimpleNamespace(key="area"))
    assert LINE in items(rough)["design heat loss"]
    assert LINE not in items(rough, parts=False)["design heat loss"]
    cold = basis(result__options=[option("A", 1234), option("B", 21), option("C", 20)])
    assert items(cold) == {
        "A is too cold": f"1,234 hours a year; accepted, or closed by: {LINE}"
    }  # of the one that is signed
    assert list(items(cold, parts=False)) == ["A is too cold", "B is too cold"]
    rated = basis(signed__checks=(check("tube", "not given"), check("tank", "pass"), check("pump", "not given")))
    assert list(items(rated)) == ["2 ratings of parts"]
    assert items(rated, parts=False) == {"none": "no open items are known"}
    assert list(items(basis(), 3)) == ["3 sources"]
    assert "before anybody signs" in items(basis(), 1)["1 source"]
    assert "your trades" in items(basis(), 1, parts=False)["1 source"]


def test_warnings_are_told_up_to_six_failed_ratings_first() -> None:
    assert sign._warnings(basis()) == ()
    failing = (check("tube: pressure", "fail"), check("pump", "take care"))
    _, text = sign._warnings(basis(signed__checks=failing, result__warnings=("cold in the attic",)))
    assert isinstance(text, Text)
    assert text.text == "Rating fails: tube: pressure 1 bar, at least 2 bar needed. Cold in the attic."
    for count, more in (
        (6, ""),
        (7, " And 1 more on the calculation sheet."),
        (9, " And 3 more on the calculation sheet."),
    ):
        _, text = sign._warnings(basis(result__warnings=tuple(f"note {at}" for at in range(count))))
        assert isinstance(text, Text)
        assert text.text.endswith(f"Note 5.{more}")


def test_reasons_are_told_once_where_options_are_many() -> None:
    looks = [
        SimpleNamespace(option=name, verdict=SimpleNamespace(reasons=("r1", "r2") if name in "AB" else ("r3",)))
        for name in "ABC"
    ]
    looks.append(SimpleNamespace(option="D", verdict=None))
    one = basis(case__program=SimpleNamespace(name="Night heat"), closer=SimpleNamespace(options=looks))
    head, facts = sign._eligibility(one)
    assert isinstance(head, Heading)
    assert isinstance(facts, Facts)
    assert facts.rows == (("A", "r1; r2"), ("B", "r1; r2"), ("C", "r3"))
    for count, crowded in ((5, False), (6, True)):
        one.case.options = [0] * count
        assert sign.crowded(one) is crowded
    rows = sign._eligibility(one)[1]
    assert isinstance(rows, Facts)
    assert rows.rows == (("r1; r2", "A, B"), ("r3", "C"))
    assert sign._eligibility(basis()) == ()


def test_prices_are_told_as_typed() -> None:
    typed = {
        "electricity": {
            "energy": "0.1 $/kWh", "fixed": "14 $/month",
            "period": [{"name": "peak", "energy": "0.3 $/kWh", "windows": ["17:00-21:00"], "days": "Mon-Fri"}, {"name": "rest", "energy": "0.2 $/kWh"}],
            "demand": [{}],
        },
        "natural_gas": {"block": [{"energy": "1 $/therm", "up_to": "50 therm/month"}, {"energy": "2 $/therm"}], "rent": "60 $/year"},
        "propane": {"ticket": [{}]},
        "wood": {"energy": "300 $/cord", "period": [], "fixed": 0},
    }  # fmt: skip
    assert sign._prices(basis(case__typed={"prices": typed})) == (
        "electricity 0.1 $/kWh in other hours, 0.3 $/kWh 17:00-21:00 Mon-Fri (peak), 0.2 $/kWh all day (rest), 14 $/month, further charges on the"
        " calculation sheet; natural gas 1 $/therm up to 50 therm/month, 2 $/therm, 60 $/year; propane by delivery tickets; wood 300 $/cord"
    )
    assert sign.price_day(basis()) == "as of 2026-11"
    assert "____" in sign.price_day(basis(case__price_date=""))
    assert "____" not in sign.price_day(basis(case__price_date=""), parts=False)
    assert sign._sentence("one, two") == "One, two."


def test_costs_and_capacities_are_the_results_own() -> None:
    day = [SimpleNamespace(rated_w=10 * KW, day_w=8 * KW), SimpleNamespace(rated_w=5 * KW, day_w=4.04 * KW)]
    delivered = SimpleNamespace(delivered_w=np.array([1.0, 9060.0, 3.0]))
    one = basis(
        result__options=[option("A", 21, hourly=delivered), option("B", hourly=delivered)], look=lambda name: SimpleNamespace(sources=day),
        result__clock=["Jan 5, 6 am"],
    )  # fmt: skip
    rows = sign.capacities(one).rows
    assert rows[0] == ("A", "15.0", "12.0", "9.1", "21", "2.00", "1.5", "Jan 5, 6 am")
    assert rows[1] == ("B", "15.0", "12.0", "9.1", "0", "–", "–", "–")
    warm = household.warmth(one)
    assert [row[:4] for row in warm.rows] == [("A", "no", "21", "Jan 5, 6 am"), ("B", "yes", "0", "–")]
    assert warm.rows[0][4] == "1.5 kW"
    assert "in no more than" not in warm.note
    nearly = household.warmth(basis(result__options=[option("A", 20)]))
    assert nearly.rows[0][1] == "nearly"
    assert "in no more than 20 hours" in nearly.note


def test_what_is_replaced_within_the_years() -> None:
    case = study({"kind": "electric", "output": "9 kW"})
    (plain,) = case.options
    plain = plain.model_copy(update={"name": "Gas, old"})
    part = Part.model_validate({"name": "burner", "cost": "1800 $", "life": 8})

    def told(**more: Any) -> str:
        return household.replaced_text(case, plain.model_copy(update=more))

    assert told() == ""
    assert told(part=(part,)) == "“Gas, old” is replaced: $1,800 in year 8, $1,800 in year 16."
    for year, said in ((0, False), (1, True), (20, True), (21, False)):
        assert (told(replacement_year=year, replacement_money=500.0) != "") is said
    for cost, said in ((500.0, "$500"), (1.0, "$1")):
        assert told(replacement_year=12, replacement_money=cost) == f"“Gas, old” is replaced: {said} in year 12."
    both = told(part=(part,), replacement_year=8, replacement_money=500.0)
    assert both == "“Gas, old” is replaced: $2,300 in year 8, $1,800 in year 16."


LOOP = SimpleNamespace(circuit=SimpleNamespace(name="Bath"), design=SimpleNamespace(load_w=600.0))
HALL = SimpleNamespace(circuit=SimpleNamespace(name="Hall"), design=SimpleNamespace(load_w=900.0))


def test_a_relief_valve_that_lifts_thins_the_antifreeze() -> None:
    """A tenth of 500 L lost and filled up with water: 30 % become 27 %."""
    ((what, text),) = inspect._relief_lifts(failing())
    assert what == "a relief valve lifts"
    assert text == (
        "up to 20.0 kW leaves as hot water and steam where its pipe ends; 50.0 L lost and filled up with water thin the antifreeze from 30 % to 27 %"
    )
    ((_, plain),) = inspect._relief_lifts(failing("none", 0.0))
    assert "thin" not in plain


def test_weaker_antifreeze_begins_to_freeze_sooner() -> None:
    """40 % propylene glycol by volume begins to freeze at about -21 to -22 °C, 30 % at about -13 °C, 20 % at about -7 °C: makers' tables, from memory."""
    ((what, text),) = inspect._weak_antifreeze(failing(share=0.4, freeze_c=-22.0))
    assert what == "antifreeze weaker by 10 % by volume"
    begins = float(text.split("ice begins at ")[1].split(" °C")[0].replace("−", "-"))
    assert begins == NEAR(-13.0, abs=1.5)
    assert "in place of -22 °C" in text
    assert "still open at the coldest outside, -10 °C" in text
    # as cold as ice begins is still open
    mass = mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=0.4 - 0.1)
    coldest = freeze_point_c(fluid="propylene_glycol", mass_fraction=mass)
    for cold, word in ((coldest, "still open"), (coldest - 0.1, "slush")):
        assert word in next(iter(inspect._weak_antifreeze(failing(share=0.4, coldest_c=cold))))[1]
    ((_, slush),) = inspect._weak_antifreeze(failing(share=0.3))
    assert "slush" in slush
    ((_, none),) = inspect._weak_antifreeze(failing(share=0.1))
    assert "ice begins at 0 °C" in none
    ((what, water_text),) = inspect._weak_antifreeze(failing("none", 0.0))
    assert what == "plain water in the cold"
    assert water_text == "ice forms below 0 °C and bursts pipes; coldest outside -10 °C"


def test_a_floor_that_takes_the_tanks_water_unmixed() -> None:
    """200 W/K from 60 °C to 20 °C on 100 m²: 80 W/m², (80/8.92)^(1/1.1) = 7.3 K over the room by EN 1264-2, so 27 °C; 200 W/m² would be 37 °C."""
    past, floor = inspect._overheats(failing())
    assert past[0] == "the tank runs past 60 °C"
    assert "the relief valve lifts" in past[1]
    assert floor[1] == "its surface goes to 27 °C, within the limit of 29 °C; a limit thermostat must stop its pumps"
    hot = list(inspect._overheats(failing(max_temperature_c=90.0)))[1]  # 140 W/m²: 32 °C, over what 100 W/m² are
    assert hot[1].startswith("its surface goes to 32 °C, over the limit of 29 °C")
    vented = next(inspect._overheats(failing(open_circuit=True)))
    assert "it steams at 97 °C" in vented[1]
    bare = failing()
    bare.signed.case.floor = None
    assert len(list(inspect._overheats(bare))) == 1


def test_a_pump_that_stands_still_takes_its_own_share_of_the_load() -> None:
    one = failing()
    pumps = [
        SimpleNamespace(loops=(0,), level="Up"),
        SimpleNamespace(loops=(0, 1), level="Down"),
        SimpleNamespace(loops=(1,), level="Hall"),
    ]
    one.signed.layout = SimpleNamespace(loops=[LOOP, HALL], pumps=pumps, design_load_w=4200.0)
    still, source = inspect._pump_stuck(one)
    assert still[1] == "at most 1.5 kW of 4.2 kW is lost, on Down; further pumps run on: 2"
    assert "high limit" in source[1]
    one.signed.layout = None
    assert [what for what, _ in inspect._pump_stuck(one)] == [
        "a pump of the floor stands still",
        "the pump of a source stands still",
    ]
    one.signed.case.floor = None
    assert len(list(inspect._pump_stuck(one))) == 1


def test_failures_of_sources_say_how_cold_it_gets() -> None:
    one = failing()
    hours = {10.0: 7, 5.0: None, 0.0: 0}
    look = SimpleNamespace(
        failures=[
            SimpleNamespace(what="the boiler", lowest_c=3.6, hours_to_level=hours),
            SimpleNamespace(what="the pump", lowest_c=18.0, hours_to_level={10.0: None}),
        ]
    )
    one.look = lambda name: look
    rows = dict(inspect._failures(one))
    assert rows["the boiler out, coldest week"] == "the house falls to 4 °C, 10 °C after 7 h"
    assert rows["the pump out, coldest week"] == "the house falls to 18 °C; the others carry on"


def test_open_items_of_an_inspector_follow_what_is_there() -> None:
    element = SimpleNamespace(burns_fuel=False, fuel_key="electricity")

    def opened(fuel: str) -> set[str]:
        burner = SimpleNamespace(burns_fuel=True, fuel_key=fuel, unstoppable=fuel == "wood", label=fuel)
        return {*inspect.open_items(basis(signed__option=SimpleNamespace(sources=(element, burner))))}

    names = inspect.open_items(
        basis(signed__checks=(check("tube: pressure", "not given"), check("tank: pressure", "pass")))
    )
    assert names[0] == "tube: pressure"
    assert "tank: pressure" not in names
    assert "antifreeze as measured, freezing point and date" in names
    assert "gas line test pressure" not in names
    burning = {"combustion air and vent as installed", "carbon-monoxide alarms, where"}
    assert burning | {"gas line test pressure"} <= opened("natural_gas") & opened("propane")
    assert burning <= opened("wood") & opened("heating_oil")
    assert "gas line test pressure" not in opened("wood") | opened("heating_oil") | opened("pellets")
    assert "antifreeze as measured, freezing point and date" not in inspect.open_items(
        basis(signed__needs=SimpleNamespace(antifreeze=False))
    )


def test_what_is_signed_is_what_the_option_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    """18 kW / 240 V × 1.25 = 93.75 A: 100 A by NEC 240.6(A), 3 AWG by 310.16 at 75 °C, 2 AWG at 60 °C (95 A); not the 6 kW that the load would ask for."""
    laid_out = SimpleNamespace(
        pumps=[SimpleNamespace(speed_share=share) for share in (0.8, 0.6, 0.8)], loop_count=9, tube="1/2 in PEX", tube_m=600.4,
        fluid=SimpleNamespace(antifreeze="propylene_glycol", antifreeze_m3=0.1),
    )  # fmt: skip
    wired = but(
        SOURCE, entered_w=18e3, chosen=but(STEP, size=6e3), needed_w=2.4e3, electric=but(ELECTRIC, load_w=6e3, circuit=circuit_for(load_w=6e3, volts_v=240.0)),
        entered_electric=but(ELECTRIC, load_w=18e3, circuit=circuit_for(load_w=18e3, volts_v=240.0)),
    )  # fmt: skip
    fired = but(SOURCE, name="Gas boiler", what="gas input", entered_w=17e3, gas=but(GAS, pipe="1 in"), entered_gas=GAS)
    plated = but(SOURCE, name="Heat pump", entered_w=0.0, chosen=None, entered_electric=but(ELECTRIC, rated=False))
    chosen = SimpleNamespace(option="A", sources=[wired, fired, plated], circuit=PRESSURE, pumps=())
    one = basis(
        signed__layout=laid_out, selection=SimpleNamespace(options=[SimpleNamespace(option="B"), chosen], pumps=[])
    )
    monkeypatch.setattr(bought, "system_of", lambda *_: SimpleNamespace(sources=(), valves=()))
    one.look = lambda name: SimpleNamespace(sources=())
    (facts,) = bought.bought(one)
    assert facts.rows == (  # type: ignore[attr-defined, union-attr]
        ("loops and pumps", "9 loops of 1/2 in PEX, 600 m; 3 pumps at 60% and 80%; 100 L of antifreeze"),
        (
            "Boiler",
            "18.0 kW output in this study; breaker and wire 100 A, 3 AWG copper at 75 °C;"
            " NM-B cable, 60 °C: 2 AWG; load on the service 150 A of 200 A, 50 A left;"
            " relief valve of its own 300 kPa, 18 kW or more",
        ),
        (
            "Gas boiler",
            "17.0 kW output in this study; 20.0 kW input; gas pipe 3/4 in steel; vent category IV: wet flue gas under pressure, plastic or"
            " stainless vent as its maker lists, with a condensate drain; relief valve of its own 300 kPa, 17 kW or more",
        ),
        (
            "Heat pump",
            f"{CONFIRM}; breaker and wire {CONFIRM} (its plate (MCA and MOP); here it draws up to 40.0 A in the year);"
            " load on the service 150 A of 200 A, 50 A left",
        ),
        ("expansion tank", "40.0 L or more: a tank of 50.0 L"),
    )
    inspected = {row[0]: row[1] for row in sizes.sizes_table(one).rows}
    assert inspected["Boiler: breaker and wire"] == "100 A, 3 AWG copper at 75 °C; NM-B cable, 60 °C: 2 AWG"
    assert inspected["Gas boiler: gas pipe"] == "3/4 in steel"
    one.signed.layout = None
    (facts,) = bought.bought(one)
    assert isinstance(facts, Facts)
    assert [row[0] for row in facts.rows] == ["Boiler", "Gas boiler", "Heat pump", "expansion tank"]


def test_what_the_answer_rests_on_is_told_with_its_source() -> None:
    made = [
        SimpleNamespace(what=what, value=f"v{at}", source=f"s{at}")
        for at, what in enumerate(("weather", "design heat loss", "odd"))
    ]
    rows = sign.assumed(basis(result__assumptions=made))
    assert rows[1:-1] == (("design heat loss", "v1; s1"), ("weather", "v0; s0"))
    assert "all 3 assumptions" in rows[-1][1]
    assert rows[0][1].startswith("as of 2026-11; ")


def test_shares_of_antifreeze_are_told_in_whole_per_cent() -> None:
    ((_, text),) = inspect._relief_lifts(failing(share=0.6))
    assert "from 60 % to 54 %" in text


def test_water_is_told_by_its_antifreeze_and_what_holds_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """30 % of propylene glycol by volume are 30.9 % by mass: 1.04 g/mL beside water's 1.0 (ASHRAE, value from memory)."""
    floor = SimpleNamespace(antifreeze="propylene_glycol", concentration_share=0.3)

    def signed(one: Any) -> Any:
        return basis(signed=SimpleNamespace(case=SimpleNamespace(fluid=None, floor=one)))

    text = water._antifreeze(signed(floor))
    assert text.startswith("propylene glycol, 30 % by volume, ")
    assert float(text.split(", ")[2].split()[0]) == NEAR(30.9, abs=0.5)
    with monkeypatch.context() as patch:
        patch.setattr(water, "mass_fraction_from_volume", lambda **_: 0.625)
        strong = water._antifreeze(signed(but(floor, concentration_share=0.6)))
        assert strong == "propylene glycol, 60 % by volume, 62.5 % by mass"
    assert water._antifreeze(signed(None)) == water._antifreeze(signed(but(floor, antifreeze="none"))) == "water"
    assert (water.density_text(1000.0, "si"), water.density_text(1000.0, "us")) == ("1,000.0 kg/m³", "62.43 lb/ft³")
    for held, told in (
        ({"tank": 0.3, "loops": 0.041}, "341 L: tank 300.0 L, loops 41.0 L"),
        ({}, "no tank and no floor described"),
    ):
        monkeypatch.setattr(water, "contents_m3", lambda case, held=held: held)
        assert water._content(signed(None)) == told


def test_sizes_say_their_margin_and_the_rooms_fault_is_the_tenth() -> None:
    found = SimpleNamespace(
        target_w=6600.0,
        margin_share=0.1,
        size_sources={"a": "list two", "b": "list one", "c": "list two"},
        options=(),
        pumps=(),
    )
    head, text = system_pages.size_pages(SimpleNamespace(selection=found, system="si"))  # type: ignore[arg-type]
    assert head == Heading("Sizes off the shelf")
    assert "with a margin of 10 % (6.6 kW)" in text.text  # type: ignore[union-attr]
    assert text.text.endswith("Sizes from list one; list two.")  # type: ignore[union-attr]


def test_a_circuit_outdoors_is_told_as_far_as_it_is_known() -> None:
    glycol = SimpleNamespace(circuit="glycol", filling_m3=0.019, coldest_c=-28.3)
    assert filling_row(glycol, "si").startswith(
        "about 19 L of glycol mix that withstands -28 °C (common practice, no source)"
    )  # type: ignore[arg-type]
    assert "19 L of glycol mix that withstands the coldest night" in filling_row(but(glycol, coldest_c=None), "si")
    assert filling_row(but(glycol, filling_m3=None), "si").startswith("glycol that withstands -28 °C in a circuit")
    assert "water, no antifreeze" in filling_row(but(glycol, circuit="drain_back"), "si")
    plan = SimpleNamespace(fluid=SimpleNamespace(antifreeze="none", antifreeze_m3=0.05))
    assert bought._antifreeze(basis(), plan) == "no antifreeze in floor and tank"  # type: ignore[arg-type]
    plan.fluid.antifreeze = "propylene_glycol"
    assert bought._antifreeze(basis(), plan) == "50 L of antifreeze"  # type: ignore[arg-type]


def test_an_option_is_signed_with_its_figures_and_what_it_was_compared_with(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sign, "first_cost", lambda option, coin: "$5,000")
    names = [SimpleNamespace(name=name) for name in ("A", "B", "C")]
    one = basis(
        case__options=names, result__option=lambda name: option(name, 1), band=lambda name: (80.0, 100.0, 120.0),
        signed=SimpleNamespace(name="B", option=None),
    )  # fmt: skip
    assert sign.own_answer(one) == (
        "B: $100 a year at the prices entered (80% range $80 to $120); first cost $5,000; 1 hour of the weather year too cold."
        " It was compared with A and C."
    )
    one.case.options = names[1:2]
    assert sign.own_answer(one).endswith("1 hour of the weather year too cold.")
    one.result.option = lambda name: option(name, 1234)
    assert sign.own_answer(one).endswith("1,234 hours of the weather year too cold.")
    assert not sign.crowded(basis(case__options=[1] * 5))
    assert sign.crowded(basis(case__options=[1] * 6))
    assert sign._sentence("nfpa 54; nec") == "Nfpa 54; nec."
