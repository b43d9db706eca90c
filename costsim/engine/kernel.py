"""The hour-by-hour balance, compiled. It knows arrays and a few behaviours, never models of heat source.

One tank, mixed or stratified, serves floor and uses. In every hour the sources give, in order, what is still missing to hold the tank
at the temperature the floor needs, or at the higher temperature a storing source is allowed to reach. What cannot be
used is dumped. With mass, slab and room carry over from hour to hour. The steps of an hour stand in `balance`, in their order.

There is one balance. It is compiled for one scenario, `build(1)`, which takes any plant and can keep its hours, and for
sixteen side by side, `build(16, ...)`, once for each topology. The lanes stand innermost, all they carry lies in one
flat array at literal places, and nothing branches on a lane: that lets the compiler use vector instructions. Nothing
is reordered or fused, so both give the same bits.
"""

from __future__ import annotations

import functools
import hashlib
from typing import Any, Final, NamedTuple

import numpy as np

from costsim.engine import access, balance, layered_hour, ledger
from costsim.engine.access import inline
from costsim.engine.balance import smaller
from costsim.engine.compiling import compiled, scratch
from costsim.engine.layout import (
    ANY,
    COLD_K,
    DEMAND,
    FIRST,
    FLOOR_LIMIT,
    LAYERED_WORK,
    NOT_KEPT_C,
    ROOM,
    SECOND,
    THIRD,
    WIDTH,
    WORK,
)
from costsim.engine.object_code import sources


def _stamp() -> int:
    """A number that changes with what the kernel is put together from, which the cache on disk does not watch."""
    return int(hashlib.sha256(sources()).hexdigest()[:12], 16)


STAMP: Final = _stamp()


class Kept(NamedTuple):
    """What an hour leaves beside what floor and uses got, where the hours are kept."""

    tank_c: Any
    short: Any
    wanted: Any
    beyond: Any
    slab_c: Any
    room_c: Any
    vented: Any
    loss: Any


@inline
def book(
    w: Any, lane: int, kinds: Any, offers: Any, tank: Any, hour: Any, asked: Any, done: Any, taps: Any,
    heavy: int, tapped: int, own: int, hourly: int, fans: int, pumps: int,
) -> Any:  # fmt: skip
    """Tank, slab and room at the hour's end, what the house lacks, and the books."""
    mass, tank_c, setpoint = access.mass_of(w, lane), access.state_of(w, lane).tank_c, asked.setpoint
    idle = balance.at_rest(tank, tank_c, setpoint)
    net = done.given - done.delivered
    if tapped:
        net = net - done.used
    after_c = idle + tank.rise * net
    access.keep_tank(w, lane, after_c)

    # what the house lacks
    slab_c, room_c, beyond = setpoint, setpoint, asked.wanted - asked.call
    vented, short = 0.0, asked.full - done.delivered
    if heavy:
        slab_c, room_c, vented = balance.slab_and_room(mass, asked.alone_slab, asked.alone_room, done.delivered)
        access.keep_mass(w, lane, slab_c, room_c)
        # demand is the house's; what the controller asks for to catch up is not
        cold = room_c < hour.cold_below
        lacking = smaller(asked.full, mass.house_loss * (hour.cold_below + COLD_K - room_c))
        short, beyond = lacking if cold else 0.0, beyond if cold else 0.0

    ledger.note_hour(w, lane, asked.full, done.delivered, short)
    if pumps:
        access.add_running(w, lane, done.duty)
    if tapped:
        ledger.note_uses(w, lane, taps.use, done.used)
    if heavy or own:
        access.keep_lowest(w, lane, smaller(access.lowest_of(w, lane).lowest, room_c))
    inputs, auxiliary = ledger.inputs_of(w, lane, kinds, done.found, offers)
    if fans:
        access.add_auxiliary(w, lane, auxiliary)
    if hourly:
        ledger.keep_inputs(w, lane, inputs, auxiliary if fans else 0.0, done.duty if pumps else 0.0)
    loss = balance.tank_loses(access.loss_of(w, lane), tank_c - setpoint, net)
    return Kept(after_c, short, asked.wanted, beyond, slab_c, room_c, vented, loss)


