"""A heat content that was typed holds in every amount and price that is printed: compare, break-even, bill, report, tank."""

from __future__ import annotations

import re
from typing import Any

import pytest
from cases import demo, sample_weather
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costsim import simulate
from costsim.analysis.breakeven import breakeven_prices
from costsim.analysis.capacity import capacity_report
from costsim.errors import InputError
from costsim.report.blocks import Table
from costsim.report.content import report_of
from costsim.study.case import Case, case_from
from costsim.units.quantity import BTU_J, CORD_M3, FOOT_M, GALLON_M3, POUND_KG
from costsim.views.headline import headline
from costsim.views.tables import bill_rows, season_rows
from costsim.views.text_season import printed_case
from costsim.views.text_uncertainty import breakeven_rows

GREENSBORO = sample_weather()
FUELS: dict[str, tuple[dict[str, Any], str, float, str]] = {
    "wood": ({"kind": "wood", "charge": "30 kg", "burn_time": "6 h", "load_times": ["07:00", "18:00"],
              "efficiency": "60 %"}, "cord", CORD_M3, "cords"),
    "propane": ({"kind": "gas", "fuel": "propane", "output": "20 kW", "efficiency": "90 %", "tank_volume": "250 gal"},
                "gal", GALLON_M3, "gal"),
    "heating_oil": ({"kind": "oil", "output": "20 kW", "efficiency": "85 %"}, "gal", GALLON_M3, "gal"),
    "pellets": ({"kind": "pellet", "output": "15 kW", "efficiency": "78 %"}, "lb", POUND_KG, "lb"),
}  # fmt: skip
"""Source, unit in which price and heat content are typed, its size in SI, and the unit of an amount."""
USUAL_BTU = {"wood": 20e6, "propane": 91_452.0, "heating_oil": 138_500.0, "pellets": 8_200.0}


def study(fuel: str, content_btu: float, price: float) -> Case:
    """Electricity beside one fuel whose price and heat content are typed."""
    source, unit, _, _ = FUELS[fuel]
    data = demo()
    data["house"].pop("other_electricity")
    data["prices"] = {
        "electricity": {"energy": "0.13 $/kWh"},
        fuel: {"energy": f"{price!r} $/{unit}", "heat_content": f"{content_btu!r} Btu/{unit}"},
    }
    data["tank"] = {"volume": "500 L", "max_temperature": "80 degC"}
    data["option"] = [
        {"name": "electric", "source": [{"kind": "electric", "output": "20 kW"}]},
        {"name": "fuel", "source": [source, {"kind": "electric", "output": "20 kW"}]},
    ]
    return case_from(data)


def cell_amount(text: str) -> float:
    """The number at the head of a cell such as ``1,234 gal`` or ``$2.500/gal``."""
    found = re.match(r"[$]?([\d,]+(\.\d+)?)", text)
    assert found, text
    return float(found[1].replace(",", ""))


@pytest.mark.parametrize("fuel", sorted(FUELS))
@given(share=st.floats(0.6, 1.4), price=st.floats(0.5, 3.0))
@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_every_printed_amount_and_price_goes_by_the_typed_heat_content(fuel: str, share: float, price: float) -> None:
    _, unit, _, sold_in = FUELS[fuel]
    content, price = round(USUAL_BTU[fuel] * share, 3), round(price * (100.0 if fuel == "wood" else 1.0), 3)
    case = study(fuel, content, price)
    result = simulate(case, GREENSBORO)
    source = result.options[1].sources[0]
    bought = source.input_j / BTU_J / content
    if fuel == "pellets":
        bought, sold_in = bought / 2000.0, "short tons"
        price *= 2000.0
        unit = "short ton"
    # the comparison
    row = next(cells for cells in season_rows(result, "us")[1] if cells[0].strip() == source.name)
    assert row[-2].endswith(f" {sold_in}")
    assert cell_amount(row[-2]) == pytest.approx(bought, abs=0.6 if bought >= 20 else 0.06)
    # the bill
    (_, lines), *_ = (
        table for key, table in zip(result.options[1].bills, bill_rows(case, result.options[1], "us"), strict=True) if key == fuel
    )  # fmt: skip
    amounts = [cell_amount(cells[2]) for cells in lines if cells[2].endswith(sold_in)]
    assert sum(amounts) == pytest.approx(bought, abs=0.01 * len(lines))
    assert all(cell_amount(cells[3]) == pytest.approx(price, abs=1e-5) for cells in lines if cells[2].endswith(sold_in))
    # the break-even prices
    turns = breakeven_prices(case, GREENSBORO)
    today = {cells[0]: cells[1] for cells in breakeven_rows(case, turns, "us")[1]}
    cell, rounded = today[fuel.replace("_", " ")], 0.0005 if price < 9.9 else 0.005 if price < 99.0 else 0.5
    assert cell.endswith(f"/{unit}")
    assert cell_amount(cell) == pytest.approx(price, abs=1.001 * rounded)
    # the case as understood
    assert f"{fuel.replace('_', ' ')}: ${price:,.3f}/{unit} on average" in printed_case(case, GREENSBORO, "us")
    # the tank
    hours = capacity_report(case, GREENSBORO).options[1].sources[0].tank_hours
    if fuel == "propane":
        usable = 250 * 0.6 * content * BTU_J * 0.9
        assert hours == pytest.approx(usable / result.route.load_w / 3600, rel=1e-6)


@pytest.mark.long
@given(share=st.floats(0.6, 1.4))
@settings(max_examples=2, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_report_and_headline_agree_with_them(share: float) -> None:
    case = study("propane", round(91_452.0 * share, 3), 2.5)
    result = simulate(case, GREENSBORO)
    bought = f"{result.options[1].sources[0].input_j / BTU_J / round(91_452.0 * share, 3):,.0f} gal"
    report = report_of(case, GREENSBORO, "us")
    cells = {cell for block in report.blocks if isinstance(block, Table) for row in block.rows for cell in row}
    assert bought in cells
    turn = next(one for one in breakeven_prices(case, GREENSBORO) if one.price == "propane")
    if turn.factor is not None and "propane" in (text := headline(case, GREENSBORO, result, "us")):
        assert f"${2.5 * turn.factor:,.2f}/gal" in text


def test_a_heat_content_by_mass_shows_pounds_and_one_that_nothing_uses_is_refused() -> None:
    data = demo()
    data["house"].pop("other_electricity")
    data["option"] = [{"name": "one", "source": [FUELS["propane"][0]]}]
    data["prices"] = {"propane": {"energy": "0.60 $/lb", "heat_content": "21500 Btu/lb"}}
    case = case_from(data)
    result = simulate(case, GREENSBORO)
    row = season_rows(result, "us")[1][1]
    assert row[-2] == f"{result.options[0].sources[0].input_j / BTU_J / 21500:,.0f} lb"
    assert any("kBtu/lb" in one.value for one in result.assumptions if one.what == "propane: heat content")
    data["prices"]["propane"]["energy"] = "2.50 $/gal"
    with pytest.raises(InputError, match="heat_content is per volume and a price or amount is per mass"):
        case_from(data)


def test_a_cord_of_fifteen_million() -> None:
    # the practitioner's case: 18.2 cords read as 13.6, and 200 $ a cord as 266.67
    price = study("wood", 15e6, 200.0).prices["wood"]
    assert price.sold("wood", 18.2 * 15e6 * BTU_J, "us") == (pytest.approx(18.2), "cords")
    assert price.sold_price("wood", price.tariff("wood").price_per_j, "us") == (pytest.approx(200.0), "cord")
    assert pytest.approx(128 * FOOT_M**3) == CORD_M3
