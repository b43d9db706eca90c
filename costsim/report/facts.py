"""What a source tells of its season, as a line of the calculation sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from costsim.units.quantity import BTU_J, FOOT_M, KWH_J, POUND_KG, show
from costsim.words import tr

_US = {
    "_kwh_m2": (KWH_J / BTU_J / 1e3 * FOOT_M**2, "kBtu/ft²"),
    "_kwh": (KWH_J / BTU_J / 1e6, "MMBtu"),
    "_kg": (1.0 / POUND_KG, "lb"),
}
_SI = {"_kwh_m2": (1.0, "kWh/m²"), "_kwh": (1.0, "kWh"), "_kg": (1.0, "kg")}
_BOTH = {"_hours": (1.0, "h"), "_share": (1.0, "")}


def fact_text(facts: Mapping[str, Any], system: str) -> str:
    """What a source tells of its season, in words and the reader's units.

    Examples
    --------
    >>> facts = {"full_loads": 546.0, "labor_hours": 182.0, "useful_kwh_m2": 336.1, "wood_kg": 1000.0}
    >>> fact_text(facts, "si"), fact_text(facts, "us")
    ('full loads 546, labor 182 h, useful 336.1 kWh/m², wood 1,000 kg', 'full loads 546, labor 182 h, useful 106.5 kBtu/ft², wood 2,204.6 lb')
    """
    units = {**(_US if system == "us" else _SI), **_BOTH}
    texts = []
    for what, value in facts.items():
        ending = next((suffix for suffix in (*units, "_c") if what.endswith(suffix)), "")
        name = tr(what.removesuffix(ending).replace("_", " "))
        if ending == "_c":
            texts.append(f"{name} {show(value, 'temperature', system)}")
            continue
        factor, unit = units.get(ending, (1.0, ""))
        amount = (
            f"{value * factor:,.{0 if what == 'starts' else 1}f}".removesuffix(".0")
            if isinstance(value, int | float)
            else str(value)
        )
        texts.append(f"{name} {amount} {unit}".strip())
    return ", ".join(texts)
