"""Air-to-water heat pump."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field, model_validator

from costsim.physics.heat_pump import (
    CERTIFIED_SPREAD,
    capacity_w,
    carnot_cop,
    certified_cop,
    cop_between_points,
    defrost_factor,
    over_points,
)
from costsim.sources.base import HeatSource, Offer, Surroundings, may_run
from costsim.sources.hottest_water import SAME_K, half_charged, too_cold, too_hot
from costsim.sources.houses import HouseOffers, Houses
from costsim.sources.outdoor_curve import MOST_POINTS, OutdoorCurve, Outdoors, each_reads
from costsim.sources.test_point import TestPoint
from costsim.sources.traits import KindCaution, UncertainEfficiency
from costsim.units.arrays import Bools, Floats
from costsim.units.fields import QuantityField, fault
from costsim.units.quantity import show_both
from costsim.units.rows import Each
from costsim.words import tr

_OUTPUT = QuantityField("power", "output", above=0, at_most=1e8, example="6 kW")
SMALLEST_SHARE = 0.3
"""Smallest output of a regulated compressor over its rated output; common practice, no source."""
DEFROST_SHARE = 0.10
WARM_C = 60.0
"""Water that many units do not make; common practice, no source."""


class HeatPump(HeatSource):
    """Heat pump between outdoor air and the tank, by its test points."""

    follows_tank: ClassVar[bool | None] = False
    title: ClassVar[str] = "Air-to-water heat pump"
    market_list: ClassVar[str] = "heat pump output"
    symbol: ClassVar[str] = "fan"
    example: ClassVar[dict[str, Any]] = {
        "kind": "heat_pump",
        "outdoor": ["-15 degC", "7 degC"],
        "outputs": ["5 kW", "8 kW"],
    }
    uncertain_efficiency: ClassVar[UncertainEfficiency | None] = UncertainEfficiency(
        "efficiency of heat pumps", CERTIFIED_SPREAD
    )
    outdoors: ClassVar[bool] = True
    continuous_load: ClassVar[bool] = True
    feels_cold: ClassVar[bool] = True
    likes_cool_water: ClassVar[bool] = True
    over_outdoor: ClassVar[tuple[str, ...]] = ("outputs",)
    curve: ClassVar[tuple[str, ...]] = ("outdoor", "outputs", "test_point")

    stands_for: ClassVar[dict[str, str]] = {"carnot_fraction": "test_point"}
    rests_on = (
        (
            "heat for each unit of electricity",
            "less the colder it is outside and the warmer the water, like the average of certified units; type test points from the"
            " unit's sheet, with their COP, to have its own",
            "means of 2,845 units rated to EN 14825, ±10 % between units; defrosting included",
            "test_point",
        ),
        (
            "water that leaves it",
            "5 K (9 °F) warmer than the tank, or than the water the emitters need, unless typed",
            "common practice, no source",
            "approach",
        ),
        (
            "hottest water it makes",
            "no upper limit unless typed, though most units end between 55 and 65 °C (130 and 150 °F); with a limit it stops in"
            " hours that need hotter water",
            "common practice, no source; the unit's sheet to EN 14511 or EN 14825 states it",
            "max_outlet_temperature",
        ),
        (
            "circulator between it and the water",
            "60 W while it runs, unless typed",
            "common practice, no source",
            "pump",
        ),
        (
            "outdoor temperature below which it stops",
            "−20 °C (−4 °F), unless typed; many models for cold climates go lower",
            "common practice, no source",
            "cut_out",
        ),
        (
            "smallest output",
            "30 % of the rated output, below which it cycles, unless typed",
            "common practice, no source",
            "min_output",
        ),
    )

    kind: Literal["heat_pump"]
    outdoor: Annotated[Outdoors, Field(title="Outdoor temperatures of the outputs below", max_length=MOST_POINTS)] = ()
    outputs: Annotated[
        tuple[str, ...],
        Each(_OUTPUT),
        each_reads(_OUTPUT),
        Field(title="Heat at those temperatures, at full speed", max_length=MOST_POINTS),
    ] = ()
    test_point: Annotated[
        tuple[TestPoint, ...],
        Field(title="Test points", description="In place of outdoor and outputs, with the COP of each.", max_length=40),
    ] = ()
    carnot_fraction: Annotated[
        float | None,
        Field(
            ge=0.1,
            le=0.7,
            title="Efficiency against the ideal (Carnot)",
            description="0.30 to 0.50 in practice; the mean of certified units without it.",
        ),
    ] = None
    approach_k: Annotated[
        float,
        QuantityField("temperature_difference", "Leaving water above the tank", at_least=0, at_most=20, example="5 K"),
    ] = 5.0
    max_outlet_temperature_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Hottest water it makes",
            "As its sheet states it; it stops in hours that need hotter water. No limit without it.",
            at_least=25,
            at_most=90,
            example="60 degC",
        ),
    ] = None
    cut_out_c: Annotated[
        float, QuantityField("temperature", "Stops below", at_least=-60, at_most=20, example="-20 degC")
    ] = -20.0
    defrost_share: Annotated[
        float | None,
        QuantityField(
            "share",
            "Loss by defrosting",
            "Around freezing in damp air; 10 % of the outputs by default, nothing where test points hold it.",
            at_least=0,
            at_most=0.4,
            example="10 %",
        ),
    ] = None
    cycling_degradation: Annotated[float, Field(ge=0, le=0.5, title="Cycling loss")] = 0.1
    min_output_w: Annotated[
        float | None,
        QuantityField("power", "Smallest output", "Below it the unit cycles.", at_least=0, at_most=1e8, example="2 kW"),
    ] = None
    pump_w: Annotated[
        float, QuantityField("small_power", "Circulator while running", at_least=0, at_most=1e5, example="60 W")
    ] = 60.0

    def _rows_agree(self) -> None:
        if self.test_point and (self.outdoor or self.outputs):
            raise fault("outputs are given twice", "keep test_point, or outdoor and outputs")
        super()._rows_agree()

    @model_validator(mode="after")
    def _one_output_each(self) -> HeatPump:
        if self.test_point and self.carnot_fraction is not None:
            raise fault("efficiency is given twice", "keep the COP of the test points, or carnot")
        if not self.test_point and len(self.outdoor) < 2:
            raise fault(
                "has no two outputs",
                'add outdoor = ["-15 degC", "7 degC"] and outputs = ["5 kW", "8 kW"], or [[option.source.test_point]]',
            )
        most = self.max_outlet_temperature_c
        if most is not None and any(point.supply_c > most for point in self.test_point):
            raise fault(
                "the hottest water it makes is cooler than that of a test point",
                "give max_outlet_temperature as the sheet has it, or leave it out",
            )
        return self

    def _output_curve(self) -> OutdoorCurve:
        return OutdoorCurve.read(self.outdoor, self.outputs, _OUTPUT)

    def hottest_outlet_c(self) -> float | None:
        """As typed."""
        return self.max_outlet_temperature_c

    def stops_below_c(self) -> tuple[float, bool] | None:
        """As typed, or as most units do."""
        return self.cut_out_c, "cut_out_c" in self.model_fields_set

    def nameplate_w(self) -> float:
        """Heat at the warmest test point [W]."""
        if self.test_point:
            return max(self.test_point, key=lambda point: point.outdoor_c).output_w
        return float(_OUTPUT.read(self.outputs[-1]))

    def curve_ends(self) -> tuple[tuple[float, float], ...]:
        """The warmest and the coldest outdoor temperature [°C] of its sheet, with the output there [W]."""
        curve = self._output_curve()
        typed = zip(curve.outdoor_c, curve.values, strict=True)
        points = [(point.outdoor_c, point.output_w) for point in self.test_point] or list(typed)
        return max(points), min(points)

    def resized(self, typed: Mapping[str, Any], output_w: float) -> dict[str, Any]:
        """All outputs of its sheet in the same proportion; the COP stays."""
        factor = output_w / self.nameplate_w()
        scaled = {key: value for key, value in typed.items() if key not in ("outputs", "test_point", "min_output")}
        if self.test_point:
            points = zip(typed["test_point"], self.test_point, strict=True)
            scaled["test_point"] = [{**dict(row), "output": f"{point.output_w * factor!r} W"} for row, point in points]
        else:
            scaled["outputs"] = [f"{float(_OUTPUT.read(text)) * factor!r} W" for text in self.outputs]
        if self.min_output_w is not None:
            scaled["min_output"] = f"{self.min_output_w * factor!r} W"
        return scaled

    def follows_house(self) -> frozenset[str]:
        """Its efficiency, which goes with the water, and its output where that was tested at several supplies, or ends at one."""
        tested = [point.outdoor_c for point in self.test_point]
        by_water = len(set(tested)) < len(tested) or self.max_outlet_temperature_c is not None
        return frozenset({"heat_per_input", *({"capacity"} if by_water else ())})

    def makes_water(self, water_c: float) -> bool:
        """Whether it can heat a tank, or what returns from the emitters, to this temperature [°C]."""
        most = self.max_outlet_temperature_c
        return most is None or water_c + self.approach_k <= most + SAME_K

    def cautions(self) -> Iterator[KindCaution]:
        """The refrigerant."""
        yield KindCaution(
            "refrigerant",
            tr("Refrigerant"),
            tr("The refrigerant circuit is for certified people."),
            (
                tr(
                    "opening the refrigerant circuit is for certified people; some refrigerants burn and need"
                    " distance from windows and flames."
                ),
            ),
            "ASHRAE 15, CSA B52, EN 378",
            "the study has {names}; standards from memory",
        )

    def offer(self, surroundings: Surroundings) -> Offer:
        """Lower to capacity and coefficient of performance over outdoor and leaving-water temperature."""
        able, cop = self._curves(surroundings, surroundings.weather.outdoor_c, surroundings.water_c)
        served = self._served_w(surroundings)
        capacity = able if served is None else np.minimum(able, served)
        at, least = int(np.argmax(surroundings.demand_w)), self.min_output_w
        lost = (
            (tr("outdoor cold"), self.nameplate_w() - float(able[at])),
            (tr("water temperature"), float(able[at] - capacity[at])),
        )
        return self._offer(
            surroundings,
            capacity_w=capacity,
            heat_per_input=cop,
            derates=tuple((why, watts) for why, watts in lost if watts > 0.5),
            min_fire_w=SMALLEST_SHARE * self.nameplate_w() if least is None else least,
            degradation=self.cycling_degradation,
            auxiliary_w=self.pump_w,
            warnings=self._warnings(surroundings, able) if served is None else self._left(surroundings, able, served),
        )

    def _served_w(self, surroundings: Surroundings) -> Floats | None:
        """Heat whose water it makes (n,) [W], of many houses too; infinite where it makes all that is asked, None without a limit."""
        if self.max_outlet_temperature_c is None:
            return None
        most, layers = self.max_outlet_temperature_c - self.approach_k + SAME_K, surroundings.layers
        if layers is None:
            return np.where(surroundings.water_c > most, 0.0, np.inf)
        most = most if most < surroundings.max_temperature_c else np.inf
        floor = (layers.floor_c > most) & (layers.floor_w > 0.0)
        uses = layers.uses_c > most
        left = np.where(floor, 0.0, layers.floor_w) + np.where(uses, 0.0, layers.uses_w)
        return np.where(floor | uses, left, np.inf)

    def _wanted(self, surroundings: Surroundings) -> tuple[Bools, Bools]:
        """Hours with demand in which it may run: those too cold outdoors for it, and the others (n,)."""
        weather = surroundings.weather
        wanted = (surroundings.demand_w > 0.0) & (may_run(self, weather, surroundings.calendar) > 0.0)
        cold = weather.outdoor_c < self.cut_out_c
        return wanted & cold, wanted & ~cold

    def stop_hours(self, surroundings: Surroundings) -> tuple[int, int]:
        """By its cut-out and its hottest water; in hours in which it serves a part it does not stop."""
        cold, runs = self._wanted(surroundings)
        served = self._served_w(surroundings)
        return int(cold.sum()), 0 if served is None else int((runs & (served == 0.0)).sum())

    def _left(self, surroundings: Surroundings, able: Floats, served: Floats) -> tuple[str, ...]:
        """Hours in which it stops, or serves a part, although it could run, and a store that it cannot charge in full."""
        seen, layers = surroundings, surroundings.layers
        most = self.max_outlet_temperature_c or np.inf
        cold, runs = self._wanted(seen)
        runs &= able > 0.0
        needed = seen.water_c if layers is None else np.where(layers.uses_w > 0.0, layers.uses_c, layers.floor_c)
        left = []
        for hours, whole in ((runs & (served == 0.0), True), (runs & (served > 0.0) & (served < np.inf), False)):
            if hours.any():
                hottest = min(float(needed[hours].max()), seen.max_temperature_c) + self.approach_k
                stops = too_cold(self.cut_out_c, int(cold.sum()))
                left.append(too_hot(self.label, most, hottest, int(hours.sum()), whole=whole, cold=stops))
        if self.store and not self.makes_water(seen.store_c):
            left.append(half_charged(self.label, most, most - self.approach_k, seen.store_c))
        return tuple(left)

    def _target_c(self, surroundings: Surroundings, allowed: Floats) -> Floats:
        """How far it charges the store in each hour (n,): no further than its hottest water brings it."""
        target, most = super()._target_c(surroundings, allowed), self.max_outlet_temperature_c
        return target if most is None else np.minimum(target, most - self.approach_k)

    def _warnings(self, surroundings: Surroundings, capacity: Floats) -> tuple[str, ...]:
        """Water that it may not be made for, in the hours in which it could run."""
        supply = self._supply_c(surroundings, surroundings.water_c)
        hot = (supply > WARM_C) & (capacity > 0.0) & (surroundings.demand_w > 0.0)
        if not hot.any():
            return ()
        return (
            tr(
                "{label}: the emitters ask it for water of up to {supply}, above {warm} in {hours} hours; most heat pumps end between"
                " 55 and 65 °C (130 and 150 °F) and leave the rest to another source, so its cost may be told too low: see the"
                " maker's sheet, or plan emitters for cooler water",
                label=self.label,
                supply=show_both(float(supply[hot].max()), "temperature", 0),
                warm=show_both(WARM_C, "temperature", 0),
                hours=f"{int(hot.sum()):,}",
            ),
        )

    def for_houses(self, houses: Houses) -> HouseOffers:
        """Capacity and coefficient of performance by the water of each house."""
        water = houses.seen.water_c
        outdoor = np.broadcast_to(houses.seen.weather.outdoor_c, water.shape)
        curves = self._curves(houses.seen, outdoor.ravel(), water.ravel())
        curves_by_name = dict(
            zip(("capacity", "heat_per_input"), (point.reshape(water.shape) for point in curves), strict=True)
        )
        if (served := self._served_w(houses.seen)) is not None:
            curves_by_name["capacity"] = np.minimum(curves_by_name["capacity"], served)
        return HouseOffers({name: curves_by_name[name] for name in self.follows_house()})

    def _curves(self, surroundings: Surroundings, outdoor: Floats, water: Floats) -> tuple[Floats, Floats]:
        """Capacity [W] and coefficient of performance at outdoor and tank temperatures (n,)."""
        supply = self._supply_c(surroundings, water)
        depth = self.defrost_share if self.defrost_share is not None else 0.0 if self.test_point else DEFROST_SHARE
        frost = defrost_factor(outdoor_c=outdoor, depth=depth)
        capacity = np.maximum(self._full_w(outdoor, supply), 0.0) * frost
        # certified and tested figures hold their defrosting
        cop = self._cop(supply, outdoor) * (
            frost if self.carnot_fraction is not None or self.defrost_share is not None else 1.0
        )
        return capacity, np.maximum(cop, 1.0)

    def _supply_c(self, surroundings: Surroundings, water: Floats) -> Floats:
        """Water that leaves it (n,) [°C]."""
        store_c, most = surroundings.store_c, self.max_outlet_temperature_c
        if most is not None:
            store_c = min(store_c, most - self.approach_k)
        return np.asarray(np.maximum(water, store_c if self.store else water) + self.approach_k)

    def _full_w(self, outdoor_c: Floats, supply_c: Floats) -> Floats:
        """Heat at full speed (n,) [W]: straight over the outdoor temperature, at each tested one straight over the supply."""
        if not self.test_point:
            curve = self._output_curve()
            return capacity_w(
                outdoor_c=outdoor_c, test_outdoor_c=curve.outdoor_c, test_capacity_w=curve.values, cut_out_c=self.cut_out_c
            )  # fmt: skip
        output = over_points(
            outdoor_c=outdoor_c,
            supply_c=supply_c,
            test_outdoor_c=[point.outdoor_c for point in self.test_point],
            test_supply_c=[point.supply_c for point in self.test_point],
            test_value=[point.output_w for point in self.test_point],
            carried_on=True,
        )
        return np.asarray(np.where(outdoor_c < self.cut_out_c, 0.0, output))

    def _cop(self, supply_c: Floats, outdoor_c: Floats) -> Floats:
        if self.test_point:
            return cop_between_points(
                supply_c=supply_c,
                outdoor_c=outdoor_c,
                test_supply_c=[point.supply_c for point in self.test_point],
                test_outdoor_c=[point.outdoor_c for point in self.test_point],
                test_cop=[point.cop for point in self.test_point],
            )
        if self.carnot_fraction is None:
            return certified_cop(lift_k=supply_c - outdoor_c)
        # below 5 K of lift the ideal machine's figure runs away from any real one
        return carnot_cop(sink_c=np.maximum(supply_c, outdoor_c + 5.0), source_c=outdoor_c, share=self.carnot_fraction)
