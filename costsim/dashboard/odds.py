"""How likely the answer is, by the scenarios that every page of a session shares."""

from __future__ import annotations

from collections.abc import Callable

from costsim.dashboard.kept import kept, kept_runs
from costsim.dashboard.registry import Answer
from costsim.engine.batch import BatchResult
from costsim.errors import CostsimError
from costsim.study.case import Option
from costsim.views.verdict import Likelihood, likelihood


def likely(answer: Answer) -> Likelihood | None:
    """What is likely on a year's bills and over the years; None where nothing is compared, or the scenarios cannot be run."""

    def keep(option: Option, work: Callable[[], BatchResult]) -> BatchResult:
        return kept_runs(answer.case, answer.weather, option, work)

    def work() -> Likelihood | None:
        try:
            return likelihood(answer.case, answer.weather, answer.result, keep=keep)
        except CostsimError:
            return None

    return kept("likely", answer.case, answer.weather, work)
