"""Carbon dioxide in words and data, also where the grid's factor is not known."""

from __future__ import annotations

import math

from costsim.physics.fuels import co2_kg
from costsim.results.result import Result, SourceSeason
from costsim.words import tr


def known(value: float) -> float | None:
    """A figure, or nothing where it is not known."""
    return None if math.isnan(value) else value


def own_co2_kg(result: Result, source: SourceSeason) -> float:
    """Of a source's heat alone [kg]: its fans and pumps stand with the others, their carbon in the row of their money."""
    return source.co2_kg - float(co2_kg(source.auxiliary_j, result.lowered.surroundings.co2_kg_per_j["electricity"]))


def carbon(mass_kg: float) -> str:
    """Carbon dioxide in metric tons, in every system of units; said where the grid's factor is missing.

    Examples
    --------
    >>> carbon(1234.4), carbon(float("nan"))
    ('1.23', 'not known')
    """
    return tr("not known") if math.isnan(mass_kg) else f"{mass_kg / 1e3:,.2f}"
