"""The hour of a stratified tank: a hot zone over a cold one, with a boundary that moves as water is drawn and charged.

The floor is served from the top by whatever runs; sources that may store charge the rest with water at their target; the
sun and what returns from the floor enter at the bottom. Heat flows are watts over the hour, volumes shares of the tank,
and `w_k` is what a kelvin of the whole tank holds over an hour, its loss included, so that the tank's mean temperature
obeys the same balance as a mixed tank. Every step is explicit and bounded: any volume and any flow is stable.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from costsim.engine.access import collector_of, fire_of, fuel_of, inline, keep_zones, zones_of
from costsim.engine.balance import Found, Hour, above, at_rest, below, fire, told_capacity
from costsim.engine.layout import BATCH_FIRED, DISPATCHABLE, FIRST, ROUNDING_W, SECOND, SMALL, SOLAR, THIRD

STORES_ABOVE_C = -500.0
"""A target below this says that a source does not store."""
LEAST = 1e-300
"""Stands for a cold zone of nothing where it would be divided by; a zone that is there has some 1e-16 at least."""


class Asks(NamedTuple):
    """What is served: heat [W], where it goes [°C], K for each W between water and that and of the water's fall, the most it takes."""

    call: Any
    sink: Any
    water: Any
    drop: Any
    per_water: Any
    per_drop: Any
    limit: Any


@inline
def stage(zone_c: Any, volume: Any, hours: Any, asks: Any, helps: Any, w_k: Any) -> Any:
    """Serve the floor from one zone: share of the hour it lasts, heat from store and sources, volume replaced, return, pumping.

    The zone's water goes to the floor through whatever runs, which lifts it to what the call needs as far as it can.
    """
    call, sink = asks.call, asks.sink
    fired, most = helps
    lift = below(call, above(0.0, (sink + call * asks.water - zone_c) * asks.per_drop))
    lifted = above(fired, below(most, lift))
    could = (zone_c - sink) * asks.per_water + asks.drop * asks.per_water * lifted
    served = below(call, above(lifted, could))
    duty = call / above(above(call, below(could, asks.limit)), SMALL)
    drawn = served - lifted
    back = sink + served * (asks.water - asks.drop)
    fall = above(0.0, zone_c - back)
    holds = volume * w_k * fall
    lasts = hours if drawn * hours <= holds else holds / drawn
    replaced = below(volume, lasts * drawn / (w_k * fall)) if fall > 0.0 else 0.0
    return lasts, lasts * drawn, lasts * lifted, replaced, back, lasts * duty


@inline
def serve(hot_c: Any, cold_c: Any, hot: Any, asks: Any, helps: Any, w_k: Any) -> Any:
    """Serve the call from the hot zone, then the cold one, then by sources alone."""
    fired, most = helps
    # a tank that is one zone is served from as the hot one, and charged as the cold one
    whole = hot <= SMALL
    hot_c, hot = cold_c if whole else hot_c, 1.0 if whole else hot
    lasts, from_hot, lifted_hot, moved, back, pumped_hot = stage(hot_c, hot, 1.0, asks, helps, w_k)
    hot = hot - moved
    cold = 1.0 - hot
    # what returns enters at the bottom
    cold_c = ((cold - moved) * cold_c + moved * back) / above(cold, LEAST) if moved > 0.0 else cold_c
    left = 1.0 - lasts
    lasts, from_cold, lifted_cold, _, _, pumped_cold = stage(cold_c, cold, left, asks, helps, w_k)
    cold_c = cold_c - from_cold / (w_k * cold) if from_cold > 0.0 else cold_c
    alone = below(asks.call, above(fired, most))
    lifted = lifted_hot + lifted_cold + (left - lasts) * alone
    pumped = pumped_hot + pumped_cold + (left - lasts)
    whole = cold <= SMALL
    cold_c, hot = hot_c if whole else cold_c, 0.0 if whole else hot
    return from_hot + from_cold, lifted, pumped, hot_c, cold_c, hot


@inline
def shine(slope: Any, most: Any, space: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any) -> Any:
    """Collect into the cold zone, or into the whole tank once that is as warm as the hot one."""
    cold = (1.0 - hot) * w_k
    mean = hot * hot_c + (1.0 - hot) * cold_c
    meets = (cold * cold_c + most) / above(cold + slope, SMALL)
    meets = meets if meets <= hot_c else (w_k * mean + most) / (w_k + slope)
    able = above(0.0, most - slope * meets) if most > 0.0 else 0.0
    heat = below(able, above(0.0, space))
    warmed = cold_c + heat / above(cold, SMALL)
    whole = mean + heat / w_k
    merged = warmed > hot_c
    hot, hot_c, cold_c = 0.0 if merged else hot, whole if merged else hot_c, whole if merged else warmed
    return heat, able, hot_c, cold_c, hot


