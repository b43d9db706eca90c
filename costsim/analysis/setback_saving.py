"""What an option's year would cost with the set-backs left out, at the sizes, prices and weather of the study."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.analysis.sizing import named_option
from costsim.engine.lower import lower_study, option_study
from costsim.results.result import Result
from costsim.simulation import simulate_option


@dataclass(frozen=True, slots=True)
class SetbackSaving:
    """A year's cost of an option with the set-backs and without them, and the hours too cold of both.

    `floor` says whether a floor heats the rooms, `stores` whether what it and the rooms store is computed.
    """

    option: str
    cost: float
    cost_without: float
    hours: int
    hours_without: int
    stores: bool
    floor: bool


def setback_saving(result: Result, name: str) -> SetbackSaving | None:
    """Run the year of an option again with the thermostat kept at its setting.

    Parameters
    ----------
    result : Result
        What `simulate` gave.
    name : str
        Of the option.

    Returns
    -------
    SetbackSaving or None
        None where no set-back is typed, of the house or of a zone.

    Notes
    -----
    Where floor and rooms store heat, both years have their cooling and reheating; elsewhere the rooms follow the thermostat at
    once, which is the most that a set-back saves.
    """
    common, house = result.lowered, result.lowered.case.house
    if not house.setback and not any(zone.setback for zone in house.zone):
        return None
    zones = tuple(zone.model_copy(update={"setback": ()}) for zone in house.zone)
    kept = house.model_copy(update={"setback": (), "zone": zones})
    option = named_option(common.case, name)
    year = simulate_option(lower_study(common.case.model_copy(update={"house": kept}), common.weather), option)
    now = result.option(name)
    stores = option_study(common, option).water.mass is not None
    return SetbackSaving(
        name, now.cost_total, year.cost_total, now.unmet.hours, year.unmet.hours, stores, common.case.floor_heats
    )
