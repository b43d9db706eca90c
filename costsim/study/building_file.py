"""`read_building`: the envelope in HPXML or in a list of surfaces, packed or not, told apart by content."""

from __future__ import annotations

from costsim.bills.green_button import looks_like_xml
from costsim.bills.text import unpacked_one
from costsim.packed_tables import is_packed_table
from costsim.study.building import Building
from costsim.study.hpxml import read_hpxml
from costsim.study.surface_list import read_surfaces


def read_building(raw: bytes, file: str, building: str = "") -> Building:
    """Read a building's envelope.

    Parameters
    ----------
    raw : bytes
        HPXML, or a list of surfaces as text, workbook or web page; in a ZIP or gzip file or not.
    file : str
        Its name for messages.
    building : str
        Which one, where the file holds several.

    Raises
    ------
    InputError
        With every fault.
    """
    raw, file = unpacked_one(raw, file)
    if looks_like_xml(raw) and not is_packed_table(raw):
        return read_hpxml(raw, file, building)
    return read_surfaces(raw, file)
