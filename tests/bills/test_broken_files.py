"""Files broken at random places are read or refused in plain lines, from disk and as an upload alike; nothing else happens."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest
from bills.espi import feed, meter, reading, reads

from costsim.bills.read import read_bill_file
from costsim.errors import InputError

SOUND = {
    "bills.csv": "start,end,usage (therm)\n2023-01-05,2023-02-03,120.5\n2023-02-03,2023-03-06,98\n2023-03-06,2023-04-05,61\n",
    "gas.csv": "von;bis;Gas [m3];Brennwert [kWh/m3];geschätzt\n05.01.2023;03.02.2023;100;11,2;E\n03.02.2023;06.03.2023;50;11,3;A\n",
    "propane.csv": "delivered on,gallons\n1/5/2023,180\n2/13/2023,150\n4/1/2023,160.5\n",
    "usage.xml": feed(
        meter(["".join(reading(1704085200 + 3600 * i, 3600, 900 + i) for i in range(72))]),
        meter([reading(1704085200, 86400, 3)], number=2, point=2, kind=1, type_=reads(uom=169, commodity=7)),
    ),
}  # fmt: skip
PIECES = [
    "",
    ",",
    ";",
    "\n",
    "-",
    "9" * 20,
    "1e400",
    "nan",
    "inf",
    "é",
    "\x00",
    '"',
    "2024-02-30",
    "kWh",
    "%",
    "<",
    "/>",
    "&a;",
    "\t",
]


def broken(text: str, random_: random.Random) -> str:
    for _ in range(random_.randint(1, 4)):
        at, cut = random_.randrange(len(text) + 1), random_.randint(0, 8)
        text = text[:at] + random_.choice(PIECES) + text[at + cut :]
    return text


@pytest.mark.parametrize("name", SOUND)
def test_a_broken_file_is_read_or_refused_in_plain_lines(name: str) -> None:
    random_, seen = random.Random(name), {"read": 0, "refused": 0}
    for _ in range(250):
        raw = broken(SOUND[name], random_).encode(random_.choice(["utf-8", "latin-1", "utf-16"]), "replace")
        try:
            found = read_bill_file(name, content=raw)
        except InputError as error:
            seen["refused"] += 1
            assert all(line.startswith((name, "heat content")) and "; " in line for line in str(error).split("\n"))
        else:
            seen["read"] += 1
            assert all(np.isfinite(one.energy_j).all() and (one.days > 0).all() for one in found)
    assert min(seen.values()) > 0, seen


@pytest.mark.parametrize("name", SOUND)
def test_an_upload_is_what_the_file_on_disk_is(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_text(SOUND[name], encoding="utf-8")
    for disk, upload in zip(read_bill_file(path), read_bill_file(name, content=path.read_bytes()), strict=True):
        np.testing.assert_array_equal(disk.energy_j, upload.energy_j)
        assert (disk.name, disk.notes) == (upload.name, upload.notes)


def test_a_column_of_numbers_beyond_any_meter_is_passed_over_beside_one_of_use():
    rows = "".join(f"2023-{month:02d}-01,2023-{month + 1:02d}-01,1e308,{100 + month}\n" for month in range(1, 5))
    (bills,) = read_bill_file("b.csv", content=f"start,end,Therms,Therms used\n{rows}".encode())
    assert bills.energy_j == pytest.approx(np.arange(101, 105) * 105.505585262e6)
    assert "columns passed over: 'Therms'" in bills.notes
