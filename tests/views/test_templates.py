"""Options added from templates: names that are counted on, tanks that are shared unless too small, prices asked for once."""

from __future__ import annotations

from typing import Any

import pytest

from costsim.views.templates import (
    EXAMPLE_PRICES,
    LARGE_GALLONS,
    TEMPLATES,
    _gallons,
    add_prices,
    add_template,
    without_new_tank,
)

LARGE = [key for key, one in TEMPLATES.items() if one.gallons >= LARGE_GALLONS]
SMALL = [key for key, one in TEMPLATES.items() if 0 < one.gallons < LARGE_GALLONS]


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
