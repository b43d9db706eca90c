"""Sizes of one source off the shelf, each run for a year in the place of what was typed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.analysis.needs import stops_at_design, water_at_design_c
from costsim.analysis.sized_years import SizedOption, SizedYear
from costsim.engine.lower import LoweredStudy
from costsim.errors import Fault, InputError
from costsim.physics.wood import BUFFER_FREE_M3
from costsim.sources import HeatSource
from costsim.sources.base import may_run
from costsim.sources.offer import Offer
from costsim.study.case import Option
from costsim.study.changed import Path, changed
from costsim.study.selection import MarketSize, Sizes

CONDENSING_SHARE = 0.95
"""Output over input on the plate of a condensing unit whose efficiency is not typed; common practice, no source."""


@dataclass(frozen=True, slots=True)
class SizeStep:
    """One size off the shelf, run for a year in the place of the source that was typed.

    Parameters
    ----------
    size : float
        As sold: output or input [W], or collector area [m²].
    output_w, left_w : float
        Rated output, and what derates, and hours in which it must rest, leave of it at design [W].
    input_w : float
        Most fuel or electricity that goes in within an hour of the year [W].
    buffer_asked_m3, buffer_m3 : float or None
        Buffer that EN 303-5 asks for beside a fire, and the tank of that year: the next size up where the study's is smaller.
    unmet_hours : int
    worst_w, unmet_j, cost : float
        Worst hour [W], heat missing [J] and money of the option's whole year.
    chosen : bool
    day_share : float
        Share of the coldest day in which clock, months and utility let it run; `left_w` is its average over that day.
    """

    size: float
    output_w: float
    left_w: float
    input_w: float
    buffer_asked_m3: float | None
    buffer_m3: float | None
    unmet_hours: int
    worst_w: float
    unmet_j: float
    cost: float
    chosen: bool
    day_share: float = 1.0


def plate_share(source: HeatSource) -> float | None:
    """Output over input on the plate; None where no one figure holds."""
    typed = source.plate_efficiency()
    return CONDENSING_SHARE if typed is None and source.condenses() else typed


def output_share(source: HeatSource, offer: Offer) -> float:
    """Output over input: of the plate, else in the hour of the year in which most goes in for the heat."""
    known = plate_share(source)
    return float(offer.heat_per_input.min()) if known is None else known


def share_at_design(common: LoweredStudy, option: Option, source: HeatSource) -> float:
    """Output over input at the water of the design load, which cools by what that load takes; `common` is the study as the option sees it.

    A unit that condenses does so by its water, whatever its plate says.
    """
    plate = source.plate_efficiency()
    if plate is not None and not source.condenses():
        return plate
    seen = common.surroundings
    water = np.full(seen.n_hours, water_at_design_c(common, option))
    # without a tank the emitters' return is what the source makes water from
    load_w = min(common.route.load_w, common.water.limit_w)
    drop_k = 0.0 if common.water.tank_j_k > 0 else load_w * common.water.drop_k_w
    offer = source.offer(replace(seen, water_c=water, drop_k=drop_k, layers=None))
    return float(offer.heat_per_input[int(np.argmax(common.demand_w))])


def output_of(source: HeatSource, what: str, size: float) -> float:
    """Rated output [W] of a size as its list has it; an `InputError` where that is by input and the source has no one efficiency."""
    if what.endswith("input"):
        share = plate_share(source)
        if share is None:
            raise InputError(
                Fault("option.source", f"{source.label} has no efficiency, which its size by input needs", "type it")
            )
        return size * share
    if what.endswith("area"):
        return size * source.nameplate_w() / (source.collector_area_m2() or 1.0)
    return size


def sized_steps(
    sized: SizedOption, sizes: Sizes, number: int, needed_w: float
) -> tuple[tuple[SizeStep, ...], SizeStep | None]:
    """The size that carries a load, with the one below and the next one up.

    Parameters
    ----------
    sized : SizedOption
        The option, to be run with other sizes.
    sizes : Sizes
    number : int
        Which of its sources, from 0.
    needed_w : float
        What must be left of it after its derates, on average over the coldest day [W]. Collectors carry no load: theirs is the next
        area over the one typed.

    Returns
    -------
    tuple
        Up to three sizes, and the chosen one, whose own year has no more unmet hours than the study allows, but for a fire's, whose
        gaps between its loads others close; the largest three and None where no size of the list does. Where nothing must be left of
        it, as others carry the load, the sizes around the one entered, and None: no load chooses among them.
    """
    source = sized.option.sources[number]
    area = source.collector_area_m2() if source.collects_sun else None
    listed: Sequence[MarketSize] = sizes.of(source.market_list)
    if area is None and needed_w <= 0:
        listed = _around(listed, source)

    def fits(step: SizeStep) -> bool:
        if area is not None:
            return step.size >= area - 1e-9
        if needed_w <= 0:
            return False
        lasts = source.unstoppable or step.unmet_hours <= sized.case.house.max_unmet_hours
        return step.left_w >= needed_w and lasts

    tried_steps: list[tuple[SizeStep, SizedYear]] = []
    for size in listed:
        step = _step(sized, sizes, number, size.value)
        if step is None:
            continue
        tried_steps.append(step)
        if len(tried_steps) > 1 and fits(tried_steps[-2][0]):
            break
    first = next((i for i, (step, _) in enumerate(tried_steps) if fits(step)), None)
    shown = tried_steps[-3:] if first is None else tried_steps[max(first - 1, 0) : first + 2]
    bills = sized.bills([year for _, year in shown])
    steps = tuple(
        replace(
            step,
            cost=sum(bill.total for bill in paid.values()),
            chosen=first is not None and step is tried_steps[first][0],
        )
        for (step, _), paid in zip(shown, bills, strict=True)
    )
    return steps, next((step for step in steps if step.chosen), None)


def _around(listed: Sequence[MarketSize], source: HeatSource) -> Sequence[MarketSize]:
    """The sizes off the shelf around the one entered: the next one up, and its neighbors; the largest where none is as large."""
    outputs = [output_of(source, source.market_list, size.value) for size in listed]
    at = next((i for i, watts in enumerate(outputs) if watts >= source.nameplate_w() - 1.0), len(outputs) - 1)
    start = min(max(at - 1, 0), max(len(listed) - 3, 0))
    return listed[start : start + 3]


def smallest_step(sized: SizedOption, sizes: Sizes, number: int, needed_w: float, hours: int = 0) -> SizeStep | None:
    """The smallest size off the shelf that carries a load at design and leaves at most so many unmet hours in the weather year.

    Parameters
    ----------
    sized, sizes, number, needed_w
        As for `sized_steps`.
    hours : int
        Unmet hours of the option's year that are borne.

    Returns
    -------
    SizeStep or None
        None where no size of the list does.
    """
    for size in sizes.of(sized.option.sources[number].market_list):
        step = _step(sized, sizes, number, size.value)
        if step is not None and step[0].left_w >= needed_w and step[0].unmet_hours <= hours:
            return step[0]
    return None


def day_share(source: HeatSource, study: LoweredStudy) -> float:
    """Share of the coldest day in which clock, months, lockouts and utility let a source run."""
    start = int(np.argmax(study.demand_w)) // 24 * 24
    return float(may_run(source, study.weather, study.calendar)[start : start + 24].mean())


def _step(sized: SizedOption, sizes: Sizes, number: int, size: float) -> tuple[SizeStep, SizedYear] | None:
    """A size and its year, not yet priced; None where that cannot be, such as below the smallest fire."""
    case, at, source = sized.case, sized.at, sized.option.sources[number]
    output = output_of(source, source.market_list, size)
    typed = case.typed["option"][at]
    changes: list[tuple[Path, Any]] = [
        (("option", at, "source", number), source.resized(typed["source"][number], output))
    ]
    asked, held = _buffer(sized, sizes, source, output)
    if asked is not None and held is not None:
        tank = {**typed.get("tank", case.typed.get("tank", {})), "volume": f"{held!r} m3"}
        changes.append((("option", at, "tank"), tank))
    try:
        year = sized.year(changed(case, *changes), hours=False, dumped=False)
    except InputError:
        return None
    offer = year.offers[number]
    stops = stops_at_design(sized.study, sized.option)[number]
    derated = 0.0 if stops else offer.rated_w - math.fsum(watts for _, watts in offer.derates)
    share = day_share(source, sized.own)
    step = SizeStep(
        size,
        output,
        derated * source.lasting_share() * share,
        drawn_w(offer),
        asked,
        held,
        year.lacking_hours,
        year.worst_w,
        year.unmet_j,
        math.nan,
        False,
        share,
    )
    return step, year


def drawn_w(offer: Offer) -> float:
    """Most fuel or electricity that goes in within an hour of the year at full speed, pump and fan with it [W]."""
    return float((offer.capacity_w / offer.heat_per_input).max()) + offer.auxiliary_w


def entered_draw_w(source: HeatSource, offer: Offer) -> float:
    """What a source takes at the size that the study has: by its heat, else the most of the year's hours [W]."""
    share = source.plate_efficiency()
    return drawn_w(offer) if share is None else source.nameplate_w() / share


def _buffer(sized: SizedOption, sizes: Sizes, source: HeatSource, output_w: float) -> tuple[float | None, float | None]:
    """Buffer asked for beside a fire that cannot be turned down, and the tank that does [m³]; None where nothing is asked."""
    asked = source.buffer_m3(output_w, sized.study.route.load_w)
    if asked is None:
        return None, None
    tank = sized.option.tank_of(sized.case)
    there = tank.volume_m3 if tank else 0.0
    if asked < BUFFER_FREE_M3 or there >= asked:
        return asked, there or None
    listed = [size.value for size in sizes.of("buffer tank")]
    return asked, next((volume for volume in listed if volume >= asked), asked)
