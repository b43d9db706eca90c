"""A design temperature that the weather year does not reach: what lacks there is said, by hand."""

from __future__ import annotations

import numpy as np
import pytest
from cases import constant_weather, study, wavy_weather

from costsim.analysis.needs import needs_of, stops_at_design, water_at_design_c
from costsim.analysis.select import select
from costsim.engine.lower import lower_study
from costsim.simulation import simulate
from costsim.study.case import case_from
from costsim.views.capacity_chart import left_lines
from costsim.views.design_night import beyond_weather, design_night_sentence
from costsim.views.size_rows import entered_text
from costsim.views.stops import stops_sentence
from costsim.views.text_layout import cooler_room_line

SMALL = {"kind": "electric", "output": "4.5 kW", "efficiency": "100 %"}


def test_the_gap_at_the_design_temperature_is_told_where_the_year_does_not_reach_it() -> None:
    """6 kW at -10 °C against 4.5 kW are 1.5 kW, where the year at -5 °C lacks 0.5 kW of its 5 kW."""
    result = simulate(study(SMALL), constant_weather(-5.0))
    assert abs(result.options[0].unmet.worst_w - 500.0) < 1.0
    told = design_night_sentence(result, "si")
    assert told == (
        "Hours too cold are those of this weather year, whose coldest is -5 °C. At your design temperature, -10 °C, one would be"
        " 1.5 kW short."
    )
    assert design_night_sentence(result, "si", ("other",)) == ""


def test_nothing_is_told_where_the_year_reaches_it_or_nothing_lacks() -> None:
    reached = simulate(study(SMALL), constant_weather(-10.0))
    assert not beyond_weather(reached)
    assert design_night_sentence(reached, "si") == ""
    large = simulate(study(SMALL | {"output": "6 kW"}), constant_weather(-5.0))
    assert beyond_weather(large)
    assert design_night_sentence(large, "si") == ""


def test_a_room_that_is_kept_cooler_is_told_what_to_type() -> None:
    """From 20 to -10 °C are 30 K; from 10 °C they are 20 K, 67 % of it."""
    case = study(SMALL)
    told = cooler_room_line(case, -10.0, "si")
    assert "sized at the house's 20 °C" in told
    assert "kept at 10 °C, such as a garage, loses about 67% of its share" in told
    assert cooler_room_line(case, 12.0, "si") == ""


def test_freezing_is_judged_at_the_design_night_where_that_is_colder_than_the_year() -> None:
    """A year at -5 °C and a design temperature of -10 °C: the parts must stand -10 °C; a year at -12 °C: those."""
    for outdoor_c, stands_c in ((-5.0, -10.0), (-12.0, -12.0)):
        common = lower_study(study(SMALL), constant_weather(outdoor_c))
        assert needs_of(common).coldest_c == stands_c


PUMP = {
    "kind": "heat_pump", "outdoor": ["-30 degC", "20 degC"], "outputs": ["9 kW", "9 kW"], "cut_out": "-40 degC", "defrost": "0 %",
}  # fmt: skip
EMITTERS = {"house__design_supply_temperature": "50 degC"}


def test_water_that_a_heat_pump_does_not_make_lacks_at_the_design_night() -> None:
    """At -5 °C 45 °C and 5 K are within 52 °C; the 50 °C of -10 °C and 5 K are not: all of 6 kW lack, or what a backup leaves."""
    mild, limited = constant_weather(-5.0), PUMP | {"max_outlet_temperature": "52 degC"}
    alone = simulate(study(limited, **EMITTERS), mild)
    assert alone.options[0].unmet.hours == 0
    assert design_night_sentence(alone, "si").endswith("At your design temperature, -10 °C, one would be 6.0 kW short.")
    beside = simulate(study(limited, SMALL, **EMITTERS), mild)
    assert design_night_sentence(beside, "si").endswith("one would be 1.5 kW short.")
    for fine in (PUMP, PUMP | {"max_outlet_temperature": "55 degC"}):
        assert design_night_sentence(simulate(study(fine, **EMITTERS), mild), "si") == ""
    # the tank of its own is never hotter than 45 °C, whatever the emitters would need
    cool = study(limited, **EMITTERS, tank__volume="300 L", tank__max_temperature="45 degC")
    assert stops_at_design(lower_study(cool, mild), cool.options[0]) == (False,)
    assert stops_at_design(alone.lowered, alone.lowered.case.options[0]) == (True,)
    assert abs(water_at_design_c(alone.lowered, alone.lowered.case.options[0]) - 50.0) < 1e-9


