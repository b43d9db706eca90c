"""A cell or heading longer than any name is one line that names file, line and remedy, whichever reader meets it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from costsim import read_study
from costsim.bills.meter import read_meter
from costsim.bills.read import read_bills
from costsim.errors import InputError
from costsim.files import MOST_CELL, check_line
from costsim.portfolio.homes import open_homes
from costsim.study.selection import read_sizes
from costsim.study.surface_list import read_surfaces
from costsim.tariffs.charges.hourly_price import read_series
from costsim.weather import read_weather
from costsim.weather.means import read_means

LONG = "x" * (MOST_CELL + 1)
MEANS = "# title: t\n# latitude: 47\n# longitude: 12\n# utc_offset: 1\nmonth,mean [degC],{}\n"


def at(raw: bytes, folder: Path) -> Path:
    path = folder / "t.csv"
    path.write_bytes(raw)
    return path


CASE = read_study("lantern_cottage")
READERS: dict[str, tuple[Callable[[bytes, Path], object], str]] = {
    "bills": (lambda raw, folder: read_bills([at(raw, folder)]), "start,end,{}\n2020-01-01,2020-02-01,{}\n"),
    "meter": (lambda raw, _: read_meter("t.csv", content=raw), "use [kWh],{}\n1,{}\n"),
    "homes": (
        lambda raw, folder: list(open_homes(at(raw, folder), CASE).blocks(10)),
        "home,house.design_heat_loss [kW],{}\na,5,{}\n",
    ),
    "weather": (
        lambda raw, folder: read_weather(at(raw, folder)),
        "time,temperature [degC],{}\n2020-01-01 00:00,1,{}\n",
    ),
    "means": (lambda raw, _: read_means("t.csv", content=raw), MEANS + "1,2,{}\n"),
    "surfaces": (lambda raw, _: read_surfaces(raw, "t.csv"), "name,area [m2],{}\nwall,20,{}\n"),
    "sizes": (lambda raw, _: read_sizes(raw, "t.csv"), "what,size,{}\nbreaker,20 A,{}\n"),
    "hourly prices": (lambda raw, _: read_series(raw, "t.csv"), "price [$/kWh],{}\n0.1,{}\n"),
}


@pytest.mark.parametrize("quoted", [False, True], ids=["plain", "quoted with commas"])
@pytest.mark.parametrize("name", READERS)
def test_a_long_cell_is_told(name: str, quoted: bool, tmp_path: Path) -> None:
    read, text = READERS[name]
    long = f'"{LONG[:-2]},x"' if quoted else LONG
    rows = text.count("\n")
    for cells, line in ((("weight", long), rows), ((long, "1"), rows - 1)):
        with pytest.raises(InputError) as caught:
            read(text.format(*cells).encode(), tmp_path)
        told = str(caught.value)
        assert "\n" not in told
        assert (
            f"t.csv: line {line}: has a cell or heading of 1,001 letters, more than the 1,000 that are read; shorten"
            in told
        )


@pytest.mark.parametrize(
    "line", ["x" * MOST_CELL, ",".join(["1.5"] * 8760), ";".join(["1,5"] * 8760), f'"{"a," * 490}";b']
)
def test_wide_rows_of_short_cells_are_read(line: str) -> None:
    check_line(line, 1, "t.csv", "")
