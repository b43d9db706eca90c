"""``[floor.layout]``: levels and rooms as an installer measures them, before there are any loops."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from costsim.physics.hydraulics import TUBES
from costsim.study.build_ups import BUILD_UPS, JoistBuildUp
from costsim.units.fields import OneOf, QuantityField, StudyModel, fault
from costsim.units.quantity import FOOT_M

USUAL_LONGEST_M: dict[str, float] = {
    "3/8 in PEX": 200 * FOOT_M,
    "1/2 in PEX": 300 * FOOT_M,
    "5/8 in PEX": 400 * FOOT_M,
    "3/4 in PEX": 500 * FOOT_M,
    "1 in PEX": 750 * FOOT_M,
    "16x2": 100.0,
    "17x2": 100.0,
    "20x2": 120.0,
}
"""Usual longest loop of each tube, leads included; common practice, no source."""
MOST_LEADS_SHARE = 0.7
MOST_LOOP_M = 500.0
"""No loop is longer, whoever laid it; our limit, that of typed loops."""
Zone = Literal["occupied", "perimeter", "bathroom"]


def _spacing(help: str = "") -> QuantityField:
    return QuantityField("small_length", "Tube spacing", help, at_least=0.03, at_most=1.0, example="12 in")


def _covering(help: str = "") -> QuantityField:
    return QuantityField(
        "r_value", "Floor covering resistance", help, at_least=0, at_most=1.0, example="0.6 h ft2 degF/Btu"
    )


def _distance(title: str) -> QuantityField:
    return QuantityField(
        "length", title, "One way; each loop needs it twice.", at_least=0, at_most=200, example="15 ft"
    )


JOIST_SPACING_M = 8 * FOOT_M / 12
"""Two tubes in each bay of joists 16 in apart; common practice, no source."""

FREEZE_MARGIN_K = 5.0
"""What antifreeze must stand beyond the coldest hour or design night [K]; common practice, no source."""


class LayoutRoom(StudyModel):
    """One room, or any part of a level that gets loops of its own."""

    name: Annotated[str, Field(title="Name", min_length=1, max_length=60)]
    area_m2: Annotated[
        float, QuantityField("area", "Heated area of this room", above=0, at_most=1e5, example="180 ft2")
    ]
    heat_loss_w: Annotated[
        float | None,
        QuantityField("power", "Design heat loss", "Its share by area by default.", above=0, at_most=1e7),
    ] = None
    distance_m: Annotated[float | None, _distance("From manifold to room")] = None
    spacing_m: Annotated[float | None, _spacing("The level's by default.")] = None
    covering_m2k_w: Annotated[float | None, _covering("The level's by default.")] = None
    zone: Annotated[Zone, Field(title="Where the loops lie")] = "occupied"
    thermostat: Annotated[
        str, Field(title="Thermostat", description="Rooms of one name share it; the level's by default.", max_length=60)
    ] = ""


class LayoutLevel(StudyModel):
    """One level: its area, or its rooms."""

    name: Annotated[str, Field(title="Name", min_length=1, max_length=60)]
    area_m2: Annotated[
        float | None,
        QuantityField("area", "Heated area of this floor", "Where no rooms are entered.", above=0, at_most=1e5),
    ] = None
    distance_m: Annotated[float, _distance("From manifold to rooms")] = 10 * FOOT_M
    mains_m: Annotated[
        float,
        QuantityField("length", "Mains from tank to manifold", "One way; zero where the tubes start at the tank.",
                 at_least=0, at_most=200, example="25 ft"),
    ] = 0.0  # fmt: skip
    rise_m: Annotated[
        float,
        QuantityField("length", "Height over the tank", "Of the floor; negative below.", at_least=-50, at_most=100,
                 example="9 ft"),
    ] = 0.0  # fmt: skip
    build_up: Annotated[
        str | None,
        OneOf(BUILD_UPS, "a known build-up"),
        Field(
            title="Floor build-up",
            description="Of this floor, where it is another than the house's. Tubes between joists 16 in apart usually lie 8 in"
            " apart; without plates they give far less than is computed here.",
        ),
    ] = None
    insulation_m2k_w: Annotated[
        float | None, QuantityField("r_value", "Insulation below", "The house's by default.", above=0, at_most=20)
    ] = None
    spacing_m: Annotated[float | None, _spacing("The layout's by default; 8 in between joists.")] = None
    covering_m2k_w: Annotated[float, _covering()] = 0.0
    loops: Annotated[
        int | None,
        Field(ge=1, le=2000, title="Number of loops", description="On this floor; by the longest loop by default."),
    ] = None
    thermostat: Annotated[str, Field(title="Thermostat", description="The level's own by default.", max_length=60)] = ""
    room: Annotated[tuple[LayoutRoom, ...], Field(title="Rooms", max_length=60)] = ()

    @model_validator(mode="after")
    def _area_or_rooms(self) -> LayoutLevel:
        if self.area_m2 is None and not self.room:
            raise fault("has no heated area", 'enter the floor\'s heated area, such as area = "1125 ft2", or its rooms')
        if self.area_m2 is not None and self.room:
            raise fault("has a heated area and rooms", "take one of the two out")
        names = [room.name for room in self.room]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise fault(f"'{twice}' names two rooms of a level", "give each room its own name")
        return self

    @property
    def rooms(self) -> tuple[LayoutRoom, ...]:
        """The rooms, or the whole level as one."""
        return self.room or (LayoutRoom.model_construct(name=self.name, area_m2=self.area_m2 or 0.0),)


class Layout(StudyModel):
    """From areas to loops: what decides how many there are, how long, and on how many pumps."""

    level: Annotated[tuple[LayoutLevel, ...], Field(title="Levels", min_length=1, max_length=20)]
    tube: Annotated[str, OneOf(TUBES, "a known tube"), Field(title="Tube", description="Nominal size.")] = "1/2 in PEX"
    longest_loop_m: Annotated[
        float | None,
        QuantityField("length", "Longest loop", "With its leads; by the tube's size by default.", above=5, at_most=500,
                 example="300 ft"),
    ] = None  # fmt: skip
    spacing_m: Annotated[float, _spacing()] = 12 * FOOT_M / 12
    mains_tube: Annotated[str, OneOf(TUBES, "a known tube"), Field(title="Mains")] = "1 in PEX"
    temperature_drop_k: Annotated[
        float,
        QuantityField("temperature_difference", "Largest temperature drop of a loop", "At design.", above=0, at_most=40,
                 example="20 degF"),
    ] = 20 / 1.8  # fmt: skip
    max_supply_c: Annotated[
        float | None,
        QuantityField("temperature", "Hottest supply to the floor", "The tank's highest by default.", at_least=25,
                 at_most=90, example="130 degF"),
    ] = None  # fmt: skip
    max_loops_per_pump: Annotated[int, Field(ge=1, le=16, title="Most loops on one pump")] = 2
    pump_speeds: Annotated[
        tuple[str, ...], Field(title="Speeds of the pumps", description="Shares of full speed.", min_length=1)
    ] = ("60 %", "80 %", "100 %")
    freeze_margin_k: Annotated[
        float,
        QuantityField("temperature_difference", "Antifreeze below the coldest hour by", at_least=0, at_most=40,
                 example="9 degF"),
    ] = FREEZE_MARGIN_K  # fmt: skip

    @model_validator(mode="after")
    def _loops_reach_their_rooms(self) -> Layout:
        names = [level.name for level in self.level]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise fault(f"'{twice}' names two levels", "give each level its own name")
        for level in self.level:
            for room in level.rooms:
                away = room.distance_m if room.distance_m is not None else level.distance_m
                if 2 * away > MOST_LEADS_SHARE * self.longest_m:
                    raise fault(
                        f"leads of {2 * away:.0f} m to {room.name} take most of a loop of {self.longest_m:.0f} m",
                        "put a manifold on that level (distance from it, mains from the tank), or use a larger tube",
                    )
        return self

    @model_validator(mode="after")
    def _loops_are_no_longer_than_any_tube(self) -> Layout:
        for level in self.level:
            tube = sum(room.area_m2 / self.spacing_of(level, room) for room in level.rooms)
            if level.loops is not None and tube / level.loops > MOST_LOOP_M:
                raise fault(
                    f"{level.loops} loops on {level.name} would be {tube / level.loops:,.0f} m long each",
                    f"such as loops = {math.ceil(tube / self.longest_m)}, or leave loops out",
                )
        return self

    def spacing_of(self, level: LayoutLevel, room: LayoutRoom) -> float:
        """Tube spacing of a room: its own, its level's, or that of all; between joists two in each bay where none is typed [m]."""
        build_up = BUILD_UPS.get(level.build_up or "")
        in_bays = isinstance(build_up, JoistBuildUp) and "spacing_m" not in self.model_fields_set
        typed = (spacing_m for spacing_m in (room.spacing_m, level.spacing_m) if spacing_m is not None)
        return next(typed, JOIST_SPACING_M if in_bays else self.spacing_m)

    @model_validator(mode="after")
    def _speeds_rise(self) -> Layout:
        speeds = self.speed_shares
        if any(b <= a for a, b in pairwise(speeds)) or speeds[-1] > 1.0:
            raise fault("pump_speeds do not rise to 100 % or less", 'such as pump_speeds = ["60 %", "80 %", "100 %"]')
        return self

    @property
    def longest_m(self) -> float:
        """Longest loop with its leads [m]."""
        return self.longest_loop_m if self.longest_loop_m is not None else USUAL_LONGEST_M[self.tube]

    @property
    def speed_shares(self) -> tuple[float, ...]:
        """Speeds of the pumps as shares."""
        speed = QuantityField("share", "Speed", at_least=0.2, at_most=1.0, example="80 %")
        return tuple(speed.read(text) for text in self.pump_speeds)
