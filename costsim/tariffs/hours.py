"""Hours as people type them for a price: clock windows, days, seasons, single dates, cold days and cold hours."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Annotated

from pydantic import Field, PrivateAttr, model_validator

from costsim.tariffs.windows import Windows, check_windows, parse_windows
from costsim.units.fields import QuantityField, StudyModel, fault


class OwnHolidays(StudyModel):
    """What looks at holidays: those of its price table where that lists any, else the place's."""

    _own_holidays: str = PrivateAttr(default="")

    def use_holidays(self, text: str) -> None:
        """Take the list of the price table."""
        self._own_holidays = text


class ClockHours(OwnHolidays):
    """Hours of the year; all of them where nothing is typed."""

    windows: tuple[str, ...] = ()
    days: str = "every day"
    months: Annotated[str, Field(title="Months", description="Such as Nov-Mar, or a season such as Jun 15-Sep 14.")] = (
        ""
    )
    dates: Annotated[
        tuple[str, ...], Field(title="Single days", description="Event days, such as 2025-01-14.", max_length=366)
    ] = ()
    coldest_days: Annotated[
        int,
        Field(title="Coldest days", description="So many event days of the lowest outdoor temperature.", ge=0, le=366),
    ] = 0
    below_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Colder outside than",
            "Hours in which a price goes by the weather.",
            at_least=-60,
            at_most=40,
            example="10 degF",
        ),
    ] = None

    @model_validator(mode="after")
    def _clock_times(self) -> ClockHours:
        check_windows(self.windows, days=self.days, months=self.months)
        for text in self.dates:
            try:
                date.fromisoformat(text)
            except ValueError:
                raise fault(f"'{text}' is not a day", 'write it like dates = ["2025-01-14"]') from None
        if self.dates and self.coldest_days:
            raise fault("event days are given twice", "give dates or coldest_days, not both")
        return self

    def hours(self) -> Windows:
        """The hours of a year."""
        plain = parse_windows(self.windows, days=self.days, months=self.months)
        days = [date.fromisoformat(text) for text in self.dates]
        return replace(
            plain, dates=tuple(day.month * 100 + day.day for day in days), coldest_days=self.coldest_days, below_c=self.below_c,
            own_holidays=self._own_holidays if plain.holidays is not None else "",
        )  # fmt: skip

    @property
    def is_whole_year(self) -> bool:
        """Whether nothing narrows it."""
        return self.hours() == parse_windows(())
