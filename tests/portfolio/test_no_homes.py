"""A line of totals and a row without a figure are set aside with that reason, and are in no total."""

from __future__ import annotations

import pytest
from portfolio.small import CASE, WEATHER

from costsim.portfolio.columns import read_layout
from costsim.portfolio.compute import run_block
from costsim.portfolio.homes import Block
from costsim.portfolio.no_homes import no_home
from costsim.portfolio.plan import prepare

LAYOUT = read_layout(("Address", "Heat loss [kW]", "Balance point [degC]", "Utility"), CASE, "")


@pytest.mark.parametrize(
    "name",
    [
        "TOTAL",
        "Totals:",
        "Grand total",
        "Subtotal",
        "sum",
        "Average",
        "Avg.",
        "Mean of all homes",
        "Valley Total",
        "Elm St subtotals:",
    ],
)
def test_a_line_of_totals_is_no_home_though_it_has_figures(name: str) -> None:
    assert no_home(LAYOUT, (name, "7", "15", "")) == (
        "Address",
        name,
        "is a line of totals, not a home; give it another name if it is one",
    )


@pytest.mark.parametrize(
    "name", ["12 Total St", "Valley Total 3", "Total Farm", "Teetotal", "Meaner", "Maximilian", "Sum Ave", "7", ""]
)
def test_other_names_with_a_figure_are_homes(name: str) -> None:
    assert no_home(LAYOUT, (name, "", "15", "")) is None


def test_a_row_without_a_figure_is_no_home_whatever_else_it_says() -> None:
    found = no_home(LAYOUT, ("7 Elm", "", " ", "Valley"))
    assert found is not None
    assert found[0] == "Heat loss [kW], Balance point [degC]"
    assert no_home(LAYOUT, ("7 Elm", "", "")) is None  # too short, which is told elsewhere


def test_they_are_set_aside_in_their_row_and_the_others_computed() -> None:
    recipe = prepare(CASE, WEATHER, LAYOUT)
    rows = (
        ("TOTAL", "", "", ""),
        ("a", "7", "15", "x"),
        ("b", "", "", "x"),
        ("c", "8", "15", ""),
        ("Sum", "15", "30", ""),
        ("Valley Total", "15", "30", ""),
    )
    part = run_block(recipe, Block(0, 0, rows, (2, 3, 4, 5, 6, 7)), threads=1)
    assert part.homes == ("a", "c")
    assert [(one.row, one.home) for one in part.aside] == [(2, "TOTAL"), (4, "b"), (6, "Sum"), (7, "Valley Total")]
    assert part.kept == (("x", ""),)
