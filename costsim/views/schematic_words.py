"""What a schematic says in words: of a zone, and as a whole for those who do not see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costsim.units.quantity import show
from costsim.views.schematic_sources import filling_words
from costsim.words import tr, trn

if TYPE_CHECKING:
    from costsim.views.schematic import System, ZoneMark


WARNING = "Diagram of principle, not for installation."


def zone_lines(zone: ZoneMark, units: str) -> list[str]:
    """What is said of a zone: its loops and pumps, then flow and head."""
    flow = tr("{flow} at {head}", flow=show(zone.flow_m3_s, "flow", units, 2), head=show(zone.head_pa, "head", units))
    if zone.loops == 0 and zone.flow_m3_s > 0:
        carried, flow = show(zone.load_w, "power", units), show(zone.flow_m3_s, "flow", units, 1)
        return [
            carried,
            tr("{flow} that cools by {drop}", flow=flow, drop=show(zone.drop_k, "temperature_difference", units, 0)),
        ]
    if zone.loops == 0:
        return [tr("its loops are not described")]
    loops = trn("{count} loop", "{count} loops", zone.loops)
    pumps = trn("{count} pump", "{count} pumps", zone.pumps) if zone.pumps else tr("flow as typed")
    pumps = tr("{pumps} at {speed}", pumps=pumps, speed=zone.speed) if zone.speed else pumps
    return [f"{loops}, {pumps}", flow]


def _water(zone: ZoneMark, units: str) -> str:
    """The water of a circuit where circuits differ."""
    if zone.water_c is None:
        return ""
    return tr(" with water at {water}", water=show(zone.water_c, "temperature", units, 0))


def words(system: System, units: str) -> str:
    """The drawing in words, for readers who cannot see it."""
    sources = "; ".join(
        tr(
            "{name}, rated {rated}, delivering {delivered}",
            name=source.name,
            rated=show(source.rated_w, "power", units),
            delivered=show(source.delivered_w, "power", units),
        )
        for source in system.sources
    )
    tank = (
        tr("a header without a tank")
        if system.tank_m3 is None
        else tr(
            "an open, vented tank of {volume}" if system.open_circuit else "a sealed tank of {volume}",
            volume=show(system.tank_m3, "volume", units, 0),
        )
    )
    zones = "; ".join(
        f"{zone.name}{_water(zone, units)}: {', '.join(zone_lines(zone, units))}" for zone in system.zones
    )
    uses = "; ".join(f"{use.name}: {', '.join(use.lines(units))}" for use in system.uses)
    safety = (
        tr("an open vent and room for expansion in the tank")
        if system.open_circuit
        else tr("relief valves and an expansion tank")
    )
    parts = [
        f"{system.title}.",
        trn(
            "{count} source ({sources}) heats {tank}, with {safety} and a backflow preventer before the fill.",
            "{count} sources ({sources}) heat {tank}, with {safety} and a backflow preventer before the fill.",
            len(system.sources),
            sources=sources,
            tank=tank,
            safety=safety,
        ),
        trn(
            "It feeds {count} zone ({zones}) with {supply} water that returns at {cool}, carrying {load} in {fluid} at design.",
            "It feeds {count} zones ({zones}) with {supply} water that returns at {cool}, carrying {load} in {fluid} at design.",
            len(system.zones),
            zones=zones,
            supply=show(system.supply_c, "temperature", units, 0),
            cool=show(system.return_c, "temperature", units, 0),
            load=show(system.load_w, "power", units),
            fluid=system.fluid,
        ),
        tr("A mixing valve keeps its supply down, and a high limit stops its pumps.") if system.mixing else "",
        trn(
            "{levels} has a mixing valve and a high limit of its own.",
            "{levels} have a mixing valve and a high limit each.",
            len(system.valves),
            levels=", ".join(valve.level for valve in system.valves),
        )
        if system.valves
        else "",
        tr("A check valve at each source lets no water flow back through an idle one.") if system.checked else "",
        *_of_sources(system, units),
        tr("It also serves {uses}.", uses=uses) if uses else "",
        tr(WARNING),
    ]
    return " ".join(filter(None, parts))


def _of_sources(system: System, units: str) -> list[str]:
    """What stands beside a source: a circuit of its own, a heat dump, a loading unit."""
    return [
        *(
            tr(
                "{name} has a circuit of its own behind an exchanger, with pump, relief valve and {vessel}: {filling}.",
                name=source.name,
                filling=filling_words(source, units),
                vessel=tr("drain-back tank") if source.circuit == "drain_back" else tr("expansion tank"),
            )
            for source in system.sources
            if source.circuit
        ),
        *(
            tr(
                "{name} cannot be put out: a heat dump that works without power takes its heat, a radiator above it by gravity through a"
                " normally open valve.",
                name=source.name,
            )
            for source in system.sources
            if source.burns_on
        ),
        *(
            tr(
                "A loading unit holds the return to {name} at {least} or more.",
                name=source.name,
                least=show(source.least_return_c, "temperature", units, 0),
            )
            for source in system.sources
            if source.least_return_c is not None
        ),
    ]
