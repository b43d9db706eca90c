"""Kinds of source that only tests know, written as a newcomer would, and taken out of `KINDS` again once they are made."""

from __future__ import annotations

import functools
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from cases import study

from costsim.sources import KINDS, HeatSource, Offer, Surroundings
from costsim.sources.traits import BURNERS, UncertainEfficiency
from costsim.study.case import Case
from costsim.units.fields import QuantityField


@functools.cache
def gas_heat_pump(most: float | None = 2.0) -> type[HeatSource]:
    """A heat pump driven by burning gas: 110 % at -15 °C and 145 % at 7 °C by default, or as typed; invented. `most` bounds its efficiency."""

    class GasHeatPump(HeatSource):
        """Heat pump driven by burning gas."""

        title: ClassVar[str] = "Gas heat pump"
        burns_fuel: ClassVar[bool] = True
        outdoors: ClassVar[bool] = True
        feels_cold: ClassVar[bool] = True
        air_standard: ClassVar[str] = "NFPA 54"
        uncertain_efficiency: ClassVar[UncertainEfficiency | None] = (
            None if most is None else UncertainEfficiency(BURNERS.name, None, most)
        )
        example: ClassVar[dict[str, Any]] = {"kind": "gas_heat_pump", "output": "18 kW"}

        kind: Literal["gas_heat_pump"]
        output_w: Annotated[float, QuantityField("power", "Rated output", above=0, at_most=1e6, example="18 kW")]
        share: Annotated[
            float | None, QuantityField("share", "Efficiency", at_least=0.5, at_most=2.0, example="130 %")
        ] = None
        fuel: Literal["natural_gas", "propane", "heating_oil", "wood"] = "natural_gas"

        @property
        def fuel_key(self) -> str:
            return self.fuel

        def nameplate_w(self) -> float:
            return self.output_w

        def plate_efficiency(self) -> float | None:
            return self.share

        def offer(self, surroundings: Surroundings) -> Offer:
            by_cold = np.interp(surroundings.weather.outdoor_c, [-15.0, 7.0], [1.10, 1.45])
            share = by_cold if self.share is None else self.share
            return self._offer(surroundings, capacity_w=self.output_w, heat_per_input=share)

    del KINDS["gas_heat_pump"]
    return GasHeatPump


def of_kind(source: HeatSource, *beside: dict[str, Any], **house: Any) -> Case:
    """A study of two options: the invented source, and a gas boiler of 90 % or what is named beside it."""
    case = study(*(beside or ({"kind": "gas", "output": "18 kW", "efficiency": "90 %"},)), **house)
    other = case.options[0]
    own = other.model_copy(update={"name": "own", "source": (source,)})
    return case.model_copy(update={"option": (own, other)})
