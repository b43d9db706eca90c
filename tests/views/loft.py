"""The loft, simulated once for the tests of a file."""

from __future__ import annotations

import functools
from typing import Any

import numpy as np

from costsim import load_weather, read_study, simulate
from costsim.analysis.uncertainty import uncertainty
from costsim.results.result import Result
from costsim.units.quantity import to_display


@functools.cache
def loft() -> tuple[Any, Any, Result]:
    """The loft: an electric boiler too small for it, two mixes that are not, one with curtailment."""
    case = read_study("net_loft")
    case = case.model_copy(update={"uncertainty": case.uncertainty.model_copy(update={"scenarios": 60})})
    weather = load_weather(case)
    return case, weather, simulate(case, weather)


@functools.cache
def many() -> Any:
    return uncertainty(*loft()[:2])


def by_name(figure: Any) -> dict[str, Any]:
    return {one.name: one for one in figure.data}


def shown(values: Any, dimension: str, system: str) -> list[float]:
    return [to_display(float(one), dimension, system) for one in np.atleast_1d(values)]
