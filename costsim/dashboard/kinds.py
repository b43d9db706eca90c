"""What a field of a model holds, and the least that a new table must say."""

from __future__ import annotations

from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from costsim.study.heat_loss import Surface
from costsim.study.loop_group import Loops
from costsim.study.outdoor_uses import Profile
from costsim.study.prices import PriceBlock, PriceDemand, PricePeriod
from costsim.study.schedules import HouseZone, Setback
from costsim.study.uses import HotWater
from costsim.units.fields import QuantityField, choices_of, file_key, in_words
from costsim.units.quantity import with_currency

STARTERS: dict[type[BaseModel], dict[str, Any]] = {
    Surface: {"name": "Walls", "area": "100 m2", "typical": "frame_wall_2x4"},
    Setback: {"indoor_temperature": "62 degF", "windows": ["22:00-06:00"]},
    HouseZone: {"name": "Bedrooms", "area": "400 ft2", "indoor_temperature": "65 degF"},
    HotWater: {"people": 3},
    Profile: {"hours": "heat.csv"},
    Loops: {"count": 6, "length": "250 ft", "flow": "0.6 gpm"},
    PricePeriod: {"name": "Peak", "energy": "0.30 $/kWh", "windows": ["16:00-21:00"], "days": "Mon-Fri"},
    PriceDemand: {"price": "0 $/kW"},
    PriceBlock: {"up_to": "1000 kWh/month", "energy": "0.12 $/kWh"},
}
"""What a new table says where its required fields alone would not do; examples, to be replaced. A demand charge begins at nothing, so that
no bill rises by a price that nobody pays."""


def key_of(name: str, field: FieldInfo) -> str:
    """The key of a field in a study file."""
    return field.alias or file_key(name)


def _bare(annotation: Any) -> Any:
    """An annotation without None and without what is annotated."""
    if get_origin(annotation) is Annotated:
        return _bare(get_args(annotation)[0])
    if get_origin(annotation) in (Union, UnionType):
        inner = [part for part in get_args(annotation) if part is not type(None)]
        return _bare(inner[0]) if len(inner) == 1 else annotation
    return annotation


def measured_of(field: FieldInfo) -> QuantityField | None:
    """How a measured field, or each value of a table of them, is read."""
    quantity = next((item for item in field.metadata if isinstance(item, QuantityField)), None)
    bare = _bare(field.annotation)
    if quantity is None and get_origin(bare) is dict:
        inner = get_args(bare)[1]
        inner = get_args(inner)[0] if get_origin(inner) is tuple else inner
        quantity = next((item for item in getattr(inner, "__metadata__", ()) if isinstance(item, QuantityField)), None)
    return quantity


def model_of(field: FieldInfo) -> type[BaseModel] | None:
    """The model of a table, or of the items of a list of tables; None for sources, which are of many kinds."""
    bare = _bare(field.annotation)
    if get_origin(bare) in (tuple, list):
        bare = _bare(get_args(bare)[0])
    if get_origin(bare) is dict:
        bare = _bare(get_args(bare)[1])
    return bare if isinstance(bare, type) and issubclass(bare, BaseModel) else None


def models_of(field: FieldInfo) -> dict[str, type[BaseModel]]:
    """The models of a list whose items say their kind, by kind; empty for any other field."""
    bare = _bare(field.annotation)
    inner = _bare(get_args(bare)[0]) if get_origin(bare) in (tuple, list) else bare
    models = {}
    for model in get_args(inner) if get_origin(inner) in (Union, UnionType) else ():
        if isinstance(model, type) and issubclass(model, BaseModel) and "kind" in model.model_fields:
            models.update(dict.fromkeys(get_args(model.model_fields["kind"].annotation), model))
    return models


def kind_of(field: FieldInfo) -> str:
    """Name what a field holds.

    Returns
    -------
    str
        ``quantity``, ``choice``, ``flag``, ``count``, ``number``, ``text``, ``texts``, ``model``, ``models``,
        ``table`` (a measured value by key), ``lists`` (several by key), ``tables`` (a model by key) or ``union`` (items of
        several kinds, such as sources).
    """
    bare = _bare(field.annotation)
    if get_origin(bare) is dict:
        several = get_origin(_bare(get_args(bare)[1])) is tuple
        return "tables" if model_of(field) is not None else ("lists" if several else "table")
    if any(isinstance(item, QuantityField) for item in field.metadata):
        return "quantity"
    if choices_of(field):
        return "choice"
    if get_origin(bare) in (tuple, list):
        inner = _bare(get_args(bare)[0])
        return "texts" if inner is str else ("models" if model_of(field) is not None else "union")
    if model_of(field) is not None:
        return "model"
    return {bool: "flag", int: "count", float: "number"}.get(bare, "text")


def starter(model: type[BaseModel], currency: str = "$") -> dict[str, Any]:
    """The least a new table must say; amounts are examples, with the study's currency."""
    if model in STARTERS:
        item = dict(STARTERS[model])
    else:
        item = {key_of(name, field): _start(field) for name, field in model.model_fields.items() if field.is_required()}
    return {key: with_currency(value, currency) if isinstance(value, str) else value for key, value in item.items()}


def _start(field: FieldInfo) -> Any:
    measured, kind = measured_of(field), kind_of(field)
    if kind == "quantity" and measured is not None:
        return measured.sample
    if kind == "choice":
        return next(iter(choices_of(field)))
    if kind == "models":
        inner = model_of(field)
        return [starter(inner)] if inner is not None else []
    title = field.title or in_words("name")
    return {"flag": False, "count": 1, "number": 1.0, "texts": _texts(title)}.get(kind, title)


def _texts(title: str) -> list[str]:
    lowered = title.lower()
    if "window" in lowered:
        return ["22:00-06:00"]
    if "flow" in lowered:
        return ["0 gpm", "4 gpm"]
    if "curve" in lowered:
        return ["18 ftH2O", "4 ftH2O"]
    return ["…"]
