"""What each delivery of a stored fuel costs beside the fuel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

import numpy as np

from costsim.tariffs.charges.base import YEARLY, Charge, Item, Usage
from costsim.units.arrays import Floats

if TYPE_CHECKING:
    from costsim.tariffs.charges.tariff import Tariff


@dataclass(frozen=True, slots=True)
class Delivery:
    """What each delivery of a stored fuel costs beside the fuel.

    The year's use comes in fills of `fill_j` and a last one with what remains; that one pays `small_fee` too where it
    is less than `minimum_j`.
    """

    fill_j: float
    fee: float = 0.0
    minimum_j: float = 0.0
    small_fee: float = 0.0

    def number_of(self, energy_j: Floats) -> tuple[Floats, Floats]:
        """Number of deliveries in a year, and of those that are too small."""
        slack = 1e-9 * self.fill_j  # sums in another order must not make a delivery more
        full = np.floor((energy_j + slack) / self.fill_j)
        rest = energy_j - full * self.fill_j
        last = rest > slack
        return full + last, np.asarray(last & (rest < self.minimum_j - slack), dtype=float)


@dataclass(frozen=True)
class DeliveryFees(Charge):
    """The fees of a year's deliveries."""

    tariff: Tariff
    stage: ClassVar[int] = YEARLY

    def items(self, usage: Usage) -> Iterator[Item]:
        """Two lines a year, none where nothing is delivered."""
        delivery = self.tariff.delivery
        if delivery is not None:
            number, small = delivery.number_of(usage.total_j.sum(axis=1, keepdims=True))
            yield Item("delivery", number, "deliveries", delivery.fee, number * delivery.fee, "delivery")
            yield Item(
                "small delivery", small, "deliveries", delivery.small_fee, small * delivery.small_fee, "delivery"
            )
