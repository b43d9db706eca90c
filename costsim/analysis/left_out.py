"""An option that would cost less but leaves the house too cold, and the size of its source that would close that."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.analysis.lifecycle import over_years
from costsim.analysis.sizing import can_size, named_option, smallest
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.weather import Weather


@dataclass(frozen=True, slots=True)
class CheaperCold:
    """An option that no verdict crowns since it is too cold in too many hours, though it would be cheaper.

    `year` holds its bills of a year and those of `best`, the cheapest to run of the warm ones; `over` its life-cycle cost and that of
    `lasting`, the cheapest of the warm ones over `years` years, None where a first cost of the two is not given.
    """

    cold: OptionResult
    best: OptionResult
    year: tuple[float, float]
    lasting: str
    over: tuple[float, float] | None
    years: int


def cheaper_cold(result: Result) -> tuple[CheaperCold, ...]:
    """All options that are left out for their hours too cold and would be cheaper a year or over the years: the one rule of every verdict.

    Returns
    -------
    tuple of CheaperCold
        Today's heating first, then by hours too cold; empty where no option is warm, since nothing is crowned then.

    Notes
    -----
    Worked out once for a result and kept with it, since a look at one asks for it again and again.
    """
    if "cheaper cold" not in result.told:
        result.told["cheaper cold"] = _cheaper_cold(result)
    cheaper: tuple[CheaperCold, ...] = result.told["cheaper cold"]
    return cheaper


def _cheaper_cold(result: Result) -> tuple[CheaperCold, ...]:
    warm = [option for option in result.options if option.keeps_warm]
    cold = [option for option in result.options if not option.keeps_warm]
    if not warm or not cold:
        return ()
    case = result.lowered.case
    best = min(warm, key=lambda option: option.cost_total)
    order = over_years(case, result, [option.name for option in warm]).order
    mine = dict(over_years(case, result, [option.name for option in cold]).order)
    now = case.today.name if case.today is not None else ""
    cheaper = []
    for cold_option in sorted(cold, key=lambda option: (option.name != now, option.unmet.hours)):
        over = (mine[cold_option.name], order[0][1]) if order and cold_option.name in mine else None
        if cold_option.cost_total < best.cost_total or (over is not None and over[0] < over[1]):
            lasting = order[0][0] if order else ""
            year = (cold_option.cost_total, best.cost_total)
            cheaper.append(CheaperCold(cold_option, best, year, lasting, over, case.economics.study_period))
    return tuple(cheaper)


@dataclass(frozen=True, slots=True)
class Enough:
    """The smallest output [W] of one of an option's sources with which the option counts as warm; None where no output does.

    It leaves at most `hours` hours a year too cold, those that the study bears. The source is the backup where there is one, else the
    last whose output is typed; `alone` says that the option has no other. `cost` is a year's, `present_cost` that of the study period.
    """

    source: str
    electric: bool
    alone: bool
    today_w: float
    enough_w: float | None
    hours: int
    cost: float
    present_cost: float


def enough_of(case: Case, weather: Weather, result: Result, name: str) -> Enough | None:
    """How large an option's own source would have to be: the one rule of every sentence that names a size, kept with the result.

    None where no source of the option has a typed output.
    """
    key = f"enough: {name}"
    if key not in result.told:
        result.told[key] = _enough_of(case, weather, name)
    enough: Enough | None = result.told[key]
    return enough


def _enough_of(case: Case, weather: Weather, name: str) -> Enough | None:
    option, hours = named_option(case, name), case.house.max_unmet_hours
    able = sorted(can_size(case, option, "output"), key=lambda at: (not option.sources[at].backup_only, -at))
    if not able:
        return None
    source, alone = option.sources[able[0]], len(option.sources) == 1
    size = smallest(case, weather, option=name, what="output", source=able[0], hours=hours)
    return Enough(
        source.label, not source.burns_fuel, alone, size.today, size.value, hours, size.cost, size.present_cost
    )


@dataclass(frozen=True, slots=True)
class LargerUnit:
    """What closes the gap of the first option without another source: a larger output of one that it has.

    `spare` is how much the change may cost until the best option that is warm costs less over the study's years.
    """

    enough: Enough
    spare: float


def larger_unit(case: Case, weather: Weather, result: Result) -> LargerUnit | None:
    """The smallest output of the first option's own source that closes its gap, where that costs less over the years.

    Parameters
    ----------
    case : Case
        Read from text.
    weather : Weather
    result : Result
        What `simulate` gave for them.

    Returns
    -------
    LargerUnit or None
        None where the first option is warm, no output closes its gap, or another option that is warm costs less over the years even
        if the larger unit is free.
    """
    first = result.options[0]
    if first.keeps_warm:
        return None
    enough = enough_of(case, weather, result, first.name)
    if enough is None or enough.enough_w is None:
        return None
    warm = [option.name for option in result.options if option.keeps_warm]
    order = over_years(case, result, warm).order
    spare = order[0][1] - enough.present_cost if order else 0.0
    return None if warm and spare <= 0 else LargerUnit(enough, spare)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """The first option that is cheaper but too cold, with the output that would close it, and where a heat pump of it is taken to stop [°C].

    `stops_c` is None where no limit of its own is assumed, or this weather does not reach it.
    """

    cheaper: CheaperCold
    enough: Enough | None
    stops_c: float | None = None


def left_out(case: Case, weather: Weather, result: Result) -> LeftOut | None:
    """Say which option is left out although it is cheaper, and how large its source would have to be.

    Parameters
    ----------
    case : Case
        Read from text.
    weather : Weather
    result : Result
        What `simulate` gave for them.

    Returns
    -------
    LeftOut or None
        None where nothing cheaper is left out.
    """
    cold = cheaper_cold(result)
    if not cold:
        return None
    name = cold[0].cold.name
    stops = [
        stop[0]
        for source in named_option(case, name).sources
        if (stop := source.stops_below_c()) is not None and not stop[1] and float(weather.outdoor_c.min()) < stop[0]
    ]
    return LeftOut(cold[0], enough_of(case, weather, result, name), stops[0] if stops else None)
