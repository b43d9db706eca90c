"""Several columns of use that are one: parts by hours of the day or blocks of the month, which add up, or parts beside their total."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np

from costsim.bills.words import unit_in, words_of
from costsim.units.arrays import Floats

_BLOCKS = {"tier", "block", "step"}
_PARTS = {
    "on", "off", "mid", "peak", "onpeak", "offpeak", "midpeak", "partial", "part", "super", "shoulder", "critical", "day", "night",
    "daytime", "nighttime", "overnight", "evening", "morning", "weekday", "weekdays", "weekend", "weekends", "baseline", "hp", "hc",
    "pleines", "creuses", "ht", "nt", "tag", "nacht", "hochtarif", "niedertarif", "punta", "llano", "valle",
    *(f"{letter}{number}" for letter in "pt" for number in range(1, 7)), *_BLOCKS,
}  # fmt: skip
_TOTAL = {"total", "totals", "sum", "gesamt", "summe", "overall", "combined"}
_OBIS_PART = re.compile(r"(?<![\d.])1\.8\.([1-9])(?!\d)")
"""Registers of what is bought, each of its hours, by their codes of IEC 62056-61 (value from memory)."""


def are_parts(headings: Sequence[str]) -> bool:
    """Whether columns are parts of one use: each is headed by another part, and by nothing else that differs.

    Examples
    --------
    >>> are_parts(["On-Peak kWh", "Off-Peak kWh"]), are_parts(["HC (kWh)", "HP (kWh)"]), are_parts(["Tier 1 use", "Tier 2 use"])
    (True, True, True)
    >>> are_parts(["Meter 1 kWh", "Meter 2 kWh"]), are_parts(["House kWh", "Peak kWh"]), are_parts(["Day kWh", "Night (therms)"])
    (False, False, False)
    """
    split = [_part_and_rest(heading) for heading in headings]
    parts = [part for part, _ in split]
    return all(parts) and len(set(parts)) == len(parts) and len({rest for _, rest in split}) == 1


def _part_and_rest(heading: str) -> tuple[frozenset[str], tuple[frozenset[str], str]]:
    code = _OBIS_PART.search(heading)
    words = set(words_of(_OBIS_PART.sub(" ", heading)).split())
    part = words & _PARTS | ({code[0]} if code else set())
    if part & _BLOCKS:
        part |= {word for word in words if word.isdigit()}
    return frozenset(part), (frozenset(words - part), unit_in(heading))


def total_among(headings: Mapping[int, str], values: Mapping[int, Floats]) -> int | None:
    """Place of the one column headed as a total that is nowhere less than the others together; None where there is none."""
    named = [at for at, heading in headings.items() if set(words_of(heading).split()) & _TOTAL]
    if len(named) != 1:
        return None
    rest = np.sum([values[at] for at in headings if at != named[0]], axis=0)
    return named[0] if bool((values[named[0]] >= rest * 0.999 - 1e-6).all()) else None
