"""What a new table of a form begins with: the study's own tank or floor, floors by the house's area, or the least it must say."""

from __future__ import annotations

import copy
from typing import Any

import streamlit as st
from pydantic import BaseModel

from costsim.dashboard import state
from costsim.dashboard.field_text import dotted
from costsim.dashboard.kinds import starter
from costsim.study.assumed_floor import AREA, floors_of, share_of_floor
from costsim.study.layout import LayoutLevel, LayoutRoom
from costsim.study.prices import PricePeriod
from costsim.units.quantity import FOOT_M
from costsim.words import tr

FRONT: dict[type[BaseModel], tuple[str, ...]] = {
    LayoutLevel: ("area", "name", "build_up", "spacing", "covering", "loops")
}
"""Fields that stand in front wherever a table is drawn."""
SPLIT = "split_floors"
"""Where a session keeps the areas of floors that it split among rooms."""


def beginning(path: state.Path, model: type[BaseModel], currency: str) -> dict[str, Any]:
    """Give what a new table at a place begins with, so that it can be computed at once."""
    whole = state.get(path[-1:]) if path[0] == "option" and len(path) == 3 else None
    if isinstance(whole, dict):
        return copy.deepcopy(whole)
    if model is PricePeriod:
        return _same_price(path, currency)
    if path[-1] == "layout":
        return floors(1)
    if model is LayoutLevel:
        return _next_floor(state.get(path) or [])
    if model is LayoutRoom:
        return _next_room(path)
    return starter(model, currency)


def _next_room(path: state.Path) -> dict[str, Any]:
    """A room with a name of its own: an even part of a floor while its rooms are as this split them, else no area yet."""
    level, rooms = state.get(path[:-1]) or {}, state.get(path) or []
    taken = [str(room.get("name", "")) for room in rooms]
    name = tr("Room {number}", number=len(rooms) + 1)
    new = {"name": state.free_name(name, taken) if name in taken else name}
    if not rooms:
        return new | {"area": _part(str(level.get("area", "")), 1 / 2) or starter(LayoutRoom)["area"]}
    whole, count = st.session_state.get(SPLIT, {}).get(dotted(path), ""), len(rooms)
    as_split = whole and count > 1 and all(room.get("area") == _part(whole, 1 / count) for room in rooms)
    return new | ({"area": _part(whole, 1 / (count + 1))} if as_split else {})


def note_split(path: state.Path, whole: str) -> None:
    """Remember the area of a floor that is split among the rooms at `path`."""
    st.session_state.setdefault(SPLIT, {})[dotted(path)] = whole


def _part(text: str, share: float) -> str:
    try:
        area_m2 = float(AREA.read(text)) * share
    except ValueError:
        return ""
    return f"{area_m2 / FOOT_M**2:.0f} ft2" if state.units_system() == "us" else f"{area_m2:.1f} m2"


def _same_price(path: state.Path, currency: str) -> dict[str, Any]:
    """Hours at the price of all others, so that nothing changes until somebody types their own."""
    new = starter(PricePeriod, currency) | {"name": tr("Cheaper hours"), "windows": ["22:00-06:00"]}
    new.pop("days", None)
    energy = state.get((*path[:-1], "energy"))
    return new | ({"energy": energy} if energy else {})


def floors(count: int) -> dict[str, Any]:
    """A layout of so many floors that share evenly what of the house no other emitter heats."""
    return floors_of(_house(), count, state.units_system())


def _house() -> dict[str, Any]:
    return {key: state.get(("house", key)) for key in ("floor_area", "zone")}


def _next_floor(levels: list[dict[str, Any]]) -> dict[str, Any]:
    """One floor more, as large as the last one."""
    taken = [str(level.get("name", "")) for level in levels]
    area = next(
        (str(level["area"]) for level in reversed(levels) if level.get("area")),
        share_of_floor(_house(), len(levels) + 1, state.units_system()),
    )
    name = tr("Floor {number}", number=len(levels) + 1)
    return {"name": state.free_name(name, taken) if name in taken else name, "area": area}
