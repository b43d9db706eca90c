"""A circuit's copper in words."""

from __future__ import annotations

from costsim.physics.circuits import Circuit
from costsim.words import tr


def wire_text(circuit: Circuit) -> str:
    """Copper of a circuit with the column of the tables that it is from, and what cable of the other column must have."""
    wire = tr("{wire} copper for 75 °C insulation and terminals", wire=circuit.wire.name)
    if circuit.cable is None:
        return tr("{wire}; NM-B cable (60 °C column) is not made so large", wire=wire)
    return tr("{wire}; NM-B cable (60 °C column): {cable}", wire=wire, cable=circuit.cable.name)
