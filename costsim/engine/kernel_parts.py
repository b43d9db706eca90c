"""Parts of the compiled balance, put into it where they are used: one source's hour, and what is done by the hour or piece.

`w` is the one flat array of a block, `at` or `lane` a place in it; `c` are the constants in the kernel's own type.
"""
# ruff: noqa: F403, F405 -- the rows are the vocabulary of every line here

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numba
import numpy as np

from costsim.engine.layout import *

ZERO, ONE, HOUR_OF, PER_HOUR, ROUNDING, SHARE, TINY = range(7)


# Put into the caller whole, and kept on disk with it alone: by themselves they would outlive a change of the rows. They
# hold no array, so they need not count who does, which would cost more than the balance.
_INLINE: Any = {"nogil": True, "error_model": "numpy", "forceinline": True, "_nrt": False}
inline: Callable[[Callable[..., Any]], Any] = numba.njit(**_INLINE)


@inline
def above(a: Any, b: Any) -> Any:
    """The larger."""
    return a if a > b else b


@inline
def below(a: Any, b: Any) -> Any:
    """The smaller."""
    return a if a < b else b


@inline
def hour_of(source_hours: Any, per_heat: Any, i: int, t: int) -> Any:
    """Capacity, target, charge, demand ahead and input per heat of a source that all lanes share."""
    most, target = source_hours[i, CAPACITY, t], source_hours[i, TARGET, t]
    return most, target, source_hours[i, CHARGE, t], source_hours[i, AHEAD, t], per_heat[i, t]


@inline
def own_hour(w: Any, slot: int, lane: int, width: int) -> Any:
    """The same of one lane."""
    at = (HOUR + SOURCES + slot * SOURCE_ROWS) * width + lane
    return w[at], w[at + width], w[at + 2 * width], w[at + 3 * width], w[at + 4 * width]


@inline
def fire(fuel: Any, hour: Any, burn: Any, least: Any, space: Any, call: Any, given: Any, c: Any) -> Any:
    """Heat of a lit fire, what it burns and what is left in it [J].

    The charge is what tank and floor will take while it burns, at least the smallest one; it is loaded where enough of
    the smallest one finds a place.
    """
    charge, ahead, free = hour[CHARGE], hour[AHEAD], space * c[HOUR_OF] - fuel
    # a part of a charge burns for that part of the time, so meets that part of the demand ahead
    fits = above(c[ZERO], free) * (charge / above(charge - ahead, c[ONE]))
    fits = charge if free + ahead >= charge else above(least * charge, fits)
    lit = fits if free + least * ahead >= c[SHARE] * (least * charge) else c[ZERO]
    full = fuel + lit
    burning = below(burn, full * c[PER_HOUR])
    used = below(burning, above(c[ZERO], space + call - given))
    return used, burning, above(c[ZERO], full - burning * c[HOUR_OF])


@inline
def sun(w: Any, at: int, width: int, lane: int, most: Any, aid: Any, given: Any, state: Any, c: Any) -> Any:
    """Heat of collectors that meet the tank at the hour's end, and what they collect."""
    call, idle, need, sink, space, direct = state
    damped, damped_water = w[at + DAMPED * width], w[at + DAMPED_WATER * width]
    rise, water = w[RISE * width + lane], w[WATER * width + lane]
    alone = (idle + rise * (given + most - call)) * damped
    warmed = idle + rise * (given + aid + most)
    low = warmed * damped
    both = (water * warmed + rise * sink) * damped_water
    # even with all sources the floor may take less than its call, but what they make at once reaches it
    less = both if low > sink else low
    less = below(less, (warmed - rise * (direct + aid)) * damped)
    less = above(less, (warmed - rise * call) * damped)
    tied = less if (warmed - rise * call) * damped < need else need
    meets = tied if alone < need else alone
    sunny = above(c[ZERO], most - w[at + SLOPE * width] * meets)
    sunny = sunny if most > c[ZERO] else c[ZERO]
    return below(sunny, above(c[ZERO], space + call - given)), sunny


@inline
def give(
    w: Any, slot: int, lane: int, width: int, kind: int, hour: Any, aid: Any, given: Any, state: Any, c: Any
) -> Any:
    """What one source gives after the others, what it could, and the fuel left in a fire."""
    call, idle, need, _, space, _ = state
    at = (SLOT + slot * LANE_SCALARS) * width + lane
    heat, able, left = c[ZERO], c[ZERO], c[ZERO]
    if kind == BATCH_FIRED:
        fuel = w[(FUEL + slot) * width + lane]
        heat, able, left = fire(
            fuel, hour, w[at + BURN_POWER * width], w[at + LEAST_CHARGE * width], space, call, given, c
        )
    elif kind == SOLAR:
        heat, able = sun(w, at, width, lane, hour[CAPACITY], aid, given, state, c)
    elif kind >= DISPATCHABLE:
        able = hour[CAPACITY]
        goal = below(w[TOP * width + lane], above(need, hour[TARGET]))
        heat = below(above((goal - idle) * w[PER_RISE * width + lane] + call - given, c[ZERO]), able)
    return heat, able, left


