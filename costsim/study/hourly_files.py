"""Hourly files that a study names besides its weather and meter: own generation, and heat that a use takes."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.bills.meter import MOST_BYTES, read_heat, read_meter
from costsim.errors import Fault, InputError
from costsim.study.outdoor_uses import Profile
from costsim.study.uses import AnyUse
from costsim.study_files import StudyFiles
from costsim.units.arrays import Floats


def generation_j(name: str, files: StudyFiles, file: str) -> Floats:
    """Own generation of each hour [J], with its own key in every fault."""
    key = "solar_electric.hours"
    try:
        return read_meter(name, content=files.read(name, key, file=file, most=MOST_BYTES))
    except InputError as error:
        own = [
            fault if fault.field == key else Fault(key, f"'{name}': {fault.problem}", fault.remedy, file)
            for fault in error.faults
        ]
        raise InputError(own) from None


def use_heat_j(uses: Sequence[AnyUse], files: StudyFiles, file: str) -> dict[int, Floats]:
    """Heat of each hour of the uses that name a file, by their place from 0 [J]."""
    heats = {}
    for at, use in enumerate(uses):
        if isinstance(use, Profile):
            key = f"use[{at + 1}].hours"
            content = files.read(use.hours, key, file=file, most=MOST_BYTES)
            heats[at] = read_heat(use.hours, content, key, file)
    return heats
