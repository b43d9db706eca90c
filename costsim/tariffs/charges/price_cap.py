"""A cap on the price of energy."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

import numpy as np

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import RELIEVED, Item, TypedCharge, Usage, once
from costsim.tariffs.charges.prebuy import bought_ahead_j
from costsim.tariffs.charges.tariff import Tariff, billing_month
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField
from costsim.units.quantity import Quantity


class PriceCap(TypedCharge):
    """The most that energy costs in a month, for a fee each year: what lies above it is taken off.

    Not of what is paid for ahead, which has its own price: as large a share of each month's use as of the year's. Its line is the
    use that it counts times what the month's mean price lies above it.
    """

    example: ClassVar[dict[str, Any]] = {"kind": "price_cap", "energy": "0.15 $/kWh"}
    kind: Literal["price_cap"] = "price_cap"
    stage: ClassVar[int] = RELIEVED
    energy: Annotated[Quantity, QuantityField("price", "Highest price", at_least=0, example="3.10 $/gal")]
    fee_per_year: Annotated[float, QuantityField("money_per_year", "Fee", at_least=0, example="150 $/year")] = 0.0

    def items(self, usage: Usage) -> Iterator[Item]:
        """What is taken off each month, and the fee."""
        above = np.maximum(usage.money(("energy",)) - usage.total_j * usage.tariff.fuel.per_j(self.energy), 0.0)
        used, ahead = usage.total_j.sum(axis=1, keepdims=True), bought_ahead_j(usage, usage.tariff.extra)
        capped = usage.total_j * np.maximum(used - ahead, 0.0) / np.where(used > 0, used, 1.0)
        a_joule = np.divide(above, usage.total_j, out=np.zeros(above.shape), where=usage.total_j > 0)
        yield Item(self.label, np.where(above > 0, capped, 0.0), "J", -a_joule, -a_joule * capped, "relief")
        yield once(f"{self.label}, fee", "year", np.full((1, 1), self.fee_per_year), "fixed")

    def relief_per_j(self, tariff: Tariff, calendar: HourCalendar, energy_per_j: Floats) -> Floats:
        """What lies above the cap, in months whose every price does; else the month's mean, which use decides, may lie below it."""
        cap, month = tariff.fuel.per_j(self.energy), billing_month(tariff.read_day, calendar) - 1
        lowest = np.full(12, np.inf)
        np.minimum.at(lowest, month, energy_per_j)
        return np.where(lowest[month] > cap, energy_per_j - cap, 0.0)
