"""The sun's and the cheap hours' share of the heat of all homes, in sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from costsim.views.homes_totals import heat_shown
from costsim.words import tr


def heat_share_lines(summary: Mapping[str, Any]) -> list[str]:
    """A sentence for each option with collectors or sources of cheap or controlled hours, and what collectors are taken to be; nothing without."""
    system, lines, sun = summary.get("units", "si"), [], False
    for option in summary["options"]:
        for key, each in option.get("heat_shares", {}).items():
            given = {"option": option["name"], "heat": heat_shown(each["kwh"], system), "share": f"{each['share']:.0%}"}
            if key == "sun":
                sun = True
                lines.append(tr("{option}: the sun gives {heat} a year, {share} of the heat of all sources.", **given))
            else:
                lines.append(
                    tr("{option}: {heat} a year, {share} of the heat, is made in cheap or controlled hours.", **given)
                )
    if sun:
        lines.append(
            tr("Collectors are taken to be clean, unshaded and in order all year; in use they often give less.")
        )
    return lines
