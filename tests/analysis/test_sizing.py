"""Sizes found on the simulation itself."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cases import constant_weather, sample_weather, study, with_uses

from costsim import InputError, load_weather, read_study
from costsim.analysis.collector_sweep import marginal_collector_area, sweep_areas_m2
from costsim.analysis.sizing import smallest
from costsim.cli.main import main
from costsim.study.case import Case, case_from
from costsim.views.text_sizing import printed_size

GREENSBORO = sample_weather()
ELECTRIC = {"kind": "electric", "output": "3 kW"}


def test_the_smallest_output_is_the_load_itself() -> None:
    found = smallest(study(ELECTRIC), constant_weather(-5.0), option="one", what="output")
    assert found.value == pytest.approx(200 * 25, rel=2e-3)
    assert found.unmet_hours == 0
    assert found.unmet_hours_today == 8760
    assert found.tried < 30


@pytest.mark.long
def test_taps_must_be_served_too() -> None:
    # nobody heats at 30 °C, but 100 L an hour at noon through 39 K are 4.5 kW, against which a small tank helps little
    noon = [0.0] * 12 + [1.0] + [0.0] * 11
    tap = {"kind": "hot_water", "daily_volume": "100 L", "cold_temperature": "10 degC", "profile": noon}
    case = with_uses(tap, source=ELECTRIC, tank__volume="1 L")
    found = smallest(case, constant_weather(30.0), option="one", what="output")
    assert found.value == pytest.approx(0.1 * 4.16e6 * 39 / 3600, rel=0.02)
    assert found.unmet_hours == 0
    pool = {"kind": "pool_or_tub", "area": "30 m2"}
    waits = smallest(with_uses(pool, source=ELECTRIC), constant_weather(30.0), option="one", what="output")
    assert waits.value == 0.0


def test_a_second_source_needs_only_what_is_missing() -> None:
    case = study(ELECTRIC, {"kind": "gas", "output": "1 kW", "efficiency": "90 %"})
    found = smallest(case, constant_weather(-5.0), option="one", what="output", source=1)
    assert found.value == pytest.approx(2000, rel=2e-3)


def test_hours_that_are_borne_allow_a_smaller_one() -> None:
    none, some = (smallest(study(ELECTRIC), GREENSBORO, option="one", what="output", hours=h) for h in (0, 100))
    assert some.value < none.value
    assert 50 <= some.unmet_hours <= 100


def test_a_breaker_is_the_circuits_and_never_the_loads() -> None:
    """9 kW at 240 V are 37.5 A; × 1.25 = 46.9 A: the next standard rating is 50 A, whatever the house needs."""
    wired = {"kind": "electric", "output": "9 kW", "volts": "240 V", "breaker": "10 A"}
    for outdoor_c in (-5.0, 15.0):
        found = smallest(study(wired), constant_weather(outdoor_c), option="one", what="breaker")
        assert found.value == 50.0
        assert "37.5 A" in found.ground
    assert found.unmet_hours == 0


def test_a_breaker_that_makes_the_unit_is_a_standard_rating_that_carries_the_house() -> None:
    """5 kW over hours at 240 V are 20.8 A; × 1.25 = 26 A: 30 A."""
    case = study({"kind": "electric", "volts": "240 V", "breaker": "10 A"})
    found = smallest(case, constant_weather(-5.0), option="one", what="breaker")
    assert found.value == 30.0
    assert found.unmet_hours == 0


def test_the_tank_is_the_one_of_least_cost_and_the_smallest_is_said_too() -> None:
    """Cheap heat at night beside dear heat by day: no tank is needed, but a larger one saves until the night's heat fits."""
    night = {
        "kind": "off_peak_electric",
        "output": "12 kW",
        "windows": ["22:00-06:00"],
        "store": True,
    }
    data = study(night, ELECTRIC, tank__volume="50 L", tank__loss="1 W/K", tank__max_temperature="80 degC").typed
    data["option"][0]["source"][0]["price"] = "night"
    data["prices"]["night"] = {"fuel": "electricity", "energy": "0.04 $/kWh"}
    data["prices"]["electricity"]["energy"] = "0.20 $/kWh"
    data["option"][0]["source"][1]["output"] = "12 kW"
    case = case_from(data)
    found = smallest(case, constant_weather(5.0), option="one", what="tank")
    assert found.smallest == 0.0
    assert found.value is not None
    assert found.value > 0.2
    assert found.cost < 0.6 * found.smallest_cost
    assert found.cost <= found.cost_today
    text = printed_size(case, found, "si")
    assert "of tanks that leave at most 0 hours too cold, the one that costs least" in text
    assert "none is needed" in text
    assert "counts as warm" not in text
    # a study that bears 20 hours is told that today's tank, with 14, is not among those that were asked for
    data["house"]["max_unmet_hours"] = 20
    borne = printed_size(case_from(data), replace(found, unmet_hours_today=14), "si")
    assert "Today's size counts as warm in this study, which bears 20 hours a year." in borne


