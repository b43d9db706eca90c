"""A price of each hour, from a file of one column, and a formula on it."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field, PrivateAttr

from costsim.errors import Fault, InputError
from costsim.files import check_lines
from costsim.study_files import NamesFile, StudyFiles
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.base import Item, TypedCharge, Usage
from costsim.tariffs.charges.tariff import Tariff
from costsim.tariffs.hours import ClockHours
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField
from costsim.units.quantity import Quantity, UnitError, read_quantity
from costsim.units.table import YEARS_H

MOST_BYTES = 2_000_000
FEB_29 = slice(59 * 24, 60 * 24)
PER_ENERGY = (-2, -1, 2, 0, 1)
EXAMPLE = (
    "a CSV with a column headed 'price [$/kWh]', one row an hour from 1 January, standard time; prices may be negative"
)


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """Prices (hours,) [money/J] of a whole year, and their currency."""

    per_j: Floats
    currency: str

    def of_year(self, n_hours: int) -> Floats:
        """Prices of a year of so many hours: 29 February is left out, or 28 February stands for it too."""
        if len(self.per_j) == n_hours:
            return self.per_j
        if len(self.per_j) > n_hours:
            return np.delete(self.per_j, FEB_29)
        return np.insert(self.per_j, FEB_29.start, self.per_j[FEB_29.start - 24 : FEB_29.start])


def read_series(raw: bytes, name: str) -> Series:
    """Read a year of hourly prices.

    Parameters
    ----------
    raw : bytes
        A CSV; the column headed ``price [MONEY/ENERGY]`` counts, others are left alone.
    name : str
        For messages.

    Raises
    ------
    InputError
        No such column, a value that is no number, or not a whole year.
    """
    text = raw.decode("utf-8-sig", errors="replace")
    check_lines(text, name, EXAMPLE)
    try:
        rows = [row for row in csv.reader(io.StringIO(text, newline="")) if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise InputError(Fault("", f"is not CSV ({error})", EXAMPLE, name)) from None
    headings = [cell.strip() for cell in rows[0]] if rows else []
    at = next(
        (i for i, heading in enumerate(headings) if heading.lower().startswith("price [") and heading.endswith("]")),
        None,
    )
    if at is None:
        raise InputError(Fault("", "has no column headed 'price [$/kWh]'", EXAMPLE, name))
    unit = headings[at][len("price [") : -1]
    try:
        in_unit = read_quantity(f"1 {unit}", PER_ENERGY)
    except UnitError as error:
        raise InputError(Fault("", f"the unit [{unit}] cannot be used: {error}", EXAMPLE, name)) from None
    if in_unit.dims != PER_ENERGY:
        raise InputError(Fault("", f"'{unit}' is no money for energy", EXAMPLE, name))
    if len(rows) - 1 not in YEARS_H:
        problem = f"{len(rows) - 1:,} prices are no whole year"
        raise InputError(Fault("", problem, "give one for each of 8,760 hours (8,784 of a leap year)", name))
    values = np.array([_number(row[at] if at < len(row) else "") for row in rows[1:]])
    wrong = np.flatnonzero(~np.isfinite(values))
    if len(wrong):
        text = rows[wrong[0] + 1][at] if at < len(rows[wrong[0] + 1]) else ""
        more = f", and {len(wrong) - 1} more" if len(wrong) > 1 else ""
        raise InputError(Fault(f"row {wrong[0] + 2}", f"'{text}' is not a price{more}", "write a number", name))
    per_j = values * in_unit.value
    per_j.flags.writeable = False
    return Series(per_j, in_unit.currency)


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


class HourlyPrice(TypedCharge, ClockHours):
    """Each hour's price from a file: times `factor`, plus `plus`, at least `floor`, at most `cap`. It comes on top of the energy price.

    Where hours are given it counts in them alone, so that two such charges can have two formulas.
    """

    example: ClassVar[dict[str, Any]] = {"kind": "hourly_price", "file": "prices.csv"}
    kind: Literal["hourly_price"] = "hourly_price"
    prices_energy: ClassVar[bool] = True
    file: Annotated[
        str,
        Field(title="File of hourly prices", description=f"Beside the study: {EXAMPLE}.", min_length=1),
        NamesFile("hourly prices"),
    ]
    factor: Annotated[float, Field(title="Factor on each price", ge=0, le=10)] = 1.0
    plus: Annotated[Quantity | None, QuantityField("price", "Added to each price", example="0.02 $/kWh")] = None
    cap: Annotated[
        Quantity | None, QuantityField("price", "Highest price of an hour", at_least=0, example="0.40 $/kWh")
    ] = None
    floor: Annotated[Quantity | None, QuantityField("price", "Lowest price of an hour", example="0 $/kWh")] = None
    _series: Series | None = PrivateAttr(default=None)

    def open_files(self, files: StudyFiles, key: str, file: str) -> Iterator[tuple[str, str]]:
        """Read the prices, and tell their currency."""
        raw = files.read(self.file, f"{key}.file", file=file, most=MOST_BYTES)
        self._series = read_series(raw, self.file)
        yield f"{key}.file", self._series.currency

    def hourly(self, tariff: Tariff, calendar: HourCalendar) -> Floats:
        """Price of each hour (n,) [money/J], without the tariff's factor."""
        if self._series is None:
            raise InputError(Fault("file", f"'{self.file}' was not read", "run the study from its file"))
        price = self._series.of_year(calendar.n_hours) * self.factor
        price = price + (tariff.fuel.per_j(self.plus) if self.plus is not None else 0.0)
        price = np.maximum(price, tariff.fuel.per_j(self.floor)) if self.floor is not None else price
        price = np.minimum(price, tariff.fuel.per_j(self.cap)) if self.cap is not None else price
        return np.asarray(price * self.hours().share(calendar))

    def rows(self, calendar: HourCalendar) -> list[Floats]:
        """The price of each hour, so that its product with energy is money, and its hours where they are not all."""
        price = self.hourly(Tariff("electricity", 0.0), calendar)
        return [price] if self.is_whole_year else [price, self.hours().share(calendar)]

    def n_rows(self, calendar: HourCalendar) -> int:
        """One, or two where it has hours of its own."""
        return 1 if self.is_whole_year else 2

    def items(self, usage: Usage) -> Iterator[Item]:
        """One line a month, at the mean of the hours' prices."""
        money = usage.price(usage.own_j[:, :, 0] * usage.tariff.energy_factor)
        joule = usage.total_j if self.is_whole_year else usage.own_j[:, :, 1]
        mean = np.divide(money, joule, out=np.zeros(np.broadcast_shapes(money.shape, joule.shape)), where=joule != 0)
        yield Item(self.label, joule, "J", mean, money, "energy")

    def price_per_j(self, tariff: Tariff, calendar: HourCalendar) -> Floats | float:
        """Each hour's price."""
        return self.hourly(tariff, calendar) * tariff.energy_factor
