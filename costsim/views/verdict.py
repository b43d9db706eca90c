"""The first look: one decision of at most 25 words, and the cards that stand below it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from costsim.analysis.decision import life_cycle_of_runs, price_paths
from costsim.analysis.left_out import LargerUnit, cheaper_cold
from costsim.analysis.lifecycle import over_years
from costsim.analysis.scenarios import draw, lower_years, simulate_scenarios
from costsim.analysis.uncertainty import share_cheaper, shares_least
from costsim.engine.batch import BatchResult, price_batch
from costsim.results.result import OptionResult, Result
from costsim.simulation import load_winters
from costsim.study.case import Case, Option
from costsim.views.answer import about, about_gap, called, closing, cold_zone, leading, pair, ranked, taps_sentence
from costsim.views.cold_hours import borne_words, cheaper_sentence, hours_too_cold, larger_text, remedy, rooms_limit
from costsim.views.lead import MOST_WORDS, NEAR, Turns, near_sentences, years_sentences
from costsim.views.payback import Extra, extra_of, payback_text
from costsim.views.rounding import apart, round_money, show_missing
from costsim.views.tables import money
from costsim.views.turning import turns_of
from costsim.weather import Weather
from costsim.words import tr, trn

LOW, HIGH = 10, 90
"""Percentiles of the 80 % range."""


@dataclass(frozen=True, slots=True)
class Likelihood:
    """How sure the ranking is, by scenarios.

    `bands` holds low, median and high cost of a year by option, `saving` what `first` saves against `second`, low and
    high, `share` in how many scenarios it costs less, `over_years` in how many its life-cycle cost is the lower one over
    `years` years (None while a first cost of the two is missing), `of_all` in how many the year's bills of `first` are the least
    of all `rivals` options that keep the house warm. `least` is the one of them that most often has the lowest life-cycle cost, and in what
    share; None while a first cost is missing.
    """

    first: str
    second: str
    share: float
    saving: tuple[float, float]
    bands: Mapping[str, tuple[float, float, float]]
    over_years: float | None = None
    years: int = 0
    of_all: float = math.nan
    rivals: int = 0
    least: tuple[str, float] | None = None

    @property
    def least_of_several(self) -> tuple[str, float] | None:
        """`least` where there are more than two; of two `over_years` says the same."""
        return self.least if self.rivals > 2 else None


Keep = Callable[[Option, Callable[[], BatchResult]], BatchResult]


def _anew(option: Option, work: Callable[[], BatchResult]) -> BatchResult:
    return work()


def likelihood(
    case: Case, weather: Weather, result: Result, *, count: int | None = None, keep: Keep = _anew
) -> Likelihood | None:
    """Run all options through the same scenarios.

    Parameters
    ----------
    case, weather
    result : Result
        What `simulate` gave for them.
    count : int, optional
        Scenarios of loads, winters, prices and efficiencies; the study's own number by default.
    keep : callable
        Given an option and what runs its scenarios, gives the runs: those of an earlier call where only prices have
        changed and the option's rule looks at none.

    Returns
    -------
    Likelihood or None
        None where there is nothing to compare.
    """
    both, few = pair(result), case
    if both is None:
        return None
    if count is not None:
        few = case.model_copy(update={"uncertainty": case.uncertainty.model_copy(update={"scenarios": count})})
    years = lower_years(few, weather, load_winters(case))
    scenarios = draw(few, *years)
    runs, costs = {}, {}
    for option in case.options:

        def work(option: Option = option) -> BatchResult:
            alone = case.model_copy(update={"option": (option,)})
            return simulate_scenarios([dataclasses.replace(year, case=alone) for year in years], scenarios)[0]

        runs[option.name] = keep(option, work)
        costs[option.name] = price_batch(years[0], runs[option.name], scenarios.prices)
    first, second = (warm_option.name for warm_option in both)
    low, high = np.percentile(costs[second] - costs[first], [LOW, HIGH])
    bands = {}
    for name, cost in costs.items():
        a, b, c = np.percentile(cost, [LOW, 50, HIGH])
        bands[name] = (float(a), float(b), float(c))
    typed = {option.name: option for option in case.options}
    share, warm = share_cheaper(costs[first], costs[second]), [warm_option.name for warm_option in able(result)]
    priced = [name for name in dict.fromkeys((first, second, *warm)) if typed[name].first_cost_given]
    paths = price_paths(few, scenarios) if priced else {}
    lives = {name: life_cycle_of_runs(years[0], typed[name], runs[name], paths) for name in priced}
    later = share_cheaper(lives[first], lives[second]) if {first, second} <= lives.keys() else None
    odds = shares_least([lives[name] for name in warm]) if warm and lives.keys() >= set(warm) else np.zeros(0)
    least = (warm[int(odds.argmax())], float(odds.max())) if odds.size else None
    of_all = float(shares_least([costs[name] for name in warm])[0]) if first in warm else math.nan
    return Likelihood(
        first,
        second,
        share,
        (float(low), float(high)),
        bands,
        later,
        case.economics.study_period,
        of_all,
        len(warm),
        least,
    )


def able(result: Result) -> list[OptionResult]:
    """Options that keep the house warm, cheapest first."""
    return [option for option in ranked(result) if carries(option)]


def shown(result: Result) -> OptionResult:
    """The option that cards tell of: the one that leads, or where none keeps the house warm the first one."""
    return leading(result) if able(result) else result.options[0]


def carries(option: OptionResult) -> bool:
    """Whether an option keeps the house warm but for the hours that are borne."""
    return option.keeps_warm


def decision(
    result: Result, persona: str, system: str, larger: LargerUnit | None = None, turns: Turns = turns_of
) -> str:
    """Say what to do in at most 25 words; what does not fit is left to the cards.

    Cold hours of what it names, of the house and of hot water, and a cheaper option that is left out for them, are said however many words that takes.

    Parameters
    ----------
    result : Result
    persona : str
        ``"installer"`` reads first what the existing unit lacks, everyone else what costs least.
    system : str
        ``"us"`` or ``"si"``.
    larger : LargerUnit, optional
        A larger unit of the first option, named where that costs less over the years than the best option that is warm.
    turns : callable
        Gives the turning prices of a result; asked only where two options' bills are near each other.
    """
    warm, first = able(result), result.options[0]
    if persona == "installer" and not carries(first):
        parts = _lacking(result, first, warm, system, larger)
        return " ".join(filter(None, (_within(parts), cheaper_sentence(result, system))))
    leads = leading_sentences(result, system, turns)
    if not warm:
        return _within(leads)
    lead = leading(result)
    short = [cheaper_sentence(result, system)]
    for option in [lead] if lead is warm[0] else [lead, warm[0]]:
        short += [_borne(result, option, system), taps_sentence(option)]
    return " ".join(part for part in (_within([*leads, *_too_small(result)]), *short) if part)


def leading_sentences(result: Result, system: str, turns: Turns = turns_of) -> list[str]:
    """What every answer begins with, on screen, on paper and in the terminal: the option that leads, and why; the first always told."""
    if warm := able(result):
        return _cheapest(result, warm, system, turns)
    closest = ranked(result)[0]
    return [
        tr("None of these options keeps the house warm."),
        tr(
            "{name} comes closest, {hours} hours too cold{zone}.",
            name=called(closest.name),
            hours=f"{closest.unmet.hours:,}",
            zone=cold_zone(closest),
        ),
        remedy(result, closest),
    ]


def _borne(result: Result, best: OptionResult, system: str) -> str:
    """The cold hours of the best option that are borne."""
    words = borne_words(result, best, system)
    return tr("{name}: {hours}.", name=called(best.name), hours=words) if words else ""


def _within(parts: Sequence[str]) -> str:
    """Whole sentences, as many as fit; the first one always."""
    text = parts[0]
    for part in parts[1:]:
        if len(f"{text} {part}".split()) <= MOST_WORDS:
            text = f"{text} {part}"
    return text


def _cheapest(result: Result, warm: Sequence[OptionResult], system: str = "us", turns: Turns = turns_of) -> list[str]:
    """Which option costs least: over the years where that is known and another one, else to run."""
    best, coin = warm[0], result.currency
    cost = money(about(result, best), coin)
    if len(warm) == 1:
        if len(result.options) > 1 and best.unmet.hours:
            return [
                tr(
                    "{name} is the only option with so few hours too cold that it counts as warm: about {cost} a year.",
                    name=called(best.name),
                    cost=cost,
                )
            ]
        if len(result.options) > 1:
            return [
                tr(
                    "{name} is the only option that keeps the house warm: about {cost} a year.",
                    name=called(best.name),
                    cost=cost,
                )
            ]
        return [tr("{name} keeps the house warm: about {cost} a year.", name=called(best.name), cost=cost)]
    other = (pair(result) or warm[:2])[1]
    gap, today, name = about_gap(result), result.lowered.case.today, called(best.name)
    than = {"name": name, "cost": cost, "less": money(gap, coin), "other": called(other.name)}
    short = tr("{name} costs least: {cost} a year.", name=name, cost=cost)
    leader = leading(result)
    ahead = years_sentences(result, leader, best) if leader.name != best.name else []
    if cheaper_cold(result):
        return [tr("Of the options that keep the house warm, {sentence}", sentence=ahead[-1] if ahead else short)]
    if ahead:
        return [next((way for way in ahead if len(way.split()) <= MOST_WORDS), ahead[-1])]
    if near := near_sentences(result, system, turns):
        return near
    extra = extra_of(result)
    back = payback_text(extra, coin) if extra else ""
    if today is not None and today.name == other.name and gap:
        now = money(about(result, other), coin)
        ways = [
            tr(
                "Compared with {name} today ({now} a year), {other} saves about {cost} a year.",
                name=called(other.name),
                now=now,
                other=name,
                cost=money(gap, coin),
            ),
            tr(
                "{name} saves about {cost} a year against {other} today.",
                name=name,
                cost=money(gap, coin),
                other=called(other.name),
            ),
            tr("{name} saves about {cost} a year against today.", name=name, cost=money(gap, coin)),
        ]
    elif gap == 0:
        ways = [
            tr("{name} and {other} cost the same: about {cost} a year.", name=name, other=called(other.name), cost=cost)
        ]
    elif today is not None and today.name == best.name:
        ways = [
            tr(
                "What you have now, {name}, costs least to run: about {cost} a year, {less} less than {other}.",
                **than,
            )
        ]
    else:
        ways = [tr("{name} costs least to run: about {cost} a year, {less} less than {other}.", **than)]
    must = ""
    if not back and gap < NEAR * about(result, best):
        must = _tie(result, warm, extra)
        whole = _both_less(extra, gap, coin, now=today is not None and today.name == best.name) if extra else []
        if chosen := next((way for way in whole if len(way.split()) <= MOST_WORDS), ""):
            return [chosen]
    if back and gap:
        ways = [*_with_payback(name, gap, called(other.name), back, coin, today=today is not None), *ways]
    later = must or (_less(extra, coin) if extra and back else "")
    fits = (way for way in (*ways, short) if len(f"{way} {must}".split()) <= MOST_WORDS)
    return [next(fits, short), *filter(None, [later])]


def _tie(result: Result, warm: Sequence[OptionResult], extra: Extra | None) -> str:
    """What the years say of options whose bills are nearly the same: first costs, energy and maintenance together."""
    best, verdict = warm[0].name, over_years(result.lowered.case, result, [option.name for option in warm])
    if verdict.cheapest is None:
        return tr("First costs, not given yet, may decide.")
    if extra is None:
        return tr("Over {years} years, {name} costs least too.", years=verdict.years, name=called(best))
    if round_money(extra.costs[1] - extra.costs[0]) <= 0:
        return tr("Over {years} years both cost the same.", years=verdict.years)
    return tr(
        "Over {years} years, {name} costs {cost} less.",
        years=verdict.years,
        name=called(best),
        cost=money(apart(*extra.costs, 3)[2], result.currency),
    )


def _both_less(extra: Extra, gap: float, coin: str, *, now: bool) -> list[str]:
    """That the cheapest to run costs less over the years too, in one sentence, the longest first; none where it does not."""
    if not gap or round_money(extra.costs[1] - extra.costs[0]) <= 0:
        return []
    words = {
        "name": called(extra.first),
        "other": called(extra.second),
        "cost": money(gap, coin),
        "less": money(apart(*extra.costs, 3)[2], coin),
        "years": str(extra.years),
    }
    plain = tr(
        "{name} costs {cost} a year less to run than {other}, and {less} less over {years} years, first costs included.",
        **words,
    )
    short = tr("{name} costs {cost} a year less to run than {other}, and {less} less over {years} years.", **words)
    kept = tr(
        "{name}, what you have now, costs {cost} a year less to run than {other}, and {less} less over {years} years.",
        **words,
    )
    return [kept, short] if now else [plain, short]


def _with_payback(name: str, gap: float, other: str, back: str, coin: str, *, today: bool) -> list[str]:
    """What is saved on bills and when the first cost comes back, in the same sentence, the longest first."""
    words = {"name": name, "cost": money(gap, coin), "other": other, "back": back}
    if today:
        return [
            tr("{name} saves about {cost} a year on bills against {other} today; {back}.", **words),
            tr("{name} saves about {cost} a year on bills; {back}.", **words),
        ]
    return [tr("{name} costs {cost} a year less to run than {other}; {back}.", **words)]


def _less(extra: Extra, coin: str) -> str:
    """What the cheapest to run saves over the years too."""
    saved = extra.costs[1] - extra.costs[0]
    if round_money(saved) <= 0:
        return ""
    text = money(apart(*extra.costs, 3)[2], coin)
    return tr("Over {years} years it costs {cost} less.", years=extra.years, cost=text)


def _too_small(result: Result) -> list[str]:
    """Options that are too small, less the one that `cheaper_sentence` tells of."""
    names = [cheaper.cold.name for cheaper in cheaper_cold(result)[:1]]
    small = [option for option in result.options if not carries(option) and option.name not in names]
    return [
        tr(
            "{name} is too small: {hours}{zone}.",
            hours=hours_too_cold(option.unmet.hours),
            name=called(option.name),
            zone=cold_zone(option),
        )
        for option in small
    ]


def _lacking(
    result: Result, first: OptionResult, warm: Sequence[OptionResult], system: str, larger: LargerUnit | None = None
) -> list[str]:
    parts = [
        tr(
            "{name} is too small in {hours} hours a year{zone}, by up to {worst}.",
            name=called(first.name),
            hours=f"{first.unmet.hours:,}",
            zone=cold_zone(first),
            worst=show_missing(first.unmet.worst_w, "power", system),
        )
    ]
    if larger is not None:
        parts.append(larger_text(larger.enough, result.currency, system))
    elif warm:
        best = closing(result)
        words = {"name": called(best.name), "cost": money(about(result, best), result.currency)}
        if best.unmet.hours:
            text = trn(
                "{name} is itself too small in {count} hour, for {cost} a year.",
                "{name} is itself too small in {count} hours, for {cost} a year.",
                best.unmet.hours,
                **words,
            )
        else:
            text = tr("{name} closes the gap for {cost} a year.", **words)
        parts.append(text)
    elif rooms_limit(first):
        parts.append(remedy(result, first))
    return parts
