"""How much of the heat of all homes comes from the sun, and how much is made in cheap or controlled hours."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from costsim.portfolio.plan import PortfolioPlan
from costsim.units.quantity import KWH_J


def heat_shares(recipe: PortfolioPlan, at: int, totals: Mapping[str, float | None]) -> dict[str, Any]:
    """Heat [kWh/year] of collectors and of sources of cheap or controlled hours, and its share of what all sources give.

    Parameters
    ----------
    recipe : PortfolioPlan
    at : int
        Number of the option.
    totals : mapping
        Sums over homes, by weight, of the option's columns by their names.

    Returns
    -------
    dict
        `sun` and `cheap_hours`, each with `kwh` and `share`; without those of which the option has no source, or where it gives no heat.
    """
    ready = recipe.options[at]
    names = recipe.columns[ready.sheet.heat]
    heats = [totals[name] or 0.0 for name in names]
    whole = math.fsum(heats)
    shares: dict[str, Any] = {}
    for key in ("sun", "cheap_hours"):
        mine = [
            heat
            for heat, source in zip(heats, ready.option.sources, strict=True)
            if (source.collects_sun if key == "sun" else source.windows or source.utility_controlled)
        ]
        if mine and whole > 0:
            shares[key] = {"kwh": math.fsum(mine) / KWH_J, "share": math.fsum(mine) / whole}
    return shares
