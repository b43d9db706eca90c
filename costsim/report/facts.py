"""What a source tells of its season, as a line of the calculation sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from costsim.words import tr

_FACT_UNITS = {"_kwh_m2": "kWh/m²", "_kwh": "kWh", "_kg": "kg", "_hours": "h", "_c": "°C", "_share": ""}


def fact_text(facts: Mapping[str, Any]) -> str:
    """What a source tells of its season, in words.

    Examples
    --------
    >>> fact_text({"loads": 546.0, "labor_hours": 182.0, "useful_kwh_m2": 336.1})
    'loads 546, labor 182 h, useful 336.1 kWh/m²'
    """
    texts = []
    for what, value in facts.items():
        ending = next((one for one in _FACT_UNITS if what.endswith(one)), "")
        amount = f"{value:,.1f}".removesuffix(".0") if isinstance(value, int | float) else str(value)
        texts.append(
            f"{tr(what.removesuffix(ending).replace('_', ' '))} {amount} {_FACT_UNITS.get(ending, '')}".strip()
        )
    return ", ".join(texts)
