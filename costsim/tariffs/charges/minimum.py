"""A minimum of some lines of the bill: by the day, the month or the year, of delivery alone where the sheet says so."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import model_validator

from costsim.tariffs.charges.base import MINIMUM, Charge, Item, Usage, once
from costsim.tariffs.charges.tax import OnLines
from costsim.units.fields import QuantityField, fault
from costsim.units.quantity import MONTH_S, Quantity
from costsim.units.table import DAY_S

BEFORE = ("energy", "fixed", "power", "relief")


class MinimumCharge(OnLines):
    """What is missing from a minimum of the lines that it is `on`: of energy, fixed and power charges and reliefs by default.

    By the day it counts the days of the billing month, by the month once a month, by the year over the whole year. Taxes come on
    top of it. A minimum of some lines is paid before one of the whole bill, which counts it, and so a year's counts those of its
    months: nothing is paid twice for use that is missing once. A minimum bill holds the bill to a level (glossary of the Body of
    Knowledge on Infrastructure Regulation, "minimum charge"), and what another minimum added stands on that bill already.
    """

    example: ClassVar[dict[str, Any]] = {"kind": "minimum", "amount": "0.39 $/day"}
    kind: Literal["minimum"] = "minimum"
    stage: ClassVar[int] = MINIMUM
    amount_money: Annotated[
        Quantity,
        QuantityField("money_by_time", "Amount", "By the day, month or year.", at_least=0, example="0.39 $/day"),
    ]

    @property
    def due_unused(self) -> bool:
        """It holds of a bill of nothing too."""
        return True

    @model_validator(mode="after")
    def _by_day_month_or_year(self) -> MinimumCharge:
        if not self.amount_money.per:
            raise fault("amount has no day, month or year", 'write it like amount = "0.39 $/day"')
        return self

    def order(self) -> float:
        """Of some lines first, of the whole bill then; by the year after those by the month."""
        return self.stage - 0.5 * bool(self.on) + 0.25 * (self.amount_money.per == "year")

    def counts(self, item: Item, owner: Charge) -> bool:
        """Whether a line counts against the minimum."""
        return super().counts(item, owner) if self.on else item.group in BEFORE

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line a month, or one of the year."""
        value, per = self.amount_money.value, self.amount_money.per
        charged = usage.tariff.by_bill(self.counted_of(usage, yearly=False))
        if per == "year":
            year = charged.sum(axis=1, keepdims=True) + self.counted_of(usage, yearly=True)
            yield once(self.label, "year", np.maximum(value * 12 * MONTH_S - year, 0.0), "fixed")
            return
        due = value * DAY_S * usage.month_days() if per == "day" else value * MONTH_S * usage.tariff.months_billed
        yield once(self.label, "month", np.maximum(due - charged, 0.0), "fixed")