@inline
def charge(heat: Any, goal: Any, need: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any) -> Any:
    """Take water from the bottom and bring it to the top at `goal` [°C]; what is left warms the whole."""
    # a zone too cool to serve is no hot zone
    demoted = hot_c < below(need, goal)
    cold_c = hot * hot_c + (1.0 - hot) * cold_c if demoted else cold_c
    hot = 0.0 if demoted else hot
    cold = 1.0 - hot
    lift = goal - cold_c
    moved = below(cold, heat / (w_k * lift)) if lift > 0.0 else cold
    used = moved * lift * w_k
    grown = hot + moved
    hot_c = (hot * hot_c + moved * goal) / grown if grown > 0.0 else cold_c
    # all cold water is gone: the hot zone takes the rest; rounding stays where it is
    hot_c = hot_c + (heat - used) / (w_k * above(grown, SMALL))
    return hot_c, cold_c, grown


@inline
def charges_now(kind: int, offer: Any, top: Any, top_c: Any, need: Any) -> Any:
    """What a storing source gives this hour anyhow, to the call before the store: all it has, unless the store is hotter than its goal."""
    able = 0.0
    if kind >= DISPATCHABLE:
        goal = below(top, above(need, offer.target))
        able = offer.capacity if offer.target > STORES_ABOVE_C and top_c <= goal + SMALL else 0.0
    return able


@inline
def told_gives(
    kind: int, offer: Any, top: Any, need: Any, first: Any, missing: Any, stored: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any
) -> Any:  # fmt: skip
    """What a source that is told to run gives to the call and to the store, with the goal it stores at, and what it could."""
    able = offer.capacity if kind >= DISPATCHABLE else 0.0
    serves = first + below(able - first, above(0.0, missing))
    goal = below(top, above(need, offer.target))
    room = hot * above(0.0, goal - hot_c) + (1.0 - hot) * above(0.0, goal - cold_c)
    stores = below(able - serves, above(0.0, room * w_k - stored))
    # what rounding leaves is no charge: it would stir the tank
    stores = stores if offer.target > STORES_ABOVE_C and stores > SMALL else 0.0
    return serves, stores, goal, able


@inline
def burn(w: Any, slot: int, lane: int, kind: int, offer: Any, space: Any, call: Any, given: Any) -> Any:
    """Heat, burning and fuel left of a fire; nothing of another kind."""
    found = Found(0.0, 0.0, 0.0)
    if kind == BATCH_FIRED:
        found = fire(fire_of(w, slot, lane), fuel_of(w, slot, lane).fuel, offer, space, call, given)
    return found


@inline
def sun_of(
    w: Any, slot: int, lane: int, kind: int, offer: Any, space: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any
) -> Any:
    """Heat of collectors, what they could have collected, and the zones after; nothing of another kind."""
    heat, able = 0.0, 0.0
    if kind == SOLAR:
        slope = collector_of(w, slot, lane).slope
        heat, able, hot_c, cold_c, hot = shine(slope, offer.capacity, space, hot_c, cold_c, hot, w_k)
    return heat, able, hot_c, cold_c, hot


@inline
def one_found(fire: Any, sun: Any, sunny: Any, serves: Any, stores: Any, ready: Any) -> Any:
    """What one source found, whichever its kind."""
    return Found(fire.heat + sun + serves + stores, fire.able + sunny + ready, fire.left)


