"""The bill: line by line, so that a person can check it with a pencil."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import Delivery, DemandCharge, Tariff

Floats = NDArray[np.float64]
HOUR_S = 3600.0
FIXED = ("fixed charge", "rent", "minimum bill", "minimum use", "minimum use fee")


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
        """Whether it buys no energy: a charge, a rent, or what is missing from a minimum."""
        return self.label.removeprefix("tax on ") in FIXED


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
def period_shares(tariff: Tariff, calendar: HourCalendar) -> Floats:
    """Share of each hour billed in each period, and in the last row outside every one (periods + 1, n).

    A minute that several periods share belongs to the first of them alone.
    """
    left, rows = np.ones(calendar.n_hours), []
    shared = [period.windows.share(calendar) for period in tariff.periods]
    parted = (
        np.flatnonzero(np.any([(share > 0) & (share < 1) for share in shared], axis=0)) if shared else np.empty(0, int)
    )
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
def hourly_price_per_j(tariff: Tariff, calendar: HourCalendar, block: int | tuple[int, ...] = 1) -> Floats:
    """Price of energy in each hour (n,) [money/J], with tax; blocks at the price of the block of that number, or of the month's."""
    blocks = (block,) * 12 if isinstance(block, int) else block
    base = np.array([tariff.block_price_per_j(month, one) for month, one in enumerate(blocks, 1)])[calendar.month - 1]
    prices = np.stack([*(np.full(calendar.n_hours, p.price_per_j) for p in tariff.periods), base])
    energy = (prices * period_shares(tariff, calendar)).sum(axis=0)
    price = (energy * (1.0 + tariff.energy_tax_share) + tariff.tax_per_j) * (1.0 + tariff.tax_share)
    price.flags.writeable = False
    return np.asarray(price)


