"""Everything a report rests on, computed once: result, sentence, bands, closer look, cautions and ratings."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.analysis.capacity import CapacityReport, OptionCapacity, capacity_report
from costsim.analysis.decision import Decision, decide
from costsim.analysis.layout import LayoutResult, layout
from costsim.analysis.lifecycle import life_cycle
from costsim.analysis.needs import (
    case_of,
    cautions_for,
    contents_m3,
    floor_supply_c,
    mixture,
    needs_of,
    supply_at_design_c,
)
from costsim.analysis.select import SelectionResult, select
from costsim.analysis.sizing import named_option
from costsim.analysis.uncertainty import OptionUncertainty, UncertaintyResult, uncertainty
from costsim.engine.lower import LoweredStudy, option_study
from costsim.results.caution import Caution
from costsim.results.result import Result
from costsim.simulation import simulate
from costsim.study.case import Case, Option
from costsim.study.rating_checks import RatingCheck, rating_checks
from costsim.study.ratings import Needs, Ratings
from costsim.views.answer import leading
from costsim.views.headline import headline
from costsim.weather import Weather

__all__ = ["Basis", "basis_of", "contents_m3", "mixture", "needs_of"]


@dataclass(frozen=True, slots=True)
class Signed:
    """The option that is signed, with what holds for it alone.

    `case` has no other option, and its tank and floor are those that this option heats; `common` is the study lowered so.
    """

    option: Option
    case: Case
    common: LoweredStudy
    needs: Needs
    checks: tuple[RatingCheck, ...]
    cautions: tuple[Caution, ...]
    layout: LayoutResult | None

    @property
    def name(self) -> str:
        """Name of the option."""
        return self.option.name

    @property
    def supply_c(self) -> float:
        """Water that the floor or the emitters take at design, for the room that needs it hottest [°C]."""
        return supply_at_design_c(self.common)

    @property
    def floor_supply_c(self) -> float:
        """Water that the floor takes at design, behind a mixing valve of its own where other emitters need hotter water [°C]."""
        return floor_supply_c(self.common)


@dataclass(frozen=True, slots=True)
class Basis:
    """What both parts of a report are written from.

    `cautions` are those of all options, which a household reads; `layout` is that of the study's own floor and tank.
    `short` is whether the report leaves out most of the calculation sheet and the inspector's page.
    """

    case: Case
    system: str
    common: LoweredStudy
    result: Result
    sentence: str
    uncertainty: UncertaintyResult
    closer: CapacityReport
    cautions: tuple[Caution, ...]
    layout: LayoutResult | None
    selection: SelectionResult
    signed: Signed
    decision: Decision
    short: bool = False

    def band(self, name: str) -> tuple[float, float, float]:
        """Cost of an option at 10, 50 and 90 % of the scenarios."""
        return self._doubt_of(name).band()

    def look(self, name: str) -> OptionCapacity:
        """The closer look at an option."""
        return next(capacity for capacity in self.closer.options if capacity.option == name)

    def _doubt_of(self, name: str) -> OptionUncertainty:
        return next(band for band in self.uncertainty.options if band.name == name)


def option_to_sign(case: Case, result: Result, name: str = "") -> Option:
    """The option of that name, or the one that the answer names.

    Raises
    ------
    InputError
        There is no option of that name.
    """
    return named_option(case, name or leading(result).name)


def signed_of(common: LoweredStudy, option: Option, system: str) -> Signed:
    """All that holds for an option alone."""
    own, needs = option_study(common, option), needs_of(common, option)
    case = case_of(own.case, option)
    laid = layout(case, common.weather) if case.floor is not None and case.floor.layout is not None else None
    checks = rating_checks(case.ratings or Ratings(), needs, system)
    return Signed(option, case, own, needs, checks, cautions_for(common, system, option), laid)


def basis_of(case: Case, weather: Weather, system: str, option: str = "") -> Basis:
    """Compute everything for a report.

    Parameters
    ----------
    case, weather
    system : str
        ``"us"`` or ``"si"``.
    option : str
        The option that is signed; the one that the answer names where it is empty.

    Raises
    ------
    InputError
        Case and weather do not fit each other, or there is no such option.
    """
    result = simulate(case, weather)
    common = result.lowered
    signed = signed_of(common, option_to_sign(case, result, option), system)
    return Basis(
        case=case,
        system=system,
        common=common,
        result=result,
        sentence=headline(case, weather, result, system),
        uncertainty=uncertainty(case, weather),
        closer=capacity_report(case, weather),
        cautions=cautions_for(common, system),
        signed=signed,
        decision=decide(case, weather, life_cycle(case, result)[0]),
        selection=select(case, weather, "" if case.selection is not None else signed.name),
        layout=layout(case, weather) if case.floor is not None and case.floor.layout is not None else None,
    )
