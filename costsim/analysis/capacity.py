"""One closer look at each option: what each source really gives, the loops, failures, and the program."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from costsim.analysis.eligibility import CurtailmentRun, Verdict, longest_curtailment_run, tank_hours, verdict
from costsim.analysis.needs import stops_at_design, supply_at_design_c
from costsim.analysis.outages import Failure, failures
from costsim.analysis.propane_tank import BoilOff, boil_off
from costsim.analysis.size_steps import share_at_design
from costsim.engine.loop_checks import LoopCheck
from costsim.engine.lower import LoweredOption, LoweredStudy, lower_plant, lower_study, option_study
from costsim.results.result import Hourly
from costsim.simulation import run_hours
from costsim.sources import HeatSource
from costsim.study.case import Case, Option
from costsim.study.selection import Selection, sizes_of
from costsim.units.arrays import Floats
from costsim.weather import Weather


@dataclass(frozen=True, slots=True)
class SourceCapacity:
    """Rated, derated and delivered capacity of one source [W]; `derates` says what lies between the first two, in the coldest hour.

    `stops_at_design` says that it gives nothing at the design load, whose water is hotter than it makes.

    `day_w` is what it gives averaged over the coldest day, `day_hours` for how many of its 24 hours; a fire's derated capacity is that
    of a burning one.
    """

    name: str
    rated_w: float
    derates: tuple[tuple[str, float], ...]
    derated_w: float
    day_w: float
    day_hours: float
    delivered_w: float
    full_load_hours: float
    tank_hours: float | None
    boils_off: BoilOff | None = None
    stops_at_design: bool = False


@dataclass(frozen=True, slots=True)
class OptionCapacity:
    """All of one option."""

    option: str
    sources: tuple[SourceCapacity, ...]
    failures: tuple[Failure, ...]
    verdict: Verdict | None
    curtailment: CurtailmentRun


@dataclass(frozen=True, slots=True)
class CapacityReport:
    """All options, and what they share: loops, water temperature and floor limit at design.

    Derates hold in the hour of highest demand, whose outdoor temperature, demand and supply stand beside those of design.
    """

    title: str
    design_load_w: float
    floor_limit_w: float
    design_supply_temperature_c: float
    indoor_temperature_c: float
    freeze_c: float
    design_outdoor_c: float
    coldest_c: float
    coldest_demand_w: float
    coldest_supply_c: float
    loops: tuple[LoopCheck, ...]
    options: tuple[OptionCapacity, ...]


def capacity_report(case: Case, weather: Weather) -> CapacityReport:
    """Look closer at every option of a study.

    Parameters
    ----------
    case : Case
    weather : Weather

    Returns
    -------
    CapacityReport

    Raises
    ------
    InputError
        Case and weather do not fit each other.
    """
    common = lower_study(case, weather)
    load, cold = common.route.load_w, int(np.argmax(common.demand_w))
    return CapacityReport(
        title=case.title,
        design_load_w=load,
        floor_limit_w=common.water.limit_w,
        design_supply_temperature_c=supply_at_design_c(common),
        indoor_temperature_c=case.house.indoor_temperature_c,
        freeze_c=common.water.freeze_c,
        design_outdoor_c=common.design_outdoor_c,
        coldest_c=float(common.weather.outdoor_c[cold]),
        coldest_demand_w=float(common.demand_w[cold]),
        coldest_supply_c=float(common.surroundings.water_c[cold]),
        loops=common.water.loops,
        options=tuple(_option(common, option) for option in case.options),
    )


def _option(common: LoweredStudy, option: Option) -> OptionCapacity:
    common = option_study(common, option)
    plant = lower_plant(common, option)
    hourly = run_hours(common, plant)
    return OptionCapacity(
        option.name,
        source_capacities(common, option, plant, hourly),
        failures(common, option),
        verdict(common, option, hourly),
        longest_curtailment_run(common, option, plant.offers, hourly),
    )


def source_capacities(
    common: LoweredStudy, option: Option, plant: LoweredOption, hourly: Hourly
) -> tuple[SourceCapacity, ...]:
    """What each source of an option really gives; `common` is the study as the option sees it, `hourly` its year."""
    cold = int(np.argmax(common.demand_w))
    sources, stops = [], stops_at_design(common, option)
    for i, (source, offer) in enumerate(zip(option.sources, plant.offers, strict=True)):
        lost = sum(watts for _, watts in offer.derates)
        derated = float(hourly.available_w[i, cold]) if source.collects_sun else offer.rated_w - lost
        mean, hours = over_day(source, derated, hourly.available_w[i], cold)
        # only a propane tank asks for it
        share = share_at_design(common, option, source) if source.fuel_tank() is not None else 1.0
        sources.append(
            SourceCapacity(
                name=offer.name,
                rated_w=offer.rated_w,
                derates=offer.derates,
                derated_w=derated,
                day_w=mean,
                day_hours=hours,
                delivered_w=float(hourly.heat_w[i].max(initial=0.0)),
                full_load_hours=float(hourly.heat_w[i].sum()) / derated if derated > 0 else 0.0,
                tank_hours=tank_hours(source, common.route.load_w, common.case.prices, share),
                boils_off=_boils_off(common, source, share),
                stops_at_design=stops[i],
            )
        )
    return tuple(sources)


def _boils_off(common: LoweredStudy, source: HeatSource, share: float) -> BoilOff | None:
    """What the source's propane tank boils off in the coldest hour; None without one."""
    if source.fuel_tank() is None:
        return None
    case, selection = common.case, common.case.selection or Selection()
    sizes = sizes_of(selection, case.files, case.file)
    burns, asked = (
        watts / share + selection.other_gas_input_w for watts in (source.nameplate_w(), common.route.load_w)
    )
    return boil_off(source, sizes, common.coldest_c, burns, asked, share)


