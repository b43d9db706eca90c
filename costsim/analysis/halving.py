"""The smallest size that does, between one that falls short and one that does, with as few years run as can be."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeGuard

from costsim.analysis.sized_years import SizedYear

CLOSE = 1e-3
"""How near to the smallest size that does it is told, as a share of it."""
NEAR = CLOSE / 4.0
GUESSES = 6
"""How often an output is guessed from what is missing with a smaller one, before the rest is halved."""

Run = Callable[[float], SizedYear | None]
"""A year with a size; None for a size that cannot be, such as a burner below its smallest fire."""


def bears(year: SizedYear | None, hours: int) -> TypeGuard[SizedYear]:
    """Whether a year lacks heat in no more hours than are borne."""
    return year is not None and year.lacking_hours <= hours


Does = Callable[[float], bool]
"""Whether a size does."""


def told_by_unmet(run: Run, low: float, high: float, hours: int) -> Does:
    """Whether an output does, mostly without its year: none below one that falls short does, all above one that does do.

    What is missing in the worst hour that is not borne tells how much more output is wanted: a watt for a watt at least, and by the
    last two outputs that fell short how much in this plant.
    """
    bad, good = [low], [high]

    def tells(value: float) -> bool:
        borne = bears(run(value), hours)
        (good if borne else bad).append(value)
        return borne

    def enough() -> float | None:
        """Output by which nothing is missing that is not borne; None where the last that fell short does not tell."""
        last = run(bad[-1])
        missing = last.missing_w(hours) if last is not None else 0.0
        before = run(bad[-2]) if len(bad) > 2 else None
        fell = before.missing_w(hours) - missing if before is not None else 0.0
        wanted = missing * (bad[-1] - bad[-2]) / fell if fell > 0.0 else missing
        return bad[-1] + wanted if missing > 0.0 else None

    for _ in range(GUESSES):
        if run(bad[-1]) is None:  # below what can be made at all
            tells((bad[-1] + good[-1]) / 2.0)
            continue
        middle, first = enough(), len(bad) == 1
        if middle is None or not bad[-1] < middle * (1.0 - NEAR) < good[-1]:
            break
        short = not tells(middle * (1.0 - NEAR))
        again = middle if first and hours else enough()
        if short and again is not None and ((first and hours) or again - bad[-1] < CLOSE * again):
            above = again * (1.0 + NEAR)
            if above < good[-1] and tells(above):
                break

    def does(value: float) -> bool:
        middle = enough()
        if bad[-1] < value < good[-1] and middle is not None and value < middle * (1.0 - NEAR) < good[-1]:
            tells(middle * (1.0 - NEAR))  # one that most likely falls short too, and says more
        return tells(value) if bad[-1] < value < good[-1] else value >= good[-1]

    return does


def narrow(does: Does, run: Run, low: float, high: float, best: SizedYear, hours: int) -> tuple[float, SizedYear]:
    """Halve the span between a size that does not do and one that does."""
    typed = high
    while high - low > CLOSE * high:
        middle = (low + high) / 2.0
        low, high = (low, middle) if does(middle) else (middle, high)
    best_year = run(high) if high != typed else best
    assert bears(best_year, hours)
    return high, best_year
