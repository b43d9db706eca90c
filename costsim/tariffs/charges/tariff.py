"""One service: its charges in the order of a bill, and the hourly rows and meters that they need."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

import numpy as np

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import Charge, FuelUnits, TypedCharge
from costsim.tariffs.charges.price_keys.delivery import Delivery, DeliveryFees
from costsim.tariffs.charges.price_keys.demand import DemandCharge, HighestPower
from costsim.tariffs.charges.price_keys.energy import Block, EnergyCharge, Period
from costsim.tariffs.charges.price_keys.fixed import FixedCharge, Rent
from costsim.tariffs.charges.price_keys.minimum import MinimumBill, MinimumUse
from costsim.tariffs.charges.price_keys.taxes import EnergyTax, WholeTax
from costsim.tariffs.windows import Windows
from costsim.units.arrays import Bools, Floats, Ints

ELECTRIC = FuelUnits()
"""Of what is sold by the kilowatt-hour."""


@dataclass(frozen=True, slots=True)
class Tariff:
    """All charges of one service; a second meter with its own fixed charge is a tariff of its own.

    Energy outside every period is billed by the blocks where there are any, else at `price_per_j`: a block's price is
    the whole price, not added to another. What is missing from `minimum_use_j` is paid for at
    `minimum_use_price_per_j`, or without one at `price_per_j`, and `minimum_use_fee` is due once on top.
    On the energy charges comes `energy_tax_share`, on each joule used `tax_per_j` (a relief where negative).
    `minimum_bill_per_month`, zero or more, is held against fixed, energy and demand charges with their reliefs, so that a
    relief never undercuts it; taxes come on top of it, and on all of it comes `tax_share`.
    `extra` are the charges typed one by one, `energy_factor` goes on their energy prices. With a `read_day` a billing month ends
    with the day before it, and the month in which it ends gives it its name; twelve of them are each month's own, 0 where the
    meter is not read, and what is used then counts with the next reading.
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
    extra: tuple[TypedCharge, ...] = ()
    fuel: FuelUnits = ELECTRIC
    energy_factor: float = 1.0
    read_day: int | tuple[int, ...] = 1

    @property
    def charges(self) -> tuple[Charge, ...]:
        """Every charge that can come to something, in the order of the bill; all that is billed is asked of these and nothing else."""
        # what a relief takes off, no bill of nothing undercuts
        relieved = bool(self.extra) or self.energy_tax_share < 0 or self.tax_per_j < 0
        of_keys = (
            (FixedCharge, self.fixed_per_month),
            (EnergyCharge, True),
            (HighestPower, self.demand),
            (EnergyTax, self.energy_tax_share or self.tax_per_j),
            (MinimumBill, relieved or self.minimum_bill_per_month),
            (Rent, self.rent_per_year),
            (MinimumUse, self.minimum_use_j),
            (DeliveryFees, self.delivery),
            (WholeTax, self.tax_share),
        )
        both: list[Charge] = [
            charge_of(self) for charge_of, size in of_keys if (np.any(size) if isinstance(size, np.ndarray) else size)
        ]
        return tuple(sorted([*both, *self.extra], key=lambda charge: charge.order())) if self.extra else tuple(both)

    def block_price_per_j(self, month: int, number: int = 1) -> float:
        """Price of a month's first joule in a block (the last where there are fewer), outside every period."""
        blocks = [block for block in self.blocks if month in block.months]
        return blocks[min(number, len(blocks)) - 1].price_per_j if blocks else self.price_per_j

    def block_number(self, month: int, used_j: float, days: float, before_j: float) -> int:
        """Number of the block that the next joule falls into, after so much use outside every period.

        `days` are the month's, `before_j` is the year's use before it, for blocks by the day and by the year.
        """
        number = 1
        for block in self.blocks:
            if month in block.months:
                end = block.up_to_j * (days if block.per == "day" else 1.0)
                number += used_j + (before_j if block.per == "year" else 0.0) >= end
        return number

    @property
    def missing_use_price_per_j(self) -> float:
        """Price of each joule missing from the minimum use."""
        return self.price_per_j if self.minimum_use_price_per_j is None else self.minimum_use_price_per_j

    @property
    def priced_by_charges(self) -> bool:
        """Whether energy has no price but those of charges, so that a line at nothing would only puzzle."""
        return any(charge.prices_energy for charge in self.extra) and not np.any(self.price_per_j)

    @property
    def splits(self) -> int:
        """Into how many parts a calendar month falls: two where meters are read inside it."""
        return 1 if self.read_day == 1 else 2

    @property
    def n_periods(self) -> int:
        """Number of rows of `hourly_rows` that part every hour among the periods."""
        return (len(self.periods) + 1) * self.splits

    def month_days(self, calendar: HourCalendar) -> Floats:
        """Days of each billing month (12,)."""
        return _month_days(self.read_day, calendar)

    @property
    def months_billed(self) -> Floats:
        """How many months each bill stands for (12,): one, or more where meters are read less often, 0 where no bill ends."""
        return np.bincount(ends_in(self.read_day)[0], minlength=12).astype(float)

    def by_bill(self, amounts: Floats) -> Floats:
        """Amounts of months (scenarios, 12), each moved to the month in which its bill ends."""
        ends = ends_in(self.read_day)[0]
        sums = np.zeros(amounts.shape)
        for at, end in enumerate(ends.tolist()):
            sums[:, end] += amounts[:, at]
        return sums


