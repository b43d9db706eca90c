"""What `costsim layout` prints: loops, pumps, what they give, what to buy, and what is missing."""

from __future__ import annotations

from costsim.analysis.layout import LEAST_FLOW_M3_S, LayoutResult, LoopPlan, Unserved
from costsim.units.quantity import pretty_unit, show, to_display, unit_for
from costsim.views.tables import text_table

WHY = {
    "surface": "the floor would have to be warmer than it may be",
    "supply": "its loops need hotter water than the tank may give",
    "flow": "its pump cannot push water through mains and valves",
    "drop": "the flow is too small: the water cools by more than it should",
}
SHARING = (
    "Sharing by pump curve and tube friction; common practice, no source, says that two loops on one pump keep roughly nine tenths each.\n"
    "Heat falls less than flow, for the slower water cools further on its way."
)
CAUTION = (
    "A layout for planning: heat loss room by room, the floor's structure, the tube maker's limits and the local code come first.\n"
    "Pressure, scalding and freezing can hurt people; relief, mixing and antifreeze belong to a licensed trade."
)


def printed_layout(found: LayoutResult, system: str) -> str:
    """Print a layout.

    Parameters
    ----------
    found : LayoutResult
    system : str
        ``"us"`` or ``"si"``.
    """
    parts = [
        f"{found.title}: layout\n{'=' * (len(found.title) + 8)}",
        summary(found, system),
        text_table(*loop_rows(found, system)),
        "At half load, the supply following the load, and what sharing a pump costs\n"
        + text_table(*half_rows(found, system))
        + f"\n{SHARING}",
        text_table(*pump_rows(found, system)),
        "\n".join(fill_lines(found, system)),
    ]
    missing = unserved_lines(found, system)
    parts.insert(2, supply_note(found, system))
    if missing:
        parts.insert(3, "\n".join(missing))
    if found.notes:
        parts.append("\n".join(f"Note: {note}." for note in found.notes))
    return "\n\n".join([*parts, CAUTION])


def summary(found: LayoutResult, system: str) -> str:
    """One paragraph: how many of everything, and the water it takes."""
    zones = len(found.thermostats)
    return (
        f"{found.loop_count} loops of {found.tube} ({show(found.tube_m, 'length', system, 0)} of tube) on {len(found.pumps)}"
        f" pumps and {zones} thermostat{'s' if zones > 1 else ''} carry {show(found.design_load_w, 'power', system)} at design"
        f" with water at {show(found.supply_c, 'temperature', system, 0)} for the room that asks most, half of it at"
        f" {show(found.half_supply_c, 'temperature', system, 0)}."
    ).replace("carry", "carry" if not found.unserved else "do not carry all of")


def supply_note(found: LayoutResult, system: str) -> str:
    """Why the year's simulation knows another water temperature than the layout."""
    hot, mean = (show(value, "temperature", system, 0) for value in (found.supply_c, found.mean_supply_c))
    if found.supply_c - found.mean_supply_c < 0.5:
        return f"The year runs on the same rule: {mean} at design."
    return (
        f"{hot} is for the room that asks most; were all loops fed with it, the others would give more than they need and their thermostats"
        f" stop them. The year's simulation takes the floor as a whole, for which {mean} at design is enough. Set mixing valve and boiler"
        f" for {hot}; a heat pump runs the better the nearer that room comes to the others (covering, spacing)."
    )


