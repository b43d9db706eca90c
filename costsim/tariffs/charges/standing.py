"""A standing charge by the day, the month or the year, in some months or in all."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import model_validator

from costsim.tariffs.charges.base import Item, TypedCharge, Usage
from costsim.tariffs.charges.tariff import season_days
from costsim.tariffs.windows import check_windows, parse_windows
from costsim.units.fields import QuantityField, fault
from costsim.units.quantity import MONTH_S, Quantity
from costsim.units.table import DAY_S


class Standing(TypedCharge):
    """What is due by the day, by the month or by the year without anything being used.

    By the day it counts the days of the billing month that lie in season, by the month the share of its days, by the year a
    twelfth each month.
    """

    example: ClassVar[dict[str, Any]] = {"kind": "standing", "amount": "0.45 $/day"}
    kind: Literal["standing"] = "standing"
    amount_money: Annotated[
        Quantity, QuantityField("money_by_time", "Amount", "By the day, month or year.", example="0.45 $/day")
    ]
    months: str = ""

    @property
    def due_unused(self) -> bool:
        """By its name."""
        return True

    @model_validator(mode="after")
    def _by_day_month_or_year(self) -> Standing:
        check_windows((), months=self.months)
        if not self.amount_money.per:
            raise fault("amount has no day, month or year", 'write it like amount = "0.45 $/day"')
        return self

    def items(self, usage: Usage) -> Iterator[Item]:
        """One line a month."""
        season = parse_windows((), months=self.months)
        days = season_days(season, usage.tariff.read_day, usage.calendar)[None]
        per, value = self.amount_money.per, self.amount_money.value
        if per == "day":
            quantity, rate = days, value * DAY_S
        else:
            quantity = days / np.maximum(usage.month_days(), 1.0) * usage.tariff.months_billed
            rate = value * MONTH_S  # a twelfth of the year's amount is the month's
        yield Item(self.label, quantity, "days" if per == "day" else "month", rate, quantity * rate, "fixed")
