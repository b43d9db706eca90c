"""The hourly balance once more, in plain Python with names instead of rows, to hold the compiled kernel against."""

from __future__ import annotations

from dataclasses import dataclass, field

from reference.stratified import Zones

HOUR_S = 3600.0


@dataclass
class Source:
    """One source: capacity, storing target and, for fires, charges."""

    capacity: list[float]
    target: list[float]
    slope: float = 0.0
    must_run: bool = False
    burn_power: float = 0.0
    least_charge: float = 1.0
    charge: list[float] = field(default_factory=list)
    ahead: list[float] = field(default_factory=list)
    until: list[float] = field(default_factory=list)
    fuel_left: float = 0.0


@dataclass
class Mass:
    """Slab and room over one hour."""

    slab_slab: float
    slab_room: float
    room_slab: float
    room_room: float
    slab_heat: float
    room_heat: float
    slab_gain: float
    room_gain: float
    feedback: float
    floor_resistance: float
    room_ceiling: float
    house_loss: float = 0.0


@dataclass
class LoweredOption:
    """Tank, floor and house."""

    demand: list[float]
    setpoint: list[float]
    floor_limit: list[float]
    gains: list[float]
    slab_weather: list[float]
    room_weather: list[float]
    precharge: list[float]
    keep: float
    rise: float
    loss_state: float
    loss_net: float
    resistance: float
    top: float
    start: float
    drop: float = 0.0
    zones_kept: float = 0.0
    kept_hot: float = 0.0
    mass: Mass | None = None
    cold_below: list[float] = field(default_factory=list)
    use: list[float] = field(default_factory=list)
    use_need: list[float] = field(default_factory=list)
    use_cold: list[float] = field(default_factory=list)


def clamp(value: float, low: float, high: float) -> float:
    """Hold a value between two bounds."""
    return max(low, min(value, high))


def loaded(sources: list[Source], i: int, t: int, free: float, held: float) -> float:
    """Fuel heat that is loaded: what finds a place while it burns, from the smallest charge to a full one.

    Half a smallest charge may find none where what is held does not last until the next. `free` is the tank's, fires not yet
    taken off. Of another fire's fuel the house may take what burns after this charge is gone, at the rate at which it calls now.
    """
    source = sources[i]
    charge, ahead, smallest = source.charge[t], source.ahead[t], source.least_charge * source.charge[t]
    fuel, free = source.fuel_left, free - source.fuel_left
    burn_s = charge / source.burn_power
    for other in sources:
        if other is not source and other.burn_power and burn_s > 0:
            beside = min(other.fuel_left, other.burn_power * burn_s)
            later_s = (other.fuel_left - beside) / other.burn_power
            free -= beside + later_s * max(0.0, other.burn_power - ahead / burn_s)
            fuel += other.fuel_left
    if free + source.least_charge * ahead < (0.5 if held + fuel < source.until[t] else 1.0) * smallest:
        return 0.0
    if free + ahead >= charge:
        return charge
    # of a charge's part p the heat p * charge must go into the tank or, as it burns for p of the time, p * ahead to the floor
    return max(smallest, free / max(charge - ahead, 1.0) * charge if free > 0 else 0.0)


