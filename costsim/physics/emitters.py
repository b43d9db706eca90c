"""How hot the water must be on a design day where only the kind of emitter is known."""

from __future__ import annotations

from dataclasses import dataclass

_LOW = "low of the EN 14825 applications (low 35, intermediate 45, medium 55, high 65 °C: values from memory)"
_INTERMEDIATE = (
    "intermediate of the EN 14825 applications (low 35, intermediate 45, medium 55, high 65 °C: values from memory)"
)
_MEDIUM = "medium of the EN 14825 applications (low 35, intermediate 45, medium 55, high 65 °C: values from memory)"
_HIGH = "high of the EN 14825 applications (low 35, intermediate 45, medium 55, high 65 °C: values from memory)"
_PRACTICE = "common practice, no source"
RISING_AIR = 1.3


@dataclass(frozen=True, slots=True)
class Emitter:
    """What gives the heat to the rooms: a typical supply temperature at the design load [°C], where that is from, its name in a sentence and on a drawing.

    `exponent` says how its heat goes with the water's excess over the room: 1 for floors and coils, 1.3 ± 0.1 for what heats by
    rising air (EN 442; a pump maker's encyclopedia, "radiator exponent").
    """

    title: str
    supply_c: float
    source: str
    named: str = "the floor"
    short: str = ""
    exponent: float = 1.0

    @property
    def floor(self) -> bool:
        """Whether it is a heated floor, whose surface has a limit."""
        return self.named == "the floor"


EMITTERS = {
    "radiant_floor": Emitter("a radiant floor, its covering not entered", 45.0, _INTERMEDIATE, short="radiant floor"),
    "radiant_floor_tile": Emitter(
        "radiant floor under tile, stone or bare concrete", 35.0, _LOW, short="floor under tile"
    ),
    "radiant_floor_wood": Emitter("radiant floor under wood", 42.0, _PRACTICE, short="floor under wood"),
    "radiant_floor_carpet": Emitter("radiant floor under carpet", 48.0, _PRACTICE, short="floor under carpet"),
    "radiant_floor_dry": Emitter("dry floor with plates", 48.0, _PRACTICE, short="dry floor"),
    "radiant_floor_joists": Emitter(
        "tubes between joists without a slab", 55.0, _PRACTICE, short="tubes between joists"
    ),
    "low_temperature_radiators": Emitter(
        "radiators or convectors sized for cool water", 55.0, _MEDIUM, "the radiators", "cool radiators", RISING_AIR
    ),
    "radiators": Emitter("older radiators", 65.0, _HIGH, "the radiators", "radiators", RISING_AIR),
    "baseboard": Emitter("fin-tube baseboard", 75.0, _PRACTICE, "the baseboard", "baseboard", RISING_AIR),
    "fan_coil": Emitter("fan coil or coil in an air duct", 50.0, _PRACTICE, "the coils", short="coils"),
}
"""Kinds of emitter. With the outdoor reset the water's excess over the room falls from that at design with the load to the power of one over the exponent."""
