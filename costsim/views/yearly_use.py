"""A house whose heat loss follows from what its heating uses in a year: fuel, or money."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from costsim.errors import Fault, InputError
from costsim.results.result import OptionResult
from costsim.simulation import simulate
from costsim.study.case import Case, case_from
from costsim.study_files import StudyFiles
from costsim.units.fields import OPEN, in_words
from costsim.units.quantity import UnitError, read_quantity, show, to_display, unit_for
from costsim.units.table import DIMENSIONS, THERM_J
from costsim.weather import Weather
from costsim.words import tr

HOT_WATER_J = 170 * THERM_J
"""What hot water takes of a fuel in a year with a storage water heater; value from memory, of the order of the yearly use on
EnergyGuide labels of gas water heaters in the US, for a household that draws less than the label's."""
BAND = {"winters and efficiency": 0.15, "hot water": 0.40}
"""How far off a single year's use may be as a share of the heat loss, and the hot water as a share of itself; common practice,
no source."""
ROUNDS = 3


@dataclass(frozen=True, slots=True)
class YearlyUse:
    """What a year's use says: heat loss for each kelvin [W/K] with its band as a share, and the sentence that tells how."""

    loss_w_k: float
    band: float
    words: str

    def keys(self, system: str) -> dict[str, str]:
        """The tables' keys that hold it."""
        rate = to_display(self.loss_w_k, "heat_loss_rate", system)
        return {
            "heat_loss_rate": f"{rate:.0f} {unit_for('heat_loss_rate', system)}",
            "heat_loss_rate_band": f"{self.band * 100:.0f} %",
        }


def scaled_to_use(
    data: Mapping[str, Any], used: str, *, hot_water: bool, weather: Weather, system: str, files: StudyFiles
) -> YearlyUse:
    """Find the heat loss with which a study's first option uses so much in the study's weather year.

    Parameters
    ----------
    data : mapping
        A first study; its first option heats the house today.
    used : str
        A year's fuel, such as ``"620 gal"``, or money, such as ``"1600 $"``, of all that the service bills.
    hot_water : bool
        Whether the same fuel heats the water too.
    weather : Weather
    system : str
    files : StudyFiles

    Returns
    -------
    YearlyUse

    Raises
    ------
    InputError
        It is no amount of a fuel of that option, or less than hot water alone takes.

    Notes
    -----
    ``UA = η (F − B) / Σ max(T_b − T_out, 0)`` (degree-days with a balance point, ASHRAE Fundamentals, energy estimating),
    with F the fuel, B that of hot water and η the option's own efficiency over the season, all of which the simulation of
    the year holds: the heat loss is scaled until the simulated fuel is F − B.
    """
    house = dict(data["house"])
    case, rate = case_from(data, files=files), 0.0
    for _ in range(ROUNDS):
        result = simulate(case, weather)
        now, common = result.options[0], result.lowered
        fuel_j, year = _fuel_of_use(case, now, used)
        base_j = HOT_WATER_J if hot_water else 0.0
        if fuel_j <= 1.25 * base_j or not year:
            problem = tr(
                "'{used}' is hardly more than hot water alone takes in a year, about {base} therms",
                used=used,
                base=f"{base_j / THERM_J:.0f}",
            )
            raise InputError(Fault("yearly use", problem, "leave it empty, or say that the water is heated otherwise"))
        rate = common.loss_w_k * (fuel_j - base_j) / year
        house = {k: v for k, v in house.items() if k not in ("heat_loss_per_area", "design_heat_loss")}
        house["heat_loss_rate"] = f"{rate:.4f} W/K"
        case = case_from({**data, "house": house}, files=files)
    share = HOT_WATER_J * BAND["hot water"] / (fuel_j - base_j) if hot_water else 0.0
    band = math.hypot(BAND["winters and efficiency"], share)
    heat = show(float(common.demand_w.sum()) * 3600.0, "heat", system, 0)
    less = tr(", less {base} for hot water,", base=f"{base_j / fuel_j:.0%}") if hot_water else ""
    words = tr(
        "Heat loss from your {used} a year{less} at the heating's efficiency over the season: {heat}"
        " of heat in a typical year, ±{band}.",
        used=used,
        less=less,
        heat=heat,
        band=f"{band:.0%}",
    )
    return YearlyUse(rate, band, words)


def _fuel_of_use(case: Case, now: OptionResult, used: str) -> tuple[float, float]:
    """Fuel as told and fuel as simulated [J]."""
    try:
        quantity = read_quantity(used)
        if quantity.per == "year":
            quantity = read_quantity(used.rsplit("/", 1)[0])
    except UnitError as error:
        raise InputError(Fault("yearly use", str(error), 'write it like "620 gal" or "1600 $"')) from None
    keys = list(dict.fromkeys(source.price_key for source in now.sources if source.price_key in case.prices))
    for key in keys:
        year = math.fsum(source.input_j for source in now.sources if source.price_key == key)
        if quantity.currency and quantity.dims == DIMENSIONS["money"].dims:
            bill = now.bills[key]
            rate = (bill.total - bill.fixed) / year if year else 0.0
            if rate > 0:
                return max(0.0, quantity.value - bill.fixed) / rate, year
            continue
        if quantity.dims not in OPEN["amount"][1]:
            continue
        try:
            return case.prices[key].fuel_units(key).joules(quantity), year
        except (UnitError, ValueError):
            continue
    named = tr(" or ").join(tr(in_words(key)).lower() for key in keys)
    raise InputError(Fault("yearly use", f"'{used}' is no amount of {named}", "write it with the unit of the bills"))
