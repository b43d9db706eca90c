"""Floor, tank and thermal mass as people type them."""

from __future__ import annotations

import functools
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from costsim.physics.floor import BuildUp
from costsim.study.build_ups import BUILD_UPS
from costsim.study.fluid import check_mix
from costsim.study.layout import Layout
from costsim.study.loop_group import Loops
from costsim.study.loops import circuits_of
from costsim.tariffs.windows import check_windows
from costsim.units.fields import OneOf, QuantityField, StudyModel, fault
from costsim.units.rows import Each

USUAL_PUMP_EFFICIENCY = 0.2
"""Wire to water, of small wet-rotor pumps; common practice, no source."""


@functools.lru_cache(maxsize=64)
def _read_all(dimension: str, texts: tuple[str, ...]) -> tuple[float, ...]:
    """Read a list of quantities; many homes have the same pump."""
    return tuple(QuantityField(dimension, dimension, at_least=0).read(text) for text in texts)


class Pump(StudyModel):
    """One small pump for each loop, or for two in parallel."""

    heads_pa: Annotated[
        tuple[str, ...],
        Each(QuantityField("head", "Head", at_least=0, example="14 ftH2O")),
        Field(title="Pump curve", description="Heads at the flows below, at full speed.", min_length=2),
    ]
    flows: Annotated[
        tuple[str, ...],
        Each(QuantityField("flow", "Flow", at_least=0, example="4 gpm")),
        Field(title="Flows of the curve", min_length=2),
    ]
    speed_share: Annotated[float, QuantityField("share", "Speed", at_least=0.2, at_most=1.0, example="80 %")] = 1.0
    efficiency_share: Annotated[
        float, QuantityField("share", "Wire-to-water efficiency", above=0, at_most=0.9, example="20 %")
    ] = USUAL_PUMP_EFFICIENCY
    loops_per_pump: Annotated[int, Field(ge=1, le=16, title="Loops on each pump")] = 1
    electric_w: Annotated[
        float | None,
        QuantityField(
            "small_power",
            "Electricity of each pump",
            "From its plate, at the speed used; flow, head and efficiency by default.",
            at_least=0,
            at_most=5000,
            example="25 W",
        ),
    ] = None
    lift_pa: Annotated[
        float, QuantityField("head", "Further resistance", "Of valves and fittings at any flow.", at_least=0)
    ] = 0.0

    @model_validator(mode="after")
    def _curve_falls(self) -> Pump:
        flows, heads = self.flow_values_m3_s, self.head_values_pa
        if len(flows) != len(heads):
            raise fault(f"{len(flows)} flows but {len(heads)} heads", "give one head for each flow")
        if any(b <= a for a, b in pairwise(flows)) or any(b >= a for a, b in pairwise(heads)):
            raise fault(
                "the pump curve does not fall", 'such as flows = ["0 gpm", "4 gpm"], heads = ["18 ftH2O", "4 ftH2O"]'
            )
        return self

    @property
    def flow_values_m3_s(self) -> tuple[float, ...]:
        """Flows of the curve [m³/s]."""
        return _read_all("flow", tuple(self.flows))

    @property
    def head_values_pa(self) -> tuple[float, ...]:
        """Heads of the curve [Pa]."""
        return _read_all("head", tuple(self.heads_pa))


COMMON_PUMP: dict[str, Any] = {
    "flows": ("0 gpm", "4 gpm", "8 gpm", "12 gpm"),
    "heads": ("16 ftH2O", "13.5 ftH2O", "9 ftH2O", "2 ftH2O"),
}
"""A small wet-rotor pump of common size where none is typed: an invented curve, no maker's; the pump's own is to be typed."""


def loops_from(layout: Layout) -> tuple[Loops, ...]:
    """Groups of loops by geometry alone, as `costsim layout` finds them before it chooses pumps."""
    return tuple(
        Loops.model_construct(
            name=circuit.name,
            count=circuit.count,
            length_m=circuit.length_m,
            tube=layout.tube,
            spacing_m=circuit.spacing_m,
            covering_m2k_w=circuit.covering_m2k_w,
            zone=circuit.zone,
            build_up=circuit.build_up,
            insulation_m2k_w=circuit.insulation_m2k_w,
            leads_m=circuit.leads_m,
        )
        for circuit in circuits_of(layout)
    )