def over_day(source: HeatSource, left_w: float, available_w: Floats, cold: int) -> tuple[float, float]:
    """What a source gives averaged over the coldest day [W], and for how many of its hours.

    Parameters
    ----------
    source : HeatSource
    left_w : float
        What derates leave of its nameplate [W].
    available_w : array (n,)
        What it may give in each hour of the year [W].
    cold : int
        The coldest hour.

    Notes
    -----
    A fire burns its loads one after the other; what clock or utility switches off gives nothing meanwhile.
    """
    if source.unstoppable and not source.collects_sun:
        share = source.lasting_share()
        return left_w * share, 24.0 * share
    day = available_w[cold // 24 * 24 : cold // 24 * 24 + 24]
    hours = float((day > 1.0).sum())
    return (left_w, 24.0) if hours == len(day) else (float(day.mean()), hours)


def as_json(report: CapacityReport) -> dict[str, Any]:
    """The closer look as plain data: kW, °C, hours."""
    return {
        "title": report.title,
        "design_load_kw": report.design_load_w / 1e3,
        "floor_limit_kw": report.floor_limit_w / 1e3 if np.isfinite(report.floor_limit_w) else None,
        "design_supply_temperature_c": report.design_supply_temperature_c,
        "freeze_c": report.freeze_c,
        "design_outdoor_c": report.design_outdoor_c,
        "derated_at": {
            "outdoor_c": report.coldest_c,
            "demand_kw": report.coldest_demand_w / 1e3,
            "supply_c": report.coldest_supply_c,
        },
        "loops": [
            {
                "name": loop.name,
                "flow_l_min": loop.flow_m3_s * 6e4,
                "reynolds": loop.reynolds,
                "regime": loop.regime,
                "head_kpa": loop.head_pa / 1e3,
                "heat_w_per_k": loop.heat_w_k,
                "surface_limit_kw": loop.surface_limit_w / 1e3,
                "pump_w": loop.pump_w,
            }
            for loop in report.loops
        ],
        "options": [_option_json(option) for option in report.options],
    }


def _option_json(option: OptionCapacity) -> dict[str, Any]:
    return {
        "name": option.option,
        "sources": [
            {
                "name": source.name,
                "rated_kw": source.rated_w / 1e3,
                "derates_kw": {why: watts / 1e3 for why, watts in source.derates},
                "derated_kw": source.derated_w / 1e3,
                "day_mean_kw": source.day_w / 1e3,
                "day_hours": source.day_hours,
                "delivered_kw": source.delivered_w / 1e3,
                "full_load_hours": source.full_load_hours,
                "propane_tank_hours_at_design": source.tank_hours,
            }
            for source in option.sources
        ],
        "failures": [
            {
                "what": failure.what,
                "lowest_c": failure.lowest_c,
                "hours_to_c": {f"{level:g}": hours for level, hours in failure.hours_to_level.items()},
            }
            for failure in option.failures
        ],
        "program": {"eligible": option.verdict.eligible, "reasons": list(option.verdict.reasons)}
        if option.verdict
        else None,
        "longest_curtailment_run": {"hours": option.curtailment.hours, "propane_gal": option.curtailment.propane_gal},
    }
