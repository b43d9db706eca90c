"""The house: what it loses by whichever route that is known, how warm it is kept, and what else it uses."""

from __future__ import annotations

import functools
from typing import Annotated, Any

import numpy as np
from pydantic import BeforeValidator, Field, model_validator

from costsim.physics.demand import heat_loss_rate_w_k
from costsim.physics.emitters import EMITTERS
from costsim.study.heat_loss import ROUTES, Infiltration, Room, Route, Surface, loss_of
from costsim.study.schedules import Absence, HouseZone, Setback, read_absences
from costsim.study_files import NamesFile
from costsim.units.fields import OneOf, QuantityField, StudyModel, fault
from costsim.units.quantity import parse, to_display
from costsim.words import tr

MAX_UNMET_HOURS = 20
"""Hours too cold in a year up to which an option still counts as carrying the house; common practice, no source."""

USUAL_AREA_M2 = (30.0, 20_000.0)
"""Heated floor areas that a page takes without a question; common practice, no source."""
USUAL_INDOOR = {"us": "70 degF", "si": "21 degC"}
USUAL_BALANCE_POINT = {"us": "62 degF", "si": "17 degC"}
"""Thermostat setting, and the balance point of a house kept so warm, that the five questions take where nobody types them; common
practice, no source."""


def usual_balance_point(found_at_c: float, system: str) -> str:
    """The balance point that is taken of a house at so many °C indoors: with the gains that the usual one implies.

    Examples
    --------
    >>> usual_balance_point(parse("68 degF", "temperature").value, "us"), usual_balance_point(20.0, "si")
    ('60 degF', '16 degC')
    """
    usual, indoor = (parse(texts[system], "temperature").value for texts in (USUAL_BALANCE_POINT, USUAL_INDOOR))
    shown = to_display(usual + found_at_c - indoor, "temperature", system)
    return f"{shown:.4g} {'degF' if system == 'us' else 'degC'}"


