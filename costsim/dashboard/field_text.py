"""Words around a field: its label, what stands in it while it is empty, and its value as people read it."""

from __future__ import annotations

import re
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from costsim.dashboard.kinds import kind_of, measured_of
from costsim.units.fields import QuantityField, in_words
from costsim.units.quantity import pretty_unit, show, split_text, to_display, unit_for
from costsim.views.wording import for_reader
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
    >>> as_shown("1500 ft2", "us"), as_shown("0.14 $/kWh", "us"), as_shown("cheap", "us")
    ('1,500 ft²', '0.14 $/kWh', 'cheap')
    """
    number, unit = split_text(text)
    if number is None or not unit:
        return text
    head = text[: len(text) - len(unit)].strip() if text.endswith(unit) else ""
    if system == "us" and head.isdigit() and number >= 1000:
        head = f"{int(number):,}"
    return f"{head} {pretty_unit(unit)}" if head else pretty_unit(text)


def quantity_hint(measured: QuantityField, default: Any, system: str, currency: str) -> str:
    """What stands in an empty field: its default, else an example."""
    if isinstance(default, int | float) and not isinstance(default, bool):
        if not default:
            return tr("none unless given")
        try:
            shown = show(float(default), measured.dimension, system, 3 if abs(default) < 0.1 else 1, currency)
            return tr("{shown} unless given", shown=for_reader(_without_zeros(shown), system))
        except KeyError:
            return ""
    return tr("such as {measured}", measured=sample_of(measured, system, currency))


_US = re.compile(r"Btu|°F|\bft|\bgal|\bgpm|\bin\b|\bpsi|\btherm|\blb|\bcord|\bmil")


def sample_of(measured: QuantityField, system: str, currency: str) -> str:
    """The example of a field, in units of the reader where it is written in US ones.

    Examples
    --------
    >>> field = QuantityField("area", "Area", example="1500 ft2")
    >>> sample_of(field, "us", "$"), sample_of(field, "si", "€")
    ('1500 ft²', '139 m²')
    """
    text = for_reader(pretty_unit(measured.sample, currency), system)
    if system == "us" or "/" + "kWh" in text or currency in text or not _US.search(text):
        return text
    try:
        value = measured.read(measured.sample)
        shown = to_display(value, measured.dimension, "si")
    except (KeyError, TypeError, ValueError):
        return text
    number = f"{shown:,.0f}" if abs(shown) >= 100 else f"{shown:.2g}"
    return f"{number} {pretty_unit(unit_for(measured.dimension, 'si'), currency)}"


def _without_zeros(text: str) -> str:
    """Write a number without zeros that say nothing.

    Examples
    --------
    >>> _without_zeros("5.500 %"), _without_zeros("3.000 %/year"), _without_zeros("100 W"), _without_zeros("$1.10/gal")
    ('5.5 %', '3 %/year', '100 W', '$1.1/gal')
    """
    return re.sub(r"(\.\d*?)0++(?!\d)", lambda found: found[1] if found[1] != "." else "", text)


def number_hint(default: Any) -> str | None:
    """What stands in an empty number: its default."""
    return tr("{default} unless given", default=default) if isinstance(default, int | float) else None


def text_hint(field: FieldInfo, default: Any) -> str:
    """What stands in an empty text: its default, or an example of hours."""
    if default:
        return tr("{default} unless given", default=", ".join(default) if isinstance(default, tuple) else default)
    return tr("such as 22:00-06:00") if "window" in str(field.title or "").lower() else ""


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
