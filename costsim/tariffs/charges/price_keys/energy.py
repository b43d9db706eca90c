"""Energy by clock periods and by blocks of a day's, month's or year's use."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from costsim.tariffs.charges.base import Charge, Item, Usage
from costsim.tariffs.windows import Windows
from costsim.units.arrays import Floats

if TYPE_CHECKING:
    from costsim.tariffs.charges.tariff import Tariff

ALL_MONTHS = tuple(range(1, 13))


@dataclass(frozen=True, slots=True)
class Period:
    """Hours with a price of their own; of two periods that share a minute the first one counts."""

    name: str
    price_per_j: float
    windows: Windows


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a month's use at its own price: from the end of the block before to `up_to_j`.

    `up_to_j` is each month's, or by `per` each day's times the days of the month, or the year's from January on.
    """

    up_to_j: float
    price_per_j: float
    months: tuple[int, ...] = ALL_MONTHS
    per: str = "month"

    def limit_j(self, days: Floats, months: Floats | float = 1.0) -> Floats:
        """Its end in each bill of so many days and months (12,) [J]."""
        by = {"day": days, "month": months, "year": 1.0}[self.per]
        return np.full(12, self.up_to_j) if math.isinf(self.up_to_j) else np.broadcast_to(self.up_to_j * by, (12,))


def used_before_j(energy_j: Floats) -> Floats:
    """Use of the year before each month, along the last axis [J]."""
    return np.cumsum(energy_j, axis=-1) - energy_j


@dataclass(frozen=True)
class EnergyCharge(Charge):
    """Energy in each period, and outside every period by the blocks, or at one price."""

    tariff: Tariff

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line for each period, each block, and what lies beyond."""
        for at, period in enumerate(self.tariff.periods):
            joule, price = usage.energy_j[:, :, at], usage.price(period.price_per_j)
            yield Item(period.name, joule, "J", price, joule * price, "energy")
        yield from self._outside(usage)

    def _outside(self, usage: Usage) -> Iterator[Item]:
        """Energy outside every period, block by block."""
        tariff, left = self.tariff, usage.energy_j[:, :, -1]
        if not tariff.blocks:
            if tariff.priced_by_charges:
                return
            price = usage.price(tariff.price_per_j)
            yield Item("energy", left, "J", price, left * price, "energy")
            return
        days = usage.month_days()
        start = used_before_j(left) if any(block.per == "year" for block in tariff.blocks) else np.zeros((1, 12))
        used = np.zeros((1, 12))
        listed = [[block for block in tariff.blocks if month in block.months] for month in range(1, 13)]
        last = np.array([tariff.block_price_per_j(month, len(tariff.blocks)) for month in range(1, 13)], dtype=float)
        for number in range(1, max(map(len, listed)) + 1):
            blocks = [blocks[number - 1] if len(blocks) >= number else None for blocks in listed]
            ends = np.array(
                [block.limit_j(days, tariff.months_billed)[at] if block else 0.0 for at, block in enumerate(blocks)]
            )
            yearly = np.array([block is not None and block.per == "year" for block in blocks])
            prices = np.array([block.price_per_j if block else 0.0 for block in blocks])
            reached = np.where(yearly, np.maximum(used, start), used)
            room = np.maximum(ends - reached, 0.0)
            part = np.maximum(0.0, np.minimum(left, room))
            price = usage.price(prices)
            yield Item(f"energy, block {number}", part, "J", price, part * price, "energy")
            left, used = left - part, np.where(ends > 0, ends, used)
        price = usage.price(last)
        yield Item("energy", left, "J", price, left * price, "energy")
