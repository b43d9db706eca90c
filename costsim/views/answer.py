"""The answer in one sentence, and the figures it is made of."""

from __future__ import annotations

from costsim.analysis.lifecycle import capital_verdict
from costsim.results.result import OptionResult, Result
from costsim.views.rounding import apart, round_money
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
    if "leading" not in result.told:  # a page asks some eight times
        result.told["leading"] = _leading(result)
    leader: OptionResult = result.told["leading"]
    return leader


def _leading(result: Result) -> OptionResult:
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
