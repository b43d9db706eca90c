"""A boiler fed with pellets, which lights itself."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field

from costsim.sources.base import HeatSource, Offer, Surroundings
from costsim.units.fields import QuantityField

PELLET_FIRE = 0.3


class PelletBoiler(HeatSource):
    """Pellet boiler that feeds and lights itself."""

    follows_tank: ClassVar[bool | None] = False
    title: ClassVar[str] = "Pellet boiler"
    market_list: ClassVar[str] = "pellet boiler output"
    symbol: ClassVar[str] = "logs"
    burns_fuel: ClassVar[bool] = True
    air_standard: ClassVar[str] = "NFPA 211"
    example: ClassVar[dict[str, Any]] = {"kind": "pellet", "output": "15 kW", "efficiency": "78 %"}

    rests_on = (
        (
            "minimum firing rate",
            "30 % of the output, below which it cycles, unless typed",
            "EN 303-5, most that the smallest output may be (value from memory)",
            "min_output",
        ),
    )

    kind: Literal["pellet"]
    output_w: Annotated[float, QuantityField("power", "Rated output", above=0, at_most=1e8, example="15 kW")]
    efficiency_share: Annotated[
        float,
        QuantityField(
            "share",
            "Efficiency",
            "By the higher heating value, as AFUE on the label; cycling comes off it.",
            above=0,
            at_most=0.95,
            example="78 %",
        ),
    ]
    min_output_w: Annotated[
        float | None, QuantityField("power", "Smallest fire", at_least=0, at_most=1e8, example="4 kW")
    ] = None
    cycling_degradation: Annotated[float, Field(ge=0, le=0.5, title="Cycling loss")] = 0.1
    electric_w: Annotated[
        float, QuantityField("small_power", "Fan, auger and controls while firing", at_least=0, example="80 W")
    ] = 80.0

    @property
    def fuel_key(self) -> str:
        """Pellets."""
        return "pellets"

    def plate_efficiency(self) -> float:
        """As typed."""
        return self.efficiency_share

    def nameplate_w(self) -> float:
        """Rated output [W]."""
        return self.output_w

    def follows_house(self) -> frozenset[str]:
        """Nothing."""
        return frozenset()

    def offer(self, surroundings: Surroundings) -> Offer:
        """Lower to a constant capacity."""
        return self._offer(
            surroundings,
            capacity_w=self.output_w,
            heat_per_input=self.efficiency_share,
            min_fire_w=PELLET_FIRE * self.output_w if self.min_output_w is None else self.min_output_w,
            degradation=self.cycling_degradation,
            auxiliary_w=self.electric_w,
        )
