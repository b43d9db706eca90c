"""What electric heat asks of breaker, wire and service, in words."""

from __future__ import annotations

import math
from collections.abc import Iterable

from costsim.physics.circuits import continuous_amps, next_breaker_a
from costsim.sources import HeatSource
from costsim.study.case import Case, Option
from costsim.words import tr

USUAL_SERVICE_A, MOST_OF_IT = 200.0, 0.75
"""Of a house in North America, and the share of a service above which electric heat alone is told; common practice, no source."""


def _volts(case: Case) -> float | None:
    return case.selection.volts_v if case.selection else 240.0 if case.currency == "$" else None


def _heat_load_w(option: Option) -> float:
    """What an option's electric heaters take [W]; a compressor is not among them."""
    shares = ((source, source.plate_efficiency()) for source in option.sources if source.continuous_load)
    return math.fsum(source.nameplate_w() / share for source, share in shares if share)


def large_for_service(case: Case, option: Option) -> str:
    """Say that an option's electric heat takes most of the service, or of a usual one where none is typed.

    Empty where it does not, or where it is known what the service carries besides: that of what heats the house today is told then
    too where it is more than the whole service.
    """
    volts, typed = _volts(case), case.selection
    known = typed is not None and typed.tells_the_service
    if volts is None or (known and not option.today):
        return ""
    load, service_a = _heat_load_w(option), typed.service_a if typed else None
    amps = continuous_amps(load_w=load, volts_v=volts)
    if amps < MOST_OF_IT * (service_a or USUAL_SERVICE_A) or (known and amps <= (service_a or math.inf)):
        return ""
    words = {"option": option.name, "load": f"{load / 1000.0:.3g}", "volts": f"{volts:g}", "amps": f"{amps:.0f}"}
    if on_top := by_plate([option]):
        words["amps"] = tr("more than {amps}", amps=words["amps"])
    return " ".join(filter(None, [_of_what(words, amps, service_a), on_top]))


def _of_what(words: dict[str, str], amps: float, service_a: float | None) -> str:
    """How the current in `words` [A] compares with the service [A], or with a usual one."""
    if service_a is not None:
        words["service"] = f"{service_a:g}"
        if amps > service_a:
            return tr(
                "{option} asks for {amps} A ({load} kW at {volts} V, times 1.25), more than your {service} A service carries: an"
                " electrician must look first.",
                **words,
            )
        return tr(
            "{option} asks for {amps} A ({load} kW at {volts} V, times 1.25), most of your {service} A service: an electrician must"
            " look first.",
            **words,
        )
    if amps > USUAL_SERVICE_A:
        return tr(
            "{option} asks for {amps} A ({load} kW at {volts} V, times 1.25), more than a usual 200 A service carries: an electrician"
            " must look first.",
            **words,
        )
    return tr(
        "{option} asks for {amps} A ({load} kW at {volts} V, times 1.25), most of a usual 200 A service: an electrician must look first.",
        **words,
    )


def of_the_service(case: Case) -> str:
    """What electric heat asks of the service in the option that asks most, and which units come on top by their plates."""
    volts = _volts(case)
    if volts is None:
        return by_plate(case.options)
    loads = {option.name: _heat_load_w(option) for option in case.options}
    name, load = max(loads.items(), key=lambda pair: pair[1])
    if not load:
        return by_plate(case.options)
    amps = f"{continuous_amps(load_w=load, volts_v=volts):.1f}".removesuffix(".0")
    shown = f"{volts:g}"
    own = next(option for option in case.options if option.name == name)
    counted = [source.label for source in own.sources if source.continuous_load and not _by_plate(source)]
    if len(counted) == sum(source.continuous_load for source in own.sources):
        text = tr("{option} asks for {amps} A at {volts} V for its heat alone.", option=name, amps=amps, volts=shown)
    else:
        text = tr(
            "{option} asks for {amps} A at {volts} V for {counted} alone, which is not the whole.",
            option=name,
            amps=amps,
            volts=shown,
            counted=tr(" and ").join(dict.fromkeys(counted)),
        )
    return " ".join(filter(None, [text, by_plate(case.options)]))


def by_plate(options: Iterable[Option]) -> str:
    """Which units ask for a circuit that only their plate tells, such as a compressor's; empty where there is none."""
    labels = [source.label for option in options for source in option.sources if _by_plate(source)]
    if not labels:
        return ""
    return tr(
        "{names}: a circuit of its own on top of that, by its nameplate (MCA and MOP).",
        names=", ".join(dict.fromkeys(labels)),
    )


def _by_plate(source: HeatSource) -> bool:
    """Whether its heat does not tell what current it takes."""
    return source.continuous_load and source.plate_efficiency() is None


def circuit(source: HeatSource) -> str:
    """Amperes of one unit whose voltage was given."""
    volts, breaker = source.circuit()
    efficiency = source.plate_efficiency()
    if volts is None or efficiency is None:
        return ""
    load = source.nameplate_w() / efficiency
    amps, enough = load / volts, continuous_amps(load_w=load, volts_v=volts)
    if breaker is None:
        return tr(
            "{label}: {load} kW at {volts} V is {amps} A and asks for a circuit of {enough} A{next}.",
            label=source.label,
            load=f"{load / 1000.0:.1f}",
            volts=f"{volts:g}",
            amps=f"{amps:.1f}",
            enough=f"{enough:.1f}",
            next=tr(", the next breaker {breaker} A", breaker=size) if (size := next_breaker_a(amps)) else "",
        )
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
