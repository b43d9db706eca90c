"""What electric heat asks of breaker, wire and service, in words."""

from __future__ import annotations

from costsim.sources import HeatSource
from costsim.sources.electric import continuous_amps
from costsim.study.case import Case
from costsim.words import tr


def of_the_service(case: Case) -> str:
    """What electric heat asks of the service in the option that asks most; empty where no voltage is known."""
    volts = case.selection.volts_v if case.selection else 240.0 if case.currency == "$" else None
    if volts is None:
        return ""
    loads = {
        option.name: sum(
            source.nameplate_w() / efficiency
            for source in option.sources
            if source.continuous_load and (efficiency := getattr(source, "efficiency_share", None))
        )
        for option in case.options
    }
    name, load = max(loads.items(), key=lambda pair: pair[1])
    if not load:
        return ""
    return tr(
        "{option} asks for {amps} A at {volts} V for its heat alone.",
        option=name,
        amps=f"{continuous_amps(load_w=load, volts_v=volts):.0f}",
        volts=f"{volts:g}",
    )


def circuit(source: HeatSource) -> str:
    """Amperes of one unit whose voltage was given."""
    volts, breaker = getattr(source, "volts_v", None), getattr(source, "breaker_a", None)
    efficiency = getattr(source, "efficiency_share", None)
    if volts is None or breaker is None or not efficiency:
        return ""
    load = source.nameplate_w() / efficiency
    amps, enough = load / volts, continuous_amps(load_w=load, volts_v=volts)
    verdict = tr("is enough") if breaker >= enough else tr("is too small")
    return tr(
        "{label}: {load} kW at {volts} V is {amps} A and asks for a circuit of {enough} A; the"
        " breaker of {breaker} A {verdict}.",
        label=source.label,
        load=f"{load / 1000.0:.1f}",
        volts=f"{volts:g}",
        amps=f"{amps:.1f}",
        enough=f"{enough:.1f}",
        breaker=f"{breaker:g}",
        verdict=verdict,
    )
