"""A design temperature that the weather year does not reach: what lacks there is said, by hand."""

from __future__ import annotations

from cases import constant_weather, study

from costsim.analysis.needs import needs_of
from costsim.engine.lower import lower_study
from costsim.simulation import simulate
from costsim.views.design_night import beyond_weather, design_night_sentence
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
