"""Winters of a record side by side: how cold each was, and how unusual the last one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from costsim.errors import Fault, InputError
from costsim.weather.model import BASE_C, Weather

FEWEST_WINTERS = 5
"""Winters besides the last that it takes to say how unusual that was; common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Winter:
    """One heating year: its name, such as 2016–17, its hours and its degree-days [K d]."""

    name: str
    weather: Weather
    degree_days_k_d: float
    coldest_c: float


@dataclass(frozen=True, slots=True)
class Unusual:
    """The last winter against those before it.

    `milder` of `others` winters had fewer degree-days. `mean_k_d` and `spread_k_d` are mean and standard deviation of
    the others. `one_in` is the return period of a winter at least as far from the mean on the same side, `colder` the side.
    """

    name: str
    degree_days_k_d: float
    milder: int
    others: int
    mean_k_d: float
    spread_k_d: float
    one_in: float
    colder: bool


def winters_from(named: Sequence[tuple[str, Weather]], base_c: float = BASE_C) -> list[Winter]:
    """Put the degree-days of each heating year beside it."""
    return [
        Winter(name, weather, weather.degree_days_k_d(base_c), float(weather.outdoor_c.min()))
        for name, weather in named
    ]


def left_out(named: Sequence[tuple[str, Weather]]) -> str:
    """Say which years between the first and the last winter are not whole; empty where none is missing.

    Examples
    --------
    >>> from costsim.weather.synthesis import synthesize
    >>> from dataclasses import replace
    >>> year = synthesize(monthly_mean_c=[0.0] * 12, latitude_deg=47.0)
    >>> left_out([("2010–11", replace(year, years=(2010, 2011))), ("2012–13", replace(year, years=(2012, 2013)))])
    'left out, since hours are missing: 2011–12'
    """
    firsts = {weather.years[0]: len(weather.years) for _, weather in named if weather.years}
    if not firsts:
        return ""
    missing = [year for year in range(min(firsts), max(firsts)) if year not in firsts]
    names = [f"{year}–{(year + 1) % 100:02d}" if max(firsts.values()) == 2 else str(year) for year in missing]
    return f"left out, since hours are missing: {', '.join(names)}" if names else ""


def how_unusual(winters: Sequence[Winter]) -> Unusual:
    """Say how unusual the last winter was.

    Parameters
    ----------
    winters : sequence of Winter
        In the order of time; the last is judged by the others.

    Raises
    ------
    InputError
        There are too few to judge by.

    Notes
    -----
    Degree-days of years are taken as normally distributed. With mean and standard deviation known from n winters only,
    ``(x - mean) / (s sqrt(1 + 1/n))`` follows Student's t with n - 1 degrees of freedom (prediction of a further
    observation, as in any textbook of statistics).

    Examples
    --------
    >>> from costsim.weather.synthesis import synthesize
    >>> year = synthesize(monthly_mean_c=[0.0] * 12, latitude_deg=47.0)
    >>> some = [Winter(str(at), year, 3000.0 + 100.0 * at, -10.0) for at in range(6)]
    >>> found = how_unusual(some)
    >>> found.milder, found.others, found.colder, round(found.one_in, 1)
    (5, 5, True, 12.6)
    """
    *before, last = winters
    if len(before) < FEWEST_WINTERS:
        what = f"{len(winters)} whole winter{'s were' if len(winters) != 1 else ' was'} found, and {FEWEST_WINTERS + 1} are the fewest to judge the last one by"
        raise InputError(Fault("", what, "add files of further years"))
    days = np.array([winter.degree_days_k_d for winter in before])
    mean, spread = float(days.mean()), float(days.std(ddof=1))
    away = last.degree_days_k_d - mean
    t = abs(away) / (spread * np.sqrt(1.0 + 1.0 / len(days))) if spread > 0.0 else np.inf if away else 0.0
    from scipy.special import stdtr

    beyond = float(stdtr(len(days) - 1, -t))
    return Unusual(
        name=last.name,
        degree_days_k_d=last.degree_days_k_d,
        milder=int((days < last.degree_days_k_d).sum()),
        others=len(days),
        mean_k_d=mean,
        spread_k_d=spread,
        one_in=1.0 / beyond if beyond > 0.0 else float("inf"),
        colder=away >= 0.0,
    )


def history_json(winters: Sequence[Winter], unusual: Unusual | None) -> dict[str, Any]:
    """Winters and the judgement of the last one as plain data, degree-days in K d."""
    rows = [
        {"name": winter.name, "degree_days_k_d": winter.degree_days_k_d, "coldest_c": winter.coldest_c}
        for winter in winters
    ]
    return {"base_c": round(BASE_C, 2), "winters": rows, "last": None if unusual is None else asdict(unusual)}