def test_a_sweep_of_collectors_spans_what_the_study_holds() -> None:
    case = study({"kind": "solar", "area": "24 m2"}, ELECTRIC, tank__volume="600 L", tank__max_temperature="85 degC")
    areas = sweep_areas_m2(case, "one")
    assert areas[0] < 24.0 < areas[-1]
    assert 24.0 in areas


def test_a_tank_can_be_sized() -> None:
    night = {"kind": "off_peak_electric", "output": "40 kW", "windows": ["20:00-08:00"]}
    case = study(
        night,
        tank__volume="100 L",
        tank__loss="0 W/K",
        tank__max_temperature="80 degC",
        tank__design_supply_temperature="35 degC",
    )
    tank = smallest(case, constant_weather(10.0), option="one", what="tank")
    # twelve hours at 2 kW are 24 kWh; from 80 °C down to the 25 °C that 2 kW need are 55 K or 63.6 kWh/m³: 0.38 m³
    assert tank.value == pytest.approx(24 / (55 * 992.3 * 4179 / 3.6e6), rel=0.01)


def test_what_no_size_can_mend_is_said() -> None:
    small = [{"count": 1, "length": "40 m", "spacing": "200 mm", "flow": "2 L/min"}]
    found = smallest(study(ELECTRIC, floor__loops=small), constant_weather(-5.0), option="one", what="output")
    assert found.value is None
    assert found.unmet_hours == 8760


def test_the_next_square_metre_brings_less() -> None:
    case = study(
        {"kind": "solar", "area": "4 m2"},
        {**ELECTRIC, "output": "20 kW"},
        tank__volume="600 L",
        tank__max_temperature="85 degC",
    )
    steps = marginal_collector_area(case, GREENSBORO, option="one", areas_m2=[2.0, 6.0, 10.0, 14.0])
    assert steps[0].next_useful_j_m2 is None
    gains = [step.next_useful_j_m2 for step in steps[1:]]
    assert gains == sorted(gains, reverse=True)
    for step in steps[1:]:
        assert 0 < step.next_saved_m2 == pytest.approx(step.next_useful_j_m2 / 3.6e6 * 0.10, rel=0.15)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ({"option": "two", "what": "output"}, "is not an option"),
        ({"option": "one", "what": "tank"}, "has no tank to size"),
        ({"option": "one", "what": "output", "source": 4}, "name one from 1 to 1"),
        ({"option": "one", "what": "breaker"}, "has no breaker; size its output"),
    ],
)
def test_what_cannot_be_sized_is_said(arguments: dict, says: str) -> None:
    with pytest.raises(InputError, match=says):
        smallest(study(ELECTRIC), GREENSBORO, **arguments)
    with pytest.raises(InputError, match="has no solar source"):
        marginal_collector_area(study(ELECTRIC), GREENSBORO, option="one", areas_m2=[1.0])


def test_the_commands_print_and_give_json(capsys) -> None:
    import json

    for command in (["uncertainty"], ["breakeven"], ["lifecycle"], ["bill"], ["size", "--option", "Electric 7.2 kW"]):
        assert main([*command, "--json", "-"]) == 0
        assert json.loads(capsys.readouterr().out)
        assert main(command) == 0
        assert len(capsys.readouterr().out) > 100
    assert main(["size", "--option", "nix"]) == 2


def test_a_printed_bill_adds_up(capsys) -> None:
    assert main(["bill", "--option", "Natural gas"]) == 0
    lines = capsys.readouterr().out.strip().split("\n")
    amounts = [float(line.split()[-1].replace(",", "")) for line in lines[3:-3]]
    total = float(lines[-3].split()[-1].replace(",", ""))
    assert sum(amounts) == pytest.approx(total, abs=0.005 * len(amounts))


def test_the_installers_second_source() -> None:
    case = read_study("net_loft")
    found = smallest(
        case, load_weather(case), option="Electric and propane, the cheaper first", what="output", source=1
    )
    assert found.value == pytest.approx(10.2e3, rel=0.05)


