"""What an amount of heat costs from each source at today's prices, in a sentence: a gallon and a kilowatt-hour made comparable."""

from __future__ import annotations

from costsim.results.result import Result
from costsim.units.quantity import to_display
from costsim.views.answer import called
from costsim.words import tr

HEAT_BOUGHT = 0.05
"""Least share of an option's heat that a source must give to be named: that of a backup's few cold starts would mislead."""


def heat_prices(result: Result) -> list[tuple[str, float]]:
    """Sources by name and what their heat costs [money/J], the cheapest first.

    A year's energy as billed, over the heat that it became: fixed charges, rent and first cost stay outside. A source of several
    options counts where its heat is cheapest; one whose energy is free, such as the sun, is left out.
    """
    least: dict[str, float] = {}
    for option in result.options:
        whole = sum(source.heat_j for source in option.sources)
        for source in option.sources:
            if source.cost > 0 and source.heat_j > HEAT_BOUGHT * whole:
                per_j = source.cost / source.heat_j
                least[source.name] = min(per_j, least.get(source.name, per_j))
    return sorted(least.items(), key=lambda pair: pair[1])


def heat_price_sentence(result: Result, system: str) -> str:
    """Say what heat costs from each source; empty where none is bought."""
    amount = tr("A million Btu of heat") if system == "us" else tr("A kilowatt-hour of heat")
    per_unit = 1.0 / to_display(1.0, "heat", system)
    digits = 0 if system == "us" else 2
    parts = [
        tr("{money} from {source}", money=f"{result.currency}{per_j * per_unit:,.{digits}f}", source=called(name))
        for name, per_j in heat_prices(result)
    ]
    if not parts:
        return ""
    each = tr("{first} and {last}", first=", ".join(parts[:-1]), last=parts[-1]) if len(parts) > 1 else parts[0]
    return tr("{amount} costs {each}, fixed charges aside.", amount=amount, each=each)