def monthly_peaks_w(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> Floats:
    """Highest hourly mean power inside each demand charge's windows, by month (charges, 12) [W]."""
    peaks = np.zeros((len(tariff.demand), 12))
    for i, charge in enumerate(tariff.demand):
        inside = np.where(charge.windows.share(calendar) > 0, energy_j / HOUR_S, 0.0)
        np.maximum.at(peaks[i], calendar.month - 1, inside)
    return peaks


def monthly_energy_j(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> Floats:
    """Energy by period (the last row is outside every one) and month (periods + 1, 12) [J]."""
    shares = period_shares(tariff, calendar)
    rows = [np.bincount(calendar.month - 1, weights=row * energy_j, minlength=12) for row in shares]
    return np.stack(rows)


def blocks_reached(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> tuple[int, ...]:
    """Number of the block that use in each hour (n,) [J] leaves a month's next joule in, of each month."""
    outside = monthly_energy_j(tariff, calendar, energy_j)[-1]
    return tuple(tariff.block_number(month, joule) for month, joule in enumerate(outside.tolist(), 1))


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
    # bills of one tariff have the same lines in the same order, whatever is used
    before = _all_lines(tariff, calendar, other_j)
    pairs = zip(_all_lines(tariff, calendar, heating_j + other_j), before, strict=True)
    lines = (_less(line, old) for line, old in pairs)
    worth = float((hourly_price_per_j(tariff, calendar) * heating_j).sum())
    kept = tuple(line for line in lines if line.amount or line.quantity)
    return Bill(tariff.name, kept, worth, math.fsum(line.amount for line in before))


def _less(line: BillLine, old: BillLine) -> BillLine:
    amount = line.amount - old.amount
    if line.rate != old.rate:  # what is missing from a minimum bill is a rate of its own each time
        return BillLine(line.month, line.label, 1.0 if amount else 0.0, line.unit, amount, amount)
    return BillLine(line.month, line.label, line.quantity - old.quantity, line.unit, line.rate, amount)


def _all_lines(tariff: Tariff, calendar: HourCalendar, energy_j: Floats) -> list[BillLine]:
    """Every line a tariff can have, those that come to nothing too."""
    monthly = monthly_energy_j(tariff, calendar, energy_j)
    peaks = monthly_peaks_w(tariff, calendar, energy_j)
    billed = [billed_peaks_w(charge, row) for charge, row in zip(tariff.demand, peaks, strict=True)]
    lines: list[BillLine] = []
    for month in range(1, 13):
        lines += _month_lines(tariff, month, monthly[:, month - 1], [row[month - 1] for row in billed])
    lines += _year_lines(tariff, float(monthly.sum()))
    share = tariff.tax_share
    taxes = [BillLine(x.month, f"tax on {x.label}", x.amount, "money", share, x.amount * share) for x in lines]
    return sorted([*lines, *taxes], key=lambda line: line.month or 13) if share else lines


def _month_lines(tariff: Tariff, month: int, energy_j: Floats, peaks_w: list[float]) -> Iterator[BillLine]:
    use = list(_use_lines(tariff, month, energy_j))
    lines = [_once(month, "fixed charge", "month", tariff.fixed_per_month), *use]
    for number, (charge, watts) in enumerate(zip(tariff.demand, peaks_w, strict=True), 1):
        label = "highest power" if len(peaks_w) == 1 else f"charge {number}, highest power"
        lines.append(BillLine(month, label, watts, "W", charge.price_per_w, watts * charge.price_per_w))
    taxes = list(_use_taxes(tariff, month, float(energy_j.sum()), math.fsum(line.amount for line in use)))
    reliefs = [line for line in taxes if line.rate < 0]
    yield from [*lines, *taxes]
    # taxes come on top of a minimum; a relief counts before it, or one that grows with the price would undercut it
    charged = math.fsum(line.amount for line in [*lines, *reliefs])
    yield _once(month, "minimum bill", "month", max(0.0, tariff.minimum_bill_per_month - charged))


def _use_taxes(tariff: Tariff, month: int, energy_j: float, money: float) -> Iterator[BillLine]:
    """Tax or relief as a share of the energy charges, and on each joule."""
    share, rate = tariff.energy_tax_share, tariff.tax_per_j
    if share:
        yield BillLine(month, "tax on use" if share > 0 else "relief on use", money, "money", share, money * share)
    if rate:
        yield BillLine(month, "duty" if rate > 0 else "relief by amount", energy_j, "J", rate, energy_j * rate)


def _once(month: int, label: str, unit: str, amount: float) -> BillLine:
    return BillLine(month, label, 1.0 if amount else 0.0, unit, amount, amount)


def _use_lines(tariff: Tariff, month: int, energy_j: Floats) -> Iterator[BillLine]:
    for period, joule in zip(tariff.periods, energy_j[:-1], strict=True):
        yield BillLine(month, period.name, float(joule), "J", period.price_per_j, float(joule) * period.price_per_j)
    left, used = float(energy_j[-1]), 0.0
    blocks = [block for block in tariff.blocks if month in block.months]
    for number, block in enumerate(blocks, 1):
        part = max(0.0, min(left, block.up_to_j - used))
        yield BillLine(month, f"energy, block {number}", part, "J", block.price_per_j, part * block.price_per_j)
        left, used = left - part, block.up_to_j
    price = tariff.block_price_per_j(month, len(blocks))
    yield BillLine(month, "energy", left, "J", price, left * price)


def billed_peaks_w(charge: DemandCharge, peaks_w: Floats) -> Floats:
    """Power that is billed from the highest hourly means (..., 12), with peak factor and ratchet [W]."""
    measured = peaks_w * charge.peak_factor
    floor = charge.ratchet_share * measured.max(axis=-1, keepdims=True)
    in_force = np.isin(np.arange(1, 13), charge.windows.months)
    return np.where(in_force, np.maximum(measured, floor), 0.0)


def _year_lines(tariff: Tariff, energy_j: float) -> Iterator[BillLine]:
    yield _once(0, "rent", "year", tariff.rent_per_year)
    missing, rate = max(0.0, tariff.minimum_use_j - energy_j), tariff.missing_use_price_per_j
    yield BillLine(0, "minimum use", missing, "J", rate, missing * rate)
    yield _once(0, "minimum use fee", "year", tariff.minimum_use_fee if missing else 0.0)
    if tariff.delivery:
        number, small = (float(x) for x in _deliveries(tariff.delivery, np.array(energy_j)))
        fees = tariff.delivery.fee, tariff.delivery.small_fee
        yield BillLine(0, "delivery", number, "deliveries", fees[0], number * fees[0])
        yield BillLine(0, "small delivery", small, "deliveries", fees[1], small * fees[1])


def _deliveries(delivery: Delivery, energy_j: Floats) -> tuple[Floats, Floats]:
    """Number of deliveries in a year, and of those that are too small."""
    slack = 1e-9 * delivery.fill_j  # sums in another order must not make a delivery more
    full = np.floor((energy_j + slack) / delivery.fill_j)
    rest = energy_j - full * delivery.fill_j
    last = rest > slack
    return full + last, np.asarray(last & (rest < delivery.minimum_j - slack), dtype=float)


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
    tariff: Tariff, energy_j: Floats, peaks_w: Floats | None = None, *, price_factor: Floats | float = 1.0
) -> Floats:
    """Price many years at once from their energy by month and period.

    Parameters
    ----------
    tariff : Tariff
    energy_j : array (scenarios, 12, periods + 1)
        Energy by month and period, the last outside every period [J].
    peaks_w : array (scenarios, charges, 12), optional
        As `monthly_peaks_w` finds them; needed where the tariff has demand charges [W].
    price_factor : float or array (scenarios,)
        Factor on every energy price.

    Returns
    -------
    array (scenarios,)
        What `bill` would total.

    Raises
    ------
    ValueError
        The tariff has a demand charge and no peaks are given.
    """
    if tariff.demand and peaks_w is None:
        raise ValueError("a demand charge cannot be priced from monthly sums alone: give the peaks too")
    used = np.zeros(energy_j.shape[:2])
    for i, period in enumerate(tariff.periods):  # in order, so that a year costs the same among few others or many
        used += energy_j[:, :, i] * period.price_per_j
    for month in range(12):
        used[:, month] += _outside_periods(tariff, month + 1, energy_j[:, month, -1])
    factor = np.broadcast_to(np.asarray(price_factor, dtype=float), _scenarios(energy_j, price_factor))
    used = used * factor[:, None]
    joule, share, rate = energy_j.sum(axis=2), tariff.energy_tax_share, tariff.tax_per_j
    monthly = tariff.fixed_per_month + used * (1.0 + min(share, 0.0)) + joule * min(rate, 0.0)
    for i, charge in enumerate(tariff.demand):
        monthly = monthly + billed_peaks_w(charge, np.asarray(peaks_w)[:, i]) * charge.price_per_w
    whole = np.maximum(monthly, tariff.minimum_bill_per_month) + used * max(share, 0.0) + joule * max(rate, 0.0)
    return np.asarray((whole.sum(axis=1) + _year_charges(tariff, joule.sum(axis=1), factor)) * (1.0 + tariff.tax_share))


def _scenarios(energy_j: Floats, price_factor: Floats | float) -> tuple[int]:
    """Number of scenarios: one year may be priced under many factors."""
    return (max(len(energy_j), np.size(price_factor)),)


def _year_charges(tariff: Tariff, energy_j: Floats, price_factor: Floats) -> Floats:
    """Rent, minimum use and deliveries of a year (scenarios,)."""
    missing = np.maximum(tariff.minimum_use_j - energy_j, 0.0)
    price = tariff.missing_use_price_per_j * price_factor
    charges = tariff.rent_per_year + missing * price + (missing > 0) * tariff.minimum_use_fee
    if tariff.delivery:
        number, small = _deliveries(tariff.delivery, energy_j)
        charges = charges + number * tariff.delivery.fee + small * tariff.delivery.small_fee
    return np.asarray(charges)


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
