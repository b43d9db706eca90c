"""How hot the water must be on a design day where only the kind of emitter is known."""

from __future__ import annotations

from dataclasses import dataclass

_LOW = "low of the EN 14825 applications (value from memory)"
_INTERMEDIATE = "intermediate of the EN 14825 applications (value from memory)"
_MEDIUM = "medium of the EN 14825 applications (value from memory)"
_HIGH = "high of the EN 14825 applications (value from memory)"
_PRACTICE = "common practice, no source"
RISING_AIR = 1.3
FLOOR_M3_W, COIL_M3_W, PANEL_M3_W, IRON_M3_W, FIN_M3_W = 23e-6, 8e-6, 11e-6, 14e-6, 6e-6
"""Water of a whole plant, boiler and pipes in it, for each watt of output [m³/W]: 23, 8, 11, 14 and 6 L/kW for floors, coils, steel
panels, cast iron and convectors; a water-treatment maker's sheet that was read (fernox.us, estimating water system volume)."""


@dataclass(frozen=True, slots=True)
class Emitter:
    """What gives the heat to the rooms: a typical supply temperature at the design load [°C], where that is from, its name in a sentence and on a drawing.

    `exponent` says how its heat goes with the water's excess over the room: 1 for floors and coils, 1.3 ± 0.1 for what heats by
    rising air (EN 442; a pump maker's encyclopedia, "radiator exponent"). `water_m3_w` is what the plant then usually holds [m³/W].
    """

    title: str
    supply_c: float
    source: str
    named: str = "the floor"
    short: str = ""
    exponent: float = 1.0
    water_m3_w: float = FLOOR_M3_W

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
        "radiators or convectors sized for cool water",
        55.0,
        _MEDIUM,
        "the radiators",
        "cool radiators",
        RISING_AIR,
        PANEL_M3_W,
    ),
    "radiators": Emitter("older radiators", 65.0, _HIGH, "the radiators", "radiators", RISING_AIR, IRON_M3_W),
    "baseboard": Emitter("fin-tube baseboard", 75.0, _PRACTICE, "the baseboard", "baseboard", RISING_AIR, FIN_M3_W),
    "fan_coil": Emitter("fan coil or coil in an air duct", 50.0, _PRACTICE, "the coils", "coils", 1.0, COIL_M3_W),
}
"""Kinds of emitter. With the outdoor reset the water's excess over the room falls from that at design with the load to the power of one over the exponent."""
