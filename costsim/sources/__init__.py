"""Heat sources, one module a kind; each module in this folder is found by itself."""

from __future__ import annotations

import importlib
import pkgutil
from typing import Annotated, Any, Union

from pydantic import Field

from costsim.sources.base import KINDS, CurtailmentEvents, HeatSource, Offer, Surroundings, coldest_hours
from costsim.units.fields import add_tags

for _module in sorted(module.name for module in pkgutil.iter_modules(__path__)):
    importlib.import_module(f"{__name__}.{_module}")

add_tags(KINDS)


def source_union() -> Any:
    """Type of one source in a study: its `kind` chooses the model, which alone then checks it."""
    return Annotated[Union[tuple(KINDS.values())], Field(discriminator="kind")]  # noqa: UP007


__all__ = ["KINDS", "CurtailmentEvents", "HeatSource", "Offer", "Surroundings", "coldest_hours", "source_union"]
