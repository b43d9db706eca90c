"""Three doors in: who is looking settles the first house and which parts and fields are seen."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.screens import parts, parts_house, parts_size
from costsim.screens.board import PARTS, Part

__all__ = ["DOORS", "Door", "parts", "parts_house", "parts_size"]
NEEDS, COST, HEAT, COLD = "What the house needs", "Cost of a year", "Where the heat comes from", "Cold hours"
BILL, SURE, SIZE, MONEY, RESTS = (
    "The bill", "What would change the answer", "The right size", "Money over years", "What it rests on",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Door:
    """Who is looking: the house to begin with, the parts in their order, and sections of the form that stay shut."""

    label: str
    study: str
    names: tuple[str, ...]
    hides: tuple[str, ...] = ()

    def parts(self) -> dict[str, Part]:
        """The parts that this reader sees."""
        return {name: PARTS[name] for name in self.names}


DOORS: dict[str, Door] = {
    "owner": Door(
        "I live in the house", "lantern_cottage", (COST, NEEDS, COLD, BILL, SURE, MONEY, RESTS), hides=("water",)
    ),
    "installer": Door("I install heating", "net_loft", (COST, NEEDS, HEAT, COLD, SIZE, BILL, SURE, MONEY, RESTS)),
    "planner": Door("I plan for many homes", "valley_row", (COST, HEAT, SIZE, SURE, COLD, RESTS)),
}
"""By the word that stands in the link."""
