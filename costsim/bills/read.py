"""`read_bills`: any number of files of bills, joined by fuel."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from costsim.bills.model import Bills, joined
from costsim.bills.readers_csv import read_bills_csv
from costsim.errors import Fault, InputError


def read_bills(paths: Sequence[str | Path], *, fuel: str = "", unit: str = "", heat: str = "") -> list[Bills]:
    """Read tables; one `Bills` a fuel comes back.

    Parameters
    ----------
    paths : sequence of str or Path
    fuel : str
        Key of `FUELS`: overrules what the tables tell.
    unit, heat : str
        See `read_bills_csv`.

    Raises
    ------
    InputError
        With the faults of all files.
    """
    found: list[Bills] = []
    faults: list[Fault] = []
    for path in paths:
        try:
            found.append(read_bills_csv(path, fuel=fuel, unit=unit, heat=heat))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return joined(found)
