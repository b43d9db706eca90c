"""Codes of other people's standards: units, kinds of energy and services of ESPI, and currencies of ISO 4217."""

from __future__ import annotations

import io
from typing import Any

import pytest
from bills.espi import feed, meter, reading, reads
from bills.test_edges_of_readings import DAY, JAN
from bills.test_readers_csv import lines_of, read

from costsim.bills.intervals import read_green_button
from costsim.bills.model import Bills
from costsim.units.quantity import BTU_J, FOOT_M, GALLON_M3, THERM_J

GAS_J_FT3, PROPANE_J_GAL = 1036 * BTU_J, 91452 * BTU_J
"""Heat in gas and propane as billed (tests/published/fuels.csv)."""


def daily(value: float, kind: int = 0, **codes: Any) -> list[Bills]:
    """Ten days of one meter."""
    blocks = [
        reading(JAN + at * DAY, DAY, value).replace("<IntervalReading>", "<IntervalReading><cost>250000</cost>")
        for at in range(10)
    ]
    text = feed(meter(blocks, kind=kind, type_=reads(**codes)), clock="<tzOffset>0</tzOffset>")
    return read_green_button("g.xml", content=io.BytesIO(text.encode()))


@pytest.mark.parametrize(
    ("uom", "commodity", "value", "fuel", "joule"),
    [
        # UomSymbol of the ESPI schema, as IEC 61968-9 numbers them
        (31, 1, 3_600_000, "electricity", 3.6e6), (72, 1, 1000, "electricity", 3.6e6), (72, 2, 1000, "electricity", 3.6e6),
        (169, 7, 2, "natural_gas", 2 * THERM_J), (132, 7, 100_000, "natural_gas", THERM_J), (119, 7, 100, "natural_gas", 100 * GAS_J_FT3),
        (42, 7, 3, "natural_gas", 3 * GAS_J_FT3 / FOOT_M**3), (134, 7, 3000, "natural_gas", 3 * GAS_J_FT3 / FOOT_M**3),
        (128, 8, 5, "propane", 5 * PROPANE_J_GAL), (130, 8, 5, "propane", 5 * PROPANE_J_GAL * 4.54609e-3 / GALLON_M3),
    ],
)  # fmt: skip
def test_units_and_kinds_of_energy_by_their_codes(
    uom: int, commodity: int, value: float, fuel: str, joule: float
) -> None:
    (found,) = daily(value, uom=uom, commodity=commodity)
    assert found.fuel == fuel
    assert found.energy_j == pytest.approx([joule] * 10)


@pytest.mark.parametrize(("kind", "uom", "fuel"), [(0, 72, "electricity"), (1, 169, "natural_gas")])
def test_the_service_tells_the_fuel_where_its_readings_do_not(kind: int, uom: int, fuel: str) -> None:
    assert [one.fuel for one in daily(10, kind=kind, uom=uom, commodity=-99)] == [fuel]


@pytest.mark.parametrize(("code", "sign"), [(840, "$"), (978, "€"), (826, "£"), (124, "$")])
def test_money_by_the_number_of_its_currency(code: int, sign: str) -> None:
    (found,) = daily(1000, currency=code)
    assert found.currency == sign
    assert found.cost == pytest.approx([2.5] * 10)


def test_no_meter_counts_a_million_terawatt_hours() -> None:
    head = "start,end,usage (kWh)\n2024-01-01,2024-02-01,5\n2024-02-01,2024-03-01,"
    assert read(f"{head}999999999999999\n").n_periods == 2
    assert "is more than any meter counts" in lines_of(f"{head}1000000000000001\n")[0]