class Mass(StudyModel):
    """Slab and room that store heat; leave the table out and demand must be met in its hour."""

    room_capacity_j_m2k: Annotated[
        float,
        QuantityField(
            "heat_capacity_per_area",
            "Room heat capacity",
            "Air, furniture, inner walls, for each area of floor.",
            at_least=1e3,
            at_most=1e7,
        ),
    ] = 50e3
    feedback: Annotated[float, Field(ge=0, le=20, title="Kelvin of slab for each kelvin the room is cold")] = 1.0
    ground_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Ground under the slab",
            "Counts what the slab loses to it; the typed design load must then leave the floor out.",
            at_least=-20,
            at_most=30,
            example="50 degF",
        ),
    ] = None
    precharge_k: Annotated[
        float,
        QuantityField(
            "temperature_difference",
            "Charge the slab ahead by",
            "In the hours below.",
            at_least=0,
            at_most=10,
            example="2 K",
        ),
    ] = 0.0
    precharge_windows: tuple[str, ...] = ()
    room_ceiling_k: Annotated[
        float,
        QuantityField("temperature_difference", "Room may float above its set-point by", at_least=0.5, at_most=15),
    ] = 3.0

    @model_validator(mode="after")
    def _windows_are_clock_times(self) -> Mass:
        if self.precharge_k > 0 and not self.precharge_windows:
            raise fault("charges ahead but has no hours", 'add precharge_windows = ["04:00-06:00"]')
        check_windows(self.precharge_windows)
        return self


class Floor(StudyModel):
    """Loops, water and floor."""

    antifreeze: Annotated[Literal["none", "propylene_glycol", "ethylene_glycol"], Field(title="Antifreeze")] = "none"
    concentration_share: Annotated[
        float, QuantityField("volume_share", "Antifreeze by volume", "As on the label.", at_least=0, at_most=0.6)
    ] = 0.0
    build_up: Annotated[str, OneOf(BUILD_UPS, "a known build-up"), Field(title="Floor build-up")] = "concrete_100"
    insulation_m2k_w: Annotated[float, QuantityField("r_value", "Insulation below", above=0, at_most=20)] = 1.8
    loops: Annotated[
        tuple[Loops, ...], Field(max_length=400, title="Loops", description="Or a layout to make them from.")
    ] = ()
    layout: Annotated[
        Layout | None, Field(title="Layout", description="Levels and rooms, from which loops are made.")
    ] = None
    pump: Pump | None = None
    mass: Mass | None = None

    @model_validator(mode="after")
    def _loops_from_the_layout(self) -> Floor:
        if not self.loops and self.layout is None:
            raise fault("has no loops", "add [[floor.loops]] with count and length, or [floor.layout] with levels")
        if not self.loops and self.layout is not None:
            made = {"loops": loops_from(self.layout), "pump": self.pump or Pump(**COMMON_PUMP)}
            self.__dict__.update(made)  # frozen for all others
        return self

    @property
    def loops_typed(self) -> bool:
        """Whether the loops were typed, and not made from the layout."""
        return "loops" in self.model_fields_set

    @property
    def loads_typed(self) -> bool:
        """Whether each group of loops says how much of the heat is asked of it."""
        return all(group.load_share is not None for group in self.loops)

    @property
    def pump_typed(self) -> bool:
        """Whether the pump was typed."""
        return "pump" in self.model_fields_set and self.pump is not None

    @model_validator(mode="after")
    def _has_flow(self) -> Floor:
        if self.pump is None and any(group.flow_m3_s is None for group in self.loops):
            raise fault(
                "a group of loops has neither flow nor pump",
                'add flow = "0.6 gpm" to the loops, or a [floor.pump] table',
            )
        if (self.antifreeze == "none") != (self.concentration_share == 0.0):
            raise fault(
                "antifreeze and concentration belong together",
                'such as antifreeze = "propylene_glycol" and concentration = "30 vol%"',
            )
        return self

    @model_validator(mode="after")
    def _loads_of_all_or_none(self) -> Floor:
        known = sum(group.load_share is not None for group in self.loops)
        if 0 < known < len(self.loops):
            raise fault(
                f"{known} of {len(self.loops)} groups of loops have a load, the others none",
                'give each one its share, such as load = "25 %", or none',
            )
        return self

    @model_validator(mode="after")
    def _within_the_tables(self) -> Floor:
        if self.antifreeze != "none":
            check_mix(self.antifreeze, self.concentration_share)
        return self

    def build_up_of(self, group: Loops) -> BuildUp:
        """The layer in which a group of loops lies."""
        return BUILD_UPS[group.build_up or self.build_up]

    def insulation_of(self, group: Loops) -> float:
        """Resistance of the insulation below a group of loops [m² K/W]."""
        return self.insulation_m2k_w if group.insulation_m2k_w is None else group.insulation_m2k_w

    @property
    def area_m2(self) -> float:
        """Floor that is heated [m²]."""
        return sum(group.count * group.area_m2 for group in self.loops)


