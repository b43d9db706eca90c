"""Three doors in: who is looking settles the first house and which parts and fields are seen."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.dashboard import parts, parts_bills, parts_house, parts_many, parts_report, parts_size
from costsim.dashboard.widgets import PARTS, Part

__all__ = ["DOORS", "Persona", "parts", "parts_bills", "parts_house", "parts_many", "parts_report", "parts_size"]
NEEDS, COST, HEAT, COLD = "What the house needs", "Cost of a year", "Where the heat comes from", "Cold hours"
BILL, SURE, SIZE, MONEY, RESTS, MANY, HAND, FIT = (
    "The bill", "What would change the answer", "The right size", "Money over years", "What it rests on", "Many homes", "To hand over",
    "From your bills",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Persona:
    """Who is looking: the house to begin with, the parts in their order, and sections of the form that stay shut."""

    label: str
    study: str
    names: tuple[str, ...]
    hides: tuple[str, ...] = ()

    def parts(self) -> dict[str, Part]:
        """The parts that this reader sees."""
        return {name: PARTS[name] for name in self.names}


DOORS: dict[str, Persona] = {
    "owner": Persona(
        "I live in the house",
        "lantern_cottage",
        (COST, NEEDS, FIT, COLD, BILL, SURE, MONEY, RESTS, HAND),
        hides=("water",),
    ),
    "installer": Persona(
        "I install heating", "net_loft", (COST, NEEDS, FIT, HEAT, COLD, SIZE, BILL, SURE, MONEY, RESTS, HAND)
    ),
    "planner": Persona("I plan for many homes", "valley_row", (COST, MANY, HEAT, SIZE, SURE, COLD, RESTS, HAND)),
}
"""By the word that stands in the link."""
