"""What a floor and its loops should make their reader look at again, a line each."""

from __future__ import annotations

import math
from collections.abc import Sequence

from costsim.engine.laid_floor import LaidFloor, ShortRoom
from costsim.engine.loop_checks import LoopCheck, loops_on_pump
from costsim.physics.hydraulics import PumpCurve, at_the_turn
from costsim.study.case import Case
from costsim.study.emitter_parts import emitters_differ
from costsim.study.fluid import antifreeze_of, on_the_mix
from costsim.study.plant import Floor
from costsim.units.quantity import show, show_both
from costsim.units.table import FOOT_OF_WATER_PA
from costsim.words import tr

MOST_HEAD_PA = 150e3
"""About 50 ft of water, beyond any circulator of a house; common practice, no source."""


def short_rooms(case: Case, laid: LaidFloor) -> tuple[str, ...]:
    """Say which rooms get too little heat at the hottest water there is, or at the tank temperature that was entered.

    Parameters
    ----------
    case : Case
    laid : LaidFloor
        The floor's loops, with the load of each room.
    """
    typed = case.tank.design_supply_temperature_c if case.tank else None
    short = laid.short_at(laid.ground.max_supply_c)
    cool, stuck = [room for room in short if not room.surface], [room for room in short if room.surface]
    texts = []
    if cool:
        texts.append(
            tr(
                "at {water}, the hottest there is, {rooms} on a design day: allow {needs}, or lay tubes closer or coverings thinner"
                " there (Layout)",
                water=show_both(laid.ground.max_supply_c, "temperature"),
                rooms=_gets(cool),
                needs=show_both(max(room.needs_c for room in cool), "temperature"),
            )
        )
    if stuck:
        texts.append(
            tr(
                "{rooms} on a design day, whatever the water, for no floor may be warmer: add another emitter there (Layout)",
                rooms=_gets(stuck),
            )
        )
    if typed is not None and typed < laid.supply_c - LESS_K:
        texts.append(
            tr(
                "the tank temperature for design in this study is too low: at {water} {rooms} on a design day; set {needs}, at which"
                " all figures here are, or lay tubes closer or coverings thinner there (Layout)",
                water=show_both(typed, "temperature"),
                rooms=_gets(laid.short_at(typed)),
                needs=show_both(laid.supply_c, "temperature"),
            )
        )
    return tuple(texts)


def _gets(rooms: Sequence[ShortRoom]) -> str:
    return ", ".join(
        tr(
            "{room} gets {gives} of the {asked} it needs",
            room=room.name,
            gives=show_both(room.gives_w, "power"),
            asked=show_both(room.asked_w, "power"),
        )
        for room in rooms
    )


APART_SHARE = 0.1
"""Shares that add up to the whole within this are the whole; our choice."""
CURVE_SHARE = 0.02
"""A head over the pump's curve by no more than this is on it; rounding."""
LESS_K = 0.5
"""Water that is cooler by less than this is the same."""


def floor_warnings(
    case: Case, limit_w: float, freeze_c: float, coldest_c: float, design_load_w: float
) -> tuple[str, ...]:
    """Say where the floor as a whole is too small, its antifreeze too thin, or its loops cover more than the house."""
    texts = []
    if limit_w < design_load_w:
        gives = tr("{emitters} give", emitters=case.emitter_named) if emitters_differ(case.house) else "the floor gives"
        texts.append(
            f"{gives} at most {show_both(limit_w, 'power')} but the design load is {show_both(design_load_w, 'power')}; sources cannot help"
        )
    antifreeze, mixed_share = antifreeze_of(case)
    if antifreeze != "none" and freeze_c > coldest_c:
        both = [f"{show(x, 'temperature', 'si')} ({show(x, 'temperature', 'us', 0)})" for x in (freeze_c, coldest_c)]
        texts += [tr("in {share} % antifreeze slush begins at {freeze}, and the coldest hour of the weather is {coldest}; how far"
                     " below that it keeps pipe from bursting, the maker's table says; {where}",
                     where=_where_it_matters(case),
                     share=f"{mixed_share * 100:g}", freeze=both[0], coldest=both[1])]  # fmt: skip
    whole_m2 = case.house.floor_area_m2
    # a zone by its share of the load does not say how large it is: roofs and corners lose more than what lies between
    left_m2 = whole_m2 - sum(zone.area_m2 or 0.0 for zone in case.house.zone if zone.emitter)
    if case.floor is not None and case.floor.area_m2 > 1.1 * left_m2:
        words = {"loops": show_both(case.floor.area_m2, "area"), "floor": show_both(left_m2, "area")}
        texts.append(
            tr("the loops cover {loops}, more than the heated floor of {floor}", **words)
            if left_m2 == whole_m2
            else tr("the loops cover {loops}, more than the {floor} that no other emitter heats", **words)
        )
    return tuple(texts)


