"""Lines of the tables and pages from made-up results: signs, units, one and many, and what is left out."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from stand_ins import Unit
from views.made import but

from costsim.views import homes_totals, tank_lines, text_uncertainty
from costsim.views.homes_totals import counted, look_note, look_rows, peak_when, read_lines, remark_lines, slow_line
from costsim.views.label_efficiency import label_sentence
from costsim.views.planner_cards import home_card, peak_card
from costsim.views.two_studies import MOST_ROWS, differing_rows, option_rows, titles, verdict_sentence

NEAR = pytest.approx


@pytest.mark.parametrize(
    ("what", "value", "us", "si"),
    [("indoor temperature", 1.0, "+1.8 °F", "+1.0 K"), ("indoor temperature", -0.5, "-0.9 °F", "-0.5 K"), ("winter", 0.07, "+7%", "+7%"),
     ("winter", -0.07, "-7%", "-7%"), ("price of gas", 1.2, "+20%", "+20%"), ("price of gas", 0.85, "-15%", "-15%")],
)  # fmt: skip
def test_drawn_values_are_told_by_how_much_they_are_off(what: str, value: float, us: str, si: str) -> None:
    assert text_uncertainty._drawn(what, value, "us") == us
    assert text_uncertainty._drawn(what, value, "si") == si


CASE: Any = SimpleNamespace(
    currency="$",
    economics=SimpleNamespace(study_period=20, discount_rate_share_per_year=0.03),
    house=SimpleNamespace(max_unmet_hours=20),
)


def step(**more: Any) -> str:
    one: Any = SimpleNamespace(
        option="B", against="A", net_present_value=1500.0, investment=1000.0, discounted_payback=7.26, ratio=2.5
    )
    one = but(one, **more)
    one.back_of_each = (one.net_present_value + one.investment) / one.investment if one.investment > 0 else None
    return text_uncertainty._step_line(one, {"A": True, "B": True}, CASE)


def test_what_an_addition_earns() -> None:
    text = step()
    assert text.startswith("B costs $1,000 more at the start than A and pays that back in 7.3 years")
    assert "each $1 of that brings back $2.50 in 20 years" in text  # 1,500 and the 1,000 themselves
    assert text.endswith("over 20 years it saves $1,500 in today's money.")
    assert "it saves $0 in" in step(net_present_value=0.0)
    assert "it costs $0 more in" not in step(net_present_value=0.0)
    assert "it costs $400 more in today's money" in step(net_present_value=-400.0)
    assert "does not pay that back within 20 years, interest counted" in step(discounted_payback=None)
    assert "brings back" not in step(net_present_value=-1000.0)
    assert "brings back $0.10" in step(net_present_value=-900.0)
    for spent in (0.0, -5.0):
        assert "B costs no more at the start than A; over 20 years" in step(investment=spent)
    assert "more at the start" in step(investment=1.0)
    assert "B costs no more" not in step(investment=0.5)
    one: Any = SimpleNamespace(
        option="B", against="A", net_present_value=1234.0, investment=1000.0, discounted_payback=None
    )
    assert "less than about $2,200 to buy" in text_uncertainty._step_line(one, {"A": True, "B": False}, CASE)
    assert "at most about $2,200 more to buy than A" in text_uncertainty._step_line(one, {"A": False, "B": True}, CASE)
    never = text_uncertainty._step_line(but(one, net_present_value=-1500.0), {"A": True, "B": False}, CASE)
    assert never.startswith("B costs $500 more than A over 20 years, before its first cost")
    assert "costs $0 more than A" in text_uncertainty._step_line(
        but(one, net_present_value=-1000.0), {"A": True, "B": False}, CASE
    )


def test_what_is_held_against_a_cold_house_is_told() -> None:
    steps: Any = [
        SimpleNamespace(option="B", against="A", net_present_value=1.0, investment=0.0, discounted_payback=None)
    ]
    for hours, told in ((20, 1), (21, 2)):
        outlays: Any = [
            SimpleNamespace(option="A", priced=True, unmet_hours=hours),
            SimpleNamespace(option="B", priced=True, unmet_hours=0),
        ]
        lines = text_uncertainty.step_lines(CASE, outlays, steps)
        assert len(lines) == told
    assert "A leaves the house too cold for 21 hours" in lines[1]
    # of an addition that leaves it cold no saving and no first cost is told at all
    outlays = [SimpleNamespace(option=name, priced=name == "A", unmet_hours=21 * (name == "B")) for name in "AB"]
    (line,) = text_uncertainty.step_lines(CASE, outlays, steps)
    assert line.startswith("B leaves the house too cold for 21 hours a year")


RESULT: Any = SimpleNamespace(clock=["Jan 5, 6 am"], options=[])
BACK = SimpleNamespace(
    unfinished=0, count=90, setpoint_c=20.0, longest_h=2.51, outdoor_c=-10.0, longest_at=0, median_h=0.5
)


def test_how_long_it_takes_to_be_warm_again() -> None:
    text = tank_lines._back(RESULT, BACK, "si")  # type: ignore[arg-type]
    assert text == "back to 20 °C in 2 h 31 min at -10 °C outside (Jan 5, 6 am) at the longest, usually 0 h 30 min"
    assert tank_lines._back(RESULT, but(BACK, unfinished=3), "si").endswith(
        "; 3 of 90 times not before the next set-back"
    )
    assert (
        tank_lines._back(RESULT, but(BACK, unfinished=90), "si")
        == "never back to 20 °C before the next set-back, 90 times a year"
    )
    assert [tank_lines._duration(hours) for hours in (0.0, 0.999, 1.0, 2.0 / 60, 25.5)] == [
        "0 h 00 min",
        "1 h 00 min",
        "1 h 00 min",
        "0 h 02 min",
        "25 h 30 min",
    ]


def test_zones_say_what_their_loops_give() -> None:
    zone = SimpleNamespace(
        name="Up",
        design_load_w=2000.0,
        loops_give_w=1800.0,
        supply_c=40.0,
        loops=3,
        unmet_hours=0,
        loops_short_hours=0,
        recovery=None,
    )
    option: Any = SimpleNamespace(name="Gas", zones=[zone])
    assert tank_lines._zone_lines(RESULT, option, "si") == [
        "Gas, Up: design load 2.0 kW, its 3 loops give 1.8 kW with 40 °C water; always warm enough"
    ]
    option.zones = [but(zone, loops_give_w=None, unmet_hours=1234, loops_short_hours=1000, recovery=BACK)]
    (text,) = tank_lines._zone_lines(RESULT, option, "si")
    assert text.startswith(
        "Gas, Up: design load 2.0 kW; 1,234 hours too cold, 1,000 of them because its loops are too small; back to 20 °C"
    )
    option.recovery = BACK
    assert tank_lines._recovery_lines(RESULT, option, "si") == []  # the zone has said it
    option.zones = []
    assert tank_lines._recovery_lines(RESULT, option, "si")[0].startswith("Gas: back to 20 °C")
    option.recovery = None
    assert tank_lines._recovery_lines(RESULT, option, "si") == []


def test_heat_pumps_say_their_season_and_the_sun_its_share() -> None:
    def lines(**more: Any) -> list[str]:
        source = SimpleNamespace(name="Pump", fuel="electricity", heat_j=30.0, input_j=9.0, auxiliary_j=1.0)
        return tank_lines._scop_lines(
            SimpleNamespace(options=[SimpleNamespace(name="O", sources=[but(source, **more)])])
        )  # type: ignore[arg-type]

    assert lines()[0].startswith("O: Pump gives 3.0 units of heat")
    for more, told in (
        ({"heat_j": 9.45}, False),
        ({"heat_j": 9.46}, True),
        ({"fuel": "wood"}, False),
        ({"input_j": 0.0}, False),
    ):
        assert bool(lines(**more)) is told
    sun = SimpleNamespace(year=0.25, summer=0.8, hot_water=0.6, space=0.1)

    def solar(hours: int = 0, **more: Any) -> list[str]:
        sources = [SimpleNamespace(facts={"stagnation_hours": hours}), SimpleNamespace(facts={})]
        return tank_lines._solar_lines(
            SimpleNamespace(options=[SimpleNamespace(name="O", solar=but(sun, **more), sources=sources)])
        )  # type: ignore[arg-type]

    assert solar() == [
        "O: 25% of the heat put into the tank over the year, 80% in the five months of summer, 60% for hot water, 10% for the house"
    ]
    assert solar(hot_water=None) == [
        "O: 25% of the heat put into the tank over the year, 80% in the five months of summer"
    ]
    assert solar(summer=None, space=None) == ["O: 25% of the heat put into the tank over the year, 60% for hot water"]
    assert solar(1234)[0].endswith("; the collectors stand hot for 1,234 hours, as the tank is full")
    use = SimpleNamespace(name="Hot water", heat_j=7.2e9, unmet_hours=0, cool=None)
    options = [
        SimpleNamespace(name="A", uses=[use]),
        SimpleNamespace(name="B", uses=[but(use, unmet_hours=1)]),
        SimpleNamespace(name="C", uses=[but(use, unmet_hours=2)]),
    ]
    assert tank_lines._use_lines(SimpleNamespace(options=options), "si") == [  # type: ignore[arg-type]
        "Hot water: 2,000.0 kWh a year; A: always hot enough; B: 1 hour too cool; C: 2 hours too cool"
    ]
    low = SimpleNamespace(hours=2, tank_c=37.6, gives_c=32.6, at=1)
    cold = SimpleNamespace(options=[SimpleNamespace(name="D", uses=[but(use, cool=low)])], clock=["", "Jan 28, 10 am"])
    assert tank_lines._use_lines(cold, "si")[0].endswith(  # type: ignore[arg-type]
        "; D: 2 hours with the tank too cool, 38 °C at worst, 33 °C from it at Jan 28, 10 am"
    )


@pytest.mark.parametrize(
    ("real", "more", "words"),
    [(0.914, {}, "92% on the label, 91% over the year with short"), (0.916, {}, ""), (0.95, {}, ""),
     (0.8, {"condensing": True}, "80% over the year with water as warm"),
     (0.8, {"burns_fuel": False}, ""), (0.8, {"efficiency_share": None}, "")],
)  # fmt: skip
def test_a_label_is_held_against_the_year(real: float, more: dict[str, Any], words: str) -> None:
    source: Any = Unit(**{"efficiency_share": 0.92, "burns_fuel": True, "condensing": False} | more)
    text = label_sentence(source, SimpleNamespace(heat_j=real * 1e9, input_j=1e9))  # type: ignore[arg-type]
    assert (words in text) if words else text == ""
    assert label_sentence(source, SimpleNamespace(heat_j=0.0, input_j=0.0)) == ""  # type: ignore[arg-type]


def test_a_planners_cards() -> None:
    watts = np.zeros((2, 24))
    watts[0, 5], watts[1, 7] = 3000.0, 9000.0
    sources = [SimpleNamespace(fuel="electricity"), SimpleNamespace(fuel="wood")]
    best: Any = SimpleNamespace(
        name="A", cost_total=1234.0, sources=sources, hourly=SimpleNamespace(demand_w=np.zeros(24), input_w=watts)
    )
    alone = SimpleNamespace(case=SimpleNamespace(today=None))
    result: Any = SimpleNamespace(currency="$", clock=[f"hour {at}" for at in range(24)], options=(), lowered=alone)
    card = home_card(result, best)
    assert (card.value, card.note) == ("$1,200 a year", "A · up to 3.0 kW of electricity, hour 5")
    assert home_card(result, but(best, sources=[sources[1]] * 2)).note == "A · no electricity"
    row = {"name": "A", "coincident_peak_kw": 2541.94, "coincident_peak_at": "Feb 5, 4 am", "coincident_peak_hours": 1}
    peak = peak_card({"homes": 1300, "options": [{"name": "B"}, row]}, best)
    assert (peak.value, peak.note) == ("2,541.9 kW", "A · 1,300 homes, Feb 5, 4 am")
    assert "2,541.9 kW ÷ 1,300 homes = 1.96 kW a home" in peak.math[0][0]
    assert peak_card({"homes": 0, "options": [row]}, best).math[0][0].startswith("2,541.9 kW ÷ 0 homes = 2,541.94")
    assert peak_card(None, best).value == peak_card({"homes": 1, "options": []}, best).value == "not run yet"


def totals(**more: Any) -> Any:
    return {
        "homes": 3, "weight": 3.0, "read": [], "today": None, "kept_columns": [], "computed_one_by_one_because_of": [], "changes_nothing": [],
        "loads": {"by_fuel": [], "by_area": ""}, "loads_found": {"by_fuel": 0, "by_area": 0, "both": 0, "by_study": 0}, "rows_in_cells": 0,
        "by_study_value": [], "size_column": "", "look": [], "look_count": 0, "by": "town", "warm_at_most_hours_short": 20, "currency": "$",
    } | more  # fmt: skip


def test_homes_are_counted_and_what_is_not_used_is_told() -> None:
    assert counted(totals()) == "3 homes."
    assert counted(totals(homes=1234, weight=1234.0)) == "1,234 homes."
    assert counted(totals(weight=4500.5)) == "3 rows, counting for 4,500.5 homes."
    two = [
        {"column": "Area", "key": "house.floor_area"},
        {"column": "Loss", "key": "house.design_heat_loss"},
        {"column": "C", "key": "house.gains"},
    ]
    assert read_lines(totals()) == []
    lines = read_lines(totals(read=two))
    assert len(lines) == 2  # two short ones on a line
    assert lines[0].count(" replaces: ") == 2
    long = [{"column": "x" * 60, "key": "house.gains"}, two[0]]
    assert len(read_lines(totals(read=long))) == 2
    assert read_lines(totals(kept_columns=["a", "b", "t"], today={"column": "t"})) == [
        "t: what heats each home today.  Kept, not used: a, b."
    ]
    assert slow_line(totals()) == ""
    assert slow_line(totals(read=two, computed_one_by_one_because_of=["house.gains", "use", "new"])) == (
        "Computed home by home, which takes longer: the column C; a use comes after the house; new."
    )
    value = [{"homes": 1, "column": "Area", "value": "100 m2"}, {"homes": 2, "column": "B", "value": ""}]
    told = remark_lines(
        totals(changes_nothing=[{"column": "X", "why": "w"}], by_study_value=value, size_column="Boiler")
    )
    assert told[:3] == [
        "X changes nothing here: w.",
        "1 home by the study's value: Area (100 m2).",
        "2 homes by the study's value: B.",
    ]
    assert "by a column such as Boiler" in told[3]
    assert remark_lines(totals()) == []


def test_values_that_look_wrong_are_shown_up_to_ten() -> None:
    look = [{"rows": list(range(1, at + 1)), "column": "c", "value": "v", "why": "w"} for at in (1, 5, 6)]
    assert [row[0] for row in look_rows(totals(look=look))[1]] == ["1", "1, 2, 3, 4, 5", "1, 2, 3, 4, 5 …"]
    assert len(look_rows(totals(look=look * 4))[1]) == 10
    for count, note in ((10, ""), (11, "1 more stand in summary.json."), (1300, "1,290 more stand in summary.json.")):
        assert look_note(totals(look_count=count)) == note
        in_file = "in the file of “These figures as JSON”."
        assert look_note(totals(look_count=count), on_page=True) == note.replace("in summary.json.", in_file)
    peak = {"coincident_peak_at": "Feb 5", "coincident_peak_hours": 1}
    assert [peak_when(peak | {"coincident_peak_hours": hours}) for hours in (1, 2, 3)] == [
        "Feb 5",
        "first Feb 5, and 1 hour more",
        "first Feb 5, and 2 hours more",
    ]
    assert peak_when(peak | {"coincident_peak_at": ""}) == "–"


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [("bills [$]", 1234.6, "$1,235"), ("peak [kW]", 99.94, "99.9"), ("peak [kW]", 100.4, "100"), ("peak [kW]", 0.0, "0"), ("CO2 [tons]", -5.25, "-5.2"),
     ("gas [therms]", 12.3, "12"), ("gas [therms]", 12_345.6, "12,346"), ("peak at", "", "–"), ("peak at", "x", "x"), ("CO2 [tons]", None, "not known")],
)  # fmt: skip
def test_cells_of_totals(name: str, value: Any, text: str) -> None:
    assert homes_totals._cell(name, value, "$") == text


def test_headings_of_totals() -> None:
    found = [
        homes_totals._titled(name, totals())
        for name in ("group", "bills [$]", "peak [kW]", "peak at", "homes over 20 h short", "gas [therms]")
    ]
    assert found == ["town", "bills", "peak kW", "at", "homes over 20 unmet h", "gas therms"]
    first, second = homes_totals.halves(
        ["o", "bills", "homes short", "home-hours short", "peak"], [["a", "1", "2", "3", "4"]]
    )
    assert first == (["o", "bills"], [["a", "1"]])
    assert second == (["o", "homes short", "home-hours short", "peak"], [["a", "2", "3", "4"]])


def compared(cost: float, name: str = "Gas", hours: int = 0, currency: str = "$") -> Any:
    one = SimpleNamespace(
        name=name, cost_total=cost, unmet=SimpleNamespace(hours=hours, energy_j=0.0), co2_kg=1000.0, keeps_warm=True
    )
    return SimpleNamespace(options=[one], currency=currency)


def test_two_studies_side_by_side() -> None:
    names = ("One", "Two")
    assert verdict_sentence(compared(500.0), compared(800.4), names).endswith("One costs $300 a year less.")
    assert verdict_sentence(compared(800.4), compared(500.0), names).endswith("Two costs $300 a year less.")
    assert verdict_sentence(compared(500.0), compared(500.4), names).endswith("Both cost the same.")
    assert verdict_sentence(compared(500.0), compared(501.0), names).endswith("One costs $1 a year less.")
    assert "less" not in verdict_sentence(compared(500.0), compared(800.0, currency="€"), names)
    headings, rows = option_rows(compared(500.0), compared(800.0, hours=1234), names)
    assert rows[0][:6] == ["Gas", "$500", "$800", "$300", "0", "1,234"]
    assert len(headings) == len(rows[0])
    assert headings[1:4] == ["One: a year", "Two: a year", "difference"]
    apart = option_rows(compared(500.0), compared(800.0, "Oil"), names)[1]
    assert [row[:4] for row in apart] == [["Gas", "$500", "", ""], ["Oil", "", "$800", ""]]
    assert option_rows(compared(500.0), compared(800.0, currency="€"), names)[1][0][3] == ""
    one, two = SimpleNamespace(title="T", file=""), SimpleNamespace(title="U?", file="my_house.toml")
    assert titles(one, two) == ("T", "My house")  # type: ignore[arg-type]
    assert titles(one, one) == ("T, this one", "T, the other")  # type: ignore[arg-type]


def test_keys_that_differ_are_listed_up_to_sixty() -> None:
    for count, rows in ((MOST_ROWS, MOST_ROWS), (MOST_ROWS + 1, MOST_ROWS + 1), (MOST_ROWS + 5, MOST_ROWS + 1)):
        found = differing_rows({f"k{at}": 1 for at in range(count)}, {f"k{at}": 2 for at in range(count)})[1]
        assert len(found) == rows
        assert (found[-1] == [f"… and {count - MOST_ROWS} more", "", ""]) == (count > MOST_ROWS)
    mixed = differing_rows({"a": [{"b": 1}, 5], "c": "x"}, {"a": [{"b": 2}, 5]})[1]
    assert mixed == [["a[1].b", "1", "2"], ["c", "x", "not given"]]
