"""The hour of a stratified tank: a hot zone over a cold one, with a boundary that moves as water is drawn and charged.

The floor is served from the top by whatever runs; sources that may store charge the rest with water at their target; the
sun and what returns from the floor enter at the bottom. Heat flows are watts over the hour, volumes shares of the tank,
and `w_k` is what a kelvin of the whole tank holds over an hour, its loss included, so that the tank's mean temperature
obeys the same balance as a mixed tank. Every step is explicit and bounded: any volume and any flow is stable.
"""
# ruff: noqa: F403, F405 -- the rows are the vocabulary of every line here

from __future__ import annotations

from typing import Any

from costsim.engine.kernel_parts import ONE, TINY, ZERO, above, below, fire, inline
from costsim.engine.layout import *

STORES_ABOVE_C = -500.0
"""A target below this says that a source does not store."""


@inline
def stage(zone_c: Any, volume: Any, hours: Any, asks: Any, helps: Any, w_k: Any, c: Any) -> Any:
    """Serve the floor from one zone: share of the hour it lasts, heat from store and sources, volume replaced, return, pumping.

    The zone's water goes to the floor through whatever runs, which lifts it to what the call needs as far as it can.
    """
    call, sink, water, drop, per_water, per_drop, limit = asks
    fired, most = helps
    lift = below(call, above(c[ZERO], (sink + call * water - zone_c) * per_drop))
    lifted = above(fired, below(most, lift))
    could = (zone_c - sink) * per_water + drop * per_water * lifted
    served = below(call, above(lifted, could))
    duty = call / above(above(call, below(could, limit)), c[TINY])
    drawn = served - lifted
    back = sink + served * (water - drop)
    fall = above(c[ZERO], zone_c - back)
    holds = volume * w_k * fall
    lasts = hours if drawn * hours <= holds else holds / drawn
    replaced = below(volume, lasts * drawn / (w_k * fall)) if fall > c[ZERO] else c[ZERO]
    return lasts, lasts * drawn, lasts * lifted, replaced, back, lasts * duty


@inline
def serve(hot_c: Any, cold_c: Any, hot: Any, asks: Any, helps: Any, w_k: Any, c: Any) -> Any:
    """Serve the call from the hot zone, then the cold one, then by sources alone."""
    call = asks[0]
    fired, most = helps
    # a tank that is one zone is served from as the hot one, and charged as the cold one
    whole = hot <= c[TINY]
    hot_c, hot = cold_c if whole else hot_c, c[ONE] if whole else hot
    lasts, from_hot, lifted_hot, moved, back, pumped_hot = stage(hot_c, hot, c[ONE], asks, helps, w_k, c)
    hot = hot - moved
    cold = c[ONE] - hot
    # what returns enters at the bottom
    cold_c = ((cold - moved) * cold_c + moved * back) / cold if moved > c[ZERO] else cold_c
    left = c[ONE] - lasts
    lasts, from_cold, lifted_cold, _, _, pumped_cold = stage(cold_c, cold, left, asks, helps, w_k, c)
    cold_c = cold_c - from_cold / (w_k * cold) if from_cold > c[ZERO] else cold_c
    alone = below(call, above(fired, most))
    lifted = lifted_hot + lifted_cold + (left - lasts) * alone
    pumped = pumped_hot + pumped_cold + (left - lasts)
    whole = cold <= c[TINY]
    cold_c, hot = hot_c if whole else cold_c, c[ZERO] if whole else hot
    return from_hot + from_cold, lifted, pumped, hot_c, cold_c, hot


@inline
def shine(
    w: Any, at: int, width: int, most: Any, space: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any, c: Any
) -> Any:
    """Collect into the cold zone, or into the whole tank once that is as warm as the hot one."""
    slope, cold = w[at + SLOPE * width], (c[ONE] - hot) * w_k
    mean = hot * hot_c + (c[ONE] - hot) * cold_c
    meets = (cold * cold_c + most) / above(cold + slope, c[TINY])
    meets = meets if meets <= hot_c else (w_k * mean + most) / (w_k + slope)
    able = above(c[ZERO], most - slope * meets) if most > c[ZERO] else c[ZERO]
    heat = below(able, above(c[ZERO], space))
    warmed = cold_c + heat / above(cold, c[TINY])
    whole = mean + heat / w_k
    merged = warmed > hot_c
    hot, hot_c, cold_c = c[ZERO] if merged else hot, whole if merged else hot_c, whole if merged else warmed
    return heat, able, hot_c, cold_c, hot


@inline
def charge(heat: Any, goal: Any, need: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any, c: Any) -> Any:
    """Take water from the bottom and bring it to the top at `goal` [°C]; what is left warms the whole."""
    # a zone too cool to serve is no hot zone
    demoted = hot_c < below(need, goal)
    cold_c = hot * hot_c + (c[ONE] - hot) * cold_c if demoted else cold_c
    hot = c[ZERO] if demoted else hot
    cold = c[ONE] - hot
    lift = goal - cold_c
    moved = below(cold, heat / (w_k * lift)) if lift > c[ZERO] else cold
    used = moved * lift * w_k
    grown = hot + moved
    hot_c = (hot * hot_c + moved * goal) / grown if grown > c[ZERO] else cold_c
    # all cold water is gone: the hot zone takes the rest; rounding stays where it is
    hot_c = hot_c + (heat - used) / (w_k * above(grown, c[TINY]))
    return hot_c, cold_c, grown


