"""What is due without anything being used: each month, and rent each year."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

import numpy as np

from costsim.tariffs.charges.base import YEARLY, Charge, Item, Usage, once

if TYPE_CHECKING:
    from costsim.tariffs.charges.tariff import Tariff


@dataclass(frozen=True)
class FixedCharge(Charge):
    """The fixed charge of each month, on the bill of as many months as it stands for."""

    tariff: Tariff

    def items(self, usage: Usage) -> Iterator[Item]:
        """One line a month."""
        fixed = np.atleast_2d(self.tariff.fixed_per_month)
        months = self.tariff.months_billed
        yield Item("fixed charge", np.atleast_2d(months), "month", fixed, fixed * months, "fixed")


@dataclass(frozen=True)
class Rent(Charge):
    """Rent of a tank or meter."""

    tariff: Tariff
    stage: ClassVar[int] = YEARLY

    def items(self, usage: Usage) -> Iterator[Item]:
        """One line a year."""
        yield once("rent", "year", np.full((1, 1), self.tariff.rent_per_year), "fixed")
