"""Pipe, vent, air, propane tank and regulator of what burns gas."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.analysis.propane_tank import BoilOff, boil_off, boils_off_w
from costsim.analysis.size_steps import plate_share
from costsim.engine.lower import LoweredStudy
from costsim.physics.gas_pipe import CombustionAir, combustion_air, next_pipe, vent_category
from costsim.sources import HeatSource
from costsim.study.selection import MarketSize, Selection, Sizes


@dataclass(frozen=True, slots=True)
class GasChoice:
    """Gas input [W], pipe, vent and air; for propane the tank typed, the smallest that vaporizes all of it, and the regulator."""

    input_w: float
    run_input_w: float
    pipe: str | None
    pipe_length_m: float
    vent: str
    air: CombustionAir
    propane_tank_m3: float | None
    vaporizes_w: float | None
    regulator_w: float | None
    coldest_c: float
    own_tank: BoilOff | None = None


def gas_line(
    common: LoweredStudy,
    sizes: Sizes,
    selection: Selection,
    source: HeatSource,
    output_w: float,
    input_w: float,
    at_design: float,
) -> GasChoice:
    """Input, pipe, vent and air of what burns gas; tank and regulator for propane.

    Pipe, air and regulator go by the input on the plate, or where only output and efficiency are known by the larger of both inputs that
    these allow. A tank boils off what is burned for the output at the water of the design load, which takes `at_design` of it as heat,
    and no more than that input.
    """
    fuel = source.fuel_key
    run, burns, asked = (
        put_in_w + selection.other_gas_input_w
        for put_in_w in (input_w, min(output_w / at_design, input_w), common.route.load_w / at_design)
    )
    coldest = common.coldest_c
    tank, vaporizes, regulator = None, None, None
    if fuel == "propane":
        fitting = [(size, boils_off_w(size, coldest)) for size in sizes.of("propane tank") if size.diameter_m]
        tank, vaporizes = next(((size.value, given) for size, given in fitting if given >= burns), (None, None))
        regulator = next_size(sizes.of("propane regulator"), run)
    return GasChoice(
        input_w,
        run,
        next_pipe(input_w=run, length_m=selection.gas_pipe_length_m, gas=fuel, drop_pa=selection.gas_pressure_drop_pa),
        selection.gas_pipe_length_m,
        vent_of(source),
        combustion_air(input_w=input_w),
        tank,
        vaporizes,
        regulator,
        coldest,
        boil_off(source, sizes, coldest, burns, asked, at_design),
    )


def vent_of(source: HeatSource) -> str:
    """Vent category by the plate's efficiency; empty where that does not tell whether the flue gas is wet, as of a heat pump that burns gas."""
    share = plate_share(source)
    if share is None or share > 1.0:
        return ""
    return vent_category(condensing=source.condenses(), efficiency_share=share)


def next_size(sizes: tuple[MarketSize, ...], needed: float) -> float | None:
    """The smallest size of a list that is as large as needed; None where none is."""
    return next((size.value for size in sizes if size.value >= needed - 1e-9), None)
