"""The hour-by-hour balance, compiled. It knows arrays, never kinds of heat source.

One fully mixed tank serves the floor. In every hour the sources give, in order, what is still missing to hold the tank
at the temperature the floor needs, or at the higher temperature a storing source is allowed to reach. What cannot be
used is dumped. With mass, slab and room carry over from hour to hour.

There is one balance. It is compiled for one scenario, `build(1)`, which takes any plant and can keep its hours, and for
sixteen side by side, `build(16, ...)`, once for each topology. The lanes stand innermost, all they carry lies in one
flat array at literal places, and nothing branches on a lane: that lets the compiler use vector instructions. Nothing
is reordered or fused, so both give the same bits.
"""
# ruff: noqa: F403, F405 -- the rows are the vocabulary of every line here

from __future__ import annotations

import functools
import hashlib
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from costsim.engine import kernel_parts as part
from costsim.engine import layered
from costsim.engine.compiling import compiled
from costsim.engine.kernel_parts import above, below
from costsim.engine.layout import *

Floats = NDArray[np.float64]
WIDTH: Final = 16
ANY: Final = -1


def _stamp() -> int:
    """A number that changes with what the kernel is put together from, which the cache on disk does not watch."""
    try:
        texts = [Path(__file__).with_name(f"{name}.py").read_bytes() for name in ("layout", "kernel_parts", "layered")]
    except OSError:
        return 0
    return int(hashlib.sha256(b"".join(texts)).hexdigest()[:12], 16)


STAMP: Final = _stamp()


