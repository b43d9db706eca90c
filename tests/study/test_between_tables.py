"""The checks between tables of a study, each limit on both of its sides."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from cases import demo, study

from costsim.errors import InputError
from costsim.study.case import case_from
from costsim.study.crosschecks import currencies_of
from costsim.study.grid import in_the_us


def faults(data: dict[str, Any]) -> list[str]:
    try:
        case_from(data, file="s.toml")
    except InputError as error:
        return [str(one) for one in error.faults]
    return []


def block(energy: str, **more: str) -> dict[str, str]:
    return {"energy": energy, **more}


LAST = block("0.3 $/kWh")


@pytest.mark.parametrize(
    ("blocks", "told"),
    [
        ([block("0.1 $/kWh", up_to="500 kWh/month"), LAST], ""),
        ([block("0.1 $/kWh", up_to="500 kWh/month"), block("0.2 $/kWh", up_to="501 kWh/month"), LAST], ""),
        ([block("0.1 $/kWh", up_to="500 kWh/month"), block("0.2 $/kWh", up_to="500 kWh/month"), LAST],
         "prices.electricity.block[2].up_to: ends no higher than the block before"),
        ([block("0.1 $/kWh", up_to="500 kWh/month")], "prices.electricity.block[1].up_to: the last block of Jan has an end"),
        ([block("0.1 $/kWh", up_to="500 kWh/month", months="Feb"), block("0.1 $/kWh", months="Mar")],
         "prices.electricity.block[1].up_to: the last block of Feb has an end"),
        ([block("0.1 $/kWh", up_to="10 kWh/day"), block("0.2 $/kWh", up_to="500 kWh/month"), LAST],
         "prices.electricity.block[2].up_to: counts by the month, but block[1] by the day"),
        ([block("0.1 $/kWh", up_to="10 kWh/day"), LAST], ""),
        ([block("0.1 $/kWh", up_to="500 kWh/month", months="Jan-Jun"), block("0.2 $/kWh", months="May-Dec"), block("0.3 $/kWh", months="Jan-Apr")],
         "prices.electricity.block[2].months: its season and that of block[1] overlap in May"),
        ([block("0.1 $/kWh", up_to="500 kWh/month", months="Jan-Jun"), block("0.2 $/kWh", months="Jan-Dec")], ""),
    ],
)  # fmt: skip
def test_blocks_follow_each_other_in_every_month(blocks: list[dict[str, str]], told: str) -> None:
    data = demo()
    data["prices"]["electricity"]["block"] = blocks
    found = faults(data)
    assert (found == []) if not told else any(told in one for one in found), found


def period(name: str, **more: Any) -> dict[str, Any]:
    return {"name": name, "energy": "0.2 $/kWh", **more}


@pytest.mark.parametrize(
    ("periods", "told"),
    [
        ([period("a", windows=["06:00-10:00"]), period("b", windows=["07:00-09:00"])], "period[2]: all its hours belong to periods before it"),
        ([period("b", windows=["07:00-09:00"]), period("a", windows=["06:00-10:00"])], ""),
        ([period("a", windows=["06:00-10:00"]), period("b", windows=["07:00-10:01"])], ""),
        ([period("a", months="Jan-Jun"), period("b", months="Jun-Dec")], "period[2].months: its season and that of period[1] overlap in Jun"),
        ([period("a", months="Jan-Jun", windows=["06:00-10:00"]), period("b", months="Jun-Dec", windows=["10:00-12:00"])], ""),
        ([period("a", months="Jan-Jun"), period("b", months="Jul-Dec")], ""),
        ([period("a", windows=["06:00-10:00"])], ""),
    ],
)  # fmt: skip
def test_periods_that_never_count_or_cross_are_told(periods: list[dict[str, Any]], told: str) -> None:
    data = demo()
    data["prices"]["electricity"]["period"] = periods
    found = faults(data)
    assert (found == []) if not told else any(told in one for one in found), found


@pytest.mark.parametrize(
    ("key", "energy", "least", "most", "unit"),
    [
        # usual heat by the foot of gas 1,036 Btu, by the gallon of propane 91,452, of oil 138,500 (EIA): a third to three times of it
        ("natural_gas", "1 $/therm", 1036 / 3, 1036 * 3, "Btu/ft3"),
        ("propane", "2 $/gal", 91_452 / 3, 91_452 * 3, "Btu/gal"),
        # wood to natural gas by the kilogram: 5 to 60 MJ
        ("propane", "0.1 $/kWh", 5, 60, "MJ/kg"),
    ],
)  # fmt: skip
def test_a_heat_content_that_no_fuel_has_is_refused(
    key: str, energy: str, least: float, most: float, unit: str
) -> None:
    for value, fine in ((least * 1.01, True), (least * 0.98, False), (most * 0.99, True), (most * 1.02, False)):
        data = demo()
        data["prices"] = {
            "electricity": data["prices"]["electricity"],
            key: {"energy": energy, "heat_content": f"{value:.4f} {unit}"},
        }
        data["option"] = [
            {"name": "one", "source": [{"kind": "gas", "fuel": key, "output": "9 kW", "efficiency": "90 %"}]}
        ]
        found = faults(data)
        assert (found == []) is fine, (value, found)
        assert fine or f"s.toml: prices.{key}.heat_content" in found[0]
    data["prices"]["electricity"]["heat_content"] = "1 Btu/ft3"
    assert any("electricity has none; take it out" in one for one in faults(data))


def test_money_of_one_currency_only_and_where_it_stands() -> None:
    made = {"a": ["1 $", {"b": "2 €"}], "title": "3 £", "c": "no money", "d": "4 ct/kWh", "e": "x" * 201 + "$", "f": 5}
    found = list(currencies_of(made))
    assert found[:2] == [("a[1]", "1 $", "$"), ("a[2].b", "2 €", "€")]
    assert not [one for one in found if one[0] in ("title", "c", "e", "f")]
    exact = f"{'0' * (200 - len('1 $'))}1 $"
    assert len(exact) == 200
    assert list(currencies_of({"a": exact})) != []
    assert list(currencies_of({"a": "0" + exact})) == []


def test_names_prices_and_todays_heating_between_tables() -> None:
    data = demo()
    assert faults(data) == []
    twice = copy.deepcopy(data)
    twice["option"][0]["today"] = True
    assert faults(twice) == []
    twice["option"][2]["today"] = True
    assert faults(twice) == [
        "s.toml: option[3].today: another option heats the house today; set today = true in one option only"
    ]
    odd = copy.deepcopy(data)
    odd["prices"]["night"] = {"energy": "0.05 $/kWh"}
    assert any("prices.night" in one for one in faults(odd))
    odd["title"] = "bell \x07"
    assert any(one == "s.toml: title: holds a character that cannot be printed; take it out" for one in faults(odd))
    odd["option"][0]["source"][0]["name"] = "bell \x07"
    assert any(one.startswith("s.toml: option[1].source[1].name: holds a character") for one in faults(odd))
    del odd["option"][0]["source"][0]["name"]
    odd["title"] = "tab\tand line\n"
    assert not any("title" in one for one in faults(odd))


def test_a_use_may_want_as_hot_a_tank_as_there_is() -> None:
    data = dict(
        study({"kind": "electric", "output": "9 kW"}, tank__volume="300 L", tank__max_temperature="54 degC").typed
    )
    data["use"] = [{"kind": "hot_water", "people": 2}]
    assert faults(data) == []  # 49 °C and 5 K
    data["tank"] = {**data["tank"], "max_temperature": "53.9 degC"}
    assert faults(data) == [
        "s.toml: use[1].tap_temperature: wants a tank at 54 °C, but tank.max_temperature is 54 °C; raise tank.max_temperature as far as"
        " every component allows, or lower this temperature or its approach"
    ]


@pytest.mark.parametrize(
    ("timezone", "holidays", "currency", "at", "us"),
    [
        ("America/Chicago", "", "$", (0, 0), True), ("America/Indiana/Knox", "", "$", (0, 0), True), ("US/Eastern", "", "$", (0, 0), True),
        ("America/Toronto", "", "$", (40, -100), False), ("America/Chicago", "CA", "$", (40, -100), False), ("", "us-TX", "$", (0, 0), True),
        ("America/Chicago", "", "€", (40, -100), False), ("", "", "$", (40, -100), True), ("", "", "USD", (40, -100), True),
        ("", "", "$", (24.4, -66.9), True), ("", "", "$", (24.3, -100), False), ("", "", "$", (49.4, -125.0), True), ("", "", "$", (49.5, -100), False),
        ("", "", "$", (40, -66.8), False), ("", "", "$", (40, -125.1), False), ("", "", "$", (61.2, -149.9), True), ("", "", "$", (61, -129.9), False),
        ("", "", "$", (50.9, -150), False), ("", "", "$", (71.5, -156), True), ("", "", "$", (71.6, -156), False), ("", "", "$", (21.3, -157.9), True),
        ("", "", "$", (18.4, -157), False), ("", "", "$", (22.6, -157), False), ("", "", "$", (21, -153.9), False), ("", "", "$", (51.5, -0.1), False),
        ("", "", "$", (51.0, -180.0), True), ("", "", "$", (18.5, -161.0), True), ("", "", "$", (22.5, -154.0), True), ("", "", "$", (20, -161.1), False),
    ],
)  # fmt: skip
def test_where_the_average_of_the_us_grid_may_stand(
    timezone: str, holidays: str, currency: str, at: tuple[float, float], us: bool
) -> None:
    """Chicago, Anchorage (61.2 N, 149.9 W) and Honolulu (21.3 N, 157.9 W) are; Toronto and London are not."""
    place = case_from(demo()).place.model_copy(update={"timezone": timezone, "holidays": holidays})
    weather: Any = type("W", (), {"latitude_deg": at[0], "longitude_deg": at[1]})()
    assert in_the_us(place, currency, weather) is us
