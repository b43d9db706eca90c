"""The answer in one sentence, and the figures it is made of."""

from __future__ import annotations

from costsim.analysis.lifecycle import capital_verdict
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.views.rounding import apart, round_money
from costsim.views.tables import money
from costsim.words import tr, trn


def ranked(result: Result) -> list[OptionResult]:
    """Options that carry the house, cheapest first, and then the others by unmet."""
    return sorted(result.options, key=lambda o: (not o.keeps_warm, _worth(o)))


def pair(result: Result) -> tuple[OptionResult, OptionResult] | None:
    """The two options that the answer compares: the best, and what heats the house today.

    The next best takes the place of today's heating where the study does not name it, where it is the best itself, or
    where it leaves the house cold; None where there is one option only.
    """
    order, today = ranked(result), result.lowered.case.today
    now = [option for option in order[1:] if today is not None and option.name == today.name and option.keeps_warm]
    return (order[0], (now or order[1:])[0]) if len(order) > 1 else None


def leading(result: Result) -> OptionResult:
    """The option that a verdict leads with: over the study period the cheapest that keeps the house warm, first costs in it.

    While a first cost of them is missing, or where the years make no difference, the cheapest to run; where none is warm, what comes closest.
    """
    order = ranked(result)
    warm = [option.name for option in order if option.keeps_warm]
    later = capital_verdict(result.lowered.case, result, warm[0], warm) if len(warm) > 1 else None
    return result.option(later.cheapest_over_years) if later is not None and round_money(later.saving) else order[0]


def closing(result: Result) -> OptionResult:
    """The option that closes what the first one lacks: the one that leads, or where that is cold in some hours another without one."""
    lead = leading(result)
    return next((option for option in (lead, *ranked(result)) if option.keeps_warm and not option.unmet.hours), lead)


def warmth_of(result: Result, persona: str) -> OptionResult:
    """The option whose cold hours stand on the card: of an installer what is there, the first, else the one that leads."""
    return result.options[0] if persona == "installer" else leading(result)


def about(result: Result, option: OptionResult) -> float:
    """A year's cost as sentences and cards round it: of the two that are compared, so that it agrees with their difference."""
    first, second = pair(result) or (option, option)
    costs = apart(first.cost_total, second.cost_total)
    return costs[0] if option is first else costs[1] if option is second else round_money(option.cost_total)


def about_gap(result: Result) -> float:
    """What the second of the pair costs more a year than the first, as the figures of `about` give it."""
    both = pair(result)
    return apart(both[0].cost_total, both[1].cost_total)[2] if both else 0.0


def named(result: Result, name: str) -> str:
    """An option's name inside a sentence, which says too where it is what heats the house today."""
    today = result.lowered.case.today
    return (
        tr("{name} (today's heating)", name=called(name)) if today is not None and today.name == name else called(name)
    )


def _worth(option: OptionResult) -> float:
    return option.cost_total if option.keeps_warm else float(option.unmet.energy_j)


def called(name: str) -> str:
    """An option's name inside a sentence: in quotation marks where it holds a comma of its own.

    Examples
    --------
    >>> called("Natural gas"), called("Wood, electric by night")
    ('Natural gas', '“Wood, electric by night”')
    """
    return f"“{name}”" if "," in name else name


def capital_clause(case: Case, result: Result, running: str) -> str:
    """Say which option costs less over the years where first cost changes the decision; empty where it does not.

    `running` is the option that the sentence before calls cheaper to run.
    """
    able = [option.name for option in result.options if option.keeps_warm]
    verdict = capital_verdict(case, result, running, able)
    if verdict is None or not round_money(verdict.saving):
        return ""
    over, run, gap = (money(cost, result.currency) for cost in apart(verdict.costs[1], verdict.costs[0], 3))
    return tr(
        "; but with first cost and all payments of {years} years {cheapest_over_years} costs {gap}"
        " less ({over} against {run} for {running}), so first cost decides",
        years=verdict.years,
        cheapest_over_years=called(verdict.cheapest_over_years),
        gap=gap,
        over=over,
        run=run,
        running=called(running),
    )


def cost_sentence(result: Result, case: Case | None = None) -> str:
    """Say which option is cheapest among those that carry the house, and by how much.

    With the study, it says too where first cost changes the decision.
    """
    order = ranked(result)
    able = [o for o in order if o.keeps_warm]
    if not able:
        return tr("None of these options keeps the house warm; {name} comes closest.", name=called(order[0].name))
    if len(able) == 1:
        hours = able[0].unmet.hours
        alone = tr("is the only option that keeps the house warm") if len(order) > 1 else tr("keeps the house warm")
        if hours and len(order) > 1:
            alone = trn(
                "is the only option with so few hours too cold ({count}) that it counts as warm",
                "is the only option with so few hours too cold ({count}) that it counts as warm",
                hours,
            )
        elif hours:
            alone += tr(" but for {hours} hours", hours=hours)
        return tr(
            "{name} {alone}, at about {cost_total} a year.",
            name=called(able[0].name),
            alone=alone,
            cost_total=money(about(result, able[0]), result.currency),
        )
    able = list(pair(result) or able)
    gap = about_gap(result)
    capital = capital_clause(case, result, able[0].name) if case is not None else ""
    to_run = tr(" to run") if capital else ""
    cheap, dear = (named(result, option.name) for option in able)
    if gap == 0:
        return tr(
            "{cheap} and {dear} cost the same{to_run} at today's prices{capital}.",
            cheap=cheap,
            dear=dear,
            to_run=to_run,
            capital=capital,
        )
    by = tr("by about {gap} a year", gap=money(gap, result.currency))
    return tr(
        "{cheap} is cheaper{to_run} than {dear} at today's prices, {by}{capital}.",
        cheap=cheap,
        to_run=to_run,
        dear=dear,
        by=by,
        capital=capital,
    )


def cold_zone(option: OptionResult) -> str:
    """Which zone of the house the cold hours of an option lie in, to follow their number; empty where no one zone is coldest."""
    zone = option.coldest_zone
    if zone is None:
        return ""
    if zone.unmet_hours >= option.unmet.hours:
        return tr(" in {zone}", zone=zone.name)
    return tr(" ({hours} of them in {zone})", zone=zone.name, hours=f"{zone.unmet_hours:,}")


def taps_sentence(option: OptionResult) -> str:
    """In how many hours hot water is short, or the tank alone too cool for it; empty where neither is."""
    taps = [use for use in option.uses if use.kind == "hot_water"]
    short = max((use.unmet_hours for use in taps), default=0)
    cool = max((use.cool.hours for use in taps if use.cool is not None), default=0)
    name = called(option.name)
    parts = []
    if short:
        parts.append(
            trn(
                "{name}: hot water too cool for {count} hour.",
                "{name}: hot water too cool for {count} hours.",
                short,
                name=name,
            )
        )
    if cool:
        parts.append(
            trn(
                "{name}: the tank alone is too cool for hot water for {count} hour.",
                "{name}: the tank alone is too cool for hot water for {count} hours.",
                cool,
                name=name,
            )
        )
    return " ".join(parts)
