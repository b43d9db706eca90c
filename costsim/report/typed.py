"""Every value of the study as it was typed, with the value it was understood as."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pydantic import BaseModel

from costsim.study.case import Case
from costsim.units.fields import OPEN, QuantityField
from costsim.units.quantity import DIMENSIONS, Quantity, pretty_unit, to_display, unit_for
from costsim.views.wording import for_reader
from costsim.words import tr

_SUFFIXES = {
    "share_per_year": "a year", "j_m2k": "J/(m² K)", "w_m2k2": "W/(m² K²)", "w_m2k": "W/(m² K)", "w_m2": "W/m²",
    "m2k_w": "m² K/W", "w_k": "W/K", "m3_s": "m³/s", "j_year": "J/year", "kg_per_j": "kg/J", "per_month": "¤/month",
    "per_year": "¤/year", "per_w": "¤/W", "per_s": "¤/s", "money": "¤", "share": "", "w": "W", "m2": "m²", "m3": "m³",
    "m": "m", "kg": "kg", "s": "s", "c": "°C", "k": "K", "j": "J", "pa": "Pa", "v": "V", "a": "A", "deg": "°",
}  # fmt: skip
"""Endings of fields, longest first, and the SI unit they stand for; ¤ is the study's currency."""
_DIMS = {DIMENSIONS[name].dims: unit for name, unit in (
    ("length", "m"), ("area", "m²"), ("volume", "m³"), ("mass", "kg"), ("energy", "J"), ("power", "W"), ("flow", "m³/s"),
    ("pressure", "Pa"), ("money_per_energy", "¤/J"), ("money_per_volume", "¤/m³"), ("money_per_mass", "¤/kg"),
    ("energy_per_volume", "J/m³"), ("volume_per_year", "m³/s"), ("mass_per_year", "kg/s"),
)}  # fmt: skip
_HEAT_PER_MASS = (2, 0, -2, 0, 0)


def typed_rows(case: Case, system: str = "si") -> list[list[str]]:
    """Rows of key, text as typed, and value in SI or US units; texts that are no quantity have no third.

    Examples
    --------
    >>> from costsim.study.case import read_study
    >>> typed_rows(read_study("lantern_cottage"))[4]
    ['house.floor_area', '1180 ft2', '109.626 m²']
    >>> typed_rows(read_study("lantern_cottage"), "us")[5]
    ['house.design_heat_loss', '7.6 kW', '25.9323 kBtu/h']
    """
    left = ("title", "note")
    return [
        [key, text, value.replace("¤", case.currency)]
        for key, text, value in _rows(case, case.typed, "", system)
        if key not in left
    ]


def _rows(model: Any, typed: Any, path: str, system: str) -> Iterator[tuple[str, str, str]]:
    """Walk what was typed and what it became side by side."""
    if isinstance(typed, Mapping):
        for key, value in typed.items():
            yield from _entry(model, str(key), value, f"{path}.{key}".lstrip("."), system)
    elif (
        isinstance(typed, Sequence) and not isinstance(typed, str) and any(isinstance(part, Mapping) for part in typed)
    ):
        for at, value in enumerate(typed):
            inner = model[at] if isinstance(model, Sequence) and at < len(model) else None
            yield from _rows(inner, value, f"{path}[{at + 1}]", system)
    else:
        yield path, _text(typed), ""


def _entry(model: Any, key: str, value: Any, path: str, system: str) -> Iterator[tuple[str, str, str]]:
    name, measured = _field(model, key)
    if measured is not None and isinstance(value, str):
        entry = getattr(model, name)
        yield path, value, _us(measured, value, entry) if system == "us" else _si(name, entry)
    elif name in ("heads_pa", "flows"):
        yield path, _text(value), "" if system == "us" else _pump_si(model, name)
    else:
        yield from _rows(
            model.get(key) if isinstance(model, Mapping) else getattr(model, name, None), value, path, system
        )


def _field(model: Any, key: str) -> tuple[str, QuantityField | None]:
    """Name of the field that a key fills, and how it is measured."""
    if isinstance(model, BaseModel):
        for name, field in type(model).model_fields.items():
            if key in (name, field.alias):
                return name, next((item for item in field.metadata if isinstance(item, QuantityField)), None)
    return key, None


def _si(name: str, value: Any) -> str:
    """Write an SI value with its unit: by its own dimensions, or by the ending of the field's name."""
    if isinstance(value, Quantity):
        return f"{value.value:.6g} {_DIMS.get(value.dims, 'J/kg' if value.dims == _HEAT_PER_MASS else '')}".strip()
    if not isinstance(value, int | float):
        return ""
    unit = next((unit for ending, unit in _SUFFIXES.items() if name.endswith(f"_{ending}")), "")
    return f"{value:.6g} {unit}".strip()


def _us(measured: QuantityField, text: str, value: Any) -> str:
    """Write a value as a US reader has it; what depends on the fuel stands as it was typed."""
    if measured.dimension in OPEN or not isinstance(value, int | float):
        return for_reader(pretty_unit(text), "us")
    number = f"{to_display(float(value), measured.dimension, 'us'):,.6g}"
    return for_reader(f"{number} {pretty_unit(unit_for(measured.dimension, 'us'), '¤')}", "us")


def _pump_si(model: Any, name: str) -> str:
    """The pump's curve, the one place where lists hold quantities."""
    values, unit = (model.head_values_pa, "Pa") if name == "heads_pa" else (model.flow_values_m3_s, "m³/s")
    return f"{', '.join(f'{value:.6g}' for value in values)} {unit}"


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    if isinstance(value, list | tuple):
        return ", ".join(str(part) for part in value)
    return str(value)