class House(StudyModel):
    """What the house loses, and how warm it is kept."""

    floor_area_m2: Annotated[
        float, QuantityField("area", "Heated floor area", above=0, at_most=1e6, usual=USUAL_AREA_M2)
    ]
    design_heat_loss_w: Annotated[
        float | None,
        QuantityField(
            "power",
            "Design heat loss",
            "At the design temperatures; from a heat-loss calculation.",
            above=0,
            at_most=1e8,
        ),
    ] = None
    heat_loss_per_area_w_m2: Annotated[
        float | None,
        QuantityField("power_per_area", "Heat loss per floor area", "A rule of thumb; weak.", above=0, at_most=1000),
    ] = None
    heat_loss_rate_w_k: Annotated[
        float | None,
        QuantityField("heat_loss_rate", "Heat loss per degree", "As fitted to bills.", above=0, at_most=1e6),
    ] = None
    heat_loss_rate_band_share: Annotated[
        float,
        QuantityField(
            "share", "How far off that may be", "Up and down, as a share.", at_least=0, at_most=1, example="8 %"
        ),
    ] = ROUTES["bills"][1]
    surface: Annotated[tuple[Surface, ...], Field(title="Surfaces of the envelope")] = ()
    infiltration: Infiltration | None = None
    room: Annotated[tuple[Room, ...], Field(title="Rooms")] = ()
    load_from: Annotated[
        str,
        Field(title="Load from", description="Which route counts; by default the most accurate one that is entered."),
    ] = ""
    indoor_temperature_c: Annotated[
        float, QuantityField("temperature", "Thermostat setting", at_least=5, at_most=30, example="70 degF")
    ]
    design_indoor_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Indoor design temperature",
            "At which heat loss and balance point were found; the thermostat setting by default.",
            at_least=5,
            at_most=30,
            example="70 degF",
        ),
    ] = None
    balance_point_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Heating starts below (balance point)",
            "Outdoor temperature above which no heat is needed.",
            at_least=-20,
            at_most=30,
            example="63 degF",
        ),
    ] = None
    gains_w: Annotated[
        float | None,
        QuantityField("small_power", "Gains", "Mean heat from people and appliances.", at_least=0, example="500 W"),
    ] = None
    emitter: Annotated[
        str,
        OneOf(EMITTERS, "a kind of emitter"),
        Field(
            title="How the heat reaches the rooms",
            description="Settles how hot the water must be on a design day, where no floor is described.",
        ),
    ] = "radiant_floor"
    design_supply_temperature_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Supply water on a design day",
            "By default that of the emitter; milder days need cooler water.",
            at_least=22,
            at_most=90,
            example="110 degF",
        ),
    ] = None
    max_unmet_hours: Annotated[
        int,
        Field(
            ge=0,
            le=8784,
            title="Unmet hours allowed in a year",
            description="Up to so many hours a year too cold an option still counts as carrying the house.",
        ),
    ] = MAX_UNMET_HOURS
    solar_aperture_m2: Annotated[
        float,
        QuantityField("area", "South glass that counts", "Effective area for solar gain.", at_least=0, example="4 m2"),
    ] = 0.0
    setback: Annotated[tuple[Setback, ...], Field(title="Set-backs")] = ()
    zone: Annotated[
        tuple[HouseZone, ...],
        Field(title="Zones", description="Parts of the house with set-points of their own.", max_length=20),
    ] = ()
    absence: Annotated[
        tuple[Absence, ...],
        Field(max_length=20),
        BeforeValidator(read_absences, json_schema_input_type=str | tuple[Absence | str, ...]),
        Field(
            title="Away for a while",
            description="Days away, at a frost set-point, as tables or in words: Dec 20 - Jan 5 at 50 degF; weekends only, 45 degF otherwise.",
        ),
    ] = ()
    other_electricity_j_year: Annotated[
        float | None,
        QuantityField(
            "energy_per_year",
            "Electricity for all but heating",
            "Lights, appliances and the like. Heating then pays only what it adds to the bill: dearer blocks, no fixed charge.",
            at_least=0,
        ),
    ] = None
    other_electricity_profile: Annotated[
        str,
        NamesFile("hourly electricity"),
        Field(
            title="Electricity for all but heating, hour by hour",
            description="CSV or Green Button XML of a year's readings, beside the study.",
        ),
    ] = ""

    @model_validator(mode="after")
    def _one_of_each(self) -> House:
        if not self.given:
            raise fault("no heat loss is given", 'give one, such as design_heat_loss = "7.6 kW"')
        if self.infiltration is not None and not self.surface:
            raise fault(
                "infiltration is given without a surface",
                "give the walls, roof, floor and windows as [[house.surface]]",
            )
        if self.load_from and self.load_from not in self.given:
            raise fault(
                f"load_from '{self.load_from}' is not among what is given", f"use one of {', '.join(self.given)}"
            )
        if (self.balance_point_c is None) == (self.gains_w is None):
            raise fault("give balance_point or gains, one and not both", 'such as balance_point = "63 degF"')
        if self.other_electricity_j_year is not None and self.other_electricity_profile:
            raise fault("other_electricity is given twice", "keep the year's total or the hours, not both")
        supply = self.design_supply_temperature_c
        if supply is not None and supply <= self.indoor_temperature_c:
            raise fault(
                "design_supply_temperature is no warmer than indoor", "give what the emitters need, such as 110 degF"
            )
        zoned = sum(zone.share(self.floor_area_m2) for zone in self.zone)
        if zoned > 1.0 + 1e-6:
            raise fault(f"the zones add up to {zoned:.0%} of the house", "lower their area or load")
        if len({zone.name for zone in self.zone}) < len(self.zone):
            raise fault("two zones have one name", "give each zone its own name")
        if self.balance_point_c is not None and self.balance_point_c > self.found_at_c:
            raise fault(
                "balance_point is warmer than indoor",
                "the house needs no heat above its own temperature; lower balance_point",
            )
        return self

    @property
    def given(self) -> tuple[str, ...]:
        """Keys of the routes that are given, from weak to strong."""
        known = {
            "area": self.heat_loss_per_area_w_m2,
            "entered": self.design_heat_loss_w,
            "envelope": self.surface or None,
            "rooms": self.room or None,
            "bills": self.heat_loss_rate_w_k,
        }
        return tuple(key for key in ROUTES if known[key] is not None)

    @property
    def varies(self) -> bool:
        """Whether the set-point may differ from hour to hour, or from the house's own."""
        return bool(self.setback or self.zone or self.absence)

    @property
    def found_at_c(self) -> Any:
        """Indoor temperature [°C] at which heat loss and balance point were found, of one house or many."""
        return self.indoor_temperature_c if self.design_indoor_c is None else self.design_indoor_c

    @property
    def warmest_c(self) -> Any:
        """Highest set-point of any hour and zone [°C], of one house or many."""
        zones = [zone.indoor_temperature_c for zone in self.zone if zone.indoor_temperature_c is not None]
        backs = [
            setback.indoor_temperature_c
            for setback in (*self.setback, *(b for zone in self.zone for b in zone.setback))
        ]
        return functools.reduce(np.maximum, [*zones, *backs], self.indoor_temperature_c)

    @property
    def route_used(self) -> str:
        """Key of the route that counts: as typed, else the strongest."""
        return self.load_from or self.given[-1]

    @property
    def load_band_share(self) -> float:
        """Uncertainty band of the design load."""
        key = self.route_used
        return self.heat_loss_rate_band_share if key == "bills" else ROUTES[key][1]

    def route(self, key: str, outdoor_c: float, altitude_m: float) -> Route:
        """The design load by one route that is given, at the thermostat setting, an outdoor design temperature [°C] and an altitude [m].

        Figures may be arrays.

        Raises
        ------
        ValueError
            The outdoor design temperature is not below the one at which a heat loss was found.
        """
        difference = self.indoor_temperature_c - outdoor_c
        load: Any
        if key in ("area", "entered"):
            rule = self.heat_loss_per_area_w_m2, self.floor_area_m2
            load = _known(self.design_heat_loss_w) if key == "entered" else _known(rule[0]) * rule[1]
            if self.design_indoor_c is not None:
                loss = heat_loss_rate_w_k(
                    design_loss_w=load, indoor_temperature_c=self.design_indoor_c, outdoor_c=outdoor_c
                )
                load = loss * difference
        elif key == "envelope":
            load = loss_of(self.surface, self.infiltration, altitude_m) * difference
        elif key == "rooms":
            load = sum(room.load_w(self.indoor_temperature_c, outdoor_c, altitude_m) for room in self.room)
        else:
            load = _known(self.heat_loss_rate_w_k) * difference
        band = self.heat_loss_rate_band_share if key == "bills" else ROUTES[key][1]
        return Route(key, tr(ROUTES[key][0]), load, band)

    def routes(self, outdoor_c: float, altitude_m: float) -> tuple[Route, ...]:
        """Every route that is given, from weak to strong."""
        return tuple(self.route(key, outdoor_c, altitude_m) for key in self.given)


def _known(value: Any) -> Any:
    """A figure that a route rests on, 0 where it is not given."""
    return 0.0 if value is None else value


def keep_found(house: dict[str, Any]) -> None:
    """Before another thermostat setting is put in: what was found of the house stays with the setting that it was found at.

    Parameters
    ----------
    house : dict
        The table ``house`` as typed.
    """
    if "indoor_temperature" in house:
        house.setdefault("design_indoor", house["indoor_temperature"])