@inline
def charges_now(w: Any, lane: int, width: int, kind: int, hour: Any, top_c: Any, need: Any, zero: Any) -> Any:
    """What a storing source gives this hour anyhow, to the call before the store: all it has, unless the store is hotter than its goal."""
    able = zero
    if kind >= DISPATCHABLE:
        goal = below(w[TOP * width + lane], above(need, hour[TARGET]))
        able = hour[CAPACITY] if hour[TARGET] > STORES_ABOVE_C and top_c <= goal else zero
    return able


@inline
def told_hour(
    w: Any, slot: int, lane: int, width: int, kind: int, hour: Any, first: Any, missing: Any, zones: Any, need: Any
) -> Any:
    """What one dispatchable source gives to the call and to the store, with the goal it stores at."""
    hot_c, cold_c, hot, w_k, charged, zero, one, tiny = zones
    able = hour[CAPACITY] if kind >= DISPATCHABLE else zero
    serves = first + below(able - first, above(zero, missing))
    goal = below(w[TOP * width + lane], above(need, hour[TARGET]))
    room = hot * above(zero, goal - hot_c) + (one - hot) * above(zero, goal - cold_c)
    stores = below(able - serves, above(zero, room * w_k - charged))
    # what rounding leaves is no charge: it would stir the tank
    stores = stores if hour[TARGET] > STORES_ABOVE_C and stores > tiny else zero
    return serves, stores, goal, able


