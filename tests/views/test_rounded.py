"""Roundings, odds in words, sizes of templates and hours of a grid, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from costsim.views.headline import percent, roughly
from costsim.views.hours import hours_of, painted_text
from costsim.views.rounding import apart, enough_digits, money, over_money, round_money, whole_parts
from costsim.views.sold import as_sold, sized
from costsim.views.templates import LARGE_GALLONS, TEMPLATES, add_template, example_price
from costsim.views.used_prices import price_key

NEAR = pytest.approx


@pytest.mark.parametrize(
    ("value", "year", "years"),
    [
        (9.99, 0, "$10"), (10.0, 10, "$10"), (14.9, 10, "$15"), (15.1, 20, "$15"), (99.0, 100, "$99"), (312.0, 310, "$312"), (994.0, 990, "$994"),
        (1234.0, 1200, "$1,230"), (1251.0, 1300, "$1,250"), (12_345.0, 12_000, "$12,300"), (99_950.0, 100_000, "$100,000"), (123_456.0, 120_000, "$123,000"),
        (-312.0, -310, "-$312"), (-9.0, 0, "-$9"), (0.0, 0, "$0"),
    ],
)  # fmt: skip
def test_two_figures_of_a_year_and_three_of_many(value: float, year: float, years: str) -> None:
    assert round_money(value) == NEAR(year)
    assert over_money(value, "$") == years


@pytest.mark.parametrize(
    ("low", "high", "figures", "shown"),
    [
        (1128.0, 1897.0, 2, (1130, 1900, 770)), (1900.4, 1131.0, 2, (1900, 1130, -770)), (412.0, 460.0, 2, (410, 460, 50)),
        (1234.0, 6789.0, 2, (1200, 6800, 5600)), (152.0, 2498.0, 2, (150, 2500, 2350)), (1204.0, 1209.9, 2, (1200, 1200, 0)),
        (23_456.0, 31_111.0, 3, (23_500, 31_100, 7_600)), (23_456.0, 23_506.0, 3, (23_460, 23_510, 50)),
    ],
)  # fmt: skip
def test_two_costs_and_their_difference_add_up_as_shown(low: float, high: float, figures: int, shown: Any) -> None:
    found = apart(low, high, figures)
    assert found == NEAR(shown)
    assert found[1] - found[0] == NEAR(found[2])
    # none of the three is further off than half, the difference than one of its last places
    assert max(abs(found[0] - low), abs(found[1] - high)) <= 0.0501 * min(abs(low), abs(high))


def test_a_difference_is_rounded_to_the_place_of_what_it_is_taken_from() -> None:
    assert over_money(1234.0, "$", 23_456.0) == "$1,200"
    assert over_money(1234.0, "$", 234.0) == "$1,234"
    assert over_money(49.0, "$", 23_456.0) == "$0"
    assert [money(one, "$") for one in (0.4, -0.4, 0.6, 1e6, -1234.5)] == ["$0", "$0", "$1", "$1,000,000", "-$1,234"]


@pytest.mark.parametrize(
    "values", [[655.5, 11.4, 43.4], [0.5, 0.5], [1 / 3] * 3, [-10.6, 20.2, 5.9], [0.0], [2.0, 3.0], [99.5, 0.49, 0.01]]
)
def test_whole_parts_add_up_and_none_is_off_by_one(values: list[float]) -> None:
    parts = whole_parts(values)
    assert sum(parts) == round(sum(values))
    assert all(abs(part - value) < 1 for part, value in zip(parts, values, strict=True))
    assert all(part == value for part, value in zip(parts, values, strict=True) if value == int(value))


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (1.0, "more than 99%"), (0.991, "more than 99%"), (0.99, "about 99%"), (0.951, "about 95%"), (0.97, "about 97%"), (0.95, "about 95%"),
        (0.93, "about 95%"), (0.92, "about 90%"), (0.58, "about 60%"), (0.56, "about 55%"), (0.55, "about 55%"), (0.549, "a little more than half"),
        (0.5, "a little more than half"), (0.499, "a little less than half"), (0.451, "a little less than half"), (0.44, "about 45%"), (0.31, "about 30%"),
        (0.05, "about 5%"), (0.049, "about 5%"), (0.032, "about 3%"), (0.01, "about 1%"), (0.0099, "less than 1%"), (0.0, "less than 1%"),
    ],
)  # fmt: skip
def test_odds_by_fives_and_by_ones_near_certainty(share: float, said: str) -> None:
    assert roughly(share) == said
    assert percent(0.99) == "99%"


# 1 kW is 3.412142 kBtu/h
@pytest.mark.parametrize(
    ("watts", "us", "kw", "element"),
    [(0.0, "10 kBtu/h", "1 kW", "6 kW"), (2900.0, "10 kBtu/h", "3 kW", "6 kW"), (2940.0, "15 kBtu/h", "3 kW", "6 kW"), (3000.0, "15 kBtu/h", "3 kW", "6 kW"),
     (3001.0, "15 kBtu/h", "4 kW", "6 kW"), (14_600.0, "50 kBtu/h", "15 kW", "15 kW"), (14_700.0, "55 kBtu/h", "15 kW", "15 kW"),
     (900.0, "10 kBtu/h", "1 kW", "6 kW"), (1001.0, "10 kBtu/h", "2 kW", "6 kW"), (6001.0, "25 kBtu/h", "7 kW", "9 kW"),
     (30_001.0, "105 kBtu/h", "31 kW", "31 kW")],
)  # fmt: skip
def test_sizes_go_up_to_the_next_that_is_sold(watts: float, us: str, kw: str, element: str) -> None:
    """Electric boilers by the list of common sizes, 6, 9, 12, 15, 18, 20, 24, 27, 30 kW, whichever units are shown."""
    assert as_sold(watts, "us") == us
    assert as_sold(watts, "si") == kw
    assert as_sold(watts, "us", electric=True) == as_sold(watts, "si", electric=True) == element
    assert sized(watts / 1.15, 1.0, "us") == as_sold(watts * (1 - 1e-15), "us") or watts == 0  # 15 % more than the load
    assert sized(10_000.0, 0.5, "si") == "6 kW"  # 5.75


LOAD = 10_000.0


def sources(key: str, system: str = "si") -> list[dict[str, Any]]:
    return TEMPLATES[key].sources(LOAD, system)


def test_templates_are_sized_by_the_load() -> None:
    """10 kW: 12 kW alone; a heat pump of 7.5 kW in deep cold and 12 when mild; sun for each kilowatt a square metre."""
    assert [one["output"] for one in sources("gas")] == ["12 kW"]
    assert sources("gas", "us")[0]["output"] == "40 kBtu/h"
    assert sources("gas")[0]["condensing"] is True
    pump, backup = sources("heat_pump")
    assert pump["outputs"] == ["7.5 kW", "12 kW"]
    assert (backup["output"], backup["backup_only"]) == ("12 kW", True)
    assert sources("heat_pump", "us")[0]["outputs"] == ["26 kBtu/h", "41 kBtu/h"]  # 34.12 × 0.75 and 1.2
    small, boiler = sources("heat_pump_gas")
    assert small["outputs"] == ["5.2 kW", "8.4 kW"]  # seven tenths of it
    assert boiler["output"] == "12 kW"
    assert TEMPLATES["heat_pump"].sources(100.0, "si")[0]["outputs"] == ["2 kW", "2 kW"]  # none is smaller
    assert TEMPLATES["heat_pump"].sources(100.0, "us")[0]["outputs"] == ["6 kBtu/h", "6 kBtu/h"]
    night, gas = sources("off_peak_propane")
    assert (night["output"], night["windows"], gas["fuel"]) == ("15 kW", ["22:00-06:00"], "propane")  # 1.3 × 1.15
    store, day = sources("off_peak_store")
    assert store["output"] == "30 kW"  # 2.5 × 1.15: 28.75
    assert (day["output"], day["backup_only"]) == ("12 kW", True)
    fire, spare = sources("wood")
    # six hours of the load from wood of 4 kWh/kg at 60 %: 25 kg
    assert (fire["charge"], fire["burn_time"], spare["backup_only"]) == ("25 kg", "6 h", True)
    assert TEMPLATES["wood"].sources(1000.0, "si")[0]["charge"] == "10 kg"
    sun, _ = sources("sun")
    assert sun["area"] == "10 m2"
    assert sources("sun", "us")[0]["area"] == "100 ft2"
    assert TEMPLATES["sun"].sources(500.0, "si")[0]["area"] == "4 m2"
    assert TEMPLATES["sun"].sources(7100.0, "si")[0]["area"] == "8 m2"  # by twos
    for key, gallons in (("wood", 500), ("off_peak_store", 500), ("sun", 120), ("gas", 0)):
        data: dict[str, Any] = {}
        added = add_template(data, key, load_w=LOAD, system="us", currency="$")
        held = data["option"][-1] if gallons >= LARGE_GALLONS else data  # a large store is its own option's alone
        assert held.get("tank", {}).get("volume") == (f"{gallons} gal" if gallons else None)
        assert ("store" in held.get("tank", {})) == (key == "wood")
        assert ("tank" in data) == (0 < gallons < LARGE_GALLONS)
        assert set(added) == set(TEMPLATES[key].prices)
        again = add_template(data, key, load_w=LOAD, system="us", currency="$")
        add_template(data, key, load_w=LOAD, system="us", currency="$")
        assert again == []
        name = TEMPLATES[key].name
        assert [one["name"] for one in data["option"]] == [name, f"{name} 2", f"{name} 3"]
    assert example_price("natural_gas", "us", "€") == "1.40 €/therm"
    assert example_price("unheard", "us", "$") == "0.15 $/kWh"
    assert price_key({"kind": "gas", "fuel": "propane", "efficiency": "900 %"}, {}) == "propane"
    assert (price_key({"price": "p"}, {}), price_key({"kind": "none"}, {})) == ("p", "")


@pytest.mark.parametrize(
    ("windows", "days", "months"),
    [(["22:00-06:00"], "Mon-Fri", ""), (["06:00-09:00", "17:00-21:00"], "every day", "Nov-Mar"), (["00:00-24:00"], "Sat", "Jul"),
     (["23:00-24:00"], "Mon, Wed", "Jan, Mar-May, Dec"), (["00:00-01:00"], "every day", "")],
)  # fmt: skip
def test_hours_painted_and_read_back_are_the_same(windows: list[str], days: str, months: str) -> None:
    grid = hours_of(windows, days, months)
    assert grid is not None
    text = painted_text(grid["hours"], grid["days"], grid["months"])
    assert hours_of(*text) == grid


def test_a_grid_of_hours_by_hand() -> None:
    grid = hours_of(["22:00-02:00"], "Sat, Sun", "Dec-Jan")
    assert grid is not None
    assert [at for at, on in enumerate(grid["hours"]) if on] == [0, 1, 22, 23]
    assert [at for at, on in enumerate(grid["days"]) if on] == [5, 6]
    assert [at for at, on in enumerate(grid["months"]) if on] == [0, 11]
    assert [len(grid[key]) for key in ("hours", "days", "months")] == [24, 7, 12]
    assert hours_of(["22:30-06:00"], "", "") is None
    assert hours_of(["never"], "", "") is None
    assert painted_text([True] * 24, [True] * 7, [True] * 12) == (["00:00-24:00"], "every day", "")
    assert painted_text([False] * 24, [True] * 7, [True] * 12)[0] == []
    july = [month == 6 for month in range(12)]
    assert painted_text([True] * 24, [day == 5 for day in range(7)], july) == (["00:00-24:00"], "Sat", "Jul")
    night = [hour < 1 or hour == 23 for hour in range(24)]
    assert painted_text(night, [True] * 7, [True] * 12)[0] == ["23:00-01:00"]
    assert painted_text(night, [True] * 6 + [False], [True] * 12)[:2] == (["00:00-01:00", "23:00-24:00"], "Mon-Sat")
    morning = [hour < 6 for hour in range(24)]
    assert painted_text(morning, [True] * 7, [True] * 12)[0] == ["00:00-06:00"]
    three = [hour in (0, 5, 6, 23) for hour in range(24)]
    assert painted_text(three, [True] * 7, [True] * 12)[0] == ["05:00-07:00", "23:00-01:00"]


def test_an_amount_has_digits_enough_to_give_its_cost_and_two_at_most() -> None:
    assert [enough_digits(amount, 0.0, 0.0) for amount in (20.0, 19.96, 1234.56)] == ["20", "20.0", "1,235"]
    # 1,000 at a dollar are half a dollar and more off, 1,000.4 are not
    assert [enough_digits(1000.4, 1.0, cost) for cost in (1000.49, 1000.5, 1000.52)] == ["1,000", "1,000.4", "1,000.4"]
    assert enough_digits(780.46, 32.9, 780.46 * 32.9) == "780.46"
    # where two digits do not do, none are shown: 780.46 × 329 are a dollar off 256,772.6
    assert enough_digits(780.4637, 329.0, 780.4637 * 329.0) == "780"
