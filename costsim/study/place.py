"""Where the house stands, as people type it."""

from __future__ import annotations

from typing import Annotated
from zoneinfo import ZoneInfo

from pydantic import Field, field_validator

from costsim.study_files import NamesFile
from costsim.units.calendar_words import zone_name
from costsim.units.fields import QuantityField, StudyModel, fault


class Place(StudyModel):
    """Where the house stands, which weather is used and how its clock runs."""

    weather: Annotated[
        str,
        NamesFile("hourly weather"),
        Field(title="Weather file", description="TMY3, EPW or CSV, beside the study or built in.", min_length=1),
    ]
    design_outdoor_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Outdoor design temperature",
            "The 99 % value of the weather file by default.",
            at_least=-65,
            at_most=25,
            example="15 degF",
        ),
    ] = None
    timezone: Annotated[str, Field(title="Time zone", description="For night rates, such as America/Chicago.")] = ""
    calendar_year: Annotated[
        int, Field(title="Calendar year", description="For weekdays and holidays.", ge=1990, le=2100)
    ] = 2025
    altitude_m: Annotated[
        float | None, QuantityField("length", "Altitude", "The weather file's by default.", at_least=-430, at_most=5500)
    ] = None
    holidays: Annotated[str, Field(title="Holidays", description="Country code, such as US.")] = ""

    @field_validator("timezone")
    @classmethod
    def _known_zone(cls, value: str) -> str:
        value = zone_name(value)
        try:
            if value:
                ZoneInfo(value)
        except (KeyError, ValueError, OSError):
            raise fault(f"'{value}' is not a known time zone", 'such as Eastern or "America/New_York"') from None
        return value
