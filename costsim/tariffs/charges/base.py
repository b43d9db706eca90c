"""What a charge is: items of a bill from a year's use, for one year with its lines or for many at once.

A charge is one object. `Charge.items` is the only place where it computes; `lines` and `amount` write the same items for a
person and add them up for many scenarios. A new charge is one file in this folder: a class with `kind`, registered by
a literal `kind`, is found by itself, can be typed as ``[[prices.NAME.charge]]``, and counts in bills, scenarios, break-even and portfolio.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

import numpy as np
from pydantic import Field

from costsim.physics.fuels import FUELS
from costsim.study_files import StudyFiles
from costsim.tariffs.calendar import HourCalendar
from costsim.units.arrays import Bools, Floats
from costsim.units.fields import StudyModel
from costsim.units.kinds import enter
from costsim.units.quantity import Quantity

if TYPE_CHECKING:
    from costsim.tariffs.charges.tariff import Tariff

POWER_PRICE, LONG = (-2, -1, 3, 0, 1), (0, 0, 1, 0, 0)
"""Money for power; kilowatt-hours for each kilowatt, which are hours."""
ITEM_GROUPS = ("energy", "fixed", "power", "relief", "delivery", "tax", "credit")
CHARGED, RELIEVED, MINIMUM, YEARLY, TAXED, TAXED_WHOLE, CREDITED = range(7)
"""Stages of a bill, in order: what is charged, reliefs, the minimum held against them, the year's own lines, taxes, tax on the whole, credits."""


@dataclass(frozen=True, slots=True)
class BillLine:
    """One line: `amount` is `quantity` times `rate`. `month` is 0 for a line of the whole year."""

    month: int
    label: str
    quantity: float
    unit: str
    rate: float
    amount: float
    group: str = ""

    @property
    def is_fixed(self) -> bool:
        """Whether it buys no energy: a charge, a rent, what is missing from a minimum, or a tax on one of them; its name says nothing."""
        return self.group == "fixed"


@dataclass(frozen=True, slots=True)
class Item:
    """One kind of line over a year: arrays (scenarios, 12) by month, or (scenarios, 1) for a line of the whole year.

    `rate` is broadcast against `quantity`. `group` is energy, fixed, power, relief, tax or credit.
    """

    label: str
    quantity: Floats
    unit: str
    rate: Floats | float
    amount: Floats
    group: str

    def __post_init__(self) -> None:
        """Refuse what would be added up wrongly.

        Raises
        ------
        ValueError
            An unknown group, or an amount that is not by scenario and month.
        """
        if self.group not in ITEM_GROUPS:
            raise ValueError(f"the group of '{self.label}' is '{self.group}'; use one of {', '.join(ITEM_GROUPS)}")
        if self.amount.ndim != 2 or self.amount.shape[1] not in (1, 12):
            raise ValueError(
                f"the amount of '{self.label}' has the shape {self.amount.shape}; make it (scenarios, 12), or (scenarios, 1) of a year"
            )

    @property
    def is_yearly(self) -> bool:
        """Whether it is a line of the whole year."""
        return bool(self.amount.shape[1] == 1)

    @property
    def is_fixed(self) -> bool:
        """Whether it buys no energy."""
        return self.group == "fixed"

    def lines(self) -> list[BillLine]:
        """The lines of the first scenario, by month."""
        months = [0] if self.is_yearly else range(1, 13)
        quantity, amount = self.quantity[0].tolist(), self.amount[0].tolist()
        if isinstance(self.rate, float | int):
            rates = [float(self.rate)] * len(months)
        else:
            rates = np.broadcast_to(np.atleast_2d(self.rate)[:1], (1, len(months)))[0].tolist()
        return [self.line(*row) for row in zip(months, quantity, rates, amount, strict=True)]

    def line(self, month: int, quantity: float, rate: float, amount: float) -> BillLine:
        """A line of it."""
        return BillLine(month, self.label, quantity, self.unit, rate, amount, self.group)