class Tank(StudyModel):
    """The tank that all sources heat and all loops draw from."""

    volume_m3: Annotated[float, QuantityField("volume", "Tank volume", above=0, at_most=1e4, example="80 gal")]
    circuit: Annotated[
        Literal["sealed", "open"],
        Field(title="Circuit", description="Sealed under pressure, or open: a vented tank at no pressure of its own."),
    ] = "sealed"
    loss_w_k: Annotated[
        float, QuantityField("heat_loss_rate", "Tank loss", "To the room it stands in.", at_least=0, example="3 W/K")
    ] = 3.0
    max_temperature_c: Annotated[
        float, QuantityField("temperature", "Highest tank temperature", at_least=25, at_most=95, example="160 degF")
    ] = 60.0
    store_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Heat it ahead up to",
            "How hot cheap hours, a fire or the sun may make the tank to store heat; the highest tank temperature by default.",
            at_least=25,
            at_most=95,
            example="150 degF",
        ),
    ] = None
    design_supply_temperature_c: Annotated[
        float | None,
        QuantityField(
            "temperature",
            "Tank temperature at design",
            "Used where no floor is described; that of the house's emitter by default.",
            at_least=22,
            at_most=90,
            example="110 degF",
        ),
    ] = None
    cost_per_volume_money: Annotated[
        float | None,
        QuantityField("money_per_volume", "Cost of the tank", "For sizing it.", at_least=0, example="12 $/gal"),
    ] = None
    differential_k: Annotated[
        float,
        QuantityField(
            "temperature_difference",
            "Differential",
            "Between the temperatures at which a unit stops and starts again; common practice, no source.",
            at_least=0.5,
            at_most=40,
            example="5 K",
        ),
    ] = 5.0
    stratification_share: Annotated[
        float,
        QuantityField(
            "share",
            "Stratification",
            "What a day of rest leaves of the difference between top and bottom; 0 % is a fully mixed tank.",
            at_least=0,
            at_most=1,
            example="80 %",
        ),
    ] = 0.0
    kept_hot_share: Annotated[
        float,
        QuantityField(
            "share",
            "Kept hot for its uses",
            "Part of a stratified tank, from its top, that is kept hot for the taps; 0 % where a heater behind it does.",
            at_least=0,
            at_most=1,
            example="50 %",
        ),
    ] = 1 / 3

    @model_validator(mode="after")
    def _bounds_in_order(self) -> Tank:
        if self.store_c is not None and self.store_c > self.max_temperature_c:
            raise fault("store is hotter than top", "lower store, or raise top as far as every component allows")
        if self.design_supply_temperature_c is not None and self.design_supply_temperature_c > self.max_temperature_c:
            raise fault(
                "design_supply_temperature is hotter than top",
                "lower design_supply_temperature, or raise top as far as every component allows",
            )
        return self
