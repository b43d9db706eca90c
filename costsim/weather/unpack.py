"""Downloads as they are packed: gzip, or a ZIP with one table of weather and perhaps what its station is."""

from __future__ import annotations

import math

from costsim.errors import Fault, InputError


def unpacked(raw: bytes, file: str) -> tuple[bytes, str]:
    """Unpack a download; what is not packed comes back as it is.

    Parameters
    ----------
    raw : bytes
    file : str
        Its name for messages.

    Returns
    -------
    content, name
        Of the one table of weather inside; lines '# latitude: …' stand on top where a station's file lies beside it.

    Raises
    ------
    InputError
        It is broken, unpacks to too much, or holds several tables or none.
    """
    from costsim.bills.text import gunzipped, is_gzip, looks_zipped, unzipped

    if is_gzip(raw):
        return gunzipped(raw, file)

    if not looks_zipped(raw):
        return raw, file
    members = unzipped(raw, file)
    for tell in (_is_epw, _is_product, _is_table):
        members_read = [(name, content) for name, content in members if tell(name, content)]
        if len(members_read) == 1:
            name, content = members_read[0]
            return _station_lines(members) + content, name
        if members_read:
            names = ", ".join(name.rpartition("/")[2] for name, _ in members_read[:6])
            raise InputError(
                Fault("", f"holds {len(members_read)} tables of weather: {names}", "unpack it and name one", file)
            )
    raise InputError(Fault("", "holds no table of weather", "give a ZIP with an EPW, CSV or TXT file inside", file))


def _is_epw(name: str, content: bytes) -> bool:
    return name.lower().endswith(".epw") and content[:9].upper() == b"LOCATION,"


def _is_product(name: str, _: bytes) -> bool:
    """The German weather service's name for the readings beside what describes them."""
    return name.rpartition("/")[2].lower().startswith("produkt_")


def _is_table(name: str, _: bytes) -> bool:
    last = name.rpartition("/")[2].lower()
    return last.endswith((".csv", ".txt", ".tm2", ".tsv")) and not last.startswith(("readme", "metadat", "license"))


def _station_lines(members: list[tuple[str, bytes]]) -> bytes:
    """Place of a station out of the German weather service's list of where it stood; the last place counts."""
    for name, content in members:
        if not name.rpartition("/")[2].lower().startswith("metadaten_geographie"):
            continue
        rows = [line.split(";") for line in content[:200_000].decode("latin-1").splitlines() if line.strip()]
        head = [cell.strip().lower() for cell in rows[0]] if rows else []
        keys = {"altitude": "stationshoehe", "latitude": "geogr.breite", "longitude": "geogr.laenge"}
        last = rows[-1] if len(rows) > 1 else []
        station = {key: _number(last, head.index(word)) for key, word in keys.items() if word in head}
        return "".join(f"# {key}: {value:g}\n" for key, value in station.items() if not math.isnan(value)).encode()
    return b""


def _number(cells: list[str], at: int) -> float:
    try:
        return float(cells[at])
    except (ValueError, IndexError):
        return math.nan
