"""The bill of a house that generates: what it takes, what it gives, and what heating changes of both."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from costsim.tariffs.bill import (
    Bill,
    charged,
    hourly_price_per_j,
    less,
    marginal_bill,
    monthly_energy_j,
    monthly_peaks_w,
    price_month_period,
)
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import BillLine, Tariff
from costsim.units.arrays import Floats

Price = Callable[..., Floats]
"""What many years' use comes to: `price_month_period`, or `price_and_fixed` where what buys no energy is wanted too."""


@dataclass(frozen=True, slots=True)
class ExportTerms:
    """What the grid pays for a joule, and over which time export counts against use: not at all, a month or a year."""

    per_j: float = 0.0
    net_metering: str = "none"


@dataclass(frozen=True, slots=True)
class SelfUse:
    """Where a year's generation goes [J]: used by the rest of the house, by heating, and exported.

    `counted_j` is what of heating's use the bill counts as met, which with net metering is another amount than what heating uses at once:
    export of the same time counts too, and what the rest of the house would have used anyway does not. `saved` is what own generation
    takes off heating's bill, export that heating forgoes counted.
    """

    generated_j: float
    house_j: float
    heating_j: float
    exported_j: float
    counted_j: float = 0.0
    saved: float = 0.0


def self_use(generation_j: Floats, heating_j: Floats, other_j: Floats) -> SelfUse:
    """Split generation hour by hour: the rest of the house takes first, heating what is left, the grid the rest.

    Examples
    --------
    >>> one = self_use(np.array([3.0, 1.0]), np.array([2.0, 2.0]), np.array([2.0, 0.0]))
    >>> one.house_j, one.heating_j, one.exported_j
    (2.0, 2.0, 0.0)
    """
    house = np.minimum(generation_j, other_j)
    heating = np.minimum(generation_j - house, heating_j)
    exported = generation_j - house - heating
    return SelfUse(*(float(series_j.sum()) for series_j in (generation_j, house, heating, exported)))


def netted(tariff: Tariff, sums_j: Floats, terms: ExportTerms) -> tuple[Floats, Floats]:
    """Use that is billed after export has counted against it, and what of export is left.

    Parameters
    ----------
    tariff : Tariff
    sums_j : array (scenarios, 12, rows)
        Use less generation by month and hourly row of the tariff [J].
    terms : ExportTerms
        Of net metering.

    Returns
    -------
    billed : array (scenarios, 12, rows)
    surplus : array (scenarios, 12)
        Export that no use of its price period met [J]; over a year it stands in the last month.
    """
    parts = tariff.n_periods
    if terms.net_metering == "month":
        return np.maximum(sums_j, 0.0), np.asarray(np.maximum(-sums_j[:, :, :parts], 0.0).sum(axis=2))
    billed, bank = np.empty_like(sums_j), np.zeros((len(sums_j), sums_j.shape[2]))
    for month in range(12):
        left = sums_j[:, month] - bank
        billed[:, month], bank = np.maximum(left, 0.0), np.maximum(-left, 0.0)
    surplus = np.zeros(sums_j.shape[:2])
    surplus[:, -1] = bank[:, :parts].sum(axis=1)
    return billed, surplus


def added_cost(
    tariff: Tariff,
    calendar: HourCalendar,
    terms: ExportTerms,
    *,
    house_j: Floats,
    energy_j: Floats,
    peaks_w: Floats | None,
    alone_w: Floats | None,
    kept_j: Floats,
    price_factor: Floats | float = 1.0,
    price: Price = price_month_period,
) -> Floats:
    """What heating adds to the bills of houses that generate (scenarios,), as `generating_bill` does to one.

    By `price_and_fixed` it is (2, scenarios): with it what of that buys no energy, to which export never belongs.

    Parameters
    ----------
    tariff, calendar, terms
    house_j : array (scenarios or 1, 12, rows)
        Use of the rest of the house less generation by month and hourly row; without net metering only what it takes from the grid [J].
    energy_j, kept_j : array (scenarios, 12, rows)
        Electricity of heating, and what of it generation covers in its hour, which counts without net metering [J].
    peaks_w, alone_w : array (scenarios or 1, meters, 12), optional
        Highest power taken from the grid with heating and without [W].
    price_factor : float or array (scenarios,)
        Factor on every energy price.
    price : callable
        As `price_month_period` or `price_and_fixed`.
    """

    def priced_at(sums_j: Floats, peaks: Floats | None) -> Floats:
        return price(tariff, sums_j, peaks, price_factor=price_factor, calendar=calendar)

    if terms.net_metering == "none":
        kept = kept_j[:, :, : tariff.n_periods].sum(axis=(1, 2))
        added = priced_at(house_j + energy_j - kept_j, peaks_w) - priced_at(house_j, alone_w)
        forgone = kept * terms.per_j
    else:
        (with_j, left), (without_j, left_alone) = (
            netted(tariff, used_j, terms) for used_j in (house_j + energy_j, house_j)
        )
        added = priced_at(with_j, peaks_w) - priced_at(without_j, alone_w)
        forgone = (left_alone.sum(axis=1) - left.sum(axis=1)) * terms.per_j
    return np.asarray(added + (forgone if added.ndim == 1 else np.stack([forgone, 0.0 * forgone])))


