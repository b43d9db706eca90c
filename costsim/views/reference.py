"""The reference of the study file, made from the models that read it: `costsim schema --markdown`."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from costsim.sources import KINDS
from costsim.study.case import Case
from costsim.units.fields import OneOf, QuantityField
from costsim.units.quantity import show, to_display
from costsim.units.table import DIMENSIONS

HEAD = "| key | what | example or choices | default |\n| --- | --- | --- | --- |"


def tables_of_study() -> list[tuple[str, type[BaseModel]]]:
    """Every table of a study file with the model that reads it, in reading order; a kind of source is a table of its own."""
    tables = list(_tables("", Case, set()))
    kinds = [(f"option.source, kind = {kind}", model) for kind, model in KINDS.items()]
    inner = [item for _, model in kinds for item in _tables("option.source", model, {m for _, m in tables})]
    return [("", Case), *tables, *kinds, *dict.fromkeys(inner)]


def _tables(path: str, model: type[BaseModel], seen: set[type[BaseModel]]) -> Iterator[tuple[str, type[BaseModel]]]:
    for name, field in model.model_fields.items():
        for inner in _models_in(field.annotation):
            if inner in seen or inner in KINDS.values():
                continue
            seen.add(inner)
            at = f"{path}.{field.alias or name}".lstrip(".")
            yield at, inner
            yield from _tables(at, inner, seen)


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [inner_model for inner in getattr(annotation, "__args__", ()) for inner_model in _models_in(inner)]


def study_reference() -> str:
    """Write the tables of a study file as Markdown.

    Returns
    -------
    str
        One section a table; one row a key with its title, an example with its unit or the choices, and its default.
    """
    parts = ["# The study file", "Made by `costsim schema --markdown` from the models that read a study."]
    for path, model in tables_of_study():
        lines = (model.__doc__ or "").strip().split("\n")
        parts.append(
            f"## {path or 'top'}\n\n{lines[0]}\n\n{HEAD}\n" + "\n".join(_row(*item) for item in _fields(model))
        )
    return "\n\n".join(parts)


def _fields(model: type[BaseModel]) -> Iterator[tuple[str, FieldInfo]]:
    for name, field in model.model_fields.items():
        yield field.alias or name, field


def _row(key: str, field: FieldInfo) -> str:
    quantity = next((item for item in field.metadata if isinstance(item, QuantityField)), None)
    names = next((item for item in field.metadata if isinstance(item, OneOf)), None)
    title = field.title or (quantity.title if quantity else "")
    help_text = field.description or (quantity.help if quantity else "")
    what = f"{title}. {help_text}".strip(". ") + ("." if help_text else "")
    example = f"`{quantity.sample}`" if quantity else ", ".join(f"`{name}`" for name in names.names) if names else ""
    if not example and getattr(field.annotation, "__args__", None) and _models_in(field.annotation):
        example = "a table"
    default = "" if field.is_required() else _default(field)
    return (
        "| "
        + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in (f"`{key}`", what, example, default))
        + " |"
    )


def _default(field: FieldInfo) -> str:
    value = field.get_default(call_default_factory=True)
    if value is None or value == () or value == "":
        return "none"
    if isinstance(value, BaseModel | tuple | dict):
        return "see its table" if isinstance(value, BaseModel) else str(value)
    quantity = next((item for item in field.metadata if isinstance(item, QuantityField)), None)
    if quantity is not None and isinstance(value, float) and quantity.dimension in DIMENSIONS:
        shown = abs(to_display(value, quantity.dimension, "us"))
        # two figures of what is less than one, such as 0.0005 Btu/(h ft² °F²)
        return show(value, quantity.dimension, "us", 1 - min(math.floor(math.log10(shown)), 0) if shown else 1)
    return str(value)
