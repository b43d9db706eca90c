"""Everything a report rests on, computed once: result, sentence, bands, closer look, cautions and ratings."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.analysis.capacity import CapacityReport, OptionCapacity, capacity_report
from costsim.analysis.decision import Decision, decide
from costsim.analysis.layout import LayoutResult, layout
from costsim.analysis.lifecycle import life_cycle
from costsim.analysis.needs import mixture, needs_of, tube_content_m3
from costsim.analysis.select import SelectionResult, select
from costsim.analysis.uncertainty import OptionUncertainty, UncertaintyResult, uncertainty
from costsim.engine.lower import LoweredStudy
from costsim.results.caution import Caution
from costsim.results.cautions import cautions_of
from costsim.results.result import Result
from costsim.simulation import simulate
from costsim.study.case import Case
from costsim.study.ratings import Needs, RatingCheck, Ratings, rating_checks
from costsim.views.headline import headline
from costsim.weather import Weather

__all__ = ["Basis", "basis_of", "mixture", "needs_of", "tube_content_m3"]


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
    layout: LayoutResult | None
    selection: SelectionResult | None
    decision: Decision

    def band(self, name: str) -> tuple[float, float, float]:
        """Cost of an option at 10, 50 and 90 % of the scenarios."""
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
    result = simulate(case, weather)
    common = result.lowered
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
        decision=decide(case, weather, life_cycle(case, result)[0]),
        selection=select(case, weather) if case.selection is not None else None,
        layout=layout(case, weather) if case.floor is not None and case.floor.layout is not None else None,
    )
