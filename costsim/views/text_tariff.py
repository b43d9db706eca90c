"""What `tariff` and `compare --tariffs` print: a year of prices as a picture, a sample bill, a table of tariffs."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from costsim.analysis.tariff_choice import TariffChoice, winners
from costsim.study.prices import Price
from costsim.tariffs.bill import Bill, bill, hourly_price_per_j, house_profile_j
from costsim.tariffs.calendar import HourCalendar, short_months
from costsim.tariffs.rate_record import ImportedTariff
from costsim.units.arrays import Floats
from costsim.units.quantity import KWH_J
from costsim.views.tables import money, text_table
from costsim.words import tr

SIGNS = "123456789"
WIDTH = 110


def price_grid(price_per_j: Floats, calendar: HourCalendar, weekend: bool) -> Floats:
    """Mean price of each month and clock hour of weekdays or of Saturdays and Sundays (12, 24) [money/J]."""
    chosen = (calendar.weekday >= 5) == weekend
    at = (calendar.month.astype(int) - 1) * 24 + calendar.clock_hour.astype(int)
    sums = np.bincount(at[chosen], price_per_j[chosen], minlength=288)
    return np.asarray((sums / np.maximum(np.bincount(at[chosen], minlength=288), 1)).reshape(12, 24))


def picture(price_per_j: Floats, calendar: HourCalendar, unit_j: float, unit: str, currency: str) -> str:
    """A year of prices, a row a month and a column an hour, weekdays beside weekends, cheapest 1.

    Where there are more than nine prices each sign stands for a span of them.
    """
    grids = [np.round(price_grid(price_per_j, calendar, weekend) * unit_j, 6) for weekend in (False, True)]
    levels = np.unique(np.concatenate([grid.ravel() for grid in grids]))
    if len(levels) > len(SIGNS):
        edges = np.quantile(levels, np.linspace(0, 1, len(SIGNS) + 1))
        places = [np.clip(np.searchsorted(edges, grid, side="right") - 1, 0, len(SIGNS) - 1) for grid in grids]
        legend = [
            tr("{currency}{a} to {currency}{b}", currency=currency, a=f"{a:.4f}", b=f"{b:.4f}")
            for a, b in pairwise(edges)
        ]
    else:
        places = [np.searchsorted(levels, grid) for grid in grids]
        legend = [f"{currency}{level:.4f}" for level in levels]
    clock = "0     6     12    18    "
    lines = [tr("      {value}Saturday, Sunday", value=f"{'weekdays':26}"), f"      {clock}  {clock}".rstrip()]
    for month in range(12):
        rows = ["".join(SIGNS[place] for place in grid[month]) for grid in places]
        lines.append(f"{short_months()[month]:6}{rows[0]}  {rows[1]}")
    return "\n".join([*lines, *(f"{sign} {text}/{unit}" for sign, text in zip(SIGNS, legend, strict=False))])


def _added(bill: Bill, price: Price, key: str, system: str, currency: str) -> list[list[str]]:
    """The year's bill, its months added up by line."""
    rows = []
    for label in dict.fromkeys(line.label for line in bill.lines):
        lines = [line for line in bill.lines if line.label == label]
        quantity, amount, unit = sum(x.quantity for x in lines), sum(x.amount for x in lines), lines[0].unit
        much = f"{quantity:,.6g} {unit}"
        if unit == "J":
            sold, name = price.sold(key, quantity, system)
            much = f"{sold:,.1f} {name}"
        elif unit == "W":
            much = tr("{quantity} kW-months", quantity=f"{quantity / 1000.0:,.1f}")
        elif unit == "money":
            much = f"{currency}{quantity:,.2f}"
        rows.append([label, much, f"{currency}{amount:,.2f}"])
    return [*rows, [tr("the year"), "", f"{currency}{bill.total:,.2f}"]]


