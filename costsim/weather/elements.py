"""NOAA's daily records with a row for each element, put side by side: a row a day."""

from __future__ import annotations

from collections.abc import Sequence

_WANTED = ("TMAX", "TMIN", "TAVG")
_KNOWN = {*_WANTED, "PRCP", "SNOW", "SNWD", "TOBS", "AWND", "WSF2", "WDF2", "WSF5", "WDF5", "WT01", "RHAV"}
LOOKED_AT = 40


def days_of_elements(lines: Sequence[str]) -> list[str]:
    """Rows such as ``USW00014922,20230101,TMAX,12,,,W,2400``, headed or not, as a table of days; empty where these are none.

    Examples
    --------
    >>> days_of_elements(["X1,20230101,TMAX,12,,,W,", "X1,20230101,TMIN,-30,,,W,", "X1,20230101,PRCP,0,,,W,"])
    ['station,date,tmax,tmin,tavg', 'X1,20230101,12,-30,']
    """
    first = (
        1 if lines and lines[0].lower().replace('"', "").startswith(("id,date,element", "station,date,element")) else 0
    )
    cells = [line.replace('"', "").split(",", 4) for line in lines[first : first + LOOKED_AT]]
    if not cells or not all(len(row) > 3 and row[2].strip() in _KNOWN and row[1].strip().isdigit() for row in cells):
        return []
    days: dict[tuple[str, str], dict[str, str]] = {}
    for line in lines[first:]:
        row = [cell.strip() for cell in line.replace('"', "").split(",")]
        if len(row) > 3 and row[2] in _WANTED and not (len(row) > 5 and row[5]):  # a mark of quality is one of failure
            days.setdefault((row[0], row[1]), {})[row[2]] = row[3]
    return [
        "station,date,tmax,tmin,tavg",
        *(",".join([*key, *(values.get(element, "") for element in _WANTED)]) for key, values in days.items()),
    ]
