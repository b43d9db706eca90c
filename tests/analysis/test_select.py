"""Sizes off the shelf against a pencil: heater, breaker, wire, service, gas line, propane, vessel and relief."""

from __future__ import annotations

import copy
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, demo, study

from costsim import load_weather
from costsim.analysis.capacity import capacity_report
from costsim.analysis.gas_line import vent_of
from costsim.analysis.needs import needs_of
from costsim.analysis.select import SelectionResult, select
from costsim.analysis.size_steps import _around
from costsim.cli.main import main
from costsim.engine.lower import lower_study
from costsim.errors import InputError
from costsim.physics.expansion import en_vessel_m3, us_tank_m3
from costsim.simulation import simulate
from costsim.study.case import case_from, write_study
from costsim.study.rating_checks import rating_checks
from costsim.study.ratings import Ratings
from costsim.study.selection import COMMON, MarketSize, read_sizes
from costsim.study_files import StudyFiles
from costsim.units.faults import build
from costsim.units.table import BTU_J, GALLON_M3, HOUR_S, PSI_PA
from costsim.views.text_capacity import boils_off_text, printed_capacity
from costsim.views.text_select import option_text

KBTU_H = 1e3 * BTU_J / HOUR_S


def chosen(change: dict[str, Any] | None = None, name: str = "two_levels", **opened: bytes) -> SelectionResult:
    data = copy.deepcopy(demo(name))
    data.setdefault("selection", {}).update(change or {})
    case = case_from(data, files=StudyFiles(opened=opened))
    return select(case, load_weather(case))


@pytest.fixture(scope="module")
def plain() -> SelectionResult:
    return chosen()


def test_the_heater_is_the_next_size_over_load_and_margin(plain: SelectionResult) -> None:
    """2,250 ft² × 22 Btu/(h ft²) = 49.5 kBtu/h; × 1.15 = 56.9 kBtu/h = 16.7 kW: 18 kW, and 80 kBtu/h input × 0.95."""
    assert plain.target_w / KBTU_H == pytest.approx(2250 * 22 / 1e3 * 1.15)
    electric, propane = (option.sources[0].chosen for option in plain.options)
    assert electric is not None
    assert propane is not None
    assert electric.size == 18e3
    assert propane.size / KBTU_H == pytest.approx(80)
    assert propane.output_w / KBTU_H == pytest.approx(76)


def test_breaker_and_wire_follow_by_pencil(plain: SelectionResult) -> None:
    """18 kW / 0.99 / 240 V = 75.8 A; × 1.25 = 94.7 A: 100 A, 3 AWG."""
    electric = plain.options[0].sources[0].electric
    assert electric is not None
    assert electric.circuit is not None
    assert electric.circuit.load_a == pytest.approx(18e3 / 0.99 / 240)
    assert (electric.circuit.breaker_a, electric.circuit.wire.name) == (100, "3 AWG")
    assert electric.service_load_a == pytest.approx((9e3 * 1.25 + 18e3 / 0.99) / 240)


def test_a_size_is_run_in_the_place_of_the_source(plain: SelectionResult) -> None:
    data = copy.deepcopy(demo("two_levels"))
    source = data["option"][0]["source"][0]
    source["output"] = "18 kW"
    del source["breaker"], source["volts"]
    case = case_from(data)
    year = simulate(case, load_weather(case)).options[0]
    step = plain.options[0].sources[0].chosen
    assert step is not None
    assert step.cost == pytest.approx(year.cost_total)
    assert step.unmet_hours == year.unmet.hours


def test_steps_are_the_size_below_the_one_and_the_next(plain: SelectionResult) -> None:
    for option in plain.options:
        steps = option.sources[0].steps
        assert [step.chosen for step in steps] == [False, True, False]
        assert steps[0].left_w < option.sources[0].needed_w <= steps[1].left_w
        assert steps[0].unmet_hours >= steps[1].unmet_hours >= steps[2].unmet_hours
        assert steps[0].size < steps[1].size < steps[2].size


def test_no_vent_is_told_of_what_gives_more_heat_than_its_gas_holds() -> None:
    """A boiler of 100 % makes wet flue gas: category IV; of a heat pump at 130 % the plate's figure tells nothing of it."""
    whole, pump, none = (
        vent_of(SimpleNamespace(plate_efficiency=lambda share=share: share, condenses=lambda: False))  # type: ignore[arg-type]
        for share in (1.0, 1.3, None)
    )
    assert (whole, pump, none) == ("IV", "", "")


