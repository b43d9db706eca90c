"""Tiers over all energy of a season or of some hours, on top of the energy price: baseline credits, tiered delivery."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field, model_validator

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import LONG, Item, TypedCharge, Usage, parts_between, rise
from costsim.tariffs.charges.price_keys.energy import used_before_j
from costsim.tariffs.charges.tariff import Tariff, season_days
from costsim.tariffs.hours import ClockHours
from costsim.tariffs.windows import Windows, parse_windows
from costsim.units.arrays import Bools, Floats
from costsim.units.fields import QuantityField, StudyModel, fault
from costsim.units.quantity import Quantity
from costsim.units.table import DAY_S, MONTH_S, YEAR_S


class Tier(StudyModel):
    """One part of the use at its own price; leave `up_to` out of the last."""

    up_to: Annotated[
        Quantity | None,
        QuantityField(
            "tier",
            "Up to",
            "Each day, month or year, as the unit says; or by the month's highest power, such as 200 kWh/kW.",
            above=0,
            example="10 kWh/day",
        ),
    ] = None
    energy: Annotated[Quantity, QuantityField("price", "Price", "A credit where negative; 0 where nothing is added.")]

    @property
    def by_power(self) -> bool:
        """Whether it ends by kilowatt-hours for each kilowatt."""
        return self.up_to is not None and self.up_to.dims == LONG


def end_j(tier: Tier, usage: Usage, days: Floats) -> Floats:
    """Where a tier ends in each bill, of which so many days count (scenarios or 1, 12) [J]."""
    if tier.up_to is None:
        return np.full((1, 12), np.inf)
    if tier.by_power:
        return np.asarray(tier.up_to.value * usage.peaks_w[:, 0])
    rate_w = usage.tariff.fuel.joules(tier.up_to)
    if tier.up_to.per == "year":
        return np.full((1, 12), rate_w * YEAR_S)
    if tier.up_to.per == "day":
        return np.asarray(rate_w * DAY_S * days)[None]
    share = days / np.maximum(usage.month_days(), 1.0)
    return np.asarray(rate_w * MONTH_S * share * usage.tariff.months_billed)[None]


class Tiers(TypedCharge, ClockHours):
    """Tiers that count all energy of their hours, whatever its clock period.

    A tier by the day is as many times as long as days of the billing month lie in season; one by the month is cut in the same
    proportion where the season begins or ends inside it; one by the year counts on from January; one by kilowatt-hours for each
    kilowatt goes by the month's highest power in its hours. With `filled_by` all, all energy fills the tiers, that of days outside the
    season only where they count by the year, and its hours have their share of each; with `whole_use` the price of the tier reached
    goes on all use.
    """

    example: ClassVar[dict[str, Any]] = {
        "kind": "tiers",
        "tier": [{"up_to": "10 kWh/day", "energy": "0.03 $/kWh"}, {"energy": "0.05 $/kWh"}],
    }
    kind: Literal["tiers"] = "tiers"
    prices_energy: ClassVar[bool] = True
    filled_by: Annotated[
        Literal["own", "all"], Field(title="What fills the tiers", description="Energy of its own hours, or all.")
    ] = "own"
    whole_use: Annotated[bool, Field(title="The tier reached prices all use")] = False
    tier: Annotated[tuple[Tier, ...], Field(title="Tiers", min_length=1, max_length=12)]

    @model_validator(mode="after")
    def _tiers_follow(self) -> Tiers:
        *inner, last = self.tier
        if last.up_to is not None:
            raise fault(
                "the last tier has an end, so use beyond it has no price",
                'add a tier with energy alone, such as "0 $/kWh"',
            )
        if any(tier.up_to is None for tier in inner):
            raise fault("a tier before the last has no end", 'add up_to = "10 kWh/day"')
        ends = [tier.up_to for tier in inner if tier.up_to is not None]
        spans = {end.per or ("kW" if end.dims == LONG else "") for end in ends}
        if "" in spans or len(spans) > 1:
            raise fault(
                "tiers do not all count by the day, the month or the year", 'write them like up_to = "10 kWh/day"'
            )
        if not rise(end.value for end in ends):
            raise fault("a tier ends no higher than the one before", "let each up_to be higher than the one before")
        if self.whole_use and "year" in spans:
            raise fault("whole_use goes with no tier by the year", 'write up_to = "500 kWh/month" or "10 kWh/day"')
        return self

    def meters(self, calendar: HourCalendar) -> list[Bools]:
        """Its hours, where its tiers go by power."""
        return [self.hours().share(calendar) > 0] if any(tier.by_power for tier in self.tier) else []

    def rows(self, calendar: HourCalendar) -> list[Floats]:
        """Its hours, and those of its season where all use of the season fills the tiers; none where it counts all energy."""
        own = [] if self.is_whole_year else [self.hours().share(calendar)]
        return [*own, self._season().share(calendar)] if self._filled_in_season else own

    @property
    def _by_year(self) -> bool:
        """Whether its tiers go on from January."""
        return self.tier[0].up_to is not None and self.tier[0].up_to.per == "year"

    def _season(self) -> Windows:
        """Every hour of the days by which `season_days` cuts the tiers."""
        return replace(parse_windows((), months=self.months), dates=self.hours().dates)

    @property
    def _filled_in_season(self) -> bool:
        """Whether all use fills the tiers, but that of its season alone."""
        return self.filled_by == "all" and not self._by_year and self._season() != parse_windows(())

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line a month for each tier."""
        own = usage.total_j if self.is_whole_year else usage.own_j[:, :, 0]
        joule = usage.total_j if self.filled_by == "all" else own
        if self._filled_in_season:
            joule = usage.own_j[:, :, 1]
        share = own / np.where(joule > 0, joule, 1.0) if self.filled_by == "all" else 1.0
        before = used_before_j(joule) if self._by_year else np.zeros((1, 12))
        days = season_days(self.hours(), usage.tariff.read_day, usage.calendar)
        ends = [end_j(tier, usage, days) for tier in self.tier]
        inside = [part * share for part in parts_between(joule, ends, before)]
        if self.whole_use:
            starts = [np.full((1, 12), -1.0), *ends]
            inside = [
                np.where((joule <= end) & (joule > start), own, 0.0) for start, end in zip(starts, ends, strict=False)
            ]
        for number, (tier, part) in enumerate(zip(self.tier, inside, strict=True), 1):
            price = usage.extra_price(tier.energy)
            yield Item(f"{self.label}, tier {number}", part, "J", price, part * price, "energy")

    def price_per_j(self, tariff: Tariff, calendar: HourCalendar) -> Floats | float:
        """The first tier's price, in its hours."""
        return tariff.fuel.per_j(self.tier[0].energy) * tariff.energy_factor * self.hours().share(calendar)
