"""Each home against what heats it today, in sentences: what a column says, which words are understood, what all would save."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from costsim.views.tables import money
from costsim.words import tr, trn


def today_lines(summary: Mapping[str, Any]) -> list[str]:
    """What heats the homes today, and which homes the study has no option for."""
    today = summary["today"]
    if today is None:
        pairs = tr("No option is marked today = true in the study; mark one, and each is compared with it alone.")
        return [pairs] if summary["pairs"] else []
    if not today["column"]:
        return [
            tr("Today: {option}, in all homes; what heats each could stand in a column Today.", option=today["option"]),
            *_all_today(summary),
        ]
    lines = []
    for answer in today["by_value"]:
        homes = trn("{homes} home", "{homes} homes", round(answer["homes"]), homes=f"{answer['homes']:,.6g}")
        value = answer["value"] or tr("(empty)")
        if answer["option"]:
            lines.append(
                tr("{value}: {homes}, today's option {option}.", value=value, homes=homes, option=answer["option"])
            )
        else:
            lines.append(tr("{value}: {homes} left out here: {why}.", value=value, homes=homes, why=answer["why"]))
    head = tr("Each home against its own heating of today, as {column} says:", column=today["column"])
    return [f"{head} {' '.join(lines)}", *_words_of_today(summary), *_all_today(summary)]


def _words_of_today(summary: Mapping[str, Any]) -> list[str]:
    """Which words for today's heating are understood; nothing where all are."""
    if all(answer["option"] or not answer["value"] for answer in summary["today"]["by_value"]):
        return []
    names = ", ".join(option["name"] for option in summary["options"])
    return [
        tr(
            "A cell can name an option ({names}) or a fuel that one option heats with alone: natural gas (gas, nat. gas), propane (LP),"
            " heating oil (oil, oil #2), electric (elec, electric baseboard), wood (cordwood), pellets; or heat pump, where one option is that.",
            names=names,
        )
    ]


def _all_today(summary: Mapping[str, Any]) -> list[str]:
    """What all homes with a known heating pay as heated today, and what each option would save them together."""
    today, coin = summary["today"], summary["currency"]
    if not today["rows"]:
        return []
    saves = (f"{row['option']} {money(row['saves_total'], coin)}" for row in today["rows"])
    left = summary["weight"] - today["homes"]
    out = trn(
        "{count} home, whose heating of today no option is, is in none of these figures.",
        "{count} homes, whose heating of today no option is, are in none of these figures.",
        round(left),
        count=f"{left:,.6g}",
    )
    return [
        tr(
            "As heated today, {homes} homes pay {cost} a year together. All of them by one option would save: {saves}; a minus costs more,"
            " and heat that is not delivered counts as saved.",
            homes=f"{today['homes']:,.6g}",
            cost=money(today["cost_total"], coin),
            saves="; ".join(saves),
        )
        + (f" {out}" if left > 1e-9 * summary["weight"] else ""),
        *_cold_today(summary),
    ]


def _cold_today(summary: Mapping[str, Any]) -> list[str]:
    """That heaters of today, all of the study's size, leave homes cold which they do not in truth; nothing where none does."""
    cold = summary["today"].get("homes_short", 0.0)
    if not cold or not summary.get("size_column"):
        return []
    sentence = trn(
        "Today's heater has the study's size in every home and leaves {count} home with over {most} unmet hours on paper. One that is there is as large as",
        "Today's heater has the study's size in every home and leaves {count} homes with over {most} unmet hours on paper. One that is there is as large as",
        round(cold),
        count=f"{cold:,.6g}",
        most=summary["warm_at_most_hours_short"],
    )
    return [
        sentence + tr(" its home needs, so what is paid today is too low here: choose sizes to each home's own load.")
    ]