def test_gas_vent_air_and_propane(plain: SelectionResult) -> None:
    gas = plain.options[1].sources[0].gas
    assert gas is not None
    assert gas.pipe == "1/2 in"  # 80 kBtu/h over 40 ft; the propane table gives 137
    assert gas.vent == "IV"
    assert gas.air.upright_in2 == pytest.approx(20)
    assert gas.propane_tank_m3 == pytest.approx(120 * GALLON_M3)
    assert gas.vaporizes_w is not None
    assert gas.vaporizes_w >= gas.run_input_w
    assert gas.regulator_w == pytest.approx(200 * KBTU_H)


def test_more_gas_on_the_run_takes_a_wider_pipe_and_a_larger_tank() -> None:
    gas = chosen({"other_gas_input": "120 kBtu/h", "gas_pipe_length": "60 ft"}).options[1].sources[0].gas
    assert gas is not None
    assert gas.pipe == "3/4 in"
    assert gas.propane_tank_m3 is not None
    assert gas.propane_tank_m3 > 121 * GALLON_M3
    assert gas.regulator_w == pytest.approx(200 * KBTU_H)


def test_the_tank_that_is_typed_is_told_by_one_rule() -> None:
    """Diameter × length in inches × 70 at 30 % full, times the share of the coldest hour, in Btu/h; larger tanks in step."""
    cold = float(load_weather(case_from(demo("two_levels"))).outdoor_c.min()) * 1.8 + 32.0
    data = copy.deepcopy(demo("two_levels"))
    [source] = [one for one in data["option"][1]["source"] if one.get("fuel") == "propane"]
    source["tank_volume"] = "500 gal"
    case = case_from(data)
    weather = load_weather(case)
    gas = select(case, weather).options[1].sources[0].gas
    assert gas is not None
    tank = gas.own_tank
    assert tank is not None
    share = np.interp(cold, (-20.0, -15.0, -10.0, -5.0, 0.0, 10.0, 20.0), (0.125, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0))
    assert tank.gives_w / KBTU_H == pytest.approx(37 * 119 * 70 * share / 1e3, rel=1e-6)
    assert (tank.tank_m3, tank.burns_w) == (pytest.approx(500 * GALLON_M3), gas.run_input_w)
    report = capacity_report(case, weather)
    [same] = [one.boils_off for one in report.options[1].sources if one.boils_off is not None]
    assert (same.gives_w, same.coldest_c) == (tank.gives_w, tank.coldest_c)
    # 22 Btu/(h ft²) of 2,250 ft²; in water too hot to condense, 8 % (HHV) and more leave as vapor: 88.1 %, 56.2 kBtu/h of gas
    assert same.design_w / KBTU_H == pytest.approx(2250 * 22 / 1e3 / 0.881, rel=0.01)
    for design_w, words in (
        (0.9 * same.gives_w, "it carries the fire of the design night"),
        (1.1 * same.gives_w, "not even the"),
    ):
        said = boils_off_text(replace(same, burns_w=2 * same.gives_w, design_w=design_w), "us")
        assert "the tank of 500 gal boils off only" in said
        assert words in said
    assert boils_off_text(same, "us") in printed_capacity(report, "us")
    other = {"tank_diameter": "41 in", "tank_length": "190 in"}
    source.update(other)
    wider = select(case_from(data), weather).options[1].sources[0].gas
    assert wider is not None
    assert wider.own_tank is not None
    assert wider.own_tank.gives_w == pytest.approx(tank.gives_w * 41 * 190 / (37 * 119))


def test_the_vessel_is_the_next_size_over_en_12828(plain: SelectionResult) -> None:
    circuit = plain.options[0].circuit
    assert circuit.sold_m3 == pytest.approx(20 * GALLON_M3)
    pressures = {"fill_pa": 12 * PSI_PA, "relief_pa": 30 * PSI_PA}
    for told, rule in (
        (circuit.needed_m3, en_vessel_m3),
        (circuit.handbook_m3, us_tank_m3),
    ):  # by Boyle's law from the same content
        # 749.2 m of 0.475 in and 9.1 m of 0.862 in bore beside the tank's 80 gal, and a tenth for units that are not typed
        again = rule(content_m3=1.1 * 0.3919, swell_share=0.0355, **pressures)
        assert told == pytest.approx(again, rel=0.03)
    text = option_text(plain.options[0], "us", "$")
    assert text.index("EN 12828") < text.index("ASHRAE Handbook")
    assert circuit.relief_discharge_w == pytest.approx(150 * KBTU_H)


def test_an_open_circuit_takes_room_and_no_vessel() -> None:
    data = copy.deepcopy(demo("two_levels"))
    data["tank"]["circuit"] = "open"
    case = case_from(data)
    circuit = select(case, load_weather(case)).options[0].circuit
    assert circuit.open_circuit
    assert not circuit.sold_m3
    assert circuit.fill_pa == 0.0  # open to the air, it is under none
    assert 2 * GALLON_M3 < circuit.room_m3 < 6 * GALLON_M3


