"""Test points of a heat pump's sheet."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from costsim.units.fields import QuantityField, StudyModel, fault
from costsim.units.table import ZERO_C_K
from costsim.words import tr


class TestPoint(StudyModel):
    """What was measured at one pair of temperatures, such as a row of an EN 14511 or EN 14825 sheet."""

    __test__ = False  # no test of ours

    outdoor_c: Annotated[
        float, QuantityField("temperature", "Outdoor air", at_least=-60, at_most=45, example="-7 degC")
    ]
    supply_c: Annotated[
        float, QuantityField("temperature", "Water that leaves the unit", at_least=15, at_most=90, example="34 degC")
    ]
    output_w: Annotated[float, QuantityField("power", "Heat at full speed", above=0, at_most=1e8, example="6 kW")]
    cop: Annotated[float, Field(ge=1.0, le=12.0, title="Coefficient of performance")]

    @model_validator(mode="after")
    def _has_lift(self) -> TestPoint:
        if self.supply_c < self.outdoor_c + 5.0:
            raise fault("supply is not 5 K warmer than outdoor", 'such as outdoor = "-7 degC", supply = "34 degC"')
        ideal = (self.supply_c + ZERO_C_K) / (self.supply_c - self.outdoor_c)
        if self.cop > 0.8 * ideal:
            text = tr(
                "cop {cop} is more than 80 % of the ideal machine's {ideal} between these temperatures",
                cop=f"{self.cop:g}",
                ideal=f"{ideal:.1f}",
            )
            raise fault(text, "give the COP of the sheet at this pair of temperatures")
        return self
