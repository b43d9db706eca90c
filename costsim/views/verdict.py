"""The first look: one decision of at most 25 words, and the cards that stand below it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from costsim.analysis.lifecycle import OverYears, capital_verdict, over_years
from costsim.analysis.outages import coldest_room
from costsim.analysis.scenarios import draw, lower_years, simulate_scenarios
from costsim.analysis.uncertainty import share_cheaper
from costsim.engine.batch import BatchResult, price_batch
from costsim.engine.lower import LoweredStudy
from costsim.results.result import OptionResult, Result
from costsim.simulation import load_winters
from costsim.study.case import Case, Option
from costsim.units.quantity import show
from costsim.views.answer import called, named, pair, ranked, round_money
from costsim.views.card import Card
from costsim.views.headline import roughly
from costsim.views.planner_cards import home_card
from costsim.views.tables import money, when
from costsim.weather import Weather

MOST_WORDS = 25
LOW, HIGH = 10, 90
"""Percentiles of the 80 % range."""


@dataclass(frozen=True, slots=True)
class Likelihood:
    """How sure the ranking is, by scenarios.

    `bands` holds low, median and high cost of a year by option, `saving` what `first` saves against `second`, low and
    high, `share` in how many scenarios it costs less.
    """

    first: str
    second: str
    share: float
    saving: tuple[float, float]
    bands: Mapping[str, tuple[float, float, float]]


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
    costs = {}
    for option in case.options:

        def work(option: Option = option) -> BatchResult:
            alone = case.model_copy(update={"option": (option,)})
            return simulate_scenarios([dataclasses.replace(year, case=alone) for year in years], scenarios)[0]

        costs[option.name] = price_batch(years[0], keep(option, work), scenarios.prices)
    first, second = (one.name for one in both)
    low, high = np.percentile(costs[second] - costs[first], [LOW, HIGH])
    bands = {}
    for name, cost in costs.items():
        a, b, c = np.percentile(cost, [LOW, 50, HIGH])
        bands[name] = (float(a), float(b), float(c))
    return Likelihood(first, second, share_cheaper(costs[first], costs[second]), (float(low), float(high)), bands)


def able(result: Result) -> list[OptionResult]:
    """Options that keep the house warm, cheapest first."""
    return [option for option in ranked(result) if carries(option)]


def carries(option: OptionResult) -> bool:
    """Whether an option keeps the house warm but for the hours that are borne."""
    return option.keeps_warm


def decision(result: Result, persona: str, system: str) -> str:
    """Say what to do in at most 25 words; what does not fit is left to the cards.

    Parameters
    ----------
    result : Result
    persona : str
        ``"installer"`` reads first what the existing unit lacks, everyone else what costs least.
    system : str
        ``"us"`` or ``"si"``.
    """
    warm, first = able(result), result.options[0]
    if persona == "installer" and not carries(first):
        parts = _lacking(result, first, warm, system)
    elif not warm:
        closest = ranked(result)[0]
        parts = [
            "None of these options keeps the house warm.",
            f"{called(closest.name)} comes closest, {closest.unmet.hours:,} hours too cold.",
            "Make a source larger, or add one.",
        ]
    else:
        parts = [*_cheapest(result, warm), *_too_small(result)]
    return _within(parts)


def _within(parts: Sequence[str]) -> str:
    """Whole sentences, as many as fit; the first one always."""
    text = parts[0]
    for part in parts[1:]:
        if len(f"{text} {part}".split()) <= MOST_WORDS:
            text = f"{text} {part}"
    return text


def _cheapest(result: Result, warm: Sequence[OptionResult]) -> list[str]:
    """Which option costs least to run, and which over the years where that is another one."""
    best, coin = warm[0], result.currency
    cost = money(round_money(best.cost_total), coin)
    if len(warm) == 1:
        only = "is the only option that keeps the house warm" if len(result.options) > 1 else "keeps the house warm"
        return [f"{called(best.name)} {only}: about {cost} a year."]
    other = (pair(result) or warm[:2])[1]
    gap, today, name = round_money(other.cost_total - best.cost_total), result.lowered.case.today, called(best.name)
    less = f"{money(gap, coin)} less than {called(other.name)}"
    short = f"{name} costs least: {cost} a year."
    if today is not None and today.name == other.name and gap:
        now = money(round_money(other.cost_total), coin)
        ways = [
            f"Compared with {called(other.name)} today ({now} a year), {name} saves about {money(gap, coin)} a year.",
            f"{name} saves about {money(gap, coin)} a year against {called(other.name)} today.",
        ]
    elif gap == 0:
        ways = [f"{name} and {called(other.name)} cost the same: about {cost} a year."]
    elif today is not None and today.name == best.name:
        ways = [f"What you have now, {name}, costs least to run: about {cost} a year, {less}."]
    else:
        ways = [f"{name} costs least to run: about {cost} a year, {less}."]
    later = _later(result, warm)
    fits = (way for way in (*ways, short) if len(f"{way} {later}".split()) <= MOST_WORDS)
    return [next(fits, short), *filter(None, [later])]


def _later(result: Result, warm: Sequence[OptionResult]) -> str:
    """Which option costs less over the years where it is not the cheapest to run; empty elsewhere."""
    names = [one.name for one in warm]
    found = capital_verdict(result.lowered.case, result, warm[0].name, names)
    gap = round_money(found.saving) if found else 0.0
    if found is None or not gap:
        return ""
    return f"Over {found.years} years, {called(found.cheapest_over_years)} costs {money(gap, result.currency)} less."


def _too_small(result: Result) -> list[str]:
    small = [option for option in result.options if not carries(option)]
    return [f"{called(one.name)} is too small: {one.unmet.hours:,} cold hours." for one in small]


def _lacking(result: Result, first: OptionResult, warm: Sequence[OptionResult], system: str) -> list[str]:
    worst = show(first.unmet.worst_w, "power", system)
    parts = [f"{called(first.name)} is too small in {first.unmet.hours:,} hours a year, by up to {worst}."]
    if warm:
        parts.append(
            f"{called(warm[0].name)} closes the gap for {money(round_money(warm[0].cost_total), result.currency)} a year."
        )
    return parts


ORDER = {
    "household": ("run", "warmth", "sure", "years", "first", "carbon"),
    "installer": ("warmth", "gap", "run", "years", "first", "carbon"),
    "planner": ("collector", "home", "peak", "run", "carbon", "warmth"),
}
"""Which cards each persona sees, the most wanted first."""


def cards(
    case: Case,
    common: LoweredStudy,
    result: Result,
    sure: Likelihood | None,
    *,
    persona: str,
    system: str,
    more: Sequence[Card] = (),
) -> list[Card]:
    """Make the cards of the first look in the persona's order; those that need `sure` say so while it is None.

    `more` holds those that take a computation of their own, such as a planner's collectors and peak.
    """
    found = {
        card.key: card
        for card in (
            _run_card(result),
            _years_card(case, result),
            _sure_card(result, sure),
            _warmth_card(common, case, result, system, persona),
            _gap_card(result, system),
            _first_card(case, result),
            _carbon_card(result, system),
            home_card(result, (able(result) or list(result.options))[0]),
            *more,
        )
    }
    return [found[key] for key in ORDER.get(persona, ORDER["household"]) if key in found]


def _run_card(result: Result) -> Card:
    warm = able(result)
    if not warm:
        return Card("run", "Cheapest to run", "none", "No option keeps the house warm.", "bad")
    best = warm[0]
    value = f"{money(round_money(best.cost_total), result.currency)} a year"
    if len(warm) == 1:
        return Card("run", "Cheapest to run", value, best.name)
    other = (pair(result) or warm[:2])[1]
    gap = money(round_money(other.cost_total - best.cost_total), result.currency)
    return Card("run", "Cheapest to run", value, f"{best.name} · {gap} less than {named(result, other.name)}", "good")


def _years_card(case: Case, result: Result) -> Card:
    label = f"Cheapest over {case.economics.study_period} years"
    found = _over_years(case, result)
    if found.cheapest is None:
        return Card("years", label, "not known", f"{_missing(found, result)} Enter install costs on the Money page.")
    same = found.cheapest == ranked(result)[0].name
    value = money(round_money(found.order[0][1]), result.currency)
    return Card("years", label, value, f"{found.cheapest} · {'also' if same else 'not'} the cheapest to run")


def _over_years(case: Case, result: Result) -> OverYears:
    return over_years(case, result, [one.name for one in able(result) or result.options])


def _missing(found: OverYears, result: Result) -> str:
    """What is not known yet, and below which first cost it would not matter."""
    parts = []
    for name, most in found.missing.items():
        if most is None:
            continue
        if most <= 0:
            parts.append(f"{called(name)} costs more than {called(found.order[0][0])} even if it is free to buy.")
        else:
            limit = money(round_money(most), result.currency)
            parts.append(f"{called(name)} is worth it if it costs less than about {limit} to buy.")
    return " ".join(parts) or f"The first cost of {', '.join(map(called, found.missing))} is not given."


def years_finding(case: Case, result: Result) -> str:
    """Which option costs least over the study period, and by how much, in a sentence."""
    found = _over_years(case, result)
    if found.cheapest is None:
        return f"Which option costs least over {found.years} years is not known until you enter its first costs. {_missing(found, result)}"
    (best, cost), coin = found.order[0], result.currency
    text = f"{called(best)} costs least over {found.years} years: {money(round_money(cost), coin)}"
    if len(found.order) > 1:
        name, more = found.order[1]
        text += f", {money(round_money(more - cost), coin)} less than {called(name)}"
    return f"{text}."


def _sure_card(result: Result, sure: Likelihood | None) -> Card:
    if sure is None:
        return Card("sure", "How likely", "…" if len(result.options) > 1 else "–", "one option, nothing to compare")
    low, high = (money(round_money(value), result.currency) for value in sure.saving)
    words = roughly(sure.share).replace("about ", "")
    return Card(
        "sure",
        "How likely",
        words,
        f"{sure.first} saves {low} to {high} a year against {sure.second} in 80% of scenarios",
    )


def _warmth_card(common: LoweredStudy, case: Case, result: Result, system: str, persona: str) -> Card:
    one = result.options[0] if persona == "installer" else (ranked(result)[0])
    short = one.unmet
    if not short.hours:
        return Card("warmth", "Hours too cold", "0 hours", f"{one.name} keeps the house warm all year", "good")
    option = next(item for item in case.options if item.name == one.name)
    coldest = show(coldest_room(common, option)[0], "temperature", system, 0)
    note = f"{one.name} · down to {coldest} in the house, {when(result, short.worst_hour)}"
    return Card("warmth", "Hours too cold", f"{short.hours:,} hours", note, "good" if carries(one) else "bad")


def _gap_card(result: Result, system: str) -> Card:
    first, warm = result.options[0], able(result)
    worst = show(first.unmet.worst_w, "power", system)
    if not first.unmet.hours:
        return Card("gap", "Short by up to", show(0.0, "power", system), f"{first.name} is large enough", "good")
    closes = f"{warm[0].name} closes it" if warm else "no option here closes it"
    return Card("gap", "Short by up to", worst, f"{first.name} · {closes}", "bad")


def _first_card(case: Case, result: Result) -> Card:
    best = (able(result) or list(result.options))[0]
    option = next(item for item in case.options if item.name == best.name)
    if not option.first_cost_given:
        return Card("first", "First cost", "not given", f"{best.name} · add it on the Money page")
    value = money(option.first_cost_money - option.rebate_money, result.currency)
    others = [o for o in case.options if o.name != best.name and o.first_cost_given]
    if not others:
        return Card("first", "First cost", value, best.name)
    least = min(others, key=lambda o: o.first_cost_money - o.rebate_money)
    gap = (option.first_cost_money - option.rebate_money) - (least.first_cost_money - least.rebate_money)
    side = "more" if gap >= 0 else "less"
    return Card(
        "first", "First cost", value, f"{best.name} · {money(abs(gap), result.currency)} {side} than {least.name}"
    )


def _carbon_card(result: Result, system: str) -> Card:
    best = (able(result) or list(result.options))[0]
    least = min(able(result) or list(result.options), key=lambda option: option.co2_kg)
    if any(math.isnan(option.co2_kg) for option in result.options):
        return Card("carbon", "Carbon", "not known", "add co2 of this grid to [prices.electricity]")
    tons = "metric tons" if system == "us" else "t"
    value = f"{best.co2_kg / 1e3:,.1f} {tons} CO₂ a year"
    if least.name == best.name:
        return Card("carbon", "Carbon", value, f"{best.name} · the least of all", "good")
    return Card("carbon", "Carbon", value, f"{best.name} · {least.name} {least.co2_kg / 1e3:,.1f} {tons}")