@inline
def hour_of_mixed_tank(
    w: Any,
    lane: int,
    width: int,
    kinds: Any,
    source_hours: Any,
    call: Any,
    sink: Any,
    idle: Any,
    most_call: Any,
    uses: Any,
    tapped: int,
    c: Any,
) -> Any:
    """One hour of the mixed tank: what each source found, heat given, delivered to the floor and to the uses, and the pumps' duty."""
    k0, k1, k2 = kinds
    hour_0, hour_1, hour_2 = source_hours
    use, use_need, use_cold = uses
    rise = w[RISE * width + lane]
    need = sink + call * w[WATER * width + lane]
    wants = call
    if tapped:
        need = above(need, use_need) if use > c[ZERO] else need
        wants = call + use
    space = (w[TOP * width + lane] - idle) * w[PER_RISE * width + lane]
    aid = hour_0[CAPACITY] if k0 >= DISPATCHABLE else c[ZERO]
    aid = aid + (hour_1[CAPACITY] if k1 >= DISPATCHABLE else c[ZERO])
    aid = aid + (hour_2[CAPACITY] if k2 >= DISPATCHABLE else c[ZERO])
    found_0 = give(w, 0, lane, width, k0, hour_0, aid, c[ZERO], (wants, idle, need, sink, space, c[ZERO]), c)
    given = found_0[0]
    direct = c[ZERO] if k0 == SOLAR else found_0[0]
    found_1 = give(w, 1, lane, width, k1, hour_1, aid, given, (wants, idle, need, sink, space, direct), c)
    given = given + found_1[0]
    direct = direct + (c[ZERO] if k1 == SOLAR else found_1[0])
    found_2 = give(w, 2, lane, width, k2, hour_2, aid, given, (wants, idle, need, sink, space, direct), c)
    given = given + found_2[0]
    direct = direct + (c[ZERO] if k2 == SOLAR else found_2[0])
    # the call first, hot water before the floor: what runs heats their water before the tank's
    used = c[ZERO]
    if tapped:
        flow = (idle - use_cold + rise * given) * use / (use_need - use_cold + rise * use)
        used = below(use, above(direct, flow))
        idle, direct = idle - rise * used, above(c[ZERO], direct - used)
    flow = (idle - sink + rise * given) * w[PER_BOTH * width + lane]
    # thermostats call for the part of the hour in which the floor takes what it may; all of it where the tank is just at need
    duty = call / above(above(call, below(flow, most_call)), c[TINY])
    return found_0, found_1, found_2, given, below(call, above(direct, flow)), used, duty


@inline
def book(w: Any, slot: int, lane: int, width: int, kind: int, found: Any, per_heat: Any, c: Any) -> Any:
    """Note heat and input of a source, and give its input and its auxiliary electricity.

    A fire burns what was loaded, used or not; below the smallest fire cycling costs more.
    """
    heat, able, left = found
    used, aux = c[ZERO], c[ZERO]
    if kind > 0:
        at = (SLOT + slot * LANE_SCALARS) * width + lane
        made = able if kind == BATCH_FIRED else heat
        used = made * per_heat
        if kind == CYCLING:
            ratio = below(made * w[at + PER_LEAST * width], c[ONE])
            used = used / (c[ONE] - w[at + DEGRADATION * width] * (c[ONE] - ratio))
        if kind == BATCH_FIRED:
            w[(FUEL + slot) * width + lane] = left
        w[(HEAT + slot) * width + lane] += heat
        w[(USED + slot) * width + lane] += used
        fan = w[at + AUX_W * width]
        aux = w[at + AUX_SHARE * width] * heat + (fan if heat > c[ROUNDING] else c[ZERO])
    return used, aux


@inline
def take(w: Any, lanes: Any, slot: int, source: int, width: int) -> None:
    """Put the scalars of the source that gives in this place."""
    for row in range(LANE_SCALARS):
        for lane in range(width):
            w[(SLOT + slot * LANE_SCALARS + row) * width + lane] = lanes[OWN + source * LANE_SCALARS + row, lane]


@inline
def fill(w: Any, row: int, width: int, shared: Any, own_hours: Any, b: int, at: int, t: int) -> None:
    """Put an hourly row of each lane, or the one that all share."""
    if at >= 0:
        for lane in range(width):
            w[(HOUR + row) * width + lane] = own_hours[b, t, at, lane]
    else:
        for lane in range(width):
            w[(HOUR + row) * width + lane] = shared


@inline
def fill_house(
    w: Any, width: int, heavy: int, hours: Any, degrees: Any, own_hours: Any, b: int, own_at: Any, t: int
) -> None:
    """Put the house's hour of each lane."""
    fill(w, ROOM, width, hours[ROOM, t], own_hours, b, own_at[ROOM], t)
    fill(w, DEGREES, width, degrees[t], own_hours, b, own_at[DEGREES], t)
    if heavy:
        for row in range(GAINS, COLD_BELOW + 1):
            fill(w, row, width, hours[row, t], own_hours, b, own_at[row], t)


