"""What the cheapest to run costs more to buy, when that comes back, and what both cost over the years."""

from __future__ import annotations

from dataclasses import dataclass, replace

from costsim.analysis.lifecycle import AddOn, Outlay, add_on, outlay
from costsim.analysis.sizing import named_option
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.views.answer import called, leading, pair
from costsim.views.bought_anew import renewal_sentence
from costsim.views.rounding import apart, over_money, round_money, years_text
from costsim.views.tables import money
from costsim.words import tr, trn


@dataclass(frozen=True, slots=True)
class Extra:
    """The best option against the other of the answer's pair, where the first costs of both are known.

    `investment` is what `first` costs more at the start, `payback` the years until its savings, in today's money, have paid for that
    (None where they never do), `costs` both life-cycle costs, `spent` whether the other costs nothing at the start. `due` is what a new
    heater of today's kind costs in `due_year`, which `first` spares and the payback counts as saved; 0 where there is none. `rate` is the interest in
    the payback, a share a year.
    """

    first: str
    second: str
    investment: float
    payback: float | None
    costs: tuple[float, float]
    years: int
    spent: bool
    due: float = 0.0
    due_year: int = 0
    rate: float = 0.0


def extra_of(result: Result) -> Extra | None:
    """Hold the answer's two options against each other over the study period; None while a first cost is missing."""
    return _held(result, pair(result))


def leading_extra(result: Result) -> Extra | None:
    """The same of the option that the verdict leads with; where that is not the cheapest to run, against today's heating or not at all.

    It is then worth more than bills alone say, and "costs no more to buy, and less to run" would not be true of it.
    """
    both, leader = pair(result), leading(result)
    if both is None or leader.name == both[0].name:
        return extra_of(result)
    now = result.lowered.case.today
    if now is None or both[1].name != now.name or leader.name == now.name:
        return None
    extra = _held(result, (leader, both[1]))
    return extra if extra is not None and round_money(extra.investment) > 0 else None


def _held(result: Result, both: tuple[OptionResult, OptionResult] | None) -> Extra | None:
    case = result.lowered.case
    if both is None or not all(option.keeps_warm for option in both):
        return None
    extra = _against(result, both[0].name, both[1].name)
    if extra is None:
        return None
    best, other, step = extra
    costs = (best.present_cost, other.present_cost)
    years = case.economics.study_period
    spent = abs(other.first) < 1.0
    due, year = _due(case, best.option, other.option)
    rate = case.economics.discount_rate_share_per_year
    return Extra(
        best.option, other.option, step.investment, step.discounted_payback, costs, years, spent, due, year, rate
    )


def _due(case: Case, name: str, base: str) -> tuple[float, int]:
    """What a new heater of today's kind costs, and when, that an option held against today's heating spares; nothing of another."""
    now = case.today
    if now is None or now.name != base or not 1 <= now.replacement_year <= case.economics.study_period:
        return 0.0, 0
    option = named_option(case, name)
    mine = option.replacement_money if option.replacement_year == now.replacement_year else 0.0
    due = now.replacement_money - mine
    return (due, now.replacement_year) if round_money(due) > 0 else (0.0, 0)


def _against(result: Result, name: str, base: str) -> tuple[Outlay, Outlay, AddOn] | None:
    """What an option and another cost over the years, and the first as a step beyond the other; None while a first cost is missing."""
    case = result.lowered.case
    bought, other = (outlay(case, named_option(case, each), result.option(each)) for each in (name, base))
    return (bought, other, add_on(case, other, bought)) if bought.priced and other.priced else None


