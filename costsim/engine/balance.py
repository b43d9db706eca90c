"""The steps of an hour, in the order in which they happen: what is called for, the sources in order, what floor and uses take.

All is put into the compiled kernel where it is used. Heat is W over the hour, temperatures °C; `lane` is the scenario of a block,
`slot` the place of a source in the order in which they give, `w` the block's work array, of which `access` gives what is named.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from costsim.engine.access import Offer, collector_of, fire_of, fuel_of, house_of, inline, mass_of, state_of
from costsim.engine.layout import (
    AHEAD,
    BATCH_FIRED,
    CAPACITY,
    CHARGE,
    DISPATCHABLE,
    FIRST,
    HOUR_S,
    ROUNDING_W,
    SECOND,
    SMALL,
    SOLAR,
    TARGET,
    THIRD,
    UNTIL,
    WANTED_SHARE,
)  # fmt: skip

PER_HOUR = 1.0 / HOUR_S


class Found(NamedTuple):
    """What a source gives, what it could, the fuel left in a fire and what of it was loaded in this hour [J]."""

    heat: Any
    able: Any
    left: Any
    lit: Any


class Hour(NamedTuple):
    """What the sources found, the heat all gave, floor and uses got, and the share of the hour in which the floor's pumps run."""

    found: Any
    given: Any
    delivered: Any
    used: Any
    duty: Any


class Situation(NamedTuple):
    """What a source meets: the call, the tank at rest, what it must reach for it, what it heats and what finds a place in it."""

    call: Any
    idle: Any
    need: Any
    sink: Any
    space: Any


class HouseCall(NamedTuple):
    """What the house wants, its controller and the tank's hottest allow of it, where it goes, and slab and room without it."""

    full: Any
    wanted: Any
    call: Any
    most: Any
    setpoint: Any
    sink: Any
    alone_slab: Any
    alone_room: Any


@inline
def larger(a: Any, b: Any) -> Any:
    """The larger."""
    return a if a > b else b


@inline
def smaller(a: Any, b: Any) -> Any:
    """The smaller."""
    return a if a < b else b


# ---- what is called for ----


@inline
def at_rest(tank: Any, tank_c: Any, around_c: Any) -> Any:
    """Temperature of the tank after an hour without heat: it cools towards the room."""
    return around_c + tank.keep * (tank_c - around_c)


@inline
def house_wants(house: Any, excess_k: Any) -> Any:
    """Heat the house wants at its set-point."""
    return house.loss * larger(0.0, excess_k + house.shift)


@inline
def slab_and_room_alone(mass: Any, slab_c: Any, room_c: Any, hour: Any) -> Any:
    """Slab and room after an hour in which the floor gets no heat."""
    slab = mass.slab_slab * slab_c + mass.slab_room * room_c
    slab = slab + mass.slab_gain * hour.gains + hour.slab_weather
    room = mass.room_slab * slab_c + mass.room_room * room_c
    room = room + mass.room_gain * hour.gains + hour.room_weather
    return slab, room


@inline
def slab_wants(
    mass: Any, per_slab_heat: Any, room_c: Any, setpoint: Any, full: Any, alone_c: Any, precharge: Any
) -> Any:
    """Heat that brings the slab to where it holds the room at its set-point, some of it ahead of time."""
    ahead = precharge if room_c < mass.room_ceiling else 0.0
    wish = setpoint + full * mass.floor_resistance
    wish = wish + mass.slab_feedback * (setpoint - room_c) + ahead
    return larger(0.0, (wish - alone_c) * per_slab_heat)


@inline
def hottest_gives(tank: Any, call: Any, sink: Any) -> Any:
    """The call, or what the hottest tank allowed brings through the floor's water."""
    head = tank.top - sink
    hottest = larger(0.0, head) * tank.per_water
    return hottest if call * tank.water > head else call


@inline
def house_calls(
    w: Any, lane: int, tank: Any, hour: Any, excess: Any, limit: Any, typed: Any, heavy: int, alone: int
) -> Any:
    """What the house wants of the hour, and what its controller asks of the tank."""
    house, mass = house_of(w, lane), mass_of(w, lane)
    setpoint = hour.room + house.indoor
    full = house_wants(house, excess)
    if alone:
        full = full if house.loss > 0.0 else typed
    most = smaller(limit, house.limit)
    wanted, sink, alone_slab, alone_room = smaller(full, most), setpoint, 0.0, 0.0
    if heavy:
        state = state_of(w, lane)
        sink = state.slab_c
        alone_slab, alone_room = slab_and_room_alone(mass, sink, state.room_c, hour)
        wish = slab_wants(mass, house.per_slab_heat, state.room_c, setpoint, full, alone_slab, hour.precharge)
        wanted = smaller(wish, most)
    return HouseCall(full, wanted, hottest_gives(tank, wanted, sink), most, setpoint, sink, alone_slab, alone_room)


# ---- what the sources have ----


