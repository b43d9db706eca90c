"""Whether somebody reads US or SI units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def default_units(study: Mapping[str, Any]) -> str:
    """Take the units in which most of the house was typed.

    Examples
    --------
    >>> default_units({"house": {"indoor_temperature": "70 degF", "floor_area": "1180 ft2"}})
    'us'
    >>> default_units({"house": {"indoor_temperature": "21 degC"}})
    'si'
    """
    return "us" if "F" in str(study.get("house", {}).get("indoor_temperature", "F")) else "si"
