"""Tiers over all energy of a season or of some hours, on top of the energy price: baseline credits, tiered delivery."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field, model_validator

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import Floats, Item, TypedCharge, Usage, charge
from costsim.tariffs.charges.energy import used_before_j
from costsim.tariffs.charges.tariff import Tariff, season_days
from costsim.tariffs.hours import ClockHours
from costsim.units.fields import QuantityField, StudyModel, fault
from costsim.units.quantity import Quantity

DAY_S, YEAR_S = 86400.0, 365 * 86400.0
MONTH_S = YEAR_S / 12


class Tier(StudyModel):
    """One part of the use at its own price; leave `up_to` out of the last."""

    up_to: Annotated[
        Quantity | None,
        QuantityField(
            "amount_per_year", "Up to", "Each day, month or year, as the unit says.", above=0, example="10 kWh/day"
        ),
    ] = None
    energy: Annotated[Quantity, QuantityField("price", "Price", "A credit where negative; 0 where nothing is added.")]


@charge
class Tiers(TypedCharge, ClockHours):
    """Tiers that count all energy of their hours, whatever its clock period.

    A tier by the day is as many times as long as days of the billing month lie in season; one by the month is cut in the same
    proportion where the season begins or ends inside it; one by the year counts on from January.
    """

    kind: Literal["tiers"] = "tiers"
    prices_energy: ClassVar[bool] = True
    tier: Annotated[tuple[Tier, ...], Field(title="Tiers", min_length=1, max_length=12)]

    @model_validator(mode="after")
    def _tiers_follow(self) -> Tiers:
        *inner, last = self.tier
        if last.up_to is not None:
            raise fault(
                "the last tier has an end, so use beyond it has no price",
                'add a tier with energy alone, such as "0 $/kWh"',
            )
        if any(one.up_to is None for one in inner):
            raise fault("a tier before the last has no end", 'add up_to = "10 kWh/day"')
        ends = [one.up_to for one in inner if one.up_to is not None]
        if any(not one.per for one in ends) or len({one.per for one in ends}) > 1:
            raise fault(
                "tiers do not all count by the day, the month or the year", 'write them like up_to = "10 kWh/day"'
            )
        if any(b.value <= a.value for a, b in itertools.pairwise(ends)):
            raise fault("a tier ends no higher than the one before", "let each up_to be higher than the one before")
        return self

    def rows(self, calendar: HourCalendar) -> list[Floats]:
        """Its hours; none of its own where it counts all energy."""
        return [] if self.is_whole_year else [self.hours().share(calendar)]

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line a month for each tier."""
        joule = usage.total_j if self.is_whole_year else usage.own_j[:, :, 0]
        before = used_before_j(joule)
        used = np.zeros((1, 12))
        for number, tier in enumerate(self.tier, 1):
            end = self._end_j(tier, usage)
            yearly = tier.up_to is not None and tier.up_to.per == "year"
            if yearly:
                part = np.clip(np.minimum(before + joule, end) - np.maximum(before, used), 0.0, None)
            elif tier.up_to is None and len(self.tier) > 1 and self._per == "year":
                part = np.clip(before + joule - np.maximum(before, used), 0.0, None)
            else:
                part = np.clip(np.minimum(joule, end) - used, 0.0, None)
            price = usage.extra_price(tier.energy)
            yield Item(f"{self.label}, tier {number}", part, "J", price, part * price, "energy")
            used = end

    @property
    def _per(self) -> str:
        first = self.tier[0].up_to
        return first.per if first is not None else "month"

    def _end_j(self, tier: Tier, usage: Usage) -> Floats:
        """Where a tier ends in each month (1, 12) [J]."""
        if tier.up_to is None:
            return np.full((1, 12), np.inf)
        rate_w = usage.tariff.fuel.joules(tier.up_to)
        if tier.up_to.per == "year":
            return np.full((1, 12), rate_w * YEAR_S)
        days = season_days(self.hours(), usage.tariff.read_day, usage.calendar)[None]
        if tier.up_to.per == "day":
            return rate_w * DAY_S * days
        return rate_w * MONTH_S * days / np.maximum(usage.month_days(), 1.0)

    def price_per_j(self, tariff: Tariff, calendar: HourCalendar) -> Floats | float:
        """The first tier's price, in its hours."""
        return tariff.fuel.per_j(self.tier[0].energy) * tariff.energy_factor * self.hours().share(calendar)
