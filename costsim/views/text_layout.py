"""What `costsim layout` prints: loops, pumps, what they give, what to buy, and what is missing."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.analysis.layout import LEAST_FLOW_M3_S, LayoutResult, LoopPlan, Unserved
from costsim.analysis.layout_plan import valve_c
from costsim.engine.laid_floor import SAME_K
from costsim.results.return_water import USUAL_MOST_C
from costsim.study.build_ups import BUILD_UPS
from costsim.study.case import Case
from costsim.units.quantity import pretty_unit, show, to_display, unit_for
from costsim.views.tables import text_table
from costsim.views.text_capacity import REGIMES
from costsim.views.wording import one_system
from costsim.words import tr, trn

COOL_C = 10.0
"""A room that is kept from freezing and little more, for an example: 50 °F."""
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


def printed_layout(layout: LayoutResult, system: str, fill: Sequence[str] = ()) -> str:
    """Print a layout.

    Parameters
    ----------
    layout : LayoutResult
    system : str
        ``"us"`` or ``"si"``.
    fill : sequence of str
        What an option is filled with; without it the study's own tank is.
    """
    parts = [
        tr("{title}: layout\n{title_2}", title=layout.title, title_2="=" * (len(layout.title) + 8)),
        summary(layout, system),
        text_table(*loop_rows(layout, system)),
        "\n".join(floor_lines(layout, system)),
        tr("At half load, the supply following the load, and what sharing a pump costs\n")
        + text_table(*half_rows(layout, system))
        + f"\n{tr(SHARING)}",
        text_table(*pump_rows(layout, system)),
        "\n".join(fill or fill_lines(layout, system)),
    ]
    parts.insert(2, supply_note(layout, system))
    if missing := unserved_lines(layout, system):
        parts.insert(3, "\n".join(missing))
    if layout.notes:
        parts.append("\n".join(note_lines(layout, system)))
    return "\n\n".join([*parts, tr(CAUTION)])


def summary(layout: LayoutResult, system: str) -> str:
    """One paragraph: how many of everything, and the water it takes."""
    return tr(
        "{loops} of {tube} ({length} of tube) on {pumps} and {thermostats} carry {load} at design with water at {supply} for the"
        " room that needs it hottest, {half_supply} at half load."
        if not layout.unserved
        else "{loops} of {tube} ({length} of tube) on {pumps} and {thermostats} do not carry all of {load} at design with water at"
        " {supply} for the room that needs it hottest, {half_supply} at half load.",
        loops=trn("{count} loop", "{count} loops", layout.loop_count),
        tube=layout.tube,
        length=show(layout.tube_m, "length", system, 0),
        pumps=trn("{count} pump", "{count} pumps", len(layout.pumps)),
        thermostats=trn("{count} thermostat", "{count} thermostats", len(layout.thermostats)),
        load=show(layout.design_load_w, "power", system),
        supply=show(layout.supply_c, "temperature", system, 0),
        half_supply=show(layout.half_supply_c, "temperature", system, 0),
    )


def supply_note(layout: LayoutResult, system: str) -> str:
    """The one water temperature to set, whether the year runs on it, and levels that take a mixing valve of their own."""
    hot, year = (show(value, "temperature", system, 0) for value in (layout.supply_c, layout.year_supply_c))
    if abs(layout.supply_c - layout.year_supply_c) > SAME_K:
        text = tr(
            "The year runs on the loops that are typed beside this layout, which take {year} at design; the layout takes {hot}."
            " Take one of the two out.",
            hot=hot,
            year=year,
        )
    elif layout.tank_c > layout.supply_c + SAME_K and layout.beside:
        text = tr(
            "Set the floor's mixing valve for {hot}, with a high limit that holds its surface within its limit; {beside} takes {tank} water"
            " at design, so the tank and the year's bills are at that. A loop that could give more than its room asks is stopped by its"
            " thermostat.",
            hot=hot,
            beside=", ".join(layout.beside),
            tank=show(layout.tank_c, "temperature", system, 0),
        )
    else:
        text = (
            tr(
                "Set the floor's mixing valve for {hot}; {fires} and its tank run hotter, with the return held at {least} or more, as"
                " the boiler's manual says. The year, the bills, the drawing and the calculation sheet have {hot} water in the floor. A"
                " loop that could give more than its room asks is stopped by its thermostat.",
                hot=hot,
                fires=", ".join(layout.fires),
                least=show(USUAL_MOST_C, "temperature", system, 0),
            )
            if layout.fires
            else tr(
                "Set mixing valve and boiler for {hot}: the year, the bills, the drawing and the calculation sheet are all at that. A"
                " loop that could give more than its room asks is stopped by its thermostat.",
                hot=hot,
            )
        )
    if layout.cooler:
        return " ".join([text, *(_own_valve(layout, name, system) for name in layout.cooler)])
    if not layout.beside and layout.supply_c - min(plan.design.supply_c for plan in layout.loops) > SAME_K:
        text += " " + tr("A heat pump runs the better the nearer that room comes to the others (covering, spacing).")
    return text


def _own_valve(layout: LayoutResult, name: str, system: str) -> str:
    """Say that a level or room takes cooler water, and why: its surface, or a need that lies far below the others'."""
    loops = layout.cooler[name]
    most = min(plan.most_c for plan in loops)
    warmest, own, hot = (
        show(value, "temperature", system, 0) for value in (loops[0].limit_c, valve_c(loops), layout.supply_c)
    )
    if most >= layout.supply_c - SAME_K:
        return tr(
            "{name} needs only {own}, much less than {hot}: it takes a mixing valve of its own, set for {own}.",
            name=name,
            own=own,
            hot=hot,
        )
    text = tr(
        "{name} takes a mixing valve of its own, set for {own}: with {hot} its floor could get warmer than the {warmest} it may have"
        " wherever its thermostat does not stop it",
        name=name,
        own=own,
        hot=hot,
        warmest=warmest,
    )
    short = [plan for plan in loops if plan.most_c < plan.design.supply_c - SAME_K]
    if not short:
        return text + "."
    return tr(
        "{text}; it then gives {gives} of the {asked} asked.",
        text=text,
        gives=show(sum(plan.fed.count * plan.output_w for plan in short), "power", system, 2),
        asked=show(sum(plan.fed.count * plan.design.load_w for plan in short), "power", system, 2),
    )