def today_sentence(result: Result, name: str) -> str:
    """What an option costs more to buy than what heats the house today, and when its bills bring that back.

    Said too where today's heating leaves the house cold, which no verdict compares with; empty where the study names none, for
    itself, and where a first cost is missing.
    """
    case = result.lowered.case
    now = case.today
    if now is None or now.name == name:
        return ""
    extra_now, season = _against(result, name, now.name), result.option(now.name)
    if extra_now is None or round_money(extra_now[2].investment) <= 0:
        return ""
    step, years = extra_now[2], case.economics.study_period
    due, year = _due(case, name, now.name)
    rate = case.economics.discount_rate_share_per_year
    extra = Extra(name, now.name, step.investment, step.discounted_payback, (0.0, 0.0), years, True, due, year, rate)
    words = {
        "today": called(now.name),
        "before": over_money(season.cost_total, result.currency),
        "name": called(name),
        "after": over_money(result.option(name).cost_total, result.currency),
        "first": _beyond(extra, result.currency),
    }
    text = tr("Against {today} today ({before} a year), {name} costs {after} a year", **words)
    if _all_due(extra):
        text = f"{text}; {payback_text(extra, result.currency)}."
    elif step.discounted_payback is None:
        text = tr("{text}; {first} does not pay for itself within {years} years.", text=text, years=years, **words)
    else:
        back = years_text(step.discounted_payback, extra.rate)
        plain = years_text(step.simple_payback or step.discounted_payback)
        if plain != years_text(step.discounted_payback):
            back = tr("{back} ({plain} without)", back=back, plain=plain)
        text = tr("{text}; {first} pays for itself in {back}.", text=text, back=back, **words)
    if season.keeps_warm:
        return text
    cold = trn(
        "{today} leaves the house too cold for {count} hour.",
        "{today} leaves the house too cold for {count} hours.",
        season.unmet.hours,
        today=called(now.name),
    )
    return f"{text} {cold}"


def lasts_sentence(result: Result) -> str:
    """Say what is counted for a new heater of today's kind, or that nothing is, where nobody typed what one costs; empty elsewhere."""
    case = result.lowered.case
    now = case.today
    if now is None or now.first_cost_money or now.part or len(case.options) < 2:
        return ""
    if now.replacement_money:
        return renewal_sentence(case)
    return tr(
        "Counts no new heater in place of {name} within {years} years: if it will not last, enter under Money what one costs and when.",
        name=called(now.name),
        years=case.economics.study_period,
    )


def first_text(extra: Extra, coin: str, *, named: bool = False) -> str:
    """What is paid more at the start; `named` where the sentence before is not about the option that is bought."""
    cost = money(extra.investment, coin)
    if named:
        return tr("the {cost} for {name}", cost=cost, name=called(extra.first))
    return tr("its {cost}", cost=cost) if extra.spent else tr("its extra {cost}", cost=cost)


def payback_text(extra: Extra, coin: str, *, named: bool = False) -> str:
    """When what is paid more at the start comes back; empty where nothing more is paid."""
    if round_money(extra.investment) <= 0:
        return ""
    if _all_due(extra):
        first = first_text(extra, coin, named=named)
        if round_money(extra.due - extra.investment) > 0:
            return tr("{first} is less than the {due} due in year 1 anyway", first=first, due=money(extra.due, coin))
        return tr("{first} is due in year 1 anyway", first=first)
    first = _beyond(extra, coin, named=named)
    if extra.payback is None:
        return tr("{first} does not pay for itself within {years} years", first=first, years=extra.years)
    return tr("{first} pays for itself in {payback}", first=first, payback=years_text(extra.payback, extra.rate))


def _all_due(extra: Extra) -> bool:
    """Whether a new heater of today's kind, due now, costs as much as the option: then nothing has to come back."""
    return extra.due_year == 1 and round_money(extra.investment - extra.due) <= 0


def _beyond(extra: Extra, coin: str, *, named: bool = False) -> str:
    """What has to come back from the bills: of what is due in year 1 anyway nothing; what is due later, in time to count, is said."""
    if extra.due_year == 1:
        first = first_text(replace(extra, investment=extra.investment - extra.due), coin, named=named)
        return tr("{first} beyond what is due in year 1 anyway", first=first)
    first = first_text(extra, coin, named=named)
    if not extra.due_year or extra.payback is None or extra.payback <= extra.due_year - 1:
        return first
    due = money(extra.due, coin)
    return tr("{first}, with {due} due in year {year} anyway,", first=first, due=due, year=extra.due_year)


def gap_text(extra: Extra, coin: str) -> str:
    """Which of the two costs less over the years, and both figures, or the one of both where they are alike."""
    low, high = sorted(zip(extra.costs, (extra.first, extra.second), strict=True))
    figures = apart(low[0], high[0], 3)
    cost, most, less = (money(figure, coin) for figure in figures)
    if not figures[2]:
        return tr(
            "{name} and {other} both cost {cost}", name=called(extra.first), other=called(extra.second), cost=cost
        )
    return tr(
        "{name} {cost}, {less} less than {other} ({most})",
        name=called(low[1]),
        cost=cost,
        less=less,
        other=called(high[1]),
        most=most,
    )
