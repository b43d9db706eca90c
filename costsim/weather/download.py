"""A downloaded table taken apart: lines above it, headings, rows, and what its head says of the place."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from costsim.errors import Fault, InputError
from costsim.packed_tables import without_breaks
from costsim.tariffs.calendar import MONTHS
from costsim.weather.elements import days_of_elements
from costsim.weather.headings import plain, temperature_unit
from costsim.weather.layouts import Layout, layout_of, place_of
from costsim.weather.plain_csv import KINDS_READ, about_line, number_of
from costsim.weather.stamps import looks_like_stamp

_ISD_LITE = "isd-lite year,month,day,hour,air,dew,pressure,direction,speed,sky,rain 1 h,rain 6 h"
_BULK = "date,hour,temp,dwpt,rhum,prcp,snow,wdir,wspd,wpgt,pres,tsun,coco"
DEEPEST_HEAD = 120
"""Lines above the headings that a service may write."""
MOST_BELOW = 12
_MONTHS = {name[:3].lower() for name in MONTHS}
_CALENDAR = {"year", "month", "day"}


@dataclass(frozen=True, slots=True)
class Download:
    """A table and what stands around it.

    `about` are lines '# key: value' that somebody put in; `stated` what the service's own head says, by small letters.
    """

    about: dict[str, str]
    stated: dict[str, str]
    head: list[str]
    lines: list[str]
    mark: str
    layout: Layout | None
    above: list[str] = field(default_factory=list)

    def columns(self, places: Sequence[int], file: str) -> list[list[str]]:
        """Cells of some columns, each (n,), without those of the other columns ever being kept.

        Raises
        ------
        InputError
            A quotation mark is never closed.
        """
        columns: list[list[str]] = [[] for _ in places]
        try:
            for row in csv.reader(self.lines, delimiter=self.mark):
                width = len(row)
                for cells, at in zip(columns, places, strict=True):
                    cells.append(row[at].strip() if at < width else "")
        except csv.Error as error:
            raise InputError(Fault("", f"cannot be read as a table ({error})", KINDS_READ, file)) from None
        return columns

    def number(self, *names: str) -> float:
        """A number that the service's head states; not a number where it does not."""
        for name in names:
            for key, value in self.stated.items():
                if key == name or key.startswith(f"{name} (") or key.startswith(f"{name}["):
                    return number_of(value.split()[0] if value.split() else "")
        return math.nan


def marked(line: str) -> str:
    """The mark between the cells of a line."""
    return max((";", "\t", ",", "|"), key=line.count)


def cells_of(line: str, mark: str) -> list[str]:
    """Cells of one line."""
    try:
        return next(csv.reader([line], delimiter=mark), [])
    except csv.Error:
        return []


def take_apart(text: str, file: str) -> Download:
    """Split a text into head, headings and rows, and find the service whose layout it has.

    Raises
    ------
    InputError
        It holds no rows.
    """
    about: dict[str, str] = {}
    lines = []
    for line in without_breaks(text.split("\n")):
        if line.startswith("#") and line[1:2] not in (",", ";", "\t"):  # where a column of numbers is headed so
            if ":" in line and len(line) < 2000:
                key, value = about_line(line)
                about.setdefault(key, value)
            if layout_of(cells_of(line.lstrip("# "), marked(line))):  # some services mark their headings too
                lines.append(line.lstrip("# "))
        elif line.strip():
            lines.append(line)
    if len(lines) < 2:
        raise InputError(Fault("", "holds no rows of data", KINDS_READ, file))
    if _is_isd_lite(lines):
        lines = [_ISD_LITE, *(",".join(line.split()) for line in lines)]
    elif days := days_of_elements(lines):
        lines = days
        about.setdefault("unit", "degC/10")
    elif lines[0].count(",") == _BULK.count(",") and looks_like_stamp(lines[0].split(",")[0]):
        lines.insert(0, _BULK)  # Meteostat's bulk files have no headings
    for at, line in enumerate(lines[:DEEPEST_HEAD]):
        mark = marked(line)
        head = cells_of(line, mark)
        if len({cell.strip().lower()[:3] for cell in head} & _MONTHS) == len(_MONTHS):
            remedy = "make a year of them on the House page, under “make your town's year”, or with costsim weather synthesize"
            raise InputError(Fault("", "holds means of months, and hours are needed", remedy, file))
        layout = layout_of(head) if len(head) > 1 else None
        if layout is not None:
            above = lines[:at]
            below = cells_of(lines[at + 1], mark) if at + 1 < len(lines) else []
            if _are_units(below, len(head)):
                head, at = _joined(head, below), at + 1
            rows = _rows_of(lines[at + 1 :], layout, head, mark)
            if not rows:
                raise InputError(Fault("", f"looks like {layout.name} but holds no rows of data", KINDS_READ, file))
            return Download(about, _stated(above), head, rows, mark, layout, above)
    at = _headings_at(lines)
    mark = marked(lines[at])
    head, over = cells_of(lines[at], mark), cells_of(lines[at - 1], mark) if at else []
    if len(over) == len(head) and (
        _are_units(head, len(head)) or any(a.strip() and not b.strip() for a, b in zip(over, head, strict=True))
    ):
        head = _joined(over, head)
    return Download(about, {}, head, _without_sums(lines[at + 1 :]), mark, None, lines[:at])


