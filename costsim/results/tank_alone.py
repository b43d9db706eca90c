"""What the tank alone would bring: hours in which it is too cool for taps or floor, which hold only by what runs just then.

The hour's balance lets what runs heat the water of taps and floor before the tank's (`engine.balance`), as where the sources are
piped ahead of the tank. A tank that sank below what a tap needs then still counts as serving it; here it is told how often.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from costsim.engine.lower import LoweredStudy
from costsim.physics.demand import ROUNDING_W
from costsim.results.clock import clock_labels
from costsim.results.result import BeyondLoops, CoolTank, Hourly, UseSeason
from costsim.units.arrays import Floats
from costsim.units.quantity import show_both
from costsim.words import tr

COOL_K = 1.0
"""A tank less than this below what is needed counts as warm enough, as a room does."""
LITTLE_SHARE = 0.01
"""Of the design load, within which the floor's heat counts as what its loops give; a choice of ours."""


def warmer_end_c(top_c: Floats) -> Floats:
    """Tank at the start or the end of each hour, whichever is warmer (n,) [°C].

    Examples
    --------
    >>> warmer_end_c(np.array([50.0, 40.0, 45.0]))
    array([50., 50., 45.])
    """
    return np.asarray(np.maximum(top_c, np.concatenate((top_c[:1], top_c[:-1]))))


def with_cool_tank(common: LoweredStudy, hourly: Hourly, uses: Sequence[UseSeason]) -> tuple[UseSeason, ...]:
    """Uses with how often the tank itself was too cool for them; those after the house take what runs and are let be.

    Parameters
    ----------
    common : LoweredStudy
        As the option sees it.
    hourly : Hourly
    uses : sequence of UseSeason
        In the order typed.
    """
    if common.uses is None or common.water.tank_j_k <= 0:
        return tuple(uses)
    warm, seasons = warmer_end_c(hourly.tank_top_c), []
    for at, (use, season) in enumerate(zip(common.case.use, uses, strict=True)):
        needs = common.uses.each_needs_c[at]
        lacks = np.where(common.uses.by_use_w[at] > ROUNDING_W, needs - warm, 0.0)
        cool = lacks > COOL_K
        hours = int(np.count_nonzero(cool))
        if hours == 0 or common.uses.late[at]:
            seasons.append(season)
            continue
        worst = int(lacks.argmax())
        approach = use.above_use_k
        tank, need = float(warm[worst]), float(needs[worst])
        either = int(np.count_nonzero(cool if season.lacking is None else cool | season.lacking))
        cool_tank = CoolTank(hours, worst, tank, need, tank - approach, need - approach)
        seasons.append(replace(season, cool=cool_tank, too_cool_hours=either))
    return tuple(seasons)


def beyond_loops(common: LoweredStudy, hourly: Hourly) -> BeyondLoops | None:
    """Hours in which the floor got more than its water would carry from the tank as warm as it was; None where there are none.

    With thermal mass the water gives to the slab as it was at the start of the hour, without it to the room at its set-point.
    """
    mass = common.water.mass
    resistance = mass.water_resistance_k_w if mass is not None else common.water.resistance_k_w
    if common.water.tank_j_k <= 0 or not resistance > 0:
        return None
    slab = hourly.slab_c
    sink = np.concatenate((slab[:1], slab[:-1])) if mass is not None else common.setpoint_c
    could = np.maximum(warmer_end_c(hourly.tank_top_c) - sink, 0.0) / resistance
    over = hourly.delivered_w - could
    hours = int(np.count_nonzero(over > LITTLE_SHARE * common.route.load_w))
    if hours == 0:
        return None
    worst = int(over.argmax())
    return BeyondLoops(hours, worst, float(over[worst]), float(hourly.delivered_w[worst]))


def tank_alone_warnings(
    name: str, common: LoweredStudy, uses: Sequence[UseSeason], floor: BeyondLoops | None
) -> tuple[str, ...]:
    """Say of an option where taps and floor hold only by what runs in the same hour, a line each."""
    cool = [(use.name, use.cool) for use in uses if use.cool is not None]
    if not cool and floor is None:
        return ()
    clock = clock_labels(common.calendar)
    texts = [
        tr(
            "{option}: in {hours} hours the tank is cooler than {use} needs, {tank} instead of {need} at worst ({when}); from the tank"
            " alone it brings {gives} where {wanted} is wanted. It is hot enough there only if the sources are piped so that"
            " what runs heats that water before the tank's",
            option=name,
            use=use,
            hours=f"{check.hours:,}",
            tank=show_both(check.tank_c, "temperature", 0),
            need=show_both(check.needs_c, "temperature", 0),
            when=clock[check.at],
            gives=show_both(check.gives_c, "temperature", 0),
            wanted=show_both(check.wanted_c, "temperature", 0),
        )
        for use, check in cool
    ]
    if floor is not None:
        texts.append(
            tr(
                "{option}: in {hours} hours more heat goes to {emitter} than water from a tank that cool would bring, up to {over}"
                " more ({when}), by what runs just then: from sources piped through the tank alone that heat comes later, and the rooms"
                " are cooler meanwhile",
                option=name,
                hours=f"{floor.hours:,}",
                emitter=common.case.emitter_named,
                over=show_both(floor.over_w, "power"),
                when=clock[floor.at],
            )
        )
    return tuple(texts)
