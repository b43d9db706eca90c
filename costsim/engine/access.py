"""Named accessors to the kernel's arrays, generated from the rows of the layout, so that the balance says `tank.keep`.

A reader gives rows that belong together, such as those of a tank, as a named tuple whose fields are their names in small letters;
a writer puts them, an adder adds to them. Put into the kernel whole, they cost what looking into the array costs.
"""

from __future__ import annotations

import functools
from collections import namedtuple
from collections.abc import Callable
from typing import Any

import numba

from costsim.engine import layout as k
from costsim.engine.compiling import Part

# Put into the caller whole, and kept on disk with it alone: by themselves they would outlive a change of the rows. They
# hold no array, so they need not count who does, which would cost more than the balance; nor are they called from Python.
_HOW: Any = (
    {"pipeline_class": Part}
    | dict.fromkeys(("no_cpython_wrapper", "no_cfunc_wrapper"), True)
    | {"error_model": "numpy", "_nrt": False}
)
inline: Callable[[Callable[..., Any]], Any] = numba.njit(forceinline=True, **_HOW)
# so small that they are put in before types are looked for, which takes less time to compile
inline_early: Callable[[Callable[..., Any]], Any] = numba.njit(inline="always", **_HOW)


@functools.cache
def _tuple(name: str, rows: str) -> Any:
    return namedtuple(name, rows.lower())


def _made(head: str, body: str, **names: Any) -> Any:
    """A function put together from its text."""
    space: dict[str, Any] = dict(names)
    exec(f"def made({head}):\n    {body}\n", space)
    return inline_early(space["made"])


def _places(rows: str, first: int, per_slot: int) -> tuple[str, list[str]]:
    """Parameters and places in the work array of rows of a lane, or of the source in a slot of it."""
    step = f" + slot * {per_slot * k.WIDTH}" if per_slot else ""
    at = [f"w[{(first + getattr(k, row)) * k.WIDTH} + lane{step}]" for row in rows.split()]
    return "w, slot, lane" if per_slot else "w, lane", at


def reader(name: str, rows: str, *, first: int = 0, per_slot: int = 0) -> Any:
    """Make `read(w, lane)`, or with `per_slot` rows from one slot to the next `read(w, slot, lane)`.

    Parameters
    ----------
    name : str
        What the rows are of.
    rows : str
        Their names in the layout.
    first : int
        Row of the work array at which their family begins, where its places are counted from there.
    per_slot : int
        Rows between the same row of two slots; 0 where a lane has it once.
    """
    head, at = _places(rows, first, per_slot)
    return _made(head, f"return {name}({', '.join(at)})", **{name: _tuple(name, rows)})


def writer(rows: str, *, first: int = 0, per_slot: int = 0, sign: str = "=") -> Any:
    """Make `write(w, lane, value, ...)`, a value for each row."""
    head, at = _places(rows, first, per_slot)
    values = rows.lower().split()
    body = "; ".join(f"{place} {sign} {value}" for place, value in zip(at, values, strict=True))
    return _made(f"{head}, {', '.join(values)}", body)


def adder(rows: str, *, first: int = 0, per_slot: int = 0) -> Any:
    """Make `add(w, lane, value, ...)`."""
    return writer(rows, first=first, per_slot=per_slot, sign="+=")


def hour_reader(name: str, rows: str) -> Any:
    """Make `read(hours, t)`, for hourly rows."""
    at = ", ".join(f"hours[{getattr(k, row)}, t]" for row in rows.split())
    return _made("hours, t", f"return {name}({at})", **{name: _tuple(name, rows)})


# What a lane has for itself: house, tank, and slab and room that store heat.
house_of = reader("House", "LOSS SHIFT INDOOR LIMIT PER_SLAB_HEAT")
tank_of = reader("Tank", "KEEP RISE PER_RISE WATER PER_WATER PER_BOTH DROP PER_DROP TOP STRATA HELD")
mass_of = reader(
    "Mass",
    "SLAB_SLAB SLAB_ROOM ROOM_SLAB ROOM_ROOM SLAB_HEAT ROOM_HEAT SLAB_GAIN ROOM_GAIN SLAB_FEEDBACK FLOOR_RESISTANCE "
    "ROOM_CEILING HOUSE_LOSS",
    first=k.MASS - k.SLAB_SLAB,
)

# What it carries from hour to hour.
state_of, keep_tank, keep_mass = reader("State", "TANK_C SLAB_C ROOM_C"), writer("TANK_C"), writer("SLAB_C ROOM_C")
start_of, begin_state = reader("Start", "START"), writer("TANK_C SLAB_C ROOM_C HOT_C COLD_C LOWEST")
zones_of, keep_zones = reader("Zones", "HOT HOT_C COLD_C"), writer("HOT HOT_C COLD_C")
fuel_of, keep_fuel = reader("Fuel", "FUEL", per_slot=1), writer("FUEL", per_slot=1)

