"""Electric resistance heating, on the ordinary meter or on an off-peak one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import model_validator

from costsim.physics.circuits import CONTINUOUS_FACTOR, continuous_amps, next_breaker_a
from costsim.sources.base import HeatSource, Offer, Surroundings
from costsim.sources.traits import FormulaRow
from costsim.units.fields import QuantityField, fault
from costsim.words import tr

CONTINUOUS_SHARE = 1.0 / CONTINUOUS_FACTOR
"""Share of a breaker that a load of three hours and more may use; common practice in areas under the NEC."""


class _Resistance(HeatSource):
    """What resistance units have in common."""

    follows_tank: ClassVar[bool | None] = False
    continuous_load: ClassVar[bool] = True

    output_w: Annotated[
        float | None,
        QuantityField(
            "electric_power", "Rated output", "Heat from the nameplate.", above=0, at_most=1e8, example="9 kW"
        ),
    ] = None
    efficiency_share: Annotated[
        float,
        QuantityField(
            "share",
            "Efficiency",
            "Heat to the tank for each unit of electricity.",
            at_least=0.5,
            at_most=1.0,
            example="99 %",
        ),
    ] = 1.0
    volts_v: Annotated[
        float | None,
        QuantityField(
            "voltage",
            "Voltage",
            "Alone, without a breaker, it limits nothing: the breaker follows from the size.",
            above=0,
            at_most=1000,
        ),
    ] = None
    breaker_a: Annotated[
        float | None,
        QuantityField(
            "current",
            "Breaker",
            "One that is there already and limits the heat; its volts with it.",
            above=0,
            at_most=4000,
            example="60 A",
        ),
    ] = None

    @model_validator(mode="after")
    def _has_a_size(self) -> _Resistance:
        if self.volts_v is None and self.breaker_a is not None:
            raise fault("has a breaker without its volts", 'add volts = "240 V"')
        if self.output_w is None and self.breaker_a is None:
            raise fault("has no size", 'add output = "9 kW", or volts and breaker')
        return self

    def plate_efficiency(self) -> float:
        """As typed."""
        return self.efficiency_share

    def circuit(self) -> tuple[float | None, float | None]:
        """As typed."""
        return self.volts_v, self.breaker_a

    def nameplate_w(self) -> float:
        """Rated heat output, or what the breaker carries where no output is given [W]."""
        return self.output_w if self.output_w is not None else self.breaker_limit_w() * self.efficiency_share

    def follows_house(self) -> frozenset[str]:
        """Nothing."""
        return frozenset()

    def formulas(self, altitude_m: float) -> Iterator[FormulaRow]:
        """The circuit of a unit whose voltage is known."""
        load = self.nameplate_w() / self.efficiency_share
        if self.volts_v:
            amps = continuous_amps(load_w=load, volts_v=self.volts_v)
            next_a = next_breaker_a(load / self.volts_v)
            asked = tr("next breaker {breaker} A", breaker=next_a) if next_a else tr("beyond one breaker")
            given = tr("breaker {breaker} A", breaker=f"{self.breaker_a:g}") if self.breaker_a else asked
            yield (
                tr("circuit of {label}", label=self.label),
                f"I = {CONTINUOUS_FACTOR:g} P / U",
                tr(
                    "{continuous_factor} × {load} W / {volts} V = {continuous_amps} A; {breaker}",
                    continuous_factor=f"{CONTINUOUS_FACTOR:g}",
                    load=f"{load:,.0f}",
                    volts=f"{self.volts_v:g}",
                    continuous_amps=f"{amps:.1f}",
                    breaker=given,
                ),
                tr("NFPA 70, articles 210.19, 210.20 and 424"),
            )

    def breaker_limit_w(self) -> float:
        """Continuous electric load that the breaker carries [W]; unlimited where none is given."""
        if self.volts_v is None or self.breaker_a is None:
            return float("inf")
        return self.volts_v * self.breaker_a * CONTINUOUS_SHARE

    def offer(self, surroundings: Surroundings) -> Offer:
        """Lower to a constant capacity, cut to what the breaker carries."""
        rated = self.nameplate_w()
        carried = min(rated, self.breaker_limit_w() * self.efficiency_share)
        derates = (("breaker", rated - carried),) if carried < rated else ()
        warning = (
            tr(
                "{label}: {rated} kW is more than {breaker} A at {volts} V carries for hours"
                " ({breaker_limit} kW); a licensed electrician must check breaker and wire",
                label=self.label,
                rated=f"{rated / 1000.0:.1f}",
                breaker=f"{self.breaker_a:g}",
                volts=f"{self.volts_v:g}",
                breaker_limit=f"{self.breaker_limit_w() / 1000.0:.1f}",
            )
            if derates
            else ""
        )
        return self._offer(
            surroundings,
            capacity_w=carried,
            heat_per_input=self.efficiency_share,
            derates=derates,
            warnings=(warning,) if warning else (),
        )


class Electric(_Resistance):
    """Electric resistance boiler or elements on the house's meter."""

    title: ClassVar[str] = "Electric boiler"
    market_list: ClassVar[str] = "electric boiler output"
    symbol: ClassVar[str] = "element"
    example: ClassVar[dict[str, Any]] = {"kind": "electric", "output": "9 kW", "efficiency": "99 %"}

    kind: Literal["electric"]


class OffPeakElectric(_Resistance):
    """Electric resistance that runs in off-peak hours only, and may charge the store in them."""

    title: ClassVar[str] = "Off-peak electric boiler"
    market_list: ClassVar[str] = "electric boiler output"
    symbol: ClassVar[str] = "element"
    utility_controlled: ClassVar[bool] = True
    cheap_hours: ClassVar[bool] = True
    same_heater_as: ClassVar[str] = "electric"
    example: ClassVar[dict[str, Any]] = {"kind": "off_peak_electric", "output": "12 kW", "windows": ["22:00-06:00"]}

    rests_on = (
        (
            "charging of the store",
            "to the highest tank temperature in every off-peak hour, in summer too, unless it charges by a forecast or months are stated",
            "common practice, no source", "charging",
        ),
    )  # fmt: skip

    kind: Literal["off_peak_electric"]
    store: bool = True

    @model_validator(mode="after")
    def _has_hours(self) -> OffPeakElectric:
        held = self.curtailment is not None and (self.curtailment.coldest_hours or self.curtailment.windows)
        if not self.windows and not held:
            raise fault("off-peak heat has no hours", 'add windows = ["22:00-06:00"] or a control table')
        return self

    def price_key(self, tables: Mapping[str, Any]) -> str:
        """The off-peak meter where there is one, else the house's."""
        return self.price or ("off_peak" if "off_peak" in tables else "electricity")