def test_a_second_source_needs_what_the_first_leaves_unless_that_may_be_off() -> None:
    found = chosen(name="net_loft")
    both, curtailed = found.options[1].sources, found.options[2].sources
    assert both[1].needed_w == pytest.approx(found.target_w - 10.5e3)
    assert curtailed[1].needed_w == pytest.approx(found.target_w)
    assert both[0].electric is not None
    assert both[0].electric.service_load_a is None
    assert "ask an electrician" in both[0].electric.method


def test_a_service_that_is_too_small_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = copy.deepcopy(demo("two_levels"))
    data["selection"] = {"service": "100 A", "appliances": "14 kW"}
    path = tmp_path / "small.toml"
    path.write_text(write_study(data), encoding="utf-8")
    assert main(["select", str(path)]) == 0
    out = capsys.readouterr().out
    # (3 × 2,250 + 4,500 + 14,000 = 25,250; 10,000 + 0.4 × 15,250 = 16,100; + 16,162 of the 16 kW entered) / 240 = 134.4 A
    assert "134 A of 100 A, 34 A TOO LITTLE" in out
    assert "NEC 220.82" in out


def test_an_installers_own_list_takes_the_place_of_the_common_one() -> None:
    own = b"what,size\nelectric boiler output,17 kW\nelectric boiler output,23 kW\n"
    found = chosen({"sizes": "sizes.csv"}, **{"sizes.csv": own})
    step = found.options[0].sources[0].chosen
    assert step is not None
    assert step.size == 17e3
    assert found.size_sources["electric boiler output"] == "sizes.csv"
    assert found.size_sources["expansion tank"] == COMMON


def test_a_list_that_cannot_be_says_every_line() -> None:
    with pytest.raises(InputError) as caught:
        read_sizes(b"what,size\nteapot,3 L\nexpansion tank,lots\npropane tank,-3 gal\n", "sizes.csv")
    lines = str(caught.value).splitlines()
    assert len(lines) == 3
    assert lines[0].startswith("sizes.csv: line 2: 'teapot' is nothing it can size")
    with pytest.raises(InputError, match="no list of sizes"):
        read_sizes(b"a,b\n1,2\n", "sizes.csv")
    with pytest.raises(InputError, match="UTF-8"):
        read_sizes(b"\xff\xfe", "sizes.csv")


def test_a_load_beyond_the_list_says_so() -> None:
    own = b"what,size\nelectric boiler output,6 kW\n"
    source = chosen({"sizes": "sizes.csv"}, **{"sizes.csv": own}).options[0].sources[0]
    assert source.chosen is None
    assert "longer list" in source.note


def test_a_service_without_a_load_leaves_its_room_open() -> None:
    electric = chosen({"service": "200 A"}, "net_loft").options[1].sources[0].entered_electric
    assert electric is not None
    assert electric.service_load_a is None
    assert "ask an electrician" in electric.method


