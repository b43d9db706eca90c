"""Whole texts of the terminal from made-up results: what stands in them, in which order, and when a part is left out."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from views.made import but

from costsim.analysis.sizing import Size
from costsim.views import (
    decision_rows,
    homes_totals,
    result_json,
    tables,
    text_capacity,
    text_house,
    text_portfolio,
    text_sizing,
)
from costsim.views.homes_totals import look_note, printed_looks

KWH = 3.6e6


def some(**more: Any) -> Any:
    return SimpleNamespace(**more)


def house(**more: Any) -> str:
    wall = some(name="Wall", area_m2=120.0, u_value_known_w_m2k=0.4567, difference_share=0.5, loss_w_k=27.4)
    air = some(changes_per_s=20 / 3600, loss_w_k=lambda altitude_m: 40.0)
    made = {"name": "Barn", "models": lambda: ([wall], air), "loss_w_k": 67.4, "without_area": (), "house": {}, "notes": (), "unused": ()}  # fmt: skip
    return text_house.text_building(some(**{**made, **more}), "si")


def test_a_building_that_was_read_is_printed_with_what_is_missing() -> None:
    """A barn whose air changes twenty times an hour."""
    head, table = house().split("\n\n")
    assert head == "Barn: 1 surfaces with area and U-value"
    rows = [line.split() for line in table.split("\n")[1:]]
    assert rows[0] == ["Wall", "120.0", "m²", "0.457", "W/(m²", "K)", "50%", "27.4", "W/K"]
    assert rows[1][:5] == ["air,", "20.00", "changes", "an", "hour,"]
    assert rows[2] == ["together", "67.4", "W/K"]
    assert "air" not in house(models=lambda: ([], None))
    assert "together" not in house(models=lambda: ([], None))
    lacking = house(without_area=[{"name": "Roof", "u_value": "0.2"}])
    assert "1 surfaces have no area in the file" in lacking
    assert "Roof (0.2)" in lacking
    assert "Also read: floor_area 90 m2, gains 300 W" in house(house={"floor_area": "90 m2", "gains": "300 W"})
    assert "Taken for granted\n  a note" in house(notes=["a note"])
    for count, more in ((80, ""), (81, "  … and 1 more"), (95, "  … and 15 more")):
        part = house(unused=[f"/p{at}" for at in range(count)]).partition("Not used\n")[2].split("\n")
        assert part[:80] == [f"  /p{at}" for at in range(min(count, 80))]
        assert "\n".join(part[80:]) == more
    assert max(map(len, house(notes=["word " * 60]).split("\n"))) <= 110


def capacity(**more: Any) -> list[str]:
    made = some(option="Gas", sources=(), failures=(), verdict=None, curtailment=some(hours=0, propane_gal=0.0))
    return text_capacity._option(but(made, **more), "si").split("\n")


def test_what_fails_and_how_long_fuel_lasts_are_told_under_an_option(monkeypatch: pytest.MonkeyPatch) -> None:
    assert len(capacity()) == 2  # name and headings
    held = capacity(curtailment=some(hours=1, propane_gal=1234.4), verdict=some(reasons=("one", "two")))
    assert held[2:4] == ["  program: one", "  program: two"]
    assert held[4].startswith("  held off by the utility for at most 1 h in a row")
    assert "1,234 gal" in held[4]
    source = some(
        name="S", rated_w=1e4, derated_w=1e4, delivered_w=9e3, derates=(), day_hours=24.0, day_w=1e4, full_load_hours=1.0, tank_hours=None, boils_off=None,
    )  # fmt: skip
    monkeypatch.setattr(text_capacity, "boils_off_text", lambda found, system: "boils")
    lines = capacity(sources=(source, but(source, name="T", tank_hours=1234.4, boils_off=1)))
    assert lines[-2:] == ["  T: the tank lasts 1,234 h at design load, from 80 % to 20 % full", "  T: boils"]
    assert len(lines) == 6


def test_how_cold_it_gets_when_something_fails() -> None:
    def told(lowest_c: float, levels: dict[float, int | None]) -> str:
        failure = some(what="Pump", lowest_c=lowest_c, hours_to_level=levels)
        (line,) = text_capacity.failure_lines(some(failures=(failure,)), "si")  # type: ignore[arg-type]
        return line

    assert (
        told(17.6, {15.0: None, 0.0: None})
        == "  without Pump in the coldest week: the others carry on, the house stays at 18 °C or warmer"
    )
    assert (
        told(9.0, {15.0: 7, 0.0: None})
        == "  without Pump in the coldest week: the house falls to 9 °C; 15 °C after 7 h"
    )
    assert told(-2.0, {15.0: 7, 0.0: 30}).endswith(
        "; 15 °C after 7 h, 0 °C after 30 h (pipes in outside walls may freeze)"
    )


def test_a_loop_gives_what_its_water_and_its_surface_allow() -> None:
    """4 loops of 50 W/K at 20 K over the room give 1 kW each; their surface 3.2 kW together, 0.8 each."""
    loop = some(
        name="Hall", flow_m3_s=2e-5, regime="between", head_pa=1.5e4, heat_w_k=50.0, surface_limit_w=8000.0, count=4
    )
    report: Any = some(
        design_supply_temperature_c=40.0, indoor_temperature_c=20.0, loops=(loop, but(loop, surface_limit_w=3200.0))
    )
    headings, rows = text_capacity.loop_rows(report, "si")
    assert [row[2:] for row in rows] == [["mixed", "15.0", "1.00", "2.00"], ["mixed", "15.0", "0.80", "0.80"]]
    assert len(headings) == len(rows[0])


def test_a_tank_of_propane_is_enough_for_full_fire_for_the_design_load_or_for_neither() -> None:
    tank = some(tank_m3=1.9, gives_w=20e3, coldest_c=-15.4, burns_w=30e3, design_w=20e3, enough=False)
    assert "; it carries the fire of the design night, which burns 20 kW" in text_capacity.boils_off_text(tank, "si")
    assert "boils off only 20 kW at -15 °C, 30 % full, and full fire burns 30 kW" in text_capacity.boils_off_text(
        tank, "si"
    )
    assert "not even the fire of the design night, which burns 21 kW" in text_capacity.boils_off_text(
        but(tank, design_w=21e3), "si"
    )
    full = text_capacity.boils_off_text(but(tank, enough=True), "si")
    assert full.startswith("the tank of 1,900 L boils off 20 kW at -15 °C, 30 % full; full fire burns 30 kW")


def decision(**more: Any) -> Any:
    swing = some(volatility=0.123, reversion=0.2, source="typed")
    made = some(
        drivers={f"price of p{at}": 0.3 - 0.01 * at for at in range(8)}, pair=("Gas", "Oil, old"), waiting=(("Gas", 0.0), ("Pump", 512.4), ("Oil, old", -40.0)),
        swings={"natural_gas": swing, "propane": swing, "wood": some(volatility=0.05, reversion=0.2, source="typed")},
    )  # fmt: skip
    return but(made, **more)


def test_what_a_decision_hangs_on_and_what_waiting_costs() -> None:
    _, rows = decision_rows.driver_rows(decision())
    assert [row[1] for row in rows] == ["30%", "29%", "28%", "27%", "26%", "25%"]
    assert "of Gas against “Oil, old” most" in decision_rows.driver_title(decision())
    case: Any = some(today=None, options=[some(name="Gas"), some(name="Pump")], currency="$")
    assert decision_rows.waiting_lines(case, decision()) == [
        "Keeping Gas a year longer, then Gas: $0 less in today's money.",
        "Keeping Gas a year longer, then Pump: $512 more in today's money.",
        "Keeping Gas a year longer, then “Oil, old”: $40 less in today's money.",
    ]
    case.today = some(name="Wood")
    assert decision_rows.waiting_lines(case, decision(waiting=(("Gas", 0.6),))) == [
        "Keeping Wood a year longer, then Gas: $1 more in today's money."
    ]
    headings, swings = decision_rows.swing_rows(decision())
    assert swings[0][1:] == ["12.3%", "20%", "typed"]
    assert len(headings) == 4
    lines = decision_rows.swing_lines(decision())
    assert lines[0].startswith(
        "Path of the price of natural gas, propane: a year moves it by 12.3% (standard deviation), and 20%"
    )
    assert lines[1].startswith("Path of the price of wood: a year moves it by 5.0%")
    assert len(lines) == 2


def sized(**more: Any) -> str:
    found: Any = Size("A", "output", "power", 8000.0, 12e3, 3, 1500, 900.0, 950.0, 5)
    case: Any = some(currency="$", house=some(max_unmet_hours=20))
    return text_sizing.printed_size(case, Size(**{name: getattr(found, name) for name in Size.__slots__} | more), "si")  # type: ignore[attr-defined]


def test_a_size_is_told_with_what_it_leaves_and_costs() -> None:
    text = sized()
    assert text.startswith(
        "A: the smallest output is 8.0 kW (today 12.0 kW: 1,500 hours too cold, $950 a year);\nit leaves 3 hours too cold and costs $900 a year."
    )
    none = sized(value=None, unmet_hours=1400)
    assert none.startswith(
        "A: no output brings the 1,500 hours too cold down to what is accepted; 1,400 hours are left. Something"
    )
    assert "are left (too cold)." in sized(value=None, ground="too cold")
    nothing = sized(value=0.0)
    assert nothing.startswith(
        "A: nothing of this output is needed in this weather year (today 12.0 kW); the rest suffices"
    )
    assert nothing.endswith("costs $900, against $950 today.")
    assert "nothing of this" not in sized(value=0.9)
    breaker = sized(what="breaker", dimension="current", value=50.0, today=60.0, ground="plate")
    assert breaker.startswith("A: the circuit takes a breaker of 50 A (plate; today 60.0 A: 1,500 hours too cold")
    tank = {"what": "tank", "dimension": "volume", "value": 0.5, "today": 0.3, "years": 20, "borne_hours": 4}
    text = sized(**tank, smallest=0.2, smallest_cost=930.0, present_cost=20e3, present_cost_today=21e3)
    assert "at most 4 hours too cold, the one that costs least over 20 years is\n500.0 L (today 300.0 L" in text
    assert "With no more hours too cold the smallest is 200.0 L, at $930 a year." in text
    assert "cost $20,000, against $21,000 today, without the tank's own price" in text
    assert "none is needed" in sized(**tank, smallest=0.0, tank_cost_known=True)
    assert "none is needed" not in sized(**tank, smallest=0.001)
    for today, said in ((4, False), (5, True), (20, True), (21, False)):
        assert ("which bears 20 hours" in sized(**tank | {"unmet_hours_today": today})) is said


def lines_of(bill: Any, **price: Any) -> list[list[str]]:
    case: Any = some(currency="$", prices={"wood_pellets": some(**price)})
    ((_, rows),) = tables.bill_rows(case, some(bills={"wood_pellets": bill}), "si")  # type: ignore[arg-type]
    return rows


def test_every_line_of_a_bill_has_its_unit_and_the_total_stands_below() -> None:
    def line(unit: str, quantity: float, rate: float, amount: float, month: int = 3) -> Any:
        return some(month=month, label="energy", unit=unit, quantity=quantity, rate=rate, amount=amount)

    made = [
        line("J", 2 * KWH, 0.0, 0.5), line("J", 0.0, 0.0, 0.0), line("W", 7500.0, 0.012, 90.0), line("money", 100.0, 0.0625, 6.25),
        line("month", 2.0, 9.5, 19.0),
        line("month", 1.0, 9.5, 9.5), line("month", 0.5, 9.5, 4.75, 0),
    ]  # fmt: skip
    bill = some(lines=made, total=129.0, without_heating=None)
    sold = lambda key, joule, system: (joule / KWH, "therms")  # noqa: E731
    rows = lines_of(bill, sold=sold)
    assert [row[2:4] for row in rows[:-1]] == [
        ["2.00 therms", "$0.25/therm"], ["0.00 therms", ""], ["7.50 kW", "$12.00/kW"], ["$100.00", "6.250%"], ["2 months", "$9.50"],
        ["1 month", "$9.50"], ["0.5 month", "$9.50"],
    ]  # fmt: skip
    assert [rows[0][0], rows[6][0]] == ["Mar", "year"]
    assert rows[-1] == ["", "wood pellets, whole bill", "", "", "129.00"]
    both = lines_of(some(lines=[], total=129.0, without_heating=1000.0), sold=sold)
    assert [row[1:] for row in both] == [
        ["wood pellets, what heating adds", "", "", "129.00"],
        ["wood pellets of the house without heating", "", "", "1,000.00"],
        ["wood pellets of the house with heating", "", "", "1,129.00"],
    ]
    found = result_json.bills_json(some(name="A", bills={"wood": some(total=1.0, fixed=2.0, lines=made[:1])}))  # type: ignore[arg-type]
    assert found == {
        "option": "A",
        "bills": [
            {"name": "wood", "total": 1.0, "fixed": 2.0,
             "lines": [{"month": 3, "label": "energy", "quantity": 2 * KWH, "unit": "J", "rate": 0.0, "amount": 0.5}]},
        ],
    }  # fmt: skip


def test_what_is_bought_has_a_decimal_below_twenty() -> None:
    """A kilowatt-hour of electricity is one whatever the system."""

    def said(kwh: float, fuel: str = "electricity") -> str:
        return tables.bought(some(fuel=fuel, input_j=kwh * KWH, heat_content=None), "si")  # type: ignore[arg-type]

    assert [said(kwh) for kwh in (19.94, 20.0, 20.6, 1234.4)] == ["19.9 kWh", "20 kWh", "21 kWh", "1,234 kWh"]
    assert said(9.0, "sun") == ""


def homes(**more: Any) -> dict[str, Any]:
    spread = {"quantiles": [100.0, 200.0, 1250.4, 1300.0, 2000.0]}
    one = {
        "name": "Gas", "cost": spread, "cheapest_share": 0.25, "cheapest_warm_share": None, "unmet_kwh": {"quantiles": None}, "homes_short_share": 0.005,
        "coincident_peak_kw": 1.0, "coincident_peak_at": "", "coincident_peak_hours": 0, "peak_hours_mean_kw": None, "peak_hours_highest_kw": 1.0,
    }  # fmt: skip
    made = {
        "study": "Row", "homes": 1234, "weight": 1234, "homes_set_aside": 0, "read": [], "today": None, "kept_columns": [], "coldest": [], "currency": "$",
        "computed_one_by_one_because_of": [], "options": [one], "quantiles": [0.05, 0.25, 0.5, 0.75, 0.95], "warm_at_most_hours_short": 20,
        "changes_nothing": [], "loads": {"by_fuel": [], "by_area": ""}, "loads_found": {"by_fuel": 0, "by_area": 0, "both": 0, "by_study": 0},
        "rows_in_cells": 0,
        "by_study_value": [], "size_column": "", "look": [], "pairs": [], "by": "town", "peak_hours": "17:00-21:00",
    }  # fmt: skip
    return {**made, **more}


def test_the_summary_of_homes_has_each_part_that_there_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_portfolio, "printed_totals", lambda _: ["TOTALS"])
    parts = text_portfolio.printed_portfolio(homes(), "out").split("\n\n")
    assert parts[0].startswith("Row\n===\n1,234 homes.")
    assert parts[1] == "TOTALS"
    assert parts[2].startswith("The peak is of heating alone")
    assert parts[3].split("\n")[1].split() == ["Gas", "$100", "$200", "$1,250", "$1,300", "$2,000", "25.0%", "–"]
    assert parts[3].endswith(
        "Enough heat: at most 20 unmet hours a year. Homes that no option heats enough count for none."
    )
    assert parts[4].split("\n")[1].split() == ["Gas", *["–"] * 5, "0.5%"]
    assert "homes with over 20 unmet h" in parts[4]
    assert parts[5].endswith("Peak hours: 17:00-21:00.")
    assert len(parts) == 7
    assert parts[6].startswith("In out: totals.csv")
    none = text_portfolio.printed_portfolio(homes(homes=0), "out").split("\n\n")
    assert len(none) == 2
    told = text_portfolio.printed_portfolio(homes(size_column="Boiler"), "out").split("\n\n")
    assert "or by a column such as Boiler." in told[1].replace("\n", " ")
    assert len(told) == 8
    for aside, said in (
        (1, "1 row was set aside and in no total: out/"),
        (1234, "1,234 rows were set aside and in no total: out/"),
    ):
        assert said in text_portfolio.printed_portfolio(homes(homes_set_aside=aside), "out")
    assert "set aside" not in parts[0]


def test_options_are_compared_where_there_are_pairs_or_a_heating_of_today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_portfolio, "printed_totals", lambda _: [])
    monkeypatch.setattr(text_portfolio, "_pairs", lambda _: "PAIRS")
    for more, told in (
        ({}, False),
        ({"pairs": [1]}, True),
        ({"today": {"column": ""}}, True),
        ({"pairs": [1], "today": {"column": ""}}, True),
    ):
        assert ("PAIRS" in text_portfolio.printed_portfolio(homes(**more), "out")) is told
    # lines of 115 letters, and no word is broken
    assert len(text_portfolio.wrapped([f"{'a' * 57} {'b' * 57}"])) == 1
    assert len(text_portfolio.wrapped([f"{'a' * 57} {'b' * 58}"])) == 2
    assert text_portfolio.wrapped(["w" * 130]) == ["w" * 130]


def test_homes_against_today_or_against_each_other() -> None:
    spread = {"quantiles": [-100.0, 0.0, 100.0, 200.0, 300.0]}
    row = {
        "option": "Pump", "saves": spread, "saves_share": 0.8, "saves_total": -1500.0, "homes_warm_in_both": 12.0,
        "saves_warm_in_both_mean": None, "peak_hours_less_kwh": -5.4,
        "other_hours_more_kwh": 1234.0, "other_hours_most_more_kw": 7.0,
    }  # fmt: skip
    today = {"rows": [row], "column": "", "option": "Gas", "by_value": [], "homes": 15.0, "cost_total": 9000.0}
    pair = {
        "first": "Gas", "second": "Pump", "second_costs_more_by": spread, "second_costs_more_mean_of_warm_in_both": -5.0, "second_is_cheaper_share": 0.5,
        "homes_warm_in_both": 9.0, "peak_hours_less_kwh": 1.0, "other_hours_more_kwh": 2.0, "other_hours_most_more_kw": 3.0,
    }  # fmt: skip
    told = text_portfolio._pairs(homes(today=today, pairs=[pair] * 20))
    assert "saves a year against today" in told
    assert "Today: Gas, in all homes" in told
    assert "+5 kWh" in told  # its own, not the pairs'
    assert "more pairs stand" not in told
    assert "rather than" not in told
    for count, left in (
        (15, ""),
        (16, "\n1 more pairs stand in summary.json."),
        (20, "\n5 more pairs stand in summary.json."),
    ):
        text = text_portfolio._pairs(homes(pairs=[pair] * count))
        assert text.endswith(left or "3.0 kW")
        assert text.count("rather than Gas:") == 1
        assert "electricity of all homes" in text
    bare = text_portfolio._pairs(homes(today=today))
    assert "electricity" not in bare
    values = [
        {"homes": 3.0, "value": "gas", "option": "Gas", "why": ""},
        {"homes": 2.0, "value": "", "option": "", "why": "no option"},
    ]
    line, together = text_portfolio.today_lines(homes(today=today | {"column": "Now", "by_value": values}))
    assert line == (
        "Each home against its own heating of today, as Now says: gas: 3 homes, today's option Gas. (empty): 2 homes left out here: no option."
    )
    assert together.startswith(
        "As heated today, 15 homes pay $9,000 a year together. All of them by one option would save: Pump -$1,500;"
    )
    assert "electricity against today" in text_portfolio.shift_rows(homes(today=today))[0]
    mixed = text_portfolio.shift_rows(homes(today=today | {"option": None}))
    assert "electricity of all homes" in mixed[0]
    assert [row[0] for row in mixed[1]] == ["Pump"]


def test_values_that_look_wrong_stand_in_columns() -> None:
    look = [{"rows": [1], "column": "Area", "value": "1 m2", "why": "small"}]
    (text,) = printed_looks({"look": look, "look_count": 1})
    assert [line.split() for line in text.split("\n")] == [
        ["row", "column", "value", "in", "all", "totals,", "but", "look"], ["1", "Area", "1", "m2", "small"],
    ]  # fmt: skip
    head, row = text.split("\n")
    assert [head.index(one) for one in ("column", "value", "in all")] == [
        row.index(one) for one in ("Area", "1 m2", "small")
    ]
    assert printed_looks({"look": [], "look_count": 0}) == []
    assert look_note({"look_count": 11}) in printed_looks({"look": look * 11, "look_count": 11})[0]


def test_totals_have_when_the_peak_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(homes_totals, "peak_when", lambda one: f"at {one['name']}")
    rows = [{"homes": 3, "option": name, "bills [$]": 1234.6, "peak [kW]": 5.0, "peak at": "x"} for name in "AB"]
    headings, cells = homes_totals.total_rows(homes(all_homes=rows, options=[{"name": "A"}, {"name": "B"}]))
    assert len(headings) == len(cells[0])
    assert [(row[0], row[headings.index("at")], row[headings.index("bills")]) for row in cells] == [
        ("A", "at A", "$1,235"),
        ("B", "at B", "$1,235"),
    ]
    assert "homes" not in headings
