"""A copy of a study with the loops and pumps that a layout found."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import Table

from costsim.analysis.layout import LayoutResult, LoopPlan
from costsim.study.case import Case
from costsim.study.edit import edited, study_text, write_copy
from costsim.study.plant import COMMON_PUMP
from costsim.units.quantity import to_display, unit_for


def write_laid_out(
    case: Case, layout: LayoutResult, target: str | Path, system: str, *, overwrite: bool = False
) -> None:
    """Write a copy of a study with ``[[floor.loops]]`` and the pumps chosen; its comments stay.

    Parameters
    ----------
    case : Case
        As read from its file.
    layout : LayoutResult
    target : str or Path
    system : str
        Units of what is written, ``"us"`` or ``"si"``.
    overwrite : bool
        Whether a file that is there already may be replaced.

    Raises
    ------
    InputError
        The target is there already, or the copy would be no valid study.
    """
    text, floor = study_text(case), case.typed["floor"]
    if "floor" not in tomlkit.parse(text):
        text = edited(text, {"floor": floor}, {}, "assumed: a slab wherever no other emitter heats")
    write_copy(laid_out(text, layout, system), target, overwrite=overwrite)


def laid_out(text: str, layout: LayoutResult, system: str) -> str:
    """The text of a study with the layout's loops in place of those it had."""
    document = tomlkit.parse(text)
    floor: Any = document["floor"]
    floor.pop("loops", None)
    pump: Any = floor.get("pump")
    if pump is None:
        pump = tomlkit.table()
        pump.comment("a curve of common size, no maker's: put in the pump's own")
        for key, values in COMMON_PUMP.items():
            pump.add(key, list(values))
        floor.add("pump", pump)
    for key in ("speed", "loops_per_pump", "lift"):
        pump.pop(key, None)
    loops = tomlkit.aot()
    for plan in layout.loops:
        loops.append(_group(plan, layout, system))
    floor.add("loops", loops)
    return tomlkit.dumps(document)


def _group(plan: LoopPlan, layout: LayoutResult, system: str) -> Table:
    circuit, fed = plan.circuit, plan.fed
    group = tomlkit.table()
    group.add(tomlkit.comment(f"thermostat {circuit.thermostat}"))
    group.add("name", circuit.name)
    group.add("count", fed.count)
    group.add("length", _text(circuit.length_m, "length", system, 4))
    group.add("leads", _text(circuit.leads_m, "length", system, 4))
    group.add("tube", layout.tube)
    group.add("spacing", _text(circuit.spacing_m, "small_length", system, 4))
    if circuit.covering_m2k_w > 0:
        group.add("covering", _text(circuit.covering_m2k_w, "r_value", system, 5))
    if circuit.build_up is not None:
        group.add("build_up", circuit.build_up)
    if circuit.insulation_m2k_w is not None:
        group.add("insulation", _text(circuit.insulation_m2k_w, "r_value", system, 5))
    if circuit.zone != "occupied":
        group.add("zone", circuit.zone)
    group.add("loops_per_pump", fed.loops_per_pump)
    group.add("pump_speed", f"{fed.speed_share * 100:g} %")
    if layout.lift_pa[circuit.level] > 0:
        group.add("lift", _text(layout.lift_pa[circuit.level], "head", system, 4))
    group.add("load", f"{plan.design.load_w * fed.count / layout.design_load_w * 100:.6g} %")
    return group


def _text(value: float, dimension: str, system: str, digits: int) -> str:
    number = f"{to_display(value, dimension, system):.{digits}f}".rstrip("0").rstrip(".")
    return f"{number} {unit_for(dimension, system)}"
