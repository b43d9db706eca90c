"""The first look: one decision of at most 25 words, and the cards that stand below it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from costsim.analysis.lifecycle import life_cycle
from costsim.analysis.outages import coldest_room
from costsim.analysis.scenarios import draw, lower_years, simulate_scenarios
from costsim.analysis.uncertainty import share_cheaper
from costsim.engine.batch import BatchResult, price_batch
from costsim.engine.lower import LoweredStudy
from costsim.results.result import OptionResult, Result
from costsim.simulation import load_winters
from costsim.study.case import Case, Option
from costsim.units.quantity import show
from costsim.views.answer import called, ranked, round_money
from costsim.views.card import Card
from costsim.views.headline import QUICK_SCENARIOS, roughly
from costsim.views.planner_cards import home_card
from costsim.views.tables import money, when
from costsim.weather import Weather
from costsim.words import tr, trn

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
    case: Case, weather: Weather, result: Result, *, count: int = QUICK_SCENARIOS, keep: Keep = _anew
) -> Likelihood | None:
    """Run all options through the same scenarios.

    Parameters
    ----------
    case, weather
    result : Result
        What `simulate` gave for them.
    count : int
        Scenarios: of loads, winters, prices and efficiencies.
    keep : callable
        Given an option and what runs its scenarios, gives the runs: those of an earlier call where only prices have
        changed and the option's rule looks at none.

    Returns
    -------
    Likelihood or None
        None where there is nothing to compare.
    """
    order = ranked(result)
    if len(order) < 2:
        return None
    few = case.model_copy(update={"uncertainty": case.uncertainty.model_copy(update={"scenarios": count})})
    years = lower_years(few, weather, load_winters(case))
    scenarios = draw(few, *years)
    costs = {}
    for option in case.options:

        def work(option: Option = option) -> BatchResult:
            alone = case.model_copy(update={"option": (option,)})
            return simulate_scenarios([dataclasses.replace(year, case=alone) for year in years], scenarios)[0]

        costs[option.name] = price_batch(years[0], keep(option, work), scenarios.prices)
    first, second = order[0].name, order[1].name
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
            tr("None of these options keeps the house warm."),
            tr(
                "{name} comes closest, {hours} hours too cold.",
                name=called(closest.name),
                hours=f"{closest.unmet.hours:,}",
            ),
            tr("Make a source larger, or add one."),
        ]
    else:
        parts = [_cheapest(result, warm), *(_too_small(result))]
    return _within(parts)


def _within(parts: Sequence[str]) -> str:
    """Whole sentences, as many as fit; the first one always."""
    text = parts[0]
    for part in parts[1:]:
        if len(f"{text} {part}".split()) <= MOST_WORDS:
            text = f"{text} {part}"
    return text


def _cheapest(result: Result, warm: Sequence[OptionResult]) -> str:
    best = warm[0]
    cost = money(round_money(best.cost_total), result.currency)
    if len(warm) == 1:
        if len(result.options) > 1:
            return tr(
                "{name} is the only option that keeps the house warm: about {cost} a year.",
                name=called(best.name),
                cost=cost,
            )
        return tr("{name} keeps the house warm: about {cost} a year.", name=called(best.name), cost=cost)
    gap = round_money(warm[1].cost_total - best.cost_total)
    if gap == 0:
        return tr(
            "{name} and {other} cost the same: about {cost} a year.",
            name=called(best.name),
            other=called(warm[1].name),
            cost=cost,
        )
    long = tr(
        "{name} costs least to run: about {cost} a year, {less} less than {other}.",
        name=called(best.name), cost=cost, less=money(gap, result.currency), other=called(warm[1].name),
    )  # fmt: skip
    return (
        long
        if len(long.split()) <= MOST_WORDS
        else tr("{name} costs least: {cost} a year.", name=called(best.name), cost=cost)
    )


def _too_small(result: Result) -> list[str]:
    small = [option for option in result.options if not carries(option)]
    return [
        trn(
            "{name} is too small: {count} cold hour.",
            "{name} is too small: {count} cold hours.",
            one.unmet.hours,
            name=called(one.name),
        )
        for one in small
    ]


def _lacking(result: Result, first: OptionResult, warm: Sequence[OptionResult], system: str) -> list[str]:
    worst = show(first.unmet.worst_w, "power", system)
    parts = [
        tr(
            "{name} is too small in {hours} hours a year, by up to {worst}.",
            name=called(first.name),
            hours=f"{first.unmet.hours:,}",
            worst=worst,
        )
    ]
    if warm:
        parts.append(
            tr(
                "{name} closes the gap for {cost} a year.",
                name=called(warm[0].name),
                cost=money(round_money(warm[0].cost_total), result.currency),
            )
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
        return Card("run", tr("Cheapest to run"), "none", tr("No option keeps the house warm."), "bad")
    best = warm[0]
    value = tr("{cost} a year", cost=money(round_money(best.cost_total), result.currency))
    if len(warm) == 1:
        return Card("run", tr("Cheapest to run"), value, best.name)
    gap = money(round_money(warm[1].cost_total - best.cost_total), result.currency)
    return Card(
        "run",
        tr("Cheapest to run"),
        value,
        tr("{name} · {cost} less than {other}", name=best.name, cost=gap, other=warm[1].name),
        "good",
    )


def _years_card(case: Case, result: Result) -> Card:
    label = tr("Cheapest over {study_period} years", study_period=case.economics.study_period)
    outlays = {one.option: one.present_cost for one in life_cycle(case, result)[0]}
    warm = able(result) or list(result.options)
    best = min(warm, key=lambda option: outlays[option.name])
    value = money(round_money(outlays[best.name]), result.currency)
    if not all(option.first_cost_given for option in case.options):
        return Card(
            "years", label, value, tr("{name} · first costs are missing: add them on the Money page", name=best.name)
        )
    same = best.name == warm[0].name
    return Card(
        "years",
        label,
        value,
        tr("{name} · also the cheapest to run", name=best.name)
        if same
        else tr("{name} · not the cheapest to run", name=best.name),
    )


def years_finding(case: Case, result: Result) -> str:
    """Which option costs least over the study period, and by how much, in a sentence."""
    outlays = {one.option: one.present_cost for one in life_cycle(case, result)[0]}
    order = sorted(able(result) or result.options, key=lambda option: outlays[option.name])
    best, years = order[0].name, case.economics.study_period
    text = tr(
        "{best} costs least over {years} years: {cost}",
        best=called(best),
        years=years,
        cost=money(round_money(outlays[best]), result.currency),
    )
    if len(order) > 1:
        gap = round_money(outlays[order[1].name] - outlays[best])
        text += tr(", {cost} less than {name}", cost=money(gap, result.currency), name=called(order[1].name))
    missing = [option.name for option in case.options if not option.first_cost_given]
    return f"{text}." + (
        tr(" First cost is missing for {names}.", names=", ".join(map(called, missing))) if missing else ""
    )


def _sure_card(result: Result, sure: Likelihood | None) -> Card:
    if sure is None:
        return Card(
            "sure", tr("How likely"), "…" if len(result.options) > 1 else "–", tr("one option, nothing to compare")
        )
    low, high = (money(round_money(value), result.currency) for value in sure.saving)
    words = roughly(sure.share).replace("about ", "")
    return Card(
        "sure",
        tr("How likely"),
        words,
        tr("{first} saves {low} to {high} a year in 80% of scenarios", first=sure.first, low=low, high=high),
    )


def _warmth_card(common: LoweredStudy, case: Case, result: Result, system: str, persona: str) -> Card:
    one = result.options[0] if persona == "installer" else (ranked(result)[0])
    short = one.unmet
    if not short.hours:
        return Card(
            "warmth",
            tr("Hours too cold"),
            trn("{count} hour", "{count} hours", 0),
            tr("{name} keeps the house warm all year", name=one.name),
            "good",
        )
    option = next(item for item in case.options if item.name == one.name)
    coldest = show(coldest_room(common, option)[0], "temperature", system, 0)
    note = tr(
        "{name} · down to {coldest} in the house, {time}",
        name=one.name,
        coldest=coldest,
        time=when(result, short.worst_hour),
    )
    return Card(
        "warmth",
        tr("Hours too cold"),
        trn("{count} hour", "{count} hours", short.hours),
        note,
        "good" if carries(one) else "bad",
    )


def _gap_card(result: Result, system: str) -> Card:
    first, warm = result.options[0], able(result)
    worst = show(first.unmet.worst_w, "power", system)
    if not first.unmet.hours:
        return Card(
            "gap",
            tr("Short by up to"),
            show(0.0, "power", system),
            tr("{name} is large enough", name=first.name),
            "good",
        )
    closes = tr("{name} closes it", name=warm[0].name) if warm else tr("no option here closes it")
    return Card("gap", tr("Short by up to"), worst, f"{first.name} · {closes}", "bad")


def _first_card(case: Case, result: Result) -> Card:
    best = (able(result) or list(result.options))[0]
    option = next(item for item in case.options if item.name == best.name)
    if not option.first_cost_given:
        return Card("first", tr("First cost"), tr("not given"), tr("{name} · add it on the Money page", name=best.name))
    value = money(option.first_cost_money - option.rebate_money, result.currency)
    others = [o for o in case.options if o.name != best.name and o.first_cost_given]
    if not others:
        return Card("first", tr("First cost"), value, best.name)
    least = min(others, key=lambda o: o.first_cost_money - o.rebate_money)
    gap = (option.first_cost_money - option.rebate_money) - (least.first_cost_money - least.rebate_money)
    gap_text = money(abs(gap), result.currency)
    if gap >= 0:
        note = tr("{name} · {cost} more than {other}", name=best.name, cost=gap_text, other=least.name)
    else:
        note = tr("{name} · {cost} less than {other}", name=best.name, cost=gap_text, other=least.name)
    return Card("first", tr("First cost"), value, note)


def _carbon_card(result: Result, system: str) -> Card:
    best = (able(result) or list(result.options))[0]
    least = min(able(result) or list(result.options), key=lambda option: option.co2_kg)
    if any(math.isnan(option.co2_kg) for option in result.options):
        return Card("carbon", tr("Carbon"), tr("not known"), tr("add co2 of this grid to [prices.electricity]"))
    tons = tr("metric tons") if system == "us" else "t"
    value = tr("{value} {tons} CO₂ a year", value=f"{best.co2_kg / 1000.0:,.1f}", tons=tons)
    if least.name == best.name:
        return Card("carbon", tr("Carbon"), value, tr("{name} · the least of all", name=best.name), "good")
    return Card("carbon", tr("Carbon"), value, f"{best.name} · {least.name} {least.co2_kg / 1e3:,.1f} {tons}")
