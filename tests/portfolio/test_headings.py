"""Headings as planners type them."""

from __future__ import annotations

from pathlib import Path

import pytest

from costsim import load_weather, read_study
from costsim.errors import InputError
from costsim.portfolio.columns import read_layout
from costsim.portfolio.headings import key_title
from costsim.portfolio.homes import open_homes
from costsim.portfolio.own_columns import TODAY, meant, plain_words
from costsim.portfolio.plan import prepare
from costsim.portfolio.summary import _meant as told_meant

CASE = read_study("lantern_cottage")


def test_plain_words_are_read_as_keys_with_their_units() -> None:
    layout = read_layout(
        ["Number of homes", "Address", "Floor area (sq ft)", "Heat loss [kBtu/h]", "Thermostat (°F)", "gas price, $/therm", "Balance point in °F"],
        CASE, "homes.csv",
    )  # fmt: skip
    assert (layout.weight, layout.home) == (0, 1)
    assert [(column.key, column.unit) for _, column in layout.columns] == [
        ("house.floor_area", "ft2"),
        ("house.design_heat_loss", "kBtu/h"),
        ("house.indoor_temperature", "degF"),
        ("prices.natural_gas.energy", "$/therm"),
        ("house.balance_point", "degF"),
    ]
    assert layout.columns[0][1].heading == "Floor area (sq ft)"


@pytest.mark.parametrize(
    ("heading", "key"),
    [
        ("Heat loss (W/K)", "house.heat_loss_rate"),
        ("heat_loss [kW]", "house.design_heat_loss"),
        ("Heat loss, W/m2", "house.heat_loss_per_area"),
        ("Fixed charge of electricity [$/month]", "prices.electricity.fixed"),
        ("house.design_heat_loss [kW]", "house.design_heat_loss"),
        ("Sqft", "house.floor_area"),
        ("Square feet", "house.floor_area"),
        ("Living area (sf)", "house.floor_area"),
        ("Btuh", "house.design_heat_loss"),
        ("Peak load (BTUH)", "house.design_heat_loss"),
    ],
)
def test_the_unit_tells_what_a_word_of_several_meanings_is(heading: str, key: str) -> None:
    assert read_layout(["Home", heading], CASE, "homes.csv").keys == (key,)


@pytest.mark.parametrize(
    ("heading", "told"),
    [
        (
            "Heat loss",
            'Heat loss: may be several things; write one of "Heat loss [kBtu/h]", "Heat loss [Btu/(h degF)]"',
        ),
        (
            "Design load",
            'write the heading as "Design load [Btu/h]" or "Design load [kBtu/h]", whichever its numbers are in',
        ),
        ("Heat loss [gal]", "has the unit [gal], which fits none"),
        ("Floor area", 'has no unit; write the heading as "Floor area [ft2]"'),
        ("Flor area [ft2]", "'Flor area [ft2]' is not a heading that is known; did you mean \"Floor area [ft2]\"?"),
        ("Electricity $/kWh", 'did you mean "Electricity price [$/kWh]"?'),
        ("Heat loss kBtu/h", 'did you mean "Heat loss [kBtu/h]"?'),
        ("option[1].source[1].fuel", "cannot differ by home; leave it to the study"),
        ("house.floor_are.share [%]", "'floor_are' is not a known key; did you mean floor_area?"),
        ("home", "2 columns give it"),
    ],
)
def test_what_is_not_understood_is_asked_in_one_line(heading: str, told: str) -> None:
    with pytest.raises(InputError) as error:
        read_layout(["Home", "Set-point [degF]", heading], CASE, "homes.csv")
    assert told in str(error.value)


def test_a_key_without_words_of_its_own_is_called_by_its_path() -> None:
    assert key_title("prices.electricity.fixed") == "Fixed charge of electricity"
    for key in ("prices.electricity.demand", "tank.energy"):
        assert key_title(key) == key


def opened(folder: Path, *lines: str):
    """The layout of a table."""
    file = folder / "homes.csv"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return open_homes(file, CASE).layout


def test_a_years_fuel_may_have_its_unit_in_the_cells(tmp_path: Path) -> None:
    lines = ["Address,Annual gas use,Indoor temp,Year,Gas", "A,1050 therms,70F,1985,2", 'B,"1,300 therms",71 °F,1990,']
    layout = opened(tmp_path, *lines)
    ((at, use),) = layout.uses
    assert (at, use.heading, use.fuel, use.unit) == (1, "Annual gas use", "natural_gas", "therm")
    assert layout.keys == ("house.indoor_temperature",)
    assert [name for _, name in layout.kept] == ["Annual gas use", "Year", "Gas"]


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("900", 'has no unit, and 1 of its cells have none either, first row 3: 900; write the heading as "Gas used [therm]"'),
        ("1 therm", ""),
    ],
)  # fmt: skip
def test_a_years_fuel_that_lacks_its_unit_is_asked_for_it(tmp_path: Path, cell: str, told: str) -> None:
    lines = ["Address,Gas used,Heat loss [kW]", "A,1050 therms,9", f"B,{cell},8"]
    if not told:
        assert len(opened(tmp_path, *lines).uses) == 1
        return
    with pytest.raises(InputError) as error:
        opened(tmp_path, *lines)
    assert told in str(error.value)
    with pytest.raises(InputError, match=r'has no unit; write the heading as "Gas used \[therms\]"'):
        opened(tmp_path, lines[0], "A,1050,9", "B,900,8")


def test_what_is_kept_and_like_a_known_heading_is_asked_about() -> None:
    assert plain_words("Fuel now") in TODAY
    assert meant("Fuel now", CASE) == ""
    layout = read_layout(["Home", "Heat loss [kW]", "AFUE", "Balance temp", "Utility", "House no."], CASE, "homes.csv")
    told = told_meant(prepare(CASE, load_weather(CASE), layout))
    assert [(one["column"], one["meant"]) for one in told] == [
        ("AFUE", "Efficiency of Natural gas [%]"),
        ("Balance temp", "Balance point [degF]"),
    ]
    assert read_layout(["Home", told[0]["meant"]], CASE, "").keys == ("option[3].source[1].efficiency",)


@pytest.mark.parametrize(
    ("heading", "key"),
    [
        ("Sq Ft (heated)", "house.floor_area"), ("Heated sq ft", "house.floor_area"), ("Tstat [degF]", "house.indoor_temperature"),
        ("Heat loss @ design [kBtu/h]", "house.design_heat_loss"), ("Output of Natural gas [kBtu/h]", "option[3].source[1].output"),
        ("efficiency of natural gas [%]", "option[3].source[1].efficiency"),
    ],
)  # fmt: skip
def test_headings_as_planners_write_them(heading: str, key: str) -> None:
    assert read_layout(["Addr.", heading], CASE, "").keys == (key,)


def test_all_headings_are_told_at_once_where_the_home_or_every_figure_is_missing() -> None:
    with pytest.raises(InputError) as error:
        read_layout(["Where", "Boiler eff. %", "# occupants"], CASE, "")
    home, figures, told = error.value.faults
    assert (home.problem, figures.problem) == ("no column 'home'", "no column overrides the study")
    assert told.problem == (
        'read: none; kept, not used: "Where", "Boiler eff. %" (did you mean "Efficiency of Natural gas [%]"?), "# occupants"'
    )
