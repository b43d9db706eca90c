"""What a set-back saves, in one sentence."""

from __future__ import annotations

from costsim.analysis.setback_saving import SetbackSaving
from costsim.views.answer import called
from costsim.views.rounding import apart, money
from costsim.words import tr, trn


def setback_sentence(saving: SetbackSaving | None, currency: str) -> str:
    """What the option costs a year with the set-backs and without them; empty where there is none."""
    if saving is None:
        return ""
    low, high, gap = apart(min(saving.cost, saving.cost_without), max(saving.cost, saving.cost_without))
    with_it, without = (low, high) if saving.cost <= saving.cost_without else (high, low)
    words = {
        "name": called(saving.option),
        "cost": money(with_it, currency),
        "without": money(without, currency),
        "gap": money(gap, currency),
    }
    if not saving.stores:
        words["gap"] = tr("at most {gap}", gap=words["gap"])
    if not gap:
        text = tr("Set-back: {name} costs about {cost} a year with it and without it", **words)
    elif with_it < without:
        text = tr(
            "Set-back: {name} costs about {cost} a year with it and {without} without it, so it saves {gap}", **words
        )
    else:
        words["gap"] = money(gap, currency)
        text = tr("Set-back: {name} costs about {cost} a year with it and {without} without it, {gap} more", **words)
    more = saving.hours - saving.hours_without
    if more > 0:
        text += trn(", with {count} more hour too cold", ", with {count} more hours too cold", more)
    if saving.stores:
        return tr("{text}; that floor and rooms cool and warm slowly is counted.", text=text)
    if saving.floor:
        return tr("{text}; a heavy floor cools and warms slowly, which is not counted and saves less.", text=text)
    return tr("{text}; a heavy house cools and warms slowly, which is not counted and saves less.", text=text)
