"""Weather tables as stations, loggers and spreadsheets write them: two rows of headings, units below, codes for no reading."""

from __future__ import annotations

import io
from datetime import date, timedelta

import numpy as np
import openpyxl
import pytest

from costsim.bills.temperatures import Temperatures, read_temperatures
from costsim.errors import InputError

DAYS = [date(2023, 1, 1) + timedelta(days=i) for i in range(400)]
MEAN_C = np.array([8.0 - 12.0 * np.cos(2 * np.pi * i / 365) for i in range(400)]).round(1)
HOURS = [f"{day:%m/%d/%Y},{h}:00" for day in DAYS for h in range(24)]


def read(*rows: str, name: str = "w.csv") -> Temperatures:
    return read_temperatures(name, content="\n".join(rows).encode())


def shown_f(value_c: float) -> str:
    return f"{value_c * 1.8 + 32:.2f}"


DAILY_F = [f"{day},{shown_f(c)},{shown_f(c + 5)},{shown_f(c - 5)}" for day, c in zip(DAYS, MEAN_C, strict=True)]


@pytest.mark.parametrize(
    "rows",
    [
        ["DATE,TAVG,TMAX,TMIN", ",degF,degF,degF", *DAILY_F],  # a service's headings, which leave the unit open
        ["day,outdoor,max,min", "yyyy-mm-dd,°F,°F,°F", *DAILY_F],
        ["day,Outdoor,,", ",Temp (°F),High,Low", *DAILY_F],
        ["date,high (°F),low (°F)", *(row.partition(",")[0] + "," + row.split(",", 2)[2] for row in DAILY_F)],
        ['"Mill Creek","","",""', "Year,Month,Day,Mean Temp (F)", *(f"{row[:10].replace('-', ',')},{row.split(',')[1]}" for row in DAILY_F), "Total,,,9999"],
        ["day,temperature", *(f"{day},{c} °C" for day, c in zip(DAYS, MEAN_C, strict=True))],
        ["when,outdoor (°F)", *(f"{day:%d-%b-%y},{row.split(',')[1]}" for day, row in zip(DAYS, DAILY_F, strict=True))],
    ],
)  # fmt: skip
def test_daily_tables_are_read_at_the_first_try(rows: list[str]) -> None:
    found = read(*rows)
    assert found.first_day == np.datetime64("2023-01-01")
    np.testing.assert_allclose(found.outdoor_c[:, 0], MEAN_C, atol=0.006)


def test_a_logger_with_a_row_of_places_above_its_quantities() -> None:
    rows = [f"{stamp},{shown_f(MEAN_C[i // 24])},60,70.0" for i, stamp in enumerate(HOURS)]
    found = read("Date,Time,Outdoor,,Indoor", ",,Temp (°F),Hum (%),Temp (°F)", *rows)
    np.testing.assert_allclose(found.outdoor_c.mean(axis=1), MEAN_C, atol=0.006)


@pytest.mark.parametrize("missing", ["M", "-999", "-999.9", "999.9", "-9999", ""])
def test_codes_for_no_reading_are_no_temperatures(missing: str) -> None:
    rows = [f"{day};{missing if i in (99, 200) else c}" for i, (day, c) in enumerate(zip(DAYS, MEAN_C, strict=True))]
    found = read("Datum;outdoor [°C]", *rows)
    np.testing.assert_allclose(found.outdoor_c[:, 0], MEAN_C, atol=0.2)
    assert "2 missing temperatures were interpolated" in found.notes


def test_times_with_points_are_read_and_unknown_ones_are_not_taken_for_the_hours_of_a_year() -> None:
    stamps = [f"{day:%d/%m/%Y} {h:02}.00" for day in DAYS[:365] for h in range(24)]
    rows = [f"{stamp};{MEAN_C[i // 24]}" for i, stamp in enumerate(stamps)]
    np.testing.assert_allclose(read("Local Time;Temperature °C", *rows).outdoor_c.mean(axis=1), MEAN_C[:365])
    with pytest.raises(
        InputError, match="column Local Time: '01~01~2023 00h00' is no date and time that is known; write times such as"
    ):
        read("Local Time;Temperature °C", *(row.replace("/", "~").replace(".00;", "h00;", 1) for row in rows))  # fmt: skip


def test_monthly_means_are_no_hours() -> None:
    with pytest.raises(
        InputError, match=r"12 rows without days were found, as of monthly means; 'costsim weather synthesize' makes"
    ):
        read("Month,Mean temp (F)", *(f"{month},{30 + month}" for month in range(1, 13)))


def test_a_workbook_of_weather_is_read_and_a_pdf_is_called_one() -> None:
    book, stream = openpyxl.Workbook(), io.BytesIO()
    book.active.append(["Weather of our station"])
    book.active.append(["Date", "High (°F)", "Low (°F)"])
    for day, c in zip(DAYS, MEAN_C, strict=True):
        book.active.append([day, c * 1.8 + 41.0, c * 1.8 + 23.0])
    book.save(stream)
    found = read_temperatures("w.xlsx", content=stream.getvalue())
    np.testing.assert_allclose(found.outdoor_c[:, 0], MEAN_C, atol=1e-9)
    assert "sheet 'Sheet' of the workbook was read" in found.notes
    with pytest.raises(InputError, match=r"^w.pdf: is a PDF"):
        read_temperatures("w.pdf", content=b"%PDF-1.7\n")