@pytest.mark.long
def test_three_commands_take_one_study_from_areas_to_a_signed_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Areas to loops, pumps, heater, breaker, diagram and a page to sign: 2,250 ft² on two levels, half glycol."""
    monkeypatch.chdir(tmp_path)
    Path("house.toml").write_text(write_study(demo("two_levels")), encoding="utf-8")
    assert main(["layout", "house.toml", "-o", "laid_out.toml", "--drawing", "system.svg"]) == 0
    assert main(["select", "laid_out.toml"]) == 0
    assert main(["report", "laid_out.toml", "-o", "page.html"]) == 0
    out, page = capsys.readouterr().out, Path("page.html").read_text(encoding="utf-8")
    for said in (
        "12 loops of 1/2 in PEX",
        "6 pumps",
        "50% by volume",
        "90 A breaker, 4 AWG",  # 16 kW / 0.99 / 240 V × 1.25 = 84.2 A
        "20.0 gal tank",  # 431 L × 3.55 % and 3 L of reserve, × 37.45/10.75: some 17 gal, by EN 12828
        "> 80 kBtu/h",
    ):
        assert said in out, said
    assert page.count("<svg") >= 4
    assert "For the inspector" in page
    assert Path("system-1.svg").is_file()


def test_a_unit_that_is_there_already_keeps_its_size() -> None:
    """9 kW / 0.99 / 240 V = 37.9 A; × 1.25 = 47.3 A: 50 A, 8 AWG."""
    data = copy.deepcopy(demo("two_levels"))
    old = data["option"][0]["source"][0] | {"output": "9 kW"}
    data["option"][0] |= {"today": True, "source": [old]}
    data["option"][1]["source"].append(old)
    case = case_from(data, files=StudyFiles())
    found = select(case, load_weather(case))
    assert [source.kept for option in found.options for source in option.sources] == [True, False, True]
    for option in found.options:
        text = option_text(option, "us", "$")
        assert "existing, kept: 9.0 kW output; the load alone would ask for" in text or "design load without it" in text
        assert "50 A breaker, 8 AWG copper at 75 °C" in text
        assert "NM-B cable, 60 °C: 6 AWG" in text
    gas = option_text(
        found.options[1], "us", "$"
    )  # 60 kBtu/h are entered, no input: in water too hot to condense, 60 / 0.881 = 68
    assert "entered: 60.0 kBtu/h output." in gas
    assert "Gas: input 68 kBtu/h" in gas
    assert "for 60 kBtu/h on the largest entered" in gas


def test_what_rests_for_part_of_the_day_must_give_the_days_heat_in_its_hours() -> None:
    """4.5 kW over 24 h are 13.5 kW in 8 h: 15 kW; a store takes the heat of the other 16 h, and without one no size is the answer."""
    off_peak = {"kind": "electric", "output": "9 kW", "windows": ["22:00-06:00"], "store": True}
    found = {}
    for volume in ("0.2 m3", "9 m3"):
        case = study(
            off_peak, house__design_heat_loss="4.5 kW", selection__margin="0 %", tank__volume=volume, tank__loss="0 W/K",
            tank__max_temperature="95 degC",
        )  # fmt: skip
        (found[volume],) = select(case, constant_weather(-10.0)).options[0].sources
    large, small = found["9 m3"], found["0.2 m3"]
    assert large.chosen is not None
    assert (large.needed_w, large.chosen.size) == (pytest.approx(4.5e3), 15e3)
    assert large.chosen.left_w == pytest.approx(15e3 * 8 / 24)
    assert large.chosen.unmet_hours <= 20
    assert small.chosen is None
    assert small.note.endswith("a larger store, or another source")


def test_no_size_is_marked_where_another_source_carries_the_coldest_hour() -> None:
    """6 kW at design, 6.9 kW with the margin; a boiler of 9 kW carries that beside a heat pump of 12 kW at -10 degC (40.9 kBtu/h)."""
    pump = {"kind": "heat_pump", "outdoor": ["-10 degC", "10 degC"], "outputs": ["12 kW", "18 kW"]}
    case = study(pump, {"kind": "electric", "output": "9 kW"})
    found = select(case, constant_weather(-10.0))
    (option,) = found.options
    spare = option.sources[0]
    assert (spare.needed_w, spare.chosen) == (0.0, None)
    assert not any(step.chosen for step in spare.steps)
    assert len(spare.steps) == 3
    outputs = [step.output_w for step in spare.steps]
    assert outputs[0] < spare.entered_w <= outputs[1] < outputs[2]
    assert spare.electric == spare.entered_electric
    text = option_text(option, "si", "$")
    assert "need not carry the design load" in text.split("\n")[2]
    assert "no size is marked: a larger one may take more of the year" in text
    assert "must give 0.0" not in text


def test_sizes_shown_are_those_around_the_one_entered() -> None:
    listed = tuple(MarketSize(1e3 * kw) for kw in (5, 7, 9, 12, 15))

    def around(kw: float) -> list[float]:
        source: Any = SimpleNamespace(market_list="electric boiler output", nameplate_w=lambda: 1e3 * kw)
        return [one.value / 1e3 for one in _around(listed, source)]

    assert around(8.0) == [7, 9, 12]
    assert around(9.0) == [7, 9, 12]
    assert around(3.0) == [5, 7, 9]
    assert around(15.0) == around(40.0) == [9, 12, 15]


def test_of_a_log_fire_the_plate_is_asked_and_no_mean_is_told() -> None:
    wood = {
        "kind": "wood",
        "output": "25 kW",
        "burn_time": "5 h",
        "load_times": ["07:00", "18:00"],
        "efficiency": "60 %",
    }
    tank = {"tank__volume": "1500 L", "tank__max_temperature": "80 degC"}
    for others, largest in (((), 0.0), (({"kind": "electric", "output": "9 kW"},), 9e3)):
        case = study(wood, *others, **tank)
        weather = constant_weather(-5.0)
        (option,) = select(case, weather).options
        assert [one.fire for one in option.sources] == [True, *(False for _ in others)]
        assert (option.circuit.fires, option.circuit.discharge_needed_w) == ("Wood boiler", largest)
        assert (option.circuit.relief_discharge_w is None) == (largest == 0.0)
        needs = needs_of(lower_study(case, weather), case.options[0])
        assert (needs.fires, needs.source_w) == ("Wood boiler", largest)
        for typed, verdict in (({}, "not given"), ({"relief_discharge": "100 kW"}, "take care")):
            [line] = [
                one for one in rating_checks(build(Ratings, typed), needs) if one.what == "relief valve: discharge"
            ]
            assert (line.needed, line.verdict) == (None, verdict)
            assert line.ground.startswith("what the plate or manual of Wood boiler says")
