"""What boilers for gas, propane and oil have in common: what the nameplate gives once altitude and flow are counted."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field, model_validator

from costsim.physics.combustion import (
    MODERN_EFFICIENCY,
    air_pressure_pa,
    altitude_derate,
    condensing_efficiency,
    dew_point_c,
    flow_limited_capacity_w,
)
from costsim.sources.base import HeatSource, Offer, Surroundings
from costsim.sources.hottest_water import SAME_K, stopped
from costsim.sources.houses import HouseOffers, Houses
from costsim.sources.offer import lost_by_steps
from costsim.sources.traits import FormulaRow
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField, fault
from costsim.units.quantity import show_both
from costsim.units.table import FOOT_M
from costsim.words import tr

TYPICAL_CONDENSING_LOSS = 0.02
COLDEST_RETURN_C = 10.0
AFUE_RETURN_C = 48.9
"""120 °F, the return of the test that gives AFUE; value from memory."""
SMALLEST_FIRE = {"one_stage": 1.0, "two_stage": 0.6, "modulating_5": 0.2, "modulating_10": 0.1}
"""Smallest fire over the rated output; common practice, no source."""
WATER_J_M3K = 992.3 * 4179.0
"""Heat capacity of water at 40 °C per volume, from CoolProp."""


class FuelFired(HeatSource):
    """What all burners have in common. Efficiencies are by the higher heating value, as bills and AFUE are."""

    follows_tank: ClassVar[bool | None] = False
    burns_fuel: ClassVar[bool] = True
    rests_on = (
        (
            "output in thin air",
            "nothing less up to 2,000 ft (610 m); higher up 4 % less for each 1,000 ft (305 m) of the whole altitude, unless another altitude rule is entered",
            "NFPA 54 / ANSI Z223.1, one of two readings in print",
            "altitude_rule",
        ),
        (
            "minimum firing rate",
            "20 % of the output (modulating 5:1) where it condenses or reaches 90 %, else the whole of it (one stage), unless how"
            " it fires or its smallest output is entered; below it the burner cycles",
            "common practice, no source",
            "firing",
        ),
        (
            "cycling",
            "up to 10 % of the fuel is lost, most where the burner is on least; it comes off the efficiency entered, unless a cycling loss is entered",
            "common practice, no source",
            "cycling_degradation",
        ),
        (
            "maximum outlet temperature",
            "65 °C (150 °F) where a flow through the unit is entered, unless it is entered; without either, as hot as the tank must be",
            "common practice, no source",
            "max_outlet_temperature",
        ),
    )

    output_w: Annotated[
        float,
        QuantityField(
            "power",
            "Rated output",
            "Heat from the nameplate, not the input.",
            above=0,
            at_most=1e8,
            example="38 kBtu/h",
        ),
    ]
    efficiency_share: Annotated[
        float | None,
        QuantityField(
            "share",
            "Efficiency",
            "By the higher heating value, as AFUE on the label; cycling comes off it.",
            at_least=0.3,
            at_most=1.0,
            example="92 %",
        ),
    ] = None
    condensing: Annotated[
        bool,
        Field(
            title="Condensing",
            description="Efficiency follows the return: the tank's water, or without a tank the supply less what the emitters cool it by.",
        ),
    ] = False
    firing: Annotated[
        Literal["", "one_stage", "two_stage", "modulating_5", "modulating_10"],
        Field(
            title="How the burner fires",
            description="Its minimum firing rate: the whole, 60 %, a fifth or a tenth of the output; by the efficiency without it.",
        ),
    ] = ""
    min_output_w: Annotated[
        float | None,
        QuantityField(
            "power", "Smallest fire", "Below it the burner cycles.", at_least=0, at_most=1e8, example="10 kBtu/h"
        ),
    ] = None
    cycling_degradation: Annotated[
        float, Field(ge=0, le=0.5, title="Cycling loss", description="Share of fuel lost when almost always off.")
    ] = 0.1
    standby_w: Annotated[float, QuantityField("small_power", "Standby fuel", at_least=0, example="20 W")] = 0.0
    electric_w: Annotated[
        float, QuantityField("small_power", "Fan, pump and controls while firing", at_least=0, example="80 W")
    ] = 0.0
    flow_m3_s: Annotated[float | None, QuantityField("flow", "Flow through the unit", above=0, example="4 gpm")] = None
    max_outlet_temperature_c: Annotated[
        float, QuantityField("temperature", "Hottest outlet", at_least=25, at_most=95, example="150 degF")
    ] = 65.0
    altitude_rule: Annotated[
        Literal["total", "above_2000ft", "none"],
        Field(
            title="Altitude rule",
            description="4 % each 1,000 ft: of the whole altitude, or above 2,000 ft; none for units the maker corrects.",
        ),
    ] = "total"

    @model_validator(mode="after")
    def _has_an_efficiency(self) -> FuelFired:
        if self.efficiency_share is None and not self.condensing:
            raise fault("efficiency is missing", 'add efficiency = "92 %", or condensing = true')
        if self.min_output_w is not None and self.min_output_w > self.output_w:
            raise fault("min_output is more than output", 'such as min_output = "10 kBtu/h"')
        if self.min_output_w is not None and self.firing:
            raise fault("the minimum firing rate is given twice", "keep firing or min_output")
        return self

    @property
    def condensing_is_untold(self) -> bool:
        """Whether it is as efficient as condensing units alone are, and the study does not say that it is one, or none."""
        return self._as_if_condensing and "condensing" not in self.model_fields_set and not self.condensing

    @property
    def _as_if_condensing(self) -> bool:
        return self.efficiency_share is not None and self.efficiency_share >= MODERN_EFFICIENCY

    @property
    def smallest_fire_w(self) -> float:
        """Heat below which the burner cycles [W]: as typed, else by how it fires."""
        if self.min_output_w is not None:
            return self.min_output_w
        modern = self.condensing or self._as_if_condensing
        return SMALLEST_FIRE[self.firing or ("modulating_5" if modern else "one_stage")] * self.output_w

    def plate_efficiency(self) -> float | None:
        """As typed."""
        return self.efficiency_share

    def condenses(self) -> bool:
        """As typed; a boiler of 90 % of which nothing is said is asked for it."""
        return self.condensing

    def flow_through_m3_s(self) -> float | None:
        """As typed."""
        return self.flow_m3_s

    def holds_at(self, altitude_m: float) -> Iterator[tuple[str, str, str]]:
        """At which return water the efficiency of a condensing unit holds."""
        if not (self.condensing or self._as_if_condensing):
            return
        pressure, return_c = air_pressure_pa(altitude_m=altitude_m), np.arange(COLDEST_RETURN_C, 100.0, 0.1)
        curve = condensing_efficiency(
            return_c=return_c, fuel=self.fuel_key, jacket_loss=TYPICAL_CONDENSING_LOSS, pressure_pa=pressure
        )
        at_test = f"{np.interp(AFUE_RETURN_C, return_c, curve):.0%}"
        words = {"test": show_both(AFUE_RETURN_C, "temperature", 0), "at_test": at_test}
        if self.efficiency_share is None:
            text = tr("that of the flue gas at each hour's return water: {at_test} at {test}", **words)
        else:
            holds = return_c[curve >= self.efficiency_share]
            words |= {
                "share": f"{self.efficiency_share:.0%}",
                "most": show_both(float(holds[-1]), "temperature", 0) if len(holds) else "",
            }
            if not self.condensing:
                text = tr("{share} as entered, at any return; by the flue gas it would be {at_test} at {test}", **words)
            elif len(holds):
                text = tr(
                    "{share} as entered where water returns at {most} or cooler, less where it is warmer; {at_test} at {test}",
                    **words,
                )
            else:
                text = tr(
                    "less than the {share} entered at any return, as the flue gas allows; {at_test} at {test}", **words
                )
        yield (
            tr("return water of the efficiency"),
            text,
            tr(
                "theory of wet flue gas 5.6 K (10 °F) above the return, less 2 % for the jacket: common practice, no source. That AFUE is"
                " tested with a return of 49 °C (120 °F) is a value from memory"
            ),
        )

    @classmethod
    def of_older_units(cls) -> str:
        """Common practice, no source."""
        return tr("Boilers older than about 1990 are nearer to 80% or less.")

    def hottest_outlet_c(self) -> float | None:
        """As typed, or as most units do."""
        return self.max_outlet_temperature_c

    def nameplate_w(self) -> float:
        """Rated output [W]."""
        return self.output_w

    def offer(self, surroundings: Surroundings) -> Offer:
        """Lower to capacity after altitude and flow, and efficiency over the return temperature."""
        capacity, derates = self._capacity_w(surroundings)
        return self._offer(
            surroundings,
            capacity_w=capacity,
            heat_per_input=self._efficiency(surroundings),
            derates=derates,
            min_fire_w=self._smallest_fire_w(surroundings),
            degradation=self.cycling_degradation,
            standby_w=self.standby_w,
            auxiliary_w=self.electric_w,
            warnings=self._warnings(surroundings),
        )

    def follows_house(self) -> frozenset[str]:
        """Efficiency where it condenses, and capacity where a flow or a hottest outlet limits it: both go with the water."""
        limit = {"capacity"} if self.flow_m3_s is not None or self._ends_at_outlet else set()
        return frozenset(limit | ({"heat_per_input"} if self.condensing else set()))

    def for_houses(self, houses: Houses) -> HouseOffers:
        """Efficiency and capacity by the water of each house."""
        follows, seen, rows = self.follows_house(), houses.seen, {}
        if "heat_per_input" in follows:
            rows["heat_per_input"] = np.asarray(self._efficiency(seen))
        if "capacity" in follows:
            rows["capacity"] = np.minimum(self._burner_w(seen), self._by_flow_w(seen))
        return HouseOffers(rows)

    def formulas(self, altitude_m: float) -> Iterator[FormulaRow]:
        """What thin air leaves of the output."""
        rule = self.altitude_rule
        left = 1.0 if rule == "none" else altitude_derate(altitude_m=altitude_m, reading=rule)
        yield (
            tr("thin air"),
            tr("4 % less for each 1,000 ft, from 2,000 ft up") if rule != "none" else tr("no correction: the maker's"),
            tr(
                "{altitude} m ({feet} ft): {left} of the rated output is left",
                altitude=f"{altitude_m:,.0f}",
                feet=f"{altitude_m / FOOT_M:,.0f}",
                left=f"{left:.0%}",
            ).replace("%", " %"),
            "NFPA 54 / ANSI Z223.1",
        )

    def _capacity_w(self, surroundings: Surroundings) -> tuple[Floats | float, tuple[tuple[str, float], ...]]:
        """Capacity in each hour, and what takes it off the nameplate at the hour of highest demand."""
        burner_w = self._burner_w(surroundings)
        if self.flow_m3_s is None and not self._ends_at_outlet:
            return burner_w, lost_by_steps([self.output_w, burner_w])
        hour = int(np.argmax(surroundings.demand_w))
        if self.flow_m3_s is None:
            capacity = np.minimum(burner_w, self._by_flow_w(surroundings))
            return capacity, lost_by_steps([self.output_w, burner_w, burner_w, float(capacity[hour])])
        inlet = self._inlet_c(surroundings)
        mixed = surroundings.density_kg_m3 * surroundings.heat_capacity_j_kgk
        at = np.array([surroundings.room_c[hour], inlet[hour], inlet[hour]])
        carried = self._carried_w(self.flow_m3_s, at, np.array([WATER_J_M3K, WATER_J_M3K, mixed]))
        lost = lost_by_steps([self.output_w, burner_w, *np.minimum(burner_w, carried).tolist()])
        return np.minimum(burner_w, self._by_flow_w(surroundings)), lost

    def _smallest_fire_w(self, surroundings: Surroundings) -> float:
        """Heat below which the burner cycles in the air of the place [W]: thin air takes the same share of every fire that was not typed."""
        burner_w = self._burner_w(surroundings)
        if self.min_output_w is not None:
            return min(self.min_output_w, burner_w)
        return self.smallest_fire_w * burner_w / self.output_w

    def _burner_w(self, surroundings: Surroundings) -> float:
        """Rated output in the air of the place [W]."""
        rule = self.altitude_rule
        thin_air = 1.0 if rule == "none" else altitude_derate(altitude_m=surroundings.altitude_m, reading=rule)
        return self.output_w * thin_air

    @property
    def _ends_at_outlet(self) -> bool:
        """Whether a hottest outlet was entered, which holds without a flow too."""
        return "max_outlet_temperature_c" in self.model_fields_set

    def makes_water(self, water_c: float) -> bool:
        """Whether it can heat a tank, or what returns from the emitters, to this temperature [°C]."""
        return not self._ends_at_outlet or water_c <= self.max_outlet_temperature_c + SAME_K

    def _target_c(self, surroundings: Surroundings, allowed: Floats) -> Floats:
        """How far it charges the store in each hour (n,): no further than its hottest outlet brings it."""
        target = super()._target_c(surroundings, allowed)
        return np.minimum(target, self.max_outlet_temperature_c) if self._ends_at_outlet else target

    def _by_flow_w(self, surroundings: Surroundings) -> Floats:
        """Most that the flow carries in each hour [W]; without a flow all, but for hours that need water hotter than it makes."""
        if self.flow_m3_s is None:
            return np.where(surroundings.water_c > self.max_outlet_temperature_c + SAME_K, 0.0, np.inf)
        mixed = surroundings.density_kg_m3 * surroundings.heat_capacity_j_kgk
        return self._carried_w(self.flow_m3_s, self._inlet_c(surroundings), mixed)

    def _inlet_c(self, surroundings: Surroundings) -> Floats:
        """Water that comes to the unit: the tank's, as hot as the floor needs it, or without a tank what the floor sends back.

        A flow of its own that is more than the floor's takes the rest from the supply, so that it cools by less. While it fills a
        store, water comes halfway from there to the store's top.
        """
        drop = surroundings.drop_k
        if self.flow_m3_s is not None and surroundings.tank_m3 == 0.0:
            carried_w_k = self.flow_m3_s * surroundings.density_kg_m3 * surroundings.heat_capacity_j_kgk
            drop = np.minimum(drop, surroundings.demand_w / carried_w_k)
        need = np.asarray(surroundings.water_c - drop)
        if not self.store:
            return need
        top = min(surroundings.store_c, self.max_outlet_temperature_c)
        return np.asarray((need + np.maximum(top, need)) / 2.0)

    def _carried_w(self, flow_m3_s: float, inlet_c: Floats, volumetric_j_m3k: Floats | float) -> Floats:
        """Most that the flow through the unit carries between its inlet and the hottest outlet [W]."""
        return flow_limited_capacity_w(
            flow_m3_s=flow_m3_s,
            max_outlet_c=self.max_outlet_temperature_c,
            inlet_c=inlet_c,
            density_kg_m3=volumetric_j_m3k,
            heat_capacity_j_kgk=1.0,
        )

    def _efficiency(self, surroundings: Surroundings) -> Floats | float:
        if not self.condensing and self.efficiency_share is not None:
            return self.efficiency_share
        curve = condensing_efficiency(
            return_c=self._inlet_c(surroundings),
            fuel=self.fuel_key,
            jacket_loss=TYPICAL_CONDENSING_LOSS,
            pressure_pa=air_pressure_pa(altitude_m=surroundings.altitude_m),
        )
        return np.asarray(curve) if self.efficiency_share is None else np.minimum(curve, self.efficiency_share)

    def _warnings(self, surroundings: Surroundings) -> tuple[str, ...]:
        ends = self.flow_m3_s is not None or self._ends_at_outlet
        water, demand = surroundings.water_c, surroundings.demand_w
        stops = stopped(self.label, self.max_outlet_temperature_c, water, demand) if ends else ()
        return (*stops, *self._never_condenses(surroundings))

    def _never_condenses(self, surroundings: Surroundings) -> tuple[str, ...]:
        if self.condensing or self.efficiency_share is None or self.efficiency_share <= 0.90:
            return ()
        pressure = air_pressure_pa(altitude_m=surroundings.altitude_m)
        design, dew = float(self._inlet_c(surroundings).max()), dew_point_c(fuel=self.fuel_key, pressure_pa=pressure)
        if design > dew:
            return (
                tr(
                    "{label}: {efficiency_share} needs return water below {dew}, but it reaches {design}",
                    label=self.label,
                    efficiency_share=f"{self.efficiency_share:.0%}",
                    dew=show_both(dew, "temperature", 0),
                    design=show_both(design, "temperature", 0),
                ),
            )
        return ()
