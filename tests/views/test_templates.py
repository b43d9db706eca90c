"""Options added from templates: names that are counted on, tanks that are shared unless too small, prices asked for once."""

from __future__ import annotations

from typing import Any

import pytest

from costsim.views.template_of import template_keys
from costsim.views.templates import (
    EXAMPLE_PRICES,
    FIRST,
    LARGE_GALLONS,
    TEMPLATES,
    WOOD_BESIDE,
    _gallons,
    add_prices,
    add_template,
    offered,
    without_new_tank,
)
from costsim.views.todays_heater import asked_at, carry_renewal, keep_todays

LARGE = [key for key, one in TEMPLATES.items() if one.gallons >= LARGE_GALLONS]
SMALL = [key for key, one in TEMPLATES.items() if 0 < one.gallons < LARGE_GALLONS and not one.heats_water]


def add(data: dict[str, Any], key: str) -> dict[str, Any]:
    add_template(data, key, load_w=10e3, system="us", currency="$")
    return data["option"][-1]


@pytest.mark.parametrize("key", TEMPLATES)
def test_options_of_one_kind_are_counted_from_two_on(key: str) -> None:
    data: dict[str, Any] = {}
    names = [add(data, key)["name"] for _ in range(4)]
    name = TEMPLATES[key].name
    assert names == [name, f"{name} 2", f"{name} 3", f"{name} 4"]
    assert [*data["prices"]] == [*TEMPLATES[key].prices]  # asked for once


@pytest.mark.parametrize("key", LARGE)
def test_a_store_gets_a_tank_of_its_own_where_the_study_s_is_smaller(key: str) -> None:
    gallons = TEMPLATES[key].gallons
    for typed, own in (
        (f"{LARGE_GALLONS - 1} gal", True),
        (f"{LARGE_GALLONS} gal", False),
        ("2000 L", False),
        ("1000 L", True),
        ("a lot", False),
    ):
        data: dict[str, Any] = {"tank": {"volume": typed, "circuit": "open"}}
        option = add(data, key)
        assert ("tank" in option) is own
        assert data["tank"] == {"volume": typed, "circuit": "open"}
        if own:  # it is like the study's in all else
            assert option["tank"]["volume"] == f"{gallons} gal"
            assert option["tank"]["circuit"] == "open"
            assert option["tank"]["max_temperature"] == "180 degF"


@pytest.mark.parametrize("key", SMALL)
def test_a_first_tank_is_the_study_s_and_not_today_s(key: str) -> None:
    data: dict[str, Any] = {"option": [{"name": "Now", "today": True}, {"name": "Other"}]}
    option = add(data, key)
    assert data["tank"]["volume"] == f"{TEMPLATES[key].gallons} gal"
    assert ("store" in data["tank"]) is bool(TEMPLATES[key].store)
    assert "tank" not in option
    assert data["option"][0] == {"name": "Now", "today": True, "no_tank": True}
    assert data["option"][1] == {"name": "Other"}
    bare: dict[str, Any] = {"tank": {"volume": "20 gal"}}
    assert "tank" not in add(bare, key)


def test_today_s_own_tank_stays() -> None:
    options: list[dict[str, Any]] = [{"today": True, "tank": {"volume": "50 gal"}}, {"today": False}]
    without_new_tank(options)
    assert options == [{"today": True, "tank": {"volume": "50 gal"}}, {"today": False}]
    # 3.785 L to the gallon
    assert _gallons({"volume": "378.5 L"}) == pytest.approx(100.0, rel=1e-3)
    assert _gallons({}) == float("inf")


def test_prices_that_a_study_has_are_left_alone() -> None:
    data: dict[str, Any] = {"prices": {"electricity": {"energy": "0.20 EUR/kWh"}}}
    assert add_prices(data, ("electricity", "natural_gas"), "EUR", "si") == ["natural_gas"]
    assert data["prices"]["electricity"] == {"energy": "0.20 EUR/kWh"}
    assert "EUR" in data["prices"]["natural_gas"]["energy"]
    assert "$" not in str(data["prices"]["natural_gas"])
    assert add_prices(data, ("",), "EUR", "si") == []  # the sun's
    assert "" not in data["prices"]
    assert "$" in str(EXAMPLE_PRICES["natural_gas"])  # the example itself is as it was


@pytest.mark.parametrize(("key", "now"), WOOD_BESIDE.items())
def test_wood_stands_beside_the_boiler_that_heats_today(key: str, now: str) -> None:
    """The fire has the load of `wood`; the boiler runs for what it leaves, as it stands today, and is no new one to pay."""
    data: dict[str, Any] = {}
    today, pair = add(data, now), add(data, key)
    fire, boiler = pair["source"]
    assert fire == TEMPLATES["wood"].sources(10e3, "us")[0]
    assert (pair["tank"]["volume"], [*data["prices"]][-1]) == ("500 gal", "wood")
    today |= {"today": True, "replacement": "7000 $", "replacement_year": 5}
    today["source"][0] |= {"output": "85 kBtu/h", "efficiency": "80 %", "condensing": False}
    assert keep_todays(pair, today["source"][0], sized=True)
    carry_renewal(pair, today)
    assert pair["source"][1] == today["source"][0] | {"backup_only": True, "name": boiler["name"]}
    assert pair["source"][0] == fire
    assert pair["replacement"] == "7000 $"
    assert asked_at(key, now, "us") == 0  # size and price asked are the fire's
    assert template_keys(data["option"]) == [now, key]
    assert template_keys([today | {"name": "A"}, pair | {"name": "B"}]) == [now, key]


def test_wood_beside_a_boiler_is_offered_where_that_boiler_stands() -> None:
    for now in FIRST:
        found = {key for key in offered(now) if key in WOOD_BESIDE}
        assert found == {key for key, boiler in WOOD_BESIDE.items() if boiler == now or now == "wood"}, now
        assert now not in offered(now)
        assert set(FIRST) - set(WOOD_BESIDE) - {now} <= set(offered(now))


def test_a_load_of_wood_is_in_the_units_of_its_reader() -> None:
    """Six hours of 10 kW are 60 kWh; at 4 kWh/kg and 60 % that is 25 kg, or 55 lb."""
    assert TEMPLATES["wood"].sources(10e3, "us")[0]["charge"] == "55 lb"
    assert TEMPLATES["wood"].sources(10e3, "si")[0]["charge"] == "25 kg"
