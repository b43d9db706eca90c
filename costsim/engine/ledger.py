"""What the compiled kernel puts in before the hour and books after it: a lane's rows, sums of a piece of the year, bills, meters.

`w` is the work array of a block, with WIDTH lanes of each row; `access` gives what is named.
"""
# ruff: noqa: F403, F405 -- whole families of rows are moved here

from __future__ import annotations

from typing import Any

import numpy as np

from costsim.engine import access
from costsim.engine.access import inline
from costsim.engine.balance import house_wants, larger, smaller
from costsim.engine.layout import *

NO_ROOM_YET_C = 1e3
WHOLE_FROM = 2.0**52
"""From here on every float64 is a whole number, and the next one is one more."""

# ---- before the hour ----


@inline
def begin(w: Any, width: int, lanes: Any, b: int, sums: Any, energy: Any, peaks: Any) -> None:
    """Empty the work array and a block's sums, and put what each lane has for itself."""
    for at in range(len(w)):
        w[at] = 0.0
    for row in range(LANES):
        for lane in range(width):
            w[row * WIDTH + lane] = lanes[b, row, lane]
    for row in range(sums.shape[1]):
        for lane in range(width):
            sums[b, row, lane] = 0.0
    for month in range(energy.shape[2]):
        for source in range(energy.shape[1]):
            for period in range(energy.shape[3]):
                for lane in range(width):
                    energy[b, source, month, period, lane] = 0.0
        for charge in range(peaks.shape[1]):
            for lane in range(width):
                peaks[b, charge, month, lane] = 0.0


@inline
def start(w: Any, lane: int, setpoint: Any, excess_k: Any, typed_w: Any) -> None:
    """Put the temperatures with which a year starts; a slab is as warm as the first hour wants it."""
    house, start_c = access.house_of(w, lane), access.start_of(w, lane).start
    setpoint = setpoint + house.indoor
    full = house_wants(house, excess_k) if house.loss > 0.0 else typed_w
    slab_c = setpoint + full * access.mass_of(w, lane).floor_resistance
    access.begin_state(w, lane, start_c, slab_c, setpoint, start_c, start_c, NO_ROOM_YET_C)


@inline
def take(w: Any, width: int, lanes: Any, b: int, slots: Any, piece: int, count: int) -> None:
    """Put the scalars of the source that gives in each slot."""
    for slot in range(count):
        to, of = SLOT + slot * LANE_SCALARS, OWN + slots[piece, slot] * LANE_SCALARS
        for row in range(LANE_SCALARS):
            for lane in range(width):
                w[(to + row) * WIDTH + lane] = lanes[b, of + row, lane]


@inline
def fill(w: Any, row: int, width: int, shared: Any, own: Any, b: int, at: int, t: int) -> None:
    """Put an hourly row of each lane, or the one that all share; `own` is values, places of rows and entries of hours."""
    values, _, entries = own
    if at >= 0:
        entry = entries[t, at]
        for lane in range(width):
            w[(HOUR + row) * WIDTH + lane] = values[b, entry, lane]
    else:
        for lane in range(width):
            w[(HOUR + row) * WIDTH + lane] = shared


@inline
def fill_house(w: Any, width: int, heavy: int, hours: Any, degrees: Any, own: Any, b: int, t: int) -> None:
    """Put the house's hour of each lane."""
    _, at, _ = own
    fill(w, ROOM, width, hours[ROOM, t], own, b, at[ROOM], t)
    fill(w, DEGREES, width, degrees[t], own, b, at[DEGREES], t)
    if heavy:
        for row in range(GAINS, COLD_BELOW + 1):
            fill(w, row, width, hours[row, t], own, b, at[row], t)


@inline
def fill_source(w: Any, width: int, slot: int, kind: int, offer: Any, own: Any, b: int, source: int, t: int) -> None:
    """Put a source's hour of each lane; what the sun gives comes on top of what collectors lose in each house."""
    to, of = SOURCES + slot * SOURCE_ROWS, SOURCES + source * SOURCE_ROWS
    _, at, _ = own
    if kind > 0:
        fill(w, to + CAPACITY, width, offer.capacity, own, b, at[of + CAPACITY], t)
        fill(w, to + PER_HEAT, width, offer.per_heat, own, b, at[of + PER_HEAT], t)
    if kind == SOLAR and at[of + CAPACITY] >= 0:
        for lane in range(width):
            place = (HOUR + to + CAPACITY) * WIDTH + lane
            w[place] = larger(w[place] + offer.capacity, 0.0)
    if kind >= DISPATCHABLE:
        fill(w, to + TARGET, width, offer.target, own, b, at[of + TARGET], t)
    if kind == BATCH_FIRED:
        fill(w, to + CHARGE, width, offer.charge, own, b, at[of + CHARGE], t)
        fill(w, to + AHEAD, width, offer.ahead, own, b, at[of + AHEAD], t)
        fill(w, to + UNTIL, width, offer.until, own, b, at[of + UNTIL], t)