@inline
def two_zones(
    w: Any, lane: int, kinds: Any, offers: Any, tank: Any, call: Any, sink: Any, setpoint: Any, most_call: Any, taps: Any
) -> Any:  # fmt: skip
    """One hour of the stratified tank."""
    (k0, k1, k2), (offer_0, offer_1, offer_2) = kinds, offers
    w_k, top, zones = tank.per_rise, tank.top, zones_of(w, lane)
    hot = zones.hot
    hot_c = at_rest(tank, zones.hot_c, setpoint)
    cold_c = at_rest(tank, zones.cold_c, setpoint)
    use, need, wants = taps.use, sink + call * tank.water, call + taps.use
    space = (top - (hot * hot_c + (1.0 - hot) * cold_c)) * w_k

    # lit fires burn, and the sun enters at the bottom
    fire_0 = burn(w, FIRST, lane, k0, offer_0, space, wants, 0.0)
    fire_1 = burn(w, SECOND, lane, k1, offer_1, space, wants, fire_0.heat)
    fire_2 = burn(w, THIRD, lane, k2, offer_2, space, wants, fire_0.heat + fire_1.heat)
    burnt = fire_0.heat + fire_1.heat + fire_2.heat
    free = below(space, space + wants - burnt)
    sun_0, sunny_0, hot_c, cold_c, hot = sun_of(w, FIRST, lane, k0, offer_0, free, hot_c, cold_c, hot, w_k)
    sun_1, sunny_1, hot_c, cold_c, hot = sun_of(w, SECOND, lane, k1, offer_1, free - sun_0, hot_c, cold_c, hot, w_k)
    sun_2, sunny_2, hot_c, cold_c, hot = sun_of(
        w, THIRD, lane, k2, offer_2, free - sun_0 - sun_1, hot_c, cold_c, hot, w_k
    )

    # hot water, then the call, are served from the top by whatever runs
    runs = told_capacity(kinds, offers)
    # what is charged in this hour serves in it: storing sources give to what is drawn, and the store takes the rest
    hottest = above(need, taps.use_need) if use > 0.0 else need
    top_c = hot_c if hot > SMALL else cold_c
    now_0 = charges_now(k0, offer_0, top, top_c, hottest)
    now_1 = charges_now(k1, offer_1, top, top_c, hottest)
    now_2 = charges_now(k2, offer_2, top, top_c, hottest)
    ready, others = burnt + now_0 + now_1 + now_2, runs - (now_0 + now_1 + now_2)
    fired_use, used, lifted_use = below(ready, use), 0.0, 0.0
    if use > 0.0:
        span = (taps.use_need - taps.use_cold) / use
        asks = Asks(use, taps.use_cold, span, span, 1.0 / span, 1.0 / span, use)
        helps = fired_use, fired_use + (ready - fired_use) + others
        drawn, lifted_use, _, hot_c, cold_c, hot = serve(hot_c, cold_c, hot, asks, helps, w_k)
        used, need = drawn + lifted_use, hottest
    fired = below(ready - fired_use, call)
    most = fired + above(0.0, ready - fired_use - fired) + above(0.0, others - (lifted_use - fired_use))
    asks = Asks(call, sink, tank.water, tank.drop, tank.per_water, tank.per_drop, most_call)
    drawn, lifted, pumped, hot_c, cold_c, hot = serve(hot_c, cold_c, hot, asks, (fired, most), w_k)
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
    serves_0, stores_0, goal, ready_0 = told_gives(
        k0, offer_0, top, need, first_0, missing, stored, hot_c, cold_c, hot, w_k
    )
    missing, stored, goals = missing - (serves_0 - first_0), stored + stores_0, goals + stores_0 * goal
    serves_1, stores_1, goal, ready_1 = told_gives(
        k1, offer_1, top, need, first_1, missing, stored, hot_c, cold_c, hot, w_k
    )
    missing, stored, goals = missing - (serves_1 - first_1), stored + stores_1, goals + stores_1 * goal
    serves_2, stores_2, goal, ready_2 = told_gives(
        k2, offer_2, top, need, first_2, missing, stored, hot_c, cold_c, hot, w_k
    )
    stored, goals = stored + stores_2, goals + stores_2 * goal
    if_any = stored > SMALL
    goal = goals / stored if if_any else top
    charged_c, under_c, grown = charge(stored, goal, need, hot_c, cold_c, hot, w_k)
    hot_c, cold_c, hot = charged_c if if_any else hot_c, under_c if if_any else cold_c, grown if if_any else hot

    # the zones mix a little, and are one where they are equally warm
    mean = hot * hot_c + (1.0 - hot) * cold_c
    hot_c, cold_c = mean + tank.strata * (hot_c - mean), mean + tank.strata * (cold_c - mean)
    same = hot * (hot_c - cold_c) <= SMALL
    keep_zones(w, lane, 0.0 if same else hot, mean if same else hot_c, mean if same else cold_c)

    found_0 = one_found(fire_0, sun_0, sunny_0, serves_0, stores_0, ready_0)
    found_1 = one_found(fire_1, sun_1, sunny_1, serves_1, stores_1, ready_1)
    found_2 = one_found(fire_2, sun_2, sunny_2, serves_2, stores_2, ready_2)
    given = found_0.heat + found_1.heat + found_2.heat
    return Hour((found_0, found_1, found_2), given, delivered, used, pumped if delivered > ROUNDING_W else 0.0)
