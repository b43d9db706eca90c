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
from costsim.errors import InputError
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


AMOUNTS = {
    "J": (3_600_000, 3.6e6), "Wh": (1000, 3.6e6), "therm": (2, 2 * THERM_J), "Btu": (100_000, THERM_J), "ft3": (100, 100 * GAS_J_FT3),
    "m3": (3, 3 * GAS_J_FT3 / FOOT_M**3), "L": (3000, 3 * GAS_J_FT3 / FOOT_M**3), "gal": (5, 5 * PROPANE_J_GAL),
    "imp_gal": (5, 5 * PROPANE_J_GAL * 4.54609e-3 / GALLON_M3),
}  # fmt: skip
"""An amount in each unit, and its joules by hand."""
SOLD_AS = {"J": "secondary", "Wh": "secondary", "gal": "propane", "imp_gal": "propane"}
FUELS_OF = {"secondary": "electricity", "primary": "electricity"}


@pytest.mark.parametrize("unit", AMOUNTS)
def test_units_by_the_codes_of_the_schema(published, unit: str) -> None:
    codes, (value, joule) = published("espi"), AMOUNTS[unit]
    commodity = SOLD_AS.get(unit, "natural_gas")
    (found,) = daily(value, uom=int(codes[f"uom_{unit}"].value), commodity=int(codes[f"commodity_{commodity}"].value))
    assert found.fuel == FUELS_OF.get(commodity, commodity)
    assert found.energy_j == pytest.approx([joule] * 10)


def test_electricity_metered_at_the_primary_side_is_electricity(published) -> None:
    (found,) = daily(1000, commodity=int(published("espi")["commodity_primary"].value))
    assert (found.fuel, found.energy_j[0]) == ("electricity", pytest.approx(3.6e6))


@pytest.mark.parametrize(
    ("service", "unit", "fuel"), [("electricity", "Wh", "electricity"), ("gas", "therm", "natural_gas")]
)
def test_the_service_tells_the_fuel_where_its_readings_do_not(published, service: str, unit: str, fuel: str) -> None:
    codes = published("espi")
    kind, uom = int(codes[f"service_{service}"].value), int(codes[f"uom_{unit}"].value)
    assert [one.fuel for one in daily(10, kind=kind, uom=uom, commodity=-99)] == [fuel]
    # where no service is told either, the unit tells it: watt-hours are electricity, therms are gas
    assert [one.fuel for one in daily(10, kind=9, uom=uom, commodity=-99)] == [fuel]


def refused(**codes: int) -> str:
    with pytest.raises(InputError) as caught:
        daily(1000, **codes)
    return str(caught.value)


def test_what_is_no_use_of_energy_is_passed_over_by_its_code(published) -> None:
    """Ten readings each: of what the house feeds in, of moments, of other commodities, in other units."""
    codes = {
        key: int(row.value) for key, row in published("espi").items() if key.startswith(("flow_", "accumulation_"))
    }
    assert "10 readings of energy fed into the grid" in refused(flowDirection=codes["flow_reverse"])
    for name in ("indicating", "instantaneous"):
        assert "of moments, not of use over time" in refused(accumulationBehaviour=codes[f"accumulation_{name}"])
    for register in (1, 2, 3):  # bulk quantity, continuous cumulative, cumulative
        assert "10 readings of a register" in refused(accumulationBehaviour=register)
    assert "of commodity 5, which heats no house" in refused(commodity=5)  # insulative gas
    assert "in unit 5, which is no energy" in refused(uom=5)  # ampere
    assert "without a unit" in refused(uom=-99)


@pytest.mark.parametrize(("code", "sign"), [(840, "$"), (978, "€"), (826, "£"), (124, "$")])
def test_money_by_the_number_of_its_currency(code: int, sign: str) -> None:
    (found,) = daily(1000, currency=code)
    assert found.currency == sign
    assert found.cost == pytest.approx([2.5] * 10)


def test_no_meter_counts_a_million_terawatt_hours() -> None:
    head = "start,end,usage (kWh)\n2024-01-01,2024-02-01,5\n2024-02-01,2024-03-01,"
    assert read(f"{head}999999999999999\n").n_periods == 2
    assert "is more than any meter counts" in lines_of(f"{head}1000000000000001\n")[0]