@functools.lru_cache(maxsize=64)
def ends_in(read_day: int | tuple[int, ...]) -> tuple[Ints, Ints]:
    """Month from 0 in which the bill ends for use of each month before its reading, and from it on (12,) each.

    Examples
    --------
    >>> before, after = ends_in((10, 0) * 6)
    >>> before.tolist()
    [0, 2, 2, 4, 4, 6, 6, 8, 8, 10, 10, 0]
    """
    read = [at for at, day in enumerate(read_days(read_day)) if day]
    before = [min((day for day in read if day >= at), default=read[0]) for at in range(12)]
    after = [min((day for day in read if day > at), default=read[0]) for at in range(12)]
    return np.array(before), np.array(after)


def read_days(read_day: int | tuple[int, ...]) -> tuple[int, ...]:
    """The day of each month on which the meter is read (12,), 0 where it is not."""
    return (read_day,) * 12 if isinstance(read_day, int) else read_day


def _after(read_day: int | tuple[int, ...], calendar: HourCalendar) -> Bools:
    """Which hours lie on or after the reading of their month (n,)."""
    day = np.array([read or 99 for read in read_days(read_day)])[calendar.month.astype(np.int64) - 1]
    return np.asarray((calendar.day_of_month >= day) & (read_day != 1))


@functools.lru_cache(maxsize=64)
def _month_days(read_day: int | tuple[int, ...], calendar: HourCalendar) -> Floats:
    first = np.flatnonzero(np.diff(calendar.day, prepend=-1))
    hours = np.bincount(calendar.day)
    whole = hours > 12  # a clock change leaves 23 hours, the edge of a file in another zone a few
    month = billing_month(read_day, calendar)[first] - 1
    return np.bincount(month[whole], minlength=12).astype(float)


@functools.lru_cache(maxsize=64)
def billing_month(read_day: int | tuple[int, ...], calendar: HourCalendar) -> Ints:
    """Number of the billing month of each hour (n,), named for the month in which it ends."""
    own = calendar.month.astype(np.int64) - 1
    before, after = ends_in(read_day)
    month = np.where(_after(read_day, calendar), after[own], before[own]) + 1
    month.flags.writeable = False
    return month


@functools.lru_cache(maxsize=128)
def season_days(windows: Windows, read_day: int | tuple[int, ...], calendar: HourCalendar) -> Floats:
    """Days in season of each billing month (12,)."""
    return windows.days_of_month(calendar, billing_month(read_day, calendar))


@functools.lru_cache(maxsize=64)
def period_shares(tariff: Tariff, calendar: HourCalendar) -> Floats:
    """Share of each hour billed in each period, and in the last row outside every one (periods + 1, n).

    A minute that several periods share belongs to the first of them alone.
    """
    left, rows = np.ones(calendar.n_hours), []
    shared = [period.windows.share(calendar) for period in tariff.periods]
    parted = np.flatnonzero(sum(((x > 0) & (x < 1) for x in shared), np.zeros(calendar.n_hours, dtype=bool)))
    free = np.ones((len(parted), 60), dtype=bool)
    for period, share in zip(tariff.periods, shared, strict=True):
        own = np.minimum(share, left)
        inside = period.windows.minutes(calendar, parted) & free
        own[parted] = inside.sum(axis=1) / 60.0
        free &= ~inside
        rows.append(own)
        left = left - own
    shares = np.stack([*rows, np.maximum(left, 0.0)])
    shares.flags.writeable = False
    return shares


