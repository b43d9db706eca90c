"""How a year's fuel of each home was read, in sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from costsim.words import tr


def fuel_lines(summary: Mapping[str, Any]) -> list[str]:
    """How each column of yearly use is read; an option that today's heating may name only where it makes other heat of the fuel."""
    read = summary["loads"]["by_fuel"]
    usual = {
        (column["column"], column["fuel"], f"{column['efficiency']:.1%}") for column in read if not column["today"]
    }
    return [
        _fuel_line(column)
        for column in read
        if not column["today"] or (column["column"], column["fuel"], f"{column['efficiency']:.1%}") not in usual
    ]


def _fuel_line(column: Mapping[str, Any]) -> str:
    given = {"column": column["column"], "fuel": column["fuel"].replace("_", " "), "option": column["option"]}
    given["efficiency"] = f"{column['efficiency']:.1%}"
    if column["today"]:
        return tr(
            "{column}: where {today} names {option}, it turns {efficiency} of the {fuel} into heat over the year.",
            today=column["today"],
            **given,
        )
    return tr(
        "{column}: a year's {fuel} in {unit}, which gives a home's heat loss where no other column does; {option} turns"
        " {efficiency} of it into heat over the year in the study's own house.",
        unit=column["unit"],
        **given,
    )
