"""An option as it is entered: circuit, gas line, pressure parts and pumps of its sizes, with no year run for others."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.analysis.circulators import PumpDuty, room_pumps
from costsim.analysis.layout import LayoutResult, layout
from costsim.analysis.needs import case_of
from costsim.analysis.select import OptionChoice, entered_choice
from costsim.engine.lower import LoweredStudy, option_study
from costsim.study.case import Case, Option
from costsim.weather import Weather


@dataclass(frozen=True, slots=True)
class Entered:
    """One option: the study as if it had that alone, what its sizes ask for, the pumps of its rooms, and its layout where it has one."""

    case: Case
    choice: OptionChoice
    pumps: tuple[PumpDuty, ...]
    layout: LayoutResult | None


def entered(common: LoweredStudy, weather: Weather, option: Option) -> Entered:
    """Read off what an option's sizes ask for.

    Raises
    ------
    InputError
        A list of sizes cannot be used.
    """
    own, study = case_of(common.case, option), option_study(common, option)
    laid = own.floor is not None and own.floor.layout is not None
    return Entered(
        own,
        entered_choice(common, option),
        room_pumps(own, weather, study),
        layout(own, weather) if laid else None,
    )
