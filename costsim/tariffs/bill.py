"""The bill: line by line, so that a person can check it with a pencil; and many years priced at once by the same charges."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import BillLine, Tariff, Usage, billed_peaks_w, hourly_rows, meter_hours, period_shares
from costsim.tariffs.charges.base import CREDITED, Item
from costsim.tariffs.charges.price_keys.energy import used_before_j
from costsim.tariffs.charges.tariff import billed_peaks, billing_month, folded
from costsim.units.arrays import Floats, Ints
from costsim.units.quantity import HOUR_S

__all__ = [
    "Bill",
    "BillLine",
    "bill",
    "billed_peaks_w",
    "blocks_reached",
    "hourly_price_per_j",
    "house_profile_j",
    "marginal_bill",
    "monthly_energy_j",
    "monthly_peaks_w",
    "period_shares",
    "price_month_period",
    "prices_of_many_per_j",
]


@dataclass(frozen=True, slots=True)
class Bill:
    """All lines of one service over a year.

    `hourly_worth` is the energy at each hour's own price. Where the lines are what heating adds, `without_heating` is
    the whole bill of the house before it.
    """

    name: str
    lines: tuple[BillLine, ...]
    hourly_worth: float
    without_heating: float | None = None

    @property
    def total(self) -> float:
        """Sum of all lines."""
        return math.fsum(line.amount for line in self.lines)

    @property
    def fixed(self) -> float:
        """Sum of the lines that buy no energy."""
        return math.fsum(line.amount for line in self.lines if line.is_fixed)

    def by_month(self) -> list[float]:
        """Amounts of the twelve months, without the lines of the whole year."""
        return [math.fsum(line.amount for line in self.lines if line.month == month) for month in range(1, 13)]


@functools.lru_cache(maxsize=64)
def hourly_price_per_j(tariff: Tariff, calendar: HourCalendar, block: int | tuple[int, ...] = 1) -> Floats:
    """Price of energy in each hour (n,) [money/J], with tax; blocks at the price of the block of that number, or of the month's."""
    blocks = (block,) * 12 if isinstance(block, int) else block
    by_month = np.array([tariff.block_price_per_j(month, number) for month, number in enumerate(blocks, 1)])
    base = by_month[billing_month(tariff.read_day, calendar) - 1]
    prices = np.stack([*(np.full(calendar.n_hours, p.price_per_j) for p in tariff.periods), base])
    energy = (prices * period_shares(tariff, calendar)).sum(axis=0)
    for charge in tariff.extra:
        energy = energy + charge.price_per_j(tariff, calendar)
    taxed = energy * (1.0 + tariff.energy_tax_share) + tariff.tax_per_j
    for charge in tariff.extra:
        taxed = taxed - charge.relief_per_j(tariff, calendar, energy)
    price = taxed * (1.0 + tariff.tax_share)
    price.flags.writeable = False
    return np.asarray(price)


def prices_of_many_per_j(tariff: Tariff, calendar: HourCalendar, base_per_j: Floats, hours: Ints) -> Floats:
    """`hourly_price_per_j` in some hours for many energy prices of a tariff without blocks and charges (hours, prices)."""
    shares = period_shares(tariff, calendar)[:, hours, None]
    parts = [period.price_per_j * share for period, share in zip(tariff.periods, shares, strict=False)]
    energy = functools.reduce(np.add, [*parts, base_per_j * shares[-1]])
    return np.asarray((energy * (1.0 + tariff.energy_tax_share) + tariff.tax_per_j) * (1.0 + tariff.tax_share))


