"""Made-up choices of sizes, for tests of what is printed and signed."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from costsim.analysis.breakeven import PriceMap

KW = 1000.0
CIRCUIT = SimpleNamespace(
    breaker_a=50,
    wire=SimpleNamespace(name="8 AWG", ampacity_a=50.0),
    drop_share=0.0123,
    cable=SimpleNamespace(name="6 AWG"),
)
ELECTRIC = SimpleNamespace(
    load_w=9600.0,
    volts_v=240.0,
    rated=True,
    circuit=CIRCUIT,
    service_load_a=150.4,
    service_a=200.0,
    method="by the meter",
    typed_breaker_a=None,
    free=False,
)
AIR = SimpleNamespace(upright_in2=10.0, level_in2=20.0, indoor_in2=100.0, room_ft3=2000.0)
GAS = SimpleNamespace(
    input_w=20 * KW, run_input_w=30 * KW, pipe="3/4 in", pipe_length_m=15.0, vent="IV", air=AIR, regulator_w=None, propane_tank_m3=None,
    own_tank=None, coldest_c=-15.0, vaporizes_w=25 * KW,
)  # fmt: skip
STEP = SimpleNamespace(
    size=9600.0, output_w=9600.0, left_w=9400.0, unmet_hours=1234, worst_w=1500.0, unmet_j=3.6e9, cost=1499.6, chosen=True, buffer_m3=None,
    buffer_asked_m3=None, day_share=1.0,
)  # fmt: skip
SOURCE = SimpleNamespace(
    name="Boiler", what="electric boiler output", note="", entered_w=9600.0, kept=False, steps=(), chosen=STEP, needed_w=8 * KW, electric=None, gas=None,
    entered_electric=None, entered_gas=None, stops_at_design=False, fire=False, design_load_w=0.0, margin_share=0.15, beside_w=0.0, others=0,
)  # fmt: skip


PRESSURE = SimpleNamespace(
    units_counted=True, known=True, fires="",
    water_m3=0.5, relief_pa=3e5, relief_discharge_w=50 * KW, discharge_needed_w=20 * KW, open_circuit=False, room_m3=0.012, fill_pa=1.2e5,
    needed_m3=0.04, sold_m3=0.05, handbook_m3=0.03,
)  # fmt: skip


def but(thing: SimpleNamespace, **more: Any) -> Any:
    return SimpleNamespace(**{**vars(thing), **more})


def price_map(costs: Any, names: tuple[str, ...], across: Any = (0.5, 1.0, 2.0), up: Any = (0.5, 1.0, 2.0)) -> PriceMap:
    """A map of prices from costs (options, rows, columns)."""
    table = np.array(costs, dtype=float)
    return PriceMap("gas", "wood", np.array(across), np.array(up), table.argmin(axis=0), names, table)
