"""Fuel bought ahead."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from typing import Annotated, Any, ClassVar, Literal

import numpy as np

from costsim.tariffs.charges.base import YEARLY, Charge, Item, TypedCharge, Usage
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField
from costsim.units.quantity import Quantity


def _mean_price(usage: Usage) -> Floats:
    """What a unit of energy costs on average over the year (scenarios, 1) [money/J]."""
    joule = usage.total_j.sum(axis=1, keepdims=True)
    money = usage.money(("energy",)).sum(axis=1, keepdims=True)
    return np.asarray(
        np.divide(money, joule, out=np.zeros(np.broadcast_shapes(money.shape, joule.shape)), where=joule > 0)
    )


def bought_ahead_j(usage: Usage, charges: Iterable[Charge]) -> float:
    """What is paid for ahead by some charges [J]."""
    return sum(usage.tariff.fuel.joules(charge.amount_j) for charge in charges if isinstance(charge, PreBuy))


class PreBuy(TypedCharge):
    """An amount paid for before the season, which the year's use is taken from.

    What it covers is taken off the bill at the year's mean price, and a price cap does not count it. Of two, the one typed first is
    used first. Of what is left over `refund` is paid back; the rest is lost.
    """

    example: ClassVar[dict[str, Any]] = {"kind": "prebuy", "amount": "1000 kWh", "energy": "0.08 $/kWh"}
    kind: Literal["prebuy"] = "prebuy"
    stage: ClassVar[int] = YEARLY
    amount_j: Annotated[Quantity, QuantityField("amount", "Amount", above=0, example="400 gal")]
    energy: Annotated[Quantity, QuantityField("price", "Price paid ahead", at_least=0, example="2.20 $/gal")]
    refund_share: Annotated[
        float,
        QuantityField("share", "Share of its price paid back for what is left", at_least=0, at_most=1, example="90 %"),
    ] = 0.0

    def items(self, usage: Usage) -> Iterator[Item]:
        """What was paid, what it covers, and what comes back."""
        bought = np.full((1, 1), usage.tariff.fuel.joules(self.amount_j))
        price, used = usage.tariff.fuel.per_j(self.energy), usage.total_j.sum(axis=1, keepdims=True)
        before = itertools.takewhile(lambda charge: charge is not self, usage.tariff.extra)
        covered = np.minimum(bought, np.maximum(used - bought_ahead_j(usage, before), 0.0))
        left, mean = bought - covered, _mean_price(usage)
        yield Item(self.label, bought, "J", price, bought * price, "energy")
        yield Item(f"{self.label}, covered", covered, "J", -mean, -covered * mean, "energy")
        back = -price * self.refund_share
        yield Item(f"{self.label}, paid back", left, "J", back, left * back, "energy")
