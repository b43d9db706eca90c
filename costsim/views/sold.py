"""Sizes of sources that nobody typed: above the load, as they are sold, and what thin air takes from a burner."""

from __future__ import annotations

from typing import Any

from costsim.physics.combustion import altitude_derate
from costsim.sources import KINDS
from costsim.study.selection import common_sizes
from costsim.units.quantity import BTU_J, HOUR_S, parse

MARGIN = 1.15
"""How much more than the design load a source that heats alone is sized for; common practice, no source."""


def sized(load_w: float, share: float, system: str, *, electric: bool = False) -> str:
    """A size above a share of the design load, as text: whole kilowatts, or thousands of Btu an hour by fives.

    Examples
    --------
    >>> sized(10_000.0, 1.0, "us"), sized(10_000.0, 1.0, "us", electric=True)
    ('40 kBtu/h', '12 kW')
    """
    return as_sold(load_w * share * MARGIN, system, electric=electric)


def as_sold(watts: float, system: str, *, electric: bool = False) -> str:
    """An output rounded up to an electric boiler that is sold, or to thousands of Btu an hour by fives; else to whole kilowatts, as text.

    Examples
    --------
    >>> as_sold(9_100.0, "us", electric=True), as_sold(14_200.0, "us"), as_sold(9_100.0, "si")
    ('12 kW', '50 kBtu/h', '10 kW')
    >>> as_sold(31_200.0, "us", electric=True)  # larger than the common ones
    '32 kW'
    """
    if electric:
        sold = (size.value for size in common_sizes()["electric boiler output"])
        watts = next((size_w for size_w in sold if size_w >= watts * (1.0 - 1e-9)), watts)
    if system == "us" and not electric:
        steps = max(2, -int(-watts * HOUR_S / BTU_J / 1e3 // 5))
        return f"{5 * steps} kBtu/h"
    return f"{max(1, -int(-watts * (1.0 - 1e-9) / 1e3 // 1))} kW"


def in_thin_air(source: dict[str, Any], altitude_m: float, system: str) -> None:
    """Take a burner so much larger on its plate as the thin air of its place takes away; other sources stay as they are.

    Examples
    --------
    >>> boiler, element = ({"kind": kind, "output": "55 kBtu/h"} for kind in ("gas", "electric"))
    >>> in_thin_air(boiler, 1182.0, "us"), in_thin_air(element, 1182.0, "us")  # 3,878 ft: 15.5 % less
    (None, None)
    >>> boiler["output"], element["output"]
    ('70 kBtu/h', '55 kBtu/h')
    """
    left = altitude_derate(altitude_m=altitude_m)
    if left < 1.0 and "output" in source and "altitude_rule" in KINDS[source["kind"]].model_fields:
        source["output"] = as_sold(parse(source["output"], "power").value / left, system)
