"""The answer in one sentence with its probability, the price at which it turns, and how cold it gets where it falls short."""

from __future__ import annotations

import math

from costsim.analysis.breakeven import BreakEven, costs_at, turn
from costsim.analysis.outages import coldest_room
from costsim.analysis.sizing import named_option
from costsim.analysis.uncertainty import odds
from costsim.engine.block import ready_for_many
from costsim.engine.lower import LoweredStudy
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case, Option
from costsim.units.quantity import show
from costsim.views.answer import called, capital_clause, cost_sentence, named, pair, ranked, round_money
from costsim.views.tables import money, when
from costsim.weather import Weather
from costsim.words import tr

EVEN = 0.55
LATER = "How sure that is comes with the next run: this first one on a new machine does not wait for the compiler."


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
    parts += [_short(common, case, option, result, system) for option in result.options if option.unmet.hours]
    return " ".join(part for part in parts if part)


def _cost(case: Case, weather: Weather, common: LoweredStudy, result: Result, system: str) -> str:
    able = [option for option in ranked(result) if option.keeps_warm]
    if len(able) < 2:
        return cost_sentence(result, case)
    first, second = pair(result) or able[:2]
    narrow = case.model_copy(update={"option": tuple(named_option(case, one.name) for one in (first, second))})
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
    gap = round_money(abs(second.cost_total - first.cost_total))
    by = tr(", by about {gap} a year on the bills", gap=money(gap, case.currency)) if gap else ""
    one, other = named(result, first.name), named(result, second.name)
    capital = capital_clause(case, result, first.name)
    to_run = tr(" to run") if capital else ""
    text = tr(
        "{one} is more likely to cost less{to_run} than {other} ({share} of plausible prices, heat"
        " losses and winters){by}",
        one=one,
        to_run=to_run,
        other=other,
        share=roughly(share),
        by=by,
    )
    if share < EVEN and not gap:
        text = tr("{one} and {other} cost about the same{to_run}", one=one, other=other, to_run=to_run)
    turned = _nearest_turn(common, named_option(case, first.name), named_option(case, second.name))
    return f"{text}{_turn_text(case, turned, first.name, second.name, system)}{capital}."


def percent(share: float) -> str:
    """A probability from scenarios, without promising certainty."""
    return tr("more than 99%") if share > 0.99 else f"{share:.0%}"


def roughly(share: float) -> str:
    """A probability from a few hundred scenarios, two points of which are chance: by fives, more closely near certainty.

    Every place that says how likely something is says it by this one function, from the study's own scenarios.

    Examples
    --------
    >>> roughly(0.732), roughly(0.765), roughly(0.96), roughly(0.52)
    ('about 75%', 'about 75%', 'about 96%', 'little more than half')
    """
    if share < EVEN:
        return tr("little more than half")
    return (
        percent(share)
        if share > 0.99
        else tr("about {share}", share=percent(share if share > 0.95 else round(share * 20.0) / 20.0))
    )


def _nearest_turn(common: LoweredStudy, first: Option, second: Option) -> BreakEven | None:
    """The price that has to move least to turn the answer."""
    prices = common.case.prices
    used = {*first.price_keys(prices), *second.price_keys(prices)}
    costs = {option.name: costs_at(common, option) for option in (first, second)}
    turns = [turn(common, first, second, key, costs) for key in prices if key in used]
    known = [one for one in turns if one.factor is not None]
    return min(known, key=lambda one: abs(_distance(one)), default=None)


def _distance(one: BreakEven) -> float:
    return math.log(one.factor) if one.factor else math.inf


def _turn_text(case: Case, one: BreakEven | None, first: str, second: str, system: str) -> str:
    price = one.price_per_j() if one else None
    if one is None or price is None or one.factor is None:
        return ""
    key = one.price
    amount, unit = case.prices[key].sold_price(key, price, system)
    digits = 3 if amount < 1 else 2 if amount < 100 else 0
    side = "below" if one.factor < 1 else "above"
    winner = second if (one.cheaper_below == second) == (side == "below") else first
    return tr(
        "; with {key} {side} {currency}{amount}/{unit}, {winner} wins",
        key=key.replace("_", " "),
        side=side,
        currency=case.currency,
        amount=f"{amount:,.{digits}f}",
        unit=unit,
        winner=called(winner),
    )


def _short(common: LoweredStudy, case: Case, option: OptionResult, result: Result, system: str) -> str:
    short = option.unmet
    worst = tr(
        "worst by {worst} at {result}",
        worst=show(short.worst_w, "power", system),
        result=when(result, short.worst_hour),
    )
    coldest, below = coldest_room(common, named_option(case, option.name))
    down = tr(", house down to {coldest}", coldest=show(coldest, "temperature", system, 0)) if below > 1.0 else ""
    return tr(
        "{name} would leave you short {hours} hours, {worst}{down}.",
        name=called(option.name),
        hours=f"{short.hours:,}",
        worst=worst,
        down=down,
    )