@inline
def hour_of_mixed(
    w: Any, lane: int, kinds: Any, offers: Any, hour: Any, excess: Any, limit: Any, typed: Any, taps: Any,
    heavy: int, tapped: int, own: int, hourly: int, fans: int, pumps: int, alone: int,
) -> Any:  # fmt: skip
    """One hour of one lane, of any plant whose tank is mixed: what a form leaves out falls away where the hour is put into it.

    It is compiled once for all forms.
    """
    tank = access.tank_of(w, lane)
    asked = balance.house_calls(w, lane, tank, hour, excess, limit, typed, heavy, alone)
    idle = balance.at_rest(tank, access.state_of(w, lane).tank_c, asked.setpoint)
    done = balance.mixed_tank(w, lane, kinds, offers, tank, asked.call, asked.sink, idle, asked.most, taps, tapped)
    kept = book(w, lane, kinds, offers, tank, hour, asked, done, taps, heavy, tapped, own, hourly, fans, pumps)
    return done, kept


@inline
def end_of_layered(
    w: Any, lane: int, kinds: Any, offers: Any, hour: Any, excess: Any, limit: Any, typed: Any, taps: Any,
    heavy: int, tapped: int, own: int, hourly: int, fans: int, pumps: int, alone: int,
) -> Any:  # fmt: skip
    """The last step of an hour of a stratified tank."""
    tank = access.tank_of(w, lane)
    asked = balance.house_calls(w, lane, tank, hour, excess, limit, typed, heavy, alone)
    done = layered_hour.settle(w, lane, kinds, offers, tank)
    kept = book(w, lane, kinds, offers, tank, hour, asked, done, taps, heavy, tapped, own, hourly, fans, pumps)
    return done, kept


