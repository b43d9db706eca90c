"""Five routes to a design load, from weak to strong, each with its uncertainty band: what people know of their house."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field, model_validator

from costsim.physics.envelope import TYPICAL, air_loss_w_k, surface_loss_w_k
from costsim.units.fields import OneOf, QuantityField, StudyModel, fault

ROUTES: dict[str, tuple[str, float]] = {
    "area": ("heat loss per floor area, a rule of thumb", 0.40),
    "entered": ("entered, taken to be as good as a plan check", 0.25),
    "envelope": ("from areas, U-values and air changes", 0.20),
    "rooms": ("room by room", 0.10),
    "bills": ("fitted to bills", 0.10),
}
"""From weak to strong: words, and the uncertainty band as a share; common practice, no source."""
FAR_APART = 1.0 / 3.0


class Surface(StudyModel):
    """One wall, roof, floor, window or door."""

    name: Annotated[str, Field(title="Name", min_length=1, max_length=80)]
    area_m2: Annotated[float, QuantityField("area", "Area", above=0, at_most=1e5, example="40 m2")]
    u_value_w_m2k: Annotated[float | None, QuantityField("u_value", "U-value", above=0, at_most=10)] = None
    typical: Annotated[
        str,
        OneOf(TYPICAL, "a kind of surface"),
        Field(title="Typical", description="A kind of surface whose U-value is not known."),
    ] = ""
    difference_share: Annotated[
        float,
        QuantityField(
            "share",
            "Share of the temperature difference",
            "Less than all to the ground or an unheated room.",
            at_least=0,
            at_most=1,
            example="50 %",
        ),
    ] = 1.0

    @model_validator(mode="after")
    def _one_u_value(self) -> Surface:
        if (self.u_value_w_m2k is None) == (not self.typical):
            raise fault("give u_value or typical, one and not both", 'such as u_value = "0.30 W/(m2 K)"')
        return self

    @property
    def u_value_known_w_m2k(self) -> float:
        """The U-value given, else the typical one [W/(m² K)]."""
        known = self.u_value_w_m2k
        return known if known is not None else TYPICAL[self.typical].u_value_w_m2k

    @property
    def loss_w_k(self) -> float:
        """Loss per kelvin [W/K]."""
        return surface_loss_w_k(
            area_m2=self.area_m2, u_value_w_m2k=self.u_value_known_w_m2k, share=self.difference_share
        )


class Infiltration(StudyModel):
    """Air that is renewed, by leaks and on purpose."""

    volume_m3: Annotated[float, QuantityField("volume", "Heated air", above=0, at_most=1e6, example="250 m3")]
    changes_per_s: Annotated[float, QuantityField("rate", "Air changes", at_least=0, at_most=0.01)]
    recovery_share: Annotated[
        float, QuantityField("share", "Heat recovered", at_least=0, at_most=0.98, example="75 %")
    ] = 0.0

    def loss_w_k(self, altitude_m: float) -> float:
        """Loss per kelvin at an altitude [m], where the air is thinner [W/K]."""
        return air_loss_w_k(
            volume_m3=self.volume_m3,
            changes_per_s=self.changes_per_s,
            recovery_share=self.recovery_share,
            altitude_m=altitude_m,
        )


class Room(StudyModel):
    """One room with what it loses."""

    name: Annotated[str, Field(title="Name", min_length=1, max_length=80)]
    indoor_temperature_c: Annotated[
        float | None,
        QuantityField("temperature", "Its own thermostat setting", at_least=5, at_most=30, example="24 degC"),
    ] = None
    surface: Annotated[tuple[Surface, ...], Field(title="Surfaces", min_length=1)]
    infiltration: Infiltration | None = None

    def load_w(self, indoor_temperature_c: float, outdoor_c: float, altitude_m: float) -> float:
        """Loss at the design temperatures and an altitude [W]; `indoor_temperature_c` where it has no set-point of its own."""
        inside = self.indoor_temperature_c if self.indoor_temperature_c is not None else indoor_temperature_c
        return loss_of(self.surface, self.infiltration, altitude_m) * (inside - outdoor_c)


@dataclass(frozen=True, slots=True)
class Route:
    """A design load by one route: its key in `ROUTES`, words, watts at design and uncertainty band as a share."""

    key: str
    words: str
    load_w: float
    band: float


def loss_of(surfaces: Sequence[Surface], air: Infiltration | None, altitude_m: float) -> float:
    """Loss per kelvin of surfaces and air at an altitude [W/K]."""
    return sum(surface.loss_w_k for surface in surfaces) + (air.loss_w_k(altitude_m) if air is not None else 0.0)


def far_apart(routes: Sequence[Route], used: Route) -> list[Route]:
    """Routes that are more than a third away from the one in use."""
    return [route for route in routes if abs(route.load_w - used.load_w) > FAR_APART * used.load_w]
