"""`read_bills`: any number of files of bills, told apart by content, joined by fuel."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from costsim.bills.convert import heat_content
from costsim.bills.green_button import looks_like_xml, read_green_button
from costsim.bills.model import Bills, joined
from costsim.bills.readers_csv import read_bills_csv
from costsim.errors import Fault, InputError


def read_bills(paths: Sequence[str | Path], *, fuel: str = "", unit: str = "", heat: str = "") -> list[Bills]:
    """Read tables and Green Button files; one `Bills` a fuel comes back.

    Parameters
    ----------
    paths : sequence of str or Path
    fuel : str
        Key of `FUELS`: overrules what tables tell, and chooses among the meters of a Green Button file.
    unit, heat : str
        For tables; see `read_bills_csv`. The heat content also serves metered volumes of gas.

    Raises
    ------
    InputError
        With the faults of all files.
    """
    found: list[Bills] = []
    faults: list[Fault] = []
    for path in paths:
        try:
            if looks_like_xml(path):
                found += read_green_button(path, fuel=fuel, heat_content_j_m3=heat_content(heat) if heat else None)
            else:
                found.append(read_bills_csv(path, fuel=fuel, unit=unit, heat=heat))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return joined(found)
