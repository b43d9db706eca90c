"""The sun's and the cheap hours' share of the heat of all homes, in sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from costsim.portfolio.totals import short_column
from costsim.views.homes_totals import heat_shown
from costsim.views.tables import money
from costsim.words import tr

NEW_PEAK = 1.1
"""A peak over so many times the highest of options without cheap hours is a new one; a choice of ours."""


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
        lines += _saved_line(option, system) + _dearer_line(option, summary)
    if sun:
        lines.append(
            tr("Collectors are taken to be clean, unshaded and in order all year; in use they often give less.")
        )
    return lines


def _saved_line(option: Mapping[str, Any], system: str) -> list[str]:
    """What the sun spares of what is bought, what of its heat is lost, and that no first cost is in it."""
    saves = option.get("sun_saves")
    if saves is None:
        return []
    bought = ", ".join(
        tr("{share} of the {fuel}", share=f"{share:.1%}", fuel=tr(key.replace("_", " ")))
        for key, share in saves["bought"].items()
    )
    return [
        tr(
            "{option}: against {other}, the sun saves {bought}. It spares {saved} of other heat; the other {lost} makes up for what the tank"
            " loses. What collectors and tank cost first is taken off no saving here.",
            option=option["name"],
            other=saves["than"],
            bought=bought,
            saved=heat_shown(saves["kwh"], system),
            lost=heat_shown(max(0.0, saves["lost_kwh"]), system),
        )
    ]


def _dearer_line(option: Mapping[str, Any], summary: Mapping[str, Any]) -> list[str]:
    """That heat of cheap hours costs more than the cheapest that keeps all homes warm, and makes a new peak; nothing where it does neither."""
    if "cheap_hours" not in option.get("heat_shares", {}) or "all_homes" not in summary:
        return []
    coin, short = summary["currency"], short_column(summary["warm_at_most_hours_short"])
    bills = {row["option"]: row[f"bills [{coin}]"] for row in summary["all_homes"]}
    warm = [row["option"] for row in summary["all_homes"] if not row[short]]
    cheapest = min(warm, key=lambda name: bills[name], default=option["name"])
    more = bills[option["name"]] - bills[cheapest]
    lines = []
    if more > 0:
        lines.append(
            tr(
                "{option} costs all homes {cost} a year, {more} more than {other}, though its hours are cheap.",
                option=option["name"],
                cost=money(bills[option["name"]], coin),
                more=money(more, coin),
                other=cheapest,
            )
        )
    plain = [row["coincident_peak_kw"] for row in summary["options"] if "cheap_hours" not in row.get("heat_shares", {})]
    highest = max(option["peak_hours_highest_kw"], NEW_PEAK * max(plain, default=0.0))
    if option["coincident_peak_kw"] > highest:
        lines.append(
            tr(
                "{option} makes a new peak outside the grid's peak hours: {peak} kW at {time}, as all homes draw at the same time here.",
                option=option["name"],
                peak=f"{option['coincident_peak_kw']:,.0f}",
                time=option["coincident_peak_at"],
            )
        )
    return lines
