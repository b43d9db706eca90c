"""Downloads of meter portals that nobody had tried before: read at the first try with a stated reading, or refused in one line."""

from __future__ import annotations

import io
import zipfile
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import openpyxl
import pytest
from bills.test_readers_csv import lines_of, read

from costsim.bills.read import HowToRead, read_bill_file
from costsim.errors import InputError

KWH_J, THERM_J = 3.6e6, 105.505585262e6
DAYS = [date(2024, 1, 1) + timedelta(days=i) for i in range(6)]
MONTHS = [date(2023 + i // 12, i % 12 + 1, 1) for i in range(24)]
USE = [310 + 7 * i % 90 for i in range(24)]


def text(*rows: str) -> str:
    return "\n".join(rows)


def bills(raw: bytes | str, name: str = "use.csv") -> list:
    return read_bill_file(name, content=raw.encode() if isinstance(raw, str) else raw, how=HowToRead())


def refused(raw: bytes, name: str) -> str:
    with pytest.raises(InputError) as caught:
        bills(raw, name)
    (line,) = str(caught.value).splitlines()
    return line


def test_delivered_and_received_in_brackets_below_a_preamble_and_above_a_footer() -> None:
    rows = [f"577,{day:%m/%d/%Y},{h:02}:00,{1 + h / 10:.1f},0.4" for day in DAYS for h in range(24)]
    head = ["Acme Electric,,,,", "Report Period:,01/01/2024 - 01/06/2024,,,", ",,,,"]
    found = read(text(*head, "Meter Number,Read Date,Read Time,kWh (Delivered),kWh (Received)", *rows, "Total,,,309.6,57.6", "No bill.,,,,"))  # fmt: skip
    np.testing.assert_allclose(found.energy_j, 51.6 * KWH_J)
    assert "each time is taken as the start of its reading, since the first one is midnight" in found.notes


def test_years_over_use_and_cost_with_a_month_in_each_row() -> None:
    rows = [f"{MONTHS[i]:%B},{USE[i]},$9,{USE[i + 12]},$9" for i in range(12)]
    found = read(text(",2023,,2024,", "Month,Usage (therms),Cost,Usage (therms),Cost", *rows, "Total,1,,2,"))
    np.testing.assert_allclose(found.energy_j, np.array(USE) * THERM_J)
    assert found.start_day[12] == np.datetime64("2024-01-01")


def test_registers_by_their_codes_with_points_for_decimals_beside_dates_with_points() -> None:
    states = [
        (day, code, value)
        for i, day in enumerate(DAYS)
        for code, value in (("1.8.0", 15230.4 + 30 * i), ("2.8.0", 3.2))
    ]
    rows = [f"{day:%d.%m.%Y} 00:00;1-0:{code};{value:.3f};kWh" for day, code, value in states]
    found = read(text("Zeitstempel;OBIS;Wert;Einheit", *rows))
    np.testing.assert_allclose(found.energy_j, 30 * KWH_J)
    assert "6 rows of '1-0:2.8.0' are left out" in found.notes


@pytest.mark.parametrize(
    "heads",
    [("On-Peak kWh", "Off-Peak kWh"), ("HC (kWh)", "HP (kWh)"), ("1.8.1 [kWh]", "1.8.2 [kWh]"), ("Tier 1 kWh", "Tier 2 kWh")],
)  # fmt: skip
def test_parts_of_one_use_are_added_and_said(heads: tuple[str, str]) -> None:
    rows = [f"{a},{b},{use},{2 * use}" for a, b, use in zip(MONTHS, MONTHS[1:], USE, strict=False)]
    found = read(text(f"Start,End,{heads[0]},{heads[1]}", *rows))
    np.testing.assert_allclose(found.energy_j, 3.0 * np.array(USE[:23]) * KWH_J)
    assert f"the use is {heads[0]} + {heads[1]}: parts of one meter's use, which add up" in found.notes
    part = [f"{row},{3 * use + 5}" for row, use in zip(rows, USE, strict=False)]
    total = read(text(f"Start,End,{heads[0]},{heads[1]},Total kWh", *part))  # with another 5 that no part names
    np.testing.assert_allclose(total.energy_j, (3.0 * np.array(USE[:23]) + 5) * KWH_J)


def test_the_register_beside_the_use_is_no_second_use_and_small_uses_are_no_register() -> None:
    states = 4000 + np.cumsum(USE)
    rows = [f"{month:%d %B %Y}\t{use}\tm3\t{state}" for month, use, state in zip(MONTHS, USE, states, strict=True)]
    found = read(text("Date\tUnits Used\tUnit\tReading", *rows))
    assert found.energy_j.max() / found.energy_j.min() == pytest.approx(max(USE[1:]) / min(USE[1:]))
    small = [f"{day},{0.3 + 0.01 * i:.2f},{0.5 + 0.3 * i:.2f}" for i, day in enumerate(DAYS)]
    assert "can each be the use" in lines_of(text("Date,House kWh,Garage kWh", *small))[0]


def test_the_meter_was_read_before_the_bill_was_written() -> None:
    rows = [f"{m + timedelta(days=4):%m/%d/%Y},{m:%m/%d/%Y},{(m - a).days},{use}" for a, m, use in zip(MONTHS, MONTHS[1:], USE, strict=False)]  # fmt: skip
    found = read(text("Bill Date,Read Date,Days,Therms", *rows))
    assert found.start_day[0] == np.datetime64("2023-01-01")


def test_gas_beside_electric_is_natural_gas_and_columns_of_two_fuels_are_asked_for() -> None:
    span = [f"{a:%b %d %Y} to {b - timedelta(days=1):%b %d %Y}" for a, b in pairwise(MONTHS)]
    rows = [f"{one},{row}" for one in span for row in ("Electric,600,KWH", "Gas,70,THM")]
    electric, gas = bills(text("Bill Period,Commodity,Quantity,UOM", *rows))
    assert (electric.fuel, gas.fuel) == ("electricity", "natural_gas")
    np.testing.assert_allclose(gas.energy_j, 70 * THERM_J)
    beside = [f"{month:%B},{month.year},600,{use}" for month, use in zip(MONTHS, USE, strict=True)]
    (line,) = lines_of(text("Billing Month,Billing Year,Electric kWh,Gas Therms", *beside))
    assert line.endswith("type --fuel electricity or --fuel natural_gas")


def test_rows_whose_amount_is_no_number_are_named_wherever_they_stand() -> None:
    rows = [f"{a},{b},x" for a, b in pairwise(MONTHS)]
    for bad, good in ((1, 0), (2, 1), (1, 20)):
        told = lines_of(text("start,end,usage (therm)", *rows[:bad], *(row.replace("x", "80") for row in rows[bad : bad + good])))  # fmt: skip
        assert [line.split(": ", 1)[1] for line in told] == [
            f"line {2 + i}: 'x' in column 'usage (therm)' is no amount; write a number; a bill without use has the amount 0" for i in range(bad)
        ]  # fmt: skip


def test_times_that_name_the_last_moment_of_a_reading() -> None:
    for last in (":59", ":59:59"):
        rows = [f"{day} {h:02}{last},{1 + h}" for day in DAYS for h in range(24)]
        np.testing.assert_allclose(read(text("Timestamp,Use kWh", *rows)).energy_j, 300 * KWH_J)


def test_a_day_that_lacks_an_hour_is_left_out_at_an_end_and_scaled_and_told_in_the_middle() -> None:
    """A register read at each hour's start does not know the last hour of its last day, which may be the one with most use."""
    state, rows = 5000.0, []
    for day in DAYS:
        for h in range(24):
            rows.append(f"{day} {h:02}:00,{state:.1f}")
            state += 4.0 if h == 23 else 1.0
    found = read(text("Time,Meter Reading (kWh)", *rows))
    np.testing.assert_allclose(found.energy_j, 27 * KWH_J)
    assert len(found.energy_j) == 5
    assert "2024-01-06 was read in part, at an end of the file, and left out" in found.notes
    hours = [f"{day} {h:02}:00,2" for day in DAYS for h in range(24) if (day.day, h) != (3, 15)]
    found = read(text("Start,kWh", *hours))
    np.testing.assert_allclose(found.energy_j, 48 * KWH_J)
    assert "1 day was read in part and scaled up" in found.notes
    spring = [date(2024, 3, 8) + timedelta(days=i) for i in range(5)]
    hours = [f"{day} {h:02}:00,2" for day in spring for h in range(24) if (day.day, h) != (10, 2)]
    found = read(text("Start,kWh", *hours))  # the clock of the wall leaves an hour out
    np.testing.assert_allclose(found.energy_j, np.array([48, 48, 46, 48, 48]) * KWH_J)
    assert not any("in part" in note for note in found.notes)
    amman = [date(2021, 3, 23) + timedelta(days=i) for i in range(5)]
    hours = [f"{day} {h:02}:00,2" for day in amman for h in range(24) if (day.day, h) != (26, 0)]
    found = read(text("Start,kWh", *hours))  # a Friday, which is said
    np.testing.assert_allclose(found.energy_j, np.array([48, 48, 48, 46, 48]) * KWH_J)
    assert (
        "the clock is taken to leave out the hour from midnight on 2021-03-26, which is missing; --zone tells it for sure"
        in found.notes
    )


def book(*rows: list, kind: str = "Usage") -> bytes:
    made, stream = openpyxl.Workbook(), io.BytesIO()
    made.active.title = "Info"
    made.active.append(["Account", 4711])
    sheet = made.create_sheet(kind)
    for row in rows:
        sheet.append(row)
    made.save(stream)
    return stream.getvalue()


def test_a_workbook_and_a_page_saved_as_one_are_read() -> None:
    pairs = list(zip(MONTHS, MONTHS[1:], USE, strict=False))
    raw = book(["Acme Gas"], [], ["From", "To", "Therms", "Cost"], *([a, b, use / 7, "$9.00"] for a, b, use in pairs))
    (found,) = bills(raw, "bills.xlsx")
    np.testing.assert_allclose(found.energy_j, np.array(USE[:23]) / 7 * THERM_J)
    assert "sheet 'Usage' of the workbook was read; passed over: Info" in found.notes
    cells = "".join(f"<tr><td>{a:%m/%d/%Y}</td><td>{b:%m/%d/%Y}</td><td>{use:,}&nbsp;</td></tr>" for a, b, use in pairs)
    page = (
        f"<html><body><table><tr><th>From</th><th>To</th><th><b>Usage</b> (kWh)</th></tr>{cells}</table></body></html>"
    )
    (found,) = bills(page, "bills.xls")
    np.testing.assert_allclose(found.energy_j, np.array(USE[:23]) * KWH_J)


def packed_as(name: str) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        packed.writestr("mimetype", "x")
        packed.writestr(name, "<a/>")
    return stream.getvalue()


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj", "is a PDF, which is made to be looked at; download it as CSV"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF\x00", "is a picture; download it as CSV"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "is a picture; download it as CSV"),
        (b"\x00\x00\x00 ftypheic\x00\x00", "is a picture or film; download it as CSV"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "is a workbook or letter of the old kind; open it and save"),
        (b'{"usage":[{"date":"2024-01-01","kwh":12.3}]}', "is JSON, which is not read; download it as CSV"),
        (b"<!DOCTYPE html><html><body>Please log in</body></html>", "is a web page without a table of readings, as where the sign-in has run out; sign"),
        (b"\x89HDF\r\n\x1a\n" + bytes(90), "is a grid of netCDF, HDF5 or GRIB; ask the service for the one place, as CSV"),
        (packed_as("content.xml"), "is a sheet of OpenDocument; export it as CSV or as an Excel workbook (.xlsx)"),
        (packed_as("Index/Document.iwa"), "is a sheet of Numbers; export it as CSV"),
        (b"PK\x03\x04" + b"\x00" * 26 + b"[Content_Types].xml", "is a workbook that cannot be read (BadZipFile); open it and save the sheet"),
    ],
)  # fmt: skip
def test_what_is_no_table_is_called_by_its_name(raw: bytes, words: str) -> None:
    assert words in refused(raw, "use.csv")


