"""Sizes of one source off the shelf, each run for a year in the place of what was typed."""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass, replace

from costsim.engine.lower import lower_option, lower_study, option_study
from costsim.errors import InputError
from costsim.physics.wood import BUFFER_FREE_M3
from costsim.results.result import OptionResult
from costsim.simulation import simulate_option
from costsim.sources import HeatSource
from costsim.study.case import Case, case_from
from costsim.study.selection import Sizes
from costsim.weather import Weather

CONDENSING_SHARE, OTHER_SHARE = 0.95, 0.85
"""Output over input on the plate of a condensing unit, and of one whose efficiency is not typed; common practice, no source."""


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


def output_share(source: HeatSource) -> float:
    """Output over input on the plate."""
    known = getattr(source, "efficiency_share", None)
    usual = CONDENSING_SHARE if getattr(source, "condensing", False) else OTHER_SHARE
    return float(known if known is not None else usual)


def output_of(source: HeatSource, what: str, size: float) -> float:
    """Rated output [W] of a size as its list has it."""
    if what.endswith("input"):
        return size * output_share(source)
    if what.endswith("area"):
        return size * source.nameplate_w() / float(getattr(source, "area_m2", 1.0))
    return size


def sized_steps(
    case: Case, weather: Weather, sizes: Sizes, at: tuple[int, int], source: HeatSource, needed_w: float
) -> tuple[tuple[SizeStep, ...], SizeStep | None]:
    """The size that carries a load, with the one below and the next one up.

    Parameters
    ----------
    case, weather
    sizes : Sizes
    at : tuple of int
        Which option, and which of its sources.
    source : HeatSource
    needed_w : float
        What must be left of it after its derates [W]. Collectors carry no load: theirs is the next area over the one typed.

    Returns
    -------
    tuple
        Up to three sizes, and the chosen one; the largest three and None where no size of the list does.
    """
    area = getattr(source, "area_m2", 0.0) if source.collects_sun else None

    def fits(step: SizeStep) -> bool:
        return step.size >= area - 1e-9 if area is not None else step.left_w >= needed_w

    found: list[SizeStep] = []
    for size in sizes.of(source.market_list):
        step = _step(case, weather, sizes, at, source, size.value)
        if step is None:
            continue
        found.append(step)
        if len(found) > 1 and fits(found[-2]):
            break
    first = next((i for i, step in enumerate(found) if fits(step)), None)
    if first is None:
        return tuple(found[-3:]), None
    chosen = replace(found[first], chosen=True)
    return (*found[max(first - 1, 0) : first], chosen, *found[first + 1 : first + 2]), chosen


def _step(
    case: Case, weather: Weather, sizes: Sizes, at: tuple[int, int], source: HeatSource, size: float
) -> SizeStep | None:
    """A year with another size; None where that cannot be, such as below the smallest fire."""
    data = copy.deepcopy(case.typed)
    output = output_of(source, source.market_list, size)
    option = data["option"][at[0]]
    option["source"][at[1]] = source.resized(option["source"][at[1]], output)
    asked, held = _buffer(case, weather, sizes, at, source, output)
    if asked is not None and held is not None:
        option["tank"] = {**option.get("tank", data.get("tank", {})), "volume": f"{held!r} m3"}
    try:
        other = case_from(data, file=case.file, files=case.files)
    except InputError:
        return None
    common = lower_study(other, weather)
    offer = lower_option(option_study(common, other.options[at[0]]), other.options[at[0]]).offers[at[1]]
    year: OptionResult = simulate_option(common, other.options[at[0]])
    derated = offer.rated_w - math.fsum(watts for _, watts in offer.derates)
    return SizeStep(
        size,
        output,
        derated * source.lasting_share(),
        float((offer.capacity_w / offer.heat_per_input).max()) + offer.auxiliary_w,
        asked,
        held,
        year.lacking_hours,
        year.unmet.worst_w,
        year.unmet.energy_j,
        year.cost_total,
        False,
    )


def _buffer(
    case: Case, weather: Weather, sizes: Sizes, at: tuple[int, int], source: HeatSource, output_w: float
) -> tuple[float | None, float | None]:
    """Buffer asked for beside a fire that cannot be turned down, and the tank that does [m³]; None where nothing is asked."""
    ask = getattr(source, "buffer_m3", None)
    if ask is None:
        return None, None
    asked = float(ask(output_w, lower_study(case, weather).route.load_w))
    tank = case.options[at[0]].tank or case.tank
    there = tank.volume_m3 if tank else 0.0
    if asked < BUFFER_FREE_M3 or there >= asked:
        return asked, there or None
    listed = [one.value for one in sizes.of("buffer tank")]
    return asked, next((volume for volume in listed if volume >= asked), asked)
