"""A sentence for each option that the headline does not compare: what it costs beside the best, whether it is large enough, when it wins."""

from __future__ import annotations

from costsim.analysis.breakeven import turning_prices
from costsim.analysis.sizing import named_option
from costsim.results.result import OptionResult, Result
from costsim.units.quantity import show
from costsim.views.answer import called, pair, ranked
from costsim.views.design_night import left_w
from costsim.views.rounding import apart
from costsim.views.tables import money
from costsim.views.turning import nearest, turning_line
from costsim.words import tr


def option_lines(result: Result, system: str) -> list[str]:
    """A sentence for each option that is warm and is neither of the answer's pair, with its break-even price against today's heating."""
    both, order = pair(result), ranked(result)
    if both is None or not both[0].keeps_warm:
        return []
    told = {one.name for one in both}
    return [_line(result, both[0], one, system) for one in order if one.keeps_warm and one.name not in told]


def _line(result: Result, best: OptionResult, one: OptionResult, system: str) -> str:
    words = {"name": called(one.name), "best": called(best.name)}
    more = apart(best.cost_total, one.cost_total)[2]
    if more > 0:
        text = tr("{name} costs {more} a year more than {best}", more=money(more, result.currency), **words)
    else:
        text = tr("{name} costs as much a year as {best}", **words)
    parts = [f"{text}; {_size(result, one, system)}."]
    case = result.lowered.case
    now = case.today if case.today is not None and case.today.name != one.name else named_option(case, best.name)
    turned = nearest(turning_prices(result.lowered, [now, named_option(case, one.name)]))
    if turned is not None and turned.factor is not None:
        parts.append(turning_line(case, turned, system))
    return " ".join(parts)


def _size(result: Result, one: OptionResult, system: str) -> str:
    """How much is left of its sources in the coldest hour beside what that hour asks for."""
    most_w = float(result.lowered.demand_w.max())
    words = {
        "gives": show(sum(source.day_w for source in left_w(result, one)), "power", system),
        "asked": show(most_w, "power", system),
    }
    if one.unmet.hours:
        words |= {"hours": f"{one.unmet.hours:,}", "short": show(one.unmet.worst_w, "power", system)}
        return tr("it is too small in {hours} hours, by at most {short}", **words)
    return tr("it is large enough: it can give {gives}, and the coldest hour asks for {asked}", **words)
