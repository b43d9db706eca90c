"""Downloads as people have them: single dates, headings that decide or ask, several meters, registers, power, ZIPs."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from pathlib import Path
from time import process_time
from zipfile import ZIP_DEFLATED, ZipFile
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from bills.houses import bills_of, winters
from bills.test_readers_csv import AMOUNTS, DATES, check_plain, lines_of, read

from costsim.bills.house import fit_house
from costsim.bills.meter import read_meter_year
from costsim.bills.read import read_bill_file
from costsim.errors import InputError
from costsim.units.quantity import KWH_J, THERM_J


def test_a_lone_column_of_starts_runs_forward_and_one_of_ends_backward() -> None:
    """The same bills by their starts, by their ends, and by a date that may be either, which only the weather can tell."""
    starts = "\n".join(
        ["start,usage (therm)", *(f"{a},{v}" for a, v in zip(DATES, AMOUNTS, strict=False)), f"{DATES[-1]},"]
    )
    found = read(starts)
    check_plain(found)
    assert any("to the next one" in note for note in found.notes)
    ends = "\n".join(
        ["end date,usage (therm)", f"{DATES[0]},1", *(f"{b},{v}" for b, v in zip(DATES[1:], AMOUNTS, strict=True))]
    )
    check_plain(read(ends))
    either = read(ends.replace("end date", "date"))
    assert either.other is not None
    assert {either.told, either.other.told} == {
        "single dates are read as the ends of their periods",
        "single dates are read as the starts of their periods",
    }
    assert read(ends.replace("end date", "date"), dates="end").other is None


def test_the_weather_tells_what_a_single_date_is_or_the_question_is_asked() -> None:
    weather = winters()
    bills = bills_of(weather, noise=0.01)
    therms = bills.energy_j / THERM_J
    as_ends = "\n".join(
        [
            "date,therms",
            f"{bills.start_day[0]},1",
            *(f"{b},{v:.2f}" for b, v in zip(bills.end_day, therms, strict=True)),
        ]
    )
    as_starts = "\n".join(
        [
            "date,therms",
            *(f"{a},{v:.2f}" for a, v in zip(bills.start_day, therms, strict=True)),
            f"{bills.end_day[-1]},1",
        ]
    )
    slopes = [fit_house(read(text), weather).now.line.slope_w_k for text in (as_ends, as_starts)]
    assert slopes == pytest.approx([250.0, 250.0], rel=0.05)
    flat = replace(read(as_ends), energy_j=np.full(bills.n_periods, 1e9))
    assert flat.other is not None
    flat = replace(flat, other=replace(flat.other, energy_j=np.full(flat.other.n_periods, 1e9)))
    with pytest.raises(InputError, match="say it with --dates start or --dates end"):
        fit_house(flat, weather)


@pytest.mark.parametrize(
    "head",
    [
        "start,end,Generation (kWh),Consumption (kWh)",
        "start,end,Rate per kWh,Usage (kWh)",
        "start,end,Usage per day (kWh),Usage (kWh)",
        "start,end,Meter Read,Usage (kWh)",
        "start,end,Average Temperature,Usage (kWh)",
    ],
)
def test_headings_decide_which_column_is_the_use(head: str) -> None:
    rows = [f"{a},{b},{i + 7.5},{v}" for i, (a, b, v) in enumerate(zip(DATES, DATES[1:], AMOUNTS, strict=False))]
    check_plain(read("\n".join([head, *rows])), KWH_J)


def test_two_columns_of_use_are_a_question_and_can_be_chosen_or_added() -> None:
    rows = [f"{a},{b},{v},{2 * v}" for a, b, v in zip(DATES, DATES[1:], AMOUNTS, strict=False)]
    (line,) = lines_of("\n".join(["start,end,House (kWh),Garage (kWh)", *rows]))
    assert "'House (kWh)' and 'Garage (kWh)' can each be the use" in line
    assert "--column 'House (kWh)'" in line
    text = "\n".join(["start,end,Peak (kWh),Off-peak (kWh)", *rows])
    check_plain(read(text, column=["peak (kwh)"]), KWH_J)
    for column in ([], ["Peak (kWh)", "Off-peak"]):
        np.testing.assert_allclose(read(text, column=column).energy_j, 3 * np.array(AMOUNTS) * KWH_J)
    assert "the use is Peak (kWh) + Off-peak (kWh): parts of one meter's use, which add up" in read(text).notes
    assert "'night' is none of the columns" in lines_of(text, column=["night"])[0]
    summed = [f"{row},{3 * v}" for row, v in zip(rows, AMOUNTS, strict=True)]
    total = read("\n".join(["start,end,Peak (kWh),Off-peak (kWh),Total (kWh)", *summed]))
    np.testing.assert_allclose(total.energy_j, 3 * np.array(AMOUNTS) * KWH_J)


def test_several_meters_in_one_table_are_a_question() -> None:
    rows = [
        f"{m},2024-01-{d:02},{h:02}:00,{1.5 if m == 'A' else 4}" for m in "AB" for d in range(1, 6) for h in range(24)
    ]
    text = "\n".join(["Meter,Date,Time,kWh", *rows])
    (line,) = lines_of(text)
    assert "2 meters run at the same time: 'A' (120 rows), 'B' (120 rows)" in line
    np.testing.assert_allclose(read(text, meter="B").energy_j, 96 * KWH_J)
    assert "'C' is none of its meters: 'A', 'B'" in lines_of(text, meter="C")[0]


def test_what_a_house_feeds_into_the_grid_is_left_out() -> None:
    rows = [
        f"2024-01-{d:02},{h:02}:00,{v},{k}"
        for d in range(1, 6)
        for h in range(24)
        for k, v in (("Consumption", 2), ("Surplus Generation", 9))
    ]
    found = read("\n".join(["Date,Time,kWh,Direction", *rows]))
    np.testing.assert_allclose(found.energy_j, 48 * KWH_J)
    assert any("120 rows of 'surplus generation' are left out" in note for note in found.notes)


def test_months_alone_and_in_two_columns_are_calendar_months() -> None:
    for text in (
        "Month,therms\nMar 2023,10\nApr 2023,8\nMay 2023,6\n",
        "Year,Month,therms\n2023,March,10\n2023,April,8\n2023,5,6\n",
    ):
        found = read(text)
        assert found.start_day.astype(str).tolist() == ["2023-03-01", "2023-04-01", "2023-05-01"]
        assert found.end_day.astype(str).tolist()[-1] == "2023-06-01"
        np.testing.assert_allclose(found.energy_j, np.array([10, 8, 6]) * THERM_J)


def test_a_register_gives_differences_and_must_not_fall() -> None:
    text = "Date,Meter reading (kWh)\n2023-01-01,99500\n2023-02-01,99900\n2023-03-01,00350\n2023-04-01,00600\n"
    hourly = "\n".join(
        ["Time,Register (kWh)", *(f"2023-01-{1 + h // 24:02} {h % 24:02}:00,{1000 + 0.5 * h}" for h in range(73))]
    )
    np.testing.assert_allclose(read(hourly).energy_j, 12 * KWH_J)
    np.testing.assert_allclose(read(text).energy_j, np.array([400.0, 450.0, 250.0]) * KWH_J)  # it rolls over
    (line,) = lines_of(text.replace("99", "49"))
    assert (
        "line 4: the meter was replaced here, as it seems, so nobody knows what was used in the 28 days before" in line
    )


def test_estimated_in_the_notes_counts() -> None:
    rows = [
        f"{a},{b},{v},{'* This data was estimated' if i == 1 else ''}"
        for i, (a, b, v) in enumerate(zip(DATES, DATES[1:], AMOUNTS, strict=False))
    ]
    found = read("\n".join(["start,end,therms,NOTES", *rows]))
    assert found.estimated.tolist() == [False, True, False, False]
    np.testing.assert_allclose(found.energy_j[1], (98.25 + 61.0) * THERM_J)


def test_power_is_energy_times_the_length_of_each_reading() -> None:
    rows = [f"2024-01-{1 + i // 48:02}T{i % 48 // 2:02}:{30 * (i % 2):02}:00+01:00;3000" for i in range(1, 145)]
    text = "\n".join(["Horodate;Valeur", *rows])
    np.testing.assert_allclose(read(text, unit="W").energy_j, 72 * KWH_J)
    assert "the amounts in 'Valeur' have no unit; say it with --unit" in lines_of(text)[0]


@pytest.mark.long
def test_a_year_of_quarter_hours_is_read_within_the_limit() -> None:
    first = datetime(2023, 1, 1)
    rows = [f"{first + timedelta(minutes=15 * i):%m/%d/%Y %H:%M},0.25" for i in range(35_040)]
    begin = process_time()
    found = read("\n".join(["Start,kWh", *rows]))
    assert process_time() - begin < 5.0
    np.testing.assert_allclose(found.energy_j, 24 * KWH_J)
    assert len(found.energy_j) == 365


def zipped(**members: str) -> bytes:
    stream = BytesIO()
    with ZipFile(stream, "w", ZIP_DEFLATED) as archive:
        for name, text in members.items():
            archive.writestr(name.replace("_", "."), text)
    return stream.getvalue()


def test_a_zip_of_one_or_many_is_read_and_a_bomb_is_not() -> None:
    one = "start,end,therms\n2023-01-05,2023-02-03,4\n"
    two = "start,end,therms\n2023-02-03,2023-03-03,5\n"
    (found,) = read_bill_file("bills.zip", content=zipped(a_csv=one, b_csv=two, logo_png="x"))
    np.testing.assert_allclose(found.energy_j, [4 * THERM_J, 5 * THERM_J])
    for raw, words in (
        (zipped(a_csv="start,end,therms\n" + "0" * 60_000_000), "unpacks to more than"),
        (zipped(logo_png="x"), "holds no file of readings"),
        (zipped(a_csv=one)[:-30], "is no whole ZIP"),
    ):
        with pytest.raises(InputError, match=words):
            read_bill_file("bills.zip", content=raw)


def test_a_download_of_hours_serves_as_the_houses_other_electricity(tmp_path: Path) -> None:
    """Two years by the clock of the wall, with both changes of it; in standard time hour 5000 is what was read an hour later."""
    zone = ZoneInfo("America/Chicago")
    begin = datetime(2022, 1, 1, tzinfo=zone).astimezone(UTC)
    count = 24 * 730
    stamps = [(begin + timedelta(hours=i)).astimezone(zone) for i in range(count)]
    text = "\n".join(
        ["Date,Start Time,kWh", *(f"{s:%Y-%m-%d,%H:%M},{i % 977 / 100:.2f}" for i, s in enumerate(stamps))]
    )
    path = tmp_path / "usage.csv"
    path.write_text(text, encoding="utf-8")
    year, told = read_meter_year(path)
    np.testing.assert_allclose(year / KWH_J, np.array([i % 977 / 100 for i in range(8760, 17520)]), atol=0.006)
    assert any("the clock is set 2 times" in note for note in told)
    with pytest.raises(InputError, match="no whole year"):
        read_meter_year("usage.csv", content="\n".join(text.split("\n")[:5000]).encode())


def test_times_without_a_colon_are_read_and_times_not_understood_are_refused() -> None:
    """Four digits an hour; and words for times, by which every hour of a day would look like the same reading come again."""
    hours = [datetime(2023, 1, 1) + timedelta(hours=i) for i in range(72)]
    found = read("\n".join(["ReadDate,ReadTime,kWh", *(f"{h:%Y%m%d},{h:%H%M},1.5" for h in hours)]))
    np.testing.assert_allclose(found.energy_j, 36 * KWH_J)
    (line,) = lines_of("\n".join(["Date,Slot,kWh", *(f"{h:%Y-%m-%d},slot{h:%H},1.5" for h in hours)]))
    assert "a time that was there already, as where a column of times is not understood" in line


def test_the_fuel_chooses_among_columns_of_two_fuels() -> None:
    rows = [f"{a},{b},{9 * v},{v}" for a, b, v in zip(DATES, DATES[1:], AMOUNTS, strict=False)]
    text = "\n".join(["From,To,Electric Usage (kWh),Gas Usage (therms)", *rows])
    check_plain(read(text, fuel="natural_gas"))
    assert lines_of(text)[0].endswith("type --fuel electricity or --fuel natural_gas")


def test_rising_bills_with_their_days_are_no_register() -> None:
    days = [date(2022, 1, 15) + timedelta(days=30 * i) for i in range(14)]
    found = read("\n".join(["Bill Date,Billing Days,Total Therms", *(f"{d},30,{50 + i}" for i, d in enumerate(days))]))
    np.testing.assert_allclose(found.energy_j, (50.0 + np.arange(14)) * THERM_J)
