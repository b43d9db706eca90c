"""Whether each source of a mix pays: what the option would cost without it, or how cold the house would be, in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.analysis.each_source import LessOne
from costsim.views.answer import called
from costsim.views.rounding import apart, round_money, years_text
from costsim.views.tables import money
from costsim.words import tr


def does_not_pay(less: LessOne) -> bool:
    """Whether the rest alone serves as well for less money a year."""
    return less.enough and apart(less.cost, less.cost_with)[2] > 0


def source_sentence(less: LessOne, coin: str) -> str:
    """What leaving one source out does to its option's bills, or to the house."""
    words = {"option": called(less.option), "source": less.source, "hours": f"{less.hours:,}"}
    if less.use_hours:
        words["hours"] = f"{less.use_hours:,}"
        return tr(
            "{option}: without {source}, hot water or another use of the tank is short in {hours} hours.", **words
        )
    if not less.enough:
        _, after, gap = apart(less.cost_with, less.cost)
        words |= {"before": f"{less.hours_with:,}", "cost": money(after, coin), "gap": money(abs(gap), coin)}
        if less.hours_with:
            text = tr("{option}: without {source}, {hours} hours too cold instead of {before}", **words)
        else:
            text = tr("{option}: without {source}, {hours} hours too cold", **words)
        if gap > 0:
            return tr("{text}, and {cost} a year, {gap} more.", text=text, **words)
        if gap < 0:
            return tr("{text}, and {cost} a year, {gap} less.", text=text, **words)
        return tr("{text}, and the same bills, {cost} a year.", text=text, **words)
    words |= {"rest": tr(" and ").join(less.rest), "cost": money(apart(less.cost, less.cost_with)[0], coin)}
    gap = apart(less.cost, less.cost_with)[2]
    if gap > 0:
        return tr(
            "{option}: {rest} alone, with the tank and all else of this option, would cost {cost} a year, {gap} less than with {source} beside it.",
            **words,
            gap=money(gap, coin),
        )
    if gap < 0:
        text = tr(
            "{option}: {rest} alone, with the tank and all else of this option, would cost {cost} a year, {gap} more than with {source} beside it.",
            **words,
            gap=money(-gap, coin),
        )
        return " ".join(part for part in (text, _bought(less, coin)) if part)
    return tr("{option}: {rest} alone would cost the same, {cost} a year, as with {source} beside it.", **words)


def _bought(less: LessOne, coin: str) -> str:
    """When a source that saves pays for its first cost, or what that may be at most where it is not known; empty where nothing is."""
    words: dict[str, str | int] = {"source": less.source, "years": less.years}
    if less.against and round_money(less.investment) > 0:
        words |= {"first": money(round_money(less.investment), coin), "against": called(less.against)}
        if less.payback is None:
            return tr(
                "It costs {first} more to buy than {against}, which it does not pay back within {years} years.", **words
            )
        return tr(
            "It costs {first} more to buy than {against}; its savings pay that back in {payback}.",
            **words,
            payback=years_text(less.payback, less.rate),
        )
    if less.against or round_money(less.worth) <= 0:
        return ""
    return tr(
        "Over {years} years, adding {source} pays if it costs less than {worth} at the start.",
        **words,
        worth=money(round_money(less.worth), coin),
    )


def source_lines(each_less: Sequence[LessOne], coin: str) -> list[str]:
    """A sentence for each source of each mix."""
    return [source_sentence(less, coin) for less in each_less]


def unpaid_lines(each_less: Sequence[LessOne], coin: str) -> list[str]:
    """Those of sources that cost more than they save."""
    return [source_sentence(less, coin) for less in each_less if does_not_pay(less)]
