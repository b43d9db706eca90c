"""Which price tables of a study its sources use; those that none uses any more are taken out."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from costsim.sources import KINDS


def drop_unused_prices(study: dict[str, Any], only: Collection[str] | None = None) -> list[str]:
    """Take out price tables that no source uses any more, or those of `only` among them; those that were taken."""
    prices = study.get("prices", {})
    used = {"electricity"} if "house" in study else set()
    for option in study.get("option", []):
        for source in option.get("source", []):
            used.add(price_key(source, prices))
    gone = [key for key in prices if key not in used and (only is None or key in only)]
    for key in gone:
        del prices[key]
        for table, inner in (("economics", "escalation"), ("uncertainty", "price")):
            study.get(table, {}).get(inner, {}).pop(key, None)
    return gone


def price_key(source: Mapping[str, Any], prices: Mapping[str, Any]) -> str:
    """Which price table bills a source as typed, also while something else in it is wrong; empty where none does."""
    if source.get("price"):
        return str(source["price"])
    model = KINDS.get(str(source.get("kind")))
    if model is None:
        return ""
    try:
        return model.model_validate(dict(source)).price_key(prices)
    except ValueError:
        example = model.model_validate(dict(model.example) | ({"fuel": source["fuel"]} if "fuel" in source else {}))
        return example.price_key(prices)