def once(label: str, unit: str, amount: Floats, group: str) -> Item:
    """An item that is due or not: its rate is its amount."""
    return Item(label, (amount != 0).astype(float), unit, amount, amount, group)


class UnitsError(ValueError):
    """A price or an amount by a unit in which the fuel is not sold; `key` says which."""

    def __init__(self, key: str, problem: str) -> None:
        super().__init__(problem)
        self.key = key


@dataclass(frozen=True, slots=True)
class FuelUnits:
    """How a fuel is sold: its natural unit and the heat in it, for prices per gallon, pound or cubic metre."""

    title: str = "electricity"
    natural_unit: str = "J"
    content_j_per_unit: float = 1.0
    typed_dims: tuple[int, ...] = ()

    @classmethod
    def of(cls, fuel: str, heat_content: Quantity | None = None) -> FuelUnits:
        """Units of a fuel, with the heat content of the bill where it is given."""
        known = FUELS[fuel]
        if heat_content is None:
            return cls(known.title, known.natural_unit, known.heat_content_j_per_unit)
        return cls(known.title, known.natural_unit, heat_content.value, heat_content.dims)

    def per_j(self, quantity: Quantity) -> float:
        """Turn an amount per energy, volume or mass of the fuel into one per joule of its higher heating value."""
        if quantity.dims[:4] == (-2, -1, 2, 0):
            return quantity.value
        return quantity.value / self._content(-quantity.dims[0], -quantity.dims[1])

    def joules(self, quantity: Quantity) -> float:
        """Turn an amount of fuel into joule, or an amount a year (or month) into joule a second."""
        if quantity.dims[:2] == (2, 1):
            return quantity.value
        return quantity.value * self._content(quantity.dims[0], quantity.dims[1])

    def _content(self, metres: int, kilograms: int) -> float:
        """Heat content per cubic metre or kilogram [J/m³ or J/kg]."""
        if self.typed_dims == (2 - metres, 1 - kilograms, -2, 0, 0):
            return self.content_j_per_unit
        if self.typed_dims and self.natural_unit != "J":
            raise ValueError("its heat_content is per volume and a price or amount is per mass, or the other way round")
        wanted = {(3, 0): "m3", (0, 1): "kg"}.get((metres, kilograms))
        known = next((fuel for fuel in FUELS.values() if fuel.title == self.title), None)
        if wanted is None or known is None or known.natural_unit != wanted:
            units = (
                dict.fromkeys(unit.removesuffix("s") for _, unit in (known.sold_in, known.sold_in_si)) if known else ()
            )
            raise ValueError(
                f"{self.title} is not sold that way" + (f", but by the {' or '.join(units)}" if units else "")
            )
        return known.heat_content_j_per_unit


