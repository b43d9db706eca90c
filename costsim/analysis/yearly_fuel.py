"""What a year's fuel says of a house: the heat that it gave, by the efficiency of the plant that burns it over the season."""

from __future__ import annotations

import math

from costsim.results.result import OptionResult
from costsim.units.table import THERM_J

HOT_WATER_J = 170 * THERM_J
"""What hot water takes of a fuel in a year with a storage water heater; value from memory, of the order of the yearly use on
EnergyGuide labels of gas water heaters in the US, for a household that draws less than the label's."""


def season_efficiency(now: OptionResult) -> float:
    """Heat to the house from all that an option takes in its year."""
    return now.delivered_j / math.fsum(source.input_j for source in now.sources)


def heat_of_fuel_j(now: OptionResult, year_j: float, fuel_j: float) -> float:
    """Heat [J] that an option gives the house from `fuel_j` of a fuel of which its own year takes `year_j` [J].

    Notes
    -----
    With ``UA = heat / Σ max(T_b − T_out, 0)`` (degree-days with a balance point, ASHRAE Fundamentals, energy estimating) this is
    the heat loss of a house from its yearly use.
    """
    return fuel_j / year_j * now.delivered_j
