"""An invented heat pump that burns gas, as another package would bring it; only `test_another_package.py` runs it, in a process of its own."""

from typing import Annotated, Any, ClassVar, Literal

from costsim.sources.base import HeatSource, Offer, Surroundings
from costsim.sources.outdoor_curve import OutdoorCurve, Outdoors, each_reads
from costsim.sources.traits import UncertainEfficiency
from costsim.units.fields import QuantityField
from costsim.units.rows import Each

SHARE = QuantityField("share", "efficiency", at_least=0.5, at_most=2.0, example="130 %")


class GasLift(HeatSource):
    """Burns gas to lift heat from outdoor air."""

    title: ClassVar[str] = "Gas lift"
    burns_fuel: ClassVar[bool] = True
    air_standard: ClassVar[str] = "NFPA 54"
    outdoors: ClassVar[bool] = True
    feels_cold: ClassVar[bool] = True
    follows_tank: ClassVar[bool | None] = False
    uncertain_efficiency: ClassVar = UncertainEfficiency("efficiency of gas lifts", None, 2.0)
    over_outdoor: ClassVar[tuple[str, ...]] = ("efficiencies",)
    example: ClassVar[dict[str, Any]] = {
        "kind": "lift", "output": "18 kW", "outdoor": ["-15 degC", "7 degC"], "efficiencies": ["110 %", "145 %"],
    }  # fmt: skip

    kind: Literal["lift"]
    output_w: Annotated[float, QuantityField("power", "Rated output", above=0, at_most=1e6, example="18 kW")]
    outdoor: Outdoors
    efficiencies: Annotated[tuple[str, ...], Each(SHARE), each_reads(SHARE)]

    @property
    def fuel_key(self) -> str:
        """Natural gas."""
        return "natural_gas"

    def nameplate_w(self) -> float:
        """Rated output [W]."""
        return self.output_w

    def follows_house(self) -> frozenset[str]:
        """Nothing of its offer depends on the house."""
        return frozenset()

    def offer(self, surroundings: Surroundings) -> Offer:
        """Efficiency by the outdoor temperature."""
        curve = OutdoorCurve.read(self.outdoor, self.efficiencies, SHARE)
        share = curve.at(surroundings.weather.outdoor_c)
        return self._offer(surroundings, capacity_w=self.output_w, heat_per_input=share)
