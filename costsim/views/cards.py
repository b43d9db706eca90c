"""The cards that stand below the decision, in the order of who reads."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from costsim.analysis.lifecycle import OverYears, over_years
from costsim.analysis.outages import coldest_room
from costsim.engine.lower import LoweredStudy
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.units.quantity import show
from costsim.views.answer import (
    about,
    about_gap,
    called,
    closing,
    leading,
    named,
    pair,
    ranked,
    taps_sentence,
    warmth_of,
)
from costsim.views.card import Card
from costsim.views.cold_hours import but_cold, cheaper_lines
from costsim.views.headline import roughly
from costsim.views.payback import extra_of, gap_text, payback_text, today_sentence
from costsim.views.planner_cards import home_card
from costsim.views.rounding import apart, over_money, round_money, show_missing
from costsim.views.tables import money, when
from costsim.views.verdict import Likelihood, able, carries, shown
from costsim.words import tr, trn

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
    waits: bool = False,
    assumed: Mapping[str, str] = MappingProxyType({}),
    heating_alone: bool = False,
) -> list[Card]:
    """Make the cards of the first look in the persona's order; what needs `sure` says so while that is being worked out (`waits`).

    `more` holds those that take a computation of their own, such as a planner's collectors and peak. `assumed` holds, by
    option, the sources whose sizes nobody typed, with these sizes. `heating_alone`: hot water is on today's bill, and no option has it.
    """
    made = {
        card.key: card
        for card in (
            _run_card(result),
            _years_card(case, result),
            _sure_card(result, sure, waits=waits, heating_alone=heating_alone),
            _warmth_card(common, case, result, system, persona, assumed),
            _gap_card(result, system, assumed),
            _first_card(case, result),
            _carbon_card(result, system),
            home_card(result, shown(result)),
            *more,
        )
    }
    order = list(ORDER.get(persona, ORDER["household"]))
    if "years" in order and leading(result) is not ranked(result)[0]:
        order.remove("years")
        order.insert(order.index("run"), "years")
    return [made[key] for key in order if key in made]


def _run_card(result: Result) -> Card:
    warm = able(result)
    if not warm:
        return Card("run", tr("Cheapest to run"), tr("none"), tr("No option keeps the house warm."), "bad")
    best = warm[0]
    value = tr("{cost} a year", cost=money(about(result, best), result.currency))
    cold = but_cold(result, over_years=False)
    label = tr("Cheapest to run, of those warm enough") if cold else tr("Cheapest to run")
    note = best.name
    if len(warm) > 1:
        other = (pair(result) or warm[:2])[1]
        gap = money(about_gap(result), result.currency)
        note = tr("{name} · {cost} less than {other}", name=best.name, cost=gap, other=named(result, other.name))
    note = f"{note}. {cold}." if cold else note
    return Card("run", label, value, note, "" if cold or len(warm) == 1 else "good")


def _years_card(case: Case, result: Result) -> Card:
    """The cheapest over the years; while that is not known, the cheapest of those whose first cost is, and what the others want."""
    verdict = _over_years(case, result)
    if not verdict.order and not verdict.missing:  # none keeps the house warm
        label = tr("Cheapest over {study_period} years", study_period=case.economics.study_period)
        return Card("years", label, tr("none"), tr("No option keeps the house warm."), "bad")
    cold = but_cold(result, over_years=True)
    label = _years_label(verdict, case.economics.study_period, cold=bool(cold))
    enter = tr("Enter install costs on the Money page.")
    if not verdict.order:
        return Card("years", label, tr("not known"), f"{_missing(verdict, result)} {enter}")
    first, extra, now = verdict.order[0][0], extra_of(result), case.today
    if extra is not None and first in (extra.first, extra.second):
        back = payback_text(extra, result.currency, named=first != extra.first)
        note = gap_text(extra, result.currency)
        value = money(apart(min(extra.costs), max(extra.costs), 3)[0], result.currency)
        note = f"{note}; {back}" if back else note
        against = today_sentence(result, first) if now and now.name not in (extra.first, extra.second) else ""
    else:
        value = over_money(verdict.order[0][1], result.currency)
        if _only(verdict):
            note = tr("{name} · the only one whose first cost is known", name=first)
        elif first == ranked(result)[0].name:
            note = tr("{name} · also the cheapest to run", name=first)
        else:
            note = tr("{name} · not the cheapest to run", name=first)
        against = today_sentence(result, first) if now and not result.option(now.name).keeps_warm else ""
    missing = _missing(verdict, result) if verdict.missing else ""
    more = (missing, enter if verdict.cheapest is None else "", cold, against)
    return Card("years", label, value, ". ".join(part.rstrip(".") for part in (note, *more) if part))


def _years_label(over_years: OverYears, years: int, *, cold: bool) -> str:
    if _only(over_years):
        return tr("Cost over {study_period} years", study_period=years)
    if over_years.order and over_years.cheapest is None:
        return tr("Cheapest over {study_period} years, of those with a first cost", study_period=years)
    if cold:
        return tr("Cheapest over {study_period} years, of those warm enough", study_period=years)
    return tr("Cheapest over {study_period} years", study_period=years)


def _only(over_years: OverYears) -> bool:
    """Whether a first cost is known of one option alone, so that it is held against none."""
    return over_years.cheapest is None and len(over_years.order) == 1


def _over_years(case: Case, result: Result) -> OverYears:
    return over_years(case, result, [option.name for option in able(result)])


def _missing(over_years: OverYears, result: Result) -> str:
    """What is not known yet, and below which first cost it would not matter."""
    parts = []
    for name, most in over_years.missing.items():
        if most is None:
            continue
        if most <= 0:
            parts.append(
                tr(
                    "{name} costs more than {order} even if it is free to buy.",
                    name=called(name),
                    order=called(over_years.order[0][0]),
                )
            )
        else:
            limit = money(round_money(most), result.currency)
            parts.append(
                tr(
                    "{name} is worth it against {other} if it costs less than about {limit} to buy.",
                    name=called(name),
                    other=called(over_years.order[0][0]),
                    limit=limit,
                )
            )
    return " ".join(parts) or trn(
        "The first cost of {names} is not given.",
        "The first costs of {names} are not given.",
        len(over_years.missing),
        names=tr(" and ").join(map(called, over_years.missing)),
    )


def years_finding(case: Case, result: Result, system: str = "us") -> str:
    """Which option costs least over the study period and by how much, and those left out for their cold hours that would be cheaper."""
    return " ".join([_years_text(case, result), *cheaper_lines(result, system)])


def _years_text(case: Case, result: Result) -> str:
    verdict = _over_years(case, result)
    if not verdict.order and not verdict.missing:  # none keeps the house warm
        return tr("No option keeps the house warm.")
    if not verdict.order:
        return tr(
            "Which option costs least over {years} years is not known until you enter its first costs. {missing}",
            years=verdict.years,
            missing=_missing(verdict, result),
        )
    (best, cost), coin = verdict.order[0], result.currency
    name, more = verdict.order[min(1, len(verdict.order) - 1)]
    first, _, gap = (money(figure, coin) for figure in apart(cost, more, 3))
    words = {"best": called(best), "years": str(verdict.years), "cost": first}
    if _only(verdict):
        text = tr("{best} costs {cost} over {years} years, the only one whose first cost is known", **words)
    elif verdict.cheapest is None:
        text = tr("Of those with a first cost, {best} costs least over {years} years: {cost}", **words)
    else:
        text = tr("{best} costs least over {years} years: {cost}", **words)
    if len(verdict.order) > 1:
        text += tr(", {cost} less than {name}", cost=gap, name=called(name))
    return f"{text}. {_missing(verdict, result)}" if verdict.missing else f"{text}."


def _later_odds(sure: Likelihood) -> list[str]:
    """Lines of the odds over the years: of the one option named before, where it is most often the cheapest of all, else of both."""
    least, lines = sure.least_of_several, []
    if least is not None and least[0] == sure.first:
        words = {"years": sure.years, "name": called(sure.first), "share": roughly(least[1])}
        return [tr("Cheapest over {years} years: {name}, {share}", **words)]
    if sure.over_years is not None:
        later = {"years": sure.years, "share": roughly(sure.over_years), "other": called(sure.second)}
        words_than = {**later, "name": called(sure.first)}
        lines.append(
            tr("{name} cheaper than {other} over {years} years: {share}", **words_than)
            if least
            else tr("Cheaper than {other} over {years} years: {share}", **later)
        )
    if least is not None:
        of_all = {"count": sure.rivals, "years": sure.years, "name": called(least[0]), "share": roughly(least[1])}
        lines.append(tr("Cheapest of all {count} over {years} years: {name}, {share}", **of_all))
    return lines


def _odds_lines(sure: Likelihood) -> str:
    """A line for each odds, first the one that decides: of all over the years where they are others, else the lowest bills of all, else against the other."""
    bills = tr("Lower bills: {share}", share=roughly(sure.share))
    than = tr("Lower bills than {other}: {share}", other=called(sure.second), share=roughly(sure.share))
    later, lines = _later_odds(sure), []
    if sure.rivals > 2 and sure.of_all < sure.share:
        of_all = {"count": sure.rivals, "name": called(sure.first), "share": roughly(sure.of_all)}
        lines = [tr("Lowest bills of all {count}: {name}, {share}", **of_all)]
    least = sure.least_of_several
    alike = least is not None and (roughly(least[1]) == roughly(sure.share) or min(least[1], sure.share) > 0.95)
    if least is not None and (least[0] != sure.first or not alike):
        return "\n".join([*reversed(later), than, *lines])
    return "\n".join([*lines, than, *later] if lines else [bills, *later])


def _sure_card(result: Result, sure: Likelihood | None, *, waits: bool, heating_alone: bool) -> Card:
    if len(result.options) < 2:
        return Card("sure", tr("How likely"), "–", tr("one option, nothing to compare"))
    if sure is None:
        if waits:
            return Card("sure", tr("How likely"), "…", tr("being worked out, a few seconds"))
        return Card("sure", tr("How likely"), tr("not known"), tr("its scenarios could not be run"))
    low, high = map(round_money, sure.saving)
    words = _odds_lines(sure)
    if any(taps_sentence(result.option(name)) for name in (sure.first, sure.second)):
        words = f"{words}\n{tr('Hot water is not always hot enough: see the caution')}"
    elif heating_alone:
        words = f"{words}\n{tr('Heating alone; hot water comes on top')}"
    names = {"first": sure.first, "second": sure.second}
    ends = {"low": money(abs(low), result.currency), "high": money(abs(high), result.currency)}
    if low < 0 < high:
        text = tr(
            "{first} costs up to {low} more or up to {high} less a year than {second}",
            **names,
            **ends,
        )
    elif low < 0:
        text = tr("{first} costs {high} to {low} a year more than {second}", **names, **ends)
    else:
        text = tr("{first} saves {low} to {high} a year against {second}", **names, **ends)
    text = tr(
        "{text} (80% range of {count} scenarios)",
        text=text,
        count=f"{result.lowered.case.uncertainty.scenarios:,}",
    )
    return Card("sure", tr("How likely"), words, text)


def _sized(note: str, name: str, assumed: Mapping[str, str]) -> str:
    """A note on whether an option is large enough, with the sizes that were assumed for it."""
    return tr("{note}. Size assumed: {sizes}", note=note, sizes=assumed[name]) if assumed.get(name) else note


def _warmth_card(
    common: LoweredStudy, case: Case, result: Result, system: str, persona: str, assumed: Mapping[str, str]
) -> Card:
    warmest = warmth_of(result, persona)
    short = warmest.unmet
    if not short.hours:
        return Card(
            "warmth",
            tr("Hours too cold"),
            trn("{count} hour", "{count} hours", 0),
            _sized(tr("{name} keeps the house warm all year", name=warmest.name), warmest.name, assumed),
            "good",
        )
    option = next(item for item in case.options if item.name == warmest.name)
    coldest = show(coldest_room(common, option)[0], "temperature", system, 0)
    note = tr(
        "{name} · down to {coldest} in the house, {time}",
        name=warmest.name,
        coldest=coldest,
        time=when(result, short.worst_hour),
    )
    return Card(
        "warmth",
        tr("Hours too cold"),
        trn("{count} hour", "{count} hours", short.hours),
        _sized(note, warmest.name, assumed),
        "good" if carries(warmest) else "bad",
    )


def _gap_card(result: Result, system: str, assumed: Mapping[str, str]) -> Card:
    first, warm = result.options[0], able(result)
    worst = show_missing(first.unmet.worst_w, "power", system)
    if not first.unmet.hours:
        return Card(
            "gap",
            tr("Heat missing at worst"),
            tr("none"),
            _sized(tr("{name} is large enough", name=first.name), first.name, assumed),
            "good",
        )
    if warm and not closing(result).unmet.hours:
        closes = tr("{name} closes it", name=closing(result).name)
    elif others := [option for option in warm if option.name != first.name]:
        words = {"name": others[0].name, "short": show_missing(others[0].unmet.worst_w, "power", system)}
        closes = trn(
            "{name} lacks up to {short} in {count} hour",
            "{name} lacks up to {short} in {count} hours",
            others[0].unmet.hours,
            **words,
        )
    else:
        closes = tr("no option here closes it")
    return Card(
        "gap", tr("Heat missing at worst"), worst, _sized(f"{first.name} · {closes}", first.name, assumed), "bad"
    )


def _first_card(case: Case, result: Result) -> Card:
    best = shown(result)
    option = next(item for item in case.options if item.name == best.name)
    if not option.first_cost_given:
        return Card("first", tr("First cost"), tr("not given"), tr("{name} · add it on the Money page", name=best.name))
    value = money(option.first_cost_money - option.rebate_money, result.currency)
    known = [o for o in case.options if o.name != best.name and o.first_cost_given]
    if not known:
        return Card("first", tr("First cost"), value, best.name)
    warm = {warm_option.name for warm_option in able(result)}
    others = [o for o in known if o.name in warm] or known  # one that is too small is no alternative
    least = min(others, key=lambda o: o.first_cost_money - o.rebate_money)
    gap = (option.first_cost_money - option.rebate_money) - (least.first_cost_money - least.rebate_money)
    money_text = money(abs(gap), result.currency)
    if gap >= 0:
        note = tr("{name} · {cost} more than {other}", name=best.name, cost=money_text, other=least.name)
    else:
        note = tr("{name} · {cost} less than {other}", name=best.name, cost=money_text, other=least.name)
    return Card("first", tr("First cost"), value, note)


def _least(result: Result, name: str) -> str:
    """Of how many it emits least."""
    warm = len(able(result) or result.options)
    if warm == len(result.options):
        return tr("{name} · the least of all", name=name)
    if warm == 1:
        return tr("{name} · the only option warm enough", name=name)
    return tr("{name} · the least of those warm enough", name=name)


def _carbon_card(result: Result, system: str) -> Card:
    best = shown(result)
    least = min(able(result) or list(result.options), key=lambda option: option.co2_kg)
    if any(math.isnan(option.co2_kg) for option in result.options):
        return Card(
            "carbon", tr("Carbon"), tr("not known"), tr("Enter the CO2 of your electricity on the Prices page.")
        )
    tons = tr("metric tons") if system == "us" else "t"
    value = tr("{value} {tons} CO₂ a year", value=f"{best.co2_kg / 1000.0:,.1f}", tons=tons)
    if least.name == best.name:
        return Card("carbon", tr("Carbon"), value, _least(result, best.name), "good")
    return Card("carbon", tr("Carbon"), value, f"{best.name} · {least.name} {least.co2_kg / 1e3:,.1f} {tons}")
