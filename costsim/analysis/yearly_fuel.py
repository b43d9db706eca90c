"""What a year's fuel says of a house: the heat that it gave, by the efficiency of the plant that burns it over the season."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from costsim.results.result import OptionResult
from costsim.sources import Offer
from costsim.units.arrays import Floats
from costsim.units.quantity import HOUR_S
from costsim.units.table import THERM_J

HOT_WATER_J = 170 * THERM_J
"""What hot water takes of a fuel in a year with a storage water heater; value from memory, of the order of the yearly use on
EnergyGuide labels of gas water heaters in the US, for a household that draws less than the label's."""


def season_efficiency(now: OptionResult) -> float:
    """Heat to the house from all that an option takes in its year beside standby."""
    return now.delivered_j / math.fsum(source.input_j - source.standby_j for source in now.sources)


def heat_over_fuel_j(now: OptionResult, offers: Sequence[Offer]) -> tuple[Floats, Floats]:
    """Fuel of a year and the heat to the house from it (m,) [J], for houses that want this year's heat times more or less in each hour.

    Standby, and what other uses of the tank take, stay as they are; cycling is that of each hour's heat.
    """
    times = np.append(0.0, np.geomspace(1e-3, 1e4, 480))
    uses_j = math.fsum(use.heat_j - use.unmet_j for use in now.uses)
    part = now.delivered_j / (now.delivered_j + uses_j)
    fuel_j = np.zeros(len(times))
    for i, offer in enumerate(offers):
        # a fire burns what was loaded, used or not
        made_w = now.hourly.heat_w[i] + (now.hourly.dumped_w[i] if offer.burn_power_w else 0.0)
        fuel_j += [float(offer.input_w(made_w * (1.0 - part + more * part)).sum()) * HOUR_S for more in times.tolist()]
    return fuel_j, times * now.delivered_j


def heat_of_fuel_j(now: OptionResult, year_j: float, fuel_j: float) -> float:
    """Heat [J] that an option gives the house from `fuel_j` of a fuel of which its own year takes `year_j` [J].

    Notes
    -----
    With ``UA = heat / Σ max(T_b − T_out, 0)`` (degree-days with a balance point, ASHRAE Fundamentals, energy estimating) this is
    the heat loss of a house from its yearly use.
    """
    return fuel_j / year_j * now.delivered_j
