"""A new fuel: what its entry in `FUELS` settles, and the units below it that must agree."""

from __future__ import annotations

import pytest

from costsim.bills.convert import TANK_FUELS
from costsim.bills.fit import usual_efficiency
from costsim.physics.fuels import FUELS
from costsim.units.quantity import parse
from costsim.units.reading import FUEL_UNITS
from costsim.units.usual import SOLD


def test_every_fuel_has_the_units_that_it_is_sold_by() -> None:
    """A bare price is read by the unit that bills count in: a short ton is 2,000 lb of 0.45359237 kg, a gallon 3.785411784 L."""
    assert set(SOLD) == set(FUEL_UNITS) == set(FUELS)
    for name, fuel in FUELS.items():
        for system, (size, _) in (("us", fuel.sold_in), ("si", fuel.sold_in_si)):
            unit = FUEL_UNITS[name][system]
            assert unit in SOLD[name]
            measured = "energy" if fuel.metered else "mass" if fuel.natural_unit == "kg" else "volume"
            assert parse(f"1 {unit}", measured).value == pytest.approx(size)
    assert FUELS["pellets"].sold_in[0] == pytest.approx(2000 * 0.45359237)
    assert FUELS["propane"].sold_in[0] == pytest.approx(3.785411784e-3)


def test_what_has_no_meter_comes_by_truck() -> None:
    assert set(FUELS) - set(TANK_FUELS) == {"electricity", "natural_gas"}


def test_bills_of_a_fuel_without_a_usual_efficiency_are_read_with_a_wide_band() -> None:
    plain = usual_efficiency("peat")
    assert plain.low < plain.value < plain.high < 1.0
    for name in FUELS:
        assert usual_efficiency(name).low <= usual_efficiency(name).value <= usual_efficiency(name).high