@dataclass(slots=True)
class Usage:
    """A year's use as charges see it, and what has been charged so far; arrays lead with the scenario.

    `energy_j` is by month and period (scenarios, 12, periods + 1), the last outside every period. `own_j` holds the sums of the
    hourly rows that the charge at hand asked for (scenarios, 12, rows), `peaks_w` the highest powers on its meters (scenarios,
    meters, 12). `factor` (scenarios, 1) goes on energy prices, None for one; `owners` are
    the charges of the items, one for one; `yearly` is what charges came to that were summed at once.
    """

    tariff: Tariff
    calendar: HourCalendar
    energy_j: Floats
    own_j: Floats
    peaks_w: Floats
    factor: Floats | None = None
    items: list[Item] = field(default_factory=list)
    owners: list[Charge] = field(default_factory=list)
    yearly: Floats | float = 0.0

    @property
    def scenarios(self) -> int:
        """Number of scenarios: one year may be priced under many factors."""
        return max(len(self.energy_j), 1 if self.factor is None else len(self.factor))

    @property
    def total_j(self) -> Floats:
        """Energy of each month (scenarios, 12) [J]."""
        return np.asarray(self.energy_j.sum(axis=2))

    def price(self, per_j: Any) -> Any:
        """An energy price at the scenario's factor: one for all, by month (12,), or of homes with prices of their own (homes, 1)."""
        return per_j if self.factor is None else per_j * self.factor

    def extra_price(self, quantity: Quantity) -> Any:
        """A typed charge's price per joule at the scenario's factor and the tariff's own."""
        return self.price(self.tariff.fuel.per_j(quantity) * self.tariff.energy_factor)

    def money(self, groups: Sequence[str] = (), yearly: bool = False) -> Floats:
        """What has been charged so far of some groups, of all by default (scenarios, 12), or (scenarios, 1) of the year's lines."""
        total = np.zeros((self.scenarios, 1 if yearly else 12))
        for item in self.items:
            if item.is_yearly == yearly and (not groups or item.group in groups):
                total = total + item.amount
        return total

    def month_days(self) -> Floats:
        """Days of each billing month (12,)."""
        return self.tariff.month_days(self.calendar)

    def add(self, charge: Charge) -> None:
        """Write what a charge charges."""
        items = list(charge.items(self))
        self.items += items
        self.owners += [charge] * len(items)


class Charge:
    """Base of all charges. `stage` is where on the bill it stands; `items` what it charges.

    `at_once` says that `amount` is quicker than its items where nobody reads lines.
    """

    stage: ClassVar[int] = CHARGED
    at_once: ClassVar[bool] = False

    def order(self) -> float:
        """Where on the bill it stands: its stage, or a little before or after others of that stage."""
        return self.stage

    def items(self, usage: Usage) -> Iterable[Item]:
        """What is charged for a year's use.

        The same items in the same order whatever is used, those that come to nothing too, so that two bills can be subtracted.
        """
        raise AttributeError(f"{type(self).__name__} has no items")

    def rows(self, calendar: HourCalendar) -> list[Floats]:
        """Hourly rows (n,) by which it wants energy added up month by month."""
        return []

    def meters(self, calendar: HourCalendar) -> list[Bools]:
        """Hours (n,) of each meter whose highest power a month it wants."""
        return []

    def n_rows(self, calendar: HourCalendar) -> int:
        """Number of `rows`."""
        return len(self.rows(calendar))

    def n_meters(self, calendar: HourCalendar) -> int:
        """Number of `meters`."""
        return len(self.meters(calendar))

    def price_per_j(self, tariff: Tariff, calendar: HourCalendar) -> Floats | float:
        """What it adds to the price of an hour's next joule [money/J]."""
        return 0.0

    def relief_per_j(self, tariff: Tariff, calendar: HourCalendar, energy_per_j: Floats) -> Floats | float:
        """What it takes off an hour's next joule, of an energy price with all that adds to it (n,) [money/J]."""
        return 0.0

    def lines(self, usage: Usage) -> list[BillLine]:
        """Its lines on the bill of the first scenario."""
        return [line for item in self.items(usage) for line in item.lines()]

    def amount(self, usage: Usage) -> Floats:
        """What it comes to in a year (scenarios,) [money]."""
        total = np.zeros(usage.scenarios)
        for item in self.items(usage):
            total = total + item.amount.sum(axis=1)
        return total


KINDS: dict[str, type[TypedCharge]] = {}
"""Charges that can be typed, by kind; each enters itself when its class is made."""


def parts_between(amount: Floats, ends: Iterable[Floats | float], before: Floats | float = 0.0) -> Iterator[Floats]:
    """The part of an amount that lies in each tier or step, one after the other, of `ends` that rise; `before` fills them first.

    Examples
    --------
    >>> [float(part) for part in parts_between(np.array(700.0), [500.0, 600.0, np.inf])]
    [500.0, 100.0, 100.0]
    >>> [float(part) for part in parts_between(np.array(700.0), [500.0, np.inf], before=400.0)]
    [100.0, 600.0]
    """
    start: Floats | float = 0.0
    for end in ends:
        yield np.maximum(np.minimum(before + amount, end) - np.maximum(before, start), 0.0)
        start = end