@inline
def hour_of_zones(
    w: Any, lane: int, width: int, kinds: Any, source_hours: Any, call: Any, sink: Any, setpoint: Any,
    most_call: Any, uses: Any,
    c: Any,
) -> Any:  # fmt: skip
    """One hour of the stratified tank: what each source found, heat given, delivered to the floor and to the uses, and the pumps' duty."""
    k0, k1, k2 = kinds
    hour_0, hour_1, hour_2 = source_hours
    zero, one = c[ZERO], c[ONE]
    keep, w_k, top = w[KEEP * width + lane], w[PER_RISE * width + lane], w[TOP * width + lane]
    water, drop = w[WATER * width + lane], w[DROP * width + lane]
    hot = w[HOT * width + lane]
    hot_c = setpoint + keep * (w[HOT_C * width + lane] - setpoint)
    cold_c = setpoint + keep * (w[COLD_C * width + lane] - setpoint)
    use, use_need, use_cold = uses
    need = sink + call * water
    wants = call + use
    asks = call, sink, water, drop, w[PER_WATER * width + lane], w[PER_DROP * width + lane], most_call
    space = (top - (hot * hot_c + (one - hot) * cold_c)) * w_k

    # lit fires burn, and the sun enters at the bottom
    burnt_0, able_0, left_0 = burn(w, 0, lane, width, k0, hour_0, space, wants, zero, c)
    burnt_1, able_1, left_1 = burn(w, 1, lane, width, k1, hour_1, space, wants, burnt_0, c)
    burnt_2, able_2, left_2 = burn(w, 2, lane, width, k2, hour_2, space, wants, burnt_0 + burnt_1, c)
    burnt = burnt_0 + burnt_1 + burnt_2
    free = below(space, space + wants - burnt)
    sun_0, sunny_0, hot_c, cold_c, hot = sun_of(w, 0, lane, width, k0, hour_0, free, hot_c, cold_c, hot, w_k, c)
    sun_1, sunny_1, hot_c, cold_c, hot = sun_of(w, 1, lane, width, k1, hour_1, free - sun_0, hot_c, cold_c, hot, w_k, c)
    sun_2, sunny_2, hot_c, cold_c, hot = sun_of(
        w, 2, lane, width, k2, hour_2, free - sun_0 - sun_1, hot_c, cold_c, hot, w_k, c
    )

    # hot water, then the call, are served from the top by whatever runs
    runs = hour_0[CAPACITY] if k0 >= DISPATCHABLE else zero
    runs = runs + (hour_1[CAPACITY] if k1 >= DISPATCHABLE else zero)
    runs = runs + (hour_2[CAPACITY] if k2 >= DISPATCHABLE else zero)
    # what is charged in this hour serves in it: storing sources give to what is drawn, and the store takes the rest
    hottest = above(need, use_need) if use > zero else need
    top_c = hot_c if hot > c[TINY] else cold_c
    now_0 = charges_now(w, lane, width, k0, hour_0, top_c, hottest, zero)
    now_1 = charges_now(w, lane, width, k1, hour_1, top_c, hottest, zero)
    now_2 = charges_now(w, lane, width, k2, hour_2, top_c, hottest, zero)
    ready, others = burnt + now_0 + now_1 + now_2, runs - (now_0 + now_1 + now_2)
    fired_use, used, lifted_use = below(ready, use), zero, zero
    if use > zero:
        span = (use_need - use_cold) / use
        taps = use, use_cold, span, span, one / span, one / span, use
        drawn, lifted_use, _, hot_c, cold_c, hot = serve(
            hot_c, cold_c, hot, taps, (fired_use, fired_use + (ready - fired_use) + others), w_k, c
        )
        used, need = drawn + lifted_use, hottest
    fired = below(ready - fired_use, call)
    most = fired + above(zero, ready - fired_use - fired) + above(zero, others - (lifted_use - fired_use))
    drawn, lifted, pumped, hot_c, cold_c, hot = serve(hot_c, cold_c, hot, asks, (fired, most), w_k, c)
    delivered = drawn + lifted

    # what fires have left and what storing sources can charges the rest
    given_fires = below(burnt, lifted + lifted_use)
    stored = burnt - given_fires
    goals = stored * top
    left = below(fired + fired_use - given_fires, lifted + lifted_use - given_fires)
    first_0 = below(now_0, left)
    first_1 = below(now_1, left - first_0)
    first_2 = below(now_2, left - first_0 - first_1)
    missing = lifted + lifted_use - given_fires - first_0 - first_1 - first_2
    zones = hot_c, cold_c, hot, w_k, stored, zero, one, c[TINY]
    serves_0, stores_0, goal, ready_0 = told_hour(w, 0, lane, width, k0, hour_0, first_0, missing, zones, need)
    missing, stored, goals = missing - (serves_0 - first_0), stored + stores_0, goals + stores_0 * goal
    zones = hot_c, cold_c, hot, w_k, stored, zero, one, c[TINY]
    serves_1, stores_1, goal, ready_1 = told_hour(w, 1, lane, width, k1, hour_1, first_1, missing, zones, need)
    missing, stored, goals = missing - (serves_1 - first_1), stored + stores_1, goals + stores_1 * goal
    zones = hot_c, cold_c, hot, w_k, stored, zero, one, c[TINY]
    serves_2, stores_2, goal, ready_2 = told_hour(w, 2, lane, width, k2, hour_2, first_2, missing, zones, need)
    stored, goals = stored + stores_2, goals + stores_2 * goal
    if_any = stored > c[TINY]
    goal = goals / stored if if_any else top
    charged_c, under_c, grown = charge(stored, goal, need, hot_c, cold_c, hot, w_k, c)
    hot_c, cold_c, hot = charged_c if if_any else hot_c, under_c if if_any else cold_c, grown if if_any else hot

    # the zones mix a little, and are one where they are equally warm
    mean = hot * hot_c + (one - hot) * cold_c
    held = w[STRATA * width + lane]
    hot_c, cold_c = mean + held * (hot_c - mean), mean + held * (cold_c - mean)
    same = hot * (hot_c - cold_c) <= c[TINY]
    hot, hot_c, cold_c = zero if same else hot, mean if same else hot_c, mean if same else cold_c
    w[HOT * width + lane], w[HOT_C * width + lane], w[COLD_C * width + lane] = hot, hot_c, cold_c

    found_0 = burnt_0 + sun_0 + serves_0 + stores_0, able_0 + sunny_0 + ready_0, left_0
    found_1 = burnt_1 + sun_1 + serves_1 + stores_1, able_1 + sunny_1 + ready_1, left_1
    found_2 = burnt_2 + sun_2 + serves_2 + stores_2, able_2 + sunny_2 + ready_2, left_2
    return found_0, found_1, found_2, found_0[0] + found_1[0] + found_2[0], delivered, used, pumped


@inline
def burn(
    w: Any, slot: int, lane: int, width: int, kind: int, hour: Any, space: Any, call: Any, given: Any, c: Any
) -> Any:
    """Heat, burning and fuel left of a fire; nothing of another kind."""
    heat, able, left = c[ZERO], c[ZERO], c[ZERO]
    if kind == BATCH_FIRED:
        at, fuel = (SLOT + slot * LANE_SCALARS) * width + lane, w[(FUEL + slot) * width + lane]
        heat, able, left = fire(
            fuel, hour, w[at + BURN_POWER * width], w[at + LEAST_CHARGE * width], space, call, given, c
        )
    return heat, able, left


@inline
def sun_of(
    w: Any, slot: int, lane: int, width: int, kind: int, hour: Any, space: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any, c: Any,
) -> Any:  # fmt: skip
    """Heat of collectors, what they could have collected, and the zones after; nothing of another kind."""
    heat, able = c[ZERO], c[ZERO]
    if kind == SOLAR:
        at = (SLOT + slot * LANE_SCALARS) * width + lane
        heat, able, hot_c, cold_c, hot = shine(w, at, width, hour[CAPACITY], space, hot_c, cold_c, hot, w_k, c)
    return heat, able, hot_c, cold_c, hot
