"""Short names of mixtures in the published tables."""

from __future__ import annotations


def mixture(short: str) -> tuple[str, float]:
    """Fluid and mass fraction of a short name such as pg30."""
    if short == "water":
        return "water", 0.0
    return {"pg": "propylene_glycol", "eg": "ethylene_glycol"}[short[:2]], int(short[2:]) / 100