def rise(ends: Iterable[float]) -> bool:
    """Whether each end of a step or tier is higher than the one before."""
    return all(b > a for a, b in pairwise(ends))


class TypedCharge(StudyModel, Charge):
    """Base of charges that are typed as ``[[prices.NAME.charge]]``; `example` is one as typed, with its kind.

    `part` says whether the supplier or the network bills it. `prices_energy` says that a table with it needs no energy price beside it.
    """

    example: ClassVar[dict[str, Any]] = {}
    prices_energy: ClassVar[bool] = False
    name: Annotated[str, Field(title="Name on the bill", max_length=60)] = ""
    part: Annotated[
        str, Field(title="Part of the bill", description="supply or delivery, where the bill says.", max_length=30)
    ] = ""

    @property
    def due_unused(self) -> bool:
        """Whether it is due, or comes off the bill, whether or not anything is used: no money of heating where the service is there anyway."""
        return False

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        """A class with a literal `kind` is a charge from now on; one without is a common base of several.

        Raises
        ------
        TypeError
            Something that every charge must say is missing, or the kind's name is taken.
        """
        kind_field = cls.model_fields.get("kind")
        if kind_field is None:
            return
        missing = [
            text
            for good, text in (
                (cls.example.get("kind") == kind_field.default, "an example with its kind"),
                (cls.items is not Charge.items, "items(usage)"),
            )
            if not good
        ]
        if missing:
            raise TypeError(f"{cls.__name__} lacks {'; '.join(missing)}")
        enter(KINDS, [str(kind_field.default)], cls)

    @property
    def label(self) -> str:
        """Its name on the bill."""
        name = self.name or str(getattr(self, "kind", "charge")).replace("_", " ")
        return f"{self.part}: {name}" if self.part else name

    def open_files(self, files: StudyFiles, key: str, file: str) -> Iterator[tuple[str, str]]:
        """Read the files that it names; gives where money stands in them and in which currency."""
        return iter(())

    def names(self) -> Iterator[str]:
        """What its lines may be called by others: label, part of the bill, own name."""
        yield from filter(None, (self.label, self.part, self.label.rpartition(": ")[2]))

    def counted(self) -> Sequence[str]:
        """Names of lines, groups or parts of the bill that it goes on, which must be there."""
        return ()


def check_units(model: StudyModel, fuel: FuelUnits) -> None:
    """Refuse a price or an amount by a unit in which the fuel is not sold.

    Raises
    ------
    UnitsError
        With the key, what was typed and the fuel's name.
    """
    for key, quantity in _quantities(model):
        if quantity.dims in (POWER_PRICE, LONG) or (quantity.per and quantity.dims[4]) or key == "heat_content":
            continue
        try:
            if quantity.dims[4]:
                fuel.per_j(quantity)
            else:
                fuel.joules(quantity)
        except ValueError as error:
            raise UnitsError(key, f"'{quantity.text}': {error}") from None


def _quantities(model: StudyModel, path: str = "") -> Iterator[tuple[str, Quantity]]:
    """Every price and amount of a charge with its key, those of its tiers too."""
    for name, known in type(model).model_fields.items():
        value = getattr(model, name)
        if not value or not isinstance(value, tuple | Quantity | StudyModel):
            continue
        key = f"{path}{known.alias or name}"
        for at, entry in enumerate(value if isinstance(value, tuple) else (value,), 1):
            if isinstance(entry, Quantity):
                yield key, entry
            elif isinstance(entry, StudyModel):
                yield from _quantities(entry, f"{key}[{at}]." if isinstance(value, tuple) else f"{key}.")
