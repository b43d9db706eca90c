"""The price at which the answer turns: on the bills alone, and over the years with the first costs."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from costsim.analysis.breakeven import BreakEven, turning_prices
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.views.answer import called, pair
from costsim.words import tr


def nearest_turn(result: Result) -> BreakEven | None:
    """The price that has to move least to turn the answer's two options: over the years where that is known, else on bills."""
    both, common = pair(result), result.lowered
    if both is None or not all(one.keeps_warm for one in both):
        return None
    names = [one.name for one in both]
    options = sorted((one for one in common.case.options if one.name in names), key=lambda one: names.index(one.name))
    return nearest(turning_prices(common, options))


def nearest(turns: Sequence[BreakEven]) -> BreakEven | None:
    """Of some turning prices the one that is nearest to today's."""
    known = [one for one in turns if math.isfinite(_distance(one))]
    return min(known, key=_distance, default=None)


def _distance(one: BreakEven) -> float:
    later = one.over_years.factor if one.over_years else None
    factor = later or one.factor
    return abs(math.log(factor)) if factor else math.inf


def sold(case: Case, one: BreakEven, per_j: float | None, system: str) -> str:
    """A price of an energy in its reader's unit; no price where nothing turns."""
    if per_j is None:
        return tr("none, the same option wins at every price")
    amount, unit = case.prices[one.price].sold_price(one.price, per_j, system)
    digits = 3 if amount < 1 else 2 if amount < 100 else 0
    return f"{case.currency}{amount:,.{digits}f}/{unit}"


def turning_line(case: Case, one: BreakEven | None, system: str, tried: Collection[str] = ()) -> str:
    """Both turning prices in a line, today's beside them, and who wins on which side; empty where nothing turns.

    `tried` holds price tables whose price is not today's, but one that is only tried.
    """
    if one is None:
        return ""
    prices = [tr("on bills alone {price}", price=sold(case, one, one.price_per_j(), system))]
    if one.over_years is not None:
        price = sold(case, one.over_years, one.over_years.price_per_j(), system)
        years = case.economics.study_period
        prices.append(tr("over {years} years with the first costs {price}", years=years, price=price))
    words = {
        "key": one.price.replace("_", " "),
        "today": sold(case, one, one.today_per_j, system),
        "prices": "; ".join(prices),
    }
    if one.price in tried:
        text = tr("Break-even price of {key} (trying {today}): {prices}.", **words)
    else:
        text = tr("Break-even price of {key} (today {today}): {prices}.", **words)
    turned = [each for each in (one, one.over_years) if each is not None and each.factor is not None]
    if len({each.cheaper_below for each in turned}) == 1:
        below = turned[0].cheaper_below
        above = turned[0].second if below == turned[0].first else turned[0].first
        text += " " + tr("Below it {below} is cheaper, above it {above}.", below=called(below), above=called(above))
    return text


def turning_sentence(case: Case, one: BreakEven | None, system: str) -> str:
    """The same as a sentence: on which side of which price another option than today's wins."""
    parts: list[str] = []
    later = one.over_years if one else None
    if one and later and one.factor and later.factor and _alike(one, later):
        above = one.second if one.cheaper_below == one.first else one.first
        return tr(
            "With {key} {side} {price} on bills alone, or {later} over {years} years with the first costs, {winner} wins.",
            key=one.price.replace("_", " "),
            side=tr("below") if one.factor < 1 else tr("above"),
            price=sold(case, one, one.price_per_j(), system),
            later=sold(case, later, later.price_per_j(), system),
            years=case.economics.study_period,
            winner=called(one.cheaper_below if one.factor < 1 else above),
        )
    for each in (one, later):
        if one is None or each is None or each.factor is None:
            continue
        above = each.second if each.cheaper_below == each.first else each.first
        words = {
            "key": each.price.replace("_", " "),
            "side": tr("below") if each.factor < 1 else tr("above"),
            "price": sold(case, each, each.price_per_j(), system),
            "winner": called(each.cheaper_below if each.factor < 1 else above),
        }
        if one.over_years is None:
            parts.append(tr("With {key} {side} {price}, {winner} wins.", **words))
        elif each is one:
            parts.append(tr("On bills alone {winner} wins with {key} {side} {price}.", **words))
        else:
            words["years"] = str(case.economics.study_period)
            parts.append(
                tr("Over {years} years with the first costs {winner} wins with {key} {side} {price}.", **words)
            )
    return " ".join(parts)


def _alike(one: BreakEven, later: BreakEven) -> bool:
    """Whether both prices turn to the same option from the same side."""
    return one.cheaper_below == later.cheaper_below and ((one.factor or 1) < 1) == ((later.factor or 1) < 1)
