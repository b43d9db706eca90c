"""Letters, packings, meters of one column and joined weather, on both sides of what is taken for what."""

from __future__ import annotations

import gzip
import io
import zipfile
from typing import Any

import numpy as np
import pytest

from costsim.bills.meter import fit_to_year, read_heat, read_meter
from costsim.bills.nem12 import as_table
from costsim.bills.read import HowToRead, joined_temperatures, read_bill_file
from costsim.bills.temperatures import from_days
from costsim.bills.text import decoded, gunzipped, unpacked_one, unzipped
from costsim.errors import InputError


def packed(**files: bytes) -> bytes:
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w") as archive:
        for name, body in files.items():
            archive.writestr(name.replace("_", "."), body)
    return raw.getvalue()


def test_letters_and_packings() -> None:
    text = "start,end,usage (therm)\n2023-01-05,2023-02-03,é\n"
    for encoding, told in (("utf-8", []), ("utf-8-sig", []), ("utf-16", ["letters read as UTF-16"]), ("utf-16-le", ["letters read as UTF-16"]),
                           ("utf-16-be", ["letters read as UTF-16"]), ("cp1252", ["letters read as Latin-1"])):  # fmt: skip
        assert decoded(text.encode(encoding), "f") == (text, told)
    for raw, said in ((b" \n", "is empty"), (b"a\x00\x00\x00b" * 9, "is not text")):
        with pytest.raises(InputError, match=said):
            decoded(raw, "f")
    body = gzip.compress(b"abc")
    assert gunzipped(body, "a.csv.gz") == (b"abc", "a.csv")
    for raw in (body[:-9], b"\x1f\x8bnone"):
        with pytest.raises(InputError, match="no whole gzip file"):
            gunzipped(raw, "f")
    assert unzipped(packed(a_csv=b"1", b_pdf=b"2"), "z.zip") == [("z.zip/a.csv", b"1")]
    assert unpacked_one(packed(a_csv=b"1"), "z.zip") == (b"1", "z.zip/a.csv")
    assert unpacked_one(body, "a.csv.gz") == (b"abc", "a.csv")
    assert unpacked_one(b"plain", "p") == (b"plain", "p")
    for raw, said in ((packed(a_csv=b"1", b_csv=b"2"), "holds 2 files: a.csv, b.csv"), (packed(a_pdf=b"1"), "holds no file of readings"),
                      (packed(content_xml=b"1"), "OpenDocument"), (packed(a_zip=packed(b_csv=b"1")), "a ZIP inside a ZIP")):  # fmt: skip
        with pytest.raises(InputError, match=said):
            unpacked_one(raw, "z.zip")
    many = packed(**{f"f{at}_csv": b"1" for at in range(101)})
    with pytest.raises(InputError, match="holds 101 files; put at most 100"):
        unzipped(many, "z.zip")
    assert len(unzipped(packed(**{f"f{at}_csv": b"1" for at in range(100)}), "z.zip")) == 100
    with pytest.raises(InputError, match="unpacks to more than"):
        unzipped(packed_tightly(b"0" * 3_000_000), "z.zip")


def packed_tightly(body: bytes) -> bytes:
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.csv", body)
    return raw.getvalue()


