"""The hour-by-hour balance, compiled. It knows arrays, never kinds of heat source.

One fully mixed tank serves the floor. In every hour the sources give, in order, what is still missing to hold the tank
at the temperature the floor needs, or at the higher temperature a storing source is allowed to reach. What cannot be
used is dumped. With mass, slab and room carry over from hour to hour.

Rows of the work arrays are named once here, so that lowering, kernel and reference agree.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from costsim.engine.compiling import compiled

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
COLD_K: Final = (
    1.0  # with mass, heat not delivered counts as short only while the room is colder than its set-point by this
)
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

# Sums of a batch, one row a scenario; where the row is longer, heat of each source follows [J].
SUM_DEMAND: Final = 0  # J
SUM_DELIVERED: Final = 1
SUM_SHORT: Final = 2
SHORT_HOURS: Final = 3
WORST_SHORT: Final = 4  # W
SUM_PUMP_HOURS: Final = 5
LOWEST_ROOM: Final = 6  # °C
SUMS: Final = 7
ROUNDING_W: Final = 0.5


@compiled
def dispatch(
    scalars: Floats,
    hours: Floats,
    source_scalars: Floats,
    source_hours: Floats,
    order: NDArray[np.int64],
    degrees: Floats,
    per_input: Floats,
    shares: Floats,
    months: NDArray[np.int8],
    draws: Floats,
    efficiency: Floats,
    sums: Floats,
    energy: Floats,
    meters: Floats,
    payers: Floats,
    peaks: Floats,
    out: Floats,
    kept: Floats,
    power: Floats,
) -> None:
    """Run one plant hour by hour, once or under many draws of load and warmth.

    Parameters
    ----------
    scalars : array (SCALARS,)
    hours : array (HOURS, n)
    source_scalars : array (sources, BILLED_SCALARS)
    source_hours : array (sources, SOURCE_HOURS, n)
    order : array of int (sources, n)
        Which source gives first, second and third.
    degrees : array (n,)
        Balance point minus outdoor temperature [K], unclipped.
    per_input : array (sources, n)
        Heat per input.
    shares : array (sources + 1, periods, n)
        Share of the hour billed in each period of the source's tariff; the last row is that of auxiliary electricity.
    months : array of int (n,)
        1 to 12.
    draws : array (scenarios, 2)
        Loss per kelvin [W/K] and shift of the balance point [K]; a loss of zero takes the demand from `hours`.
    efficiency : array (scenarios, sources)
        Factor on heat per input.
    sums : array (scenarios, SUMS) or (scenarios, SUMS + sources)
        Filled here.
    energy : array (scenarios, sources + 1, 12, periods)
        Input of each source by month and period, and in the last row the electricity of pumps, fans and controls [J].
    meters : array (charges, n)
        Other power on the meter of each demand charge [W], negative in hours that the charge does not see.
    payers : array (charges, sources + 1)
        1 for the sources (last: auxiliary electricity) on that meter.
    peaks : array (scenarios, charges, 12)
        Highest power of each month on that meter [W].
    out, kept : arrays (RESULTS, n) and (3, sources, n)
        Hours of the last scenario: the results, and of each source heat, dumped heat and capacity [W]. Given with n = 0
        they are left alone.
    power : array (n,)
        Electricity of each hour is added here, over all sources and scenarios [W]; given with n = 0 it is left alone.
    """
    n, count, periods = hours.shape[1], source_scalars.shape[0], shares.shape[1]
    keep, rise = scalars[TANK_KEEP], scalars[TANK_RISE]
    resistance, top = scalars[WATER_RESISTANCE], scalars[TANK_TOP]
    with_mass = scalars[WITH_MASS] > 0.5
    keep_hours = out.shape[1] > 0
    keep_heat, keep_power = sums.shape[1] > SUMS, power.shape[0] > 0
    bill = periods > 0
    heat, dumped, available, fuel = np.zeros(count), np.zeros(count), np.zeros(count), np.zeros(count)
    drawn = np.zeros(count + 1)
    for s in range(draws.shape[0]):
        loss, shift = draws[s, 0], draws[s, 1]
        demand = loss * max(0.0, degrees[0] + shift) if loss > 0.0 else hours[DEMAND, 0]
        tank, room = scalars[TANK_START], hours[ROOM, 0]
        slab = room + demand * scalars[FLOOR_RESISTANCE]
        fuel[:] = 0.0
        wanted_j, given_j, short_j, short_hours, worst, running, lowest = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1e3
        energy[s] = 0.0
        peaks[s], sums[s] = 0.0, 0.0
        for t in range(n):
            setpoint = hours[ROOM, t]
            demand = loss * max(0.0, degrees[t] + shift) if loss > 0.0 else hours[DEMAND, t]
            if not with_mass:
                demand = min(demand, hours[FLOOR_LIMIT, t])
            call, sink = demand, setpoint
            if with_mass:
                ahead = hours[PRECHARGE, t] if room < scalars[ROOM_CEILING] else 0.0
                wanted = (
                    setpoint + call * scalars[FLOOR_RESISTANCE] + scalars[SLAB_FEEDBACK] * (setpoint - room) + ahead
                )
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
            beyond = wanted_call - call
            idle = setpoint + keep * (tank - setpoint)
            need = sink + call * resistance

            # What must run: fires already lit, then the sun on its collectors.
            given = 0.0
            aid = 0.0
            for i in range(count):
                available[i] = 0.0
                dumped[i] = 0.0
                heat[i] = 0.0
                if source_scalars[i, BURN_POWER] > 0.0:
                    charge = source_hours[i, CHARGE, t]
                    if charge > 0.0:
                        place = (top - idle) / rise * HOUR_S + source_hours[i, AHEAD, t] - fuel[i]
                        if place >= WANTED_SHARE * charge:
                            fuel[i] += charge
                    burning = min(source_scalars[i, BURN_POWER], fuel[i] / HOUR_S)
                    fuel[i] = max(0.0, fuel[i] - burning * HOUR_S)
                    available[i] = burning
                    used = min(burning, max(0.0, (top - idle) / rise + call - given))
                    heat[i] = used
                    dumped[i] = burning - used
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
                        full = idle + rise * (given + aid + most)
                        meets = need
                        if full - rise * call < need * damp:  # even with all sources the floor takes less than its call
                            meets = full / damp
                            if meets > sink:
                                meets = (resistance * full + rise * sink) / (resistance * damp + rise)
                    sunny = max(0.0, most - slope * meets)
                    available[i] = sunny
                    used = min(sunny, max(0.0, (top - idle) / rise + call - given))
                    heat[i] = used
                    dumped[i] = sunny - used
                    given += used

            # What can be told to run, in its order.
            for place_in_order in range(count):
                i = order[place_in_order, t]
                if source_scalars[i, MUST_RUN] < 0.5 and source_scalars[i, BURN_POWER] <= 0.0:
                    most = source_hours[i, CAPACITY, t]
                    available[i] = most
                    goal = min(top, max(need, source_hours[i, TARGET, t]))
                    share = min(max((goal - idle) / rise + call - given, 0.0), most)
                    heat[i] = share
                    given += share

            delivered = min(call, max(0.0, (idle - sink + rise * given) / (resistance + rise)))
            net = given - delivered
            loss_w = scalars[LOSS_STATE] * (tank - setpoint) + scalars[LOSS_NET] * net
            vented = 0.0
            tank = idle + rise * net
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
                vented = max(0.0, new_room - scalars[ROOM_CEILING])
                slab = new_slab
                room = min(new_room, scalars[ROOM_CEILING])
            else:
                slab, room = sink, setpoint

            if with_mass and room >= hours[COLD_BELOW, t]:
                wanted_call, beyond = delivered, 0.0
            short = wanted_call - delivered
            if loss > 0.0 and not with_mass:
                full = loss * max(0.0, degrees[t] + shift)
                short, wanted_call = full - delivered, full
            wanted_j += wanted_call * HOUR_S
            given_j += delivered * HOUR_S
            lowest = min(lowest, room)
            if short > ROUNDING_W:
                short_j += short * HOUR_S
                short_hours += 1.0
                worst = max(worst, short)
            if delivered > 0.0:
                running += 1.0
            if keep_hours:
                out[DELIVERED, t], out[SHORT, t], out[CALL, t], out[BEYOND, t] = delivered, short, wanted_call, beyond
                out[TANK, t], out[TANK_LOSS, t], out[SLAB_T, t], out[ROOM_T, t], out[VENTED, t] = (
                    tank,
                    loss_w,
                    slab,
                    room,
                    vented,
                )
                for i in range(count):
                    kept[0, i, t], kept[1, i, t], kept[2, i, t] = heat[i], dumped[i], available[i]
            if keep_heat:
                for i in range(count):
                    sums[s, SUMS + i] += heat[i] * HOUR_S
            if bill:
                month = months[t] - 1
                aux = scalars[PUMP_POWER] if delivered > 0.0 else 0.0
                electric = 0.0
                for i in range(count):
                    made = heat[i] + dumped[i] if source_scalars[i, BURN_POWER] > 0.0 else heat[i]
                    used = made / (per_input[i, t] * efficiency[s, i])
                    if source_scalars[i, DEGRADATION] > 0.0 and source_scalars[i, MIN_FIRE] > 0.0:
                        ratio = min(made / source_scalars[i, MIN_FIRE], 1.0)
                        used = used / (1.0 - source_scalars[i, DEGRADATION] * (1.0 - ratio))
                    drawn[i] = used + source_scalars[i, STANDBY]
                    electric += source_scalars[i, ELECTRIC] * drawn[i]
                    for p in range(periods):
                        energy[s, i, month, p] += drawn[i] * HOUR_S * shares[i, p, t]
                    aux += source_scalars[i, AUX_SHARE] * heat[i] + (source_scalars[i, AUX_W] if heat[i] > 0.0 else 0.0)
                drawn[count] = aux
                for p in range(periods):
                    energy[s, count, month, p] += aux * HOUR_S * shares[count, p, t]
                if keep_power:
                    power[t] += electric + aux
                for c in range(payers.shape[0]):
                    if meters[c, t] >= 0.0:
                        peak = meters[c, t]
                        for i in range(count + 1):
                            peak += payers[c, i] * drawn[i]
                        peaks[s, c, month] = max(peaks[s, c, month], peak)
        sums[s, SUM_DEMAND], sums[s, SUM_DELIVERED], sums[s, SUM_SHORT] = wanted_j, given_j, short_j
        sums[s, SHORT_HOURS], sums[s, WORST_SHORT], sums[s, SUM_PUMP_HOURS], sums[s, LOWEST_ROOM] = (
            short_hours,
            worst,
            running,
            lowest,
        )


def one_year(
    scalars: Floats, hours: Floats, source_scalars: Floats, source_hours: Floats, order: NDArray[np.int64]
) -> tuple[Floats, Floats, Floats, Floats]:
    """Run one year and keep its hours.

    Returns
    -------
    out : array (RESULTS, n)
    heat, dumped, available : arrays (sources, n)
        Heat given to the tank, heat thrown away and capacity in the hour [W].
    """
    n, count = hours.shape[1], source_scalars.shape[0]
    out, kept = np.empty((RESULTS, n)), np.empty((3, count, n))
    nothing = np.empty((count + 1, 0, 0))
    dispatch(
        scalars, hours, source_scalars, source_hours, order, np.empty(1), np.empty((0, 0)), nothing, np.empty(0, dtype=np.int8),
        np.zeros((1, 2)), np.ones((1, count)), np.empty((1, SUMS)), np.empty((1, 0, 0, 0)),
        np.empty((0, 0)), np.empty((0, 0)), np.empty((1, 0, 0)), out, kept, np.empty(0),
    )  # fmt: skip
    return out, kept[0], kept[1], kept[2]
