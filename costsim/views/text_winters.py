"""Winters side by side, as a terminal shows them."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.analysis.winters import WinterTable
from costsim.units.quantity import show
from costsim.views.tables import money, text_table
from costsim.weather.history import Unusual, Winter
from costsim.words import tr, trn


def _days(value: float, system: str) -> str:
    return f"{value * (1.8 if system == 'us' else 1.0):,.0f}"


def _unit(system: str) -> str:
    return "°F·d" if system == "us" else "K·d"


def printed_winter_table(table: WinterTable, system: str) -> str:
    """Print cost and hours too cold of each option by winter, then the one-in-ten and the worst."""
    names = [option.name for option in table.options]
    heads = [tr("winter"), tr("degree-days [{system}]", system=_unit(system)), tr("coldest"), *names]
    rows = [
        [
            row.name,
            _days(row.degree_days_k_d, system),
            show(row.coldest_c, "temperature", system),
            *(f"{money(option.cost, table.currency)}, {option.unmet_hours:,} h" for option in row.options.values()),
        ]
        for row in table.rows
    ]
    coin = table.currency
    figures = [
        [
            option.name,
            money(option.mean_cost, coin),
            money(option.one_in_ten_cost, coin),
            f"{money(option.worst_cost, coin)} ({option.worst_cost_winter})",
            f"{option.one_in_ten_unmet_hours:,.0f} h",
            f"{option.worst_unmet_hours:,} h"
            + (f" ({option.worst_unmet_winter})" if option.worst_unmet_winter else ""),
        ]
        for option in table.options
    ]
    over_all = [tr("option"), tr("mean cost"), tr("1 in 10"), tr("worst"), tr("unmet, 1 in 10"), tr("unmet, worst")]
    notes = [tr("note: {note}", note=note) for note in table.notes]
    return "\n\n".join(
        [
            trn(
                "{count} winter: cost of a year, and hours in which an option cannot meet the load",
                "{count} winters: cost of a year, and hours in which an option cannot meet the load",
                len(table.rows),
            ),
            text_table(heads, rows),
            text_table(over_all, figures),
            *(["\n".join(notes)] if notes else []),
        ]
    )


def printed_history(winters: Sequence[Winter], unusual: Unusual | None, why: str, system: str) -> str:
    """Print how cold each winter of a record was, and how unusual the last one."""
    mean = sum(winter.degree_days_k_d for winter in winters) / max(len(winters), 1)
    rows = [
        [
            winter.name,
            _days(winter.degree_days_k_d, system),
            f"{winter.degree_days_k_d / mean - 1:+.1%}" if mean else "",
            show(winter.coldest_c, "temperature", system),
        ]
        for winter in winters
    ]
    table = text_table(
        [
            tr("winter"),
            tr("degree-days below 65 °F [{system}]", system=_unit(system)),
            tr("against the mean"),
            tr("coldest hour"),
        ],
        rows,
    )
    parts = [table, why, "" if unusual is None else unusual_words(unusual, system)]
    return "\n\n".join(part for part in parts if part)


def unusual_words(unusual: Unusual, system: str) -> str:
    """Say how unusual the last winter was, in one or two sentences."""
    unit = _unit(system)
    side = "cold" if unusual.colder else "mild"
    than = tr("colder than {milder} of the {others} before it", milder=unusual.milder, others=unusual.others)
    period = tr("more than 1,000") if unusual.one_in > 1000 else f"{unusual.one_in:,.0f}"
    ordinary = unusual.one_in < 4
    head = tr(
        "The winter of {name} had {degree_days_k_d} {unit}: {than}.",
        name=unusual.name,
        degree_days_k_d=_days(unusual.degree_days_k_d, system),
        unit=unit,
        than=than,
    )
    second = (
        tr("It was an ordinary winter")
        if ordinary
        else tr(
            "About one winter in {period} is as {side} as that or {value}",
            period=period,
            side=side,
            value=tr("colder") if unusual.colder else tr("milder"),
        )
    )
    rest = tr(
        "(mean {mean_k_d} {unit}, standard deviation {spread_k_d} {unit})",
        mean_k_d=_days(unusual.mean_k_d, system),
        unit=unit,
        spread_k_d=_days(unusual.spread_k_d, system),
    )
    return f"{head} {second} {rest}."