def text_tariff(
    price: Price, key: str, calendar: HourCalendar, energy_j: Floats, system: str, name: str, currency: str
) -> str:
    """Print a tariff: the year as a picture, and the bill of a sample year.

    Parameters
    ----------
    price : Price
    key : str
        Its table.
    calendar : HourCalendar
    energy_j : array (n,)
        Energy of the sample year [J].
    system : str
        ``"us"`` or ``"si"``.
    name : str
        What the sample is.
    currency : str
        In which money it is typed.
    """
    tariff = price.tariff(key)
    unit_j, unit = (KWH_J, "kWh") if price.fuel_name(key) == "electricity" else _natural(price, key, system)
    per_j = hourly_price_per_j(tariff, calendar)
    year_bill = bill(tariff, calendar, energy_j)
    total_kwh = float(energy_j.sum()) / KWH_J
    parts = [
        tr(
            "{key}: price of the next {unit} in each hour, with taxes; of tiers the first, without demand charges",
            key=key.replace("_", " "),
            unit=unit,
        ),
        picture(per_j, calendar, unit_j, unit, currency),
        tr("A sample bill: {name}, {total_kwh} kWh in the year", name=name, total_kwh=f"{total_kwh:,.0f}"),
        text_table([tr("line"), tr("quantity"), tr("amount")], _added(year_bill, price, key, system, currency)),
        tr(
            "By month: {m}",
            m=", ".join((f"{m} {currency}{x:,.2f}" for m, x in zip(short_months(), year_bill.by_month(), strict=True))),
        ),
    ]
    return "\n\n".join([*parts[:-1], textwrap.fill(parts[-1], WIDTH, subsequent_indent="  ")])


def _natural(price: Price, key: str, system: str) -> tuple[float, str]:
    amount, unit = price.sold(key, KWH_J, system)
    return KWH_J / amount, unit.removesuffix("s") if unit in ("therms", "cords") else unit


def sample_year(calendar: HourCalendar, kwh: float) -> Floats:
    """A household's electricity of a year in the plain shape of `house_profile_j` [J]."""
    return house_profile_j(kwh * KWH_J, calendar)


def text_import(imported: ImportedTariff, source: str) -> str:
    """Say what was imported and what was left out."""
    head = f"{imported.utility}: {imported.name}".strip(": ") or tr("a tariff without a name")
    rows = [textwrap.fill(text, WIDTH, initial_indent="  ", subsequent_indent="    ") for text in imported.left_out]
    left = (
        [tr("What the table cannot say, or leaves to you:"), *rows]
        if rows
        else [tr("The table says everything that the record says.")]
    )
    return "\n".join(
        [
            tr("# {head}, from {source}", head=head, source=source),
            *(f"# {line}" for text in left for line in text.splitlines()),
        ]
    )


def text_tariffs(choice: TariffChoice) -> str:
    """Print what each option costs under each tariff, and which rate the house should be on."""
    coin, rows = choice.currency, []
    for tariff, costs, wholes, hours in zip(
        choice.tariffs, choice.costs, choice.whole_bills, choice.unmet_hours, strict=True
    ):
        for option, cost, whole, short in zip(choice.options, costs, wholes, hours, strict=True):
            mark = "*" if choice.best(option) == tariff else ""
            rows.append([tariff, option, money(cost, coin), money(whole, coin), f"{short:,}", mark])
    table = text_table([tr("tariff"), tr("option"), tr("heating adds"), tr("all bills"), tr("unmet hours"), ""], rows)
    return "\n\n".join([_sentences(winners(choice), coin), table, tr(NOTE)])


NOTE = (
    "* the cheapest tariff of the option: what heating adds and what the house uses besides, taken together. First cost is not in"
    "\nthese figures."
)


def _sentences(best: Sequence[tuple[str, str, float]], coin: str) -> str:
    option, tariff, cost = min(best, key=lambda cheapest: cheapest[2])
    lines = [
        tr(
            "Cheapest to run: {option} on {tariff}, {cost} a year for heating.",
            option=option,
            tariff=tariff,
            cost=money(cost, coin),
        )
    ]
    names = {cheapest[1] for cheapest in best}
    lines.append(
        tr("Every option is cheapest on {tariff}.", tariff=tariff) if len(names) == 1
        else "; ".join(tr("{one} is cheapest on {one_2}", one=cheapest[0], one_2=cheapest[1]) for cheapest in best) + "."
    )  # fmt: skip
    return "\n".join(textwrap.fill(line, WIDTH) for line in lines)
