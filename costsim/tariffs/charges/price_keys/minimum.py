"""What is paid although too little was used: the minimum bill of a month and the minimum use of a year."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

import numpy as np

from costsim.tariffs.charges.base import MINIMUM, YEARLY, Charge, Item, Usage, once

if TYPE_CHECKING:
    from costsim.tariffs.charges.tariff import Tariff


@dataclass(frozen=True)
class MinimumBill(Charge):
    """What is missing from the minimum bill.

    Taxes come on top of it; a relief counts before it, or one that grows with the price would undercut it.
    """

    tariff: Tariff
    stage: ClassVar[int] = MINIMUM

    def items(self, usage: Usage) -> Iterator[Item]:
        """One line a month."""
        charged = self.tariff.by_bill(usage.money(("energy", "fixed", "power", "relief")))
        due = self.tariff.minimum_bill_per_month * self.tariff.months_billed
        yield once("minimum bill", "month", np.maximum(0.0, due - charged), "fixed")


@dataclass(frozen=True)
class MinimumUse(Charge):
    """What is missing from the year's minimum use, and the fee for missing it."""

    tariff: Tariff
    stage: ClassVar[int] = YEARLY

    def items(self, usage: Usage) -> Iterator[Item]:
        """Two lines a year."""
        missing = np.maximum(0.0, self.tariff.minimum_use_j - usage.total_j.sum(axis=1, keepdims=True))
        rate = usage.price(self.tariff.missing_use_price_per_j)
        yield Item("minimum use", missing, "J", rate, missing * rate, "fixed")
        yield once("minimum use fee", "year", (missing > 0) * self.tariff.minimum_use_fee, "fixed")
