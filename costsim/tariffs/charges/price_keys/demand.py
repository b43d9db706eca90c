"""A charge on the highest power of the month."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import Charge, Item, Usage
from costsim.tariffs.windows import Windows
from costsim.units.arrays import Bools, Floats

if TYPE_CHECKING:
    from costsim.tariffs.charges.tariff import Tariff


@dataclass(frozen=True, slots=True)
class DemandCharge:
    """A charge on the month's highest power inside `windows`.

    The highest hourly mean times `peak_factor` stands for the metered interval of `minutes`. With a ratchet, at least
    `ratchet_share` of the highest of the eleven months before is billed, in the months that have the charge at all; the
    year before is taken to be like this one.
    """

    price_per_w: float
    windows: Windows
    minutes: int = 60
    peak_factor: float = 1.0
    ratchet_share: float = 0.0


def billed_peaks_w(charge: DemandCharge, peaks_w: Floats) -> Floats:
    """Power that is billed from the highest hourly means (..., 12), with peak factor and ratchet [W]."""
    measured = peaks_w * charge.peak_factor
    floor = charge.ratchet_share * measured.max(axis=-1, keepdims=True)
    in_force = np.isin(np.arange(1, 13), charge.windows.months)
    return np.where(in_force, np.maximum(measured, floor), 0.0)


@dataclass(frozen=True)
class HighestPower(Charge):
    """The demand charges of a tariff."""

    tariff: Tariff

    def meters(self, calendar: HourCalendar) -> list[Bools]:
        """The hours of each demand charge."""
        return [charge.windows.share(calendar) > 0 for charge in self.tariff.demand]

    def n_meters(self, calendar: HourCalendar) -> int:
        """One for each demand charge."""
        return len(self.tariff.demand)

    def items(self, usage: Usage) -> Iterator[Item]:
        """A line a month for each."""
        for at, charge in enumerate(self.tariff.demand):
            label = "highest power" if len(self.tariff.demand) == 1 else f"charge {at + 1}, highest power"
            watts = billed_peaks_w(charge, usage.peaks_w[:, at])
            yield Item(label, watts, "W", charge.price_per_w, watts * charge.price_per_w, "power")