def monthly_peaks_w(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> Floats:
    """Highest hourly mean power on each meter of the tariff's charges, by calendar month (meters, 12) [W]."""
    pieces = _meter_pieces(tariff, calendar)
    peaks = np.zeros((len(pieces), 12))
    for row, (hours, first, month) in zip(peaks, pieces, strict=True):
        if len(hours):
            # a zone east of the file's ends the year in January: the month's two pieces are taken together
            np.maximum.at(row, month, np.maximum.reduceat(energy_j[hours] / HOUR_S, first))
    return peaks


@functools.lru_cache(maxsize=64)
def _meter_pieces(tariff: Tariff, calendar: HourCalendar) -> tuple[tuple[Ints, Ints, Ints], ...]:
    """Hours of each meter, where in them a month begins, and which it is, from 0."""
    pieces = []
    for inside in meter_hours(tariff, calendar):
        hours = np.flatnonzero(inside)
        first = np.flatnonzero(np.diff(calendar.month[hours], prepend=0))
        pieces.append((hours, first, calendar.month[hours[first]].astype(np.int64) - 1))
    return tuple(pieces)


def monthly_energy_j(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> Floats:
    """Energy by the tariff's hourly rows, its periods first, and calendar month (rows, 12) [J]."""
    first, month = _month_pieces(calendar)
    sums = np.add.reduceat(hourly_rows(tariff, calendar) * energy_j, first, axis=1)
    if len(first) == 12:
        return np.asarray(sums)
    monthly_j = np.zeros((len(sums), 12))
    for at, calendar_month in enumerate(month):
        monthly_j[:, calendar_month] += sums[:, at]
    return monthly_j


@functools.lru_cache(maxsize=64)
def _month_pieces(calendar: HourCalendar) -> tuple[Ints, Ints]:
    """Hour in which each run of a calendar month begins, and which month it is, from 0; in order where there are twelve."""
    first = np.flatnonzero(np.diff(calendar.month, prepend=0))
    return first, calendar.month[first].astype(np.int64) - 1


def blocks_reached(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> tuple[int, ...]:
    """Number of the block that use in each hour (n,) [J] leaves a billing month's next joule in, of each month."""
    usage = charged(tariff, calendar, monthly_energy_j(tariff, calendar, energy_j).T[None], None, only_energy=True)
    outside = usage.energy_j[0, :, -1]
    rows = zip(outside.tolist(), usage.month_days().tolist(), used_before_j(outside).tolist(), strict=True)
    return tuple(tariff.block_number(month, *row) for month, row in enumerate(rows, 1))


@functools.lru_cache(maxsize=4)
def plain_calendar() -> HourCalendar:
    """The clock of a year of 365 days without summer time, for charges that ask for no more than the days of a month."""
    return HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)


def charged(
    tariff: Tariff,
    calendar: HourCalendar,
    energy_j: Floats,
    peaks_w: Floats | None,
    factor: Floats | None = None,
    *,
    only_energy: bool = False,
    lines: bool = False,
) -> Usage:
    """Ask every charge of a tariff for what it charges, in the order of the bill.

    Parameters
    ----------
    tariff, calendar
    energy_j : array (scenarios, 12, rows)
        Energy by calendar month and hourly row of the tariff [J].
    peaks_w : array (scenarios, meters, 12), optional
        Highest power of each calendar month on each meter [W].
    factor : array (scenarios, 1), optional
        On energy prices.
    only_energy : bool
        Stop before anything is charged.
    lines : bool
        Write every item, those of a tax on the whole bill too, which are summed at once otherwise.

    Returns
    -------
    Usage
        With the items, or without `lines` with all but those of the tax on the whole bill and what follows it.
    """
    count = tariff.n_periods
    parts, own = energy_j[:, :, :count], energy_j[:, :, count:]
    if tariff.splits == 2:
        parts, own = (folded(tariff, shares) for shares in (parts, own))
    charges = tariff.charges
    meters_of = [charge.n_meters(calendar) for charge in charges]
    empty = np.zeros((1, 0, 12)) if peaks_w is None else billed_peaks(tariff, calendar, peaks_w, sum(meters_of))
    usage = Usage(tariff, calendar, parts, own, empty, factor)
    # what comes after the tax on the whole bill must see its lines
    lines = lines or any(charge.stage == CREDITED for charge in tariff.extra)
    row = meter = 0
    for charge, meters in () if only_energy else zip(charges, meters_of, strict=True):
        rows = charge.n_rows(calendar)
        usage.own_j, usage.peaks_w = own[:, :, row : row + rows], empty[:, meter : meter + meters]
        row, meter = row + rows, meter + meters
        if charge.at_once and not lines:
            usage.yearly = usage.yearly + charge.amount(usage)
        else:
            usage.add(charge)
    return usage


def bill(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> Bill:
    """Write a year's bill.

    Parameters
    ----------
    tariff : Tariff
    calendar : HourCalendar
    energy_j : array (n,)
        Energy bought in each hour [J].

    Returns
    -------
    Bill
        The total is the sum of its lines.

    Examples
    --------
    >>> from costsim.tariffs.charges import Tariff
    >>> clock = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)
    >>> one = bill(Tariff("power", price_per_j=0.10 / 3.6e6, fixed_per_month=14.0), clock, np.full(8760, 3.6e6))
    >>> round(one.fixed, 2), round(one.total, 2)
    (168.0, 1044.0)
    """
    energy_j = np.asarray(energy_j, dtype=float)
    lines = tuple(line for line in _all_lines(tariff, calendar, energy_j) if line.amount or line.quantity)
    return Bill(tariff.name, lines, float((hourly_price_per_j(tariff, calendar) * energy_j).sum()))


def marginal_bill(tariff: Tariff, calendar: HourCalendar, heating_j: Floats, other_j: Floats) -> Bill:
    """Write what heating adds to the bill of a service that the house has anyway.

    Parameters
    ----------
    tariff, calendar
        As for `bill`.
    heating_j, other_j : array (n,)
        Energy for heating and for everything else [J].

    Returns
    -------
    Bill
        The bill with heating less the bill without, line by line; blocks and demand charges come out at the margin.
    """
    heating_j, other_j = np.asarray(heating_j, dtype=float), np.asarray(other_j, dtype=float)
    years = (other_j, heating_j + other_j)  # both priced at once, as two scenarios of one bill
    monthly = np.stack([monthly_energy_j(tariff, calendar, year_j).T for year_j in years])
    peaks = np.stack([monthly_peaks_w(tariff, calendar, year_j) for year_j in years])
    items = charged(tariff, calendar, monthly, peaks, lines=True).items
    worth = float((hourly_price_per_j(tariff, calendar) * heating_j).sum())
    before = math.fsum(amount for item in items for amount in item.amount[0].tolist())
    return Bill(tariff.name, _added(items), worth, before)


def _added(items: Sequence[Item]) -> tuple[BillLine, ...]:
    """Lines of the second scenario less those of the first, January's first and the year's last."""
    months: list[list[BillLine]] = [[] for _ in range(13)]
    for item in items:
        shape = (2, item.amount.shape[1])
        quantity, rate, amount = (
            np.broadcast_to(np.atleast_2d(entries), shape) for entries in (item.quantity, item.rate, item.amount)
        )
        for at in np.flatnonzero((quantity[1] != quantity[0]) | (amount[1] != amount[0])).tolist():
            month = 0 if item.is_yearly else at + 1
            pair = (
                item.line(month, float(quantity[i, at]), float(rate[i, at]), float(item.amount[i, at])) for i in (1, 0)
            )
            line = less(*pair)
            if line.amount or line.quantity:
                months[month - 1].append(line)
    return tuple(line for month in months for line in month)


def less(line: BillLine, old: BillLine) -> BillLine:
    """A line less the same line of another bill."""
    amount = line.amount - old.amount
    quantity, rate = line.quantity - old.quantity, line.rate
    if not math.isclose(rate, old.rate, rel_tol=1e-9):
        if line.unit == "J" and quantity and amount:  # a mean price that moves with use
            return replace(line, quantity=quantity, rate=amount / quantity, amount=amount)
        # what is missing from a minimum bill is a rate of its own each time
        return replace(line, quantity=1.0 if amount else 0.0, rate=amount, amount=amount)
    if quantity < 0 and rate < 0:  # a credit that is lost is a cost once, not less of a credit
        quantity, rate = -quantity, -rate
    return replace(line, quantity=quantity, rate=rate, amount=amount)


def _all_lines(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> list[BillLine]:
    """Every line a tariff can have, those that come to nothing too."""
    monthly = monthly_energy_j(tariff, calendar, energy_j).T[None]
    peaks = monthly_peaks_w(tariff, calendar, energy_j)[None]
    usage = charged(tariff, calendar, monthly, peaks, lines=True)
    return by_month(usage)


def by_month(usage: Usage) -> list[BillLine]:
    """Every line of a year, January's first and those of the whole year last, each month's in the order of the bill."""
    months: list[list[BillLine]] = [[] for _ in range(13)]
    for item in usage.items:
        for line in item.lines():
            months[line.month - 1].append(line)  # 0, of the whole year, goes to the end
    return [line for month in months for line in month]


@functools.lru_cache(maxsize=16)
def house_profile_j(annual_j: float, calendar: HourCalendar) -> Floats:
    """Spread a house's other electricity over the year (n,) [J].

    Notes
    -----
    A plain shape of our own: low from midnight to six, a morning and a larger evening rise, a tenth more in winter than
    in summer. Common practice, no source; interval data are better where a demand charge depends on them.
    """
    hour = calendar.clock_hour
    shape = 0.7 + 0.35 * np.exp(-(((hour - 7.5) / 1.8) ** 2)) + 0.8 * np.exp(-(((hour - 19.0) / 2.8) ** 2))
    season = 1.0 + 0.05 * np.cos(2 * np.pi * (np.arange(calendar.n_hours) / calendar.n_hours))
    weights = shape * season
    profile = annual_j * weights / weights.sum()
    profile.flags.writeable = False
    return np.asarray(profile)


def price_month_period(
    tariff: Tariff,
    energy_j: Floats,
    peaks_w: Floats | None = None,
    *,
    price_factor: Floats | float = 1.0,
    calendar: HourCalendar | None = None,
) -> Floats:
    """Price many years at once from their energy by month and hourly row.

    Parameters
    ----------
    tariff : Tariff
    energy_j : array (scenarios, 12, rows)
        Energy by calendar month and the tariff's hourly rows, as `monthly_energy_j` finds them [J].
    peaks_w : array (scenarios, meters, 12), optional
        As `monthly_peaks_w` finds them; needed where the tariff has demand charges [W].
    price_factor : float or array (scenarios,)
        Factor on every energy price.
    calendar : HourCalendar, optional
        The clock of the years, for charges by the day; a year of 365 days by default.

    Returns
    -------
    array (scenarios,)
        What `bill` would total.

    Raises
    ------
    ValueError
        The tariff has a demand charge and no peaks are given.
    """
    usage = _usage_of_many(tariff, energy_j, peaks_w, price_factor, calendar, lines=False)
    return np.asarray(usage.money().sum(axis=1) + usage.money(yearly=True)[:, 0] + usage.yearly)


def price_and_fixed(
    tariff: Tariff,
    energy_j: Floats,
    peaks_w: Floats | None = None,
    *,
    price_factor: Floats | float = 1.0,
    calendar: HourCalendar | None = None,
) -> Floats:
    """What `price_month_period` gives, and what of it buys no energy, as `Bill.fixed` has it (2, scenarios)."""
    usage = _usage_of_many(tariff, energy_j, peaks_w, price_factor, calendar, lines=True)
    total, fixed = np.zeros((2, usage.scenarios))
    for item in usage.items:
        amount = item.amount.sum(axis=1)
        total = total + amount
        if item.is_fixed:
            fixed = fixed + amount
    return np.stack([total + usage.yearly, fixed])


def _usage_of_many(
    tariff: Tariff, energy_j: Floats, peaks_w: Floats | None, price_factor: Floats | float, calendar: HourCalendar | None, *, lines: bool
) -> Usage:  # fmt: skip
    calendar = calendar or plain_calendar()
    if peaks_w is None and any(charge.n_meters(calendar) for charge in tariff.charges):
        raise ValueError("a demand charge cannot be priced from monthly sums alone: give the peaks too")
    factor = np.asarray(price_factor, dtype=float)
    ones = factor.ndim == 0 and factor == 1.0
    return charged(tariff, calendar, energy_j, peaks_w, None if ones else np.atleast_1d(factor)[:, None], lines=lines)