def _lines(
    tariff: Tariff, calendar: HourCalendar, load_j: Floats, generation_j: Floats, terms: ExportTerms
) -> list[BillLine]:
    """The whole bill of the house, export with it."""
    taken = np.maximum(load_j - generation_j, 0.0)
    peaks = monthly_peaks_w(tariff, calendar, taken)[None]
    if terms.net_metering == "none":
        sums = monthly_energy_j(tariff, calendar, taken).T[None]
        given = np.bincount(calendar.month - 1, weights=np.maximum(generation_j - load_j, 0.0), minlength=12)
    else:
        sums, surplus = netted(tariff, monthly_energy_j(tariff, calendar, load_j - generation_j).T[None], terms)
        given = surplus[0]
    usage = charged(tariff, calendar, sums, peaks, lines=True)
    lines = [line for item in usage.items for line in item.lines()]
    lines += [
        BillLine(month, "export", float(exported_j), "J", -terms.per_j, -float(exported_j) * terms.per_j, "credit")
        for month, exported_j in enumerate(given, 1)
    ]
    return sorted(lines, key=lambda line: line.month or 13)


def heating_share(
    tariff: Tariff, calendar: HourCalendar, heating_j: Floats, other_j: Floats, generation_j: Floats, terms: ExportTerms
) -> SelfUse:
    """Where generation goes, and what of it counts for heating: at once, by net metering, and in money.

    Examples
    --------
    >>> clock = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)
    >>> noon, night = (np.where(clock.clock_hour == hour, 3.6e6, 0.0) for hour in (12, 0))
    >>> one = heating_share(Tariff("e", 0.2 / 3.6e6), clock, night, 0 * noon, noon, ExportTerms(0.05 / 3.6e6, "month"))
    >>> round(one.heating_j), round(one.counted_j / 3.6e6), round(one.saved, 2)
    (0, 365, 54.75)
    """
    use = self_use(generation_j, heating_j, other_j)
    added = generating_bill(tariff, calendar, heating_j, other_j, generation_j, terms)
    alone = marginal_bill(tariff, calendar, heating_j, other_j)
    counted_j = use.heating_j
    if terms.net_metering != "none":
        loads = (other_j, other_j + heating_j)
        sums = np.stack([monthly_energy_j(tariff, calendar, load - generation_j).T for load in loads])
        before, after = netted(tariff, sums, terms)[0][:, :, : tariff.n_periods].sum(axis=(1, 2)).tolist()
        counted_j = float(heating_j.sum()) - (after - before)
    return replace(use, counted_j=counted_j, saved=alone.total - added.total)


def generating_bill(
    tariff: Tariff, calendar: HourCalendar, heating_j: Floats, other_j: Floats, generation_j: Floats, terms: ExportTerms
) -> Bill:
    """Write what heating adds to the bill of a house that generates: more is taken, and less is exported.

    Parameters
    ----------
    tariff, calendar
    heating_j, other_j, generation_j : array (n,)
        Electricity of heating, of the rest of the house, and generated [J].
    terms : ExportTerms

    Returns
    -------
    Bill
        The bill with heating less the bill without, line by line. A line of export is what heating keeps from the grid.
    """
    before = _lines(tariff, calendar, other_j, generation_j, terms)
    after = _lines(tariff, calendar, other_j + heating_j, generation_j, terms)
    changed = (less(new, old) for new, old in zip(after, before, strict=True))
    lines = tuple(line for line in changed if line.amount or line.quantity)
    worth = float((hourly_price_per_j(tariff, calendar) * heating_j).sum())
    return Bill(tariff.name, lines, worth, math.fsum(line.amount for line in before))