def test_a_workbook_that_unpacks_without_end_or_declares_entities_is_refused() -> None:

    for name, content, words in (
        ("xl/worksheets/sheet1.xml", b"<x>" + b" " * 30_000_000, "unpacks to more"),
        ("xl/workbook.xml", b'<!DOCTYPE a [<!ENTITY b "c">]><a/>', "declares what no workbook needs"),
    ):
        stream = io.BytesIO()
        with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
            packed.writestr("[Content_Types].xml", "<Types/>")
            packed.writestr(name, content)
        assert words in refused(stream.getvalue(), "use.xlsx")


def test_a_workbook_keeps_months_as_their_first_days_and_may_lie_in_a_zip() -> None:

    raw = book(["Month", "Usage (kWh)"], *([month, use] for month, use in zip(MONTHS, USE, strict=True)))
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        packed.writestr("bill.pdf", b"%PDF-1.4")
        packed.writestr("months.xlsx", raw)
    (found,) = bills(stream.getvalue(), "use.zip")
    np.testing.assert_allclose(found.energy_j, np.array(USE) * KWH_J)
    assert found.end_day[-1] == np.datetime64("2025-01-01")
    assert "each date is the first of a month: each amount is taken as the use of that calendar month" in found.notes


@pytest.mark.parametrize(
    ("head", "row"),
    [
        ('"Read\nDate","Usage\n(kWh)"', "{:%m/%d/%Y},{}"),  # headings that break
        ('"Read Date,Usage (kWh)"', '"{:%m/%d/%Y},{}"'),  # each line in quotation marks
        ("Read Date,kWh", '"{:%A, %B %d, %Y}",{}'),  # dates with the day of the week
    ],
)
def test_what_spreadsheets_do_to_headings_lines_and_dates(head: str, row: str) -> None:
    found = read(text(head, *(row.format(month, use) for month, use in zip(MONTHS, USE, strict=True))))
    np.testing.assert_allclose(found.energy_j, np.array(USE[1:]) * KWH_J)
    assert found.start_day[0] == np.datetime64("2023-01-01")


