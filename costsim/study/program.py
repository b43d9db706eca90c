"""A utility's off-peak or interruptible program as people type it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from costsim.units.fields import QuantityField, StudyModel


class Program(StudyModel):
    """What a utility asks of a house before its off-peak or interruptible rate is open to it."""

    name: Annotated[str, Field(title="Name", min_length=1, max_length=80)]
    backup: Annotated[bool, Field(title="Automatic backup for the whole house")] = True
    backup_time_s: Annotated[float, QuantityField("duration", "Backup must last", above=0, example="12 h")] = (
        12 * 3600.0
    )
    min_controlled_load_w: Annotated[
        float, QuantityField("electric_power", "Smallest controlled unit", at_least=0, example="8 kW")
    ] = 0.0
    separate_meter: Annotated[bool, Field(title="Separate meter")] = True
    excluded_backup_fuels: Annotated[
        tuple[str, ...] | None,
        Field(
            title="Kinds that do not count as backup",
            description="By default those that somebody must tend or that need the sun: wood and solar.",
        ),
    ] = None
    grid_backup: Annotated[
        bool,
        Field(
            title="Electric heat counts as backup",
            description="Off by default: what runs from the same grid is no backup when the grid is what is short.",
        ),
    ] = False
