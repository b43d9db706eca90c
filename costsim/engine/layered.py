"""The hour of a stratified tank: a hot zone over a cold one, with a boundary that moves as water is drawn and charged.

The floor is served from the top by whatever runs; sources that may store charge the rest with water at their target, the others keep
a part of the top hot in hours in which a use draws, for hot water between draws too; the sun and what returns from the floor enter at
the bottom. Heat flows are watts over the hour, volumes shares of the tank, and `w_k` is what a kelvin of the whole tank holds over an
hour, its loss included, so that the tank's mean temperature obeys the same balance as a mixed tank. Every step is explicit and
bounded: any volume and any flow is stable.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from costsim.engine.access import inline
from costsim.engine.balance import larger, smaller
from costsim.engine.layout import DISPATCHABLE, SMALL

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
def flow(zone_c: Any, asks: Any, helps: Any) -> Any:
    """What is served from a zone: by what runs, what could come through its water, what is drawn, and how warm that returns.

    The zone's water goes to the floor through whatever runs, which lifts it to what the call needs as far as it can.
    """
    call, sink = asks.call, asks.sink
    fired, most = helps
    lift = smaller(call, larger(0.0, (sink + call * asks.water - zone_c) * asks.per_drop))
    lifted = larger(fired, smaller(most, lift))
    could = (zone_c - sink) * asks.per_water + asks.drop * asks.per_water * lifted
    served = smaller(call, larger(lifted, could))
    return lifted, could, served - lifted, sink + served * (asks.water - asks.drop)


@inline
def duty(call: Any, could: Any, limit: Any) -> Any:
    """Share of the time in which thermostats call, where so much could come."""
    return call / larger(larger(call, smaller(could, limit)), SMALL)


@inline
def replaced_by(drawn: Any, volume: Any, fall: Any, w_k: Any) -> Any:
    """Volume that is replaced where heat is drawn from water that falls by so much."""
    return smaller(volume, drawn / (w_k * fall)) if fall > 0.0 else 0.0


@inline
def stage(zone_c: Any, volume: Any, hours: Any, asks: Any, helps: Any, w_k: Any) -> Any:
    """Serve the floor from one zone: share of the hour it lasts, heat from store and sources, volume replaced, return, pumping."""
    lifted, could, drawn, back = flow(zone_c, asks, helps)
    fall = larger(0.0, zone_c - back)
    holds = volume * w_k * fall
    lasts = hours if drawn * hours <= holds else holds / drawn
    replaced = replaced_by(lasts * drawn, volume, fall, w_k)
    return lasts, lasts * drawn, lasts * lifted, replaced, back, lasts * duty(asks.call, could, asks.limit)


@inline
def zone_on_top(hot_c: Any, cold_c: Any, hot: Any) -> Any:
    """Temperature and volume of what is served from: a tank that is one zone is served from as the hot one, and charged as the cold one."""
    whole = hot <= SMALL
    return cold_c if whole else hot_c, 1.0 if whole else hot


@inline
def draw(cold_c: Any, hot: Any, moved: Any, back: Any) -> Any:
    """Draw a volume from the hot zone; what returns enters at the bottom."""
    hot = hot - moved
    cold = 1.0 - hot
    cold_c = ((cold - moved) * cold_c + moved * back) / larger(cold, LEAST) if moved > 0.0 else cold_c
    return cold_c, hot


@inline
def one_where_full(hot_c: Any, cold_c: Any, hot: Any) -> Any:
    """A tank that is hot all through is one zone."""
    whole = 1.0 - hot <= SMALL
    return hot_c if whole else cold_c, 0.0 if whole else hot


@inline
def one_where_even(hot_c: Any, cold_c: Any, hot: Any) -> Any:
    """A tank that is as warm at the bottom is one zone."""
    mean, merged = hot * hot_c + (1.0 - hot) * cold_c, cold_c > hot_c
    return mean if merged else hot_c, mean if merged else cold_c, 0.0 if merged else hot


@inline
def serve(hot_c: Any, cold_c: Any, hot: Any, asks: Any, helps: Any, w_k: Any) -> Any:
    """Serve the call from the hot zone, then the cold one, then by sources alone."""
    fired, most = helps
    hot_c, hot = zone_on_top(hot_c, cold_c, hot)
    lasts, from_hot, lifted_hot, moved, back, pumped_hot = stage(hot_c, hot, 1.0, asks, helps, w_k)
    cold_c, hot = draw(cold_c, hot, moved, back)
    cold, left = 1.0 - hot, 1.0 - lasts
    lasts, from_cold, lifted_cold, _, _, pumped_cold = stage(cold_c, cold, left, asks, helps, w_k)
    cold_c = cold_c - from_cold / (w_k * cold) if from_cold > 0.0 else cold_c
    alone = smaller(asks.call, larger(fired, most))
    lifted = lifted_hot + lifted_cold + (left - lasts) * alone
    pumped = pumped_hot + pumped_cold + (left - lasts)
    cold_c, hot = one_where_full(hot_c, cold_c, hot)
    return from_hot + from_cold, lifted, pumped, hot_c, cold_c, hot


@inline
def shine(slope: Any, most: Any, space: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any) -> Any:
    """Collect into the cold zone, or into the whole tank once that is as warm as the hot one."""
    cold = (1.0 - hot) * w_k
    mean = hot * hot_c + (1.0 - hot) * cold_c
    meets = (cold * cold_c + most) / larger(cold + slope, SMALL)
    meets = meets if meets <= hot_c else (w_k * mean + most) / (w_k + slope)
    able = larger(0.0, most - slope * meets) if most > 0.0 else 0.0
    heat = smaller(able, larger(0.0, space))
    warmed = cold_c + heat / larger(cold, SMALL)
    whole = mean + heat / w_k
    merged = warmed > hot_c
    hot, hot_c, cold_c = 0.0 if merged else hot, whole if merged else hot_c, whole if merged else warmed
    return heat, able, hot_c, cold_c, hot


@inline
def held_c(top: Any, taps: Any) -> Any:
    """How hot the top is kept for the uses [°C]."""
    return smaller(top, taps.use_need)


@inline
def lacks_on_top(goal: Any, held_share: Any, hot_c: Any, cold_c: Any, hot: Any) -> Any:
    """What the part that is kept hot lacks [K of the whole tank], and whether the zones are stirred for it.

    The hot zone is warmed where it stands and grows downward; one so large and cool that it takes less to make the part anew, of
    water from all of the tank, is none.
    """
    stands = hot * larger(0.0, goal - hot_c) + larger(0.0, held_share - hot) * larger(0.0, goal - cold_c)
    anew = held_share * larger(0.0, goal - (hot * hot_c + (1.0 - hot) * cold_c))
    stirs = hot_c < goal and anew < stands
    return anew if stirs else stands, stirs


@inline
def keep_hot(held: Any, goal: Any, held_share: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any) -> Any:
    """Warm the hot zone where it stands, up to `goal`: how warm it is then, the heat that takes, and whether the zones are stirred."""
    _, stirs = lacks_on_top(goal, held_share, hot_c, cold_c, hot)
    lift = 0.0 if stirs else hot * w_k * larger(0.0, goal - hot_c)
    raised = smaller(held, lift)
    warmed = hot_c + raised / (w_k * larger(hot, SMALL)) if held < lift else larger(hot_c, goal)
    return warmed if lift > 0.0 else hot_c, raised, stirs and held > 0.0


@inline
def charge(heat: Any, goal: Any, need: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any, stirs: Any) -> Any:
    """Take water from the bottom and bring it to the top at `goal` [°C]; what is left warms the whole."""
    # a zone too cool to serve is no hot zone, unless what comes is to keep it hot
    demoted = hot_c < smaller(need, goal) and stirs
    cold_c = hot * hot_c + (1.0 - hot) * cold_c if demoted else cold_c
    hot = 0.0 if demoted else hot
    cold = 1.0 - hot
    lift = goal - cold_c
    moved = smaller(cold, heat / (w_k * lift)) if lift > 0.0 else cold
    used = moved * lift * w_k
    grown = hot + moved
    hot_c = (hot * hot_c + moved * goal) / grown if grown > 0.0 else cold_c
    # all cold water is gone: the hot zone takes the rest; rounding stays where it is
    hot_c = hot_c + (heat - used) / (w_k * larger(grown, SMALL))
    return hot_c, cold_c, grown


@inline
def hottest_of(call: Any, sink: Any, water: Any, taps: Any) -> Any:
    """Temperature that floor and uses need."""
    return larger(sink + call * water, taps.use_need)


@inline
def charges_now(kind: int, offer: Any, top: Any, top_c: Any, need: Any) -> Any:
    """What a storing source gives this hour anyhow, to the call before the store: all it has, unless the store is hotter than its goal."""
    able = 0.0
    if kind >= DISPATCHABLE:
        goal = smaller(top, larger(need, offer.target))
        able = offer.capacity if offer.target > STORES_ABOVE_C and top_c <= goal + SMALL else 0.0
    return able


@inline
def told_gives(
    kind: int, offer: Any, top: Any, need: Any, first: Any, missing: Any, stored: Any, hot_c: Any, cold_c: Any, hot: Any, w_k: Any, held_share: Any, taps: Any
) -> Any:  # fmt: skip
    """What a source that is told to run gives to the call and to the store, with the goal it stores at and what of it keeps the top hot."""
    able = offer.capacity if kind >= DISPATCHABLE else 0.0
    serves = first + smaller(able - first, larger(0.0, missing))
    may_store = offer.target > STORES_ABOVE_C
    goal = smaller(top, larger(need, offer.target)) if may_store else held_c(top, taps)
    room = hot * larger(0.0, goal - hot_c) + (1.0 - hot) * larger(0.0, goal - cold_c)
    lacks, _ = lacks_on_top(goal, held_share, hot_c, cold_c, hot)
    room = room if may_store else lacks
    stores = smaller(able - serves, larger(0.0, room * w_k - stored))
    # what rounding leaves is no charge: it would stir the tank
    stores = stores if stores > SMALL else 0.0
    return serves, stores, goal, 0.0 if may_store else stores
