"""A tax on some lines of the bill or on all before it, so that taxes can stand on taxes and a bill can hold two rates of VAT."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from costsim.tariffs.charges.base import TAXED, Item, TypedCharge, Usage, charge
from costsim.units.fields import QuantityField

GROUPS = {
    "energy": ("energy",),
    "fixed": ("fixed",),
    "power": ("power",),
    "delivery": ("delivery",),
    "taxes": ("tax",),
    "reliefs": ("relief",),
}


@charge
class Tax(TypedCharge):
    """A share of what stands before it: of everything, or of what `on` names.

    `on` holds kinds of lines (energy, fixed, power, delivery, taxes, reliefs), parts of the bill (supply) or names of lines. A tax
    that is typed later counts those typed before it where it is on everything or on taxes.
    """

    kind: Literal["tax"] = "tax"
    stage: ClassVar[int] = TAXED
    share: Annotated[
        float, QuantityField("share", "Share", "A relief where negative.", at_least=-1, at_most=2, example="20 %")
    ]
    on: Annotated[
        tuple[str, ...], Field(title="On", description="Everything before it by default.", max_length=20)
    ] = ()

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line for what is fixed and one for the rest, by month and of the year."""
        for yearly in (False, True):
            for fixed in (True, False):
                base = np.zeros((usage.scenarios, 1 if yearly else 12))
                for item in usage.items:
                    if item.is_yearly == yearly and item.is_fixed == fixed and self.counts(item.label, item.group):
                        base = base + item.amount
                label = f"{self.label}, fixed charges" if fixed else self.label
                yield Item(label, base, "money", self.share, base * self.share, "fixed" if fixed else "tax")

    def counts(self, label: str, group: str) -> bool:
        """Whether it is on a line."""
        if not self.on:
            return True
        part, _, name = label.rpartition(": ")
        return any(group in GROUPS.get(word, ()) or word in (label, name, part) for word in self.on)

    def counted(self) -> Sequence[str]:
        """What it is on, beyond kinds of lines."""
        return [word for word in self.on if word not in GROUPS]
