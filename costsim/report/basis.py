"""Everything a report rests on, computed once: result, sentence, bands, closer look, cautions and ratings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from costsim.analysis.capacity import CapacityReport, OptionCapacity, capacity_report
from costsim.analysis.uncertainty import OptionUncertainty, UncertaintyResult, uncertainty
from costsim.engine.lower import LoweredStudy, lower_study
from costsim.physics.fluids import FluidProperties, fluid_properties, mass_fraction_from_volume
from costsim.physics.hydraulics import TUBES
from costsim.results.cautions import Caution, cautions_of
from costsim.results.result import Result
from costsim.simulation import simulate
from costsim.study.case import Case
from costsim.study.ratings import Needs, RatingCheck, Ratings, rating_checks
from costsim.views.headline import headline
from costsim.weather import Weather

FILL_C = 10.0
"""Temperature of the water that the circuit is filled with; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Basis:
    """What both parts of a report are written from."""

    case: Case
    system: str
    common: LoweredStudy
    result: Result
    sentence: str
    uncertainty: UncertaintyResult
    closer: CapacityReport
    cautions: tuple[Caution, ...]
    checks: tuple[RatingCheck, ...]
    needs: Needs

    def band(self, name: str) -> tuple[float, float, float]:
        """Cost of an option at 10, 50 and 90 % of the draws."""
        return self._doubt_of(name).band()

    def look(self, name: str) -> OptionCapacity:
        """The closer look at an option."""
        return next(one for one in self.closer.options if one.option == name)

    def _doubt_of(self, name: str) -> OptionUncertainty:
        return next(one for one in self.uncertainty.options if one.name == name)


def basis_of(case: Case, weather: Weather, system: str) -> Basis:
    """Compute everything for a report.

    Parameters
    ----------
    case, weather
    system : str
        ``"us"`` or ``"si"``.

    Raises
    ------
    InputError
        Case and weather do not fit each other.
    """
    common, result = lower_study(case, weather), simulate(case, weather)
    needs = needs_of(common)
    return Basis(
        case=case,
        system=system,
        common=common,
        result=result,
        sentence=headline(case, weather, result, system),
        uncertainty=uncertainty(case, weather),
        closer=capacity_report(case, weather),
        cautions=cautions_of(
            case,
            coldest_c=needs.coldest_c,
            freeze_c=needs.freeze_c,
            max_temperature_c=needs.max_temperature_c,
            system=system,
        ),
        checks=rating_checks(case.ratings or Ratings(), needs),
        needs=needs,
    )


def mixture(case: Case, temperature_c: float) -> FluidProperties:
    """What circulates, at a temperature."""
    name, share = (case.floor.antifreeze, case.floor.concentration_share) if case.floor else ("none", 0.0)
    if name == "none":
        return fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=temperature_c)
    mass = mass_fraction_from_volume(fluid=name, volume_fraction=share)
    return fluid_properties(fluid=name, mass_fraction=mass, temperature_c=temperature_c)


def tube_content_m3(case: Case) -> float:
    """What the tubes of the floor hold [m³]."""
    groups = case.floor.loops if case.floor else ()
    return math.fsum(group.count * group.length_m * TUBES[group.tube].area_m2 for group in groups)


def needs_of(common: LoweredStudy) -> Needs:
    """What the case asks of its parts."""
    case, water = common.case, common.water
    cold, hot = mixture(case, FILL_C).density_kg_m3, mixture(case, water.max_temperature_c).density_kg_m3
    return Needs(
        max_temperature_c=water.max_temperature_c,
        coldest_c=float(common.weather.outdoor_c.min()),
        freeze_c=water.freeze_c,
        antifreeze=case.floor is not None and case.floor.antifreeze != "none",
        floor=case.floor is not None,
        tank=case.tank is not None,
        source_w=max(sum(source.nameplate_w() for source in option.sources) for option in case.options),
        content_m3=(case.tank.volume_m3 if case.tank else 0.0) + tube_content_m3(case),
        swell_share=cold / hot - 1.0,
        density_kg_m3=cold,
    )
