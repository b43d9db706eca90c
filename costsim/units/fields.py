"""Fields that people type: text with a unit in, SI float inside, one plain message when it is wrong.

`QuantityField` is put beside a field's type; it carries title, help, dimension and limits, from which messages,
forms, the JSON Schema and the README's tables are made.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from costsim.units import quantity as reading
from costsim.units.quantity import DIMENSIONS, Quantity, UnitError, parse, read_quantity, to_display, unit_for
from costsim.units.table import YEAR_S

_SUFFIX = re.compile(
    r"_(share_per_year|j_m2k|w|w_m2|w_k|w_m2k|w_m2k2|w_mk|m2k_w|m|m2|m3|m3_s|m3_year|kg|s|c|k|j|pa|v|a|deg|share|per_j|per_w|per_month|per_year"
    r"|per_m2|per_s|money|j_year|kg_per_j)$"
)


def file_key(field_name: str) -> str:
    """Take the unit off a field's name to get its key in a study file.

    Examples
    --------
    >>> file_key("floor_area_m2"), file_key("loss_w_k"), file_key("name")
    ('floor_area', 'loss', 'name')
    """
    return _SUFFIX.sub("", field_name)


# Quantities that can be meant per energy, per volume or per mass of a fuel: an example, and the dimensions that fit.
OPEN: dict[str, tuple[str, tuple[tuple[int, ...], ...]]] = {
    "price": ("0.128 $/kWh", ((-2, -1, 2, 0, 1), (-3, 0, 0, 0, 1), (0, -1, 0, 0, 1))),
    "amount": ("200 gal", ((2, 1, -2, 0, 0), (3, 0, 0, 0, 0), (0, 1, 0, 0, 0))),
    "amount_per_year": ("300 gal/year", ((2, 1, -3, 0, 0), (3, 0, -1, 0, 0), (0, 1, -1, 0, 0))),
    "money_by_time": ("0.45 $/day", ((0, 0, -1, 0, 1),)),
    "money_by_power": ("9 $/kW", ((-2, -1, 3, 0, 1), (-2, -1, 2, 0, 1))),
    "tier": ("10 kWh/day", ((2, 1, -3, 0, 0), (3, 0, -1, 0, 0), (0, 1, -1, 0, 0), (0, 0, 1, 0, 0))),
    "heat_content": ("1036 Btu/ft3", ((-1, 1, -2, 0, 0), (2, 0, -2, 0, 0))),
}


LARGEST: dict[str, float] = {
    "area": 1e6,
    "duration": 10 * YEAR_S,
    "electric_power": 1e9,
    "emission": 1e-5,
    "energy_per_year": 1e16,
    "flow": 0.1,
    "head": 5e6,
    "heat_loss_rate": 1e6,
    "money": 1e10,
    "money_by_time": 1e9,
    "money_per_mass": 1e4,
    "money_per_month": 1e8,
    "money_per_power": 1e3,
    "money_per_year": 1e9,
    "power": 1e9,
    "small_power": 1e6,
    "temperature": 150.0,
    "volume": 1e5,
}
"""Largest value in SI of each dimension that a house, a street or their bills can have, where a field knows no closer limit."""


@dataclass(frozen=True, slots=True)
class QuantityField:
    """What a measured field means, how it is read and within which limits.

    Parameters
    ----------
    dimension : str
        Key of `costsim.units.DIMENSIONS`, or a key of `OPEN` for what depends on the fuel.
    title, help : str
        Label and one sentence for people.
    above, at_least, at_most : float, optional
        Limits in SI (degree Celsius for temperatures).
    example, usual : str and tuple of float, optional
        What would be right, and SI limits beyond which a page asks; the dimension's own by default.
    """

    dimension: str
    title: str
    help: str = ""
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    example: str = ""
    usual: tuple[float, float] | None = None

    @property
    def sample(self) -> str:
        """An example of a right value."""
        known = OPEN[self.dimension][0] if self.dimension in OPEN else DIMENSIONS[self.dimension].example
        return self.example or known

    @property
    def most(self) -> float | None:
        """Largest value in SI: the field's own limit, else what the dimension can be."""
        return self.at_most if self.at_most is not None else LARGEST.get(self.dimension)

    def read(self, value: object) -> Any:
        """Turn what was typed into an SI float (or a `Quantity` where the fuel must be known first)."""
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise fault(f"{value!r} is not a quantity", f'write text with a unit, such as "{self.sample}"')
        if isinstance(value, int | float):
            raise fault(f"{value:g} is a bare number", f'write it with its unit, such as "{self.sample}"')
        try:
            quantity = self.quantity(value)
        except UnitError as error:
            raise fault(str(error), f'write it like "{self.sample}"') from None
        self._check_limits(value, quantity.value)
        return quantity if self.dimension in OPEN else quantity.value

    def quantity(self, text: str) -> Quantity:
        """Read text against the dimension alone, without limits.

        Raises
        ------
        UnitError
            It is not a quantity of this dimension.
        """
        return self._open(text) if self.dimension in OPEN else parse(text, self.dimension)

    def numbers(self, numbers: Sequence[float], unit: str) -> list[float]:
        """SI values of many numbers of one unit, as `read` would give them one by one; limits are for `allows`."""
        if self.dimension not in OPEN:
            return reading.parse_numbers(numbers, unit, self.dimension)
        size = self._open(f"1 {unit}").value
        return [value * size for value in numbers]

    def allows(self, value: Any) -> Any:
        """Whether a finite SI value lies within the limits, for a float or an array."""
        above, least = (-math.inf if limit is None else limit for limit in (self.above, self.at_least))
        return (value > above) & (value >= least) & (value <= (reading.LARGEST if self.most is None else self.most))

    def _open(self, text: str) -> Quantity:
        """Read what may be per energy, volume or mass."""
        quantity = read_quantity(text)
        if quantity.dims not in OPEN[self.dimension][1]:
            raise UnitError(f"'{text}' cannot be the {self.title.lower()}")
        return quantity

    def _check_limits(self, text: str, value: float) -> None:
        if self.above is not None and value <= self.above:
            raise fault(f"'{text}' must be more than {self._limit(self.above)}", f'write it like "{self.sample}"')
        if self.at_least is not None and value < self.at_least:
            raise fault(f"'{text}' must be at least {self._limit(self.at_least)}", f'write it like "{self.sample}"')
        most = self.most
        if most is not None and value > most:
            raise fault(f"'{text}' must be at most {self._limit(most)}", f'write it like "{self.sample}"')

    def _limit(self, value: float) -> str:
        if self.dimension in OPEN:
            return f"{value:g}"
        both = [f"{to_display(value, self.dimension, s):.4g} {unit_for(self.dimension, s)}" for s in ("us", "si")]
        return both[0] if both[0] == both[1] else f"{both[1]} ({both[0]})"

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        types = get_args(source) or (source,)
        if (self.dimension in OPEN) == (float in types) and {float, Quantity} & set(types):
            kind = "a Quantity" if self.dimension in OPEN else "a float"
            raise TypeError(f"QuantityField('{self.dimension}', '{self.title}') gives {kind}; annotate the field so")
        return core_schema.no_info_plain_validator_function(lambda value: None if value is None else self.read(value))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "title": self.title, "description": self.help, "examples": [self.sample]}


