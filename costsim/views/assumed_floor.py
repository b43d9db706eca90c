"""What a layout took of a floor that a study does not describe, and what it asks."""

from __future__ import annotations

from costsim.physics.emitters import EMITTERS
from costsim.study.build_ups import BUILD_UPS
from costsim.study.case import Case
from costsim.units.quantity import show
from costsim.words import tr


def assumed_floor_lines(case: Case, system: str) -> list[str]:
    """Levels, areas, slab and tubes as taken, and one question, for a study whose floor was filled in; nothing without a layout."""
    floor, house = case.floor, case.house
    if floor is None or floor.layout is None:
        return []
    plan = floor.layout
    level, count = plan.level[0], len(plan.level)
    area = show(level.area_m2 or 0.0, "area", system, 0)
    taken = [
        tr(
            "{name}, {area}",
            name=zone.name,
            area=show(zone.share(house.floor_area_m2) * house.floor_area_m2, "area", system, 0),
        )
        for zone in house.zone
        if zone.emitter
    ]
    whole = show(house.floor_area_m2, "area", system, 0)
    words = {"count": count, "area": area, "whole": whole, "others": "; ".join(taken)}
    less = tr(", of the heated {whole} less {others}", **words) if taken else tr(", all of the heated area")
    levels = (
        tr("one level with tubes, {area}", **words)
        if count == 1
        else tr("{count} levels with tubes, {area} each", **words)
    )
    tubes = tr(
        "{tube} tubes {spacing} apart, {build_up} ({insulation}), no floor covering; loops up to {longest}",
        tube=plan.tube,
        spacing=show(plan.spacing_of(level, level.rooms[0]), "small_length", system, 0),
        build_up=tr(BUILD_UPS[floor.build_up].title),
        insulation=show(floor.insulation_m2k_w, "r_value", system, 1),
        longest=show(plan.longest_m, "length", system, 0),
    )
    under = [zone.name for zone in house.zone if zone.emitter and EMITTERS[zone.emitter].floor]
    apart = tr("{names} has tubes too: they are not laid here, but as a level of their own.", names=", ".join(under))
    return [
        tr("Assumed, since the study describes no floor:"),
        f"  {levels}{less};",
        f"  {tubes}.",
        *([apart] if under else []),
        tr(
            "Is the area right, and how many levels have tubes? --levels 2 takes two; your own stand in [floor.layout] (Layout page)."
        ),
    ]
