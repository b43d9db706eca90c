"""What one service charges, in money per joule, watt, month and year."""

from __future__ import annotations

from dataclasses import dataclass, replace

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

    The highest hourly mean times `peak_factor` stands for the metered interval of `minutes`. With a ratchet, at least
    `ratchet_share` of the highest of the eleven months before is billed, in the months that have the charge at all; the
    year before is taken to be like this one.
    """

    price_per_w: float
    windows: Windows
    minutes: int = 60
    peak_factor: float = 1.0
    ratchet_share: float = 0.0


@dataclass(frozen=True, slots=True)
class Delivery:
    """What each delivery of a stored fuel costs beside the fuel.

    The year's use comes in fills of `fill_j` and a last one with what remains; that one pays `small_fee` too where it
    is less than `minimum_j`.
    """

    fill_j: float
    fee: float = 0.0
    minimum_j: float = 0.0
    small_fee: float = 0.0


@dataclass(frozen=True, slots=True)
class Tariff:
    """All charges of one service; a second meter with its own fixed charge is a tariff of its own.

    Energy outside every period is billed by the blocks where there are any, else at `price_per_j`: a block's price is
    the whole price, not added to another. What is missing from `minimum_use_j` is paid for at
    `minimum_use_price_per_j`, or without one at `price_per_j`, and `minimum_use_fee` is due once on top.
    On the energy charges comes `energy_tax_share`, on each joule used `tax_per_j` (a relief where negative).
    `minimum_bill_per_month`, zero or more, is held against fixed, energy and demand charges with their reliefs, so that a
    relief never undercuts it; taxes come on top of it, and on all of it comes `tax_share`.
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
    energy_tax_share: float = 0.0
    tax_per_j: float = 0.0
    minimum_use_price_per_j: float | None = None
    minimum_use_fee: float = 0.0
    delivery: Delivery | None = None

    def block_price_per_j(self, month: int, number: int = 1) -> float:
        """Price of a month's first joule in a block (the last where there are fewer), outside every period."""
        blocks = [block for block in self.blocks if month in block.months]
        return blocks[min(number, len(blocks)) - 1].price_per_j if blocks else self.price_per_j

    def block_number(self, month: int, used_j: float) -> int:
        """Number of the block that the next joule falls into, after so much use outside every period."""
        return 1 + sum(month in block.months and used_j >= block.up_to_j for block in self.blocks)

    @property
    def missing_use_price_per_j(self) -> float:
        """Price of each joule missing from the minimum use."""
        return self.price_per_j if self.minimum_use_price_per_j is None else self.minimum_use_price_per_j


def scaled_tariff(tariff: Tariff, factor: float) -> Tariff:
    """The same service with every energy price times a factor; fixed and demand charges stay."""
    return replace(
        tariff,
        price_per_j=tariff.price_per_j * factor,
        periods=tuple(replace(one, price_per_j=one.price_per_j * factor) for one in tariff.periods),
        blocks=tuple(replace(one, price_per_j=one.price_per_j * factor) for one in tariff.blocks),
        minimum_use_price_per_j=tariff.missing_use_price_per_j * factor,
    )
