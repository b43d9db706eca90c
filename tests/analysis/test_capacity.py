"""Capacities side by side, failures in the coldest week, and whether a program is open."""

from __future__ import annotations

from typing import Any

import pytest
from cases import demo, sample_weather, study

from costsim import load_weather, read_study, simulate
from costsim.analysis.capacity import OptionCapacity, as_json, capacity_report
from costsim.analysis.select import entered_choice
from costsim.analysis.size_steps import share_at_design
from costsim.cli.main import main
from costsim.engine.lower import lower_study, option_study
from costsim.physics.combustion import condensing_efficiency
from costsim.study.case import case_from
from costsim.views.capacity_chart import capacity_rows, left_w
from costsim.views.text_capacity import capacity_cells

SAND_POINT = sample_weather("sand_point.csv")
ELECTRIC = {"kind": "electric", "output": "20 kW"}
PROPANE = {"kind": "gas", "fuel": "propane", "output": "20 kW", "efficiency": "90 %", "tank_volume": "250 gal"}
HELD = {
    "kind": "off_peak_electric",
    "output": "9 kW",
    "store": False,
    "curtailment": {"coldest_hours": 100},
    "price": "electricity",
}
PROGRAMME = {"program__name": "Winter rate", "program__min_controlled_load": "8 kW", "program__separate_meter": False}


def look(*sources: dict, **house: Any) -> OptionCapacity:
    return capacity_report(study(*sources, **house), SAND_POINT).options[0]


def test_without_heat_the_house_cools_and_with_a_second_source_it_does_not() -> None:
    alone, both = look(ELECTRIC), look(ELECTRIC, PROPANE)
    assert [f.what for f in both.failures] == ["Electric boiler", "Propane boiler", "the power"]
    assert alone.failures[0].lowest_c < 5
    assert both.failures[0].lowest_c > 19
    assert both.failures[2].lowest_c == pytest.approx(alone.failures[1].lowest_c, abs=0.5)
    hours = [
        alone.failures[0].hours_to_level[level] for level in sorted(alone.failures[0].hours_to_level, reverse=True)
    ]
    assert hours == sorted(hours)


def test_a_slab_holds_the_house_longer_than_a_light_floor() -> None:
    slab = {"floor__loops": [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]}
    light, heavy = look(ELECTRIC).failures[0], look(ELECTRIC, **slab).failures[0]
    level = sorted(light.hours_to_level)[1]
    assert heavy.hours_to_level[level] > 1.5 * light.hours_to_level[level]


@pytest.mark.parametrize(
    ("sources", "more", "says"),
    [
        ((ELECTRIC,), {}, "no source is under the utility's control"),
        ((HELD,), {}, "there is no automatic backup"),
        ((HELD, {**PROPANE, "output": "4 kW"}), {}, "the backup gives 4.0 kW of the 6.0 kW design load"),
        ((HELD, {**PROPANE, "tank_volume": "4 gal"}), {}, "the propane tank lasts"),
        (
            (HELD, PROPANE),
            {"program__min_controlled_load": "12 kW"},
            "the controlled unit has 9.0 kW and 12.0 kW are asked for",
        ),
        ((HELD, PROPANE), {"program__separate_meter": True}, "not on a meter of its own"),
    ],
)
def test_not_eligible_because(sources: tuple, more: dict, says: str) -> None:
    verdict = look(*sources, **{**PROGRAMME, **more}).verdict
    assert verdict is not None
    assert not verdict.eligible
    assert any(says in reason and reason.startswith("not eligible because") for reason in verdict.reasons), (
        verdict.reasons
    )


def test_eligible_with_a_backup_that_carries_the_house() -> None:
    found = look(HELD, PROPANE, **PROGRAMME)
    assert found.verdict is not None
    assert found.verdict.eligible
    assert found.curtailment.hours == 12
    # every joule of the longest run is propane: at most 12 h of design load over 90 %
    assert 0 < found.curtailment.propane_m3 * 25.49e9 < 12 * 3600 * 6000 / 0.9
    assert found.sources[1].tank_hours == pytest.approx(250 * 0.6 * 91_452 * 1055.06 * 0.9 / 6000 / 3600, rel=1e-3)


def test_wood_does_not_count_as_automatic_backup() -> None:
    wood = {"kind": "wood", "charge": "20 kg", "burn_time": "5 h", "load_times": ["07:00"], "efficiency": "60 %"}
    verdict = look(HELD, wood, tank__volume="500 L", **PROGRAMME).verdict
    assert verdict is not None
    assert verdict.reasons == ("not eligible because there is no automatic backup (Wood boiler does not count)",)


