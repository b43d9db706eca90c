"""Air-to-water heat pump."""

from __future__ import annotations

import itertools
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, field_validator, model_validator

from costsim.physics.heat_pump import capacity_w, carnot_cop, defrost_factor, regression_cop, within_fit
from costsim.sources.base import HeatSource, Offer, Surroundings, register
from costsim.units.fields import QuantityField, fault

Floats = NDArray[np.float64]
_OUTDOOR = QuantityField("temperature", "outdoor", at_least=-60, at_most=60, example="-7 degC")
_OUTPUT = QuantityField("power", "output", above=0, example="6 kW")


@register
class HeatPump(HeatSource):
    """Heat pump between outdoor air and the tank, by its test points."""

    title: ClassVar[str] = "Air-to-water heat pump"
    example: ClassVar[dict[str, Any]] = {
        "kind": "heat_pump",
        "outdoor": ["-15 degC", "7 degC"],
        "outputs": ["5 kW", "8 kW"],
    }

    rests_on = (
        (
            "heat for each unit of electricity",
            "falls with the lift from outdoor air to the water, as measured units did, unless a share of the ideal is typed",
            "Staffell et al., Energy & Environmental Science 5 (2012)",
            "carnot_fraction",
        ),
    )

    kind: Literal["heat_pump"]
    outdoor: Annotated[
        tuple[str, ...], Field(title="Outdoor temperatures of the test points", min_length=2, max_length=12)
    ]
    outputs: Annotated[tuple[str, ...], Field(title="Heat at those points, at full speed", min_length=2, max_length=12)]
    carnot_fraction: Annotated[
        float | None,
        Field(
            ge=0.1,
            le=0.7,
            title="Share of Carnot",
            description="0.30 to 0.50 in practice; a published regression without it.",
        ),
    ] = None
    cut_out_c: Annotated[
        float, QuantityField("temperature", "Stops below", at_least=-60, at_most=20, example="-20 degC")
    ] = -20.0
    defrost_share: Annotated[
        float,
        QuantityField(
            "share", "Loss by defrosting", "Around freezing in damp air.", at_least=0, at_most=0.4, example="10 %"
        ),
    ] = 0.10
    cycling_degradation: Annotated[float, Field(ge=0, le=0.5, title="Cycling loss")] = 0.1
    min_output_w: Annotated[
        float, QuantityField("power", "Smallest output", "Below it the unit cycles.", at_least=0, example="2 kW")
    ] = 0.0

    @field_validator("outdoor")
    @classmethod
    def _temperatures(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        read = [_OUTDOOR.read(text) for text in value]
        if any(b <= a for a, b in itertools.pairwise(read)):
            raise fault("outdoor temperatures must rise", 'such as outdoor = ["-15 degC", "7 degC"]')
        return value

    @field_validator("outputs")
    @classmethod
    def _powers(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        for text in value:
            _OUTPUT.read(text)
        return value

    @model_validator(mode="after")
    def _one_output_each(self) -> HeatPump:
        if len(self.outdoor) != len(self.outputs):
            raise fault(
                f"{len(self.outdoor)} temperatures but {len(self.outputs)} outputs",
                "give one output for each outdoor temperature",
            )
        return self

    def nameplate_w(self) -> float:
        """Heat at the warmest test point [W]."""
        return float(_OUTPUT.read(self.outputs[-1]))

    def offer(self, surroundings: Surroundings) -> Offer:
        """Lower to capacity and coefficient of performance over outdoor and water temperature."""
        outdoor = surroundings.weather.outdoor_c
        frost = defrost_factor(outdoor_c=outdoor, depth=self.defrost_share)
        full = capacity_w(
            outdoor_c=outdoor,
            test_outdoor_c=[_OUTDOOR.read(text) for text in self.outdoor],
            test_capacity_w=[_OUTPUT.read(text) for text in self.outputs],
            cut_out_c=self.cut_out_c,
        )
        capacity = np.maximum(full, 0.0) * frost
        water = np.where(self.store, surroundings.store_c, surroundings.water_c)
        cop = np.maximum(self._cop(water, outdoor) * frost, 1.0)
        at_design = float(capacity[int(np.argmax(surroundings.demand_w))])
        cold = self.nameplate_w() - at_design
        return self._offer(
            surroundings,
            capacity_w=capacity,
            heat_per_input=cop,
            derates=(("outdoor cold", cold),) if cold > 0.5 else (),
            min_fire_w=self.min_output_w,
            degradation=self.cycling_degradation,
            warnings=self._warnings(water, surroundings),
        )

    def _cop(self, water_c: Floats, outdoor_c: Floats) -> Floats:
        if self.carnot_fraction is None:
            return regression_cop(lift_k=water_c - outdoor_c)
        # below 5 K of lift the ideal machine's figure runs away from any real one
        return carnot_cop(sink_c=np.maximum(water_c, outdoor_c + 5.0), source_c=outdoor_c, share=self.carnot_fraction)

    def _warnings(self, water_c: Floats, surroundings: Surroundings) -> tuple[str, ...]:
        lift = (water_c - surroundings.weather.outdoor_c)[surroundings.demand_w > 0]
        outside = float(np.mean(~within_fit(lift_k=lift))) if lift.size else 0.0
        if self.carnot_fraction is None and outside > 0.05:
            return (
                f"{self.label}: {outside:.0%} of heating hours lie outside the 15 to 60 K of lift for which the efficiency was published",
            )
        return ()
