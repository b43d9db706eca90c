"""Shares of the sun and of cheap hours in the heat of all homes, by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.portfolio.heat_shares import heat_shares, sun_saves
from costsim.views.homes_heat import heat_share_lines
from costsim.views.homes_today import today_lines


def source(**traits: Any) -> Any:
    """What is asked of a source."""
    return SimpleNamespace(**({"collects_sun": False, "windows": (), "utility_controlled": False} | traits))


def plan(*sources: Any) -> Any:
    """One option whose heats stand in columns 1, 2 and so on."""
    ready = SimpleNamespace(
        option=SimpleNamespace(sources=sources), sheet=SimpleNamespace(heat=slice(1, 1 + len(sources)))
    )
    return SimpleNamespace(options=[ready], columns=("wanted", "a", "b", "c")[: 1 + len(sources)])


def test_the_sun_and_cheap_hours_by_hand() -> None:
    three = plan(source(collects_sun=True), source(windows=("22:00-06:00",)), source())
    # 3.6 MJ are a kilowatt-hour: 2, 5 and 3 kWh of 10
    found = heat_shares(three, 0, {"wanted": 1.0, "a": 7.2e6, "b": 18e6, "c": 10.8e6})
    assert found["sun"] == {"kwh": pytest.approx(2.0), "share": pytest.approx(0.2)}
    assert found["cheap_hours"] == {"kwh": pytest.approx(5.0), "share": pytest.approx(0.5)}
    assert heat_shares(plan(source()), 0, {"a": 1.0}) == {}
    assert heat_shares(plan(source(collects_sun=True)), 0, {"a": 0.0}) == {}


def test_they_are_told_with_what_collectors_are_taken_to_be() -> None:
    shares = {"sun": {"kwh": 2000.0, "share": 0.2}, "cheap_hours": {"kwh": 5000.0, "share": 0.5}}
    assert heat_share_lines({"units": "si", "options": [{"name": "A", "heat_shares": shares}, {"name": "B"}]}) == [
        "A: the sun gives 2,000 kWh a year, 20% of the heat of all sources.",
        "A: 5,000 kWh a year, 50% of the heat, is made in cheap or controlled hours.",
        "Collectors are taken to be clean, unshaded and in order all year; in use they often give less.",
    ]
    assert heat_share_lines({"options": [{"name": "B", "heat_shares": {}}]}) == []


def test_what_a_cell_of_todays_heating_can_say_is_told_where_one_is_not_understood() -> None:
    def said(option: str | None) -> str:
        value = {"value": "coal", "homes": 2.0, "option": option, "why": "no option of the study is that"}
        today = {"column": "Fuel", "option": "", "by_value": [value], "rows": []}
        return " ".join(today_lines({"today": today, "currency": "$", "options": [{"name": "Gas"}, {"name": "Pump"}]}))

    assert "A cell can name an option (Gas, Pump) or a fuel that one option heats with alone:" in said(None)
    assert "A cell can name" not in said("Gas")


def test_what_the_sun_saves_and_what_is_lost_of_it_by_hand() -> None:
    boiler, sun = source(), source(collects_sun=True)
    sheets = [
        SimpleNamespace(heat=slice(0, 1), used=slice(1, 2), keys=("gas",)),
        SimpleNamespace(heat=slice(2, 4), used=slice(4, 5), keys=("gas",)),
    ]
    ready = [
        SimpleNamespace(option=SimpleNamespace(sources=each), sheet=sheet)
        for each, sheet in zip(((boiler,), (sun, boiler)), sheets, strict=True)
    ]
    recipe: Any = SimpleNamespace(options=ready, columns=("a", "b", "c", "d", "e"))
    # 100 kWh by the boiler alone; 91 kWh beside 14 kWh of the sun: 9 spared, 5 lost; gas falls from 110 to 99, by a tenth
    options = [
        {"name": "Gas", "totals": {"a": 3.6e8, "b": 110.0}, "heat_shares": {}},
        {"name": "Sun", "totals": {"c": 14 * 3.6e6, "d": 91 * 3.6e6, "e": 99.0}, "heat_shares": {"sun": {"kwh": 14.0, "share": 0.13}}},
    ]  # fmt: skip
    saves = sun_saves(recipe, 1, options)
    assert saves == {
        "than": "Gas",
        "kwh": pytest.approx(9),
        "lost_kwh": pytest.approx(5),
        "bought": {"gas": pytest.approx(0.1)},
    }
    assert sun_saves(recipe, 0, options) is None
    (_, line, _) = heat_share_lines({"units": "si", "options": [options[1] | {"sun_saves": saves}]})
    assert line.startswith(
        "Sun: against Gas, the sun saves 10.0% of the gas. It spares 9 kWh of other heat; the other 5 kWh"
    )
    assert line.endswith("cost first is taken off no saving here.")


def test_cheap_hours_that_cost_more_and_make_a_new_peak_are_named() -> None:
    shares = {"cheap_hours": {"kwh": 5000.0, "share": 0.5}}
    night = {
        "name": "Night",
        "heat_shares": shares,
        "coincident_peak_kw": 3514.0,
        "peak_hours_highest_kw": 20.0,
        "coincident_peak_at": "Jan 9, 10 pm",
    }
    rows: list[dict[str, Any]] = [
        {"option": "Night", "bills [$]": 342_790.0, "homes over 20 h short": 0.0},
        {"option": "Gas", "bills [$]": 251_350.0, "homes over 20 h short": 0.0},
        {"option": "Small", "bills [$]": 200_000.0, "homes over 20 h short": 1.0},  # cheapest, but leaves a home cold
    ]
    summary = {"units": "us", "currency": "$", "warm_at_most_hours_short": 20, "options": [night], "all_homes": rows}
    assert heat_share_lines(summary)[1:] == [
        "Night costs all homes $342,790 a year, $91,440 more than Gas, though its hours are cheap.",
        "Night makes a new peak outside the grid's peak hours: 3,514 kW at Jan 9, 10 pm, as all homes draw at the same time here.",
    ]
    electric = {"name": "E9", "coincident_peak_kw": 3200.0}  # 1.1 times 3,200 kW are 3,520 kW
    assert len(heat_share_lines(summary | {"options": [night, electric]})) == 2
    electric |= {"coincident_peak_kw": 3190.0}  # and of 3,190 kW 3,509 kW
    assert "makes a new peak" in heat_share_lines(summary | {"options": [night, electric]})[2]
    night |= {"coincident_peak_kw": 20.0}
    cold = [row | {"homes over 20 h short": 3.0} for row in rows]
    assert len(heat_share_lines(summary | {"all_homes": cold})) == 1
    rows[0]["bills [$]"] = 200_000.0
    assert len(heat_share_lines(summary)) == 1
