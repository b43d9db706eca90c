"""Weather that this session may read: built-in samples and files opened in it, and no other file of the machine."""

from __future__ import annotations

from costsim.dashboard import state
from costsim.dashboard.budget import check_budget
from costsim.dashboard.registry import Answer
from costsim.simulation import load_weather, simulate
from costsim.study.case import case_from
from costsim.weather import Weather
from costsim.weather.named import named_weather


def computed(study: dict[str, object], name: str) -> Answer:
    """The answer to a study as typed.

    Raises
    ------
    CostsimError
        The study has faults, names a file that is not open here, or cannot be solved.
    """
    check_budget(study, name)
    case = case_from(study, file=name, files=state.files())
    weather = load_weather(case)
    return Answer(case, weather, simulate(case, weather))


def weather_named(name: str) -> Weather:
    """A weather of this session or a built-in one, by the name a study gives it.

    Raises
    ------
    InputError
        It is neither.
    """
    return named_weather(state.files(), name, "place.weather")