@pytest.mark.long
def test_a_year_of_a_meter_in_one_column() -> None:
    def meter(head: str, n: int, value: float = 2.0) -> Any:
        return read_meter("m.csv", content=("\n".join([head, *[f"{value}"] * n]) + "\n").encode())

    assert meter("electricity [kWh]", 8760).tolist() == [2 * 3.6e6] * 8760
    assert len(meter("Electricity [Wh]", 8784)) == 8784
    for each in (2, 4):
        assert meter("electricity [kWh]", each * 8760)[5] == pytest.approx(each * 2 * 3.6e6)
        assert meter("electricity [kW]", each * 8760)[5] == pytest.approx(2 * 3.6e6)
    for n in (8759, 8761, 3 * 8760):
        with pytest.raises(InputError, match=f"{n} rows are no whole year of 15, 30 or 60 minutes"):
            meter("electricity [kWh]", n)
    for value in (-0.1, 1.1e12):
        with pytest.raises(InputError) as caught:
            meter("electricity [kWh]", 8760, value)
        assert len(caught.value.faults) == 6
        assert "row 2" in str(caught.value.faults[0])
        assert "8755 more rows are wrong" in str(caught.value.faults[-1])
    assert meter("electricity [kWh]", 8760, 1e12)[0] == 3.6e18
    rows = "\n".join(["electricity [kWh]", *["x"] * 5, *["1"] * 8755])
    with pytest.raises(InputError) as caught:
        read_meter("m.csv", content=rows.encode())
    assert len(caught.value.faults) == 5
    year = np.arange(8760.0)
    assert fit_to_year(year, 8760) is year
    leap = fit_to_year(year, 8784)
    assert leap[58 * 24 : 61 * 24].tolist() == [
        *range(58 * 24, 59 * 24),
        *range(58 * 24, 59 * 24),
        *range(59 * 24, 60 * 24),
    ]
    assert fit_to_year(leap, 8760).tolist() == year.tolist()
    with pytest.raises(InputError, match=r"use\[1\]\.hours: 'h\.csv' row 2: 'x' is not a reading"):
        read_heat("h.csv", b"heat [kW]\nx\n", "use[1].hours", "s.toml")


def test_interval_meters_of_australia() -> None:
    day = ",".join(["1.5"] * 48)
    text = "100,NEM12,202102010000,A,B\n200,6,E1B1,1,E1,N1,M1,kWh,30,\n300,20230101,{},{},,\n200,6,B1,1,B1,N1,M1,kWh,30,\n300,20230101,{},A,,\n900\n"
    notes: list[str] = []
    for quality, flag in (("A", "Actual"), ("E52", "Estimated"), ("F", "Estimated"), ("S", "Estimated")):
        head, row, _ = as_table(text.format(day, quality, day), notes, "f").split("\n")
        assert row == f"6 E1,2023-01-01,kWh,{flag},{day}"
    assert head.startswith("Meter,Date,Unit,Read Type,00:00,00:30,01:00")
    assert head.endswith("23:30")
    assert "left out: B1, which is fed in or is no energy" in notes
    for wrong, said in (
        (text.format(day, "A", day).replace("20230101", "2023-1-1", 1), "line 3: holds 48 values for '2023-1-1'"),
        (text.format("1,2", "A", day), "line 3: holds 5 values for '20230101', and a day has 48"),
        (
            text.format(day, "A", day).replace("kWh,30", "kWh,10", 1),
            "line 2: '200,6,E1B1,1,E1,N1,M1,kWh,10' tells no meter",
        ),
        (
            text.format(day, "A", day).split("20230101")[0].rstrip(","),
            "line 3: holds 0 values for '', and a day has 48",
        ),
        ("100,NEM12,1\n900\n", "holds no energy taken from the grid"),
    ):
        with pytest.raises(InputError) as caught:
            as_table(wrong, [], "f")
        assert said in str(caught.value)


def test_years_of_weather_are_joined_where_no_day_lies_between() -> None:
    day = np.datetime64("2023-01-01")
    first = from_days("a", day, np.zeros((365, 24)))
    later = from_days("b", day + np.timedelta64(365, "D"), np.ones((366, 1)))
    whole = joined_temperatures([later, first])
    assert (whole.outdoor_c.shape, whole.outdoor_c.sum()) == ((731, 1), 366.0)
    assert "only 1 % of 2 years" in whole.design_from
    over = joined_temperatures([first, from_days("c", day + np.timedelta64(360, "D"), np.ones((10, 24)))])
    assert (len(over.outdoor_c), over.outdoor_c[-5:].sum()) == (370, 5 * 24)
    with pytest.raises(InputError, match="1 days are missing between 2023-12-31 and 2024-01-02"):
        joined_temperatures([first, from_days("c", day + np.timedelta64(366, "D"), np.ones((10, 24)))])
    with pytest.raises(InputError, match="'steam' is not a fuel"):
        read_bill_file("b.csv", content=b"x", how=HowToRead(fuel="steam"))
