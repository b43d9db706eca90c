"""An option that would cost less but leaves the house too cold, and the size of its source that would close that."""

from __future__ import annotations

from dataclasses import dataclass, replace

from costsim.analysis.lifecycle import over_years
from costsim.analysis.sizing import can_size, named_option, smallest
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.weather import Weather


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An option that is cheaper than `best` but too cold in `hours` hours a year.

    `source` is the one whose output [W] would close it, `enough_w`, with what the year then costs; None where no output does.
    """

    option: str
    best: str
    best_cost: float
    hours: int
    source: str = ""
    electric: bool = False
    today_w: float | None = None
    enough_w: float | None = None
    cost: float = 0.0
    stops_c: float | None = None


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
    found: tuple[CheaperCold, ...] = result.told["cheaper cold"]
    return found


def _cheaper_cold(result: Result) -> tuple[CheaperCold, ...]:
    warm = [option for option in result.options if option.keeps_warm]
    cold = [option for option in result.options if not option.keeps_warm]
    if not warm or not cold:
        return ()
    case = result.lowered.case
    best = min(warm, key=lambda one: one.cost_total)
    order = over_years(case, result, [one.name for one in warm]).order
    mine = dict(over_years(case, result, [one.name for one in cold]).order)
    now = case.today.name if case.today is not None else ""
    found = []
    for one in sorted(cold, key=lambda one: (one.name != now, one.unmet.hours)):
        over = (mine[one.name], order[0][1]) if order and one.name in mine else None
        if one.cost_total < best.cost_total or (over is not None and over[0] < over[1]):
            lasting = order[0][0] if order else ""
            year = (one.cost_total, best.cost_total)
            found.append(CheaperCold(one, best, year, lasting, over, case.economics.study_period))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class LargerUnit:
    """What closes the gap of the first option without another source: a larger output of one that it has [W].

    `spare` is how much the change may cost until the best option that is warm costs less over the study's years.
    """

    source: str
    electric: bool
    enough_w: float
    cost: float
    spare: float
    alone: bool


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
    option = named_option(case, first.name)
    able = sorted(can_size(case, option, "output"), key=lambda at: (not option.sources[at].backup_only, -at))
    if not able:
        return None
    at = able[0]
    size = smallest(case, weather, option=first.name, what="output", source=at, hours=case.house.max_unmet_hours)
    if size.value is None:
        return None
    warm = [one.name for one in result.options if one.keeps_warm]
    order = over_years(case, result, warm).order
    spare = order[0][1] - size.present_cost if order else 0.0
    if warm and spare <= 0:
        return None
    source = option.sources[at]
    return LargerUnit(source.label, not source.burns_fuel, size.value, size.cost, spare, len(option.sources) == 1)


def left_out(case: Case, weather: Weather, result: Result) -> LeftOut | None:
    """Say which option is left out although it is cheaper, and how large its backup would have to be.

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
        None where nothing cheaper is left out. The source is the backup where there is one, else the last whose output is typed.
    """
    found = cheaper_cold(result)
    if not found:
        return None
    cold, best = found[0].cold, found[0].best
    option = named_option(case, cold.name)
    stops = [
        limit
        for one in option.sources
        if (limit := getattr(one, "cut_out_c", None)) is not None
        and "cut_out_c" not in one.model_fields_set
        and float(weather.outdoor_c.min()) < limit
    ]
    known = LeftOut(
        cold.name, best.name, best.cost_total, cold.unmet.hours, stops_c=stops[0] if stops else None
    )  # fmt: skip
    able = sorted(can_size(case, option, "output"), key=lambda at: (not option.sources[at].backup_only, -at))
    if not able:
        return known
    at = able[0]
    size = smallest(case, weather, option=cold.name, what="output", source=at)
    if size.value is None:
        size = smallest(case, weather, option=cold.name, what="output", source=at, hours=case.house.max_unmet_hours)
    source = option.sources[at]
    return replace(
        known,
        source=source.label,
        electric=not source.burns_fuel,
        today_w=size.today,
        enough_w=size.value,
        cost=size.cost,
    )
