"""How much of the heat of all homes comes from the sun, and how much is made in cheap or controlled hours."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
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


def sun_saves(recipe: PortfolioPlan, at: int, options: Sequence[Mapping[str, Any]]) -> dict[str, Any] | None:
    """What the sun's heat spares an option of the same sources without collectors, and what of it is lost; None without such an option.

    Parameters
    ----------
    recipe : PortfolioPlan
    at : int
        Number of the option with collectors.
    options : sequence of mapping
        Of all options, each with `totals` and `heat_shares`.

    Returns
    -------
    dict or None
        `than`, the option without collectors; `kwh`, heat that its sources need not make; `lost_kwh`, the rest of the sun's heat;
        `bought`, the share of each service that is bought less.
    """
    sun = options[at]["heat_shares"].get("sun")
    rest = [source for source in recipe.options[at].option.sources if not source.collects_sun]
    same = [i for i, ready in enumerate(recipe.options) if i != at and [*ready.option.sources] == rest]
    if sun is None or not same:
        return None
    heats, bought = [], []
    for place in (same[0], at):
        totals, sheet = options[place]["totals"], recipe.options[place].sheet
        heats.append(math.fsum(totals[name] or 0.0 for name in recipe.columns[sheet.heat]) / KWH_J)
        amounts = (totals[name] or 0.0 for name in recipe.columns[sheet.used])
        bought.append(dict(zip(sheet.keys, amounts, strict=True)))
    kwh = heats[0] - (heats[1] - sun["kwh"])
    less = {key: 1.0 - bought[1].get(key, 0.0) / amount for key, amount in bought[0].items() if amount > 0}
    return {"than": options[same[0]]["name"], "kwh": kwh, "lost_kwh": sun["kwh"] - kwh, "bought": less}
