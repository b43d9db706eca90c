"""The hour of stratified tanks, in steps that the lanes of a block take one after the other, all of them each.

A step that no lane needs is left out: where nothing is drawn no boundary moves, where no zone runs empty none follows, where nothing
is stored nothing is charged. What is left out would have changed nothing, so the bits are the same; the divisions that it
would have taken, sixteen lanes of them, are most of what an hour costs. `access` names what passes from step to step.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from costsim.engine import access, layered
from costsim.engine.access import inline
from costsim.engine.balance import Found, Hour, at_rest, fire, house_calls, larger, smaller, told_capacity
from costsim.engine.layout import BATCH_FIRED, DISPATCHABLE, FIRST, ROUNDING_W, SECOND, SMALL, SOLAR, THIRD

USES, FLOOR = np.int64(0), np.int64(1)
"""Who is served, one after the other; typed, so that what takes it is compiled once."""


@inline
def tank_hour(
    w: Any, width: int, kinds: Any, shared: Any, limit: Any, typed: Any, taps: Any,
    heavy: int, tapped: int, own: int, hourly: int, fans: int, pumps: int, alone: int,
) -> None:  # fmt: skip
    """All of an hour but its end, `settle`."""
    for lane in range(width):
        hour, excess, offers = access.hour_of_lane(w, lane, *shared, own)
        rest_and_burn(w, lane, kinds, offers, hour, excess, limit, typed, taps, heavy, alone)
    if kinds[0] == SOLAR:
        shine(w, width, FIRST, shared, own)
    if kinds[1] == SOLAR:
        shine(w, width, SECOND, shared, own)
    if kinds[2] == SOLAR:
        shine(w, width, THIRD, shared, own)
    for lane in range(width):
        _, _, offers = access.hour_of_lane(w, lane, *shared, own)
        begin(w, lane, kinds, offers, taps)
    if tapped and taps.use > 0.0:
        serve(w, width, USES, taps, 0)
    serve(w, width, FLOOR, taps, pumps)
    charged = np.int64(0)
    for lane in range(width):
        _, _, offers = access.hour_of_lane(w, lane, *shared, own)
        charged |= share_out(w, lane, kinds, offers, taps)
    if charged > 0:
        for lane in range(width):
            charge(w, lane, taps)


# ---- what burns and shines ----


@inline
def rest_and_burn(
    w: Any, lane: int, kinds: Any, offers: Any, hour: Any, excess: Any, limit: Any, typed: Any, taps: Any, heavy: int, alone: int
) -> None:  # fmt: skip
    """The zones cool, and lit fires burn."""
    tank, zones = access.tank_of(w, lane), access.zones_of(w, lane)
    asked = house_calls(w, lane, tank, hour, excess, limit, typed, heavy, alone)
    hot, hot_c = zones.hot, at_rest(tank, zones.hot_c, asked.setpoint)
    cold_c = at_rest(tank, zones.cold_c, asked.setpoint)
    access.keep_zones(w, lane, hot, hot_c, cold_c)
    access.keep_call(w, lane, asked.call, asked.sink, asked.most)
    space = (tank.top - (hot * hot_c + (1.0 - hot) * cold_c)) * tank.per_rise
    need = layered.hottest_of(asked.call, asked.sink, tank.water, taps)
    held = (hot * larger(0.0, hot_c - need) + (1.0 - hot) * larger(0.0, cold_c - need)) * tank.per_rise
    wants = asked.call + taps.use
    first = second = third = Found(0.0, 0.0, 0.0, 0.0)
    if kinds[0] == BATCH_FIRED:
        first = fire(w, FIRST, lane, kinds, offers[0], space, held, wants, 0.0, (0.0, 0.0))
        access.keep_burns(w, FIRST, lane, first.heat, first.able, first.left)
    if kinds[1] == BATCH_FIRED:
        second = fire(w, SECOND, lane, kinds, offers[1], space, held, wants, first.heat, (first.lit, 0.0))
        access.keep_burns(w, SECOND, lane, second.heat, second.able, second.left)
    if kinds[2] == BATCH_FIRED:
        lit, given = (first.lit, second.lit), first.heat + second.heat
        third = fire(w, THIRD, lane, kinds, offers[2], space, held, wants, given, lit)
        access.keep_burns(w, THIRD, lane, third.heat, third.able, third.left)
    burnt = first.heat + second.heat + third.heat
    access.keep_space(w, lane, smaller(space, space + wants - burnt), burnt)


@inline
def shine(w: Any, width: int, slot: int, shared: Any, own: int) -> None:
    """The sun enters at the bottom; by night zones that are equally warm are one."""
    sunny = np.int64(0)
    for lane in range(width):
        _, _, offers = access.hour_of_lane(w, lane, *shared, own)
        sunny |= np.int64(offers[slot].capacity > 0.0)
    if sunny > 0:
        for lane in range(width):
            _, _, offers = access.hour_of_lane(w, lane, *shared, own)
            zones, free, slope = (
                access.zones_of(w, lane),
                access.space_of(w, lane).free,
                access.collector_of(w, slot, lane).slope,
            )
            heat, able, hot_c, cold_c, hot = layered.shine(
                slope,
                offers[slot].capacity,
                free,
                zones.hot_c,
                zones.cold_c,
                zones.hot,
                access.tank_of(w, lane).per_rise,
            )
            access.keep_zones(w, lane, hot, hot_c, cold_c)
            access.keep_shines(w, slot, lane, heat, able)
            access.keep_free(w, lane, free - heat)
    else:
        for lane in range(width):
            zones = access.zones_of(w, lane)
            hot_c, cold_c, hot = layered.one_where_even(zones.hot_c, zones.cold_c, zones.hot)
            access.keep_zones(w, lane, hot, hot_c, cold_c)
            access.keep_shines(w, slot, lane, 0.0, 0.0)


# ---- what is drawn ----


@inline
def begin(w: Any, lane: int, kinds: Any, offers: Any, taps: Any) -> None:
    """What is charged in this hour serves in it: storing sources give to what is drawn, and the store takes the rest."""
    tank, zones, call = access.tank_of(w, lane), access.zones_of(w, lane), access.call_of(w, lane)
    hottest = layered.hottest_of(call.calls, call.sinks, tank.water, taps)
    top_c = zones.hot_c if zones.hot > SMALL else zones.cold_c
    first = layered.charges_now(kinds[0], offers[0], tank.top, top_c, hottest)
    second = layered.charges_now(kinds[1], offers[1], tank.top, top_c, hottest)
    third = layered.charges_now(kinds[2], offers[2], tank.top, top_c, hottest)
    access.keep_begins(w, FIRST, lane, first)
    access.keep_begins(w, SECOND, lane, second)
    access.keep_begins(w, THIRD, lane, third)
    ready = access.space_of(w, lane).burnt + first + second + third
    access.keep_ready(w, lane, ready, told_capacity(kinds, offers) - (first + second + third))
    access.keep_tapped(w, lane, 0.0, 0.0)
    access.keep_tapped_fired(w, lane, smaller(ready, taps.use))


@inline
def fired_of(ready: Any, taken: Any, call: Any) -> Any:
    """What fires and storing sources give to the floor, of what the uses have left."""
    return smaller(ready.ready - taken.tapped_fired, call)


@inline
def asks_of(w: Any, lane: int, who: int, taps: Any) -> Any:
    """What is asked, and the least and most that what runs adds to it; hot water and other uses come before the floor."""
    ready, taken = access.ready_of(w, lane), access.tapped_of(w, lane)
    if who == USES:
        span = (taps.use_need - taps.use_cold) / taps.use
        over, fired = 1.0 / span, taken.tapped_fired
        asks = layered.Asks(taps.use, taps.use_cold, span, span, over, over, taps.use)
        most = fired + (ready.ready - fired) + ready.others
    else:
        tank, call = access.tank_of(w, lane), access.call_of(w, lane)
        asks = layered.Asks(call.calls, call.sinks, tank.water, tank.drop, tank.per_water, tank.per_drop, call.most)
        fired = fired_of(ready, taken, call.calls)
        most = fired + larger(0.0, ready.ready - taken.tapped_fired - fired)
        most = most + larger(0.0, ready.others - (taken.tapped_lifted - taken.tapped_fired))
    return asks, (fired, most)


@inline
def note(w: Any, lane: int, who: int, drawn: Any, lifted: Any, pumped: Any) -> None:
    """Keep what was served."""
    if who == USES:
        access.keep_tapped(w, lane, drawn + lifted, lifted)
    else:
        access.keep_got(w, lane, drawn, lifted, pumped)


@inline
def serve(w: Any, width: int, who: int, taps: Any, pumps: int) -> None:
    """Serve what is asked of all lanes."""
    called, drawn, empty = np.int64(0), np.int64(0), np.int64(0)
    for lane in range(width):
        zones, w_k = access.zones_of(w, lane), access.tank_of(w, lane).per_rise
        asks, helps = asks_of(w, lane, who, taps)
        hot_c, hot = layered.zone_on_top(zones.hot_c, zones.cold_c, zones.hot)
        lifted, could, taken, back = layered.flow(hot_c, asks, helps)
        note(w, lane, who, taken, lifted, 0.0)
        access.keep_flow(w, lane, could, taken, back)
        called |= np.int64(asks.call > 0.0)
        drawn |= np.int64(taken > 0.0)
        empty |= np.int64(taken > hot * w_k * larger(0.0, hot_c - back))
    if empty > 0:
        for lane in range(width):
            zones, w_k = access.zones_of(w, lane), access.tank_of(w, lane).per_rise
            asks, helps = asks_of(w, lane, who, taps)
            taken, lifted, pumped, hot_c, cold_c, hot = layered.serve(
                zones.hot_c, zones.cold_c, zones.hot, asks, helps, w_k
            )
            note(w, lane, who, taken, lifted, pumped)
            access.keep_zones(w, lane, hot, hot_c, cold_c)
    elif drawn > 0:
        for lane in range(width):
            zones, flow, w_k = access.zones_of(w, lane), access.flow_of(w, lane), access.tank_of(w, lane).per_rise
            hot_c, hot = layered.zone_on_top(zones.hot_c, zones.cold_c, zones.hot)
            moved = layered.replaced_by(flow.draws, hot, larger(0.0, hot_c - flow.back), w_k)
            cold_c, hot = layered.draw(zones.cold_c, hot, moved, flow.back)
            cold_c, hot = layered.one_where_full(hot_c, cold_c, hot)
            access.keep_zones(w, lane, hot, hot_c, cold_c)
    else:
        for lane in range(width):
            zones = access.zones_of(w, lane)
            hot_c, hot = layered.zone_on_top(zones.hot_c, zones.cold_c, zones.hot)
            cold_c, hot = layered.one_where_full(hot_c, zones.cold_c, hot)
            access.keep_zones(w, lane, hot, hot_c, cold_c)
    if pumps and empty == 0 and called > 0:
        for lane in range(width):
            call = access.call_of(w, lane)
            access.keep_pumped(w, lane, layered.duty(call.calls, access.flow_of(w, lane).could, call.most))


# ---- what is stored ----


class Dispatched(NamedTuple):
    """After a source was dispatched: what is missing of the call, what is stored, that times its goals, and what of it keeps the top hot."""

    missing: Any
    stored: Any
    goals: Any
    held: Any


@inline
def dispatch(
    w: Any, lane: int, slot: Any, kind: int, offer: Any, taps: Any, tank: Any, zones: Any, need: Any, first: Any, so_far: Any
) -> Any:  # fmt: skip
    """Have a source give to what is drawn and to the store, after those before it."""
    serves, stores, goal, holds = layered.told_gives(
        kind, offer, tank.top, need, first, so_far.missing, so_far.stored, zones.hot_c, zones.cold_c, zones.hot, tank.per_rise, tank.held, taps
    )  # fmt: skip
    access.keep_gives(w, slot, lane, serves, stores)
    return Dispatched(
        so_far.missing - (serves - first), so_far.stored + stores, so_far.goals + stores * goal, so_far.held + holds
    )


@inline
def share_out(w: Any, lane: int, kinds: Any, offers: Any, taps: Any) -> Any:
    """What each source gives to what is drawn and to the store; whether anything is stored."""
    tank, zones, call = access.tank_of(w, lane), access.zones_of(w, lane), access.call_of(w, lane)
    taken, burnt = access.tapped_of(w, lane), access.space_of(w, lane).burnt
    need = layered.hottest_of(call.calls, call.sinks, tank.water, taps)
    lifted = access.got_of(w, lane).lifted + taken.tapped_lifted
    fired = fired_of(access.ready_of(w, lane), taken, call.calls) + taken.tapped_fired
    by_fires = smaller(burnt, lifted)
    stored = burnt - by_fires
    left = smaller(fired - by_fires, lifted - by_fires)
    first = smaller(access.begins_of(w, FIRST, lane).begins, left)
    second = smaller(access.begins_of(w, SECOND, lane).begins, left - first)
    third = smaller(access.begins_of(w, THIRD, lane).begins, left - first - second)
    so_far = Dispatched(lifted - by_fires - first - second - third, stored, stored * tank.top, 0.0)
    so_far = dispatch(w, lane, FIRST, kinds[0], offers[0], taps, tank, zones, need, first, so_far)
    so_far = dispatch(w, lane, SECOND, kinds[1], offers[1], taps, tank, zones, need, second, so_far)
    so_far = dispatch(w, lane, THIRD, kinds[2], offers[2], taps, tank, zones, need, third, so_far)
    access.keep_stored(w, lane, so_far.stored, so_far.goals, so_far.held)
    return np.int64(so_far.stored > SMALL)


@inline
def charge(w: Any, lane: int, taps: Any) -> None:
    """What fires have left and what storing sources can charges the rest."""
    tank, zones, call, put = (
        access.tank_of(w, lane),
        access.zones_of(w, lane),
        access.call_of(w, lane),
        access.stored_of(w, lane),
    )
    need, if_any = layered.hottest_of(call.calls, call.sinks, tank.water, taps), put.stored > SMALL
    goal = put.goals / put.stored if if_any else tank.top
    w_k = tank.per_rise
    hot_c, raised, stirs = layered.keep_hot(
        put.holds, layered.held_c(tank.top, taps), tank.held, zones.hot_c, zones.cold_c, zones.hot, w_k
    )
    stirs = stirs or put.stored - put.holds > SMALL
    hot_c, cold_c, hot = layered.charge(put.stored - raised, goal, need, hot_c, zones.cold_c, zones.hot, w_k, stirs)
    access.keep_zones(
        w, lane, hot if if_any else zones.hot, hot_c if if_any else zones.hot_c, cold_c if if_any else zones.cold_c
    )  # fmt: skip


# ---- the end ----


@inline
def found_of(w: Any, slot: int, lane: int, kind: int, offer: Any) -> Any:
    """What one source found, whichever its kind."""
    gives = access.gives_of(w, slot, lane)
    output = Found(gives.serves + gives.stores, offer.capacity if kind >= DISPATCHABLE else 0.0, 0.0, 0.0)
    if kind == BATCH_FIRED:
        burns = access.burns_of(w, slot, lane)
        output = Found(burns.burns, burns.could_burn, burns.left_to_burn, 0.0)
    if kind == SOLAR:
        shines = access.shines_of(w, slot, lane)
        output = Found(shines.shines, shines.could_shine, 0.0, 0.0)
    return output


@inline
def settle(w: Any, lane: int, kinds: Any, offers: Any, tank: Any) -> Any:
    """The zones mix a little, and are one where they are equally warm; what came of the hour."""
    zones, got, taken = access.zones_of(w, lane), access.got_of(w, lane), access.tapped_of(w, lane)
    hot, mean = zones.hot, zones.hot * zones.hot_c + (1.0 - zones.hot) * zones.cold_c
    hot_c, cold_c = mean + tank.strata * (zones.hot_c - mean), mean + tank.strata * (zones.cold_c - mean)
    same = hot * (hot_c - cold_c) <= SMALL
    access.keep_zones(w, lane, 0.0 if same else hot, mean if same else hot_c, mean if same else cold_c)
    first = found_of(w, FIRST, lane, kinds[0], offers[0])
    second = found_of(w, SECOND, lane, kinds[1], offers[1])
    third = found_of(w, THIRD, lane, kinds[2], offers[2])
    delivered = got.drawn + got.lifted
    pumped = got.pumped if delivered > ROUNDING_W else 0.0
    return Hour((first, second, third), first.heat + second.heat + third.heat, delivered, taken.tapped, pumped)