@functools.cache
def build(
    width: int,
    kinds: tuple[int, int, int] = (ANY,) * 3,
    mass: int = ANY,
    own: bool = False,
    hourly: bool = True,
    fans: bool = True,
    real: Any = np.float64,
    zones: int = ANY,
    uses: int = ANY,
) -> Any:
    """Make the kernel for a number of lanes and a topology.

    Parameters
    ----------
    width : int
        1 or `WIDTH`.
    kinds : tuple of int
        Kind of the source in each slot, 0 for none; `ANY` leaves it to the call, which one lane alone can do well.
    mass : int
        1 with slab and room, 0 without; `ANY` leaves it to the call.
    own : bool
        Lanes have hourly rows of their own.
    hourly : bool
        Electricity of each hour or the peaks of demand charges are asked for.
    fans : bool
        Sources have electricity of their own.
    real : type
        float64 or float32.
    zones : int
        1 with a stratified tank, 0 with a mixed one; `ANY` leaves it to the call.
    uses : int
        1 with hot water or other uses of the tank, 0 without; `ANY` leaves it to the call.

    Returns
    -------
    callable
        Takes what `costsim.engine.block` prepares.
    """
    kind_0, kind_1, kind_2 = kinds
    stamp = STAMP

    def years(  # type: ignore[no-untyped-def]
        with_mass, with_zones, with_uses, hours, degrees, source_hours, per_heat, any_kinds, first, month, slots, shares, lanes, own_hours,
        own_at, meters, payers, sums, energy, peaks, power, out, kept,
    ):  # fmt: skip
        k0 = any_kinds[0] if kind_0 == ANY else kind_0
        k1 = any_kinds[1] if kind_1 == ANY else kind_1
        k2 = any_kinds[2] if kind_2 == ANY else kind_2
        heavy = with_mass if mass == ANY else mass
        stratified = with_zones if zones == ANY else zones
        tapped = with_uses if uses == ANY else uses
        zero, one = real(0.0), real(1.0)
        c = zero, one, real(HOUR_S), real(1.0 / HOUR_S), real(ROUNDING_W), real(WANTED_SHARE), real(SMALL)
        count, mass_at = shares.shape[1] - 1, (MASS - SLAB_SLAB) * width
        degree = real(COLD_K)
        w = np.zeros(WORK * width if stamp >= 0 else 0, dtype=real)
        for b in range(lanes.shape[0]):
            sums[b], energy[b], peaks[b] = 0.0, 0.0, 0.0
            for at in range(len(w)):
                w[at] = zero
            for row in range(LANES):
                for lane in range(width):
                    w[row * width + lane] = lanes[b, row, lane]
            if own:
                part.fill_house(w, width, heavy, hours, degrees, own_hours, b, own_at, 0)
            for lane in range(width):
                setpoint, excess, loss = hours[ROOM, 0], degrees[0], w[LOSS * width + lane]
                if own:
                    setpoint, excess = w[(HOUR + ROOM) * width + lane], w[(HOUR + DEGREES) * width + lane]
                setpoint = setpoint + w[INDOOR * width + lane]
                full = loss * above(zero, excess + w[SHIFT * width + lane]) if loss > zero else hours[DEMAND, 0]
                w[TANK_C * width + lane], w[ROOM_C * width + lane] = w[START * width + lane], setpoint
                w[HOT_C * width + lane], w[COLD_C * width + lane] = w[START * width + lane], w[START * width + lane]
                w[SLAB_C * width + lane] = setpoint + full * w[mass_at + FLOOR_RESISTANCE * width + lane]
                w[LOWEST * width + lane] = real(1e3)
            coldest = real(1e3)
            for piece in range(len(month)):
                i0, i1, i2 = slots[piece, 0], slots[piece, 1], slots[piece, 2]
                for slot in range(count):
                    part.take(w, lanes[b], slot, slots[piece, slot], width)
                for t in range(first[piece], first[piece + 1]):
                    room_c, excess, typed, limit = hours[ROOM, t], degrees[t], hours[DEMAND, t], hours[FLOOR_LIMIT, t]
                    gains, slab_weather, room_weather = hours[GAINS, t], hours[SLAB_WEATHER, t], hours[ROOM_WEATHER, t]
                    precharge, cold = hours[PRECHARGE, t], hours[COLD_BELOW, t]
                    taps = zero, one, zero
                    if tapped:
                        taps = hours[USE, t], hours[USE_NEED, t], hours[USE_COLD, t]
                    hour_0 = part.hour_of(source_hours, per_heat, i0, t)
                    hour_1 = part.hour_of(source_hours, per_heat, i1, t)
                    hour_2 = part.hour_of(source_hours, per_heat, i2, t)
                    if own:
                        part.fill_house(w, width, heavy, hours, degrees, own_hours, b, own_at, t)
                        part.fill_source(w, width, 0, k0, hour_0, own_hours, b, own_at, i0, t)
                        part.fill_source(w, width, 1, k1, hour_1, own_hours, b, own_at, i1, t)
                        part.fill_source(w, width, 2, k2, hour_2, own_hours, b, own_at, i2, t)
                    coldest = below(coldest, room_c)
                    for lane in range(width):
                        if own:
                            at = HOUR * width + lane
                            room_c, excess = w[at + ROOM * width], w[at + DEGREES * width]
                            if heavy:
                                gains, slab_weather = w[at + GAINS * width], w[at + SLAB_WEATHER * width]
                                room_weather, precharge = w[at + ROOM_WEATHER * width], w[at + PRECHARGE * width]
                                cold = w[at + COLD_BELOW * width]
                            hour_0 = part.own_hour(w, 0, lane, width)
                            hour_1 = part.own_hour(w, 1, lane, width)
                            hour_2 = part.own_hour(w, 2, lane, width)
                        loss, rise, water = w[LOSS * width + lane], w[RISE * width + lane], w[WATER * width + lane]
                        tank, setpoint = w[TANK_C * width + lane], room_c + w[INDOOR * width + lane]
                        full = loss * above(zero, excess + w[SHIFT * width + lane])
                        if width == 1:
                            full = full if loss > zero else typed
                        most_call = below(limit, w[LIMIT * width + lane])
                        call, sink = below(full, most_call), setpoint
                        slab, room, alone_slab, alone_room = zero, setpoint, zero, zero
                        at = mass_at + lane
                        if heavy:
                            slab, room = w[SLAB_C * width + lane], w[ROOM_C * width + lane]
                            alone_slab = w[at + SLAB_SLAB * width] * slab + w[at + SLAB_ROOM * width] * room
                            alone_slab = alone_slab + w[at + SLAB_GAIN * width] * gains + slab_weather
                            alone_room = w[at + ROOM_SLAB * width] * slab + w[at + ROOM_ROOM * width] * room
                            alone_room = alone_room + w[at + ROOM_GAIN * width] * gains + room_weather
                            ahead = precharge if room < w[at + ROOM_CEILING * width] else zero
                            wish = setpoint + full * w[at + FLOOR_RESISTANCE * width]
                            wish = wish + w[at + SLAB_FEEDBACK * width] * (setpoint - room) + ahead
                            call = (wish - alone_slab) * w[PER_SLAB_HEAT * width + lane]
                            call, sink = below(above(zero, call), most_call), slab
                        wanted, head = call, w[TOP * width + lane] - sink
                        hottest = above(zero, head) * w[PER_WATER * width + lane]
                        call = hottest if call * water > head else call
                        beyond = wanted - call
                        idle = setpoint + w[KEEP * width + lane] * (tank - setpoint)
                        kinds, source_rows = (k0, k1, k2), (hour_0, hour_1, hour_2)
                        if stratified:
                            found_0, found_1, found_2, given, delivered, used, duty = layered.hour_of_zones(
                                w, lane, width, kinds, source_rows, call, sink, setpoint, most_call, taps, c
                            )
                        else:
                            found_0, found_1, found_2, given, delivered, used, duty = part.hour_of_mixed_tank(
                                w, lane, width, kinds, source_rows, call, sink, idle, most_call, taps, tapped, c
                            )
                        duty = duty if delivered > c[part.ROUNDING] else zero
                        net = given - delivered
                        if tapped:
                            net = net - used
                        w[TANK_C * width + lane] = idle + rise * net
                        vented = zero
                        if heavy:
                            slab = alone_slab + w[at + SLAB_HEAT * width] * delivered
                            warm = alone_room + w[at + ROOM_HEAT * width] * delivered
                            vented = above(zero, warm - w[at + ROOM_CEILING * width])
                            room = below(warm, w[at + ROOM_CEILING * width])
                            w[SLAB_C * width + lane], w[ROOM_C * width + lane] = slab, room
                            # demand is the house's; what the controller asks for to catch up is not
                            lacking = below(full, w[at + HOUSE_LOSS * width] * (cold + degree - room))
                            short = lacking if room < cold else zero
                            beyond = beyond if room < cold else zero
                        else:
                            short = full - delivered
                        counted = short if short > c[part.ROUNDING] else zero
                        w[WANTED * width + lane] += full
                        w[GIVEN * width + lane] += delivered
                        w[MISSING * width + lane] += counted
                        if tapped:
                            w[USE_WANTED * width + lane] += taps[0]
                            lacking = taps[0] - used
                            w[USE_MISSING * width + lane] += lacking if lacking > c[part.ROUNDING] else zero
                        w[HOURS_SHORT * width + lane] += one if counted > zero else zero
                        w[WORST * width + lane] = above(w[WORST * width + lane], counted)
                        w[RUNNING * width + lane] += duty
                        if heavy or own:
                            w[LOWEST * width + lane] = below(w[LOWEST * width + lane], room)
                        used_0, aux_0 = part.book(w, 0, lane, width, k0, found_0, hour_0[PER_HEAT], c)
                        used_1, aux_1 = part.book(w, 1, lane, width, k1, found_1, hour_1[PER_HEAT], c)
                        used_2, aux_2 = part.book(w, 2, lane, width, k2, found_2, hour_2[PER_HEAT], c)
                        aux = aux_0 + aux_1 + aux_2
                        if fans:
                            w[(USED + 3) * width + lane] += aux
                        else:
                            aux = zero
                        if hourly:
                            aux = aux + w[PUMP * width + lane] * duty
                            w[NOW * width + lane], w[(NOW + 1) * width + lane] = used_0, used_1
                            w[(NOW + 2) * width + lane], w[(NOW + 3) * width + lane] = used_2, aux
                        if width == 1 and out.shape[1] > 0:
                            lost = w[STATE_LOSS] * (tank - setpoint) + w[NET_LOSS] * net
                            out[DELIVERED, t], out[SHORT, t], out[CALL, t], out[BEYOND, t] = (
                                delivered,
                                short,
                                wanted,
                                beyond,
                            )
                            out[TANK, t], out[TANK_LOSS, t], out[VENTED, t] = idle + rise * net, lost, vented
                            out[SLAB_T, t], out[ROOM_T, t] = slab if heavy else sink, room
                            out[HOT_T, t] = w[HOT_C] if stratified else out[TANK, t]
                            out[COLD_T, t] = w[COLD_C] if stratified else out[TANK, t]
                            out[HOT_PART, t], out[USE_GIVEN, t] = w[HOT] if stratified else zero, used
                            out[DUTY, t] = duty
                            part.keep(kept, t, i0, k0, found_0)
                            part.keep(kept, t, i1, k1, found_1)
                            part.keep(kept, t, i2, k2, found_2)
                    if hourly:
                        part.meter(w, width, t, b, month[piece], piece, slots, meters, payers, peaks, power)
                hours_in = first[piece + 1] - first[piece]
                part.flush(w, width, month[piece], slots[piece], shares[piece], hours_in, sums[b], energy[b])
            if not (heavy or own):
                for lane in range(width):
                    w[LOWEST * width + lane] = coldest + w[INDOOR * width + lane]
            part.finish(w, width, sums[b])

    return compiled(years)
