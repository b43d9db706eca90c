"""From files of bills and weather to fits, and a study with the house found: a copy with heat loss and balance point put in."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from costsim.bills.fit import Efficiency, read_efficiency
from costsim.bills.house import HouseFit, fit_house
from costsim.bills.model import ONE_DAY
from costsim.bills.read import HowToRead, read_all_temperatures, read_bills
from costsim.bills.temperatures import Temperatures, read_temperatures
from costsim.errors import Fault, InputError, together
from costsim.physics.fuels import FUELS
from costsim.study.case import Case
from costsim.study.edit import edited, study_text, write_copy
from costsim.units.quantity import show, to_display, unit_for

REPLACED = {
    "house": ("heat_loss_rate", "heat_loss_rate_band", "load_from", "balance_point", "gains", "design_indoor"),
    "uncertainty": ("load",),
}


def fit_files(
    bills: Sequence[str],
    weather: Sequence[str],
    case: Case | None = None,
    *,
    how: HowToRead | None = None,
    efficiency: str = "",
    efficiency_of: Callable[[str], Efficiency | None] = lambda fuel: None,
    mapping: Mapping[str, tuple[str, str]] | None = None,
    station: str = "",
) -> list[HouseFit]:
    """Read bills and weather and fit each fuel.

    Parameters
    ----------
    bills, weather : sequence of str
        Files; without weather the study's is taken.
    case : Case, optional
        Study whose outdoor design temperature counts.
    how : HowToRead, optional
        What the files do not tell.
    efficiency : str
        See `read_efficiency`.
    efficiency_of : callable
        Gives that of a fuel's source, where none was told; None for the usual one.
    mapping : mapping, optional
        Columns of a weather table that no service is known for, of `columns.mapping_of`.
    station : str
        Which station to take of a weather table of several.

    Raises
    ------
    InputError
        With every fault found.
    """

    def temperatures() -> Temperatures:
        if weather:
            return read_all_temperatures(weather, mapping, station)
        if case is None:
            remedy = "name files of the bills' days, or a typical year, or a --study that has one"
            raise InputError(Fault("--weather", "no weather was given", remedy))
        name = case.place.weather
        return read_temperatures(name, content=case.files.read(name, "place.weather", file=case.file))

    read, share, outdoor = together(
        lambda: read_bills(bills, how),
        lambda: read_efficiency(efficiency) if efficiency else None,
        temperatures,
    )
    if case is not None:
        outdoor = at_design(outdoor, case)
    return [fit_house(use, outdoor, efficiency=share or efficiency_of(use.fuel)) for use in read]


def at_design(outdoor: Temperatures, case: Case) -> Temperatures:
    """The temperatures with the study's own outdoor design temperature, where it has one."""
    typed = case.place.design_outdoor_c
    note = "place.design_outdoor of the study"
    return outdoor if typed is None else replace(outdoor, design_c=typed, design_from=note)


def one_of(fits: Sequence[HouseFit]) -> HouseFit:
    """Take the only fit there is.

    Raises
    ------
    InputError
        There are several fuels.
    """
    if len(fits) > 1:
        names = " and ".join(FUELS[fit.now.bills.fuel].title.lower() for fit in fits)
        remedy = "give the bills of one fuel that heats the house alone"
        raise InputError(Fault("-o", f"the bills are of {names}, and a study has one heat loss", remedy))
    return fits[0]


def write_fitted(case: Case | None, fit: HouseFit, target: str | Path, system: str, *, overwrite: bool = False) -> None:
    """Write a copy of a study with the fitted heat loss, its uncertainty and balance point.

    Parameters
    ----------
    case : Case
        As read from its file.
    fit : HouseFit
        Fitted with the study's outdoor design temperature.
    target : str or Path
        Where the copy shall stand.
    system : str
        ``"us"`` or ``"si"``.
    overwrite : bool
        Whether a file that is there already may be replaced.

    Raises
    ------
    InputError
        The target is there already, or the copy would be no valid study.
    """
    if case is None:
        raise InputError(Fault("-o", "there is no study to copy", "name one with --study"))
    text = edited(study_text(case), fitted_tables(case, fit, system), REPLACED, _comment(fit, system))
    write_copy(text, target, overwrite=overwrite)


def with_tables(study: Mapping[str, Any], tables: Mapping[str, Mapping[str, str]]) -> dict[str, Any]:
    """A study's plain data with what was fitted in place of what it replaces."""
    wanted = dict(study)
    for name, keys in tables.items():
        kept = {key: value for key, value in wanted.get(name, {}).items() if key not in REPLACED[name]}
        wanted[name] = kept | dict(keys)
    return wanted


def fitted_tables(case: Case, fit: HouseFit, system: str) -> dict[str, dict[str, str]]:
    """Tables of a study with the keys that a fit gives; a spread of the load that was typed makes room for the fit's own band.

    Raises
    ------
    InputError
        The balance point is warmer than the house.
    """
    typed: dict[str, dict[str, str]] = {"uncertainty": {}} if case.uncertainty.load_share is not None else {}
    return {"house": fitted_house(case, fit, system), **typed}


def fitted_house(case: Case, house_fit: HouseFit, system: str) -> dict[str, str]:
    """Keys of ``[house]`` as text: loss per kelvin with half its band, and balance point; other routes stay beside them.

    Raises
    ------
    InputError
        The balance point is warmer than the house.
    """
    fit, indoor = house_fit.now, case.house.indoor_temperature_c
    if fit.line.balance_c > indoor:
        balance = show(fit.line.balance_c, "temperature", system)
        what = f"the bills' balance point, {balance}, is warmer than house.indoor_temperature, {show(indoor, 'temperature', system)}"
        raise InputError(
            Fault("house.indoor_temperature", what, "correct indoor, or check bills and weather", case.file)
        )
    return {
        "heat_loss_rate": _text(fit.loss_w_k, "heat_loss_rate", system, 1),
        "heat_loss_rate_band": f"{half_band(house_fit) * 100:.1f} %",
        "balance_point": _text(fit.line.balance_c, "temperature", system, 1),
        "design_indoor": _text(indoor, "temperature", system, 1),
    }


def counted_twice(case: Case) -> str:
    """Say what a study adds to a house whose bills hold it already; empty where it adds nothing."""
    house = case.house
    added = [
        name
        for name, there in (
            ("setback", house.setback),
            ("zone", house.zone),
            ("absence", house.absence),
            ("solar_aperture", house.solar_aperture_m2),
        )
        if there
    ]
    if not added:
        return ""
    return f"house.{' and house.'.join(added)} of the study count on top of what the bills hold already; take them out"


def _text(value: float, dimension: str, system: str, digits: int) -> str:
    return f"{to_display(value, dimension, system):.{digits}f} {unit_for(dimension, system)}"


def _comment(fit: HouseFit, system: str) -> str:
    bills, (low, high) = fit.now.bills, fit.now.loss_band_w_k
    dates = f"{bills.start_day[0]} to {bills.end_day[-1] - ONE_DAY}"
    band = f"{_text(low, 'heat_loss_rate', system, 0)} to {_text(high, 'heat_loss_rate', system, 0)}"
    name = re.sub(r"[\x00-\x1f\x7f]", " ", bills.name)
    return f"fitted to bills ({name}, {dates}); nine of ten such fits hold the true loss within {band}"


def half_band(fit: HouseFit) -> float:
    """Half the loss's band of nine in ten, as a share of it."""
    low, high = fit.now.loss_band_w_k
    return min((high - low) / 2.0 / fit.now.loss_w_k, 1.0)
