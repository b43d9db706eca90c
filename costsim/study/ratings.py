"""What the parts stand, as their plates say, what a case asks of them, and the pressures and volumes that follow from both.

Pressures are gauge pressures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from pydantic import model_validator

from costsim.physics.expansion import en_vessel_m3, us_tank_m3
from costsim.units.fields import QuantityField, StudyModel, fault
from costsim.units.table import PSI_PA

GRAVITY_M_S2 = 9.80665
TOP_MARGIN_PA = 30e3
"""Pressure kept at the highest point over plain height: 0.3 bar, seen in a stove maker's manual."""
USUAL_RELIEF_PA, USUAL_FILL_PA = 30.0 * PSI_PA, 12.0 * PSI_PA
"""Of small sealed circuits; common practice, no source."""


def _pressure(title: str, example: str = "100 psi") -> QuantityField:
    return QuantityField("pressure", title, "Gauge pressure.", above=0, at_most=5e6, example=example)


def _temperature(title: str) -> QuantityField:
    return QuantityField(
        "temperature", title, "As its plate or data sheet says.", at_least=20, at_most=300, example="180 degF"
    )


class Ratings(StudyModel):
    """What plates and data sheets say of the parts; leave out what is not known."""

    tube_pressure_pa: Annotated[float | None, _pressure("Tube: highest pressure")] = None
    tube_temperature_c: Annotated[float | None, _temperature("Tube: highest temperature")] = None
    tank_pressure_pa: Annotated[float | None, _pressure("Tank: highest pressure")] = None
    tank_temperature_c: Annotated[float | None, _temperature("Tank: highest temperature")] = None
    pump_pressure_pa: Annotated[float | None, _pressure("Pump: highest pressure")] = None
    pump_temperature_c: Annotated[float | None, _temperature("Pump: highest temperature")] = None
    vessel_pressure_pa: Annotated[float | None, _pressure("Expansion tank: highest pressure")] = None
    vessel_temperature_c: Annotated[float | None, _temperature("Expansion tank: highest temperature")] = None
    vessel_volume_m3: Annotated[
        float | None, QuantityField("volume", "Expansion tank: volume", above=0, at_most=100, example="8 gal")
    ] = None
    relief_pressure_pa: Annotated[float | None, _pressure("Relief valve: set pressure", "30 psi")] = None
    relief_temperature_c: Annotated[float | None, _temperature("Relief valve: highest temperature")] = None
    relief_discharge_w: Annotated[
        float | None,
        QuantityField(
            "power", "Relief valve: discharge", "Heat it can blow off.", above=0, at_most=1e9, example="500 kBtu/h"
        ),
    ] = None
    fill_pressure_pa: Annotated[float | None, _pressure("Fill pressure, cold", "12 psi")] = None
    height_m: Annotated[
        float | None,
        QuantityField("length", "Highest water above the gauge", at_least=0, at_most=100, example="10 ft"),
    ] = None
    tank_headspace_m3: Annotated[
        float | None,
        QuantityField("volume", "Open tank: room over the cold water", "Below its overflow.", above=0, at_most=100),
    ] = None
    extra_water_volume_m3: Annotated[
        float,
        QuantityField(
            "volume",
            "Water in units and mains",
            "Boiler, radiators or baseboards, and mains: all beside tank and tubes. Their sheets say it.",
            at_least=0,
            example="20 gal",
        ),
    ] = 0.0

    @model_validator(mode="after")
    def _fill_below_relief(self) -> Ratings:
        fill, relief = self.fill_pressure_pa, self.relief_pressure_pa
        if fill is not None and relief is not None and fill >= relief:
            raise fault(
                "fill_pressure is not below relief_pressure",
                'such as fill_pressure = "12 psi", relief_pressure = "30 psi"',
            )
        return self


