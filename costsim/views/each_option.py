"""A sentence for each option that the headline does not compare: what it costs beside the best, whether it is large enough, when it wins."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from costsim.analysis.breakeven import BreakEven, turning_prices
from costsim.analysis.sizing import named_option
from costsim.results.result import OptionResult, Result
from costsim.units.quantity import show
from costsim.views.answer import called, pair, ranked
from costsim.views.design_night import left_w
from costsim.views.rounding import apart, show_missing
from costsim.views.tables import money
from costsim.views.turning import nearest, turning_line
from costsim.words import tr


def option_turns(result: Result) -> dict[str, BreakEven | None]:
    """Of each option that is warm and is neither of the answer's pair, the price at which it costs what today's heating, or the best, does."""
    both, case = pair(result), result.lowered.case
    if both is None or not both[0].keeps_warm:
        return {}
    answer_pair, turns = {option.name for option in both}, {}
    for option in ranked(result):
        if option.keeps_warm and option.name not in answer_pair:
            now = case.today if case.today not in (None, named_option(case, option.name)) else None
            beside = now or named_option(case, both[0].name)
            turns[option.name] = nearest(turning_prices(result.lowered, [beside, named_option(case, option.name)]))
    return turns


def option_lines(
    result: Result, turns: Mapping[str, BreakEven | None], system: str, tried: Collection[str] = ()
) -> list[str]:
    """A sentence for each option of `option_turns`, with its break-even price; `tried` is as `turning_line` takes it."""
    return [_line(result, result.option(name), turned, system, tried) for name, turned in turns.items()]


def short_lines(result: Result, turns: Mapping[str, BreakEven | None]) -> list[str]:
    """The options of `option_turns` in a line each, to be read at a glance: what one costs more, and whether it is large enough."""
    lines = []
    for name in turns:
        option = result.option(name)
        words = {"text": _cost(result, option), "hours": f"{option.unmet.hours:,}"}
        lines.append(
            tr("{text}; it is too small in {hours} hours.", **words)
            if option.unmet.hours
            else tr("{text}; it is large enough.", **words)
        )
    return lines


def _line(result: Result, option: OptionResult, turned: BreakEven | None, system: str, tried: Collection[str]) -> str:
    parts = [f"{_cost(result, option)}; {_size(result, option, system)}."]
    if turned is not None and turned.factor is not None:
        parts.append(turning_line(result.lowered.case, turned, system, tried))
    return " ".join(parts)


def _cost(result: Result, option: OptionResult) -> str:
    """What it costs a year beside the best."""
    best = ranked(result)[0]
    words = {"name": called(option.name), "best": called(best.name)}
    more = apart(best.cost_total, option.cost_total)[2]
    if more > 0:
        return tr("{name} costs {more} a year more than {best}", more=money(more, result.currency), **words)
    return tr("{name} costs as much a year as {best}", **words)


def _size(result: Result, option: OptionResult, system: str) -> str:
    """How much is left of its sources in the coldest hour beside what that hour asks for."""
    most_w = float(result.lowered.demand_w.max())
    words = {
        "gives": show(sum(source.day_w for source in left_w(result, option)), "power", system),
        "asked": show(most_w, "power", system),
    }
    if option.unmet.hours:
        words |= {"hours": f"{option.unmet.hours:,}", "short": show_missing(option.unmet.worst_w, "power", system)}
        return tr("it is too small in {hours} hours, by at most {short}", **words)
    return tr("it is large enough: it can give {gives}, and the coldest hour asks for {asked}", **words)