# ---- after the hour ----


@inline
def input_of(w: Any, slot: int, lane: int, kind: int, output: Any, per_heat: Any) -> Any:
    """Input of a source and its auxiliary electricity [W], noted with its heat.

    A fire burns what was loaded, used or not; below the smallest fire cycling costs more, and fans and pump rest between its runs.
    """
    used, auxiliary, running = 0.0, 0.0, 1.0
    if kind > 0:
        made = output.able if kind == BATCH_FIRED else output.heat
        used = made * per_heat
        if kind == CYCLING:
            cycling = access.cycling_of(w, slot, lane)
            running = smaller(made * cycling.per_least, 1.0)
            used = used / (1.0 - cycling.degradation * (1.0 - running))
        if kind == BATCH_FIRED:
            access.keep_fuel(w, slot, lane, output.left)
        if kind < DISPATCHABLE:
            access.add_dumped_of(w, slot, lane, output.able - output.heat)
        access.add_heat_of(w, slot, lane, output.heat)
        access.add_input_of(w, slot, lane, used)
        fans = access.fans_of(w, slot, lane)
        auxiliary = fans.aux_share * output.heat + (fans.aux_w * running if output.heat > ROUNDING_W else 0.0)
    return used, auxiliary


@inline
def inputs_of(w: Any, lane: int, kinds: Any, outputs: Any, offers: Any) -> Any:
    """Input of each source and the auxiliary electricity of all [W]."""
    used_0, auxiliary_0 = input_of(w, FIRST, lane, kinds[0], outputs[0], offers[0].per_heat)
    used_1, auxiliary_1 = input_of(w, SECOND, lane, kinds[1], outputs[1], offers[1].per_heat)
    used_2, auxiliary_2 = input_of(w, THIRD, lane, kinds[2], outputs[2], offers[2].per_heat)
    return (used_0, used_1, used_2), auxiliary_0 + auxiliary_1 + auxiliary_2


@inline
def note_hour(w: Any, lane: int, full: Any, delivered: Any, short: Any) -> None:
    """Add what the house wanted, got and lacked; less than a rounding is nothing."""
    counted = short if short > ROUNDING_W else 0.0
    access.add_heat(w, lane, full, delivered, counted, 1.0 if counted > 0.0 else 0.0)
    access.keep_worst(w, lane, larger(access.worst_of(w, lane).worst, counted))


@inline
def note_uses(w: Any, lane: int, wanted: Any, used: Any) -> None:
    """Add what the uses wanted and lacked."""
    lacking = wanted - used
    access.add_uses(w, lane, wanted, lacking if lacking > ROUNDING_W else 0.0)


@inline
def rounded(value: Any) -> Any:
    """The nearest whole number of what is not negative, of two the even one, without a function that a device may not have."""
    return value if value >= WHOLE_FROM else (value + WHOLE_FROM) - WHOLE_FROM


@inline
def keep_inputs(w: Any, lane: int, inputs: Any, fans: Any, duty: Any) -> None:
    """Hold the hour's electricity and fuel for the meters, standby with it, and its electricity in steps for the sum of all lanes."""
    first, second, third = (
        access.billed_of(w, FIRST, lane),
        access.billed_of(w, SECOND, lane),
        access.billed_of(w, THIRD, lane),
    )
    used_0, used_1 = inputs[0] * first.factor + first.standby, inputs[1] * second.factor + second.standby
    used_2, auxiliary = inputs[2] * third.factor + third.standby, fans + access.pumps_of(w, lane).pump * duty
    access.keep_input(w, 0, lane, used_0)
    access.keep_input(w, 1, lane, used_1)
    access.keep_input(w, 2, lane, used_2)
    access.keep_auxiliary(w, lane, auxiliary)
    # here, among all that a lane does, it is made for all lanes at once; among the meters one after the other
    watts, steps = first.electric * used_0 + second.electric * used_1, access.pumps_of(w, lane).steps
    watts = watts + third.electric * used_2 + auxiliary
    access.keep_stepped(w, lane, rounded(watts * steps))


@inline
def keep_hour(w: Any, out: Any, t: int, hour: Any, kept: Any, stratified: int) -> None:
    """Keep the hour of the only lane."""
    zones = access.zones_of(w, 0)
    out[DELIVERED, t], out[SHORT, t], out[CALL, t], out[BEYOND, t] = (
        hour.delivered,
        kept.short,
        kept.wanted,
        kept.beyond,
    )
    out[TANK, t], out[TANK_LOSS, t], out[VENTED, t] = kept.tank_c, kept.loss, kept.vented
    out[SLAB_T, t], out[ROOM_T, t] = kept.slab_c, kept.room_c
    out[HOT_T, t] = zones.hot_c if stratified else kept.tank_c
    out[COLD_T, t] = zones.cold_c if stratified else kept.tank_c
    out[HOT_PART, t], out[USE_GIVEN, t] = zones.hot if stratified else 0.0, hour.used
    out[DUTY, t] = hour.duty


