"""A house whose heat loss follows from what its heating uses in a year: fuel, or money."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from costsim.analysis.yearly_fuel import HOT_WATER_J, heat_of_fuel_j
from costsim.errors import Fault, InputError
from costsim.results.result import OptionResult, Result
from costsim.simulation import simulate
from costsim.study.case import Case, case_from
from costsim.study.house import House
from costsim.study.uses import HotWater
from costsim.study_files import StudyFiles
from costsim.units.fields import OPEN, in_words
from costsim.units.quantity import UnitError, parse, read_quantity, show, to_display, unit_for
from costsim.units.table import CURRENCIES, DIMENSIONS
from costsim.views.answer import called
from costsim.views.first_study import INSULATION
from costsim.views.rounding import money, round_money
from costsim.views.text_fit import sold
from costsim.weather import Weather
from costsim.words import tr

BAND = {"winters and efficiency": 0.15, "hot water": 0.40}
"""How far off a single year's use may be as a share of the heat loss, and the hot water as a share of itself; common practice,
no source."""
ROUNDS, CLOSE = 6, 0.003
TOO_MUCH = 3.0
"""How many times the heat loss of a drafty house a year's use may tell of before it is refused; a choice of ours."""


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
    begin: Callable[..., dict[str, Any]],
    used: str,
    *,
    hot_water: bool,
    weather: Weather,
    system: str,
    files: StudyFiles,
) -> YearlyUse:
    """Find the heat loss with which a study's first option uses so much in the study's weather year.

    Parameters
    ----------
    begin : callable
        Makes the first study, its sizes by the house; ``rate`` are the keys of a heat loss (`YearlyUse.keys`). Its first option
        heats the house today.
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
        It is no amount of a fuel of that option, less than hot water alone takes, or `TOO_MUCH` for so small a house.

    Notes
    -----
    ``UA = η (F − B) / Σ max(T_b − T_out, 0)`` (degree-days with a balance point, ASHRAE Fundamentals, energy estimating),
    with F the fuel, B that of hot water and η the option's own efficiency over the season, all of which the simulation of
    the year holds: heat loss and sizes are scaled together until the simulated fuel is F − B. A study that counts hot water
    itself says what B is, and its simulated fuel holds B. Heat that floor or boiler cannot
    give counts as if it were given, so that a limit does not pass for a small loss.
    """
    use: YearlyUse | None = None
    for _ in range(ROUNDS):
        study = begin(rate=use.keys(system)) if use else begin()
        case = case_from(study, files=files)
        result = simulate(case, weather)
        now, common = result.options[0], result.lowered
        fuel_j, year_j = _fuel_of_use(case, now, used)
        counted_j = _water_j(now, year_j)
        base_j = (counted_j or HOT_WATER_J) if hot_water else 0.0
        if fuel_j <= 1.25 * base_j or not year_j:
            problem = tr(
                "'{used}' is hardly more than hot water alone takes in a year, about {base}",
                used=used,
                base=sold("natural_gas", base_j, system),
            )
            raise InputError(Fault("yearly use", problem, "leave it empty, or say that the water is heated otherwise"))
        ratio = heat_of_fuel_j(now, year_j - counted_j, fuel_j - base_j) / now.demand_j
        if use and abs(ratio - 1.0) < CLOSE:
            break
        use = _said(common.loss_w_k * ratio, now, used, base_j / fuel_j, system, case.house)
        drafty = INSULATION["little"][1] * parse(str(study["house"]["floor_area"]), "area").value
        if use.loss_w_k > TOO_MUCH * drafty:
            problem = tr(
                "'{used}' a year is about {times} times what a drafty house of this size uses here",
                used=used,
                times=f"{use.loss_w_k / drafty:.0f}",
            )
            raise InputError(Fault("yearly use", problem, tr("check the amount and the floor area, or leave it empty")))
    assert use is not None
    return use


def _water_j(now: OptionResult, year_j: float) -> float:
    """Part of an option's yearly fuel that heats water, where the study counts that: by its share of the heat [J]."""
    heat_j = math.fsum(use.heat_j - use.unmet_j for use in now.uses if use.kind == "hot_water")
    return year_j * heat_j / (heat_j + now.delivered_j) if heat_j else 0.0


def water_sentence(result: Result) -> str:
    """Say what of today's bill was taken as hot water, which no option here heats.

    Empty where the study names no heating of today, and where it counts hot water itself, which every option then heats.
    """
    case = result.lowered.case
    now = case.today
    if now is None or any(isinstance(use, HotWater) for use in case.use):
        return ""
    key = result.option(now.name).sources[0].price_key
    price = case.prices.get(key)
    if price is None:
        return ""
    return tr(
        "Every cost here is for heating alone. About {cost} a year of what {name} costs you today was taken as hot water, which still has"
        " to be heated, whatever heats the house.",
        cost=money(round_money(HOT_WATER_J * price.base_per_j(key)), result.currency),
        name=called(now.name),
    )


def _said(loss_w_k: float, now: OptionResult, used: str, water: float, system: str, house: House) -> YearlyUse:
    """A heat loss with its band, and how it was found; `water` is the share of the fuel that heats water."""
    share = water / (1.0 - water) * BAND["hot water"]
    band = math.hypot(BAND["winters and efficiency"], share)
    less = tr(", less {base} for hot water,", base=f"{water:.0%}") if water else ""
    words = tr(
        "Your {used} a year{less} tell how fast the house loses heat: {loss}, give or take {band}. How much"
        " of its fuel {name} turns into heat over the year is in “Show the math”.",
        used=in_thousands(used),
        less=less,
        name=now.name,
        loss=show(loss_w_k, "heat_loss_rate", system, 0),
        band=f"{band:.0%}",
    )
    indoor = show(house.indoor_temperature_c, "temperature", system, 0)
    warm = (
        tr("The thermostat was taken to be at {indoor} in that year, with the set-backs typed.", indoor=indoor)
        if house.setback
        else tr("The thermostat was taken to be at {indoor} in that year.", indoor=indoor)
    )
    return YearlyUse(loss_w_k, band, f"{words} {warm}")


def in_thousands(used: str) -> str:
    """An amount with commas.

    Examples
    --------
    >>> in_thousands("1150 gal"), in_thousands("1600 $")
    ('1,150 gal', '$1,600')
    """
    number, _, unit = used.partition(" ")
    try:
        text = f"{float(number):,.10g}"
    except ValueError:
        return used
    return f"{unit}{text}" if unit in CURRENCIES.values() else f"{text} {unit}".strip()


def refitted(
    study: Mapping[str, Any], used: str, *, hot_water: bool, weather: Weather, system: str, files: StudyFiles
) -> dict[str, Any]:
    """A study whose heat loss is fitted anew to a year's use, in the weather it names now; all else stays.

    Raises
    ------
    InputError
        As `scaled_to_use`.
    """
    own = copy.deepcopy(dict(study))
    own["option"] = sorted(own.get("option", []), key=lambda option: not option.get("today"))

    def begin(rate: Mapping[str, str] = MappingProxyType({})) -> dict[str, Any]:
        return {**own, "house": {**own["house"], **rate}}

    use = scaled_to_use(begin, used, hot_water=hot_water, weather=weather, system=system, files=files)
    return {**study, "house": {**study["house"], **use.keys(system)}, "note": use.words}


def _fuel_of_use(case: Case, now: OptionResult, used: str) -> tuple[float, float]:
    """Fuel as told and fuel as simulated [J]."""
    try:
        quantity = read_quantity(used)
        if quantity.per == "year":
            quantity = read_quantity(used.rpartition("/")[0])
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