def loop_rows(found: LayoutResult, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the loops at design."""
    names = ("length", "flow", "head", "temperature_difference", "power", "temperature")
    length, flow, head, drop, power, warm = (pretty_unit(unit_for(name, system)) for name in names)
    headings = [
        "loops at design", "number", f"length {length}", f"leads {length}", f"flow {flow}", "flow is", f"head {head}",
        f"drop {drop}", f"asked {power}", f"gives {power}", f"surface {warm}", f"limit {warm}",
    ]  # fmt: skip
    return headings, [_loop(plan, system) for plan in found.loops]


def _loop(plan: LoopPlan, system: str) -> list[str]:
    stuck = plan.fed.flow_m3_s < LEAST_FLOW_M3_S

    def text(value: float, dimension: str, digits: int) -> str:
        return (
            "–"
            if stuck and dimension == "temperature_difference"
            else f"{to_display(value, dimension, system):,.{digits}f}"
        )

    return [
        plan.circuit.name,
        str(plan.fed.count),
        text(plan.circuit.length_m, "length", 0),
        text(plan.circuit.leads_m, "length", 0),
        text(plan.fed.flow_m3_s, "flow", 2),
        {"between": "in transition"}.get(plan.regime, plan.regime),
        text(plan.fed.head_pa, "head", 1),
        text(plan.design.drop_k, "temperature_difference", 0),
        text(plan.design.load_w, "power", 2),
        text(plan.output_w, "power", 2),
        text(plan.design.surface_c, "temperature", 1),
        text(plan.limit_c, "temperature", 1),
    ]


def half_rows(found: LayoutResult, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the loops at half load."""
    drop, power, warm = (
        pretty_unit(unit_for(name, system)) for name in ("temperature_difference", "power", "temperature")
    )
    headings = [
        "loops at half load",
        f"gives {power}",
        f"supply {warm}",
        f"drop {drop}",
        f"surface {warm}",
        "of what it has alone on its pump",
    ]
    rows = [
        [
            plan.circuit.name,
            f"{to_display(plan.half.load_w, 'power', system):,.2f}",
            *(
                ["–", "–"]
                if plan.fed.flow_m3_s < LEAST_FLOW_M3_S
                else [
                    f"{to_display(plan.half.supply_c, 'temperature', system):,.0f}",
                    f"{to_display(plan.half.drop_k, 'temperature_difference', system):,.0f}",
                ]
            ),
            f"{to_display(plan.half.surface_c, 'temperature', system):,.1f}",
            "alone"
            if plan.fed.loops_per_pump == 1
            else f"{plan.alone_flow_share:.0%} flow, {plan.alone_share:.0%} heat",
        ]
        for plan in found.loops
    ]
    return headings, rows


def pump_rows(found: LayoutResult, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the pumps, like ones counted."""
    flow, head = (pretty_unit(unit_for(name, system)) for name in ("flow", "head"))
    counts: dict[tuple[str, ...], int] = {}
    for pump in found.pumps:
        row = (
            f"{pump.level}, thermostat {pump.thermostat}",
            str(len(pump.loops)),
            f"{pump.speed_share:.0%}",
            f"{to_display(pump.flow_m3_s, 'flow', system):.2f}",
            f"{to_display(pump.head_pa, 'head', system):.1f}",
            f"{pump.electric_w:.0f}",
        )
        counts[row] = counts.get(row, 0) + 1
    headings = ["pumps", "number", "loops each", "speed", f"flow {flow}", f"head {head}", "W each"]
    return headings, [[row[0], str(count), *row[1:]] for row, count in counts.items()]


def fill_lines(found: LayoutResult, system: str) -> list[str]:
    """Water and antifreeze to buy, and connections at the tank."""
    fluid = found.fluid
    parts = ", ".join(f"{part} {show(volume, 'volume', system, 1)}" for part, volume in fluid.content_m3.items())
    lines = [f"Fill: {show(fluid.total_m3, 'volume', system, 0)} ({parts})."]
    coldest = show(fluid.needed_freeze_c, "temperature", system, 0)
    needed = f"{fluid.needed_share:.0%}".replace("%", " %") if fluid.needed_share is not None else None
    if fluid.antifreeze == "none":
        lines.append(
            "Plain water: no tube outside the heated house, and a plan for a long power cut."
            + (f" Propylene glycol would need {needed} by volume to stay open at {coldest}." if needed else "")
        )
    else:
        enough = fluid.needed_share is not None and fluid.share >= fluid.needed_share - 1e-9
        verdict = "which it is" if enough else "WHICH IT IS NOT: buy more, or drain"
        lines.append(
            f"Antifreeze: {show(fluid.antifreeze_m3, 'volume', system, 0)} of {fluid.antifreeze.replace('_', ' ')} (a tenth spare)"
            f" and {show(fluid.water_m3, 'volume', system, 0)} of water make {fluid.share * 100:g} % by volume, which begins to"
            f" freeze at {show(fluid.freeze_c, 'temperature', system, 0)};"
            f" the coldest hour with its margin, {coldest}, asks for {needed or 'more than any mixture gives'}, {verdict}."
        )
    total = found.tappings + found.source_tappings
    lines.append(
        f"Tank connections: {found.tappings} for the floor and {found.source_tappings} for the sources, {total} in all; relief or"
        " vent, expansion, drain, fill and sensor wells come on top."
    )
    return lines


def unserved_lines(found: LayoutResult, system: str) -> list[str]:
    """Rooms that are not served, why, and what would do it."""
    return [_unserved(one, system) for one in found.unserved]


def _unserved(one: Unserved, system: str) -> str:
    lack = f" ({show(one.missing_w, 'power', system, 2)} missing)" if one.missing_w > 0.5 else ""
    ways = [
        way.what if way.value is None else f"{way.what} {_value(way.value, way.dimension, system)}"
        for way in one.remedies
    ]
    would = (
        f" Any of these would: {'; '.join(ways)}." if ways else " No single change of spacing, covering or pump does."
    )
    return f"NOT SERVED: {one.circuit}: {WHY[one.why]}{lack}.{would}"


def _value(value: float, dimension: str, system: str) -> str:
    return show(value, dimension, system, {"r_value": 2, "power": 2, "small_length": 0, "share": 0}[dimension])