def loop_rows(layout: LayoutResult, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the loops at design."""
    names = ("length", "flow", "head", "temperature_difference", "power", "temperature")
    length, flow, head, drop, power, warm = (pretty_unit(unit_for(name, system)) for name in names)
    headings = [
        tr("loops at design"),
        tr("number"),
        tr("length {length}", length=length),
        tr("leads {length}", length=length),
        tr("flow {flow}", flow=flow),
        tr("flow is"),
        tr("head {head}", head=head.removesuffix(" of head")),
        tr("drop at asked heat {drop}", drop=drop),
        tr("asked {power}", power=power),
        tr("could give {power}", power=power),
        tr("surface at asked heat {warm}", warm=warm),
        tr("limit {warm}", warm=warm),
    ]
    return headings, [_loop(plan, system) for plan in layout.loops]


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
        tr(REGIMES.get(plan.regime, plan.regime)),
        text(plan.fed.head_pa, "head", 1),
        text(plan.design.drop_k, "temperature_difference", 0),
        text(plan.design.load_w, "power", 2),
        text(plan.output_w, "power", 2),
        text(plan.design.surface_c, "temperature", 1),
        text(plan.limit_c, "temperature", 1),
    ]


def floor_lines(layout: LayoutResult, system: str) -> list[str]:
    """What the tubes of each level lie in, how far apart, and what covers them."""
    return [
        tr(
            "{level}: {build_up}, tubes {spacings} apart; over it {coverings}, below it {insulation} of insulation.",
            level=floor.level,
            build_up=one_system(tr(BUILD_UPS[floor.build_up].title), system),
            spacings=_or([show(gap, "small_length", system, 1 if system == "us" else 0) for gap in floor.spacings_m]),
            coverings=_or(
                [
                    tr("a covering of {value}", value=show(value, "r_value", system, 2)) if value else tr("no covering")
                    for value in floor.coverings_m2k_w
                ]
            ),
            insulation=show(floor.insulation_m2k_w, "r_value", system, 1),
        )
        for floor in layout.floors
    ]


def _or(texts: list[str]) -> str:
    return tr(" or ").join(dict.fromkeys(texts))


def note_lines(layout: LayoutResult, system: str) -> list[str]:
    """What to look at again."""
    return [one_system(tr("Note: {note}.", note=note), system) for note in layout.notes]


def cooler_room_line(case: Case, design_outdoor_c: float, system: str) -> str:
    """Say that rooms are sized at the house's temperature, and what to type for one that is kept cooler; empty in a cool house."""
    indoor_c = case.house.indoor_temperature_c
    if not design_outdoor_c < COOL_C < indoor_c:
        return ""
    return tr(
        "Rooms are sized at the house's {indoor}, by their share of the floor area where no design heat loss of their own is typed; a"
        " room has no temperature of its own here. One that is kept at {cool}, such as a garage, loses about {share} of its share:"
        " type that as its design heat loss, and take what is saved off the house's. What a zone with a thermostat of its own saves in"
        " a year is told by a zone on the House page.",
        indoor=show(indoor_c, "temperature", system, 0),
        cool=show(COOL_C, "temperature", system, 0),
        share=f"{(COOL_C - design_outdoor_c) / (indoor_c - design_outdoor_c):.0%}",
    )


def half_rows(layout: LayoutResult, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the loops at half load."""
    drop, power, warm = (
        pretty_unit(unit_for(name, system)) for name in ("temperature_difference", "power", "temperature")
    )
    headings = [
        tr("loops at half load"),
        tr("gives {power}", power=power),
        tr("supply {warm}", warm=warm),
        tr("drop {drop}", drop=drop),
        tr("surface {warm}", warm=warm),
        tr("against a pump of its own"),
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
            tr("has its own")
            if plan.fed.loops_per_pump == 1
            else tr(
                "{alone_flow_share} flow, {alone_share} heat",
                alone_flow_share=f"{plan.alone_flow_share:.0%}",
                alone_share=f"{plan.alone_share:.0%}",
            ),
        ]
        for plan in layout.loops
    ]
    return headings, rows


def pump_rows(layout: LayoutResult, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the pumps, like ones counted."""
    flow, head = (pretty_unit(unit_for(name, system)) for name in ("flow", "head"))
    counts: dict[tuple[str, ...], int] = {}
    for pump in layout.pumps:
        row = (
            pump.level
            if pump.thermostat == pump.level
            else tr("{level}, thermostat {thermostat}", level=pump.level, thermostat=pump.thermostat),
            str(len(pump.loops)),
            f"{pump.speed_share:.0%}",
            f"{to_display(pump.flow_m3_s, 'flow', system):.2f}",
            f"{to_display(pump.head_pa, 'head', system):.1f}",
            f"{pump.electric_w:.0f}",
        )
        counts[row] = counts.get(row, 0) + 1
    headings = [
        tr("pumps"),
        tr("number"),
        tr("loops each"),
        tr("speed"),
        tr("flow {flow}", flow=flow),
        tr("head {head}", head=head.removesuffix(" of head")),
        tr("W each"),
    ]
    return headings, [[row[0], str(count), *row[1:]] for row, count in counts.items()]


def fill_lines(layout: LayoutResult, system: str) -> list[str]:
    """Water and antifreeze to buy, and connections at the tank."""
    fluid = layout.fluid
    parts = ", ".join(f"{part} {show(volume, 'volume', system, 1)}" for part, volume in fluid.content_m3.items())
    lines = [tr("Fill: {total} ({parts}).", total=show(fluid.total_m3, "volume", system, 0), parts=parts)]
    coldest = show(fluid.needed_freeze_c, "temperature", system, 0)
    needed = f"{fluid.needed_share * 100:.0f} %" if fluid.needed_share is not None else None
    if fluid.antifreeze == "none":
        lines.append(
            tr("Plain water: no tube outside the heated house, and a plan for a long power cut.")
            + (
                tr(
                    " Pipe outside it would need propylene glycol, {needed} by volume to stay open at {coldest}.",
                    needed=needed,
                    coldest=coldest,
                )
                if needed
                else ""
            )
        )
    else:
        enough = fluid.needed_share is not None and fluid.share >= fluid.needed_share - 1e-9
        lines.append(
            tr(
                "Antifreeze: {antifreeze} of {antifreeze_2} (a tenth spare) and {water} of water make"
                " {share} % by volume. Slush begins at {freeze}; how far below that it keeps pipe from bursting, the"
                " maker's table says.",
                antifreeze=show(fluid.antifreeze_m3, "volume", system, 0),
                antifreeze_2=fluid.antifreeze.replace("_", " "),
                water=show(fluid.water_m3, "volume", system, 0),
                share=f"{fluid.share * 100:g}",
                freeze=show(fluid.freeze_c, "temperature", system, 0),
            )
            + (
                tr(
                    " It stays open at {coldest}, the coldest hour or design night with its margin, also outdoors.",
                    coldest=coldest,
                )
                if enough
                else tr(
                    " Only where pipe lies outside the heated house ask for {needed}: that stays open at {coldest}, the"
                    " coldest hour or design night with its margin.",
                    needed=needed or tr("more than any mixture gives"),
                    coldest=coldest,
                )
            )
        )
    connections = tr(
        "Tank connections: {tappings} for the floor and {source_tappings} for the sources, {total}"
        " in all; relief or vent, expansion, drain, fill and sensor wells come on top.",
        tappings=layout.tappings,
        source_tappings=layout.source_tappings,
        total=layout.tappings + layout.source_tappings,
    )
    return [*lines, connections] if "tank" in fluid.content_m3 else lines


def unserved_lines(layout: LayoutResult, system: str) -> list[str]:
    """Rooms that are not served, why, and what would do it."""
    return [_unserved(room, system) for room in layout.unserved]


def _unserved(room: Unserved, system: str) -> str:
    lack = tr(" ({missing} missing)", missing=show(room.missing_w, "power", system, 2)) if room.missing_w > 0.5 else ""
    ways = [
        way.what if way.value is None else f"{way.what} {_value(way.value, way.dimension, system)}"
        for way in room.remedies
    ]
    would = (
        tr(" Any of these would: {ways}.", ways="; ".join(ways))
        if ways
        else tr(" No single change of spacing, covering or pump does.")
    )
    return f"NOT SERVED: {room.circuit}: {tr(WHY[room.why])}{lack}.{would}"


def _value(value: float, dimension: str, system: str) -> str:
    return show(value, dimension, system, {"r_value": 2, "power": 2, "small_length": 0, "share": 0}[dimension])
