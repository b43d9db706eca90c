"""Energy by a schedule of twelve months and twenty-four hours, with tiers in each rate."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field, model_validator

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import LONG, Item, TypedCharge, Usage, parts_between, rise
from costsim.tariffs.charges.tariff import Tariff
from costsim.tariffs.charges.tiers import Tier, end_j
from costsim.tariffs.hours import OwnHolidays
from costsim.tariffs.windows import holiday_hours
from costsim.units.arrays import Bools, Floats
from costsim.units.fields import StudyModel, fault

LETTERS = "abcdefghijklmnopqrstuvwxyz0123456789"
SATURDAY = 5


class Schedule(TypedCharge, OwnHolidays):
    """Which rate counts in which hour: twelve rows, January first, of twenty-four letters, midnight first.

    `weekend` is Saturday and Sunday, the weekdays' rows by default; holidays are what their weekday is, or weekends where
    `holidays_as_weekend` says so.
    """

    weekday: Annotated[tuple[str, ...], Field(title="Weekdays", min_length=12, max_length=12)]
    weekend: Annotated[tuple[str, ...], Field(title="Saturdays and Sundays", max_length=12)] = ()
    holidays_as_weekend: Annotated[bool, Field(title="Holidays are weekends")] = False

    def rate_label(self, number: int) -> str:
        """Name of a rate on the bill, with the part that bills it."""
        rates: Sequence[Any] = getattr(self, "rate", ())
        own = rates[number].name
        if own:
            return f"{self.part}: {own}" if self.part else own
        return self.label if len(rates) == 1 else f"{self.label} {LETTERS[number]}"

    def names(self) -> Iterator[str]:
        """Its own, and those of its rates."""
        yield from super().names()
        for number, rate in enumerate(getattr(self, "rate", ())):
            yield self.rate_label(number)
            if rate.name:
                yield rate.name

    def check_rows(self, rates: int) -> None:
        """Refuse rows of another length, or with letters that name no rate."""
        if self.weekend and len(self.weekend) != 12:
            raise fault(f"weekend has {len(self.weekend)} rows", "give twelve, January first, or none")
        for row in (*self.weekday, *self.weekend):
            wrong = [letter for letter in row if letter not in LETTERS[:rates]]
            if len(row) != 24 or wrong:
                what = f"names a rate '{wrong[0]}'" if wrong else f"has {len(row)} hours"
                raise fault(f"the row '{row[:40]}' {what}", f"write 24 letters from a to {LETTERS[rates - 1]}")

    def rate_of_hours(self, calendar: HourCalendar) -> Floats:
        """Number of each hour's rate (n,), by its own first minute."""
        grids = [
            [[LETTERS.index(letter) for letter in row] for row in rows]
            for rows in (self.weekday, self.weekend or self.weekday)
        ]
        table = np.array(grids)
        day = (calendar.weekday >= SATURDAY).astype(np.int64)
        if self.holidays_as_weekend:
            day |= holiday_hours(self._own_holidays, calendar)
        return np.asarray(table[day, calendar.month - 1, calendar.clock_hour.astype(np.int64)])


class Rate(StudyModel):
    """One rate: a price, or tiers of the month's use in its hours."""

    name: Annotated[str, Field(title="Name", max_length=40)] = ""
    tier: Annotated[tuple[Tier, ...], Field(title="Tiers", min_length=1, max_length=12)]


class EnergySchedule(Schedule):
    """Energy by rates of a schedule; tiers count the use in the rate's own hours of the month."""

    example: ClassVar[dict[str, Any]] = {
        "kind": "schedule",
        "weekday": ["a" * 16 + "b" * 8] * 12,
        "rate": [{"tier": [{"energy": "0.02 $/kWh"}]}, {"tier": [{"energy": "0.05 $/kWh"}]}],
    }
    kind: Literal["schedule"] = "schedule"
    prices_energy: ClassVar[bool] = True
    rate: Annotated[tuple[Rate, ...], Field(title="Rates", description="a is the first.", min_length=1, max_length=36)]

    @model_validator(mode="after")
    def _rates_fit(self) -> EnergySchedule:
        self.check_rows(len(self.rate))
        for number, rate in enumerate(self.rate):
            *inner, last = rate.tier
            if last.up_to is not None:
                raise fault(f"the last tier of rate {LETTERS[number]} has an end", "leave up_to out of the last tier")
            ends = [tier.up_to for tier in inner]
            if (
                any(end is None or (end.per not in ("day", "month") and end.dims != LONG) for end in ends)
                or len({(e.per, e.dims) for e in ends if e}) > 1
            ):
                raise fault(
                    f"tiers of rate {LETTERS[number]} do not all count by the day or by the month",
                    'write up_to = "500 kWh/month" (or "10 kWh/day", or "200 kWh/kW")',
                )
            if not rise(end.value for end in ends if end is not None):
                raise fault(
                    f"tiers of rate {LETTERS[number]} do not rise", "let each up_to be higher than the one before"
                )
        return self

    def meters(self, calendar: HourCalendar) -> list[Bools]:
        """All hours, where a tier goes by the month's highest power."""
        by_power = any(tier.by_power for rate in self.rate for tier in rate.tier)
        return [np.ones(calendar.n_hours, dtype=bool)] if by_power else []

    def rows(self, calendar: HourCalendar) -> list[Floats]:
        """The hours of each rate."""
        rates = self.rate_of_hours(calendar)
        return [(rates == number).astype(float) for number in range(len(self.rate))]

    def n_rows(self, calendar: HourCalendar) -> int:
        """One for each rate."""
        return len(self.rate)

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line a month for each tier of each rate."""
        for number, rate in enumerate(self.rate):
            ends = [end_j(tier, usage, usage.month_days()) for tier in rate.tier]
            parts, name = parts_between(usage.own_j[:, :, number], ends), self.rate_label(number)
            for at, (tier, part) in enumerate(zip(rate.tier, parts, strict=True), 1):
                price = usage.extra_price(tier.energy)
                label = name if len(rate.tier) == 1 else f"{name}, tier {at}"
                yield Item(label, part, "J", price, part * price, "energy")

    def price_per_j(self, tariff: Tariff, calendar: HourCalendar) -> Floats | float:
        """The first tier's price of each hour's rate."""
        prices = np.array([tariff.fuel.per_j(rate.tier[0].energy) for rate in self.rate])
        return np.asarray(prices[self.rate_of_hours(calendar)] * tariff.energy_factor)
