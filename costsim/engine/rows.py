"""Names of the rows of the kernel's arrays, so that lowering, kernel and reference agree."""

from __future__ import annotations

from typing import Final

# Scalars of the plant, in the order of `Plant.scalars`.
TANK_KEEP: Final = 0  # share of the tank's excess temperature left after an hour without heat
TANK_RISE: Final = 1  # kelvin at the hour's end for each watt of net heat
LOSS_STATE: Final = 2  # watt of loss for each kelvin of excess at the hour's start
LOSS_NET: Final = 3  # watt of loss for each watt of net heat
WATER_RESISTANCE: Final = 4  # kelvin between tank and what it heats (room, or slab with mass), for each watt
TANK_TOP: Final = 5  # highest tank temperature, °C
TANK_START: Final = 6  # °C
WITH_MASS: Final = 7  # 1 with slab and room, 0 without
SLAB_SLAB: Final = 8  # the next four: what slab and room keep of themselves and of each other
SLAB_ROOM: Final = 9
ROOM_SLAB: Final = 10
ROOM_ROOM: Final = 11
SLAB_HEAT: Final = 12  # kelvin at the hour's end for each watt into the slab
ROOM_HEAT: Final = 13
ROOM_GAIN: Final = 14  # kelvin of room and slab for each watt of gains
SLAB_GAIN: Final = 15
SLAB_FEEDBACK: Final = 16  # kelvin of slab for each kelvin the room is below its set-point
FLOOR_RESISTANCE: Final = 17  # kelvin of slab above room for each watt of demand
ROOM_CEILING: Final = 18  # °C, above which slabs are not charged ahead and windows are opened
PUMP_POWER: Final = 19  # electricity of the floor's pumps while heat is delivered, W
SCALARS: Final = 20

# Hourly rows of the plant, in the order of `Plant.hours`.
DEMAND: Final = 0  # heat wanted from the floor, W, never more than the floor can give
ROOM: Final = 1  # room set-point, °C
FLOOR_LIMIT: Final = 2  # most the floor can give, W
GAINS: Final = 3  # W, used with mass
SLAB_WEATHER: Final = 4  # kelvin that outdoor and ground temperature add to the slab over the hour
ROOM_WEATHER: Final = 5
PRECHARGE: Final = 6  # kelvin by which the slab is charged ahead
COLD_BELOW: Final = 7  # with mass, heat not delivered counts as short only while the room is colder than this, °C
HOURS: Final = 8

# Hourly rows of each source.
CAPACITY: Final = 0  # W, at 0 °C tank temperature where the slope is not zero
TARGET: Final = 1  # tank temperature it may store up to, °C; the floor's need where that is higher
CHARGE: Final = 2  # fuel heat loaded in this hour if the fire is lit, J
AHEAD: Final = 3  # demand during the burn that starts now, J
SOURCE_HOURS: Final = 4

# Scalars of each source.
SLOPE: Final = 0  # W of capacity lost for each °C of tank temperature (solar)
MUST_RUN: Final = 1  # 1 when it gives what it has, wanted or not
BURN_POWER: Final = 2  # W of a lit charge; 0 for sources without charges
SOURCE_SCALARS: Final = 3

# Rows of the result.
DELIVERED: Final = 0
SHORT: Final = 1
TANK: Final = 2  # °C at the hour's end
TANK_LOSS: Final = 3  # W, mean over the hour
CALL: Final = 4  # heat asked of the tank, W
SLAB_T: Final = 5
ROOM_T: Final = 6
VENTED: Final = 7  # kelvin of room temperature let out by opened windows
BEYOND: Final = 8  # part of the call that the floor cannot take even from the hottest tank, W
RESULTS: Final = 9

HOUR_S: Final = 3600.0
WANTED_SHARE: Final = (
    0.5  # a fire is lit when at least this share of its charge will find a place; common practice, no source
)

# What a batch needs to know of each source besides, for its bills.
MIN_FIRE: Final = 3
DEGRADATION: Final = 4
STANDBY: Final = 5
AUX_SHARE: Final = 6
AUX_W: Final = 7
ELECTRIC: Final = 8  # 1 when its input is electricity
BILLED_SCALARS: Final = 9

# Sums of a batch, one row a scenario; heat of each source follows [J].
SUM_DEMAND: Final = 0  # J
SUM_DELIVERED: Final = 1
SUM_SHORT: Final = 2
SHORT_HOURS: Final = 3
WORST_SHORT: Final = 4  # W
SUM_PUMP_HOURS: Final = 5
LOWEST_ROOM: Final = 6  # °C
SUMS: Final = 7
ROUNDING_W: Final = 0.5

# Kinds of source, as the kernel tells them apart; those that cycle lose more below their smallest fire.
FIRE: Final = 1
SUN: Final = 2
TOLD: Final = 3
CYCLING: Final = 4
SLOTS: Final = 3

# What a lane (one scenario of a block) has for itself, in the order of `lanes`.
LOSS: Final = 0  # loss per kelvin, W/K; zero takes the demand from the hours
SHIFT: Final = 1  # of the balance point, K
LIMIT: Final = 2  # most the floor can give, W
KEEP: Final = 3
RISE: Final = 4
PER_RISE: Final = 5  # one over it
WATER: Final = 6  # resistance between tank and what it heats
PER_WATER: Final = 7  # one over it, 0 where it is 0
PER_BOTH: Final = 8  # one over resistance and rise
TOP: Final = 9
START: Final = 10
PUMP: Final = 11
STEPS: Final = 12  # weight of its electricity in the sum of all, in steps for each watt
STATE_LOSS: Final = 13
NET_LOSS: Final = 14
MASS: Final = 15  # SLAB_SLAB to ROOM_CEILING of the plant, in their order
PER_SLAB_HEAT: Final = 26
INDOOR: Final = 27  # added to the set-point of the hours, °C
OWN: Final = 28  # LANE_SCALARS of each source, by source
DAMPED: Final = 9  # of them, after the BILLED_SCALARS: one over 1 + slope × rise
DAMPED_WATER: Final = 10  # one over resistance × (1 + slope × rise) + rise
PER_LEAST: Final = 11  # one over the smallest fire
FACTOR: Final = 12  # one over the factor on heat per input
LANE_SCALARS: Final = 13
LANES: Final = 67

# What a block carries from hour to hour, and the scalars of the sources in the order in which they give.
TANK_C: Final = 67
SLAB_C: Final = 68
ROOM_C: Final = 69
FUEL: Final = 70  # by slot, J
WANTED: Final = 73  # sums of a piece, W
GIVEN: Final = 74
MISSING: Final = 75
HOURS_SHORT: Final = 76
WORST: Final = 77
RUNNING: Final = 78
LOWEST: Final = 79
HEAT: Final = 80  # by slot
USED: Final = 83  # by slot, and of pumps and fans
NOW: Final = 87  # of the hour, by slot, and of pumps and fans
SLOT: Final = 91  # LANE_SCALARS of each source, by slot
HOUR: Final = 130  # hourly rows where lanes have their own: HOURS of the house, DEGREES, then SOURCE_ROWS by slot
DEGREES: Final = 8
SOURCE_ROWS: Final = 5  # SOURCE_HOURS, then one over heat per input
PER_HEAT: Final = 4
SOURCES: Final = 9
WORK: Final = 154
