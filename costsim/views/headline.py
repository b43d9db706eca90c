"""The answer in one sentence with its probability, the price at which it turns, and how cold it gets where it falls short."""

from __future__ import annotations

from costsim.analysis.breakeven import turning_prices
from costsim.analysis.left_out import left_out
from costsim.analysis.sizing import named_option
from costsim.analysis.uncertainty import odds
from costsim.engine.block import ready_for_many
from costsim.engine.lower import LoweredStudy
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.units.quantity import show
from costsim.views.answer import called, capital_clause, cold_zone, cost_sentence, named, pair, ranked, taps_sentence
from costsim.views.cold_hours import cheaper_lines, left_out_sentence, lowest_indoors, rule_sentence
from costsim.views.payback import Extra, extra_of, gap_text, payback_text
from costsim.views.rounding import apart, show_missing
from costsim.views.tables import money, when
from costsim.views.turning import nearest, turning_sentence
from costsim.weather import Weather
from costsim.words import tr

EVEN = 0.55
LATER = "How likely that is, the next run says: the first one on a computer leaves it out, to answer at once."


def headline(case: Case, weather: Weather, result: Result, system: str, *, at_once: bool = False) -> str:
    """Give the answer in plain words.

    Parameters
    ----------
    case, weather
    result : Result
        What `simulate` gave for them.
    system : str
        ``"us"`` or ``"si"``.
    at_once : bool
        Leave the probability out, and say so, where it would wait for a compiler.

    Returns
    -------
    str
        One sentence on cost with its probability, then one for each option that leaves the house too cold.
    """
    common = result.lowered
    waits = at_once and not ready_for_many(
        mass=common.water.mass is not None, zones=common.water.zones_kept > 0, uses=common.uses is not None
    )
    parts = [f"{cost_sentence(result, case)} {LATER}" if waits else _cost(case, weather, common, result, system)]
    parts += cheaper_lines(result, system)
    parts.append(left_out_sentence(left_out(case, weather, result), case.currency, system))
    parts += [_short(option, result, system) for option in result.options if option.unmet.hours]
    parts += map(taps_sentence, result.options)
    parts.append(rule_sentence(result))
    return " ".join(part for part in parts if part)


def _cost(case: Case, weather: Weather, common: LoweredStudy, result: Result, system: str) -> str:
    able = [option for option in ranked(result) if option.keeps_warm]
    if len(able) < 2:
        return cost_sentence(result, case)
    first, second = pair(result) or able[:2]
    narrow = case.model_copy(update={"option": tuple(named_option(case, option.name) for option in (first, second))})
    return sentence(case, common, result, odds(narrow, weather), first, second, system)


def sentence(
    case: Case,
    common: LoweredStudy,
    result: Result,
    share: float,
    first: OptionResult,
    second: OptionResult,
    system: str,
) -> str:
    """Say who is likelier to be cheaper, how sure (`share` of scenarios for the first), by how much, and where it turns.

    Where first cost says otherwise over the years, cheaper means cheaper to run, and the other option is named too.
    """
    if share < 0.5:
        first, second, share = second, first, 1.0 - share
    gap = abs(apart(first.cost_total, second.cost_total)[2])
    by = tr(", by about {gap} a year on the bills", gap=money(gap, case.currency)) if gap else ""
    lead, other = named(result, first.name), named(result, second.name)
    capital = capital_clause(case, result, first.name)
    to_run = tr(" to run") if capital else ""
    text = tr(
        "{one} is more likely to cost less{to_run} than {other} ({share} of plausible prices, heat"
        " losses and winters){by}",
        one=lead,
        to_run=to_run,
        other=other,
        share=roughly(share),
        by=by,
    )
    if share < EVEN and not gap:
        text = tr("{one} and {other} cost about the same{to_run}", one=lead, other=other, to_run=to_run)
    turned = nearest(turning_prices(common, [named_option(case, option.name) for option in (first, second)]))
    extra = extra_of(result)
    later = "" if extra is None or capital else _later(extra, case.currency)
    water = tr("; hot water is not always hot enough, see below") if any(map(taps_sentence, (first, second))) else ""
    parts = (f"{text}{capital}{water}.", later, turning_sentence(case, turned, system))
    return " ".join(part for part in parts if part)


def _later(extra: Extra, coin: str) -> str:
    """What first cost says of the two options over the years."""
    text = tr("Over {years} years: {gap}", years=extra.years, gap=gap_text(extra, coin))
    back = payback_text(extra, coin)
    return f"{text}; {back}." if back else f"{text}."


def percent(share: float) -> str:
    """A probability from scenarios, without promising certainty."""
    return tr("more than 99%") if share > 0.99 else f"{share:.0%}"


def roughly(share: float) -> str:
    """A probability from a few hundred scenarios, two points of which are chance: by fives, more closely near certainty.

    Every place that says how likely something is says it by this one function, from the study's own scenarios.

    Examples
    --------
    >>> roughly(0.732), roughly(0.765), roughly(0.96), roughly(0.52)
    ('about 75%', 'about 75%', 'about 96%', 'a little more than half')
    >>> roughly(0.48), roughly(0.31), roughly(0.002)
    ('a little less than half', 'about 30%', 'less than 1%')
    """
    if share < 1.0 - EVEN:
        if share < 0.01:
            return tr("less than 1%")
        return tr("about {share}", share=percent(share if share < 0.05 else round(share * 20.0) / 20.0))
    if share < 0.5:
        return tr("a little less than half")
    if share < EVEN:
        return tr("a little more than half")
    return (
        percent(share)
        if share > 0.99
        else tr("about {share}", share=percent(share if share > 0.95 else round(share * 20.0) / 20.0))
    )


def _short(option: OptionResult, result: Result, system: str) -> str:
    short = option.unmet
    worst = tr(
        "worst by {worst} at {result}",
        worst=show_missing(short.worst_w, "power", system),
        result=when(result, short.worst_hour),
    )
    coldest, below = lowest_indoors(result, option)
    down = tr(", house down to {coldest}", coldest=show(coldest, "temperature", system, 0)) if below > 1.0 else ""
    return tr(
        "{name} would leave you short {hours} hours{zone}, {worst}{down}.",
        name=called(option.name),
        hours=f"{short.hours:,}",
        zone=cold_zone(option),
        worst=worst,
        down=down,
    )
