"""A tax on some lines of the bill or on all before it, so that taxes can stand on taxes and a bill can hold two rates of VAT."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import TAXED, Charge, Item, TypedCharge, Usage
from costsim.tariffs.charges.tariff import Tariff
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField

GROUPS = {
    "energy": ("energy",),
    "fixed": ("fixed",),
    "power": ("power",),
    "delivery": ("delivery",),
    "taxes": ("tax",),
    "reliefs": ("relief",),
}


NUMBERED = re.compile(r", (tier|step|block) \d++$")


class OnLines(TypedCharge):
    """What goes on some lines of the bill, by kinds of lines, parts of the bill or names; on everything by default."""

    on: Annotated[
        tuple[str, ...], Field(title="On", description="Everything before it by default.", max_length=20)
    ] = ()

    def counted_of(self, usage: Usage, *, yearly: bool, fixed: bool | None = None) -> Floats:
        """Money of the lines that it is on (scenarios, 12), or (scenarios, 1) of the year's lines."""
        base = np.zeros((usage.scenarios, 1 if yearly else 12))
        for item, owner in zip(usage.items, usage.owners, strict=True):
            if item.is_yearly == yearly and fixed in (None, item.is_fixed) and self.counts(item, owner):
                base = base + item.amount
        return base

    def counts(self, item: Item, owner: Charge) -> bool:
        """Whether it is on a line."""
        if not self.on:
            return True
        names = {item.label, NUMBERED.sub("", item.label), item.label.rpartition(": ")[2]}
        names |= set(owner.names()) if isinstance(owner, TypedCharge) else set()
        return any(item.group in GROUPS.get(word, ()) or word in names for word in self.on)

    def counted(self) -> Sequence[str]:
        """What it is on, beyond kinds of lines; a numbered tier, step or block by its charge."""
        return [NUMBERED.sub("", word) for word in self.on if word not in GROUPS]


class Tax(OnLines):
    """A share of what stands before it: of everything, or of what `on` names.

    `on` holds kinds of lines (energy, fixed, power, delivery, taxes, reliefs), parts of the bill (supply) or names of lines. A tax
    that is typed later counts those typed before it where it is on everything or on taxes.
    """

    example: ClassVar[dict[str, Any]] = {"kind": "tax", "share": "6 %"}
    kind: Literal["tax"] = "tax"
    stage: ClassVar[int] = TAXED
    share: Annotated[
        float, QuantityField("share", "Share", "A relief where negative.", at_least=-1, at_most=2, example="20 %")
    ]

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line for what is fixed and one for the rest, by month and of the year."""
        for yearly in (False, True):
            for fixed in (True, False):
                base = self.counted_of(usage, yearly=yearly, fixed=fixed)
                label = f"{self.label}, fixed charges" if fixed else self.label
                yield Item(label, base, "money", self.share, base * self.share, "fixed" if fixed else "tax")

    def relief_per_j(self, tariff: Tariff, calendar: HourCalendar, energy_per_j: Floats) -> Floats | float:
        """The tax on an hour's next joule, as the negative of a relief, where it is on all energy; a tax on named lines is left out."""
        return -self.share * energy_per_j if not self.on or "energy" in self.on else 0.0
