"""Circulators in words: flow and head of each, and what tells a head that is not known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from costsim.analysis.circulators import PumpDuty
from costsim.units.quantity import pretty_unit, show, to_display, unit_for
from costsim.words import tr


def pump_rows(pumps: Sequence[PumpDuty], system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the rooms' circulators."""
    flow, head = (pretty_unit(unit_for(name, system)) for name in ("flow", "head"))

    def text(value: float | None, dimension: str, digits: int) -> str:
        return tr("not known") if value is None else f"{to_display(value, dimension, system):.{digits}f}"

    rows = [
        [pump.name, f"{pump.count:g}", text(pump.flow_m3_s, "flow", 2), text(pump.head_pa, "head", 1)] for pump in pumps
    ]
    return [
        tr("circulators"),
        tr("number"),
        tr("flow {flow}", flow=flow),
        tr("head {head}", head=head.removesuffix(" of head")),
    ], rows


def head_lines(pumps: Sequence[PumpDuty]) -> list[str]:
    """What is to be typed where a head is not known, or what is not in one that follows from a run; empty for floors alone."""
    if any(pump.head_pa is None for pump in pumps):
        return [tr("Head: {rule}.", rule=run_rule(None))]
    return [tr("Head: {rule}.", rule=run_rule(0.0))] if any(pump.drop_k is not None for pump in pumps) else []


def run_rule(head_pa: float | None) -> str:
    """How the head of baseboards or radiators is told."""
    if head_pa is None:
        return tr(
            "not known for baseboards or radiators: type “Longest run of baseboards or radiators” and its pipe in “Choice of sizes off the"
            " shelf” on House (selection.run_length, selection.run_pipe)"
        )
    return tr(
        "of baseboards or radiators all flow through the longest run typed (Darcy and Weisbach); valves, and a boiler on the same pump, come"
        " on top"
    )


def flow_rule(pump: PumpDuty, system: str) -> str:
    """How a flow is told that follows from the heat it carries; empty where it is typed or laid out."""
    if pump.drop_k is None:
        return ""
    drop = show(pump.drop_k, "temperature_difference", system, 0)
    return tr("its heat at a drop of {drop} (common practice, no source)", drop=drop)


def source_pump(pump: PumpDuty, system: str) -> str:
    """The flow of a source's circulator, and what tells its head."""
    head = None if pump.head_pa is None else show(pump.head_pa, "head", system)
    if pump.flow_m3_s is None:
        return tr("flow and head by its manual") if head is None else tr("flow by its manual; head {head}", head=head)
    words = {"flow": show(pump.flow_m3_s, "flow", system, 1), "rule": flow_rule(pump, system) or tr("as typed")}
    if head is None:
        return tr("{flow}, {rule}; head: the unit's pressure drop at that flow by its sheet, and its pipes", **words)
    return tr(
        "{flow}, {rule}; head {head}, the drop of its circuit as typed, by the square of the flow", head=head, **words
    )


def source_pump_lines(pumps: Sequence[PumpDuty], system: str) -> Iterator[str]:
    """A line on the circulator of each source, where the unit has none of its own."""
    for pump in pumps:
        yield tr(
            "Circulator of {name}, where none is built in: {duty}.", name=pump.name, duty=source_pump(pump, system)
        )
