"""What `costsim house import` prints: surfaces with their losses, what was taken for granted, and what was not used."""

from __future__ import annotations

import textwrap

from costsim.study.building import Building
from costsim.units.quantity import HOUR_S, show
from costsim.views.tables import text_table
from costsim.words import tr

WIDTH, MOST_LISTED = 110, 80


def text_building(building: Building, system: str) -> str:
    """Print a building that was read.

    Parameters
    ----------
    building : Building
    system : str
        ``"us"`` or ``"si"``.
    """
    surfaces, air = building.models()
    rows = [
        [surface.name, show(surface.area_m2, "area", system), show(surface.u_value_known_w_m2k, "u_value", system, 3),
         f"{surface.difference_share:.0%}", show(surface.loss_w_k, "heat_loss_rate", system)]
        for surface in surfaces
    ]  # fmt: skip
    if air is not None:
        rows.append(
            [
                tr(
                    "air, {changes_per} changes an hour, as at sea level",
                    changes_per=f"{air.changes_per_s * HOUR_S:.2f}",
                ),
                "",
                "",
                "",
                show(air.loss_w_k(0.0), "heat_loss_rate", system),
            ]
        )
    parts = [tr("{name}: {surfaces} surfaces with area and U-value", name=building.name, surfaces=len(surfaces))]
    if rows:
        total = show(building.loss_w_k, "heat_loss_rate", system)
        rows.append(["together", "", "", "", total])
        parts.append(text_table(["", tr("area"), tr("U-value"), tr("of the difference"), tr("heat loss")], rows))
    if building.without_area:
        named = ", ".join(f"{surface['name']} ({surface['u_value']})" for surface in building.without_area)
        summary = tr(
            "{without_area} surfaces have no area in the file; put it into the fragment that -o writes: {named}",
            without_area=len(building.without_area),
            named=named,
        )
        parts.append(_wrapped(summary))
    if building.house:
        parts.append(tr("Also read: ") + ", ".join(f"{key} {value}" for key, value in building.house.items()))
    if building.notes:
        parts.append(tr("Taken for granted\n") + "\n".join(_wrapped(note, "  ") for note in building.notes))
    if building.unused:
        more = len(building.unused) - MOST_LISTED
        listed = [f"  {path}" for path in building.unused[:MOST_LISTED]]
        parts.append(
            "\n".join([tr("Not used"), *listed, *([tr("  … and {more} more", more=more)] if more > 0 else [])])
        )
    return "\n\n".join(parts)


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  " if indent else "")
