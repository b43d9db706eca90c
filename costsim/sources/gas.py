"""A boiler on natural gas or propane, and its tank."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field

from costsim.physics.combustion import LOW_FILL, propane_vaporisation_w
from costsim.sources.base import Surroundings
from costsim.sources.fuel_fired import FuelFired
from costsim.sources.traits import FuelTank
from costsim.units.fields import QuantityField
from costsim.units.quantity import show_both
from costsim.words import tr

USUAL_EFFICIENCY = 0.9


class GasBoiler(FuelFired):
    """Natural gas or propane boiler or water heater."""

    title: ClassVar[str] = "Gas boiler"
    market_list: ClassVar[str] = "gas boiler input"
    symbol: ClassVar[str] = "flame"
    air_standard: ClassVar[str] = "NFPA 54"
    example: ClassVar[dict[str, Any]] = {"kind": "gas", "fuel": "natural_gas", "output": "12 kW", "efficiency": "92 %"}

    kind: Literal["gas"]
    fuel: Annotated[Literal["natural_gas", "propane"], Field(title="Fuel")] = "natural_gas"
    tank_volume_m3: Annotated[
        float | None, QuantityField("volume", "Propane tank", "Its whole volume.", above=0, example="250 gal")
    ] = None
    tank_diameter_m: Annotated[
        float | None, QuantityField("length", "Propane tank, diameter", above=0, at_most=5, example="37 in")
    ] = None
    tank_length_m: Annotated[
        float | None, QuantityField("length", "Propane tank, length", above=0, at_most=20, example="9.5 ft")
    ] = None

    @property
    def label(self) -> str:
        """Name for people; by its fuel where none was given."""
        return self.name or (tr("Propane boiler") if self.fuel == "propane" else tr(self.title))

    def _warnings(self, surroundings: Surroundings) -> tuple[str, ...]:
        """Warn of a small tank in the cold, from a rule of thumb that does not cut capacity."""
        texts = super()._warnings(surroundings)
        if self.fuel != "propane" or self.tank_diameter_m is None or self.tank_length_m is None:
            return texts
        coldest = float(surroundings.weather.outdoor_c.min())
        given = float(
            propane_vaporisation_w(
                diameter_m=self.tank_diameter_m, length_m=self.tank_length_m, fill=LOW_FILL, outdoor_c=coldest
            )
        )
        # a modulating burner runs at the load for hours, at its plate only for minutes
        fire_w = min(max(surroundings.design_load_w or self.output_w, self.smallest_fire_w), self.output_w)
        share = self.efficiency_share or USUAL_EFFICIENCY
        if given >= fire_w / share:
            return texts
        text = tr(
            "{label}: at {coldest} a tank {low_fill} full may boil off only {given} of the {asked} it burns on the design night, {full} at"
            " full fire",
            label=self.label,
            coldest=show_both(coldest, "temperature", 0),
            low_fill=f"{LOW_FILL:.0%}",
            given=show_both(given, "power", 0),
            asked=show_both(fire_w / share, "power", 0),
            full=show_both(self.output_w / share, "power", 0),
        )
        return (*texts, tr("{text} (rule of thumb); ask the supplier about a larger tank", text=text))

    def fuel_tank(self) -> FuelTank | None:
        """As typed; none for piped gas."""
        volume_m3 = self.tank_volume_m3 if self.fuel == "propane" else None
        return None if volume_m3 is None else FuelTank(volume_m3, self.tank_diameter_m, self.tank_length_m)

    @property
    def fuel_key(self) -> str:
        """Natural gas or propane."""
        return self.fuel
