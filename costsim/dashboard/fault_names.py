"""Where a fault stands, in the words of the screen: "Heat pump with backup, Outdoor unit, Test points 2"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from costsim.dashboard.field_text import title_of
from costsim.dashboard.kinds import key_of, kind_of, model_of, models_of
from costsim.dashboard.mending import path_of
from costsim.errors import Fault
from costsim.study.case import Case
from costsim.units.fields import in_words
from costsim.views.wording import without_tables


def named_field(field: str, level: Any) -> str:
    """A key path by the labels that its fields have on the screen, and items of lists by their names.

    Parameters
    ----------
    field : str
        Key path as a fault gives it.
    data
        The study as typed.

    Examples
    --------
    >>> study = {"option": [{"name": "Both", "source": [{"kind": "heat_pump", "name": "Outdoor unit"}]}]}
    >>> named_field("option[1].source[1].outputs[2]", study)
    'Both, Outdoor unit, Heat at those temperatures, at full speed, number 2'
    >>> named_field("house.floor_area", {}), named_field("prices.natural_gas.energy", {})
    ('Heated floor area', 'Natural gas, Energy price')
    """
    words: list[str] = []
    model: type[BaseModel] | None = Case
    named: type[BaseModel] | None = None
    listed: tuple[str, type[BaseModel] | None, Mapping[str, type[BaseModel]]] | None = None
    path = path_of(field)
    for at, part in enumerate(path):
        level = level[part] if _holds(level, part) else None
        if isinstance(part, int):
            item = level if isinstance(level, Mapping) else {}
            label, model, kinds = listed or ("number", None, {})
            model, listed = kinds.get(str(item.get("kind")), model), None
            words.append(str(item.get("name") or getattr(model, "title", "") or f"{label} {part + 1}"))
            continue
        fields = (
            {key_of(name, model_field): model_field for name, model_field in model.model_fields.items()}
            if model
            else {}
        )
        model = named
        named = None
        if part not in fields:  # a name that somebody gave, such as that of a price table
            words.append(in_words(part))
            continue
        model_field, model = fields[part], None
        label, kind = title_of(model_field, part), kind_of(model_field)
        if kind == "tables":
            named = model_of(model_field)
        elif kind in ("models", "union") and at + 1 < len(path):
            listed = (label, model_of(model_field), models_of(model_field))
        else:
            model = model_of(model_field)
            if at or model is None or at + 1 == len(path):
                words.append(label)
    return ", ".join(words)


_GIVEN = re.compile(r"\b([a-z][a-z0-9_]*+) = ")
_NUMBER = re.compile(r"input should be a valid (integer|number), unable to parse string as an? \w+")
_DEGREES = re.compile(r"\bdeg(?=[CF]\b)")
_COMMAND = re.compile(r" \(costsim [a-z -]++\)")


def plain(text: str) -> str:
    """A sentence about a study file, in words of the screen.

    Examples
    --------
    >>> plain('add [prices.off_peak] with energy = "0.15 $/kWh"'), plain('add replacement_year = 15')
    ('add a price of off peak (Prices page) with energy "0.15 $/kWh"', 'add replacement year 15')
    >>> plain("the next size that is sold (costsim select)"), plain("add [[floor.loops]], or [floor.layout] with levels")
    ('the next size that is sold', 'add “Loops”, or “Layout” with levels')
    >>> plain('write it like "15 degF"')
    'write it like "15 °F"'
    >>> plain("'15 months' cannot be used; input should be a valid integer, unable to parse string as an integer")
    "'15 months' cannot be used; write a whole number"
    """
    text = _NUMBER.sub(
        lambda match: "write a whole number" if match[1] == "integer" else "write a number", without_tables(text)
    )
    text = _DEGREES.sub("°", text)
    return _COMMAND.sub("", _GIVEN.sub(lambda match: f"{match[1].replace('_', ' ')} ", text))


EXTREMES = {
    "place.design_outdoor": {
        "must be at least": "colder than any town on earth",
        "must be at most": "warmer than any day that needs heat",
    }
}
"""What lies beyond the limits of a field, in words."""


def said_of(fault: Fault) -> str:
    """What is wrong and what would be right, in words of the screen."""
    problem = fault.problem
    for limit, why in EXTREMES.get(fault.field, {}).items():
        problem = problem.replace(limit, f"is {why}; {limit}", 1)
    if not fault.remedy:
        return plain(problem)
    asked = problem.endswith("?")
    return plain(f"{problem} {fault.remedy[:1].upper()}{fault.remedy[1:]}" if asked else f"{problem}; {fault.remedy}")


def _holds(level: Any, part: str | int) -> bool:
    if isinstance(part, int):
        return isinstance(level, list | tuple) and part < len(level)
    return isinstance(level, Mapping) and part in level
