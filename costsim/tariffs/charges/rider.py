"""A rider: so much more or less for each unit of energy, in some hours or in all."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import Item, TypedCharge, Usage
from costsim.tariffs.charges.tariff import Tariff
from costsim.tariffs.hours import ClockHours
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField
from costsim.units.quantity import Quantity


class Rider(TypedCharge, ClockHours):
    """So much for each unit of energy beside its price; a credit where negative."""

    example: ClassVar[dict[str, Any]] = {"kind": "rider", "energy": "-0.01 $/kWh"}
    kind: Literal["rider"] = "rider"
    energy: Annotated[Quantity, QuantityField("price", "Price", "A credit where negative.", example="0.012 $/kWh")]

    def rows(self, calendar: HourCalendar) -> list[Floats]:
        """Its hours; none of its own where it goes on all energy."""
        return [] if self.is_whole_year else [self.hours().share(calendar)]

    def items(self, usage: Usage) -> Iterator[Item]:
        """One line a month."""
        joule = usage.total_j if self.is_whole_year else usage.own_j[:, :, 0]
        price = usage.extra_price(self.energy)
        yield Item(self.label, joule, "J", price, joule * price, "energy")

    def price_per_j(self, tariff: Tariff, calendar: HourCalendar) -> Floats | float:
        """Its price, in its hours."""
        return tariff.fuel.per_j(self.energy) * tariff.energy_factor * self.hours().share(calendar)
