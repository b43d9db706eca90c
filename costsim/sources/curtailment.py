"""Hours in which a utility may switch a source off."""

from __future__ import annotations

import functools
from typing import Annotated

import numpy as np
from pydantic import Field, model_validator

from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.windows import check_windows, parse_windows
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField, StudyModel, fault
from costsim.units.table import HOUR_S
from costsim.weather import Weather


class CurtailmentEvents(StudyModel):
    """Hours in which a utility may switch the source off: given windows, or the coldest hours with a longest run."""

    coldest_hours: Annotated[int, Field(ge=0, le=8784, title="Curtailment hours a season")] = 0
    longest_run_s: Annotated[
        float, QuantityField("duration", "Longest curtailment run", at_least=HOUR_S, at_most=48 * HOUR_S)
    ] = 12 * HOUR_S
    windows: tuple[str, ...] = ()
    days: str = "every day"
    months: str = ""

    @model_validator(mode="after")
    def _windows_are_clock_times(self) -> CurtailmentEvents:
        check_windows(self.windows, days=self.days, months=self.months)
        if not self.windows and (self.months or self.days != "every day"):
            raise fault("control has days or months but no windows", 'add windows = ["00:00-24:00"]')
        return self

    def share(self, weather: Weather, calendar: HourCalendar) -> Floats:
        """Share of each hour in which the source is switched off (n,)."""
        clock = np.zeros(weather.n_hours)
        if self.windows:
            clock = parse_windows(self.windows, days=self.days, months=self.months).share(calendar)
        cold = _coldest(weather, self.coldest_hours, round(self.longest_run_s / HOUR_S))
        return np.asarray(np.maximum(clock, cold))


@functools.lru_cache(maxsize=32)
def _coldest(weather: Weather, hours: int, longest_run: int) -> Floats:
    marked = coldest_hours(weather.outdoor_c, hours, longest_run)
    marked.flags.writeable = False
    return marked


def coldest_hours(outdoor_c: Floats, hours: int, longest_run: int) -> Floats:
    """Mark the coldest hours of the year, none in a run longer than `longest_run` (n,).

    Interruptions come with the cold, so they are never drawn apart from the weather.

    Examples
    --------
    >>> coldest_hours(np.array([3.0, 1.0, 0.0, 2.0, 9.0]), 3, 2)
    array([0., 1., 1., 0., 1.])
    """
    marked = np.zeros(len(outdoor_c))
    left = hours
    for hour in np.argsort(outdoor_c, kind="stable"):
        if left == 0:
            break
        marked[hour] = 1.0
        if _run_length(marked, int(hour)) > longest_run:
            marked[hour] = 0.0
        else:
            left -= 1
    return marked


def _run_length(marked: Floats, at: int) -> int:
    first = last = at
    while first > 0 and marked[first - 1]:
        first -= 1
    while last < len(marked) - 1 and marked[last + 1]:
        last += 1
    return last - first + 1
