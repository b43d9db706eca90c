"""What a study's own tariff charges for somebody's use, over the periods of that person's own bills."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from costsim.analysis.billed_source import StudyLine
from costsim.bills.line import Season
from costsim.bills.model import Bills
from costsim.engine.lower import LoweredStudy
from costsim.tariffs.bill import charged, monthly_energy_j, monthly_peaks_w
from costsim.tariffs.calendar import MONTH_DAYS, HourCalendar
from costsim.tariffs.charges import Tariff
from costsim.units.arrays import Floats, Ints

MONTH_D, SHORT_D = 365.25 / 12.0, 25.0
"""A mean month, and the days from which on a bill is charged for a whole one [d]; the latter a choice of ours."""


class OwnBills:
    """Bills of some periods by a study's tariffs.

    Each period is as many billing months as it is long, so that fixed charges and blocks come as often as on the bills; a piece of a month
    has its days' part of what is due without use. When within a period the fuel is used is as the study predicts, of any amount. What counts
    by the year counts months that a year of bills lacks as the same months of another year of them.
    """

    def __init__(
        self, lowered: LoweredStudy, services: Sequence[tuple[str, float]], bills: Bills, hourly_w: Sequence[Floats]
    ) -> None:
        """Lay the periods on the study's year.

        Parameters
        ----------
        lowered : LoweredStudy
        services : sequence of str and float
            Price keys, and the part of the fuel that each sells.
        bills : Bills
            Whose periods count (n,).
        hourly_w : sequence of array (days, 24)
            How use is spread over the hours of each period [W].
        """
        self._calendar = lowered.calendar
        self._months, self._year = _billing_months(bills)
        self._filled = _filled_months(self._months, self._year)
        self._tariffs = [(replace(lowered.tariffs[key], read_day=1), part) for key, part in services]
        hours = [
            _year_hours(start, end, self._calendar) for start, end in zip(bills.start_day, bills.end_day, strict=True)
        ]
        spread = [_of_one(at, power_w, self._calendar) for at, power_w in zip(hours, hourly_w, strict=True)]
        times = [np.maximum(np.bincount(at.ravel(), minlength=self._calendar.n_hours), 1) for at in hours]
        self._rows = [_rows(tariff, self._calendar, spread, times) for tariff, _ in self._tariffs]
        self._days = bills.days
        length = np.array([len(months) for months in self._months]) * MONTH_D
        self._covered_d = _covered_d(bills.days, self._months, self._year, self._filled)
        self._due = np.where(bills.days < SHORT_D, bills.days / length, 1.0)

    def cost(self, use_j: Floats) -> Floats:
        """What each period comes to (n,) of its use (n,) [J]."""
        total = np.zeros(len(use_j))
        for (tariff, part), (rows, peaks) in zip(self._tariffs, self._rows, strict=True):
            total += self._cost(tariff, rows, peaks, np.maximum(use_j, 0.0) * part)
        return total

    def _cost(self, tariff: Tariff, rows: Floats, peaks: Floats, use_j: Floats) -> Floats:
        years = int(self._year[-1]) + 1
        energy_j, power_w = np.zeros((years, 12, rows.shape[1])), np.zeros((years, peaks.shape[1], 12))
        for at, months in enumerate(self._months):
            energy_j[self._year[at], months] = rows[at] * use_j[at] / len(months)
            power_w[self._year[at]][:, months] = (peaks[at] * use_j[at])[:, None]
        for to, of, month in self._filled:
            energy_j[to, month], power_w[to, :, month] = energy_j[of, month], power_w[of, :, month]
        usage = charged(tariff, self._calendar, energy_j, power_w, lines=True)
        money, due = usage.money(), usage.money(("fixed",))
        yearly, yearly_due = usage.money(yearly=True)[:, 0], usage.money(("fixed",), yearly=True)[:, 0]
        total = np.zeros(len(use_j))
        for at, months in enumerate(self._months):
            year = self._year[at]
            covered_d = float(self._covered_d[year])
            # what is due once a year is due for the days of the bills alone
            once = yearly[year] - yearly_due[year] * max(0.0, 1.0 - covered_d / 365.0)
            total[at] = money[year, months].sum() - (1.0 - self._due[at]) * due[year, months].sum()
            total[at] += once * self._days[at] / covered_d
        return total


def own_bills(
    lowered: LoweredStudy, services: Sequence[tuple[str, float]], study: StudyLine, season: Season, bills: Bills
) -> OwnBills | None:
    """Bills by the study's tariffs of these periods; None where nothing is sold, or where the study credits what own generation exports."""
    if not services or study.own_by_day_w is not None:
        return None
    values = season.outdoor_c.shape[1]
    outdoor_c = season.outdoor_c if 24 % values == 0 else season.outdoor_c.mean(axis=1, keepdims=True)
    excess_k = np.maximum(study.balance_c - np.repeat(outdoor_c, 24 // outdoor_c.shape[1], axis=1), 0.0)
    by_period = np.split(excess_k, season.firsts[1:])
    hourly_w = [
        base_w + study.slope_w_k * cold_k for base_w, cold_k in zip(study.base_of(bills), by_period, strict=True)
    ]
    return OwnBills(lowered, services, bills, hourly_w)


def _billing_months(bills: Bills) -> tuple[list[list[int]], Ints]:
    """Billing months of each period, from 0, by the middle of each; and a year for as many as share none (n,).

    A bill that begins where the last one ended has the month after it, where its middle is no more than one month off.
    """
    months, years, taken, year = list[list[int]](), list[int](), set[int](), 0
    last_end = None
    for start, end, days in zip(bills.start_day, bills.end_day, bills.days.tolist(), strict=True):
        count = min(max(1, round(days / MONTH_D)), 12)
        middle = start + np.timedelta64(int(days / count / 2), "D")
        first = int(middle.astype("datetime64[M]").astype(int)) % 12
        following = (months[-1][-1] + 1) % 12 if start == last_end else first
        if (first - following) % 12 in (1, 11):
            first = following
        last_end = end
        own = [(first + later) % 12 for later in range(count)]
        if taken & set(own):
            year, taken = year + 1, set()
        taken |= set(own)
        months.append(own)
        years.append(year)
    return months, np.array(years, dtype=np.int64)


def _filled_months(months: Sequence[Sequence[int]], years: Ints) -> list[tuple[int, int, int]]:
    """Of each month that a year of bills lacks and another has: year, the nearest that has it, the earlier of two, and month."""
    has = [
        {month for own, of in zip(months, years, strict=True) if of == year for month in own}
        for year in range(int(years[-1]) + 1)
    ]
    filled = []
    for year, of_year in enumerate(has):
        nearest = [other for _, other in sorted((abs(other - year), other) for other in range(len(has)))]
        for month in set(range(12)) - of_year:
            filled += [(year, other, month) for other in nearest if month in has[other]][:1]
    return filled


def _covered_d(
    days: Floats, months: Sequence[Sequence[int]], years: Ints, filled: Sequence[tuple[int, int, int]]
) -> Floats:
    """Days that count in each year of bills, those of months from another year too (years,) [d]."""
    by_month = np.zeros((int(years[-1]) + 1, 12))
    for length, own, year in zip(days.tolist(), months, years, strict=True):
        by_month[year, own] += length / len(own)
    covered_d = by_month.copy()
    for to, of, month in filled:
        covered_d[to, month] = by_month[of, month]
    return np.asarray(covered_d.sum(axis=1))


def _year_hours(start: np.datetime64, end: np.datetime64, calendar: HourCalendar) -> Ints:
    """Hours of the study's year of each day of a period (days, 24); 29 February is the 28th where the year has none."""
    lengths = np.array(MONTH_DAYS)
    lengths[1] -= calendar.n_hours < 8784
    days = np.arange(start, end)
    month = days.astype("datetime64[M]")
    of_month, at = (days - month).astype(int), month.astype(int) % 12
    day = (np.cumsum(lengths) - lengths)[at] + np.minimum(of_month, lengths[at] - 1)
    return np.asarray(day[:, None] * 24 + np.arange(24))


def _of_one(hours: Ints, power_w: Floats, calendar: HourCalendar) -> Floats:
    """A joule spread over the hours of the study's year as use is (n,); evenly where nothing is used."""
    weights = np.maximum(power_w, 0.0)
    weights = weights if weights.any() else np.ones(weights.shape)
    return np.asarray(
        np.bincount(hours.ravel(), weights=(weights / weights.sum()).ravel(), minlength=calendar.n_hours),
        dtype=np.float64,
    )


def _rows(
    tariff: Tariff, calendar: HourCalendar, spread: Sequence[Floats], times: Sequence[Ints]
) -> tuple[Floats, Floats]:
    """What of a joule of each period falls in each hourly row of the tariff (n, rows), and the highest power it makes on each meter (n, meters).

    An hour of the study's year that comes several times in a period, as 29 February on the 28th, has the mean power of its `times`.
    """
    rows = np.stack([monthly_energy_j(tariff, calendar, joule).sum(axis=1) for joule in spread])
    peaks = np.stack(
        [
            monthly_peaks_w(tariff, calendar, joule / often).max(axis=1)
            for joule, often in zip(spread, times, strict=True)
        ]
    )
    return rows, peaks