def test_electric_heat_is_no_backup_on_a_grid_that_is_short_unless_the_programme_says_so() -> None:
    verdict = look(HELD, ELECTRIC, **PROGRAMME).verdict
    assert verdict is not None
    assert not verdict.eligible
    assert (
        "Electric boiler runs from the same grid, which counts only with program.grid_backup = true"
        in verdict.reasons[0]
    )
    allowed = look(HELD, ELECTRIC, **{**PROGRAMME, "program__grid_backup": True}).verdict
    assert allowed is not None
    assert allowed.eligible


def test_a_programme_may_count_wood() -> None:
    wood = {"kind": "wood", "charge": "40 kg", "burn_time": "5 h", "load_times": ["07:00"], "efficiency": "60 %"}
    verdict = look(HELD, wood, tank__volume="500 L", **{**PROGRAMME, "program__excluded_backup_fuels": []}).verdict
    assert verdict is not None
    assert "no automatic backup" not in verdict.reasons[0]


def test_the_installers_demo(capsys) -> None:
    case = read_study("net_loft")
    report = capacity_report(case, load_weather(case))
    assert [option.verdict.eligible for option in report.options] == [False, False, True]
    assert main(["capacity", "net_loft"]) == 0
    text = capsys.readouterr().out
    assert "without the power in the coldest week" in text
    assert "carbon monoxide" in text
    assert main(["capacity", "net_loft", "--json", "-"]) == 0
    assert as_json(report)["options"][0]["sources"][0]["rated_kw"] == pytest.approx(10.5)


def test_the_installers_demo_is_ten_kilowatts_short_at_breakfast() -> None:
    from costsim import simulate

    case = read_study("net_loft")
    alone, both, _ = simulate(case, load_weather(case)).options
    assert alone.unmet.worst_w == pytest.approx(10e3, abs=500)
    assert both.unmet.hours == 0


def test_a_study_without_floor_or_tank_still_gets_its_look() -> None:
    case = case_from(demo())
    report = capacity_report(case, load_weather(case))
    assert as_json(report)["floor_limit_kw"] is None


def test_without_power_a_warm_tank_is_no_help() -> None:
    source = {"kind": "electric", "output": "20 kW", "store": True}
    hours = []
    for volume in ("100 L", "5000 L"):
        found = look(source, tank__volume=volume, tank__max_temperature="80 degC", tank__store="80 degC")
        dark = next(one for one in found.failures if one.what == "the power")
        hours.append(dark.hours_to_level)
    assert hours[0] == hours[1]
    assert all(hours[0].values())


def test_lockouts_are_no_control_run() -> None:
    locked = {"kind": "gas", "fuel": "propane", "output": "20 kW", "efficiency": "90 %", "lockout_above": "5 degC"}
    held = {"kind": "electric", "output": "9 kW", "curtailment": {"coldest_hours": 60, "longest_run": "6 h"}}
    assert look(held, locked).curtailment.hours == 6
    assert look(locked).curtailment.hours == 0


def test_capacity_says_at_which_hour_it_derates_and_shows_design_beside_it(capsys: pytest.CaptureFixture[str]) -> None:
    """A flow-limited boiler without a tank leaves in the hour of highest demand what its flow carries from that hour's return, not design's.

    The floor sends back 16 L/min, cooler by the load over what that flow carries.
    """
    floor = {"floor__loops": [{"count": 8, "length": "90 m", "spacing": "300 mm", "flow": "2 L/min"}]}
    boiler = {**PROPANE, "flow": "5 L/min", "max_outlet_temperature": "65 degC"}
    report = capacity_report(study(boiler, place__design_outdoor="-2 degC", **floor), SAND_POINT)
    assert report.coldest_c == pytest.approx(float(SAND_POINT.outdoor_c.min()), abs=1.0)
    assert report.design_outdoor_c == pytest.approx(-2.0)
    source = report.options[0].sources[0]
    carries_w_k = 992.3 * 4179 / 60e3  # of each L/min
    returns_c = report.coldest_supply_c - report.coldest_demand_w / (16 * carries_w_k)
    carried = 5 * carries_w_k * (65 - returns_c)
    assert source.derated_w == pytest.approx(carried, rel=0.01)
    design_returns_c = report.design_supply_temperature_c - report.design_load_w / (16 * carries_w_k)
    at_design = 5 * carries_w_k * (65 - design_returns_c)
    assert abs(at_design - carried) > 0.02 * carried
    assert as_json(report)["derated_at"]["supply_c"] == report.coldest_supply_c
    assert main(["capacity", "net_loft"]) == 0
    out = capsys.readouterr().out
    assert "At design, 12 °F outside, the house loses 80.2 kBtu/h" in out
    assert "is for the hour of highest demand: 13 °F outside" in out


