"""What the set-backs of a study save, computed once for a study."""

from __future__ import annotations

from costsim.analysis.setback_saving import setback_saving
from costsim.dashboard.kept import kept
from costsim.dashboard.registry import Answer
from costsim.views.answer import leading
from costsim.views.setback_words import setback_sentence


def setback_line(answer: Answer) -> str:
    """What the option that leads costs a year with the set-backs and without them; empty where there are none."""
    case, result = answer.case, answer.result
    saving = kept("set-back", case, answer.weather, lambda: setback_saving(result, leading(result).name))
    return setback_sentence(saving, case.currency)