@inline
def offer_of(source_hours: Any, per_heat: Any, source: int, t: int) -> Any:
    """What a source offers in the hour, to all lanes alike."""
    most, target = source_hours[source, CAPACITY, t], source_hours[source, TARGET, t]
    charge, ahead, until = (
        source_hours[source, CHARGE, t],
        source_hours[source, AHEAD, t],
        source_hours[source, UNTIL, t],
    )
    return Offer(most, target, charge, ahead, until, per_heat[source, t])


@inline
def told_capacity(kinds: Any, offers: Any) -> Any:
    """What the sources that are told to run could give together."""
    aid = offers[0].capacity if kinds[0] >= DISPATCHABLE else 0.0
    aid = aid + (offers[1].capacity if kinds[1] >= DISPATCHABLE else 0.0)
    return aid + (offers[2].capacity if kinds[2] >= DISPATCHABLE else 0.0)


@inline
def beside(w: Any, slot: int, lane: int, kind: int, lit: Any, mine: Any, offer: Any) -> Any:
    """Fuel in another fire, and what of it needs a place in the tank beside a charge of mine [J].

    That is what it burns while mine does, and of what it burns later what the house, calling as it does meanwhile, will not take.
    """
    fuel, places = 0.0, 0.0
    if kind == BATCH_FIRED:
        fuel = fuel_of(w, slot, lane).fuel + lit
        meanwhile = larger(fire_of(w, slot, lane).burn_power * offer.charge / mine.burn_power, 1.0)
        soon = smaller(fuel, meanwhile)
        places = soon + (fuel - soon) * larger(0.0, 1.0 - offer.ahead / meanwhile)
    return fuel, places


@inline
def beside_all(w: Any, slot: int, lane: int, kinds: Any, offer: Any, lit: Any) -> Any:
    """The same of all other fires; those before it were loaded already. Fires come first, so those after it are of a kind with it."""
    mine = fire_of(w, slot, lane)
    fuel, places = 0.0, 0.0
    if slot != FIRST:
        fuel, places = beside(w, FIRST, lane, kinds[0], lit[0], mine, offer)
    if slot != SECOND:
        more, place = beside(w, SECOND, lane, kinds[1], lit[1], mine, offer)
        fuel, places = fuel + more, places + place
    if slot != THIRD:
        more, place = beside(w, THIRD, lane, kinds[2], 0.0, mine, offer)
        fuel, places = fuel + more, places + place
    return fuel, places


@inline
def fire(
    w: Any, slot: int, lane: int, kinds: Any, offer: Any, space: Any, held: Any, call: Any, given: Any, lit: Any
) -> Any:
    """Heat of a lit fire, what it burns, what is left in it and what was loaded [J]; `lit` was in the fires before it.

    The charge is what tank and floor will take while it burns, beside what the other fires hold, at least the smallest one. It is
    loaded where the smallest one finds a place whole; or half of it, where what the tank holds [W for this hour] and the fires
    still burning do not last until the next.
    """
    mine, fuel = fire_of(w, slot, lane), fuel_of(w, slot, lane).fuel
    others, places = beside_all(w, slot, lane, kinds, offer, lit)
    charge, ahead, least = offer.charge, offer.ahead, mine.least_charge
    free = space * HOUR_S - fuel - places
    # a part of a charge burns for that part of the time, so meets that part of the demand ahead
    fits = larger(0.0, free) * (charge / larger(charge - ahead, 1.0))
    fits = charge if free + ahead >= charge else larger(least * charge, fits)
    share = WANTED_SHARE if held * HOUR_S + fuel < offer.until - others else 1.0
    loads = fits if free + least * ahead >= share * (least * charge) else 0.0
    full = fuel + loads
    burning = smaller(mine.burn_power, full * PER_HOUR)
    used = smaller(burning, larger(0.0, space + call - given))
    return Found(used, burning, larger(0.0, full - burning * HOUR_S), loads)


@inline
def sun(collector: Any, tank: Any, most: Any, aid: Any, given: Any, direct: Any, at: Any) -> Any:
    """Heat of collectors that meet the tank at the hour's end, and what they collect."""
    rise = tank.rise
    alone = (at.idle + rise * (given + most - at.call)) * collector.damped
    warmed = at.idle + rise * (given + aid + most)
    low = warmed * collector.damped
    both = (tank.water * warmed + rise * at.sink) * collector.damped_water
    # even with all sources the floor may take less than its call, but what they make at once reaches it
    less = both if low > at.sink else low
    less = smaller(less, (warmed - rise * (direct + aid)) * collector.damped)
    less = larger(less, (warmed - rise * at.call) * collector.damped)
    tied = less if (warmed - rise * at.call) * collector.damped < at.need else at.need
    meets = tied if alone < at.need else alone
    sunny = larger(0.0, most - collector.slope * meets)
    sunny = sunny if most > 0.0 else 0.0
    return Found(smaller(sunny, larger(0.0, at.space + at.call - given)), sunny, 0.0, 0.0)


