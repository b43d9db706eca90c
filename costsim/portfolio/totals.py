"""All homes together, a year: bills, carbon dioxide, each fuel in the unit it is sold in, who is cold; in all, and by group."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from costsim.errors import Fault, InputError
from costsim.files import may_be_formula
from costsim.physics.fuels import FUELS, sold_amount
from costsim.portfolio.home_facts import HOUSE_ALONE, Fact, fact_column, facts_of, shown_fact
from costsim.portfolio.plan import CO2, COST, SHORT_HOURS, PortfolioPlan, PreparedOption
from costsim.portfolio.quantiles import ExactSum
from costsim.portfolio.rows import is_number
from costsim.portfolio.store import FIRST, Store
from costsim.units.arrays import Floats
from costsim.units.quantity import KWH_J, to_display, unit_for

MOST_GROUPS, MOST_LISTED = 200, 50_000
NO_GROUP = "(empty)"
Row = dict[str, Any]


def total_row(recipe: PortfolioPlan, at: int, sums: Mapping[str, float], homes: float, cold: float, system: str) -> Row:
    """One option's row: what it is called, homes, and every total by its heading with its unit.

    Parameters
    ----------
    recipe : PortfolioPlan
    at : int
        Number of the option.
    sums : mapping
        Sums over homes, by weight, of the option's columns by their names.
    homes, cold : float
        Weight of all homes, and of those over the hours that a warm home may be short.
    system : str
        ``"us"`` or ``"si"``.
    """
    ready = recipe.options[at]
    place, most = ready.sheet.place, recipe.common.case.house.max_unmet_hours
    co2 = sums[recipe.columns[place(CO2)]]
    row: Row = {
        "option": ready.option.name,
        "homes": homes,
        f"bills [{recipe.case.currency}]": sums[recipe.columns[place(COST)]],
        "CO2 [metric tons]": None if math.isnan(co2) else co2 / 1e3,
    }
    for at, key in enumerate(ready.sheet.keys, ready.sheet.used.start):
        amount, unit = sold(recipe, key, system)
        row[f"{named(key)} [{unit}]"] = sums[recipe.columns[at]] * amount
    row[short_column(most)] = cold
    row["home-hours short [h]"] = sums[recipe.columns[place(SHORT_HOURS)]]
    return row


def short_column(most_hours: int) -> str:
    """Heading of the homes that are over the hours which a warm home may be short."""
    return f"homes over {most_hours} h short"


def named(key: str) -> str:
    """A service as people call it."""
    return key.replace("_", " ")


def sold(recipe: PortfolioPlan, key: str, system: str) -> tuple[float, str]:
    """How much of a service is in a kilowatt-hour, in the unit it is sold in, and that unit."""
    price = recipe.case.prices.get(key)
    fuel = price.fuel_name(key) if price is not None else key
    if fuel not in FUELS:
        return 1.0, "kWh"
    return sold_amount(fuel, KWH_J, system, price.content if price is not None else None)


class GroupSums:
    """Totals of the homes that have one text in a column of the planner's own; a home's text is taken as it stands."""

    def __init__(self, recipe: PortfolioPlan, column: str) -> None:
        self._recipe, self.column = recipe, column
        self._added = [place for ready in recipe.options for place in (*_places(ready.sheet.used), *_last(ready))]
        self._groups: dict[str, list[ExactSum]] = {}
        self._homes: dict[str, ExactSum] = {}
        self._cold: dict[str, list[ExactSum]] = {}

    def add(self, texts: Sequence[str], weights: Floats, values: Floats) -> None:
        """Add a part: texts and weights (homes,), and all columns (columns, homes)."""
        names, of = np.unique(np.array([text or NO_GROUP for text in texts], dtype=object), return_inverse=True)
        most = self._recipe.common.case.house.max_unmet_hours
        for number, name in enumerate(names.tolist()):
            mine = of == number
            if name not in self._groups:
                self._refuse_many(name)
                self._groups[name] = [ExactSum() for _ in self._added]
                self._homes[name], self._cold[name] = ExactSum(), [ExactSum() for _ in self._recipe.options]
            self._homes[name].add(weights[mine])
            for place, total in zip(self._added, self._groups[name], strict=True):
                total.add(values[place][mine] * weights[mine])
            for ready, total in zip(self._recipe.options, self._cold[name], strict=True):
                hours = values[ready.sheet.place(SHORT_HOURS)]
                total.add(weights[mine & (hours > most)])

    def _refuse_many(self, name: str) -> None:
        if len(self._groups) >= MOST_GROUPS:
            problem = f"'{self.column}' has more than {MOST_GROUPS} different values, such as '{name}'"
            raise InputError(Fault("--by", problem, "name a column that puts homes into groups, such as Utility"))

    def rows(self, system: str) -> list[Row]:
        """A row for each group and option, groups by name."""
        rows = []
        for name in sorted(self._groups):
            sums = {
                self._recipe.columns[at]: total.value for at, total in zip(self._added, self._groups[name], strict=True)
            }
            for at, cold in enumerate(self._cold[name]):
                row = total_row(self._recipe, at, sums, self._homes[name].value, cold.value, system)
                rows.append({"group": name, **row})
        return rows


def _places(columns: slice) -> range:
    return range(columns.start, columns.stop)


def _last(ready: PreparedOption) -> list[int]:
    return [ready.sheet.place(which) for which in (COST, SHORT_HOURS, CO2)]


def headings_of(rows: Sequence[Row]) -> list[str]:
    """All headings of some rows in their order, those of fuels that only some options use between the others."""
    headings: list[str] = []
    for row in rows:
        at = 0
        for name in row:
            if name in headings:
                at = headings.index(name) + 1
            else:
                headings.insert(at, name)
                at += 1
    return headings


def as_csv(rows: Sequence[Row]) -> str:
    """Rows as a CSV file for a spreadsheet; where an option has no such figure the cell is empty."""
    stream, headings = io.StringIO(), headings_of(rows)
    out = csv.writer(stream, lineterminator="\n")
    out.writerow([harmless(name) for name in headings])
    out.writerows([_cell(row.get(name)) for name in headings] for row in rows)
    return stream.getvalue()


def _cell(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.10g}" if isinstance(value, float) else harmless(str(value))


def harmless(text: str) -> str:
    """Text that a spreadsheet would run as a formula gets a quotation mark; numbers stay.

    Examples
    --------
    >>> harmless("=1+1"), harmless("-3"), harmless("gas"), harmless(" =1")
    ("'=1+1", '-3', 'gas', "' =1")
    """
    return f"'{text}" if may_be_formula(text) and not is_number(text) else text


def homes_csv(recipe: PortfolioPlan, store: Store, numbers: Sequence[int], system: str) -> str:
    """Every home with its totals, in the reader's units, for a spreadsheet; at most `MOST_LISTED` homes."""
    stream, written = io.StringIO(), 0
    out = csv.writer(stream, lineterminator="")
    scaled = [_heading(recipe, name, system) for name in recipe.columns]
    facts, coin = _told_facts(recipe), recipe.case.currency
    names = [shown_fact(fact, np.empty(0), coin, system)[0] for fact in facts]
    out.writerow([*FIRST, *map(harmless, (*store.kept, *names)), *(harmless(name) for name, _ in scaled)])
    line = ",%.10g" * (len(facts) + len(scaled)) + "\n"
    stream.write("\n")
    scales = np.array([scale for _, scale in scaled])[:, None]
    columns = ("row", *(fact_column(fact, coin) for fact in facts), *recipe.columns)
    for number in numbers:
        texts = store.texts(("home", *store.kept), number)
        ((weights, values),) = store.parts(columns, [number])
        own = [shown_fact(fact, row, coin, system)[1] for fact, row in zip(facts, values[1:], strict=False)]
        cells = np.array([*own, *(values[1 + len(facts) :] * scales)]).T.tolist()
        for row, weight, words, figures in zip(
            values[0].tolist(), weights.tolist(), zip(*texts, strict=True), cells, strict=True
        ):
            home, *kept = (harmless(word) for word in words)
            out.writerow([int(row), home, f"{weight:.10g}", *kept])
            stream.write(line % tuple(figures))
            written += 1
            if written >= MOST_LISTED:
                return stream.getvalue()
    return stream.getvalue()


def _told_facts(recipe: PortfolioPlan) -> list[Fact]:
    """What is told of each home itself; its bill without heating only where that is known."""
    case = recipe.case
    alone = case.other_electricity_known or recipe.own_use
    return [fact for fact in facts_of(recipe) if alone or fact[0] != HOUSE_ALONE]


def _heading(recipe: PortfolioPlan, name: str, system: str) -> tuple[str, float]:
    """A column's heading in the reader's units, and by what its figures are multiplied."""
    what, _, unit = name.removesuffix("]").rpartition(" [")
    if unit == "J":
        return f"{what} [{unit_for('heat', system)}]", to_display(1.0, "heat", system)
    if unit == "kWh" and not what.endswith(": unmet"):
        option, _, key = what.rpartition(": ")
        amount, own = sold(recipe, key, system)
        return f"{option}: {named(key)} [{own}]", amount
    if unit == "kWh":
        return f"{what} [{unit_for('heat', system)}]", to_display(KWH_J, "heat", system)
    if unit == "kW":
        return f"{what} [{unit_for('power', system)}]", to_display(1e3, "power", system)
    return name, 1.0
