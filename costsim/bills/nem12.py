"""Records of Australian interval meters (AEMO's meter data file format NEM12) as a wide table: a row a day, a column an interval."""

from __future__ import annotations

from costsim.errors import Fault, InputError
from costsim.units.table import DAY_MIN

_LENGTHS = ("5", "15", "30", "60")
_ESTIMATED = ("E", "F", "S")
"""First letters of the quality: estimated, final substituted, substituted."""


def is_nem12(text: str) -> bool:
    """Whether a text begins as a file of that format.

    Examples
    --------
    >>> is_nem12("100,NEM12,202102010000,MDP1,Retailer"), is_nem12("start,end,kWh")
    (True, False)
    """
    return text.lstrip("\ufeff \r\n")[:10].upper().startswith("100,NEM12")


def as_table(text: str, notes: list[str], file: str) -> str:
    """Write what was taken from the grid as a table; what went into it, and reactive energy, is left out and told.

    Parameters
    ----------
    text : str
        The file.
    notes : list of str
        Takes what was left out.
    file : str
        For messages.

    Raises
    ------
    InputError
        It holds no interval of energy taken, or series of several lengths.
    """
    series: tuple[str, str, int] | None = None
    rows, left, lengths = list[str](), dict[str, int](), set[int]()
    for number, line in enumerate(text.splitlines(), 1):
        cells = [cell.strip() for cell in line.split(",")]
        if cells[0] == "200":
            suffix = cells[4].upper() if len(cells) > 4 else ""
            if len(cells) < 9 or cells[8] not in _LENGTHS:
                what = f"'{','.join(cells[:9])[:60]}' tells no meter with its unit and length of interval"
                raise InputError(Fault(f"line {number}", what, "download the meter data (NEM12) again", file))
            if suffix.startswith("E"):
                series = (f"{cells[1]} {suffix}", cells[7], int(cells[8]))
                lengths.add(int(cells[8]))
            else:
                series = None
                left[suffix] = left.get(suffix, 0)
        elif cells[0] == "300" and series is not None:
            count = DAY_MIN // series[2]
            day, values, quality = "".join(cells[1:2]), cells[2 : 2 + count], cells[2 + count : 3 + count]
            if len(values) < count or len(day) != 8 or not day.isdigit():
                what = f"holds {len(values)} values for '{day[:12]}', and a day has {count}"
                raise InputError(Fault(f"line {number}", what, "download the meter data (NEM12) again", file))
            flag = "Estimated" if (quality or [""])[0][:1].upper() in _ESTIMATED else "Actual"
            rows.append(",".join([series[0], f"{day[:4]}-{day[4:6]}-{day[6:]}", series[1], flag, *values]))
    if not rows or len(lengths) > 1:
        what = "holds no energy taken from the grid (E1, E2 …)" if not rows else "holds intervals of several lengths"
        raise InputError(Fault("", what, "download the meter data of one year (NEM12) of one meter", file))
    notes.append("read as meter data of the format NEM12: the rows E1, E2 … are what was taken from the grid")
    if left:
        notes.append(f"left out: {', '.join(sorted(left))}, which is fed in or is no energy")
    minutes = range(0, DAY_MIN, lengths.pop())
    head = ",".join(["Meter", "Date", "Unit", "Read Type", *(f"{m // 60:02}:{m % 60:02}" for m in minutes)])
    return "\n".join([head, *rows, ""])
