"""Heat in a unit of fuel: typed, by the kind of firewood, the fuel's own; and what is refused."""

from __future__ import annotations

import pytest

from costsim.errors import InputError
from costsim.study import heat_content
from costsim.study.crosschecks import price_faults
from costsim.study.prices import Price
from costsim.units.faults import build
from costsim.units.quantity import Quantity

MMBTU_J, CORD_M3, GALLON_M3 = 1055.05585262e6, 128 * 0.3048**3, 3.785411784e-3


def wood(**more: str) -> Price:
    return build(Price, {"energy": "300 $/cord", **more})


@pytest.mark.parametrize(
    ("typed", "mmbtu"),
    # middle of the values in print: 21.0 (Rodale) to 25.9 (University of Kentucky), 12.0 (Rodale) to 15.0 for white pine
    [("red_oak", 23.45), ("Red oak", 23.45), ("white  pine", 13.5), ("hickory", 26.65)],
)
def test_a_cord_holds_what_its_kind_of_wood_does(typed: str, mmbtu: float) -> None:
    price = wood(species=typed)
    assert price.base_per_j("wood") * mmbtu * MMBTU_J == pytest.approx(300.0)
    assert price.sold("wood", 10 * mmbtu * MMBTU_J, "us") == (pytest.approx(10.0), "cords")
    assert price_faults({"wood": price}, "x.toml") == []


def test_dearer_hickory_may_be_the_cheaper_heat() -> None:
    hickory, pine = wood(species="hickory"), build(Price, {"energy": "200 $/cord", "species": "white_pine"})
    # 300 / 26.65 = 11.26 $/MMBtu and 200 / 13.5 = 14.81 $/MMBtu, before the boiler
    assert hickory.base_per_j("wood") * MMBTU_J == pytest.approx(11.257, abs=1e-3)
    assert pine.base_per_j("wood") * MMBTU_J == pytest.approx(14.815, abs=1e-3)


def test_what_is_typed_goes_before_the_fuel_s_own() -> None:
    assert wood().content is None
    assert wood().base_per_j("wood") * 20 * MMBTU_J == pytest.approx(300.0, rel=1e-6)  # EIA: 20 million Btu a cord
    typed = wood(heat_content="15 MMBtu/cord")
    assert typed.content == typed.heat_content
    assert typed.base_per_j("wood") * 15 * MMBTU_J == pytest.approx(300.0)


def test_each_heat_content_tells_where_it_is_from() -> None:
    assert heat_content.source("wood", None, "red_oak").startswith("Red oak: middle of printed tables")
    assert heat_content.source("wood", None, "red_oak").endswith("21.0 to 25.9 MMBtu/cord")
    assert heat_content.source("wood", Quantity(1.0, ()), "") == "as typed"
    assert "EIA" in heat_content.source("wood", None, "")


def test_heat_contents_in_words() -> None:
    assert heat_content.text("electricity", None) == "1 kWh is 1 kWh"
    propane = 91452 * 1055.05585262 / GALLON_M3  # EIA: 91,452 Btu a gallon
    assert (
        heat_content.text("propane", None) == f"{propane / 3.6e6:,.3f} kWh/m³ (91.452 kBtu/gal), higher heating value"
    )
    by_mass = Quantity(36e6, (2, 0, -2, 0, 0))
    assert heat_content.text("pellets", by_mass).startswith("10.000 kWh/kg")


@pytest.mark.parametrize(
    ("key", "table", "said"),
    [
        ("propane", {"energy": "2.5 $/gal", "species": "red_oak"}, "propane is no firewood"),
        ("wood", {"energy": "300 $/cord", "species": "red_oak", "heat_content": "20 MMBtu/cord"}, "given too"),
        ("electricity", {"energy": "0.1 $/kWh", "heat_content": "20 MMBtu/cord"}, "electricity has none"),
        ("wood", {"energy": "300 $/cord", "heat_content": "2 MMBtu/cord"}, "what firewood can have"),
    ],
)
def test_a_heat_content_that_cannot_be_is_one_fault(key: str, table: dict[str, str], said: str) -> None:
    (found,) = price_faults({key: build(Price, table)}, "x.toml")
    assert said in str(found)
    assert found.field.startswith(f"prices.{key}.")


def test_a_wood_that_is_in_no_table_is_told_with_those_that_are() -> None:
    with pytest.raises(InputError, match="'balsa' is not a kind of wood in the table; use one of apple, hickory"):
        wood(species="Balsa")
