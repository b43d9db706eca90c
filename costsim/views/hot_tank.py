"""Where hot water keeps the whole tank hotter than the floor needs, so that heat pumps and collectors give less for their power."""

from __future__ import annotations

import numpy as np

from costsim.analysis.needs import supply_c
from costsim.results.result import Result
from costsim.study.uses import HotWater
from costsim.units.quantity import show
from costsim.views.answer import called
from costsim.words import tr, trn

LESS_K = 2.0
"""Water that is hotter by less than this makes no difference worth a sentence."""


def hot_tank_sentence(result: Result, system: str) -> str:
    """Say which options heat the floor's water as hot as the taps need it, and what would help; empty where none does."""
    common = result.lowered
    case, uses = common.case, common.uses
    taps = [at for at, use in enumerate(case.use) if isinstance(use, HotWater)]
    mixed = [
        option.name
        for option in case.options
        if (tank := option.tank_of(case)) is not None
        and not tank.stratification_share
        and any(source.likes_cool_water for source in option.sources)
    ]
    meeting = dict.fromkeys(
        source.label
        for option in case.options
        if option.name in mixed
        for source in option.sources
        if source.likes_cool_water
    )
    if uses is None or not taps or not mixed:
        return ""
    hot_c = float(uses.each_needs_c[taps].max())
    heats = common.demand_w > 0
    if not heats.any():
        return ""
    # the floor's own water; the tank's, `water_c`, is as hot as its hottest use
    cool_c = supply_c(common, float(np.mean(common.demand_w[heats])))
    if hot_c < cool_c + LESS_K:
        return ""
    return tr(
        "{names}: the whole tank is kept at {hot} for hot water, so that {sources} must heat the rooms' water that hot too,"
        " where {cool} would do on average in the hours with heating; a stratified tank (Layout, Tank) or a water heater of its own"
        " for the taps would let that run cooler",
        names=tr(", ").join(f"“{name}”" if any("," in other for other in mixed) else name for name in mixed),
        sources=tr(" and ").join(meeting),
        hot=show(hot_c, "temperature", system, 0),
        cool=show(cool_c, "temperature", system, 0),
    )


def cool_tank_sentence(result: Result, system: str) -> str:
    """Say in which options the tank itself is at times too cool for hot water, at the worst; empty where it never is."""
    parts = [
        trn(
            "{name} ({count} hour, {gives} at the tap from the tank alone)",
            "{name} ({count} hours, {gives} at the tap from the tank alone)",
            cool.hours,
            name=called(option.name),
            gives=show(cool.gives_c, "temperature", system, 0),
        )
        for option in result.options
        for use in option.uses
        if use.kind == "hot_water" and (cool := use.cool) is not None
    ]
    if not parts:
        return ""
    return tr(
        "Hot water is not always hot enough from the tank: {options}. There it counts as hot because what runs heats it before the"
        " tank's water; that takes pipes laid so, or a larger source.",
        options=tr(", ").join(parts),
    )
