"""Power by a schedule of twelve months and twenty-four hours, with steps in each rate."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field, model_validator

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import Item, Usage, rise
from costsim.tariffs.charges.power import PowerStep, step_lines
from costsim.tariffs.charges.schedule import LETTERS, Schedule
from costsim.units.arrays import Bools
from costsim.units.fields import QuantityField, StudyModel, fault


class PowerRate(StudyModel):
    """One rate of power: a price of each kilowatt, or steps."""

    name: Annotated[str, Field(title="Name", max_length=40)] = ""
    step: Annotated[tuple[PowerStep, ...], Field(title="Steps", min_length=1, max_length=12)]


class PowerSchedule(Schedule):
    """Power by rates of a schedule: the highest hour of the month in the hours of each rate, or a share of the year's."""

    example: ClassVar[dict[str, Any]] = {
        "kind": "power_schedule",
        "weekday": ["a" * 12 + "b" * 12] * 12,
        "rate": [{"step": [{"price": "0 $/kW"}]}, {"step": [{"price": "4 $/kW"}]}],
    }
    kind: Literal["power_schedule"] = "power_schedule"
    peak_factor: Annotated[float, Field(ge=1.0, le=3.0, title="Peak of the interval over the hourly mean")] = 1.0
    ratchet_share: Annotated[
        float,
        QuantityField(
            "share",
            "Share of the year's highest that is always billed",
            "Of the highest hour of all rates, in the months that have the rate; of one window alone, use [[prices.KEY.demand]].",
            at_least=0,
            at_most=1,
        ),
    ] = 0.0
    rate: Annotated[
        tuple[PowerRate, ...], Field(title="Rates", description="a is the first.", min_length=1, max_length=36)
    ]

    @model_validator(mode="after")
    def _rates_fit(self) -> PowerSchedule:
        self.check_rows(len(self.rate))
        for number, rate in enumerate(self.rate):
            *inner, last = rate.step
            ends = [step.up_to_w for step in inner]
            if last.up_to_w is not None or None in ends or not rise(end for end in ends if end is not None):
                raise fault(
                    f"steps of rate {LETTERS[number]} do not rise",
                    "let each up_to be higher, and leave it out of the last",
                )
            if any(step.price is not None and step.price.per for step in rate.step):
                raise fault(
                    f"a step of rate {LETTERS[number]} is not by the month",
                    'write money for power, such as price = "9 $/kW"',
                )
            if any(step.fee_per_month for step in rate.step):
                raise fault(f"a step of rate {LETTERS[number]} has a fee", 'write a price, such as price = "9 $/kW"')
        return self

    def meters(self, calendar: HourCalendar) -> list[Bools]:
        """The hours of each rate."""
        rates = self.rate_of_hours(calendar)
        return [rates == number for number in range(len(self.rate))]

    def _months_of(self, number: int) -> Bools:
        """Months that have a rate (12,)."""
        both = zip(self.weekday, self.weekend or self.weekday, strict=True)
        return np.array([LETTERS[number] in weekday + weekend for weekday, weekend in both])

    def n_meters(self, calendar: HourCalendar) -> int:
        """One for each rate."""
        return len(self.rate)

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line a month for each step of each rate."""
        floor = usage.peaks_w.max(axis=(1, 2))[:, None] * self.ratchet_share
        for number, rate in enumerate(self.rate):
            # the floor holds in the months that have the rate at all
            billed = np.maximum(usage.peaks_w[:, number], np.where(self._months_of(number), floor, 0.0))
            yield from step_lines(self.rate_label(number), rate.step, billed * self.peak_factor, usage, "power")
