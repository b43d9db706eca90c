"""What is left of each source when it is coldest, and what lacks at a design temperature that the weather year does not reach."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from costsim.analysis.capacity import over_day
from costsim.analysis.needs import stops_at_design
from costsim.analysis.sizing import named_option
from costsim.results.result import OptionResult, Result
from costsim.units.quantity import show
from costsim.views.answer import called
from costsim.words import tr

SAME_K = 1.5
"""A design temperature that is less than this below the coldest hour of the weather counts as reached."""
LITTLE = 0.01
"""A gap below this share of the design load counts as none."""


class SourceLeft(NamedTuple):
    """What is left of a source after its derates [W], averaged over the coldest day [W], and in how many of its hours."""

    name: str
    left_w: float
    day_w: float
    day_hours: float


def left_w(result: Result, option: OptionResult) -> list[SourceLeft]:
    """What is left of each source's nameplate after its derates, and what it gives over the coldest day."""
    case, cold = result.lowered.case, int(np.argmax(result.lowered.demand_w))
    rows = []
    for at, (source, season) in enumerate(zip(named_option(case, option.name).sources, option.sources, strict=True)):
        left = max(0.0, season.rated_w - sum(watts for _, watts in season.derates))
        rows.append(SourceLeft(season.name, left, *over_day(source, left, option.hourly.available_w[at], cold)))
    return rows


def beyond_weather(result: Result) -> bool:
    """Whether the design temperature is colder than any hour of the weather year, so that hours too cold do not tell of it."""
    common = result.lowered
    return common.design_outdoor_c < float(common.weather.outdoor_c.min()) - SAME_K


def short_at_design_w(result: Result, option: OptionResult) -> tuple[float, bool]:
    """What an option lacks at the design temperature [W], and whether it lacks more than that.

    Notes
    -----
    The design load less what sources give over the weather year's coldest day, by the rule of the picture of capacities; no sun shines
    on a design night, and a source that makes no water as hot as the design load's gives nothing. A source that feels the cold gives
    less on a colder day, so that more than this is short.
    """
    typed = named_option(result.lowered.case, option.name)
    pairs = [
        (source, source_left)
        for source, source_left, stops in zip(
            typed.sources, left_w(result, option), stops_at_design(result.lowered, typed), strict=True
        )
        if not source.collects_sun and not stops
    ]
    gap = result.route.load_w - sum(source_left.day_w for _, source_left in pairs)
    more = any(source.feels_cold for source, _ in pairs)
    return (gap if gap > LITTLE * result.route.load_w else 0.0), more


def design_night_sentence(result: Result, system: str, names: tuple[str, ...] = ()) -> str:
    """Say what options lack at a design temperature that the weather year does not reach; empty where it does, or nothing lacks.

    `names` are those told of; all where none is given.
    """
    if not beyond_weather(result):
        return ""
    parts = []
    for option in result.options:
        gap, more = short_at_design_w(result, option)
        if gap and (not names or option.name in names):
            words = {"name": called(option.name), "short": show(gap, "power", system)}
            parts.append(
                tr("{name} would be at least {short} short", **words)
                if more
                else tr("{name} would be {short} short", **words)
            )
    if not parts:
        return ""
    common = result.lowered
    return tr(
        "Hours too cold are those of this weather year, whose coldest is {coldest}. At your design temperature, {design}, {parts}.",
        coldest=show(float(common.weather.outdoor_c.min()), "temperature", system, 0),
        design=show(common.design_outdoor_c, "temperature", system, 0),
        parts="; ".join(parts),
    )
