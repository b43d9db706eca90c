"""Sentences of the page to sign that a stranger read wrong: whose figures come first, what they are of, and what lent heat."""

from __future__ import annotations

import copy

import pytest
from cases import constant_weather, demo, study

from costsim.report.basis import Basis, basis_of
from costsim.report.blocks import Table, Text
from costsim.report.sign import sign_page
from costsim.simulation import load_weather, simulate
from costsim.study.case import case_from
from costsim.views.tables import season_rows


@pytest.fixture(scope="module")
def basis() -> Basis:
    data = copy.deepcopy(demo())
    data["use"] = [{"kind": "hot_water", "people": 3}]
    data["house"]["balance_point"] = "62 degF"
    data["uncertainty"] = {"scenarios": 100}
    case = case_from(data)
    last = case.options[-1].name
    return basis_of(case, load_weather(case), "us", last)


def test_the_page_begins_with_the_option_that_is_signed_and_says_what_its_figures_are_of(basis: Basis) -> None:
    blocks = sign_page(basis)
    first = blocks[0]
    assert isinstance(first, Text)
    assert first.text.startswith(f"{basis.signed.name}: ")
    assert f"${basis.result.option(basis.signed.name).cost_total:,.0f} a year" in first.text
    assert all(one.name in first.text for one in basis.case.options)
    said = " ".join(one.note for one in blocks if isinstance(one, Table))
    assert "Heating and what else the tank serves; fixed charges" in said
    assert "Heating alone" not in said
    power = [row for one in blocks if isinstance(one, Table) and "keep the house warm" in one.title for row in one.rows]
    lent = any(float(row[3].replace(",", "")) > 1.005 * float(row[2].replace(",", "")) for row in power)
    assert ("the tank lent it" in said) == lent
    short = next(one.short for one in basis.signed.cautions if one.key == "legionella")
    assert short.startswith(
        "Drinking water is heated as it is drawn and not stored here; where it is stored, 140 °F or more."
    )


def test_a_balance_point_of_the_five_questions_is_not_called_typed(basis: Basis) -> None:
    (source,) = (one.source for one in basis.result.assumptions if one.what == "balance point")
    assert source.startswith("what the five questions take for a house")


def test_carbon_of_pumps_stands_where_their_money_does() -> None:
    gas = {"kind": "gas", "output": "12 kW", "efficiency": "90 %", "electric": "100 W"}
    result = simulate(study(gas), constant_weather(0.0))
    (option,), factor = result.options, result.lowered.surroundings.co2_kg_per_j["electricity"]
    _, (_, source, pumps) = season_rows(result, "us")
    assert pumps[0].strip() == "pumps and fans"
    # 100 W all year, 876 kWh, at the grid's own factor; the boiler's row has what its gas emits
    assert pumps[-1] == f"{876 * 3.6e6 * factor / 1e3:,.2f}"
    assert float(source[-1]) + float(pumps[-1]) == pytest.approx(option.co2_kg / 1e3, abs=0.011)
    assert float(pumps[-1]) > 0.2
