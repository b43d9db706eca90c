"""What a tank must hold where clock or utility let a source rest: the house's heat of these hours on the design night beside the tank's."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from costsim.analysis.needs import stops_at_design, supply_at_design_c
from costsim.analysis.select import always_there
from costsim.engine.lower import LoweredStudy, option_study
from costsim.results.result import OptionResult, Result
from costsim.sources import HeatSource
from costsim.sources.base import may_run
from costsim.sources.offer import NOT_STORING
from costsim.study.case import Option
from costsim.units.quantity import BTU_J, HOUR_S, KWH_J, show
from costsim.views.design_night import left_w
from costsim.words import tr

MOST_H = 24
"""A longer rest is one of season or weekend, which no tank of a house bridges; a choice of ours."""


class RestHeld(NamedTuple):
    """A rest on the coldest day [h], the heat in it that no other source gives at design [J], the tank's share [J], and the tank that would hold it all [m³].

    The tank is let down from `hot_c`, as hot as the option's sources charge it, to `needed_c`, the water that the rooms take at design;
    where none charges it (`charged` false) they are the same. `tank_m3` is 0 without one, and `enough_m3` infinite where it is never hotter
    than the rooms need it. `others_w` is what the sources that never rest give, `short_j` what lacks over the year as sources rest.
    """

    hours: float
    needed_j: float
    held_j: float
    tank_m3: float
    enough_m3: float
    hot_c: float
    needed_c: float
    others_w: float
    charged: bool
    short_j: float


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


def charged_c(common: LoweredStudy, option: Option) -> float:
    """How hot sources charge a tank within a day of the coldest hour [°C], as the hours of the year have it; minus infinity where none does.

    No sun is counted on.
    """
    cold = int(np.argmax(common.demand_w))
    near = slice(max(0, cold - MOST_H), cold + MOST_H + 1)
    storing = [source for source in option.sources if source.store and not source.collects_sun]
    hottest = [float(source.offer(common.surroundings).target_c[near].max()) for source in storing]
    charges = [target_c for target_c in hottest if target_c > NOT_STORING]
    return min(max(charges), common.water.max_temperature_c) if charges else -np.inf


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
    tank, water = option.tank_of(result.lowered.case), common.water
    stops = stops_at_design(result.lowered, option)
    others = sum(
        left.left_w
        for source, left, stopped in zip(option.sources, left_w(result, season), stops, strict=True)
        if always_there(source) and source not in resting and not stopped
    )
    need_j = max(0.0, common.route.load_w - others) * hours * HOUR_S
    needed_c, charged = supply_at_design_c(common), charged_c(common, option)
    hot_c = max(needed_c, charged)
    per_m3 = water.density_kg_m3 * water.heat_capacity_j_kgk * (hot_c - needed_c)
    return RestHeld(
        hours, need_j, water.tank_j_k * (hot_c - needed_c), tank.volume_m3 if tank else 0.0,
        need_j / per_m3 if per_m3 > 0 else float("inf"), hot_c, needed_c, others, charged > needed_c,
        float(season.unmet.by_cause_j.get("curtailment", 0.0)),
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
    words |= {"need": _heat(held.needed_j, system), "others": show(held.others_w, "power", system)}
    if held.others_w >= load_w:
        text = tr(
            "{name}: on the design night its resting source leaves {hours} h; the sources that do not rest carry the house meanwhile",
            **words,
        )
        return _over_the_year(text, held, system)
    text = (
        tr(
            "{name}: on the design night its resting source leaves {hours} h, which need {need} more than the sources that do not rest"
            " give meanwhile ({load} less their {others}, × {hours} h)",
            **words,
        )
        if held.others_w > 0
        else tr(
            "{name}: on the design night its resting source leaves {hours} h, which need {need} ({load} × {hours} h);"
            " nothing else heats the house meanwhile",
            **words,
        )
    )
    if not held.tank_m3:
        return tr("{text}. There is no tank to hold any of it.", text=text)
    tank, needed = show(held.tank_m3, "volume", system, 0), show(held.needed_c, "temperature", system, 0)
    if not held.charged:
        return tr(
            "{text}. Its tank of {tank} holds nothing for them: no source charges it hotter than the {needed} that the rooms then take,"
            " so no size of tank would do.",
            text=text,
            tank=tank,
            needed=needed,
        )
    text = tr(
        "{text}. Its tank of {tank}, cooling from {hot} to the {needed} that the rooms then take, gives {held}",
        text=text,
        tank=tank,
        hot=show(held.hot_c, "temperature", system, 0),
        needed=needed,
        held=_heat(held.held_j, system),
    )
    if held.held_j >= held.needed_j:
        return _over_the_year(text, held, system, enough=True)
    size = show(held.enough_m3, "volume", system, 0)
    return tr("{text}. For these hours alone the tank would have to hold {size}.", text=text, size=size)


def _over_the_year(text: str, held: RestHeld, system: str, *, enough: bool = False) -> str:
    """End a sentence on one night: it is never called enough where the year lacks heat while sources rest."""
    if held.short_j > 0:
        return tr(
            "{text}. Over the year that is not enough: the house lacks {short} while sources rest.",
            text=text,
            short=_heat(held.short_j, system),
        )
    return tr("{text}, which is enough.", text=text) if enough else f"{text}."


def _heat(joule: float, system: str) -> str:
    amount = joule / (1e3 * BTU_J) if system == "us" else joule / KWH_J
    unit = "kBtu" if system == "us" else "kWh"
    return f"{amount:,.0f} {unit}" if amount >= 0.5 or amount == 0 else tr("less than 1 {unit}", unit=unit)
