"""Who reads: the invented study to begin with, and the page to land on. Nobody is locked out of a page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Persona:
    """A kind of reader: what stands on the button, the study to begin with."""

    label: str
    study: str


PERSONAS: dict[str, Persona] = {
    "household": Persona("Homeowner", "lantern_cottage"),
    "installer": Persona("Installer", "net_loft"),
    "planner": Persona("Planner", "valley_row"),
}
"""By the word that stands in the link."""
