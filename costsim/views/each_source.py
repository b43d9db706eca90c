"""Whether each source of a mix pays: what the option would cost without it, or how cold the house would be, in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.analysis.each_source import LessOne
from costsim.views.answer import called
from costsim.views.payback import years_text
from costsim.views.rounding import apart, round_money
from costsim.views.tables import money
from costsim.words import tr


def does_not_pay(one: LessOne) -> bool:
    """Whether the rest alone serves as well for less money a year."""
    return one.enough and apart(one.cost, one.cost_with)[2] > 0


def source_sentence(one: LessOne, coin: str) -> str:
    """What leaving one source out does to its option's bills, or to the house."""
    words = {"option": called(one.option), "source": one.source, "hours": f"{one.hours:,}"}
    if one.use_hours:
        words["hours"] = f"{one.use_hours:,}"
        return tr(
            "{option}: without {source}, hot water or another use of the tank is short in {hours} hours.", **words
        )
    if not one.enough:
        _, after, gap = apart(one.cost_with, one.cost)
        words |= {"before": f"{one.hours_with:,}", "cost": money(after, coin), "gap": money(abs(gap), coin)}
        if one.hours_with:
            text = tr("{option}: without {source}, {hours} hours too cold instead of {before}", **words)
        else:
            text = tr("{option}: without {source}, {hours} hours too cold", **words)
        if gap > 0:
            return tr("{text}, and {cost} a year, {gap} more.", text=text, **words)
        if gap < 0:
            return tr("{text}, and {cost} a year, {gap} less.", text=text, **words)
        return tr("{text}, and the same bills, {cost} a year.", text=text, **words)
    words |= {"rest": tr(" and ").join(one.rest), "cost": money(apart(one.cost, one.cost_with)[0], coin)}
    gap = apart(one.cost, one.cost_with)[2]
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
        return " ".join(part for part in (text, _bought(one, coin)) if part)
    return tr("{option}: {rest} alone would cost the same, {cost} a year, as with {source} beside it.", **words)


def _bought(one: LessOne, coin: str) -> str:
    """When a source that saves pays for its first cost, or what that may be at most where it is not known; empty where nothing is."""
    words: dict[str, str | int] = {"source": one.source, "years": one.years}
    if one.against and round_money(one.investment) > 0:
        words |= {"first": money(round_money(one.investment), coin), "against": called(one.against)}
        if one.payback is None:
            return tr(
                "It costs {first} more to buy than {against}, which it does not pay back within {years} years.", **words
            )
        return tr(
            "It costs {first} more to buy than {against}; its savings pay that back in {payback}.",
            **words,
            payback=years_text(one.payback),
        )
    if one.against or round_money(one.worth) <= 0:
        return ""
    return tr(
        "Over {years} years, adding {source} pays if it costs less than {worth} at the start.",
        **words,
        worth=money(round_money(one.worth), coin),
    )


def source_lines(each_less: Sequence[LessOne], coin: str) -> list[str]:
    """A sentence for each source of each mix."""
    return [source_sentence(one, coin) for one in each_less]


def unpaid_lines(each_less: Sequence[LessOne], coin: str) -> list[str]:
    """Those of sources that cost more than they save."""
    return [source_sentence(one, coin) for one in each_less if does_not_pay(one)]
