"""The layout of the kernel's arrays, declared once: each family lists its rows, and places follow from the list.

Lowering, kernel, blocks and the tests' reference all read it from here. A new row is one line in its family; the last
name of a family is how many rows it has.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from costsim.physics.demand import ROUNDING_W as ROUNDING_W

HOUR_S: Final = 3600.0
COLD_K: Final = 1.0
"""With mass a room is cold when it is so much below its set-point; common practice, no source."""
WANTED_SHARE: Final = 0.5
"""Least share of its smallest charge that must find a place where a fire is needed before the next one; common practice, no source."""
OUTSIDE_W: Final = -1e12
"""Stands on a meter in hours that its charge does not see."""
NOT_KEPT_C: Final = -60.0
"""Temperature that uses want in hours in which the tank is kept hot for none of them: colder than any room."""
SMALL: Final = 1e-9
"""Where two things that should be equal are told apart."""
ANY: Final = -1
"""In the place of a kind or flag of a form: left to the call."""
SLOTS: Final = 3
"""Most sources of one plant."""
FIRST, SECOND, THIRD = (np.int64(slot) for slot in range(SLOTS))
"""The slots by name. A plain number would be a type of its own for the compiler, which would make what takes it three times."""
WIDTH: Final = 16
"""Lanes of a block: from a row of the work array to the next."""

# Kinds of source, as the kernel tells them apart; those that cycle lose more below their smallest fire.
BATCH_FIRED, SOLAR, DISPATCHABLE, CYCLING = range(1, 5)

# Scalars of the plant, in the order of `LoweredOption.scalars`.
(
    TANK_KEEP,  # share of the tank's excess temperature left after an hour without heat
    TANK_RISE,  # kelvin at the hour's end for each watt of net heat
    LOSS_STATE,  # watt of loss for each kelvin of excess at the hour's start
    LOSS_NET,  # watt of loss for each watt of net heat
    WATER_RESISTANCE,  # kelvin between tank and what it heats (room, or slab with mass), for each watt
    TANK_TOP,  # highest tank temperature, °C
    TANK_START,  # °C
    WITH_MASS,  # 1 with slab and room, 0 without
    SLAB_SLAB,  # the next four: what slab and room keep of themselves and of each other
    SLAB_ROOM,
    ROOM_SLAB,
    ROOM_ROOM,
    SLAB_HEAT,  # kelvin at the hour's end for each watt into the slab
    ROOM_HEAT,
    ROOM_GAIN,  # kelvin of room and slab for each watt of gains
    SLAB_GAIN,
    SLAB_FEEDBACK,  # kelvin of slab for each kelvin the room is below its set-point
    FLOOR_RESISTANCE,  # kelvin of slab above room for each watt of demand
    ROOM_CEILING,  # °C, above which slabs are not charged ahead and windows are opened
    HOUSE_LOSS,  # W/K, by which a room that is too cold lacks heat
    PUMP_POWER,  # electricity of the floor's pumps while its thermostats call, W
    WATER_DROP,  # kelvin the floor's water cools by for each watt it gives
    ZONES_KEPT,  # share of the difference between the tank's zones that an hour of rest keeps; 0 for a mixed tank
    KEPT_HOT,  # share of a stratified tank that is kept hot for the uses
    SCALARS,
) = range(25)
MASS_SCALARS: Final = slice(SLAB_SLAB, HOUSE_LOSS + 1)

# Hourly rows of the plant, in the order of `LoweredOption.hours`.
(
    DEMAND,  # heat the house wants at its set-point, W
    ROOM,  # room set-point, °C
    FLOOR_LIMIT,  # most the floor can give, W
    GAINS,  # W, used with mass
    SLAB_WEATHER,  # kelvin that outdoor and ground temperature add to the slab over the hour
    ROOM_WEATHER,
    PRECHARGE,  # kelvin by which the slab is charged ahead
    COLD_BELOW,  # with mass, load is unmet only while the room is colder than this, °C
    USE,  # heat that hot water and other uses of the tank want, W
    USE_NEED,  # tank temperature that they want, °C; `NOT_KEPT_C` where none is kept for them
    USE_COLD,  # temperature of what returns from them, °C
    HOURS,
) = range(12)
# The hourly rows that a lane can have for itself: those of the house, the degrees above outdoors, and those of each source.
DEGREES: Final = HOURS
SOURCES: Final = HOURS + 1

# Hourly rows of each source.
(
    CAPACITY,  # W, at 0 °C tank temperature where the slope is not zero
    TARGET,  # tank temperature it may store up to, °C; the floor's need where that is higher
    CHARGE,  # fuel heat of a full charge that may be loaded in this hour, J
    AHEAD,  # demand while a full charge burns that is loaded now, J
    UNTIL,  # demand until a charge may be loaded again, J
    SOURCE_HOURS,
) = range(6)
PER_HEAT: Final = SOURCE_HOURS  # input for each watt of heat, of lanes with rows of their own
SOURCE_ROWS: Final = SOURCE_HOURS + 1

# Scalars of each source, and what a block derives of them.
(
    SLOPE,  # W of capacity lost for each °C of tank temperature (solar)
    MUST_RUN,  # 1 when it gives what it has, wanted or not
    BURN_POWER,  # W of a lit charge; 0 for sources without charges
    MIN_FIRE,
    DEGRADATION,
    STANDBY,
    AUX_SHARE,
    AUX_W,
    ELECTRIC,  # 1 when its input is electricity
    LEAST_CHARGE,  # smallest charge, as a share of a full one
    DAMPED,  # one over 1 + slope × rise
    DAMPED_WATER,  # one over resistance × (1 + slope × rise) + rise
    PER_LEAST,  # one over the smallest fire
    FACTOR,  # one over the factor on heat per input
    LANE_SCALARS,
) = range(15)
BILLED_SCALARS: Final = DAMPED

# Rows of the result.
(
    DELIVERED,
    SHORT,  # unmet load, W
    TANK,  # °C at the hour's end
    TANK_LOSS,  # W, mean over the hour
    CALL,  # heat asked of the tank: the demand, or with mass what the controller asks for, W
    SLAB_T,
    ROOM_T,
    VENTED,  # kelvin of room temperature let out by opened windows
    BEYOND,  # part of the call that the floor cannot take even from the hottest tank, W
    HOT_T,  # the tank's zones, °C; both its temperature where it is mixed
    COLD_T,
    HOT_PART,  # share of the tank that is hot
    USE_GIVEN,  # heat that the uses got, W
    DUTY,  # share of the hour in which the floor's thermostats call, so that its pumps run
    RESULTS,
) = range(15)

# Sums of a batch, one row a scenario; heat of each source follows [J].
(
    SUM_DEMAND,  # J
    SUM_DELIVERED,
    SUM_SHORT,
    SUM_USE,  # what the uses wanted, and what they lacked
    SUM_USE_SHORT,
    SHORT_HOURS,
    WORST_SHORT,  # W
    LOWEST_ROOM,  # °C
    SUMS,
) = range(9)

# What a lane (one scenario of a block) has for itself, in the order of `lanes`.
(
    LOSS,  # loss per kelvin, W/K; zero takes the demand from the hours
    SHIFT,  # of the balance point, K
    LIMIT,  # most the floor can give, W
    KEEP,
    RISE,
    PER_RISE,  # one over it
    WATER,  # resistance between tank and what it heats
    PER_WATER,  # one over it, 0 where it is 0
    PER_BOTH,  # one over resistance and rise
    TOP,
    START,
    PUMP,
    STEPS,  # weight of its electricity in the sum of all, in steps for each watt
    STATE_LOSS,
    NET_LOSS,
    PER_SLAB_HEAT,
    INDOOR,  # added to the set-point of the hours, °C
    DROP,
    PER_DROP,  # one over it, 0 where it is 0
    STRATA,
    HELD,
    OTHER,  # on what else is on the meters
    MASS,  # MASS_SCALARS of the plant, in their order
) = range(23)
OWN: Final = MASS + HOUSE_LOSS - SLAB_SLAB + 1  # LANE_SCALARS of each source, by source
LANES: Final = OWN + SLOTS * LANE_SCALARS

# What a block carries from hour to hour after its lanes' rows, and the scalars of the sources in the order in which they give.
(
    TANK_C,
    SLAB_C,
    ROOM_C,
    WANTED,  # sums of a piece, W
    GIVEN,
    MISSING,
    USE_WANTED,
    USE_MISSING,
    HOURS_SHORT,
    WORST,
    RUNNING,
    LOWEST,
    HOT_C,  # the tank's zones
    COLD_C,
    HOT,  # share of the tank that is hot
    KEPT,  # what own generation covers, W
    STEPPED,  # electricity of the hour in whole steps of the sum of all lanes
    FUEL,  # by slot, J
) = range(LANES, LANES + 18)
HEAT: Final = FUEL + SLOTS  # by slot
USED: Final = HEAT + SLOTS  # by slot
DUMPED: Final = USED + SLOTS  # by slot, of fires and collectors
AUXILIARY: Final = DUMPED + SLOTS  # of pumps and fans
NOW: Final = AUXILIARY + 1  # input of the hour, by slot, standby with it
NOW_0, NOW_1, NOW_2, AUXILIARY_NOW = range(NOW, NOW + SLOTS + 1)
SLOT: Final = NOW + SLOTS + 1  # LANE_SCALARS of each source, by slot
HOUR: Final = SLOT + SLOTS * LANE_SCALARS  # hourly rows where lanes have their own: house, DEGREES, SOURCE_ROWS by slot
WORK: Final = HOUR + SOURCES + SLOTS * SOURCE_ROWS

# What a lane of a stratified tank passes from one step of an hour to the next.
(
    CALLS,  # heat asked of the tank, where it goes and the most the floor takes
    SINKS,
    MOST,
    FREE,  # what finds a place beside what burns
    BURNT,  # heat of all fires
    READY,  # what fires and storing sources give to what is drawn, and what the others could
    OTHERS,
    TAPPED,  # what the uses got, what of it came by what runs, and what fires and storing sources gave them
    TAPPED_LIFTED,
    TAPPED_FIRED,
    COULD,  # what could come through the water of the zone on top, what is drawn of it, and how warm it returns
    DRAWS,
    BACK,
    DRAWN,  # what it got: from the tank, by what runs; and the share of the hour that takes
    LIFTED,
    PUMPED,
    STORED,  # what is left to be stored, that by the temperature it is stored at, and what of it keeps the top hot for the uses
    GOALS,
    HOLDS,
    BURNS,  # by slot: heat of a fire, what burns, fuel left
) = range(WORK, WORK + 20)
COULD_BURN: Final = BURNS + SLOTS
LEFT_TO_BURN: Final = COULD_BURN + SLOTS
SHINES: Final = LEFT_TO_BURN + SLOTS  # heat of the sun, and what it could
COULD_SHINE: Final = SHINES + SLOTS
BEGINS: Final = COULD_SHINE + SLOTS  # what a storing source gives anyhow
SERVES: Final = BEGINS + SLOTS  # what a source that is told gives to what is drawn, and to the store
STORES: Final = SERVES + SLOTS
LAYERED_WORK: Final = STORES + SLOTS
"""Rows of the work array where the tank is stratified."""
