"""How hot the water is at the design load, and which sources do not make it."""

from __future__ import annotations

from costsim.engine.lower import LoweredStudy
from costsim.engine.water import HOTTEST_WATER_C, water_side
from costsim.study.case import Option


def design_water_c(common: LoweredStudy, option: Option) -> float:
    """How hot an option's tank, or what its emitters run on, is at the design load [°C]."""
    seen, load = option.seen_in(common.case), common.route.load_w
    own = seen is common.case
    water = (
        common.water if own else water_side(seen, design_load_w=load, coldest_c=float(common.weather.outdoor_c.min()))
    )
    at_design = seen.house.indoor_temperature_c + min(load, float(water.limit_w)) * float(water.resistance_k_w)
    return min(at_design, water.max_temperature_c)


def stops_at_design(common: LoweredStudy, option: Option) -> tuple[bool, ...]:
    """Of each source of an option, whether it gives nothing at the design load, whose water is hotter than it makes."""
    if all(source.makes_water(HOTTEST_WATER_C) for source in option.sources):
        return (False,) * len(option.sources)
    water_c = design_water_c(common, option)
    return tuple(not source.makes_water(water_c) for source in option.sources)