def test_the_water_of_an_options_own_tank_counts_at_the_design_night() -> None:
    """The study's emitters run on 50 °C at design; a tank of the option's own ends at 40 °C, which the unit makes."""
    case = study(PUMP | {"max_outlet_temperature": "52 degC"}, **EMITTERS)
    data = {
        **case.typed,
        "option": [case.typed["option"][0] | {"tank": {"volume": "300 L", "max_temperature": "40 degC"}}],
    }
    own = case_from(data)
    common = lower_study(own, constant_weather(-5.0))
    assert water_at_design_c(common, own.options[0]) == 40.0
    assert stops_at_design(common, own.options[0]) == (False,)


def test_why_nothing_is_left_in_the_coldest_hour_is_the_water_not_the_cold() -> None:
    """At -5 °C 50 °C leave the unit; 48 °C is what it makes."""
    result = simulate(study(PUMP | {"max_outlet_temperature": "48 degC"}, SMALL, **EMITTERS), constant_weather(-5.0))
    told = left_lines(result, result.options[0], "si")
    assert told[0] == "nothing in the weather year's coldest hour: it makes no water above 48 °C"
    assert told[1] == ""


@pytest.mark.long
def test_sizes_for_the_coldest_night_do_not_count_on_it_and_the_page_to_sign_says_so() -> None:
    """The backup beside it must carry the whole 6 kW with the margin, beside one that makes 55 °C nothing."""
    weather, backup = constant_weather(-5.0), {"kind": "electric", "output": "9 kW", "backup_only": True}
    found = {}
    for limit in ("52 degC", "55 degC"):
        case = study(PUMP | {"max_outlet_temperature": limit}, backup, **EMITTERS)
        [option] = select(case, weather).options
        found[limit] = option.sources
    target = 6000.0 * (1.0 + found["52 degC"][0].margin_share)
    assert [one.stops_at_design for one in found["52 degC"]] == [True, False]
    assert abs(found["52 degC"][1].needed_w - target) < 1e-6
    assert found["55 degC"][1].needed_w == 0.0
    assert all(step.left_w == 0.0 for step in found["52 degC"][0].steps)
    assert all(step.left_w > 0.0 for step in found["55 degC"][0].steps)
    assert "nothing at the design load, whose water is hotter than it makes" in entered_text(found["52 degC"][0], "si")
    assert "nothing at the design load" not in entered_text(found["55 degC"][0], "si")
    [lone] = select(study(PUMP | {"max_outlet_temperature": "52 degC"}, **EMITTERS), weather).options
    assert lone.sources[0].chosen is None
    assert lone.sources[0].note.startswith("at the design load the water is hotter than it makes")


def test_a_heat_pump_s_stop_in_the_cold_names_its_stop_for_hot_water_too() -> None:
    """A quarter of the year each at -25, -5, 5 and 15 °C: 2,190 h below -20 °C, and at -5 °C alone 50 °C leave the unit for its 48 °C."""
    weather = wavy_weather(np.resize([-25.0, -5.0, 5.0, 15.0], 8760))
    pump = {key: value for key, value in PUMP.items() if key != "cut_out"}
    result = simulate(study(pump | {"max_outlet_temperature": "48 degC"}, SMALL, **EMITTERS), weather)
    line = left_lines(result, result.options[0], "si")[0]
    assert line.startswith(
        "nothing in the weather year's coldest hour: it stops below -20 °C outside (2,190 hours of the year), and makes no"
        " water above 48 °C (2,190 more hours)"
    )
    sentence = stops_sentence(result, "si")
    assert (
        "below -20 °C, 2,190 hours here, and by their own limit for 2,190 more hours that need hotter water" in sentence
    )
    hour = wavy_weather(np.array([-25.0, -5.0, *[15.0] * 8758]))
    lone = simulate(study(pump | {"max_outlet_temperature": "48 degC"}, SMALL, **EMITTERS), hour)
    assert (
        "(1 hour of the year), and makes no water above 48 °C (1 more hour)"
        in left_lines(lone, lone.options[0], "si")[0]
    )
    assert "-20 °C, 1 hour here, and by their own limit for 1 more hour that needs hotter" in stops_sentence(lone, "si")
    plain = simulate(study(pump, SMALL, **EMITTERS), weather)
    assert "below -20 °C, 2,190 hours here, and their backup" in stops_sentence(plain, "si")
    assert left_lines(plain, plain.options[0], "si")[0].startswith(
        "nothing in the weather year's coldest hour: it stops below -20 °C outside"
    )
    typed = simulate(study(pump | {"cut_out": "-20 degC"}, SMALL, **EMITTERS), weather)
    assert stops_sentence(typed, "si") == ""
