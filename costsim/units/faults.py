"""What pydantic finds wrong with a table that people typed, as plain faults that name key, value and remedy."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from costsim.errors import Fault, InputError
from costsim.units.fields import QuantityField, keys_of

Model = TypeVar("Model", bound=BaseModel)


def faults_of(error: ValidationError, model: type[BaseModel], file: str, prefix: str = "") -> list[Fault]:
    """Turn what pydantic found into plain faults that name key, value and remedy."""
    items: list[dict[str, Any]] = [dict(item) for item in error.errors(include_url=False)]
    inner = {item["loc"][:length] for item in items for length in range(1, len(item["loc"]))}
    # a list whose items are all wrong is also reported as too short, which helps nobody
    return [
        _plain(item, model, file, prefix) for item in items if item["type"] != "too_short" or item["loc"] not in inner
    ]


def _path(parts: tuple[Any, ...], prefix: str) -> str:
    """Write a key path the way a study's reader would; the kind that chose a model is no key."""
    path = prefix
    for at, part in enumerate(parts):
        kinds = _TAGS if at + 1 < len(parts) else _TABLES.get(parts[max(at - 2, 0)], ())
        if isinstance(part, int):
            path += f"[{part + 1}]"
        elif at == 0 or not isinstance(parts[at - 1], int) or part not in kinds:
            path += f".{part}"
    return path.lstrip(".")


_TAGS: set[str] = set()
"""Kinds that choose a model; a module that registers kinds adds them here."""
_TABLES: dict[str, set[str]] = {}
"""The kinds of each table, by its name."""


def add_tags(tags: Iterable[str], table: str = "source") -> None:
    """Make the kinds of a table known, so that messages leave them out of key paths and list them where one is wrong."""
    _TABLES.setdefault(table, set()).update(tags)
    _TAGS.update(tags)


def _plain(item: dict[str, Any], model: type[BaseModel], file: str, prefix: str) -> Fault:
    path = _path(item["loc"], prefix)
    kind, context = item["type"], item.get("ctx", {})
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        given = f"'{context['tag']}' is not a kind" if "tag" in context else "has no kind"
        table = path.rpartition("[")[0].rpartition(".")[2]
        return Fault(f"{path}.kind", given, f"use one of {', '.join(sorted(_TABLES.get(table, _TAGS)))}", file)
    if kind == "typed":
        return Fault(path, context["problem"], context["remedy"], file)
    if kind == "missing":
        return Fault(path, "is missing", _to_add(model, item["loc"]), file)
    if kind == "extra_forbidden":
        return Fault(
            path, "is not a known key", _nearest(str(item["loc"][-1]), _model_at(model, item["loc"][:-1])), file
        )
    value = item.get("input")
    what = f"{value!r} cannot be used" if isinstance(value, str | int | float | bool) else "cannot be used"
    return Fault(path, what, item["msg"].lower(), file)


def _model_at(model: type[BaseModel], path: tuple[Any, ...]) -> type[BaseModel] | None:
    """Follow a key path through nested tables to the model that reads the last one."""
    at: Any = model
    for part in path:
        if isinstance(part, int):
            continue
        field = next((f for n, f in at.model_fields.items() if part in (n, f.alias)), None) if at else None
        at = _inner_model(field.annotation) if field else None
    return at if isinstance(at, type) and issubclass(at, BaseModel) else None


def _inner_model(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    inner = (_inner_model(argument) for argument in getattr(annotation, "__args__", ()))
    return next((model for model in inner if model is not None), None)


def _to_add(model: type[BaseModel], path: tuple[Any, ...]) -> str:
    """Say what to add for a key that is missing."""
    owner = _model_at(model, path[:-1])
    for name, field in (owner.model_fields if owner else {}).items():
        if path[-1] in (name, field.alias):
            measured = next((item for item in field.metadata if isinstance(item, QuantityField)), None)
            if measured is not None:
                return f'add {path[-1]} = "{measured.sample}"'
            if "tuple" in str(field.annotation) or "dict" in str(field.annotation):
                return (
                    f"add a table [[{path[-1]}]]"
                    if "tuple" in str(field.annotation)
                    else f"add a table [{path[-1]}.electricity]"
                )
            if _inner_model(field.annotation) is not None:
                return f"add a table [{path[-1]}]"
    return f'add {path[-1]} = "…"'


RENAMED = {
    "doubt": "uncertainty",
    "money": "economics",
    "discount": "discount_rate",
    "years": "study_period",
    "indoor": "indoor_temperature",
    "air": "infiltration",
    "water_at_design": "design_supply_temperature",
    "top": "max_temperature",
    "minimum_fire": "min_output",
    "minimum_output": "min_output",
    "hottest_outlet": "max_outlet_temperature",
    "cycling_loss": "cycling_degradation",
    "carnot": "carnot_fraction",
    "above_tank": "approach",
    "loops_each": "loops_per_pump",
    "not_backup": "excluded_backup_fuels",
    "smallest": "min_controlled_load",
    "together": "price_correlation",
    "further_content": "extra_water_volume",
    "warmth": "setpoint_spread",
    "control": "curtailment",
    "upkeep": "maintenance",
    "other_electricity_hours": "other_electricity_profile",
    "programme": "program",
    "draws": "scenarios",
}
"""Keys of study files before 1.0 and the names they have now; a file with an old one is refused with the new one."""


def _nearest(key: str, model: type[BaseModel] | None) -> str:
    known = keys_of(model) if model else []
    if RENAMED.get(key) in known:
        return f"it is now named {RENAMED[key]}"
    if near := difflib.get_close_matches(key, known, 1, 0.6):
        return f"did you mean {near[0]}?"
    return "take it out" + (f", or use one of {', '.join(known)}" if known else "")


def build(model: type[Model], study: Mapping[str, Any], file: str = "", prefix: str = "") -> Model:
    """Build a model from what was typed, or raise one `InputError` with every fault.

    Raises
    ------
    InputError
        With all faults at once.
    """
    try:
        return model.model_validate(study)
    except ValidationError as error:
        raise InputError(faults_of(error, model, file, prefix)) from None
