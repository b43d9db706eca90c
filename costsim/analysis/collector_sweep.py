"""What the next square metre of collector is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from pydantic import ValidationError

from costsim.analysis.sized_years import SizedOption
from costsim.analysis.sizing import named_option, place_of
from costsim.errors import Fault, InputError
from costsim.results.solar import solar_fraction
from costsim.study.case import Case
from costsim.study.changed import changed
from costsim.weather import Weather

SWEEP = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0)
"""Collector areas tried, in areas of the study's own."""


@dataclass(frozen=True, slots=True)
class CollectorStep:
    """One step of a collector sweep: area, useful and dumped heat [J], solar share, and the worth of the last square metre."""

    area_m2: float
    useful_j: float
    dumped_j: float
    share: float
    cost: float
    next_useful_j_m2: float | None
    next_saved_m2: float | None


def sweep_areas_m2(case: Case, option: str) -> list[float]:
    """Collector areas to try, from a quarter to twice what the option holds [m²]; an `InputError` where it has none."""
    source = named_option(case, option).sources[_solar(case, option)]
    return [share * (source.collector_area_m2() or 0.0) for share in SWEEP]


def _solar(case: Case, option: str) -> int:
    """Which source of an option is solar."""
    solar = [i for i, source in enumerate(named_option(case, option).sources) if source.collects_sun]
    if not solar:
        raise InputError(
            Fault("option", f"'{option}' has no solar source", 'add a source with kind = "solar"', case.file)
        )
    return solar[0]


def marginal_collector_area(
    case: Case, weather: Weather, *, option: str, areas_m2: list[float]
) -> tuple[CollectorStep, ...]:
    """Price the next square metre of collector.

    Parameters
    ----------
    case, weather
    option : str
        An option with a solar source.
    areas_m2 : list of float
        Rising areas to try.

    Returns
    -------
    tuple of CollectorStep
        Useful heat and money saved for each square metre of the step before; None for the first.

    Raises
    ------
    InputError
        The option has no collectors.
    """
    at = place_of(case, option)
    solar = _solar(case, option)
    sized = SizedOption(case, weather, at)
    path, texts = ("option", at, "source", solar, "area"), [f"{area!r} m2" for area in areas_m2]
    source, typed = case.options[at].sources[solar], case.typed["option"][at]["source"][solar]
    try:
        years = sized.with_sources(solar, [type(source).model_validate({**typed, "area": text}) for text in texts])
    except ValidationError:  # told by the whole study, below
        years = None
    if years is None:
        years = [sized.year(changed(case, (path, text)), hours=False) for text in texts]
    steps: list[CollectorStep] = []
    for area, year, paid in zip(areas_m2, years, sized.bills(years), strict=True):
        useful, cost = float(year.heat_j[solar]), sum(bill.total for bill in paid.values())
        others_j = float(year.heat_j.sum()) - useful
        last = steps[-1] if steps else None
        wider = area - last.area_m2 if last else 0.0
        steps.append(
            CollectorStep(
                area,
                useful,
                float(year.dumped_j[solar]),
                solar_fraction(useful, others_j) or 0.0,
                cost,
                (useful - last.useful_j) / wider if last else None,
                (last.cost - cost) / wider if last else None,
            )
        )
    return tuple(steps)


def as_json(steps: Sequence[CollectorStep]) -> list[dict[str, Any]]:
    """A sweep as plain data, in SI."""
    return [asdict(step) for step in steps]