# What passes from one step of a stratified tank's hour to the next.
call_of, keep_call = reader("Call", "CALLS SINKS MOST"), writer("CALLS SINKS MOST")
space_of, keep_space, keep_free = reader("Space", "FREE BURNT"), writer("FREE BURNT"), writer("FREE")
ready_of, keep_ready = reader("Ready", "READY OTHERS"), writer("READY OTHERS")
tapped_of, keep_tapped = reader("Tapped", "TAPPED TAPPED_LIFTED TAPPED_FIRED"), writer("TAPPED TAPPED_LIFTED")
keep_tapped_fired = writer("TAPPED_FIRED")
flow_of, keep_flow = reader("Flow", "COULD DRAWS BACK"), writer("COULD DRAWS BACK")
got_of, keep_got = reader("Got", "DRAWN LIFTED PUMPED"), writer("DRAWN LIFTED PUMPED")
keep_pumped = writer("PUMPED")
stored_of, keep_stored = reader("Stored", "STORED GOALS HOLDS"), writer("STORED GOALS HOLDS")
_BURNS, _SHINES, _GIVES = "BURNS COULD_BURN LEFT_TO_BURN", "SHINES COULD_SHINE", "SERVES STORES"
burns_of, keep_burns = reader("Burns", _BURNS, per_slot=1), writer(_BURNS, per_slot=1)
shines_of, keep_shines = reader("Shines", _SHINES, per_slot=1), writer(_SHINES, per_slot=1)
begins_of, keep_begins = reader("Begins", "BEGINS", per_slot=1), writer("BEGINS", per_slot=1)
gives_of, keep_gives = reader("Gives", _GIVES, per_slot=1), writer(_GIVES, per_slot=1)

# What the source in a slot has for itself.
fire_of = reader("Fire", "BURN_POWER LEAST_CHARGE", first=k.SLOT, per_slot=k.LANE_SCALARS)
collector_of = reader("Collector", "SLOPE DAMPED DAMPED_WATER", first=k.SLOT, per_slot=k.LANE_SCALARS)
cycling_of = reader("Cycling", "DEGRADATION PER_LEAST", first=k.SLOT, per_slot=k.LANE_SCALARS)
fans_of = reader("Fans", "AUX_SHARE AUX_W", first=k.SLOT, per_slot=k.LANE_SCALARS)
billed_of = reader("Billed", "ELECTRIC FACTOR STANDBY", first=k.SLOT, per_slot=k.LANE_SCALARS)

# The hour of the house and of a source: what all lanes share, or a lane's own.
_HOUSE, _OFFER = (
    "ROOM GAINS SLAB_WEATHER ROOM_WEATHER PRECHARGE COLD_BELOW",
    "CAPACITY TARGET CHARGE AHEAD UNTIL PER_HEAT",
)
_TAPS = "USE USE_NEED USE_COLD"
house_hour, taps_hour, Taps = hour_reader("HouseHour", _HOUSE), hour_reader("Taps", _TAPS), _tuple("Taps", _TAPS)
own_house_hour, own_excess = reader("HouseHour", _HOUSE, first=k.HOUR), reader("Excess", "DEGREES", first=k.HOUR)
Offer = _tuple("Offer", _OFFER)
own_offer = reader("Offer", _OFFER, first=k.HOUR + k.SOURCES, per_slot=k.SOURCE_ROWS)

# Sums of a piece of the year, and what is in hand of an hour.
add_heat, add_uses = adder("WANTED GIVEN MISSING HOURS_SHORT"), adder("USE_WANTED USE_MISSING")
worst_of, keep_worst = reader("Worst", "WORST"), writer("WORST")
lowest_of, keep_lowest = reader("Lowest", "LOWEST"), writer("LOWEST")
add_heat_of, add_input_of, add_dumped_of = (adder(row, per_slot=1) for row in ("HEAT", "USED", "DUMPED"))
_SEASON = "HEAT USED DUMPED"
season_of, keep_season = reader("Season", _SEASON, per_slot=1), writer(_SEASON, per_slot=1)
add_auxiliary, add_running = adder("AUXILIARY"), adder("RUNNING")
inputs_now = reader("Inputs", "NOW_0 NOW_1 NOW_2 AUXILIARY_NOW")
keep_input, keep_auxiliary, keep_stepped = writer("NOW", per_slot=1), writer("AUXILIARY_NOW"), writer("STEPPED")
pumps_of, loss_of = reader("Pumps", "PUMP STEPS OTHER"), reader("Loss", "STATE_LOSS NET_LOSS")


@inline
def hour_of_lane(w: Any, lane: int, hour: Any, excess: Any, offers: Any, own: int) -> Any:
    """The hour of the house, the degrees and the sources' offers: what all lanes share, or a lane's own."""
    if own:
        hour, excess = own_house_hour(w, lane), own_excess(w, lane).degrees
        offers = (own_offer(w, 0, lane), own_offer(w, 1, lane), own_offer(w, 2, lane))
    return hour, excess, offers