@inline
def told(tank: Any, offer: Any, given: Any, at: Any) -> Any:
    """Heat of a source that is told to run: what is missing to bring the tank to its need, or to what it may store up to."""
    goal = smaller(tank.top, larger(at.need, offer.target))
    heat = smaller(larger((goal - at.idle) * tank.per_rise + at.call - given, 0.0), offer.capacity)
    return Found(heat, offer.capacity, 0.0, 0.0)


@inline
def give(
    w: Any, slot: int, lane: int, kind: int, kinds: Any, offer: Any, tank: Any, aid: Any, given: Any, direct: Any, at: Any, lit: Any
) -> Any:  # fmt: skip
    """What one source gives after the others, what it could, the fuel left in a fire and what was loaded."""
    output = Found(0.0, 0.0, 0.0, 0.0)
    if kind == BATCH_FIRED:
        held = (at.idle - at.need) * tank.per_rise
        output = fire(w, slot, lane, kinds, offer, at.space, held, at.call, given, lit)
    elif kind == SOLAR:
        output = sun(collector_of(w, slot, lane), tank, offer.capacity, aid, given, direct, at)
    elif kind >= DISPATCHABLE:
        output = told(tank, offer, given, at)
    return output


@inline
def in_order(w: Any, lane: int, kinds: Any, offers: Any, tank: Any, at: Any) -> Any:
    """What each source gives, one after the other, what all give, and what of it heats the floor's water before the tank's."""
    aid = told_capacity(kinds, offers)
    first = give(w, FIRST, lane, kinds[0], kinds, offers[0], tank, aid, 0.0, 0.0, at, (0.0, 0.0))
    given, direct = first.heat, 0.0 if kinds[0] == SOLAR else first.heat
    second = give(w, SECOND, lane, kinds[1], kinds, offers[1], tank, aid, given, direct, at, (first.lit, 0.0))
    given, direct = given + second.heat, direct + (0.0 if kinds[1] == SOLAR else second.heat)
    third = give(w, THIRD, lane, kinds[2], kinds, offers[2], tank, aid, given, direct, at, (first.lit, second.lit))
    given, direct = given + third.heat, direct + (0.0 if kinds[2] == SOLAR else third.heat)
    return (first, second, third), given, direct


# ---- what uses and floor take ----


@inline
def uses_take(taps: Any, tank: Any, idle: Any, given: Any, direct: Any) -> Any:
    """Heat that hot water and other uses get, by what runs and through their water."""
    flow = (
        (idle - taps.use_cold + tank.rise * given) * taps.use / (taps.use_need - taps.use_cold + tank.rise * taps.use)
    )
    return smaller(taps.use, larger(direct, flow))


@inline
def floor_takes(tank: Any, call: Any, sink: Any, idle: Any, given: Any, direct: Any, most_call: Any) -> Any:
    """Heat the floor gets, by what runs and through its water, and the share of the hour in which its pumps run for it."""
    flow = (idle - sink + tank.rise * given) * tank.per_both
    # thermostats call for the part of the hour in which the floor takes what it may; all of it where the tank is just at need
    duty = call / larger(larger(call, smaller(flow, most_call)), SMALL)
    delivered = smaller(call, larger(direct, flow))
    return delivered, duty if delivered > ROUNDING_W else 0.0


@inline
def mixed_tank(
    w: Any, lane: int, kinds: Any, offers: Any, tank: Any, call: Any, sink: Any, idle: Any, most_call: Any, taps: Any, tapped: int
) -> Any:  # fmt: skip
    """One hour of the mixed tank."""
    need, wants = sink + call * tank.water, call
    if tapped:
        need = larger(need, taps.use_need)
        wants = call + taps.use
    space = (tank.top - idle) * tank.per_rise
    outputs, given, direct = in_order(w, lane, kinds, offers, tank, Situation(wants, idle, need, sink, space))
    # the call first, hot water before the floor: what runs heats their water before the tank's
    used = 0.0
    if tapped:
        used = uses_take(taps, tank, idle, given, direct)
        idle, direct = idle - tank.rise * used, larger(0.0, direct - used)
    delivered, duty = floor_takes(tank, call, sink, idle, given, direct, most_call)
    return Hour(outputs, given, delivered, used, duty)


@inline
def tank_loses(loss: Any, above_room_k: Any, net: Any) -> Any:
    """Heat the tank lost over the hour, by how warm it was and what came in."""
    return loss.state_loss * above_room_k + loss.net_loss * net


# ---- slab and room after the heat ----


@inline
def slab_and_room(mass: Any, alone_slab: Any, alone_room: Any, delivered: Any) -> Any:
    """Slab and room at the hour's end, and the kelvin of it that opened windows let out."""
    slab = alone_slab + mass.slab_heat * delivered
    warm = alone_room + mass.room_heat * delivered
    return slab, smaller(warm, mass.room_ceiling), larger(0.0, warm - mass.room_ceiling)