@functools.lru_cache(maxsize=64)
def hourly_rows(tariff: Tariff, calendar: HourCalendar) -> Floats:
    """Hourly rows (rows, n) whose products with energy, summed by calendar month, are all that charges need.

    The first `Tariff.n_periods` part every hour among the periods; the others are those that charges asked for.
    """
    shares = period_shares(tariff, calendar)
    own = [row for charge in tariff.charges for row in charge.rows(calendar)]
    rows = np.concatenate(
        [_split(tariff, calendar, shares), _split(tariff, calendar, np.array(own).reshape(len(own), shares.shape[1]))]
    )
    rows.flags.writeable = False
    return rows


def _split(tariff: Tariff, calendar: HourCalendar, rows: Floats) -> Floats:
    """Rows, or where a month is cut by the reading of meters those before it and then those after it."""
    if tariff.splits == 1:
        return rows
    after = _after(tariff.read_day, calendar)
    return np.concatenate([rows * ~after, rows * after])


@functools.lru_cache(maxsize=64)
def meter_hours(tariff: Tariff, calendar: HourCalendar) -> Bools:
    """Hours (meters, n) of every meter whose highest power charges need, by calendar month; without those that have none."""
    meters = _split_meters(tariff, calendar)
    meters = meters[_in_use(tariff, calendar)]
    meters.flags.writeable = False
    return meters


def _split_meters(tariff: Tariff, calendar: HourCalendar) -> Bools:
    """Hours of every meter, where a month is cut by the reading those before it and then those after it."""
    rows = [row for charge in tariff.charges for row in charge.meters(calendar)]
    meters = np.array(rows, dtype=bool).reshape(len(rows), calendar.n_hours)
    if tariff.splits == 1:
        return meters
    after = _after(tariff.read_day, calendar)
    return np.concatenate([meters & ~after, meters & after])


@functools.lru_cache(maxsize=64)
def _in_use(tariff: Tariff, calendar: HourCalendar) -> Ints:
    """Numbers of the meters that have hours: that of one day of the month lies before the reading or after it."""
    return np.flatnonzero(_split_meters(tariff, calendar).any(axis=1))


def folded(tariff: Tariff, values: Floats) -> Floats:
    """Sums of calendar months, rows before the reading and then rows after it, by the billing month in which they end.

    From (scenarios, 12, 2 · rows) to (scenarios, 12, rows).
    """
    parts = np.split(values, 2, axis=2)
    months = np.zeros(parts[0].shape)
    for part, ends in zip(parts, ends_in(tariff.read_day), strict=True):
        for at, end in enumerate(ends.tolist()):
            months[:, end] += part[:, at]
    return months


def billed_peaks(tariff: Tariff, calendar: HourCalendar, peaks_w: Floats, number: int) -> Floats:
    """Highest power of each billing month on each of so many meters that charges asked for (scenarios, meters, 12) [W].

    `peaks_w` is that of calendar months on the meters of `meter_hours`. A month in which no bill ends has its bill's.
    """
    if not number:
        return peaks_w
    # prices, which may be those of many homes, settle no hours
    used = _in_use(replace(tariff, price_per_j=0.0, fixed_per_month=0.0), calendar)
    if tariff.splits == 1 and len(used) == number:
        return peaks_w
    peaks = np.zeros((len(peaks_w), number, 12))
    before, after = ends_in(tariff.read_day)
    for row, at in enumerate(used.tolist()):
        part, ends = peaks[:, at % number], before if at < number else after
        for month, end in enumerate(ends.tolist()):
            np.maximum(part[:, end], peaks_w[:, row, month], out=part[:, end])
    return peaks[..., before] if (before != np.arange(12)).any() else peaks


def scaled_tariff(tariff: Tariff, factor: float) -> Tariff:
    """The same service with every energy price times a factor; fixed and demand charges stay."""
    return replace(
        tariff,
        price_per_j=tariff.price_per_j * factor,
        periods=tuple(replace(period, price_per_j=period.price_per_j * factor) for period in tariff.periods),
        blocks=tuple(replace(block, price_per_j=block.price_per_j * factor) for block in tariff.blocks),
        minimum_use_price_per_j=tariff.missing_use_price_per_j * factor,
        energy_factor=tariff.energy_factor * factor,
    )


def due_by_use(tariff: Tariff) -> Tariff:
    """The same service without what is due whether or not anything is used: fixed and standing charges, rent and minimums."""
    return replace(
        tariff,
        fixed_per_month=0.0,
        minimum_bill_per_month=0.0,
        minimum_use_j=0.0,
        minimum_use_fee=0.0,
        rent_per_year=0.0,
        extra=tuple(charge for charge in tariff.extra if not charge.due_unused),
    )
