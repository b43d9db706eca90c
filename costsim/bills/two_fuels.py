"""Two fuels side by side in one table: told from two units of one meter, and asked about in one question."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from costsim.bills.convert import named_fuel, typical_fuel
from costsim.bills.words import ENERGY, VOLUME, dims_of
from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats
from costsim.units.quantity import read_quantity

LEAST_J_M3, MOST_J_M3 = 20e6, 60e6
"""Heat that a cubic metre of a utility's gas may hold."""
MOST_OFF = 0.1


def fuels_of(columns: Mapping[int, tuple[str, str, Floats]]) -> dict[int, str]:
    """Fuels of columns of use, where they are of several.

    Parameters
    ----------
    columns : mapping of place to (heading, unit, amounts (n,))

    Returns
    -------
    dict
        Fuel by place; empty where the columns may be of one fuel, as gas in m³ beside the same gas in kWh.
    """
    named = {at: named_fuel(heading) for at, (heading, _, _) in columns.items()}
    fuels = {at: name or typical_fuel(columns[at][1]) for at, name in named.items()}
    kinds = {at: dims_of(unit or "-") for at, (_, unit, _) in columns.items()}
    words = set(named.values()) - {""}
    if len(words) > 1:
        return fuels
    energies, volumes = ([at for at, kind in kinds.items() if kind == dims] for dims in (ENERGY, VOLUME))
    if not energies or not volumes or len(set(fuels.values()) - {""}) < 2:
        return {}
    same = any(_one_gas(columns[energy], columns[other]) for energy in energies for other in volumes)
    return {} if same or words == {"natural_gas"} else fuels


def _one_gas(energy: tuple[str, str, Floats], volume: tuple[str, str, Floats]) -> bool:
    """Whether energies are a gas's volumes times a heat content that hardly changes."""
    both = (energy[2] > 0) & (volume[2] > 0)  # not the rows of sums
    if not both.any():
        return True
    with np.errstate(all="ignore"):  # a damaged cell may hold any number
        heat = energy[2][both] * read_quantity(f"1 {energy[1]}").value
        cubic = volume[2][both] * read_quantity(f"1 {volume[1]}").value
        each = float(heat.sum() / cubic.sum())
        off = float(np.abs(heat - each * cubic).sum() / heat.sum())
    return LEAST_J_M3 <= each <= MOST_J_M3 and off <= MOST_OFF


def two_fuels(fuels: Mapping[str, str], file: str) -> InputError:
    """The question which of the fuels, by their headings, is meant."""
    names = " and ".join(f"'{heading}'" for heading in list(fuels)[:6])
    answers = tuple(dict.fromkeys(fuel for fuel in fuels.values() if fuel))
    remedy = f"type {' or '.join(f'--fuel {answer}' for answer in answers)}"
    return InputError(Fault("columns", f"{names} can each be the use", remedy, file, "fuel", answers))
