"""Words of the trade in a sentence each, shown where a card, a heading or a column uses them."""

from __future__ import annotations

from costsim.words import tr

WORDS = {
    "hours too cold": "Hours of the year in which the heating cannot hold the set-point (unmet hours).",
    "unmet hours": "Hours of the year in which the heating cannot hold the set-point.",
    "short by up to": "The most heat that is missing in any hour, as power.",
    "largest gap": "The most heat that is missing in any hour, as power.",
    "cheapest to run": "The lowest yearly bills among the options that keep the house warm, at today's prices.",
    "cheapest over": "First cost and all later payments, in today's money. “With interest”: that of Money, which the sum could earn.",
    "life-cycle cost": "First cost and all later payments, counted in today's money.",
    "how likely": "In how many scenarios of winters, loads, prices and efficiencies the first option costs less.",
    "first cost": "What it costs to buy and install, after the rebate.",
    "carbon": "Carbon dioxide from burning fuel and generating electricity, in a year.",
    "next home like this": "What one more home like this costs to heat, and adds to the grid's load in its highest hour.",
    "coincident peak": "The highest hour of all homes' electricity taken together.",
    "design load": "Heat loss of the house on a design day, which only 1% of hours are colder than.",
    "break-even": "The price at which two options cost the same.",
    "payback": "Years until the savings have paid for the higher first cost, with the interest typed on Money.",
    "derate": "What lies between the nameplate and what the unit delivers here, such as altitude.",
    "rated": "What the nameplate says.",
    "available": "What the unit can deliver here, after altitude, water temperature and flow.",
    "delivered": "Heat that reaches the house.",
    "balance point": "Outdoor temperature above which the house needs no heat.",
    "set-point": "Indoor temperature that the thermostat is set to.",
    "demand charge": "A price for the highest power of a month, on top of the energy.",
    "fixed charge": "Due each month whether anything is used or not.",
    "head": "Pressure that the pump must overcome.",
    "curtailment": "Hours in which the utility switches the source off.",
    "full-load hours": "Hours at full output that would give the season's heat.",
    "solar share": "Part of the heat that the sun covers.",
}
"""By lower-case word; a longer heading that begins with or holds one is explained by it."""


OF_CARD = {
    "warmth": "hours too cold", "gap": "short by up to", "run": "cheapest to run", "years": "cheapest over",
    "sure": "how likely", "first": "first cost", "carbon": "carbon", "home": "next home like this", "peak": "coincident peak",
}  # fmt: skip
"""Word of the glossary for each card, whatever language its label is in."""


def explained(text: str) -> str | None:
    """The sentence for the first word of the glossary that a heading holds; None where it holds none.

    Examples
    --------
    >>> explained("unmet hours"), explained("option") is None
    ('Hours of the year in which the heating cannot hold the set-point.', True)
    """
    lowered = text.lower()
    return next((tr(words) for word, words in WORDS.items() if tr(word).lower() in lowered), None) if lowered else None