@inline
def keep_source(kept: Any, t: int, source: int, kind: int, output: Any) -> None:
    """Keep the hour of a source: heat, what was dumped, what it could."""
    if kind > 0:
        kept[0, source, t], kept[2, source, t] = output.heat, output.able
        kept[1, source, t] = output.able - output.heat if kind < DISPATCHABLE else 0.0


# ---- meters and bills ----


@inline
def meter(
    w: Any, width: int, t: int, b: int, months: Any, slots: Any, piece: int, meters: Any, payers: Any, peaks: Any, power: Any,
    free: Any, takers: Any,
) -> None:  # fmt: skip
    """Add the hour's electricity of all lanes in whole steps, what generation covers of it, and hold the highest of each meter."""
    s0, s1, s2, month = slots[piece, 0], slots[piece, 1], slots[piece, 2], months[piece]
    if power.shape[0] > 0:
        steps = np.int64(0)
        for lane in range(width):
            steps += np.int64(w[STEPPED * WIDTH + lane])
        power[t] += steps
    if free.shape[0] > 0:
        t0, t1, t2, t3 = takers[s0], takers[s1], takers[s2], takers[takers.shape[0] - 1]
        for lane in range(width):
            used = access.inputs_now(w, lane)
            taken = t0 * used.now_0 + t1 * used.now_1 + t2 * used.now_2 + t3 * used.auxiliary_now
            w[KEPT * WIDTH + lane] += smaller(taken, free[t])
    for charge in range(meters.shape[0]):
        other = meters[charge, t]
        if other > OUTSIDE_W:
            p0, p1 = payers[charge, s0], payers[charge, s1]
            p2, p3 = payers[charge, s2], payers[charge, payers.shape[1] - 1]
            for lane in range(width):
                used = access.inputs_now(w, lane)
                peak = other * access.pumps_of(w, lane).other + p0 * used.now_0 + p1 * used.now_1
                peak = peak + p2 * used.now_2 + p3 * used.auxiliary_now
                peaks[b, charge, month, lane] = larger(peaks[b, charge, month, lane], peak)


@inline
def flush(
    w: Any, width: int, first: Any, months: Any, slots: Any, shares: Any, piece: int, b: int, sums: Any, energy: Any
) -> None:  # fmt: skip
    """Add a piece of the year, one month and one set of price periods, to the year."""
    count, periods, month, length = shares.shape[1] - 1, shares.shape[2], months[piece], first[piece + 1] - first[piece]
    for row in range(SUM_USE_SHORT + 1):
        for lane in range(width):
            sums[b, row, lane] += w[(WANTED + row) * WIDTH + lane] * HOUR_S
            w[(WANTED + row) * WIDTH + lane] = 0.0
    for slot in range(count):
        source = slots[piece, slot]
        for lane in range(width):
            billed, season = access.billed_of(w, slot, lane), access.season_of(w, slot, lane)
            sums[b, SUMS + source, lane] += season.heat * HOUR_S
            if sums.shape[1] > SUMS + count:
                sums[b, SUMS + count + source, lane] += season.dumped * HOUR_S
            used = season.used * billed.factor + billed.standby * np.float64(length)
            for period in range(periods):
                energy[b, source, month, period, lane] += used * (shares[piece, source, period] * HOUR_S)
            access.keep_season(w, slot, lane, 0.0, 0.0, 0.0)
    for lane in range(width):
        running, pump = w[RUNNING * WIDTH + lane], access.pumps_of(w, lane).pump
        used = w[AUXILIARY * WIDTH + lane] + pump * running
        for period in range(periods):
            energy[b, count, month, period, lane] += used * (shares[piece, count, period] * HOUR_S)
        w[RUNNING * WIDTH + lane], w[AUXILIARY * WIDTH + lane] = 0.0, 0.0


@inline
def flush_covered(w: Any, width: int, months: Any, shares: Any, piece: int, b: int, energy: Any) -> None:
    """Add what own generation covered in a piece of the year, in forms that look at meters."""
    count, periods, month = shares.shape[1] - 1, shares.shape[2], months[piece]
    if energy.shape[1] > count + 1:
        for lane in range(width):
            for period in range(periods):
                energy[b, count + 1, month, period, lane] += w[KEPT * WIDTH + lane] * (
                    shares[piece, count, period] * HOUR_S
                )
            w[KEPT * WIDTH + lane] = 0.0


@inline
def finish(w: Any, width: int, sums: Any, b: int, coldest_c: Any, own_room: int) -> None:
    """Put the year's counts and extremes, which no piece adds to; a room without mass is as warm as its set-point."""
    for lane in range(width):
        if not own_room:
            access.keep_lowest(w, lane, coldest_c + access.house_of(w, lane).indoor)
        sums[b, SHORT_HOURS, lane], sums[b, WORST_SHORT, lane] = w[HOURS_SHORT * WIDTH + lane], w[WORST * WIDTH + lane]
        sums[b, LOWEST_ROOM, lane] = w[LOWEST * WIDTH + lane]
