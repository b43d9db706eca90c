"""A boiler on heating oil."""

from __future__ import annotations

from typing import Any, ClassVar, Literal

from costsim.sources.fuel_fired import FuelFired


class OilBoiler(FuelFired):
    """Oil boiler."""

    title: ClassVar[str] = "Oil boiler"
    market_list: ClassVar[str] = "oil boiler output"
    symbol: ClassVar[str] = "flame"
    air_standard: ClassVar[str] = "NFPA 31"
    example: ClassVar[dict[str, Any]] = {"kind": "oil", "output": "20 kW", "efficiency": "86 %"}

    kind: Literal["oil"]

    @property
    def fuel_key(self) -> str:
        """Heating oil."""
        return "heating_oil"
