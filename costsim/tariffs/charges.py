"""What one service charges, in money per joule, watt, month and year."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.tariffs.calendar import Windows


@dataclass(frozen=True, slots=True)
class Period:
    """Hours with a price of their own; of two periods that share an hour the first one counts."""

    name: str
    price_per_j: float
    windows: Windows


@dataclass(frozen=True, slots=True)
class Block:
    """A part of the month's use at its own price: from the end of the block before to `up_to_j`."""

    up_to_j: float
    price_per_j: float
    months: tuple[int, ...] = tuple(range(1, 13))


@dataclass(frozen=True, slots=True)
class DemandCharge:
    """A charge on the month's highest power inside `windows`.

    The highest hourly mean times `peak_factor` stands for the metered interval. With a ratchet, at least
    `ratchet_share` of the highest of the eleven months before is billed.
    """

    price_per_w: float
    windows: Windows
    minutes: int = 60
    peak_factor: float = 1.0
    ratchet_share: float = 0.0


@dataclass(frozen=True, slots=True)
class Tariff:
    """All charges of one service.

    Energy outside every period is billed by the blocks where there are any, else at `price_per_j`.
    `tax_share` is added to everything. `minimum_use_j` is paid for at `price_per_j` whether used or not.
    """

    name: str
    price_per_j: float
    fixed_per_month: float = 0.0
    periods: tuple[Period, ...] = ()
    blocks: tuple[Block, ...] = ()
    demand: tuple[DemandCharge, ...] = ()
    minimum_bill_per_month: float = 0.0
    minimum_use_j: float = 0.0
    rent_per_year: float = 0.0
    tax_share: float = 0.0

    def first_price_per_j(self, month: int) -> float:
        """Price of the first joule of a month outside every period."""
        block = next((block for block in self.blocks if month in block.months), None)
        return block.price_per_j if block else self.price_per_j