def _without_sums(lines: list[str]) -> list[str]:
    """Rows that begin with numbers, without sums and words below them."""
    last = len(lines)
    if lines[0].lstrip(" \"'")[:1].isdigit():
        while last > max(1, len(lines) - MOST_BELOW) and lines[last - 1].lstrip(" \"',;\t")[:1].isalpha():
            last -= 1
    return lines[:last]


def _are_units(cells: Sequence[str], width: int) -> bool:
    """Whether a row below headings tells their units: a temperature's among them, and neither numbers nor times."""
    units = [cell.strip().strip("()[]") for cell in cells]
    return (
        1 < len(units) <= width
        and any(temperature_unit(cell) for cell in units)
        and not any(looks_like_stamp(cell) or not math.isnan(number_of(cell)) for cell in units if cell)
    )


def _joined(over: Sequence[str], below: Sequence[str]) -> list[str]:
    """Headings of two rows, one below the other: a word over several columns counts for each, a unit goes into brackets."""
    lines, last = [], ""
    for at, upper in enumerate(over):
        lower = below[at].strip() if at < len(below) else ""
        last = upper.strip() or (last if lower else "")
        unit = temperature_unit(lower.strip("()[]"))
        lines.append(f"{last} [{unit}]" if unit and last else f"{last} {lower}".strip())
    return lines


def _headings_at(lines: list[str]) -> int:
    """The first line of words above a row of as many cells with a date among them; the first line where there is none."""
    for at, line in enumerate(lines[: min(DEEPEST_HEAD, len(lines) - 1)]):
        mark = marked(line)
        head, row = cells_of(line, mark), cells_of(lines[at + 1], mark)
        if (
            len(head) > 1
            and len(head) == len(row)
            and (any(map(looks_like_stamp, row)) or {plain(cell) for cell in head} >= _CALENDAR)
            and not any(map(looks_like_stamp, head))
        ):
            return at
    return 0


def _is_isd_lite(lines: list[str]) -> bool:
    """Whether rows are twelve numbers in fixed columns, the first of them a year."""
    return all(
        len(words := line.split()) == 12 and len(words[0]) == 4 and all(word.lstrip("-").isdigit() for word in words)
        for line in (lines[0], lines[1], lines[-1])
    )


def _rows_of(lines: list[str], layout: Layout, head: list[str], mark: str) -> list[str]:
    """Rows without the legend that some services write below their table."""
    at = place_of(head, layout.time[0])
    last = len(lines)
    if at == 0:  # a second table, such as one of days below one of hours, begins with headings
        last = next((i for i, line in enumerate(lines) if not line.lstrip(" \"'")[:1].isdigit()), last)
    while last and at is not None:
        cells = cells_of(lines[last - 1], mark)
        if at < len(cells) and cells[at].strip(" '\"")[:1].isdigit():
            break
        last -= 1
    return lines[:last]


def _stated(above: list[str]) -> dict[str, str]:
    """What stands in a service's head: pairs of lines, lines 'key: value', and the words of NASA POWER's."""
    stated: dict[str, str] = {}
    for at, first in enumerate(above):
        second = above[at + 1] if at + 1 < len(above) else ""
        mark = marked(first)
        keys = cells_of(first, mark)
        if len(keys) > 2 and any(plain(key) == "latitude" for key in keys):
            stated |= {
                plain(key): value.strip() for key, value in zip(keys, cells_of(second, mark), strict=False) if key
            }
        elif ":" in first:
            key, value = first.split(":", 1)
            stated[plain(key)] = value.strip()
            words = value.split()
            if plain(key) == "location":
                stated |= {word.lower(): words[i + 1] for i, word in enumerate(words[:-1]) if word.isalpha()}
            if key.strip().lower().startswith("elevation") and "=" in value:
                stated["elevation"] = value.rpartition("=")[2].strip()
            if key.strip().lower().startswith("dates"):
                stated["clock"] = words[-1].lower() if words else ""
    return stated
