"""A card of the first look."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Card:
    """A noun, a number with its unit (or two, a line each), and a comparison; `level` is ``""``, ``"good"`` or ``"bad"``.

    `math` holds steps of arithmetic, each a formula and where its numbers come from, where the card makes its own.
    """

    key: str
    label: str
    value: str
    note: str
    level: str = ""
    math: tuple[tuple[str, str], ...] = ()