def test_bags_are_counted_with_what_each_holds() -> None:
    rows = [f"{month},40" for month in MONTHS[::3]]
    (found,) = bills(text("date,bags (40 lb)", *rows), "pellets.csv")
    (each,) = bills(text("date,pellets [lb]", *(row.replace(",40", ",1600") for row in rows)), "pellets.csv")
    np.testing.assert_allclose(found.energy_j, each.energy_j)
    assert any(note.startswith("40 lb holds ") for note in found.notes)


def test_a_house_that_feeds_the_grid_is_told_in_one_line_and_a_fixed_charge_is_not_what_was_paid() -> None:
    rows = [f"{day} {h:02}:00,{-2 if 10 < h < 15 else 3}" for day in DAYS for h in range(24)]
    (line,) = lines_of(text("Start,Net (kWh)", *rows))
    assert (
        "24 amounts in column 'Net (kWh)' are negative, as where a house feeds the grid; download what was delivered"
        in line
    )
    rows = [f"{a},{b},{use},14.20" for a, b, use in zip(MONTHS, MONTHS[1:], USE, strict=False)]
    assert read(text("Start,End,Use (GJ),Fixed charge ($)", *rows)).cost is None


def test_what_the_fuzzer_found_is_refused_in_words() -> None:
    days = "9" * 200
    with pytest.raises(InputError, match="more days than a bill has"):
        read(
            text(
                "From,To,Days,Average therms per day",
                f"2024-01-01,2024-01-31,{days},{days}",
                "2024-01-31,2024-03-01,30,20",
            )
        )


def test_powers_of_ten_are_read_as_what_they_are() -> None:
    rows = [
        f"{a},{b},{use}"
        for a, b, use in zip(MONTHS, MONTHS[1:], ("1.5e2 therms", "1.5E+02", "5e-05", "20"), strict=False)
    ]
    assert read(text("From,To,Usage (therms)", *rows)).energy_j / THERM_J == pytest.approx([150, 150, 0.00005, 20])


@pytest.mark.parametrize("heading", ["Usage (therms)", "Reading (therms)"])
@pytest.mark.parametrize("amount", ["9" * 303, "1e400", "2e15"])
def test_more_than_any_meter_counts_is_told_by_its_line(heading: str, amount: str) -> None:
    rows = [f"{a},{use}" for a, use in zip(MONTHS, ("100", "150", amount, "220"), strict=False)]
    with pytest.raises(InputError, match=r"line 4.*more than any meter counts"):
        read(text(f"Read date,{heading}", *rows))