def _where_it_matters(case: Case) -> str:
    """Where a mix that is too weak for the cold does harm: in what stands outdoors on it, else in pipe that lies outside."""
    on_it = on_the_mix(case, [source for option in case.options for source in option.sources])
    if on_it:
        return tr(
            "{names} stands outdoors on it: take a stronger mix",
            names=", ".join(dict.fromkeys(source.label for source in on_it)),
        )
    return tr("only where pipe lies outside the heated house ask for a stronger mix")


def loads_add_up(floor: Floor) -> list[str]:
    """Say that the loads typed for loops are far from the whole; see `Loops.load_share`."""
    whole = math.fsum(group.load_share or 0.0 for group in floor.loops)
    if not floor.loads_typed or abs(whole - 1.0) <= APART_SHARE:
        return []
    return [
        tr(
            "the loops' shares of the heat add up to {total} of the floor's design heat loss: water and rooms are at what each line asks",
            total=f"{whole:.0%}",
        )
    ]


def beyond_pumps(loops: Sequence[LoopCheck]) -> list[str]:
    """Say which loops ask for more head than pumps of small systems have."""
    return [
        f"{check.name} asks for a head of {check.head_pa / 1e3:,.0f} kPa ({check.head_pa / FOOT_OF_WATER_PA:,.0f} ft of water) at"
        f" {check.flow_m3_s * 6e4:.1f} L/min, and circulators of houses end at about {MOST_HEAD_PA / 1e3:.0f} kPa: take a wider or"
        " shorter loop, or less flow"
        for check in loops
        if check.head_pa > MOST_HEAD_PA
    ]


def beyond_curves(floor: Floor, loops: Sequence[LoopCheck]) -> list[str]:
    """Say where a flow that was typed asks for more head than the pump that was typed has there."""
    pump, texts = floor.pump, []
    for group, check in zip(floor.loops, loops, strict=True):
        if pump is None or group.flow_m3_s is None:
            continue
        curve = PumpCurve(pump.flow_values_m3_s, pump.head_values_pa)
        flow = check.flow_m3_s * loops_on_pump(pump, group)
        gives = curve.head_pa(flow, group.pump_speed_share or pump.speed_share)
        if check.head_pa > gives * (1.0 + CURVE_SHARE):
            texts.append(
                tr(
                    "{loop}: at the {flow} typed for a loop they ask for a head of {head}, and the pump's curve has {gives} there, so that"
                    " less flows and less heat comes: leave flow out, and the pump decides, or enter a stronger pump",
                    loop=check.name,
                    flow=show_both(check.flow_m3_s, "flow"),
                    head=show_both(check.head_pa, "head"),
                    gives=show_both(gives, "head"),
                )
            )
    return texts


def at_turns(loops: Sequence[LoopCheck]) -> list[str]:
    """Say which loops flow where laminar turns turbulent, so that nobody takes an unchanged head for a pipe without resistance."""
    return [
        tr(
            "{loop}: its flow rests where laminar turns turbulent; more or less pipe moves neither flow nor head there, until it tips:"
            " then less heat comes from the same water. A faster pump stage, a stronger pump or shorter loops leave that place (Layout)",
            loop=check.name,
        )
        for check in loops
        if at_the_turn(check.reynolds)
    ]


def too_warm(loops: Sequence[LoopCheck], design_load_w: float, excess_k: float) -> list[str]:
    """Say which loops pass their surface limit at the design load although all loops together do not: they share one water.

    `excess_k` is how far that water is over the room.
    """
    if design_load_w > sum(check.surface_limit_w for check in loops):
        return []
    given = [(check, excess_k * check.count * check.heat_w_k) for check in loops]
    return [
        f"with one water temperature for all loops, {check.name} would give {show_both(heat, 'power')} at the design load, but its"
        f" surface limit allows {show_both(check.surface_limit_w, 'power')}; it needs cooler water of its own"
        for check, heat in given
        if heat > 1.001 * check.surface_limit_w
    ]
