"""What a unit's label says of its efficiency against what a year of this house makes of it, and what a charge of wood gives."""

from __future__ import annotations

from costsim.results.result import SourceSeason
from costsim.sources import HeatSource
from costsim.units.quantity import HOUR_S, show
from costsim.words import tr

ALIKE = 0.005
"""Difference below which label and year are the same figure."""


def label_sentence(source: HeatSource, season: SourceSeason) -> str:
    """Hold the efficiency typed against that of the year, and say why it is less; empty where they agree."""
    typed = source.plate_efficiency()
    if not source.burns_fuel or typed is None or season.input_j <= 0.0:
        return ""
    real = season.heat_j / season.input_j
    if typed - real <= ALIKE:
        return ""
    words = {"label": f"{typed:.0%}", "year": f"{real:.0%}"}
    if source.condenses():
        return tr(
            "{label} on the label, {year} over the year with water as warm as your house needs: it comes back too warm for much of the"
            " flue gas to condense",
            **words,
        )
    return tr("{label} on the label, {year} over the year with short runs and standing by", **words)


def charge_sentence(source: HeatSource, system: str) -> str:
    """What a full charge of wood is, for how long and how strongly it burns, and what of that follows; empty for other kinds."""
    fire = source.hand_fired()
    if fire is None:
        return ""
    mass = show(fire.full_kg, "mass", system, 0)
    hours, power = f"{fire.burns_s / HOUR_S:.1f}", show(source.nameplate_w(), "power", system)
    text = tr("A full charge of {mass} gives {power} for {hours} h", mass=mass, power=power, hours=hours)
    if fire.follows == "output":
        return tr("{text}: the output follows from charge and burn time", text=text)
    if fire.follows == "charge":
        return tr("{text}: the charge follows from output and burn time", text=text)
    return tr("{text}: the burn time follows from output and charge", text=text)