@functools.cache
def build(
    width: int,
    kinds: tuple[int, int, int] = (ANY,) * 3,
    mass: int = ANY,
    own: bool = False,
    hourly: bool = True,
    fans: bool = True,
    zones: int = 0,
    uses: int = ANY,
    pumps: bool = True,
    stack: bool = True,
) -> Any:
    """Make the kernel for a number of lanes and a topology.

    Parameters
    ----------
    width : int
        1 or `WIDTH`.
    kinds : tuple of int
        Behaviour of the source in each slot (`BATCH_FIRED` and on, in `layout`), 0 for none; `ANY` leaves it to the call, which one
        lane alone can do well.
    mass : int
        1 with slab and room, 0 without; `ANY` leaves it to the call.
    own : bool
        Lanes have hourly rows of their own.
    hourly : bool
        Electricity of each hour or the peaks of demand charges are asked for.
    fans : bool
        Sources have electricity of their own.
    zones : int
        1 with a stratified tank, 0 with a mixed one.
    uses : int
        1 with hot water or other uses of the tank, 0 without; `ANY` leaves it to the call.
    pumps : bool
        The floor's pumps take electricity.
    stack : bool
        What a block carries lies on the processor's stack; False for a device, which gives it room itself.

    Returns
    -------
    callable
        Takes what `costsim.engine.block` prepares.
    """
    # typed, so that what takes a kind is compiled once for all
    kind_0, kind_1, kind_2 = (np.int64(kind) for kind in kinds)
    flags = tuple(np.int64(flag) for flag in (own, hourly, fans, pumps, width == 1))
    layers, own_now = np.int64(zones), np.int64(own)
    stamp, wide, space = STAMP, np.int64(width), (LAYERED_WORK if zones else WORK) * WIDTH

    def years(  # type: ignore[no-untyped-def]
        w, with_mass, with_uses, hours, degrees, source_hours, per_heat, any_kinds, first, month, slots, shares, lanes, own_values,
        own_at, own_entries, meters, payers, free, takers, sums, energy, peaks, power, out, kept,
    ):  # fmt: skip
        k0 = any_kinds[0] if kind_0 == ANY else kind_0
        k1 = any_kinds[1] if kind_1 == ANY else kind_1
        k2 = any_kinds[2] if kind_2 == ANY else kind_2
        kinds, count = (k0, k1, k2), shares.shape[1] - 1
        heavy = with_mass if mass == ANY else np.int64(mass)
        tapped = with_uses if uses == ANY else np.int64(uses)
        own_rows = own_values, own_at, own_entries
        if stack:
            w = scratch(space)  # type: ignore[call-arg]
        for b in range(lanes.shape[0] if stamp >= 0 else 0):  # always; it puts the stamp into what the cache goes by
            ledger.begin(w, wide, lanes, b, sums, energy, peaks)
            if own:
                ledger.fill_house(w, wide, heavy, hours, degrees, own_rows, b, 0)
            for lane in range(wide):
                setpoint, excess = hours[ROOM, 0], degrees[0]
                if own:
                    setpoint, excess = access.own_house_hour(w, lane).room, access.own_excess(w, lane).degrees
                ledger.start(w, lane, setpoint, excess, hours[DEMAND, 0])
            coldest = ledger.NO_ROOM_YET_C
            for piece in range(len(month)):
                i0, i1, i2 = slots[piece, 0], slots[piece, 1], slots[piece, 2]
                ledger.take(w, wide, lanes, b, slots, piece, count)
                for t in range(first[piece], first[piece + 1]):
                    hour, excess, typed, limit = (
                        access.house_hour(hours, t),
                        degrees[t],
                        hours[DEMAND, t],
                        hours[FLOOR_LIMIT, t],
                    )
                    taps = access.taps_hour(hours, t) if tapped else access.Taps(0.0, NOT_KEPT_C, NOT_KEPT_C - 1.0)
                    offer_0 = balance.offer_of(source_hours, per_heat, i0, t)
                    offer_1 = balance.offer_of(source_hours, per_heat, i1, t)
                    offer_2 = balance.offer_of(source_hours, per_heat, i2, t)
                    if own:
                        ledger.fill_house(w, wide, heavy, hours, degrees, own_rows, b, t)
                        ledger.fill_source(w, wide, FIRST, k0, offer_0, own_rows, b, i0, t)
                        ledger.fill_source(w, wide, SECOND, k1, offer_1, own_rows, b, i1, t)
                        ledger.fill_source(w, wide, THIRD, k2, offer_2, own_rows, b, i2, t)
                    coldest = smaller(coldest, hour.room)
                    shared = (hour, excess, (offer_0, offer_1, offer_2))
                    if zones:
                        layered_hour.tank_hour(w, wide, kinds, shared, limit, typed, taps, heavy, tapped, *flags)
                    for lane in range(wide):
                        hour, excess, offers = access.hour_of_lane(w, lane, *shared, own_now)
                        if zones:
                            done, outputs = end_of_layered(
                                w, lane, kinds, offers, hour, excess, limit, typed, taps, heavy, tapped, *flags
                            )
                        else:
                            done, outputs = hour_of_mixed(
                                w, lane, kinds, offers, hour, excess, limit, typed, taps, heavy, tapped, *flags
                            )
                        if width == 1 and out.shape[1] > 0:
                            ledger.keep_hour(w, out, t, done, outputs, layers)
                        if width == 1 and kept.shape[2] > 0:
                            ledger.keep_source(kept, t, i0, k0, done.found[0])
                            ledger.keep_source(kept, t, i1, k1, done.found[1])
                            ledger.keep_source(kept, t, i2, k2, done.found[2])
                    if hourly:
                        ledger.meter(w, wide, t, b, month, slots, piece, meters, payers, peaks, power, free, takers)
                ledger.flush(w, wide, first, month, slots, shares, piece, b, sums, energy)
                if hourly:
                    ledger.flush_covered(w, wide, month, shares, piece, b, energy)
            ledger.finish(w, wide, sums, b, coldest, heavy or own)

    return compiled(years, in_step=width > 1 and not zones)
