"""Charges as they are typed, ``[[prices.NAME.charge]]``, a file of its name for each kind; what a price's own keys charge is in `price_keys`.

A new file with a class that has a literal `kind` is found by itself.
"""

from __future__ import annotations

import importlib
import pkgutil
from typing import Annotated, Any, Union

from pydantic import Field

from costsim.tariffs.charges.base import KINDS, BillLine, Charge, FuelUnits, Item, TypedCharge, UnitsError, Usage
from costsim.tariffs.charges.price_keys.delivery import Delivery
from costsim.tariffs.charges.price_keys.demand import DemandCharge, billed_peaks_w
from costsim.tariffs.charges.price_keys.energy import Block, Period
from costsim.tariffs.charges.tariff import Tariff, due_by_use, hourly_rows, meter_hours, period_shares, scaled_tariff
from costsim.units.faults import add_tags

__all__ = [
    "KINDS",
    "BillLine",
    "Block",
    "Charge",
    "Delivery",
    "DemandCharge",
    "FuelUnits",
    "Item",
    "Period",
    "Tariff",
    "TypedCharge",
    "UnitsError",
    "Usage",
    "billed_peaks_w",
    "charge_union",
    "due_by_use",
    "hourly_rows",
    "meter_hours",
    "period_shares",
    "scaled_tariff",
]

for _module in sorted(pkgutil.iter_modules(__path__), key=lambda module: module.name):
    importlib.import_module(f"{__name__}.{_module.name}")
add_tags(KINDS, "charge")


def charge_union() -> Any:
    """The type of a charge as typed: the model that its kind names."""
    return Annotated[Union[tuple(KINDS.values())], Field(discriminator="kind")]  # noqa: UP007
