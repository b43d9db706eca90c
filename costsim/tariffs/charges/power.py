"""Power by steps: contracted power, the mean of the highest days of a month, tiers of a demand charge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field, model_validator

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import Item, TypedCharge, Usage, once, parts_between, rise
from costsim.tariffs.hours import ClockHours
from costsim.units.arrays import Bools, Floats
from costsim.units.fields import QuantityField, StudyModel, fault
from costsim.units.quantity import MONTH_S, Quantity
from costsim.units.table import DAY_S

MONTH_DAYS = 31
PER_POWER_S = 3
"""Power of the second in money for power; in money for power and time it is one less."""


class PowerStep(StudyModel):
    """One step of power: a fee for the whole month, or a price of each kilowatt inside it."""

    up_to_w: Annotated[float | None, QuantityField("electric_power", "Up to", above=0, example="5 kW")] = None
    fee_per_month: Annotated[float, QuantityField("money_per_month", "Fee of the step", at_least=0)] = 0.0
    price: Annotated[
        Quantity | None,
        QuantityField(
            "money_by_power",
            "Price of a kilowatt",
            "Each month, or by the day, month or year, as the unit says.",
            at_least=0,
            example="9 $/kW",
        ),
    ] = None

    def price_per_w(self, days: Floats) -> Floats | float:
        """Price of a watt in each billing month of so many days (12,) [money/W]."""
        return 0.0 if self.price is None else price_per_w(self.price, days)


def price_per_w(price: Quantity, days: Floats) -> Floats | float:
    """A typed price of power for a month of so many days: a year's is a twelfth each month, a day's as often as there are days."""
    if price.dims[2] == PER_POWER_S:
        return price.value
    if not price.per:
        raise ValueError("a price of power is money for each kilowatt, such as 9 $/kW or 40 €/kW/year")
    return price.value * (DAY_S * days if price.per == "day" else MONTH_S)


def step_lines(name: str, steps: Sequence[PowerStep], watts: Floats, usage: Usage, group: str) -> Iterator[Item]:
    """A line for the kilowatts that lie in each step, of power (scenarios, 12) [W]."""
    ends = [math.inf if step.up_to_w is None else step.up_to_w for step in steps]
    for number, (step, part) in enumerate(zip(steps, parts_between(watts, ends), strict=True), 1):
        price = step.price_per_w(usage.month_days())
        label = name if len(steps) == 1 else f"{name}, step {number}"
        yield Item(label, part, "W", price, part * price, group)


class Power(TypedCharge, ClockHours):
    """What power costs by steps, each month.

    Power is what was contracted, or the mean of the highest hour of each of the `top_days` highest days of the month, at least
    `minimum` in each month, and with `averaged_months` the mean of so many months up to this one, each with its minimum; the year
    before is taken to be like this one, so that January is averaged with the same year's December. A step's fee is due when the
    power reaches into it; its price for each kilowatt inside it.
    """

    example: ClassVar[dict[str, Any]] = {"kind": "power", "step": [{"price": "9 $/kW"}]}
    kind: Literal["power"] = "power"
    contracted_w: Annotated[
        float | None, QuantityField("electric_power", "Contracted power", above=0, example="9 kW")
    ] = None
    top_days: Annotated[
        int, Field(title="Mean of the highest days", description="31 for all days.", ge=1, le=MONTH_DAYS)
    ] = 1
    peak_factor: Annotated[float, Field(ge=1.0, le=3.0, title="Peak of the interval over the hourly mean")] = 1.0
    minimum_w: Annotated[
        float | None,
        QuantityField(
            "electric_power", "Least power of each month", "Before months are averaged.", above=0, example="2.5 kW"
        ),
    ] = None
    averaged_months: Annotated[
        int,
        Field(
            title="Mean of so many months",
            description="Up to the month itself, each at least the minimum.",
            ge=1,
            le=12,
        ),
    ] = 1
    step: Annotated[tuple[PowerStep, ...], Field(title="Steps", min_length=1, max_length=20)]

    @property
    def due_unused(self) -> bool:
        """Contracted power is, whatever is drawn."""
        return self.contracted_w is not None

    @model_validator(mode="after")
    def _steps_follow(self) -> Power:
        *inner, last = self.step
        ends = [step.up_to_w for step in inner]
        if last.up_to_w is not None and (self.contracted_w is None or self.contracted_w > last.up_to_w):
            raise fault("the last step has an end, so power beyond it has no price", "leave up_to out of the last step")
        if None in ends or not rise(end for end in ends if end is not None):
            raise fault(
                "a step ends no higher than the one before",
                "let each up_to be higher, and leave it out of the last alone",
            )
        if any(step.fee_per_month for step in self.step) and any(step.price is not None for step in self.step):
            raise fault("steps have both fees and prices", "write two charges of kind power, one of each")
        if self.contracted_w is not None and self.hours().by_weather:
            raise fault("contracted power goes by no weather", "take out coldest_days and below")
        for price in (step.price for step in self.step if step.price is not None):
            if price.dims[2] != PER_POWER_S and not price.per:
                raise fault("a step's price is money for energy", 'write money for power, such as price = "9 $/kW"')
        return self

    def meters(self, calendar: HourCalendar) -> list[Bools]:
        """Its hours; where days are averaged those of each day of the month apart; none where power is contracted."""
        if self.contracted_w is not None:
            return []
        inside = self.hours().share(calendar) > 0
        if self.top_days == 1:
            return [inside]
        return [inside & (calendar.day_of_month == day) for day in range(1, MONTH_DAYS + 1)]

    def n_meters(self, calendar: HourCalendar) -> int:
        """Number of meters."""
        return 0 if self.contracted_w is not None else (1 if self.top_days == 1 else MONTH_DAYS)

    def power_w(self, usage: Usage) -> Floats:
        """Power that is billed (scenarios, 12) [W]."""
        if self.contracted_w is not None:
            return np.full((1, 12), self.contracted_w)
        highest = np.sort(usage.peaks_w, axis=1)[:, ::-1][:, : self.top_days]
        # a short month has no 31 days
        of = np.maximum(np.minimum(float(highest.shape[1]), usage.month_days()), 1.0)
        power = np.maximum(highest.sum(axis=1) / of * self.peak_factor, self.minimum_w or 0.0)
        back = [np.roll(power, months, axis=1) for months in range(self.averaged_months)]
        return np.asarray(np.mean(back, axis=0))

    def items(self, usage: Usage) -> Iterator[Item]:
        """One line a month for the step reached, or one for each step's kilowatts."""
        watts, group = self.power_w(usage), "fixed" if self.contracted_w else "power"
        in_force = np.isin(np.arange(1, 13), self.hours().months)
        if any(step.fee_per_month for step in self.step):
            ends = np.array([np.inf if step.up_to_w is None else step.up_to_w for step in self.step])
            reached = np.minimum(np.searchsorted(ends, watts - 1e-6), len(ends) - 1)
            fees = np.array([step.fee_per_month for step in self.step])[reached]
            yield once(self.label, "month", np.where(in_force, fees, 0.0), group)
            return
        yield from step_lines(self.label, self.step, np.where(in_force, watts, 0.0), usage, group)
