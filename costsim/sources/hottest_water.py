"""Water hotter than a source makes: what floor and uses ask of a stratified tank, each for itself, and what is said of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from costsim.units.arrays import Floats
from costsim.units.quantity import show_both
from costsim.words import tr, trn

SAME_K = 1e-6
"""Water hotter by no more than this counts as the same, whichever way it was added up."""


@dataclass(frozen=True, slots=True)
class Layers:
    """Water [°C] and heat [W] of the floor, and of all uses with the hottest one's water; arrays (n,), or of many houses as theirs."""

    floor_c: Any
    floor_w: Any
    uses_c: Any
    uses_w: Any


def too_hot(label: str, most_c: float, needed_c: float, hours: int, *, whole: bool, cold: str = "") -> str:
    """Say for how many hours a source stops, or leaves a part, since the water would have to leave it hotter than it makes [°C].

    `cold` tells of hours in which it stops too, since it is too cold outdoors for it: both are one sentence.
    """
    words = {
        "label": label,
        "supply": show_both(needed_c, "temperature", 0),
        "limit": show_both(most_c, "temperature", 0),
    }
    if whole and cold:
        return trn(
            "{label}: it stops {cold}, and for {count} more hour in which the water would have to leave it at up to {supply},"
            " hotter than the {limit} it makes; another source must carry both",
            "{label}: it stops {cold}, and for {count} more hours in which the water would have to leave it at up to {supply},"
            " hotter than the {limit} it makes; another source must carry both",
            hours,
            cold=cold,
            **words,
        )
    if whole:
        return trn(
            "{label}: it stops for {count} hour in which the water would have to leave it at up to {supply}, hotter than the"
            " {limit} it makes; another source must carry it",
            "{label}: it stops for {count} hours in which the water would have to leave it at up to {supply}, hotter than the"
            " {limit} it makes; another source must carry them",
            hours,
            **words,
        )
    return trn(
        "{label}: for {count} hour it leaves to another source what needs water of up to {supply}, hotter than the {limit} it makes",
        "{label}: for {count} hours it leaves to another source what needs water of up to {supply}, hotter than the {limit} it makes",
        hours,
        **words,
    )


def too_cold(stop_c: float, hours: int) -> str:
    """For how many hours a source stops since it is colder outdoors than it runs at [°C], as a part of a sentence; empty for none."""
    if not hours:
        return ""
    stop = show_both(stop_c, "temperature", 0)
    return trn(
        "for {count} hour colder than {stop} outside", "for {count} hours colder than {stop} outside", hours, stop=stop
    )


def stopped(label: str, most_c: float, water_c: Floats, demand_w: Floats) -> tuple[str, ...]:
    """Say for how many hours with demand the water would have to be hotter than a source makes [°C]; nothing where in none."""
    hours = (water_c > most_c + SAME_K) & (demand_w > 0.0)
    if not hours.any():
        return ()
    return (too_hot(label, most_c, float(water_c[hours].max()), int(hours.sum()), whole=True),)


def half_charged(label: str, most_c: float, reached_c: float, store_c: float) -> str:
    """Say that a store is charged less hot than it might be [°C]."""
    return tr(
        "{label}: it charges the tank to {reached}, not to {store}, since it makes water of at most {limit}",
        label=label,
        reached=show_both(reached_c, "temperature", 0),
        store=show_both(store_c, "temperature", 0),
        limit=show_both(most_c, "temperature", 0),
    )
