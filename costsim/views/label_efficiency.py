"""What a unit's label says of its efficiency against what a year of this house makes of it."""

from __future__ import annotations

from costsim.results.result import SourceSeason
from costsim.sources import HeatSource
from costsim.words import tr

ALIKE = 0.005
"""Difference below which label and year are the same figure."""


def label_sentence(source: HeatSource, season: SourceSeason) -> str:
    """Hold the efficiency typed against that of the year, and say why it is less; empty where they agree."""
    typed = getattr(source, "efficiency_share", None)
    if not source.burns_fuel or typed is None or season.input_j <= 0.0:
        return ""
    real = season.heat_j / season.input_j
    if typed - real <= ALIKE:
        return ""
    words = {"label": f"{typed:.0%}", "year": f"{real:.0%}"}
    if getattr(source, "condensing", False):
        return tr("{label} on the label, {year} over the year with water as warm as your house needs", **words)
    return tr("{label} on the label, {year} over the year with short runs and standing by", **words)