@inline
def fill_source(
    w: Any, width: int, slot: int, kind: int, hour: Any, own_hours: Any, b: int, own_at: Any, i: int, t: int
) -> None:
    """Put a source's hour of each lane."""
    to, of = SOURCES + slot * SOURCE_ROWS, SOURCES + i * SOURCE_ROWS
    if kind > 0:
        fill(w, to + CAPACITY, width, hour[CAPACITY], own_hours, b, own_at[of + CAPACITY], t)
        fill(w, to + PER_HEAT, width, hour[PER_HEAT], own_hours, b, own_at[of + PER_HEAT], t)
    if kind >= DISPATCHABLE:
        fill(w, to + TARGET, width, hour[TARGET], own_hours, b, own_at[of + TARGET], t)
    if kind == BATCH_FIRED:
        fill(w, to + CHARGE, width, hour[CHARGE], own_hours, b, own_at[of + CHARGE], t)
        fill(w, to + AHEAD, width, hour[AHEAD], own_hours, b, own_at[of + AHEAD], t)


@inline
def keep(kept: Any, t: int, source: int, kind: int, found: Any) -> None:
    """Keep the hour of a source: heat, what was dumped, what it could."""
    heat, able, _ = found
    if kind > 0:
        kept[0, source, t], kept[2, source, t] = heat, able
        kept[1, source, t] = able - heat if kind < DISPATCHABLE else 0.0


@inline
def drawn(w: Any, slot: int, lane: int, width: int) -> Any:
    """Input of the hour of a source, standby with it [W]."""
    at = (SLOT + slot * LANE_SCALARS) * width + lane
    return w[(NOW + slot) * width + lane] * w[at + FACTOR * width] + w[at + STANDBY * width]


@inline
def meter(
    w: Any, width: int, t: int, b: int, month: int, piece: int, slots: Any, meters: Any, payers: Any, peaks: Any, power: Any
) -> None:  # fmt: skip
    """Add the hour's electricity of all lanes in whole steps, and hold its highest on the meter of each charge."""
    if power.shape[0] > 0:
        steps = np.int64(0)
        for lane in range(width):
            at = (SLOT + ELECTRIC) * width + lane
            watts = w[at] * drawn(w, 0, lane, width) + w[at + LANE_SCALARS * width] * drawn(w, 1, lane, width)
            watts = watts + w[at + 2 * LANE_SCALARS * width] * drawn(w, 2, lane, width) + w[(NOW + 3) * width + lane]
            steps += np.int64(np.rint(watts * w[STEPS * width + lane]))
        power[t] += steps
    for charge in range(meters.shape[0]):
        other = meters[charge, t]
        if other >= 0.0:
            p0, p1 = payers[charge, slots[piece, 0]], payers[charge, slots[piece, 1]]
            p2, p3 = payers[charge, slots[piece, 2]], payers[charge, payers.shape[1] - 1]
            for lane in range(width):
                peak = other + p0 * drawn(w, 0, lane, width) + p1 * drawn(w, 1, lane, width)
                peak = peak + p2 * drawn(w, 2, lane, width) + p3 * w[(NOW + 3) * width + lane]
                peaks[b, charge, month, lane] = above(peaks[b, charge, month, lane], peak)


@inline
def flush(w: Any, width: int, month: int, slots: Any, shares: Any, length: int, sums: Any, energy: Any) -> None:
    """Add a piece of the year, one month and one set of price periods, to the year."""
    count, periods = shares.shape[0] - 1, shares.shape[1]
    for row in range(SUM_USE_SHORT + 1):
        for lane in range(width):
            sums[row, lane] += w[(WANTED + row) * width + lane] * HOUR_S
            w[(WANTED + row) * width + lane] = 0.0
    for slot in range(SLOTS + 1):
        if slot < count or slot == SLOTS:
            source = slots[slot] if slot < SLOTS else count
            for lane in range(width):
                used = np.float64(w[(USED + slot) * width + lane])
                w[(USED + slot) * width + lane] = 0.0
                if slot == SLOTS:
                    running = np.float64(w[RUNNING * width + lane])
                    used, sums[SUM_PUMP_HOURS, lane] = (
                        used + w[PUMP * width + lane] * running,
                        sums[SUM_PUMP_HOURS, lane] + running,
                    )
                    w[RUNNING * width + lane] = 0.0
                if slot < SLOTS:
                    at = (SLOT + slot * LANE_SCALARS) * width + lane
                    sums[SUMS + source, lane] += w[(HEAT + slot) * width + lane] * HOUR_S
                    w[(HEAT + slot) * width + lane] = 0.0
                    used = used * w[at + FACTOR * width] + w[at + STANDBY * width] * np.float64(length)
                for period in range(periods):
                    energy[source, month, period, lane] += used * (shares[source, period] * HOUR_S)


@inline
def finish(w: Any, width: int, sums: Any) -> None:
    """Put the year's counts and extremes, which no piece adds to."""
    for lane in range(width):
        sums[SHORT_HOURS, lane], sums[WORST_SHORT, lane] = w[HOURS_SHORT * width + lane], w[WORST * width + lane]
        sums[LOWEST_ROOM, lane] = w[LOWEST * width + lane]
