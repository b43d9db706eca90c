"""The price at which the answer turns: on the bills alone, and over the years with the first costs."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace

from costsim.analysis.breakeven import BreakEven, turning_prices
from costsim.analysis.left_out import cheaper_cold
from costsim.analysis.price_costs import OptionCosts
from costsim.analysis.sizing import named_option
from costsim.analysis.winning_price import WinningPrice, winning_prices
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.views.answer import called, pair, ranked
from costsim.words import tr

FARTHEST = 4.0
"""A price more than so many times today's, or less than that part of it, turns nothing: common practice, no source."""


def turns_of(result: Result) -> tuple[BreakEven | None, tuple[WinningPrice, ...]]:
    """The price that has to move least to turn the answer's two options, and of every other warm one the price at which it wins.

    The first one is that over the years where it is known, else on bills.
    """
    both, common = pair(result), result.lowered
    if both is None or not all(option.keeps_warm for option in both):
        return None, ()
    typed = {option.name: option for option in common.case.options}
    warm = [typed[option.name] for option in ranked(result) if option.keeps_warm]
    today = {option.name: OptionCosts(common, option) for option in warm}
    near = nearest(turning_prices(common, [typed[option.name] for option in both], today))
    return near, winning_prices(common, warm[0], warm[1:], today)


def cold_turns(result: Result) -> tuple[BreakEven, ...]:
    """The price that has to move least until the best warm option costs what one does that is too cold: today's heating, and what is left out."""
    warm = [option for option in ranked(result) if option.keeps_warm]
    if not warm:
        return ()
    common = result.lowered
    now = common.case.today
    names = [now.name] if now is not None and not result.option(now.name).keeps_warm else []
    names += [cheaper.cold.name for cheaper in cheaper_cold(result)[:1]]
    best = named_option(common.case, warm[0].name)
    turns = [nearest(turning_prices(common, [best, named_option(common.case, name)])) for name in dict.fromkeys(names)]
    return tuple(turn for turn in turns if turn is not None and math.isfinite(_distance(turn)))


def winning_lines(
    case: Case,
    winning: Sequence[WinningPrice],
    listed: Sequence[BreakEven | None],
    system: str,
    tried: Collection[str] = (),
) -> list[str]:
    """Below which price of its fuel each option wins; nothing of one that the lines of `listed` tell of.

    `tried` is as `turning_line` takes it.
    """
    return [_wins(case, win, system, tried=win.price in tried) for win in _untold(winning, listed)]


def competing_line(case: Case, winning: Sequence[WinningPrice], listed: Sequence[BreakEven | None], system: str) -> str:
    """The same in one line, on bills alone: each other option with the price of its fuel below which it wins; empty where there is none."""
    parts = []
    for win in _untold(winning, listed):
        key = win.price.replace("_", " ")
        words = {"option": called(win.option), "price": _price(case, win, win.factor, system)}
        if win.factor == 0.0:
            parts.append(tr("{option} not even if {key} were free", key=key, **words))
        elif math.isfinite(win.factor):
            parts.append(tr("{option} below {price}", option=words["option"], price=below_text(case, win, system)))
    if not parts:
        return ""
    return tr("Cheaper to run than {best}: {options}.", best=called(winning[0].best), options="; ".join(parts))


def below_text(case: Case, win: WinningPrice, system: str) -> str:
    """The price below which an option wins, with its fuel where the option's name does not say it."""
    key, price = win.price.replace("_", " "), _price(case, win, win.factor, system)
    return price if key in win.option.lower() else tr("{text} of {key}", text=price, key=key)


def _untold(winning: Sequence[WinningPrice], listed: Sequence[BreakEven | None]) -> list[WinningPrice]:
    """Those of which no line of `listed` tells."""
    known = [(turn.price, {turn.first, turn.second}) for turn in listed if turn is not None and turn.factor is not None]
    return [win for win in winning if (win.price, {win.option, win.best}) not in known]


def _wins(case: Case, win: WinningPrice, system: str, *, tried: bool) -> str:
    words = {
        "option": called(win.option),
        "best": called(win.best),
        "key": win.price.replace("_", " "),
        "today": _price(case, win, 1.0, system),
        "below": _price(case, win, win.factor, system),
        "years": str(case.economics.study_period),
    }
    if win.factor and tried:
        text = tr("{option} costs less to run than {best} below {below} for {key} (trying {today}).", **words)
    elif win.factor:
        text = tr("{option} costs less to run than {best} below {below} for {key} (today {today}).", **words)
    else:
        text = tr("{option} costs more to run than {best} at any price of {key}, even if it were free.", **words)
    if win.over_years is None:
        return text
    if win.over_years == 0.0:
        later = tr("Over {years} years with the first costs: not at any price.", **words)
    elif math.isinf(win.over_years):
        later = tr("Over {years} years with the first costs: at any price.", **words)
    else:
        words["below"] = _price(case, win, win.over_years, system)
        later = tr("Over {years} years with the first costs: below {below}.", **words)
    return f"{text} {later}"


def _price(case: Case, win: WinningPrice, factor: float, system: str) -> str:
    amount, unit = case.prices[win.price].sold_price(win.price, win.today_per_j * factor, system)
    return _written(case, amount, unit) if math.isfinite(factor) else ""


