"""What searches share: a study lowered, an option's plant and the year that it gives as it stands, made once for them all.

They are told apart by which objects they are made of, never by what is in these: a study that is read again is made again.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Any, TypeVar, TypeVarTuple

from costsim.engine.batch import job_of, run_plant
from costsim.engine.lower import LoweredOption, LoweredStudy, lower_plant, lower_study, option_study
from costsim.study.case import Case, Option
from costsim.weather import Weather
from costsim.words import spoken

MOST_STUDIES, MOST_OPTIONS = 4, 12
"""How many of each are remembered; an option of three sources has some 2 MB."""
Of = TypeVarTuple("Of")
Found = TypeVar("Found")


class _Same:
    """An object that is equal to itself alone."""

    __slots__ = ("it",)

    def __init__(self, it: Any) -> None:
        self.it = it

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.it is other.it

    def __hash__(self) -> int:
        return id(self.it)


def remembered(most: int) -> Callable[[Callable[[*Of], Found]], Callable[[*Of], Found]]:
    """Have a function give again what it gave for the very same objects, the last so many of them."""

    def around(make: Callable[[*Of], Found]) -> Callable[[*Of], Found]:
        known = lru_cache(most)(lambda *of: make(*(argument.it for argument in of)))

        @wraps(make)
        def ask(*of: *Of) -> Found:
            return known(*map(_Same, of))

        return ask

    return around


@remembered(MOST_STUDIES)
def _study(case: Case, weather: Weather, language: str) -> LoweredStudy:
    return lower_study(case, weather)


def known_study(case: Case, weather: Weather) -> LoweredStudy:
    """The study as `lower_study` gives it, in the language that is spoken."""
    return _study(case, weather, spoken())


@remembered(MOST_OPTIONS)
def known_plant(common: LoweredStudy, option: Option) -> tuple[LoweredStudy, LoweredOption]:
    """The study as an option sees it, and the option as the kernel takes it."""
    own = option_study(common, option)
    return own, lower_plant(own, option)


known_job, known_run = remembered(MOST_OPTIONS)(job_of), remembered(MOST_OPTIONS)(run_plant)
