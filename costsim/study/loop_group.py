"""A group of like loops as people type it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from costsim.physics.hydraulics import TUBES
from costsim.study.build_ups import BUILD_UPS
from costsim.units.fields import OneOf, QuantityField, StudyModel, fault


class Loops(StudyModel):
    """A group of like loops."""

    name: Annotated[
        str, Field(title="Name", description="By which a zone names them, such as Upstairs: Bath.", max_length=4000)
    ] = ""
    count: Annotated[int, Field(ge=1, le=10_000, title="Loops")]
    length_m: Annotated[float, QuantityField("length", "Length of a loop", above=0, at_most=500, example="300 ft")]
    tube: Annotated[str, OneOf(TUBES, "a known tube"), Field(title="Tube", description="Nominal size.")] = "1/2 in PEX"
    spacing_m: Annotated[
        float, QuantityField("small_length", "Tube spacing", at_least=0.03, at_most=1.0, example="12 in")
    ] = 0.3
    covering_m2k_w: Annotated[
        float,
        QuantityField("r_value", "Floor covering resistance", at_least=0, at_most=1.0, example="0.6 h ft2 degF/Btu"),
    ] = 0.0
    flow_m3_s: Annotated[
        float | None,
        QuantityField(
            "flow",
            "Flow of a loop",
            "Constant flow; leave it out to let the pump decide.",
            above=0,
            at_most=0.01,
            example="0.6 gpm",
        ),
    ] = None
    zone: Annotated[Literal["occupied", "perimeter", "bathroom"], Field(title="Where the loops lie")] = "occupied"
    build_up: Annotated[
        str | None,
        OneOf(BUILD_UPS, "a known build-up"),
        Field(title="Floor build-up", description="Over these loops, where it is another than the house's."),
    ] = None
    insulation_m2k_w: Annotated[
        float | None, QuantityField("r_value", "Insulation below", "The house's by default.", above=0, at_most=20)
    ] = None
    leads_m: Annotated[
        float,
        QuantityField(
            "length",
            "Leads",
            "Part of the length between manifold and room, which heats no floor of its own.",
            at_least=0,
            at_most=400,
            example="20 ft",
        ),
    ] = 0.0
    loops_per_pump: Annotated[
        int | None, Field(ge=1, le=16, title="Loops on each pump", description="The pump's own by default.")
    ] = None
    pump_speed_share: Annotated[
        float | None,
        QuantityField("share", "Speed of its pumps", "The pump's own by default.", at_least=0.2, at_most=1.0),
    ] = None
    lift_pa: Annotated[
        float | None,
        QuantityField(
            "head", "Further resistance of these loops", "Mains and valves; the pump's by default.", at_least=0
        ),
    ] = None
    load_share: Annotated[
        float | None,
        QuantityField(
            "share",
            "Share of the heat",
            "Of the floor's design heat loss, for all loops of this line: the water is then hot enough for the line that needs it"
            " hottest. Without it all loops together give the heat.",
            at_least=0,
            at_most=2,
            example="25 %",
        ),
    ] = None

    @model_validator(mode="after")
    def _leads_are_part_of_the_length(self) -> Loops:
        if self.leads_m >= self.length_m:
            raise fault(
                "leads are as long as the loop", 'length holds the leads: such as length = "300 ft", leads = "20 ft"'
            )
        return self

    @property
    def heated_length_m(self) -> float:
        """What lies in the floor it heats [m]."""
        return self.length_m - self.leads_m

    @property
    def area_m2(self) -> float:
        """Floor that one loop heats [m²]."""
        return self.heated_length_m * self.spacing_m
