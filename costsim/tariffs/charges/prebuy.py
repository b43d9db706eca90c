"""Fuel bought ahead, and a cap on its price."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from typing import Annotated, Any, ClassVar, Literal

import numpy as np

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import RELIEVED, YEARLY, Charge, Floats, Item, TypedCharge, Usage, once
from costsim.tariffs.charges.tariff import Tariff, billing_month
from costsim.units.fields import QuantityField
from costsim.units.quantity import Quantity


def _mean_price(usage: Usage) -> Floats:
    """What a unit of energy costs on average over the year (scenarios, 1) [money/J]."""
    joule = usage.total_j.sum(axis=1, keepdims=True)
    money = usage.money(("energy",)).sum(axis=1, keepdims=True)
    return np.asarray(
        np.divide(money, joule, out=np.zeros(np.broadcast_shapes(money.shape, joule.shape)), where=joule > 0)
    )


def _bought_ahead_j(usage: Usage, charges: Iterable[Charge]) -> float:
    """What is paid for ahead by some charges [J]."""
    return sum(usage.tariff.fuel.joules(one.amount_j) for one in charges if isinstance(one, PreBuy))


class PreBuy(TypedCharge):
    """An amount paid for before the season, which the year's first use is taken from.

    What it covers is not charged at the day's price, and a price cap does not count it. Of two, the one typed first is used first. Of
    what is left over `refund` is paid back; the rest is lost.
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
        before = itertools.takewhile(lambda one: one is not self, usage.tariff.extra)
        covered = np.minimum(bought, np.maximum(used - _bought_ahead_j(usage, before), 0.0))
        left, mean = bought - covered, _mean_price(usage)
        yield Item(self.label, bought, "J", price, bought * price, "energy")
        yield Item(f"{self.label}, covered", covered, "J", -mean, -covered * mean, "energy")
        back = -price * self.refund_share
        yield Item(f"{self.label}, paid back", left, "J", back, left * back, "energy")


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
        used, ahead = usage.total_j.sum(axis=1, keepdims=True), _bought_ahead_j(usage, usage.tariff.extra)
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