@dataclass(frozen=True, slots=True)
class OneOf:
    """What a field that names something may say: the names with what they stand for, and what one of them is called."""

    names: Mapping[str, object]
    what: str

    def read(self, value: str) -> str:
        """Take a name that is known."""
        if value not in self.names:
            raise fault(f"'{value}' is not {self.what}", f"use one of {', '.join(self.names)}")
        return value

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_after_validator_function(self.read, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {**handler(schema), "enum": list(self.names)}


def choices_of(field: FieldInfo) -> dict[str, str]:
    """What a field may say and how to call it, where that is a list of names; empty elsewhere."""
    for known in field.metadata:
        if isinstance(known, OneOf):
            return {name: _title(name, named) for name, named in known.names.items()}
    if get_origin(field.annotation) is Literal:
        return {name: in_words(name) for name in get_args(field.annotation)}
    return {}


def _title(name: str, named: object) -> str:
    title = getattr(named, "title", None)
    return _capital(title) if isinstance(title, str) else in_words(name)


def in_words(key: str) -> str:
    """Write a key as words.

    Examples
    --------
    >>> in_words("natural_gas"), in_words("1/2 in PEX")
    ('Natural gas', '1/2 in PEX')
    """
    return _capital(key.replace("_", " "))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def fault(problem: str, remedy: str) -> PydanticCustomError:
    """Make the error that a model's own validator raises: what is wrong, and what would be right."""
    # braces would be read as a template
    return PydanticCustomError("typed", "{problem}; {remedy}", {"problem": problem, "remedy": remedy})


class StudyModel(BaseModel):
    """Base of all that people type: frozen, no unknown keys, keys without unit suffixes."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        alias_generator=file_key,
        arbitrary_types_allowed=True,
        hide_input_in_errors=True,
        revalidate_instances="never",
    )


def keys_of(model: type[BaseModel]) -> list[str]:
    """Name the keys that a table of a study may hold."""
    return [field.alias or name for name, field in model.model_fields.items()]
