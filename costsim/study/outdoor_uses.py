"""Further uses of the tank: a pool or tub, a drive that melts snow, and heat hour by hour from a file."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from costsim.study.tank_use import Priority, TankUse
from costsim.study_files import NamesFile
from costsim.tariffs.windows import check_windows
from costsim.units.fields import QuantityField, fault

STILL_WATER = 0.74
"""Evaporation from a pool at rest over Carrier's equation; Smith, Löf and Jones, ASHRAE Transactions 104 (1998), paper 4146."""
COVER_W_M2K = 5.0
"""A floating cover with the air over it; common practice, no source. An insulated lid of a tub: 0.5 to 1."""
SHELTER_SHARE = 0.3
"""Wind at the water of a garden for that of the weather station; common practice, no source."""
BACK_SHARE = 0.2
"""Heat lost downward and at the edges of a slab outdoors, by what goes up; common practice, no source."""


class PoolOrTub(TankUse):
    """A pool or hot tub, kept warm in its season through an exchanger."""

    hottest_field: ClassVar[str] = "water_temperature_c"

    kind: Literal["pool_or_tub"]
    name: Annotated[str, Field(title="Name", max_length=80)] = "Pool"
    priority: Priority = "after_house"
    area_m2: Annotated[float, QuantityField("area", "Water surface", above=0, at_most=2000, example="300 ft2")]
    depth_m: Annotated[
        float, QuantityField("length", "Mean depth", at_least=0.3, at_most=5, example="4.5 ft")
    ] = 1.4  # fmt: skip
    water_temperature_c: Annotated[
        float, QuantityField("temperature", "Water", at_least=10, at_most=42, example="80 degF")
    ] = 27.0
    months: Annotated[str, Field(title="Season", description="Months in which it is kept warm; all by default.")] = ""
    cover: Annotated[
        tuple[str, ...], Field(title="Hours under cover", description='Clock windows, such as "20:00-08:00".')
    ] = ()
    cover_u_value_w_m2k: Annotated[
        float,
        QuantityField("u_value", "Cover and air over it", at_least=0.1, at_most=30, example="5 W/(m2 K)"),
    ] = COVER_W_M2K
    activity_share: Annotated[
        float,
        QuantityField(
            "share", "Evaporation", "Of Carrier's equation: 74 % at rest, more when bathed in.", at_least=0.3, at_most=2
        ),
    ] = STILL_WATER
    shelter_share: Annotated[
        float, QuantityField("share", "Wind at the water", "Of the weather's wind.", at_least=0, at_most=1)
    ] = SHELTER_SHARE
    indoor_air_c: Annotated[
        float | None,
        QuantityField("temperature", "Air of its room", "Indoors only.", at_least=5, at_most=40, example="82 degF"),
    ] = None
    humidity_share: Annotated[
        float | None,
        QuantityField(
            "share",
            "Relative humidity",
            "Indoors 55 %; outdoors by the coldest hour of the day.",
            at_least=0.05,
            at_most=1,
        ),
    ] = None
    fresh_water_m3: Annotated[
        float, QuantityField("volume", "Fresh water a day", at_least=0, at_most=100, example="20 gal")
    ] = 0.0
    approach_k: Annotated[
        float,
        QuantityField("temperature_difference", "Approach of the exchanger", at_least=0, at_most=25, example="9 degF"),
    ] = 5.0

    @property
    def above_use_k(self) -> float:
        """Approach of its exchanger [K]."""
        return self.approach_k

    @model_validator(mode="after")
    def _clock_times(self) -> PoolOrTub:
        check_windows(self.cover, months=self.months)
        return self


class SnowMelt(TankUse):
    """A drive or walk that melts snow as it falls."""

    kind: Literal["snow_melt"]
    name: Annotated[str, Field(title="Name", max_length=80)] = "Snow melting"
    priority: Priority = "after_house"
    area_m2: Annotated[float, QuantityField("area", "Heated surface", above=0, at_most=1e4, example="600 ft2")]
    snowfall_m: Annotated[
        float,
        QuantityField("small_length", "Snowfall of a winter", "As it falls.", at_least=0, at_most=30, example="43 in"),
    ]
    water_share: Annotated[
        float, QuantityField("share", "Depth of water for that of snow", at_least=0.02, at_most=0.6, example="10 %")
    ] = 0.1
    free_share: Annotated[
        float, QuantityField("share", "Free of snow while it falls", at_least=0, at_most=1, example="50 %")
    ] = 1.0
    idle_below_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Kept ready below",
            "Idles at freezing when it is colder outside; off by default.",
            at_least=-30,
            at_most=5,
            example="32 degF",
        ),
    ] = None
    back_loss_share: Annotated[
        float, QuantityField("share", "Lost downward and at edges", at_least=0, at_most=2, example="20 %")
    ] = BACK_SHARE
    design_supply_temperature_c: Annotated[
        float, QuantityField("temperature", "Supply water", at_least=20, at_most=70, example="110 degF")
    ] = 43.0


class Profile(TankUse):
    """Heat hour by hour from a file."""

    hottest_field: ClassVar[str] = "supply_temperature_c"

    kind: Literal["profile"]
    name: Annotated[str, Field(title="Name", max_length=80)] = "Further heat"
    hours: Annotated[
        str,
        Field(
            title="File of hourly heat",
            description="A CSV with a column 'heat [kW]' or 'heat [kWh]', a row an hour from 1 January, standard time.",
            min_length=1,
        ),
        NamesFile("hourly heat"),
    ]
    supply_temperature_c: Annotated[
        float, QuantityField("temperature", "Supply water", at_least=15, at_most=90, example="120 degF")
    ] = 45.0
    return_temperature_c: Annotated[
        float, QuantityField("temperature", "Return water", at_least=1, at_most=85, example="95 degF")
    ] = 35.0

    @model_validator(mode="after")
    def _cools(self) -> Profile:
        if self.return_temperature_c >= self.supply_temperature_c:
            raise fault("return_temperature is not below supply_temperature", "lower return_temperature")
        return self
