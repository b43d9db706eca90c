"""Own generation as people type it: panels by their peak power, or an hourly file, and what the grid pays for what is left."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from costsim.study_files import NamesFile
from costsim.units.fields import QuantityField, StudyModel, fault
from costsim.units.quantity import Quantity

Module = Literal["standard", "premium", "thin_film"]
LOSS_PER_K: dict[str, float] = {"standard": 0.0047, "premium": 0.0035, "thin_film": 0.0020}
"""Share of a module's power lost with each kelvin above 25 °C; values from memory of the PVWatts version 5 manual, NREL/TP-6A20-62641."""


class SolarElectric(StudyModel):
    """Panels on the house, in front of the same meter. A battery is not computed."""

    peak_power_w: Annotated[
        float | None,
        QuantityField(
            "electric_power", "Peak power", "Of the panels, direct current.", above=0, at_most=1e5, example="5 kW"
        ),
    ] = None
    tilt_deg: Annotated[float, QuantityField("angle", "Slope", at_least=0, at_most=90, example="30 deg")] = 30.0
    azimuth_deg: Annotated[
        float | None,
        QuantityField(
            "angle",
            "Facing",
            "180 for south; towards the equator by default.",
            at_least=0,
            at_most=360,
            example="180 deg",
        ),
    ] = None
    losses_share: Annotated[
        float, QuantityField("share", "Losses", "Dirt, shade, wiring, age.", at_least=0, at_most=0.9, example="14 %")
    ] = 0.14
    module: Annotated[Module, Field(title="Kind of module")] = "standard"
    inverter_efficiency_share: Annotated[
        float, QuantityField("share", "Efficiency of the inverter", above=0.5, at_most=1, example="96 %")
    ] = 0.96
    dc_to_ac: Annotated[float, Field(ge=0.5, le=3.0, title="Peak power over the inverter's")] = 1.2
    hours: Annotated[
        str,
        Field(
            title="File of hourly generation",
            description="In place of peak_power: a CSV with a column 'electricity [kWh]'.",
        ),
        NamesFile("hourly generation"),
    ] = ""
    export: Annotated[
        Quantity | None, QuantityField("price", "Price of what is exported", at_least=0, example="0.04 $/kWh")
    ] = None
    net_metering: Annotated[
        Literal["none", "month", "year"],
        Field(
            title="Net metering",
            description="Export counts against use of the same price period, within the month or the year.",
        ),
    ] = "none"

    @model_validator(mode="after")
    def _one_of_two(self) -> SolarElectric:
        if (self.peak_power_w is None) == (not self.hours):
            raise fault("own generation is given twice or not at all", 'write peak_power = "5 kW", or hours = "pv.csv"')
        if self.export is not None and self.export.dims[:3] != (-2, -1, 2):
            raise fault("export is no price of electricity", 'write it like export = "0.04 $/kWh"')
        return self

    @property
    def export_per_j(self) -> float:
        """What a joule exported is paid; of net metering what is left over."""
        return self.export.value if self.export is not None else 0.0