def nearest(turns: Sequence[BreakEven]) -> BreakEven | None:
    """Of some turning prices the one that is nearest to today's, less what lies beyond `FARTHEST`; one without any where none is left."""
    known = [turn for turn in turns if math.isfinite(_distance(turn))]
    near = [_within_reach(turn) for turn in known]
    return min(near, key=_distance, default=None)


def _within_reach(turn: BreakEven) -> BreakEven:
    """The same without a price that no bill is likely to have: who wins today then wins at all that are told."""
    later = turn.over_years and _within_reach(turn.over_years)
    if later is not turn.over_years:
        turn = replace(turn, over_years=later)
    if not turn.factor or abs(math.log(turn.factor)) <= math.log(FARTHEST):
        return turn
    return replace(turn, factor=None, cheaper_below=turn.cheaper_above if turn.lies_below else turn.cheaper_below)


def _unturned(turn: BreakEven) -> str:
    """That no price within reach makes another option cheaper; empty where one does."""
    if math.isfinite(_distance(turn)):
        return ""
    return tr(
        "No price within {times} times today's changes which of {first} and {second} costs less"
        " ({times} times is common practice, no source).",
        times=f"{FARTHEST:g}", first=called(turn.first), second=called(turn.second),
    )  # fmt: skip


def _distance(turn: BreakEven) -> float:
    """How far prices have to move, up or down alike: over the years where that is known, else on bills."""
    factor = (turn.over_years.factor if turn.over_years else None) or turn.factor
    return abs(math.log(factor)) if factor else math.inf


def sold(case: Case, turn: BreakEven, per_j: float | None, system: str) -> str:
    """A price of an energy in its reader's unit; no price, but who wins at all within reach, where nothing turns."""
    if per_j is None:
        return tr(
            "none within {times} times today's, {winner} wins", times=f"{FARTHEST:g}", winner=called(turn.cheaper_below)
        )
    return _written(case, *case.prices[turn.price].sold_price(turn.price, per_j, system))


def _written(case: Case, amount: float, unit: str) -> str:
    digits = 3 if amount < 1 else 2 if amount < 100 else 0
    return f"{case.currency}{amount:,.{digits}f}/{unit}"


def turning_line(case: Case, turn: BreakEven | None, system: str, tried: Collection[str] = ()) -> str:
    """Both turning prices in a line, today's beside them, and who wins on which side; empty where nothing turns.

    `tried` holds price tables whose price is not today's, but one that is only tried.
    """
    if turn is None:
        return ""
    if text := _unturned(turn):
        return text
    later = turn.over_years
    prices = [tr("on bills alone {price}", price=sold(case, turn, turn.price_per_j(), system))]
    if later is not None:
        price = sold(case, later, later.price_per_j(), system)
        years = case.economics.study_period
        prices.append(tr("over {years} years with the first costs {price}", years=years, price=price))
    words = {
        "key": turn.price.replace("_", " "),
        "today": sold(case, turn, turn.today_per_j, system),
        "prices": "; ".join(prices),
    }
    if turn.price in tried:
        text = tr("Break-even price of {key} (trying {today}): {prices}.", **words)
    else:
        text = tr("Break-even price of {key} (today {today}): {prices}.", **words)
    turned = [each for each in (turn, later) if each is not None and each.factor is not None]
    if len({each.cheaper_below for each in turned}) != 1:
        return text
    first = turned[0]
    sides = {"below": called(first.cheaper_below), "above": called(first.cheaper_above)}
    if len(turned) == len(prices):
        return text + " " + tr("Below it {below} is cheaper, above it {above}.", **sides)
    price = sold(case, first, first.price_per_j(), system)
    return text + " " + tr("Below {price} {below} is cheaper, above it {above}.", price=price, **sides)


def turning_sentence(case: Case, turn: BreakEven | None, system: str) -> str:
    """The same as a sentence: on which side of which price another option than today's wins."""
    if turn is None:
        return ""
    if text := _unturned(turn):
        return text
    later = turn.over_years
    bills = _side_words(case, turn, system)
    if later is None:
        return tr("With {key} {side} {price}, {winner} wins.", **bills) if bills else ""
    years = {"years": str(case.economics.study_period)}
    over = _side_words(case, later, system)
    if turn.factor and later.factor and _alike(turn, later):
        return tr(
            "With {key} {side} {price} on bills alone, or {later} over {years} years with the first costs, {winner} wins.",
            later=over["price"],
            **bills,
            **years,
        )
    parts = []
    if bills:
        parts.append(tr("On bills alone {winner} wins with {key} {side} {price}.", **bills))
    if over:
        text = tr("Over {years} years with the first costs {winner} wins with {key} {side} {price}.", **over, **years)
        parts.append(text)
    return " ".join(parts)


def _side_words(case: Case, turn: BreakEven, system: str) -> dict[str, str]:
    """The price, on which side of it another option than today's wins, and which one; nothing where no price turns the answer."""
    if turn.factor is None:
        return {}
    return {
        "key": turn.price.replace("_", " "),
        "side": tr("below") if turn.lies_below else tr("above"),
        "price": sold(case, turn, turn.price_per_j(), system),
        "winner": called(turn.winner),
    }


def _alike(turn: BreakEven, later: BreakEven) -> bool:
    """Whether both prices turn to the same option from the same side."""
    return turn.cheaper_below == later.cheaper_below and turn.lies_below == later.lies_below
