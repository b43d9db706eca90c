"""The bill: line by line, so that a person can check it with a pencil."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import DemandCharge, Tariff

Floats = NDArray[np.float64]
HOUR_S = 3600.0
FIXED = ("fixed charge", "rent", "minimum bill", "minimum use")


@dataclass(frozen=True, slots=True)
class BillLine:
    """One line: `amount` is `quantity` times `rate`. `month` is 0 for a line of the whole year."""

    month: int
    label: str
    quantity: float
    unit: str
    rate: float
    amount: float

    @property
    def is_fixed(self) -> bool:
        """Whether it is due without a joule used."""
        return self.label.removeprefix("tax on ") in FIXED


@dataclass(frozen=True, slots=True)
class Bill:
    """All lines of one service over a year. `hourly_worth` is the energy at each hour's own price."""

    name: str
    lines: tuple[BillLine, ...]
    hourly_worth: float

    @property
    def total(self) -> float:
        """Sum of all lines."""
        return math.fsum(line.amount for line in self.lines)

    @property
    def fixed(self) -> float:
        """Sum of the lines that are due without a joule used."""
        return math.fsum(line.amount for line in self.lines if line.is_fixed)

    def by_month(self) -> list[float]:
        """Amounts of the twelve months, without the lines of the whole year."""
        return [math.fsum(line.amount for line in self.lines if line.month == month) for month in range(1, 13)]


@functools.lru_cache(maxsize=64)
def period_shares(tariff: Tariff, calendar: HourCalendar) -> Floats:
    """Share of each hour billed in each period, and in the last row outside every one (periods + 1, n)."""
    left, rows = np.ones(calendar.n_hours), []
    for period in tariff.periods:
        rows.append(np.minimum(period.windows.share(calendar), left))
        left = left - rows[-1]
    shares = np.stack([*rows, left])
    shares.flags.writeable = False
    return shares


@functools.lru_cache(maxsize=64)
def hourly_price_per_j(tariff: Tariff, calendar: HourCalendar) -> Floats:
    """Price of energy in each hour (n,) [money/J], with tax; blocks at their first price."""
    base = np.array([tariff.first_price_per_j(month) for month in range(1, 13)])[calendar.month - 1]
    prices = np.stack([*(np.full(calendar.n_hours, p.price_per_j) for p in tariff.periods), base])
    price = (prices * period_shares(tariff, calendar)).sum(axis=0) * (1.0 + tariff.tax_share)
    price.flags.writeable = False
    return np.asarray(price)