def test_a_source_that_is_not_needed_has_no_smallest_size() -> None:
    case = study(ELECTRIC, {"kind": "gas", "output": "20 kW", "efficiency": "90 %", "min_output": "4 kW"})
    found = smallest(case, constant_weather(-5.0), option="one", what="output", source=0)
    assert found.value == 0.0
    assert found.unmet_hours == 0


def test_a_larger_tank_that_is_worse_hides_no_smaller_one_that_does() -> None:
    case = study({"kind": "electric", "output": "6.2 kW"}, tank__volume="3000 L", tank__loss="4 W/K")
    found = smallest(case, GREENSBORO, option="one", what="tank", hours=200)
    assert found.value is not None
    assert found.unmet_hours <= 200
    assert found.unmet_hours_today >= found.unmet_hours


@pytest.mark.parametrize("volume", ["10 L", "100 L", "20000 L"])
def test_the_size_of_a_tank_does_not_depend_on_the_one_typed(volume: str) -> None:
    night = {"kind": "off_peak_electric", "output": "40 kW", "windows": ["20:00-08:00"]}
    case = study(
        night,
        tank__volume=volume,
        tank__loss="0 W/K",
        tank__max_temperature="80 degC",
        tank__design_supply_temperature="35 degC",
    )
    tank = smallest(case, constant_weather(10.0), option="one", what="tank")
    # as above: 24 kWh over 55 K
    assert tank.value == pytest.approx(24 / (55 * 992.3 * 4179 / 3.6e6), rel=0.01)


def night_and_day(**tank: str) -> Case:
    """Cheap heat by night, dear heat by day, and a store between them."""
    night = {"kind": "off_peak_electric", "output": "12 kW", "windows": ["22:00-06:00"], "store": True}
    typed = {"volume": "50 L", "loss": "1 W/K", "max_temperature": "80 degC"} | tank
    data = study(
        night, {**ELECTRIC, "output": "12 kW"}, **{f"tank__{key}": value for key, value in typed.items()}
    ).typed
    data["option"][0]["source"][0]["price"] = "night"
    data["prices"]["night"] = {"fuel": "electricity", "energy": "0.04 $/kWh"}
    data["prices"]["electricity"]["energy"] = "0.20 $/kWh"
    data["economics"] = {"study_period": 10, "discount_rate": "0 %/year"}
    return case_from(data)


def test_the_price_of_the_tank_is_set_against_what_it_saves_over_the_study_period() -> None:
    """Ten years at no interest: a liter more must save a tenth of its price a year."""
    weather = constant_weather(5.0)
    free, dear = (
        smallest(night_and_day(cost_per_volume=price), weather, option="one", what="tank")
        for price in ("0 $/L", "15 $/L")
    )
    assert free.value is not None
    assert dear.value is not None
    # by day 3 kW for 16 h are 48 kWh: 0.69 m³ through 60 K carry them all; each liter saves 0.16 $/kWh × 0.069 kWh × 365 a year,
    # about 4 $, 40 $ in ten years, until the day is carried; dear at 15 $/L is still worth it, and at 60 $/L none is
    assert dear.value <= free.value
    assert dear.present_cost == pytest.approx(10 * dear.cost + 15e3 * dear.value)
    assert dear.present_cost < dear.present_cost_today
    too_dear = smallest(night_and_day(cost_per_volume="60 $/L"), weather, option="one", what="tank")
    assert too_dear.value == 0.0
    assert "price in it" in printed_size(case_from(night_and_day(cost_per_volume="15 $/L").typed), dear, "si")
    unknown = smallest(night_and_day(), weather, option="one", what="tank")
    assert "add cost_per_volume" in printed_size(night_and_day(), unknown, "si")
    assert unknown.value == free.value


def test_the_tank_of_an_option_is_the_one_that_is_sized() -> None:
    data = night_and_day().typed
    data["option"][0]["tank"] = data.pop("tank")
    found = smallest(case_from(data), constant_weather(5.0), option="one", what="tank")
    assert found.today == pytest.approx(0.05)
    assert found.value == smallest(night_and_day(), constant_weather(5.0), option="one", what="tank").value


def test_one_hour_that_is_borne_needs_its_hours() -> None:
    """In a winter of one temperature all hours lack the same: one that is borne spares nothing."""
    case = study({"kind": "electric", "output": "1 kW"})
    none, one = (smallest(case, constant_weather(0.0), option="one", what="output", hours=hours) for hours in (0, 1))
    assert none.value is not None
    assert one.value == pytest.approx(none.value, rel=1e-3)
    assert (none.borne_hours, one.borne_hours, one.unmet_hours) == (0, 1, 0)
