"""Words around a field: its label, what stands in it while it is empty, and its value as people read it."""

from __future__ import annotations

import re
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from costsim.dashboard.kinds import kind_of, measured_of
from costsim.units.fields import OPEN, QuantityField, in_words
from costsim.units.quantity import UnitError, pretty_unit, split_text, to_display, with_currency
from costsim.units.reading import own_unit
from costsim.units.usual import as_typed
from costsim.views.templates import EXAMPLE_PRICES, EXAMPLE_SI
from costsim.words import tr

TITLES = {
    "period": "Time-of-use periods",
    "block": "Tiers by use",
    "demand": "Demand charges",
    "delivery": "Deliveries",
    "mass": "Slab and room that store heat",
    "pump": "Pump",
    "curtailment": "Hours in which the utility switches it off",
    "windows": "Hours",
    "days": "Days",
    "months": "Months",
}
"""Labels of keys whose models give none."""


def as_shown(text: str, system: str) -> str:
    """Write a quantity of the study as people read it; anything else as it stands.

    Examples
    --------
    >>> as_shown("1500 ft2", "us"), as_shown("0.14 $/kWh", "us"), as_shown("2400 $", "us"), as_shown("cheap", "us")
    ('1,500 ft²', '$0.14/kWh', '$2,400', 'cheap')
    >>> as_shown("16.5 $/month", "us"), as_shown("0.2 €/kWh", "si"), as_shown("1.25 CAD/gal", "us")
    ('$16.50/month', '€0.20/kWh', '1.25 CAD/gal')
    """
    number, unit = split_text(text)
    if number is None or not unit:
        return text
    head = text[: len(text) - len(unit)].strip() if text.endswith(unit) else ""
    head = as_typed(head, unit, system)
    if head and unit[0] in "$€£" and (len(unit) == 1 or unit[1] == "/"):
        return f"{unit[0]}{head}{pretty_unit(unit[1:])}"
    return f"{head}{'' if unit[0] == '%' and system == 'us' else ' '}{pretty_unit(unit)}" if head else pretty_unit(text)


def quantity_hint(
    measured: QuantityField, default: Any, system: str, currency: str, fuel: str = "", *, unit: str = ""
) -> str:
    """What stands in an empty field: its default, else an example, in the unit in which a bare number is read."""
    if isinstance(default, int | float) and not isinstance(default, bool):
        if not default:
            return tr("optional")
        try:
            text = _in_unit(float(default), measured, unit or own_unit(measured, system, fuel, currency))
        except UnitError:
            return ""
        return tr("{value} if empty", value=as_shown(text, system))
    return tr("such as {value}", value=sample_of(measured, system, currency, fuel, unit=unit))


def sample_of(measured: QuantityField, system: str, currency: str, fuel: str = "", *, unit: str = "") -> str:
    """The example of a field, in the unit in which a bare number is read there, or in another one of its menu.

    Examples
    --------
    >>> field = QuantityField("area", "Area", example="1500 ft2")
    >>> sample_of(field, "us", "$"), sample_of(field, "si", "€"), sample_of(QuantityField("power", "Loss"), "us", "$")
    ('1,500 ft²', '139 m²', '25.9 kBtu/h')
    >>> sample_of(QuantityField("price", "Energy price"), "us", "$", "propane"), sample_of(field, "us", "$", unit="m2")
    ('$2.60/gal', '139 m²')
    """
    own = own_unit(measured, system, fuel, currency)
    text = _sample_text(measured, system, currency, fuel, own)
    if unit == split_text(measured.sample)[1]:
        text = measured.sample
    elif unit and unit != own:
        try:
            text = _in_unit(measured.quantity(text).value, measured, unit)
        except UnitError:
            text = f"100 {unit}"
    return as_shown(text, system)