def monthly_energy_j(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> Floats:
    """Energy by period (the last row is outside every one) and month (periods + 1, 12) [J]."""
    shares = period_shares(tariff, calendar)
    rows = [np.bincount(calendar.month - 1, weights=row * energy_j, minlength=12) for row in shares]
    return np.stack(rows)


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
    monthly = monthly_energy_j(tariff, calendar, energy_j)
    peaks = [_billed_peaks_w(charge, calendar, energy_j) for charge in tariff.demand]
    lines: list[BillLine] = []
    for month in range(1, 13):
        lines += _with_tax(
            tariff, list(_month_lines(tariff, month, monthly[:, month - 1], [p[month - 1] for p in peaks]))
        )
    lines += _with_tax(tariff, list(_year_lines(tariff, float(monthly.sum()))))
    return Bill(tariff.name, tuple(lines), float((hourly_price_per_j(tariff, calendar) * energy_j).sum()))


def _month_lines(tariff: Tariff, month: int, energy_j: Floats, peaks_w: list[float]) -> Iterator[BillLine]:
    lines = [line for line in _use_lines(tariff, month, energy_j, peaks_w) if line.amount or line.quantity]
    if tariff.fixed_per_month:
        lines.insert(0, BillLine(month, "fixed charge", 1.0, "month", tariff.fixed_per_month, tariff.fixed_per_month))
    yield from lines
    missing = tariff.minimum_bill_per_month - math.fsum(line.amount for line in lines)
    if missing > 0:
        yield BillLine(month, "minimum bill", 1.0, "month", missing, missing)


def _use_lines(tariff: Tariff, month: int, energy_j: Floats, peaks_w: list[float]) -> Iterator[BillLine]:
    for period, joule in zip(tariff.periods, energy_j[:-1], strict=True):
        yield BillLine(month, period.name, float(joule), "J", period.price_per_j, float(joule) * period.price_per_j)
    left, used = float(energy_j[-1]), 0.0
    blocks = [block for block in tariff.blocks if month in block.months]
    for number, block in enumerate(blocks, 1):
        part = max(0.0, min(left, block.up_to_j - used))
        yield BillLine(month, f"energy, block {number}", part, "J", block.price_per_j, part * block.price_per_j)
        left, used = left - part, block.up_to_j
    if not blocks or left > 0:
        price = blocks[-1].price_per_j if blocks else tariff.price_per_j
        yield BillLine(month, "energy", left, "J", price, left * price)
    for charge, watts in zip(tariff.demand, peaks_w, strict=True):
        yield BillLine(month, "highest power", watts, "W", charge.price_per_w, watts * charge.price_per_w)


def _billed_peaks_w(charge: DemandCharge, calendar: HourCalendar, energy_j: Floats) -> list[float]:
    """Power billed in each month, with peak factor and ratchet [W]."""
    inside = np.where(charge.windows.share(calendar) > 0, energy_j / HOUR_S, 0.0)
    peaks = [float(inside[calendar.month == month].max(initial=0.0)) * charge.peak_factor for month in range(1, 13)]
    floor = charge.ratchet_share * max(peaks)
    return [max(peak, floor) for peak in peaks]


def _year_lines(tariff: Tariff, energy_j: float) -> Iterator[BillLine]:
    if tariff.rent_per_year:
        yield BillLine(0, "rent", 1.0, "year", tariff.rent_per_year, tariff.rent_per_year)
    missing = tariff.minimum_use_j - energy_j
    if tariff.minimum_use_j and missing > 0:
        yield BillLine(0, "minimum use", missing, "J", tariff.price_per_j, missing * tariff.price_per_j)


def _with_tax(tariff: Tariff, lines: list[BillLine]) -> list[BillLine]:
    if not tariff.tax_share:
        return lines
    taxed = [
        BillLine(x.month, f"tax on {x.label}", x.amount, "money", tariff.tax_share, x.amount * tariff.tax_share)
        for x in lines
    ]
    return [*lines, *taxed]


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
    whole, without = bill(tariff, calendar, heating_j + other_j), bill(tariff, calendar, other_j)
    before = {(line.month, line.label): line for line in without.lines}
    lines = []
    for line in whole.lines:
        old = before.pop((line.month, line.label), None)
        lines.append(_less(line, old) if old else line)
    lines += [BillLine(x.month, x.label, -x.quantity, x.unit, x.rate, -x.amount) for x in before.values()]
    return Bill(
        tariff.name, tuple(x for x in lines if x.amount or x.quantity), whole.hourly_worth - without.hourly_worth
    )


def _less(line: BillLine, old: BillLine) -> BillLine:
    if (
        line.label.removeprefix("tax on ") == "minimum bill"
    ):  # its rate is what is missing, so it differs month by month
        amount = line.amount - old.amount
        return BillLine(line.month, line.label, 1.0 if amount else 0.0, line.unit, amount, amount)
    return BillLine(
        line.month, line.label, line.quantity - old.quantity, line.unit, line.rate, line.amount - old.amount
    )


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


def price_month_period(tariff: Tariff, energy_j: Floats) -> Floats:
    """Price many years at once from their energy by month and period.

    Parameters
    ----------
    tariff : Tariff
        Without demand charges, which need the hours.
    energy_j : array (scenarios, 12, periods + 1)
        Energy by month and period, the last outside every period [J].

    Returns
    -------
    array (scenarios,)
        What `bill` would total.

    Raises
    ------
    ValueError
        The tariff has a demand charge.
    """
    if tariff.demand:
        raise ValueError("a demand charge cannot be priced from monthly sums")
    prices = np.array([period.price_per_j for period in tariff.periods])
    monthly = tariff.fixed_per_month + energy_j[:, :, :-1] @ prices
    for month in range(12):
        monthly[:, month] += _outside_periods(tariff, month + 1, energy_j[:, month, -1])
    year = np.maximum(monthly, tariff.minimum_bill_per_month).sum(axis=1) + tariff.rent_per_year
    missing = np.maximum(tariff.minimum_use_j - energy_j.sum(axis=(1, 2)), 0.0) if tariff.minimum_use_j else 0.0
    return np.asarray((year + missing * tariff.price_per_j) * (1.0 + tariff.tax_share))


def _outside_periods(tariff: Tariff, month: int, energy_j: Floats) -> Floats:
    """Price of a month's energy outside every period: by blocks where there are any (scenarios,)."""
    blocks = [block for block in tariff.blocks if month in block.months]
    if not blocks:
        return energy_j * tariff.price_per_j
    amount, used = np.zeros(len(energy_j)), 0.0
    for block in blocks:
        amount += np.clip(energy_j - used, 0.0, block.up_to_j - used) * block.price_per_j
        used = block.up_to_j
    return amount + np.maximum(energy_j - used, 0.0) * blocks[-1].price_per_j
