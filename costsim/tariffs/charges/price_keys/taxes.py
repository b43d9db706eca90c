"""Taxes and reliefs on energy, by money and by amount, and a tax on the whole bill."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

import numpy as np

from costsim.tariffs.charges.base import RELIEVED, TAXED_WHOLE, Charge, Item, Usage
from costsim.units.arrays import Floats

if TYPE_CHECKING:
    from costsim.tariffs.charges.tariff import Tariff


@dataclass(frozen=True)
class EnergyTax(Charge):
    """Tax or relief as a share of the energy charges, and on each joule."""

    tariff: Tariff
    stage: ClassVar[int] = RELIEVED

    def items(self, usage: Usage) -> Iterator[Item]:
        """Up to two lines a month."""
        share, rate = self.tariff.energy_tax_share, self.tariff.tax_per_j
        if share:
            money, group = usage.money(("energy",)), "tax" if share > 0 else "relief"
            yield Item(f"{group} on use", money, "money", share, money * share, group)
        if rate:
            joule, group = usage.total_j, "tax" if rate > 0 else "relief"
            yield Item("duty" if rate > 0 else "relief by amount", joule, "J", rate, joule * rate, group)


@dataclass(frozen=True)
class WholeTax(Charge):
    """Tax on every line before it."""

    tariff: Tariff
    stage: ClassVar[int] = TAXED_WHOLE
    at_once: ClassVar[bool] = True

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line for each line before it, or one for all where nobody reads them."""
        share = self.tariff.tax_share
        if share:
            for item in list(usage.items):
                group = "fixed" if item.is_fixed else "tax"
                yield Item(f"tax on {item.label}", item.amount, "money", share, item.amount * share, group)

    def amount(self, usage: Usage) -> Floats:
        """Tax of the year (scenarios,)."""
        whole = usage.money().sum(axis=1) + usage.money(yearly=True).sum(axis=1)
        return np.asarray(whole * self.tariff.tax_share)