def _sample_text(measured: QuantityField, system: str, currency: str, fuel: str, unit: str) -> str:
    if split_text(measured.sample)[1] == unit.replace(currency, "$"):
        return with_currency(measured.sample, currency)
    known = EXAMPLE_SI if system == "si" else {key: str(price["energy"]) for key, price in EXAMPLE_PRICES.items()}
    if measured.sample == OPEN["price"][0] and fuel in known:
        return with_currency(known[fuel], currency)
    try:
        value = measured.quantity(measured.sample)
        if measured.dimension not in OPEN or value.dims == measured.quantity(f"1 {unit}").dims:
            return _in_unit(value.value, measured, unit)
    except UnitError:
        pass
    return f"100 {unit}"


def _in_unit(value: float, measured: QuantityField, unit: str) -> str:
    """An SI value of a field in one of its units, in three figures."""
    warm = measured.dimension == "temperature"
    number = (
        to_display(value, "temperature", "us" if unit == "degF" else "si")
        if warm
        else value / measured.quantity(f"1 {unit}").value
    )
    text = f"{number:.0f}" if abs(number) >= 100 else f"{float(f'{number:.3g}'):g}"
    return f"{text} {unit}"


def number_hint(default: Any) -> str | None:
    """What stands in an empty number: its default; none at all is no number that anybody would leave."""
    if default == 0 and not isinstance(default, bool):
        return tr("optional")
    return tr("{default} if empty", default=default) if isinstance(default, int | float) else None


WORDS_OF = (("period", "year"), ("year", "year"), ("life", "year"), ("hours", "hour"), ("days", "day"), ("months", "month"),
            ("minutes", "minute"), ("people", "people|person"), ("loops", "loop"), ("count", "loop"))  # fmt: skip
"""The word that may stand behind a number, by what the key of its field holds; the first one counts."""


def number_typed(text: str, key: str, *, whole: bool) -> int | float | str:
    """A number as people type it, with its word behind it where that is what the field counts; any other text as it is.

    Examples
    --------
    >>> number_typed("15 years", "study_period", whole=True), number_typed("1,000", "scenarios", whole=True)
    (15, 1000)
    >>> number_typed("15 months", "study_period", whole=True), number_typed("2.5", "cop", whole=False)
    ('15 months', 2.5)
    """
    word = next((word for part, word in WORDS_OF if part in key), "")
    plain = re.sub(rf"(?i)(?<![\s-])[\s-]*+(?:{word})s?\.?$", "", text.strip()) if word else text.strip()
    if re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+|[-+]?\d{1,9}", plain):
        return int(plain.replace(",", ""))
    if not whole and re.fullmatch(r"[-+]?(\d{1,9}\.\d{0,9}|\.\d{1,9})", plain):
        return float(plain)
    return text.strip()


def text_hint(field: FieldInfo, default: Any) -> str:
    """What stands in an empty text: its default, or an example of hours."""
    if default:
        return tr("{default} if empty", default=", ".join(default) if isinstance(default, tuple) else default)
    title = str(field.title or "").lower()
    samples = {"window": "22:00-06:00", "date": "Feb 2026", "time zone": "Eastern", "holidays": "US"}
    sample = next((sample_text for word, sample_text in samples.items() if word in title), "")
    return tr("such as {value}", value=sample) if sample else ""


def title_of(field: FieldInfo, key: str) -> str:
    """Label of a field."""
    measured = measured_of(field)
    measured_title = measured.title if measured and kind_of(field) == "quantity" else ""
    return tr(measured_title or field.title or TITLES.get(key) or in_words(key))


def help_of(field: FieldInfo) -> str | None:
    """One sentence about a field, where there is one."""
    return tr(field.description) if field.description else None


def first_line(model: type[BaseModel]) -> str:
    """What a table is, in a sentence."""
    return tr((model.__doc__ or "").strip().split("\n")[0])


def dotted(path: tuple[str | int, ...]) -> str:
    """A key path as messages write it.

    Examples
    --------
    >>> dotted(("option", 0, "source", 1, "output"))
    'option[1].source[2].output'
    """
    return "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in path).lstrip(".")
