"""An option that would cost less but leaves the house too cold, and the size of its source that would close that."""

from __future__ import annotations

from dataclasses import dataclass, replace

from costsim.analysis.sizing import can_size, named_option, smallest
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.weather import Weather


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An option that is cheaper to run than `best` but too cold in `hours` hours a year.

    `less` is what its year costs less. `source` is the one whose output [W] would close it, `enough_w`, with what the year then
    costs; None where no output does.
    """

    option: str
    best: str
    best_cost: float
    less: float
    hours: int
    source: str = ""
    electric: bool = False
    today_w: float | None = None
    enough_w: float | None = None
    cost: float = 0.0
    stops_c: float | None = None


def cheaper_but_cold(result: Result) -> tuple[OptionResult, OptionResult] | None:
    """The cheapest option that is cheaper than the best warm one and too cold, and that best one; None where there is none."""
    warm = [option for option in result.options if option.keeps_warm]
    if not warm:
        return None
    best = min(warm, key=lambda one: one.cost_total)
    cold = [one for one in result.options if not one.keeps_warm and one.cost_total < best.cost_total]
    return (min(cold, key=lambda one: one.cost_total), best) if cold else None


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
    found = cheaper_but_cold(result)
    if found is None:
        return None
    cold, best = found
    option = named_option(case, cold.name)
    stops = [
        limit
        for one in option.sources
        if (limit := getattr(one, "cut_out_c", None)) is not None
        and "cut_out_c" not in one.model_fields_set
        and float(weather.outdoor_c.min()) < limit
    ]
    known = LeftOut(
        cold.name, best.name, best.cost_total, best.cost_total - cold.cost_total, cold.unmet.hours,
        stops_c=stops[0] if stops else None,
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
