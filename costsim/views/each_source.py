"""Whether each source of a mix pays: what the option would cost without it, or how cold the house would be, in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.analysis.each_source import LessOne
from costsim.views.answer import called
from costsim.views.rounding import apart
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
    if not one.enough and one.hours_with:
        return tr(
            "{option}: without {source}, {hours} hours too cold instead of {before}.",
            **words,
            before=f"{one.hours_with:,}",
        )
    if not one.enough:
        return tr("{option}: without {source}, {hours} hours too cold.", **words)
    words |= {"rest": tr(" and ").join(one.rest), "cost": money(apart(one.cost, one.cost_with)[0], coin)}
    gap = apart(one.cost, one.cost_with)[2]
    if gap > 0:
        return tr(
            "{option}: {rest} alone would cost {cost} a year, {gap} less than with {source} beside it.",
            **words,
            gap=money(gap, coin),
        )
    if gap < 0:
        return tr(
            "{option}: {rest} alone would cost {cost} a year, {gap} more than with {source} beside it.",
            **words,
            gap=money(-gap, coin),
        )
    return tr("{option}: {rest} alone would cost the same, {cost} a year, as with {source} beside it.", **words)


def source_lines(found: Sequence[LessOne], coin: str) -> list[str]:
    """A sentence for each source of each mix."""
    return [source_sentence(one, coin) for one in found]


def unpaid_lines(found: Sequence[LessOne], coin: str) -> list[str]:
    """Those of sources that cost more than they save."""
    return [source_sentence(one, coin) for one in found if does_not_pay(one)]