def run(plant: LoweredOption, sources: list[Source], order: list[list[int]]) -> dict[str, list]:
    """Give every hour's heat by source, dumped heat, delivered heat and temperatures."""
    logs: dict[str, list] = {
        k: []
        for k in (
            "heat",
            "dumped",
            "available",
            "delivered",
            "short",
            "tank",
            "loss",
            "call",
            "slab",
            "room",
            "vented",
            "beyond",
            "used",
            "duty",
        )
    }
    tank, mass = plant.start, plant.mass
    room = plant.setpoint[0]
    slab = room + (plant.demand[0] * mass.floor_resistance if mass else 0.0)
    zones = Zones(plant.start, plant.start, 0.0, 1.0 / plant.rise, plant.top, plant.kept_hot)
    for t, demand in enumerate(plant.demand):
        setpoint = plant.setpoint[t]
        if mass:
            passive_slab = (
                mass.slab_slab * slab + mass.slab_room * room + mass.slab_gain * plant.gains[t] + plant.slab_weather[t]
            )
            passive_room = (
                mass.room_slab * slab + mass.room_room * room + mass.room_gain * plant.gains[t] + plant.room_weather[t]
            )
            wish = setpoint + demand * mass.floor_resistance + mass.feedback * (setpoint - room)
            wish += plant.precharge[t] if room < mass.room_ceiling else 0.0
            call, sink = clamp((wish - passive_slab) / mass.slab_heat, 0.0, plant.floor_limit[t]), slab
        else:
            call, sink = min(demand, plant.floor_limit[t]), setpoint
        wanted = call
        if call * plant.resistance > plant.top - sink:
            call = max(0.0, plant.top - sink) / plant.resistance if plant.resistance else 0.0
        beyond = wanted - call
        idle = setpoint + plant.keep * (tank - setpoint)
        need = sink + call * plant.resistance
        use = plant.use[t] if plant.use else 0.0
        tapped, at_floor = 0.0, call
        if plant.use_need:
            need = max(need, plant.use_need[t])
        call += use  # what sources see: the floor's call and that of the taps
        heat, dumped, available = [0.0] * len(sources), [0.0] * len(sources), [0.0] * len(sources)

        def to_reach(goal: float, idle: float = idle, call: float = call, heat: list[float] = heat) -> float:
            return (goal - idle) / plant.rise + call - sum(heat)

        if plant.zones_kept > 0:
            zones.rest(setpoint, plant.keep)
            way = (sink, plant.resistance, plant.drop)
            taps = (use, plant.use_need[t], plant.use_cold[t]) if plant.use else None
            heat, dumped, available, delivered, tapped, duty = zones.hour(
                at_floor, taps, way, sources, [row[t] for row in order], t, loaded, plant.floor_limit[t]
            )
            zones.mix(plant.zones_kept)
        fires = [i for i, s in enumerate(sources) if s.burn_power and plant.zones_kept == 0]
        for i in fires:  # all are loaded before any burns
            free, held = (plant.top - idle) / plant.rise, (idle - need) / plant.rise
            sources[i].fuel_left += loaded(sources, i, t, free * HOUR_S, held * HOUR_S)
        for i, source in enumerate(sources):
            if i in fires:
                available[i] = min(source.burn_power, source.fuel_left / HOUR_S)
                source.fuel_left = max(0.0, source.fuel_left - available[i] * HOUR_S)
                heat[i] = min(available[i], max(0.0, to_reach(plant.top)))
                dumped[i] = available[i] - heat[i]
        helpers = sum(s.capacity[t] for s in sources if not s.must_run and not s.burn_power)
        for i, source in enumerate(sources if plant.zones_kept == 0 else []):
            if source.must_run and not source.burn_power and source.capacity[t] > 0:
                sun = source.capacity[t]
                at = (idle + plant.rise * (sum(heat) + sun - call)) / (1 + source.slope * plant.rise)
                if at < need:
                    warmed, damping = idle + plant.rise * (sum(heat) + helpers + sun), 1 + source.slope * plant.rise
                    at = need
                    if warmed - plant.rise * call < need * damping:
                        at = warmed / damping
                        if at > sink:
                            at = (plant.resistance * warmed + plant.rise * sink) / (
                                plant.resistance * damping + plant.rise
                            )
                        at_once = helpers + sum(heat[j] for j, s in enumerate(sources) if s.burn_power)
                        at = min(at, (warmed - plant.rise * at_once) / damping)
                        at = max(at, (warmed - plant.rise * call) / damping)
                available[i] = max(0.0, sun - source.slope * at)
                used = min(available[i], max(0.0, to_reach(plant.top)))
                heat[i], dumped[i] = used, available[i] - used
        for i in (order[place][t] for place in range(len(sources) if plant.zones_kept == 0 else 0)):
            source = sources[i]
            if not source.must_run and not source.burn_power:
                available[i] = source.capacity[t]
                heat[i] = min(max(to_reach(min(plant.top, max(need, source.target[t]))), 0.0), source.capacity[t])
        given = sum(heat)
        # what runs heats the floor's water before the tank's; the sun has no way to the floor but through the tank
        at_once = sum(q for q, s in zip(heat, sources, strict=True) if s.burn_power or not s.must_run)
        if plant.zones_kept == 0:
            if use:
                span = (plant.use_need[t] - plant.use_cold[t]) / use
                tapped = min(use, max(at_once, (idle - plant.use_cold[t] + plant.rise * given) / (span + plant.rise)))
            left = (idle - plant.rise * tapped - sink + plant.rise * given) / (plant.resistance + plant.rise)
            delivered = min(at_floor, max(0.0, at_once - tapped, left))
            # pumps run for the part of the hour in which the floor, fed at the tank's temperature, takes its call
            duty = min(1.0, at_floor / min(left, plant.floor_limit[t])) if left > 0 else 1.0
        loss = plant.loss_state * (tank - setpoint) + plant.loss_net * (given - delivered - tapped)
        tank = idle + plant.rise * (given - delivered - tapped)
        vented = 0.0
        if mass:
            slab = passive_slab + mass.slab_heat * delivered
            room = passive_room + mass.room_heat * delivered
            vented = max(0.0, room - mass.room_ceiling)
            room = min(room, mass.room_ceiling)
        else:
            slab, room = sink, setpoint
        unmet = demand - delivered
        if mass:
            # demand is the house's at its set-point; a room that is warm enough lacks nothing, whatever the slab waits for
            cold = room < plant.cold_below[t]
            unmet = min(demand, mass.house_loss * (plant.cold_below[t] + 1.0 - room)) if cold else 0.0
            beyond = beyond if cold else 0.0
        values = (
            heat,
            dumped,
            available,
            delivered,
            unmet,
            tank,
            loss,
            wanted,
            slab,
            room,
            vented,
            beyond,
            tapped,
            duty if delivered > 0.5 else 0.0,
        )
        for key, value in zip(logs, values, strict=True):
            logs[key].append(value)
    return logs