@dataclass(frozen=True, slots=True)
class Needs:
    """What a case asks of its parts.

    Parameters
    ----------
    max_temperature_c, coldest_c, freeze_c : float
        Highest tank temperature, coldest hour of the weather, freezing point of what circulates [°C].
    antifreeze, floor, tank : bool
        Whether there is any; without a floor no tube is known, without a tank no tank is.
    source_w : float
        Rated heat of all sources of the option together, of the largest where no option is named, fires left out [W].
    content_m3 : float
        What tank and tubes hold [m³].
    swell_share : float
        How much it grows from cold to the highest temperature.
    density_kg_m3 : float
        Cold [kg/m³].
    open_circuit : bool
        The tank is vented; nothing is under pressure but by height and pumps.
    pump_head_pa : float
        Highest head of a pump, at no flow [Pa].
    boiling_c : float
        Where plain water boils at the site's altitude [°C].
    rise_m : float
        How high the highest level of the layout lies over the tank [m]; 0 where none does.
    fires : str
        Names of fires that burn on once lit: they peak above the mean of a charge, and their plate alone tells what relief must take.
    uncounted_m3 : float or None
        What is put on for boilers, emitters and mains where the study does not say what they hold [m³]; None where that cannot be told.
    """

    max_temperature_c: float
    coldest_c: float
    freeze_c: float
    antifreeze: bool
    floor: bool
    tank: bool
    source_w: float
    content_m3: float
    swell_share: float
    density_kg_m3: float
    open_circuit: bool = False
    pump_head_pa: float = 0.0
    boiling_c: float = 100.0
    rise_m: float = 0.0
    fires: str = ""
    uncounted_m3: float | None = 0.0


def least_fill_pa(*, height_m: float, density_kg_m3: float) -> float:
    """Cold pressure that keeps the highest point under pressure [Pa], gauge.

    Examples
    --------
    >>> round(least_fill_pa(height_m=10.0, density_kg_m3=1000.0))
    128066
    """
    return density_kg_m3 * GRAVITY_M_S2 * height_m + TOP_MARGIN_PA


def height_of(ratings: Ratings, needs: Needs) -> float | None:
    """How high the water stands over the gauge [m]: as typed, else as high as the layout's highest level lies over the tank; None where neither tells."""
    return ratings.height_m if ratings.height_m is not None else needs.rise_m or None


def cold_fill_pa(ratings: Ratings, needs: Needs) -> float:
    """Cold fill pressure as typed, else the usual one, or what the height of the water asks for where that is more [Pa], gauge."""
    if ratings.fill_pressure_pa is not None:
        return ratings.fill_pressure_pa
    height_m = height_of(ratings, needs) or 0.0
    return max(USUAL_FILL_PA, least_fill_pa(height_m=height_m, density_kg_m3=needs.density_kg_m3))


def relief_pa(ratings: Ratings) -> float:
    """What the relief valve is set to, as typed, else as usual [Pa], gauge."""
    return ratings.relief_pressure_pa or USUAL_RELIEF_PA


def water_m3(ratings: Ratings, needs: Needs) -> float:
    """All that the circuit is known to hold [m³]."""
    return needs.content_m3 + ratings.extra_water_volume_m3


def swelling_m3(ratings: Ratings, needs: Needs) -> float | None:
    """All that the circuit is known or taken to hold [m³]; None where that cannot be told."""
    put_on = 0.0 if ratings.extra_water_volume_m3 > 0 else needs.uncounted_m3
    return None if put_on is None else (water_m3(ratings, needs) + put_on or None)


def open_room_m3(ratings: Ratings, needs: Needs) -> float:
    """What the water of an open circuit grows by [m³]."""
    return water_m3(ratings, needs) * needs.swell_share


def vessel_m3(ratings: Ratings, needs: Needs) -> float | None:
    """Expansion tank by EN 12828 [m³]; None where the water is not known, or the pressures leave it no room."""
    return _tank_m3(en_vessel_m3, ratings, needs)


def handbook_vessel_m3(ratings: Ratings, needs: Needs) -> float | None:
    """The same by the ASHRAE Handbook, which asks for less; to be named beside it."""
    return _tank_m3(us_tank_m3, ratings, needs)


def _tank_m3(rule: Callable[..., float | None], ratings: Ratings, needs: Needs) -> float | None:
    content = swelling_m3(ratings, needs)
    if content is None:
        return None
    return rule(
        content_m3=content,
        swell_share=needs.swell_share,
        fill_pa=cold_fill_pa(ratings, needs),
        relief_pa=relief_pa(ratings),
    )
