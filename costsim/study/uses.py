"""What draws from the tank besides the house's floor: hot water, zones with a loss of their own, pools, snow and profiles."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal, get_args

import numpy as np
from pydantic import Field, model_validator

from costsim.physics.fluids import fluid_properties
from costsim.study.outdoor_uses import PoolOrTub, Profile, SnowMelt
from costsim.study.tank_use import TankUse
from costsim.study.tapping import COLD_C, LOAD_PROFILES
from costsim.units.arrays import Floats
from costsim.units.faults import add_tags
from costsim.units.fields import QuantityField, fault
from costsim.units.quantity import KWH_J

PER_PERSON_M3 = 0.057
"""Hot water of a person and day at the tap, 15 gal; common practice, no source."""
WATER_J_M3K = 4.16e6
"""Of drinking water between 10 and 50 °C."""
WATER_J_KGK = 4182.0
"""Its mean between 10 and 50 °C: enthalpies of 42.0 and 209.3 kJ/kg, IAPWS-IF97."""
USUAL_DAY = (
    0.85,
    0.85,
    0.85,
    0.85,
    0.85,
    1.0,
    7.5,
    7.5,
    6.5,
    6.5,
    6.5,
    4.6,
    4.6,
    3.7,
    3.7,
    3.7,
    3.7,
    6.3,
    6.3,
    6.3,
    6.3,
    5.1,
    5.1,
    0.85,
)
"""Shares of a day's hot water by hour, as percent; ASHRAE 90.2's residential profile, value from memory."""


class HotWater(TankUse):
    """Domestic hot water, heated by the tank through an exchanger."""

    hottest_field: ClassVar[str] = "tap_temperature_c"

    kind: Literal["hot_water"]
    name: Annotated[str, Field(title="Name", max_length=80)] = "Hot water"
    people: Annotated[
        int | None, Field(title="People", description="15 gal a day each; or give daily_volume.", ge=1, le=500)
    ] = None
    daily_volume_m3: Annotated[
        float | None,
        QuantityField("volume", "Hot water a day", "At the tap.", above=0, at_most=100, example="50 gal"),
    ] = None
    tap_temperature_c: Annotated[
        float,
        QuantityField("temperature", "Temperature at the tap", at_least=30, at_most=60, example="120 degF"),
    ] = 49.0
    cold_temperature_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Cold water",
            "From the weather's months where it is left out.",
            at_least=0.5,
            at_most=30,
            example="50 degF",
        ),
    ] = None
    exchanger: Annotated[
        Literal["instantaneous", "stored"],
        Field(title="Exchanger", description="Instantaneous, or a cylinder kept at storage_temperature."),
    ] = "instantaneous"
    approach_k: Annotated[
        float,
        QuantityField("temperature_difference", "Approach of the exchanger", at_least=0, at_most=25, example="9 degF"),
    ] = 5.0
    storage_temperature_c: Annotated[
        float,
        QuantityField(
            "temperature", "Cylinder temperature", "Where stored.", at_least=45, at_most=75, example="140 degF"
        ),
    ] = 60.0
    circulation_w: Annotated[
        float,
        QuantityField("power", "Loss of a circulation pipe", "All hours.", at_least=0, at_most=1e5, example="60 W"),
    ] = 0.0
    profile: Annotated[
        tuple[float, ...],
        Field(title="Hours of the day", description="24 shares; those of the load profile by default.", max_length=24),
    ] = ()
    load_profile: Annotated[
        Literal["usual_day", "S", "M", "L", "XL", "XXL"],
        Field(
            title="Load profile",
            description="A usual day, or one of the days of draws that European law tests water heaters with: S 2.1, M 5.845,"
            " L 11.655, XL 19.07, XXL 24.53 kWh. It gives the amount too, where neither people nor daily_volume do.",
        ),
    ] = "usual_day"

    @model_validator(mode="after")
    def _one_amount(self) -> HotWater:
        amounts = (self.people is not None) + (self.daily_volume_m3 is not None)
        if amounts > 1 or (amounts == 0 and self.load_profile == "usual_day"):
            raise fault("give people or daily_volume, one of the two", 'write daily_volume = "50 gal", or people = 3')
        if self.profile and self.load_profile != "usual_day":
            raise fault("profile and load_profile both give the hours", "keep one of the two")
        if self.profile and (len(self.profile) != 24 or min(self.profile) < 0 or not 0 < sum(self.profile) < 1e6):
            raise fault("profile wants 24 shares, none below zero", "give one number for each hour of the day")
        if self.cold_temperature_c is not None and self.cold_temperature_c >= self.tap_temperature_c:
            raise fault("cold_temperature is not below tap_temperature", "lower cold_temperature")
        return self

    @property
    def hottest_key(self) -> str:
        """Key that says how hot the tank must be."""
        return "storage_temperature" if self.exchanger == "stored" else super().hottest_key

    @property
    def above_use_k(self) -> float:
        """Approach of its exchanger [K]."""
        return self.approach_k

    @property
    def needs_c(self) -> float:
        """Tank temperature that makes it hot enough [°C]."""
        return self.storage_temperature_c + self.approach_k if self.exchanger == "stored" else super().needs_c

    @property
    def volume_m3(self) -> float:
        """Hot water a day [m³]."""
        if self.daily_volume_m3 is not None:
            return self.daily_volume_m3
        if self.people is not None:
            return PER_PERSON_M3 * self.people
        day_j = float(LOAD_PROFILES[self.load_profile].sum()) * KWH_J
        return day_j / (self.tap_j_m3k * (self.tap_temperature_c - COLD_C))

    @property
    def tap_j_m3k(self) -> float:
        """Heat that warms what is a cubic metre at the tap by a kelvin [J/(m³ K)]."""
        water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=self.tap_temperature_c)
        return water.density_kg_m3 * WATER_J_KGK

    @property
    def shares(self) -> Floats:
        """Share of the day's water in each clock hour (24,)."""
        shares = np.array(self.profile or LOAD_PROFILES.get(self.load_profile, USUAL_DAY))
        return np.asarray(shares / shares.sum())


class Zone(TankUse):
    """A garage or shop with its own loss and set-point, after the hot water and before the house."""

    kind: Literal["zone"]
    name: Annotated[str, Field(title="Name", max_length=80)] = "Zone"
    design_heat_loss_w: Annotated[
        float, QuantityField("power", "Design heat loss", above=0, at_most=1e6, example="12 kBtu/h")
    ]
    indoor_temperature_c: Annotated[
        float, QuantityField("temperature", "Thermostat setting", at_least=2, at_most=28, example="50 degF")
    ] = 10.0
    design_supply_temperature_c: Annotated[
        float,
        QuantityField("temperature", "Supply water at design", at_least=22, at_most=80, example="100 degF"),
    ] = 40.0

    @model_validator(mode="after")
    def _warmer_than_the_zone(self) -> Zone:
        if self.design_supply_temperature_c <= self.indoor_temperature_c + 1:
            raise fault("design_supply_temperature is not above indoor_temperature", "raise design_supply_temperature")
        return self


AnyUse = HotWater | Zone | PoolOrTub | SnowMelt | Profile
Use = Annotated[AnyUse, Field(discriminator="kind")]
add_tags((get_args(model.model_fields["kind"].annotation)[0] for model in get_args(AnyUse)), "use")
