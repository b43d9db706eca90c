"""What a tank must hold where clock or utility let a source rest: the house's heat of these hours on the design night beside the tank's."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from costsim.analysis.needs import supply_at_design_c
from costsim.analysis.select import always_there
from costsim.engine.lower import LoweredStudy, option_study
from costsim.results.result import OptionResult, Result
from costsim.sources import HeatSource
from costsim.sources.base import may_run
from costsim.study.case import Option
from costsim.units.quantity import BTU_J, HOUR_S, KWH_J, show
from costsim.views.design_night import left_w
from costsim.words import tr

MOST_H = 24
"""A longer rest is one of season or weekend, which no tank of a house bridges; a choice of ours."""


class RestHeld(NamedTuple):
    """A rest on the coldest day [h], the design load's heat in it [J], what the tank holds of it [J], and the tank that would hold it all [m³].

    The tank is let down from `hot_c`, as hot as it may be stored, to `needed_c`, the water that the rooms take at design; `tank_m3` is 0
    without one, and `enough_m3` infinite where it may not be hotter than the rooms need it. `others_w` is what the sources that never rest give.
    """

    hours: float
    needed_j: float
    held_j: float
    tank_m3: float
    enough_m3: float
    hot_c: float
    needed_c: float
    others_w: float


def rests(source: HeatSource) -> bool:
    """Whether clock or utility switch a source off at some hours; the weather's own limits are no rest."""
    return bool(source.windows or source.curtailment is not None) and not source.unstoppable


def rest_h(common: LoweredStudy, source: HeatSource) -> float:
    """Longest rest of a source within a day of the coldest hour [h]; 0 where it lasts more than `MOST_H`."""
    plain = source.model_copy(update={"lockout_above_c": None, "lockout_below_c": None})
    off = 1.0 - may_run(plain, common.weather, common.calendar)
    cold = int(np.argmax(common.demand_w))
    near = off[max(0, cold - MOST_H) : cold + MOST_H + 1]
    best = run = 0.0
    for share in near:
        run = run + float(share) if share > 0 else 0.0
        best = max(best, run)
    return best if best <= MOST_H else 0.0


def rest_held(result: Result, season: OptionResult, option: Option) -> RestHeld | None:
    """What an option's tank holds for the longest rest of its sources; None where none rests, or for longer than a day.

    Notes
    -----
    Heat of the tank: volume × density × specific heat × (hot − needed); for water in US units 8.33 Btu/(gal °F), standard.
    """
    resting = [source for source in option.sources if rests(source)]
    common = option_study(result.lowered, option)
    hours = max((rest_h(common, source) for source in resting), default=0.0)
    if not hours:
        return None
    tank, water, load_w = option.tank_of(result.lowered.case), common.water, common.route.load_w
    need_j, needed_c = load_w * hours * HOUR_S, supply_at_design_c(common)
    hot_c = min(water.store_c, water.max_temperature_c) if tank else needed_c
    drop_k = max(0.0, hot_c - needed_c)
    per_m3 = water.density_kg_m3 * water.heat_capacity_j_kgk * drop_k
    left = zip(option.sources, left_w(result, season), strict=True)
    others = sum(left.left_w for source, left in left if always_there(source) and source not in resting)
    return RestHeld(
        hours, need_j, water.tank_j_k * drop_k, tank.volume_m3 if tank else 0.0,
        need_j / per_m3 if per_m3 > 0 else float("inf"), hot_c, needed_c, others,
    )  # fmt: skip


def rest_lines(result: Result, system: str) -> list[str]:
    """For each option with hours of rest: the heat of these hours on the design night, what its tank holds, and whether that is enough.

    Nothing is said of an option without a tank whose other sources carry the house.
    """
    lines = []
    for season, option in zip(result.options, result.lowered.case.options, strict=True):
        held = rest_held(result, season, option)
        if held is not None and (held.tank_m3 or held.others_w < result.lowered.route.load_w):
            lines.append(_line(season.name, held, result.lowered.route.load_w, system))
    return lines


def _line(name: str, held: RestHeld, load_w: float, system: str) -> str:
    words = {"name": name, "hours": f"{held.hours:g}", "load": show(load_w, "power", system)}
    words |= {"need": _heat(held.needed_j, system), "held": _heat(held.held_j, system)}
    text = tr(
        "{name}: on the design night its resting source leaves {hours} h, which need {need} ({load} × {hours} h)",
        **words,
    )
    if not held.tank_m3:
        text = tr("{text}. There is no tank to hold any of it", text=text)
    else:
        text = tr(
            "{text}. Its tank of {tank}, cooling from {hot} to the {needed} that the rooms then take, gives {held}",
            text=text,
            tank=show(held.tank_m3, "volume", system, 0),
            hot=show(held.hot_c, "temperature", system, 0),
            needed=show(held.needed_c, "temperature", system, 0),
            **words,
        )
    if held.held_j >= held.needed_j:
        return tr("{text}, which is enough.", text=text)
    if not np.isfinite(held.enough_m3):
        size = tr("No size of tank would do, as its water is never hotter than that")
    else:
        size = tr("Alone, the tank would have to hold {volume}", volume=show(held.enough_m3, "volume", system, 0))
    text = f"{text}. {size}" if held.tank_m3 else text
    if held.others_w >= load_w:
        return tr("{text}; the sources that do not rest carry the house meanwhile.", text=text)
    if held.others_w > 0:
        given = show(held.others_w, "power", system)
        return tr("{text}; the sources that do not rest give {given} meanwhile.", text=text, given=given)
    return tr("{text}; nothing else heats the house meanwhile.", text=text)


def _heat(joule: float, system: str) -> str:
    return f"{joule / (1e3 * BTU_J):,.0f} kBtu" if system == "us" else f"{joule / KWH_J:,.0f} kWh"
