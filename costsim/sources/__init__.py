"""Heat sources, one module a kind; each module in this folder is found by itself."""

from __future__ import annotations

import importlib
import importlib.metadata
import pkgutil
import warnings
from typing import Annotated, Any, Union

from pydantic import Field

from costsim.sources.base import KINDS, CurtailmentEvents, HeatSource, Offer, Surroundings, coldest_hours
from costsim.sources.hottest_water import Layers
from costsim.units.faults import add_tags

ENTRY_POINTS = "costsim.sources"

for _module in sorted(module.name for module in pkgutil.iter_modules(__path__)):
    importlib.import_module(f"{__name__}.{_module}")


def load_kinds_of_others() -> None:
    """Load kinds of other packages, which register through the entry-point group `ENTRY_POINTS`.

    An entry point names a class with a literal `kind`, which enters itself when it is made. One that cannot be loaded is told in a warning and left out.
    """
    for entry in importlib.metadata.entry_points(group=ENTRY_POINTS):
        try:
            model = entry.load()
            if not (isinstance(model, type) and issubclass(model, HeatSource)):
                raise TypeError(f"{entry.value} is no HeatSource")
        except Exception as error:  # whatever another package does wrong, a study without it goes on
            text = f"the kind of source '{entry.name}' ({entry.value}) cannot be loaded: {error}"
            warnings.warn(text, stacklevel=2)


load_kinds_of_others()
add_tags(KINDS)


def source_union() -> Any:
    """Type of one source in a study: its `kind` chooses the model, which alone then checks it."""
    return Annotated[Union[tuple(KINDS.values())], Field(discriminator="kind")]  # noqa: UP007


__all__ = [
    "KINDS",
    "CurtailmentEvents",
    "HeatSource",
    "Layers",
    "Offer",
    "Surroundings",
    "coldest_hours",
    "source_union",
]
