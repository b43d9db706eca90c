"""What an amount of heat costs from each source, worked by hand."""

from types import SimpleNamespace
from typing import Any

from costsim.views.heat_price import heat_price_sentence, heat_prices

KWH = 3.6e6


def source(name: str, cost: float, heat_kwh: float) -> SimpleNamespace:
    return SimpleNamespace(name=name, cost=cost, heat_j=heat_kwh * KWH)


def result(*options: list[SimpleNamespace]) -> Any:
    return SimpleNamespace(currency="$", options=[SimpleNamespace(sources=one) for one in options])


ELECTRIC = source("Electric unit", 1600.0, 10_000.0)
GAS = source("Gas unit", 1.6 * 10_000.0 / 29.3071 / 0.92, 10_000.0)
"""Therms at $1.60, of 29.3071 kWh each (100,000 Btu of 1,055.056 J), at 92 %."""


def test_units_of_two_fuels_become_one():
    # 1,000,000 Btu are 293.071 kWh: at $0.16 a kWh 46.89; ten therms at 92 %: 16.00 / 0.92 = 17.39
    assert heat_price_sentence(result([ELECTRIC], [GAS]), "us") == (
        "A million Btu of heat costs $17 from Gas unit and $47 from Electric unit, fixed charges aside."
    )
    # 1.60 / (29.3071 * 0.92) = 0.0593
    assert heat_price_sentence(result([GAS], [ELECTRIC]), "si") == (
        "A kilowatt-hour of heat costs $0.06 from Gas unit and $0.16 from Electric unit, fixed charges aside."
    )


def test_a_name_with_a_comma_of_its_own_stands_in_quotation_marks():
    night = source("Electric, by night", 1600.0, 10_000.0)
    assert "$17 from Gas unit and $47 from “Electric, by night”, fixed" in heat_price_sentence(
        result([night], [GAS]), "us"
    )


def test_a_source_counts_where_its_heat_is_cheapest():
    dear = source("Gas unit", 1000.0, 5_000.0)
    assert [name for name, _ in heat_prices(result([dear], [ELECTRIC], [GAS]))] == ["Gas unit", "Electric unit"]
    assert heat_prices(result([dear], [GAS])) == [("Gas unit", GAS.cost / GAS.heat_j)]


def test_sun_and_a_backup_that_hardly_runs_are_not_named():
    backup, sun = source("Backup", 90.0, 400.0), source("Collectors", 0.0, 3_000.0)
    assert [name for name, _ in heat_prices(result([ELECTRIC, sun, backup]))] == ["Electric unit"]
    assert heat_price_sentence(result([sun]), "us") == ""
