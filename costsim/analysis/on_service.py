"""The circuit of an electric unit, and what the house's service carries with all units of an option."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from costsim.analysis.size_steps import entered_draw_w
from costsim.engine.lower import LoweredStudy, lower_option
from costsim.physics.circuits import Circuit, circuit_for, continuous_amps, dwelling_load_va, metered_load_va
from costsim.sources import HeatSource
from costsim.study.case import Case, Option
from costsim.study.selection import Selection
from costsim.words import tr


@dataclass(frozen=True, slots=True)
class ElectricChoice:
    """Circuit, and the service with it: amps of the service's load by a method, None where nothing is known of it.

    `rated` is whether the load is that of the nameplate; else it is the most the unit draws in the year's hours. `typed_breaker_a` is
    the breaker that the study has. `free` is whether `service_a` is what the service still has free, not its main breaker.
    """

    circuit: Circuit | None
    load_w: float
    volts_v: float
    service_a: float | None
    service_load_a: float | None
    method: str
    rated: bool
    typed_breaker_a: float | None = None
    free: bool = False


def on_circuit(selection: Selection, source: HeatSource, load_w: float) -> ElectricChoice:
    """Breaker and wire of an electric unit that takes so much [W]; what the service carries is not told yet."""
    typed_v, typed = source.circuit()
    volts = typed_v or selection.volts_v
    circuit = circuit_for(
        load_w=load_w,
        volts_v=volts,
        length_m=selection.circuit_length_m,
        most_drop_share=selection.voltage_drop_share,
    )
    return ElectricChoice(
        circuit, load_w, volts, selection.service_a, None, "", source.plate_efficiency() is not None, typed
    )


def services_of(common: LoweredStudy) -> list[ElectricChoice | None]:
    """The service with all electric units of each option as they are entered; None where nothing is known or nothing is electric.

    What heats the house today is none of what is new: a metered demand, or what is free beside all that is there, holds it already.
    """
    selection = common.case.selection
    if selection is None or not selection.tells_the_service:
        return [None] * len(common.case.options)
    return [_service_of(common, selection, option) for option in common.case.options]


def _service_of(common: LoweredStudy, selection: Selection, option: Option) -> ElectricChoice | None:
    there = selection.service_free_a is not None or selection.measured_peak_w is not None
    if (option.today and there) or not any(source.continuous_load for source in option.sources):
        return None
    offers = lower_option(common, option).offers
    units = [
        on_circuit(selection, source, entered_draw_w(source, offer))
        for source, offer in zip(option.sources, offers, strict=True)
        if source.continuous_load
    ]
    return on_service(common.case, selection, units)[0]


def on_service(case: Case, selection: Selection, units: Sequence[ElectricChoice | None]) -> list[ElectricChoice | None]:
    """Each unit with the amps of the service that carries all of them."""
    heating = math.fsum(unit.load_w for unit in units if unit)
    if (free := selection.service_free_a) is not None:
        taken, choices = (
            continuous_amps(load_w=heating, volts_v=selection.volts_v),
            tr("what is free as typed; the new heat × 1.25"),
        )
        return [
            replace(unit, service_a=free, service_load_a=taken, method=choices, free=True) if unit else None
            for unit in units
        ]
    carried, method = None, tr("ask an electrician: the service and what it carries are not in the study")
    if selection.service_a is not None:
        method = tr("ask an electrician: what the service carries today is not in the study")
    if selection.service_a is not None and selection.measured_peak_w is not None:
        carried = metered_load_va(measured_peak_va=selection.measured_peak_w, heating_va=heating)
        method = tr("125 % of the highest metered demand, and the new load (NEC 220.87)")
    elif selection.service_a is not None and selection.appliances_w is not None:
        carried = dwelling_load_va(
            floor_area_m2=case.house.floor_area_m2, appliances_va=selection.appliances_w, heating_va=heating
        )
        method = tr("optional method for dwellings, the new heat in full (NEC 220.82)")
    amps = carried / selection.volts_v if carried is not None else None
    return [replace(unit, service_load_a=amps, method=method) if unit else None for unit in units]
