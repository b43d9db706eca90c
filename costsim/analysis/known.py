"""What searches share: a study lowered, an option's plant and the year that it gives as it stands, each made once while it is asked of.

They are told apart by which objects they are made of, never by what is in these: a study that is read again is made again.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from costsim.engine.batch import job_of, run_plant
from costsim.engine.lower import LoweredOption, LoweredStudy, lower_option, lower_study, option_study
from costsim.study.case import Case, Option
from costsim.weather import Weather
from costsim.words import spoken

MOST_STUDIES, MOST_OPTIONS = 4, 12
"""How many of each are remembered; a year of three sources has some 2 MB."""
P, Found = ParamSpec("P"), TypeVar("Found")


def remembered(most: int) -> Callable[[Callable[P, Found]], Callable[P, Found]]:
    """Have a function give again what it gave for the same objects, for so many of the last that it was asked for."""

    def around(make: Callable[P, Found]) -> Callable[P, Found]:
        known: dict[tuple[int, ...], tuple[Any, Found]] = {}  # with the objects, so that no other takes their place

        @wraps(make)
        def ask(*of: P.args, **named: P.kwargs) -> Found:
            key = tuple(map(id, of))
            found = known.get(key)
            if found is None:
                while len(known) >= most:
                    known.pop(next(iter(known)), None)
                known[key] = found = of, make(*of, **named)
            return found[1]

        return ask

    return around


@remembered(MOST_STUDIES)
def _study(case: Case, weather: Weather, language: str) -> LoweredStudy:
    return lower_study(case, weather)


def known_study(case: Case, weather: Weather) -> LoweredStudy:
    """The study as `lower_study` gives it."""
    return _study(case, weather, spoken())


@remembered(MOST_OPTIONS)
def known_plant(common: LoweredStudy, option: Option) -> tuple[LoweredStudy, LoweredOption]:
    """The study as an option sees it, and the option as the kernel takes it."""
    own = option_study(common, option)
    return own, lower_option(own, option)


known_job, known_run = remembered(MOST_OPTIONS)(job_of), remembered(MOST_OPTIONS)(run_plant)
