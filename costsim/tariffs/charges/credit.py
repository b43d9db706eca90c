"""A credit or rebate on the bill: money by the month or year, or a share of what stands before it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import model_validator

from costsim.tariffs.charges.base import CREDITED, Item, TypedCharge, Usage
from costsim.tariffs.windows import check_windows, parse_windows
from costsim.units.fields import QuantityField, fault
from costsim.units.quantity import MONTH_S, Quantity


class Credit(TypedCharge):
    """What the utility takes off the bill, after all taxes.

    An amount by the month comes off each of its months, one by the year is spread evenly over its months. A share is one of
    everything before it. Without `refundable` a month's bill never falls below zero.
    """

    example: ClassVar[dict[str, Any]] = {"kind": "credit", "amount": "35 $/month"}
    kind: Literal["credit"] = "credit"
    stage: ClassVar[int] = CREDITED
    amount_money: Annotated[
        Quantity | None,
        QuantityField("money_by_time", "Amount", "By the month or year.", at_least=0, example="35 $/month"),
    ] = None
    share: Annotated[float, QuantityField("share", "Share of the bill", at_least=0, at_most=1, example="10 %")] = 0.0
    months: str = ""
    refundable: bool = True

    @property
    def due_unused(self) -> bool:
        """An amount that is paid out too, were nothing used."""
        return self.amount_money is not None and self.refundable

    @model_validator(mode="after")
    def _one_of_two(self) -> Credit:
        check_windows((), months=self.months)
        if (self.amount_money is None) == (not self.share):
            raise fault("a credit has an amount or a share", 'write amount = "35 $/month" or share = "10 %"')
        if self.amount_money is not None and self.amount_money.per not in ("month", "year"):
            raise fault("amount has no month or year", 'write it like amount = "35 $/month"')
        return self

    def items(self, usage: Usage) -> Iterator[Item]:
        """One line a month, and of a share one of the year's own lines."""
        months = parse_windows((), months=self.months).months
        due, bill = np.isin(np.arange(1, 13), months)[None].astype(float), usage.money()
        if self.amount_money is None:
            yield Item(self.label, bill * due, "money", -self.share, -self.share * bill * due, "credit")
            if len(months) == 12:
                year = usage.money(yearly=True)
                yield Item(self.label, year, "money", -self.share, -self.share * year, "credit")
            return
        each = self.amount_money.value * MONTH_S
        if self.amount_money.per == "year":
            each *= 12 / len(months)
        credit = due * each if self.refundable else np.minimum(due * each, np.maximum(bill, 0.0))
        credit = np.broadcast_to(credit, (usage.scenarios, 12))
        rate = np.where(due > 0, -each, 0.0) if self.refundable else -credit
        yield Item(
            self.label, (credit > 0).astype(float), "month", rate, -credit, "fixed" if self.refundable else "credit"
        )