def test_limited_hours_and_fires_are_told_with_their_day_s_average() -> None:
    """9 kW from 22:00 to 06:00 gives 8 of 24 h, 3 kW over the day; two fires of 4 h give a third of what one does while it burns."""
    night = {"kind": "electric", "output": "9 kW", "windows": ["22:00-06:00"]}
    fire = {
        "kind": "wood",
        "charge": "25 kg",
        "burn_time": "4 h",
        "load_times": ["06:00", "18:00"],
        "efficiency": "60 %",
    }
    case = study(night, fire, tank__volume="2000 L")
    weather = sample_weather()
    (look,) = capacity_report(case, weather).options
    off_peak, wood = look.sources
    assert (off_peak.day_w, off_peak.day_hours) == (pytest.approx(3000.0, rel=1e-6), 8)
    assert "10.2 kBtu/h averaged over the coldest day, 8 of 24 h" in capacity_cells(off_peak, "us")[2]
    assert wood.derated_w == pytest.approx(wood.rated_w)
    assert wood.day_w == pytest.approx(wood.rated_w / 3)
    assert "sun" not in capacity_cells(wood, "us")[2]
    result = simulate(case, weather)
    left = left_w(result, result.options[0])
    assert [one.day_w for one in left] == [pytest.approx(one.day_w) for one in look.sources]
    assert "8 of 24 h" in capacity_rows(result, "us")[1][0][-1]


def test_a_condensing_unit_burns_by_the_water_of_the_design_load() -> None:
    """Radiators at 65 °C: flue gas of propane, dew point 54 °C, does not condense, so 8 % of its heat (HHV) and more leave as vapor.

    By hand, with 88.1 %: 250 gal × 0.6 × 91,452 Btu × 0.881 / 36,000 Btu/h = 336 h, and 45 / 0.881 = 51.1 kBtu/h at full fire.
    """
    unit = {"kind": "gas", "fuel": "propane", "output": "45 kBtu/h", "condensing": True, "tank_volume": "250 gal"}
    for plate in ({}, {"efficiency": "95 %"}):
        case = study(
            unit | plate, house__design_heat_loss="36 kBtu/h", house__emitter="radiators",
            tank__volume="100 gal", tank__max_temperature="80 degC", tank__design_supply_temperature="65 degC",
        )  # fmt: skip
        [source] = capacity_report(case, sample_weather()).options[0].sources
        assert source.tank_hours == pytest.approx(336, rel=0.01)
        assert source.boils_off is not None
        assert source.boils_off.burns_w == pytest.approx(51.1e3 * 1055.06 / 3600, rel=0.01)
        gas = entered_choice(lower_study(case, sample_weather()), case.options[0]).sources[0].entered_gas
        assert gas is not None
        assert gas.own_tank == source.boils_off
        assert gas.run_input_w == pytest.approx(source.boils_off.burns_w)  # the plate of 95 % would say 47.4 kBtu/h


@pytest.mark.parametrize("outdoor", ["15 degF", "-10 degF"])
def test_a_boiler_without_a_tank_burns_for_the_return_of_the_design_load(outdoor: str) -> None:
    """Radiators of 65 °C cool their water by the usual 10 K: 55 °C comes back at design, whatever the weather's busiest hour sends."""
    unit = {"kind": "gas", "fuel": "propane", "output": "20 kW", "condensing": True}
    data = demo()
    data["option"] = [{"name": "LP", "source": [unit]}]
    data["prices"] = {"electricity": data["prices"]["electricity"], "propane": {"energy": "2.5 $/gal"}}
    data["house"] |= {"emitter": "radiators", "design_supply_temperature": "65 degC"}
    data["place"]["design_outdoor"] = outdoor
    case = case_from(data)
    option = case.options[0]
    common = option_study(lower_study(case, load_weather(case)), option)
    expected = condensing_efficiency(return_c=55.0, fuel="propane")
    assert share_at_design(common, option, option.sources[0]) == pytest.approx(float(expected), rel=1e-9)
