"""When the house is kept less warm: set-backs by the clock, zones with schedules of their own, and dated absence."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Any

from pydantic import Field, field_validator, model_validator

from costsim.physics.emitters import EMITTERS
from costsim.tariffs.windows import check_windows, parse_windows
from costsim.units.away_words import REMEDY, absences
from costsim.units.fields import OneOf, QuantityField, StudyModel, fault

FROST_C = 10.0
"""Kept while nobody is there, 50 °F; common practice, no source."""
_ISO = re.compile(r"\d{4}-(\d{2})-(\d{2})")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):[0-5]\d")


class Setback(StudyModel):
    """Hours in which the set-point is lower."""

    indoor_temperature_c: Annotated[
        float, QuantityField("temperature", "Set-point in these hours", at_least=5, at_most=30, example="62 degF")
    ]
    windows: Annotated[tuple[str, ...], Field(title="Only at these hours", min_length=1)]
    days: str = "every day"
    months: str = ""

    @model_validator(mode="after")
    def _clock_times(self) -> Setback:
        check_windows(self.windows, days=self.days, months=self.months)
        return self


class HouseZone(StudyModel):
    """A part of the house with a set-point and a schedule of its own, on loops of its own."""

    name: Annotated[str, Field(title="Name", min_length=1, max_length=80)]
    area_m2: Annotated[
        float | None, QuantityField("area", "Floor of the zone", "Its share of the load goes by it.", above=0)
    ] = None
    load_share: Annotated[
        float | None,
        QuantityField(
            "share", "Share of the heat loss", "In place of its area.", above=0, at_most=1, example="30 %"
        ),
    ] = None  # fmt: skip
    indoor_temperature_c: Annotated[
        float | None,
        QuantityField(
            "temperature", "Thermostat setting", "The house's by default.", at_least=5, at_most=30, example="65 degF"
        ),
    ] = None
    setback: Annotated[tuple[Setback, ...], Field(title="Set-backs", max_length=20)] = ()
    emitter: Annotated[
        str | None,
        OneOf(EMITTERS, "a kind of emitter"),
        Field(
            title="How the heat reaches its rooms",
            description="Where it is another way than in the rest of the house, such as baseboard over a heated slab. Without a temperature"
            " or set-backs of its own such a zone keeps the house's.",
        ),
    ] = None
    loops: Annotated[
        tuple[str, ...],
        Field(
            title="Its loops",
            description="Levels or rooms of the layout, or names of [[floor.loops]]; its share of all loops by default.",
            max_length=60,
        ),
    ] = ()

    @model_validator(mode="after")
    def _one_size(self) -> HouseZone:
        if (self.area_m2 is None) == (self.load_share is None):
            raise fault("give area or load, one of the two", 'such as area = "400 ft2", or load = "30 %"')
        if self.emitter and self.loops:
            raise fault("has loops and an emitter", "keep loops where the floor heats it, or emitter where it does not")
        return self

    def set_backs(self, of_house: tuple[Setback, ...]) -> tuple[Setback, ...]:
        """Its set-backs: the house's where it has nothing but an emitter of its own."""
        follows = self.emitter and not self.setback and self.indoor_temperature_c is None
        return of_house if follows else self.setback

    def share(self, floor_area_m2: float) -> float:
        """Its share of the house's heat loss."""
        return self.load_share if self.load_share is not None else float(self.area_m2 or 0.0) / floor_area_m2


class Absence(StudyModel):
    """Days on which nobody is there: a frost set-point, and no hot water drawn."""

    from_day: Annotated[
        str, Field(alias="from", title="First day away", description="Such as Dec 20, or 2025-12-20.")
    ] = ""
    to_day: Annotated[str, Field(alias="to", title="Last day away", description="Such as Jan 3, or 2026-01-03.")] = ""
    days: Annotated[
        str,
        Field(title="Days away of every week", description="Such as Mon-Fri of a house that is used at weekends only."),
    ] = ""
    back_at: Annotated[
        str, Field(title="Warm again from", description="Clock time on the last day; midnight by default.")
    ] = ""
    indoor_temperature_c: Annotated[
        float, QuantityField("temperature", "Frost set-point", at_least=2, at_most=25, example="50 degF")
    ] = FROST_C

    @field_validator("days")
    @classmethod
    def _weekdays(cls, value: str) -> str:
        check_windows((), days=value)
        return value

    @model_validator(mode="after")
    def _some_days(self) -> Absence:
        if bool(self.from_day) != bool(self.to_day) or not (self.from_day or self.days):
            raise fault("names no days", 'give from and to, such as from = "Dec 20", to = "Jan 5", or days = "Mon-Fri"')
        return self

    @property
    def months(self) -> str:
        """Its season, such as ``Dec 20-Jan 5``; empty for the whole year."""
        return f"{self.from_day}-{self.to_day}" if self.from_day else ""

    @field_validator("from_day", "to_day")
    @classmethod
    def _a_day(cls, value: str) -> str:
        if not value.strip():
            return ""
        try:
            iso = _ISO.fullmatch(value.strip())
            if iso:
                value = f"{date(2024, int(iso[1]), int(iso[2])):%b} {int(iso[2])}"
            parse_windows((), months=f"{value}-{value}")
            if not any(letter.isdigit() for letter in value):
                raise ValueError
        except ValueError:
            raise fault(f"'{value}' is not a day", 'write it like from = "Dec 20" or from = "2025-12-20"') from None
        return value

    @field_validator("back_at")
    @classmethod
    def _a_clock_time(cls, value: str) -> str:
        if value and not _CLOCK.fullmatch(value.strip()):
            raise fault(f"'{value}' is not a clock time", 'write it like back_at = "16:00"')
        return value.strip()


def read_absences(typed: Any) -> Any:
    """Days away as a study has them: tables, or sentences in their place, such as "away Dec 20 - Jan 5 at 50 degF"."""
    if isinstance(typed, str):
        typed = [typed]
    if not isinstance(typed, list | tuple):
        raise fault("names no days", REMEDY)
    periods: list[Any] = []
    for absence in typed:
        try:
            periods += absences(absence) if isinstance(absence, str) else [absence]
        except ValueError as error:
            problem, _, remedy = str(error).partition("; ")
            raise fault(problem, remedy) from None
    return tuple(periods)
