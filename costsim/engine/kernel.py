"""The hour-by-hour balance, compiled. It knows arrays, never kinds of heat source.

One fully mixed tank serves the floor. In every hour the sources give, in order, what is still missing to hold the tank
at the temperature the floor needs, or at the higher temperature a storing source is allowed to reach. What cannot be
used is dumped. With mass, slab and room carry over from hour to hour.

Rows of the work arrays are named once here, so that lowering, kernel and reference agree.
"""

from __future__ import annotations

from typing import Final

import numba
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

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
SCALARS: Final = 19

# Hourly rows of the plant, in the order of `Plant.hours`.
DEMAND: Final = 0  # heat wanted from the floor, W, never more than the floor can give
ROOM: Final = 1  # room set-point, °C
FLOOR_LIMIT: Final = 2  # most the floor can give, W
GAINS: Final = 3  # W, used with mass
SLAB_WEATHER: Final = 4  # kelvin that outdoor and ground temperature add to the slab over the hour
ROOM_WEATHER: Final = 5
PRECHARGE: Final = 6  # kelvin by which the slab is charged ahead
HOURS: Final = 7

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


@numba.njit(cache=True, nogil=True, error_model="numpy")
def dispatch(
    scalars: Floats,
    hours: Floats,
    source_scalars: Floats,
    source_hours: Floats,
    order: NDArray[np.int64],
    out: Floats,
    heat: Floats,
    dumped: Floats,
    available: Floats,
) -> None:
    """Run one year, hour by hour.

    Parameters
    ----------
    scalars : array (SCALARS,)
    hours : array (HOURS, n)
    source_scalars : array (sources, SOURCE_SCALARS)
    source_hours : array (sources, SOURCE_HOURS, n)
    order : array of int (sources, n)
        Which source gives first, second and third.
    out : array (RESULTS, n)
        Filled here.
    heat, dumped, available : array (sources, n)
        Heat given to the tank, heat thrown away and capacity in the hour [W]; filled here.
    """
    keep, rise = scalars[TANK_KEEP], scalars[TANK_RISE]
    resistance, top = scalars[WATER_RESISTANCE], scalars[TANK_TOP]
    with_mass = scalars[WITH_MASS] > 0.5
    n, count = hours.shape[1], source_scalars.shape[0]
    tank = scalars[TANK_START]
    slab, room = hours[ROOM, 0] + hours[DEMAND, 0] * scalars[FLOOR_RESISTANCE], hours[ROOM, 0]
    fuel = np.zeros(count)
    for t in range(n):
        setpoint = hours[ROOM, t]
        call, sink = hours[DEMAND, t], setpoint
        if with_mass:
            ahead = hours[PRECHARGE, t] if room < scalars[ROOM_CEILING] else 0.0
            wanted = setpoint + call * scalars[FLOOR_RESISTANCE] + scalars[SLAB_FEEDBACK] * (setpoint - room) + ahead
            alone = (
                scalars[SLAB_SLAB] * slab
                + scalars[SLAB_ROOM] * room
                + scalars[SLAB_GAIN] * hours[GAINS, t]
                + hours[SLAB_WEATHER, t]
            )
            call = min(max((wanted - alone) / scalars[SLAB_HEAT], 0.0), hours[FLOOR_LIMIT, t])
            sink = slab
        wanted_call = call
        if call * resistance > top - sink:
            call = max(0.0, top - sink) / resistance if resistance > 0.0 else 0.0
        idle = setpoint + keep * (tank - setpoint)
        need = sink + call * resistance

        # What must run: fires already lit, then the sun on its collectors.
        given = 0.0
        aid = 0.0
        for i in range(count):
            available[i, t] = 0.0
            dumped[i, t] = 0.0
            heat[i, t] = 0.0
            if source_scalars[i, BURN_POWER] > 0.0:
                charge = source_hours[i, CHARGE, t]
                if charge > 0.0:
                    place = (top - idle) / rise * HOUR_S + source_hours[i, AHEAD, t] - fuel[i]
                    if place >= WANTED_SHARE * charge:
                        fuel[i] += charge
                burning = min(source_scalars[i, BURN_POWER], fuel[i] / HOUR_S)
                fuel[i] = max(0.0, fuel[i] - burning * HOUR_S)
                available[i, t] = burning
                used = min(burning, max(0.0, (top - idle) / rise + call - given))
                heat[i, t] = used
                dumped[i, t] = burning - used
                given += used
            elif source_scalars[i, MUST_RUN] < 0.5:
                aid += source_hours[i, CAPACITY, t]
        for i in range(count):
            sunny_kind = source_scalars[i, MUST_RUN] > 0.5 and source_scalars[i, BURN_POWER] <= 0.0
            if sunny_kind and source_hours[i, CAPACITY, t] > 0.0:
                slope, most = source_scalars[i, SLOPE], source_hours[i, CAPACITY, t]
                damp = 1.0 + slope * rise
                meets = (idle + rise * (given + most - call)) / damp
                if meets < need:
                    meets = min(need, (idle + rise * (given + aid + most - call)) / damp)
                sunny = max(0.0, most - slope * meets)
                available[i, t] = sunny
                used = min(sunny, max(0.0, (top - idle) / rise + call - given))
                heat[i, t] = used
                dumped[i, t] = sunny - used
                given += used

        # What can be told to run, in its order.
        for place_in_order in range(count):
            i = order[place_in_order, t]
            if source_scalars[i, MUST_RUN] < 0.5 and source_scalars[i, BURN_POWER] <= 0.0:
                most = source_hours[i, CAPACITY, t]
                available[i, t] = most
                goal = min(top, max(need, source_hours[i, TARGET, t]))
                share = min(max((goal - idle) / rise + call - given, 0.0), most)
                heat[i, t] = share
                given += share

        delivered = min(call, max(0.0, (idle - sink + rise * given) / (resistance + rise)))
        net = given - delivered
        loss = scalars[LOSS_STATE] * (tank - setpoint) + scalars[LOSS_NET] * net
        tank = idle + rise * net

        out[DELIVERED, t] = delivered
        out[SHORT, t] = wanted_call - delivered
        out[TANK, t] = tank
        out[TANK_LOSS, t] = loss
        out[CALL, t] = wanted_call
        out[BEYOND, t] = wanted_call - call
        if with_mass:
            new_slab = (
                scalars[SLAB_SLAB] * slab
                + scalars[SLAB_ROOM] * room
                + scalars[SLAB_GAIN] * hours[GAINS, t]
                + hours[SLAB_WEATHER, t]
                + scalars[SLAB_HEAT] * delivered
            )
            new_room = (
                scalars[ROOM_SLAB] * slab
                + scalars[ROOM_ROOM] * room
                + scalars[ROOM_GAIN] * hours[GAINS, t]
                + hours[ROOM_WEATHER, t]
                + scalars[ROOM_HEAT] * delivered
            )
            out[VENTED, t] = max(0.0, new_room - scalars[ROOM_CEILING])
            slab = new_slab
            room = min(new_room, scalars[ROOM_CEILING])
        else:
            slab, room = sink, setpoint
        out[SLAB_T, t] = slab
        out[ROOM_T, t] = room
