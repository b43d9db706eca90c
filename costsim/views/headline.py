"""The answer in one sentence with its probability, the price at which it turns, and how cold it gets where it falls short."""

from __future__ import annotations

from costsim.analysis.breakeven import turning_prices
from costsim.analysis.left_out import left_out
from costsim.analysis.lifecycle import over_years
from costsim.analysis.sizing import named_option
from costsim.analysis.uncertainty import odds
from costsim.engine.block import ready_for_many
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.units.quantity import show
from costsim.views.answer import called, cold_zone, leading, named, pair, taps_sentence
from costsim.views.cold_hours import cheaper_lines, hours_too_cold, left_out_sentence, lowest_indoors, rule_sentence
from costsim.views.payback import Extra, extra_of, gap_text, payback_text
from costsim.views.rounding import apart, show_missing
from costsim.views.tables import when
from costsim.views.turning import nearest, turning_sentence
from costsim.views.verdict import able, leading_sentences
from costsim.weather import Weather
from costsim.words import tr

EVEN = 0.55
LATER = "How likely the lower bill is, the next run says: the first one on a computer leaves it out, to answer at once."


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
        What the verdict on the screen begins with, how likely that is, then a sentence for each option that leaves the house too cold.
    """
    common = result.lowered
    waits = at_once and not ready_for_many(
        mass=common.water.mass is not None, zones=common.water.zones_kept > 0, uses=common.uses is not None
    )
    parts = [*_first(result, system), *_sure(case, weather, result, system, waits=waits)]
    parts += cheaper_lines(result, system)
    parts.append(left_out_sentence(left_out(case, weather, result), case.currency, system))
    parts += [_short(option, result, system) for option in result.options if option.unmet.hours]
    parts += map(taps_sentence, result.options)
    parts.append(rule_sentence(result))
    return " ".join(part for part in parts if part)


def _first(result: Result, system: str) -> list[str]:
    """What the verdict on the screen says first, and what both options cost over the years, in place of their difference alone."""
    leads, warm, extra = leading_sentences(result, system), able(result), extra_of(result)
    if extra is None or leading(result) is not warm[0]:
        return leads
    known = over_years(result.lowered.case, result, [option.name for option in warm]).cheapest is not None
    return [*(leads[:1] if known else leads), _later(extra, result.currency, leads[0])]


def _sure(case: Case, weather: Weather, result: Result, system: str, *, waits: bool) -> list[str]:
    """How likely the cheaper of two is the cheaper to run, and the price that turns it; nothing where one alone keeps the house warm."""
    both = pair(result)
    if both is None or len(able(result)) < 2:
        return []
    if waits:
        return [LATER]
    options = [named_option(case, option.name) for option in both]
    share = odds(case.model_copy(update={"option": tuple(options)}), weather)
    turned = nearest(turning_prices(result.lowered, options))
    return [chance(result, share, *both), turning_sentence(case, turned, system)]


def chance(result: Result, share: float, first: OptionResult, second: OptionResult) -> str:
    """Say which of two is likelier to cost less to run, by the `share` of scenarios in which the first does; empty where they are alike."""
    if share < 0.5:
        first, second, share = second, first, 1.0 - share
    if share < EVEN and not apart(first.cost_total, second.cost_total)[2]:
        return ""
    return tr(
        "{one} costs less to run than {other} in {share} of plausible prices, heat losses and winters.",
        one=named(result, first.name),
        other=named(result, second.name),
        share=roughly(share),
    )


def _later(extra: Extra, coin: str, said: str) -> str:
    """What first cost says of the two options over the years; the payback where it is not `said` before."""
    text = tr("Over {years} years: {gap}", years=extra.years, gap=gap_text(extra, coin))
    back = payback_text(extra, coin)
    return f"{text}; {back}." if back and back not in said else f"{text}."


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
        "{name} would leave {hours}{zone}, {worst}{down}.",
        name=called(option.name),
        hours=hours_too_cold(short.hours),
        zone=cold_zone(option),
        worst=worst,
        down=down,
    )
