"""Good bills, Green Button files, dated temperatures and monthly means, for the fuzzer to damage."""

from __future__ import annotations

import functools
import io
import zipfile
from datetime import datetime
from importlib import resources
from pathlib import Path

import openpyxl
from bills.espi import feed, meter, prefixed, reading
from bills.test_strangers import TOLD

START_S = 1577854800  # 1 January 2020, midnight in New York
HOUR_S = 3600


@functools.cache
def bills() -> list[bytes]:
    """The built-in table, deliveries with semicolons and decimal commas, and what strangers download."""
    sample = (Path(str(resources.files("costsim"))) / "demos" / "lantern_bills.csv").read_bytes()
    fills = "Lieferdatum;Menge Flüssiggas [L]\n" + "".join(
        f"0{m}.1{m}.202{y};{500 + m},5\n" for y in range(3) for m in range(1, 8, 2)
    )
    return [
        sample,
        fills.encode("latin-1"),
        b"date,kWh,read type\n2023-01-05,1,A\n2023-02-04,812,E\n2023-03-06,640,A\n",
        *readings(),
        *(raw if isinstance(raw, bytes) else raw.encode() for raw, *_ in TOLD.values()),
    ]


def readings() -> list[bytes]:
    """Three days of readings in several layouts of downloads, a register, months, spans in one cell, and a ZIP."""
    hours = [(day, hour, round(0.3 + (hour * 7 + day) % 11 / 7, 3)) for day in (2, 3, 4) for hour in range(24)]
    texts = [
        "Name,A B\n\nTYPE,DATE,START TIME,END TIME,USAGE (kWh),COST,NOTES\n"
        + "".join(f"Electric usage,2023-01-0{d},{h:02}:00,{h:02}:59,{v},$0.1,\n" for d, h, v in hours),
        "Fecha;Hora;Consumo_kWh\n" + "".join(f"0{d}/01/2023;{h + 1};{str(v).replace('.', ',')}\n" for d, h, v in hours),
        "Start,End,Use (kWh)\n" + "".join(f"2023-01-0{d}T{h:02}:00+01:00,2023-01-0{d}T{h:02}:59+01:00,{v}\n" for d, h, v in hours),
        "Meter,Date,Unit," + ",".join(f"{h:02}:00" for h in range(24)) + "\nA,2023-01-02,kWh," + ",".join("1.5" for _ in range(24)) + "\n"
        + "A,2023-01-03,kWh," + ",".join("0.5" for _ in range(24)) + "\n",
        "Time,Meter reading (kWh)\n" + "".join(f"01/0{d}/2023 {h}:00,{1000 + 24 * d + h}\n" for d, h, _ in hours),
        "100,NEM12,202102010000,A,B\n200,60012345,E1,E1,E1,N1,010,kWh,60,\n"
        + "".join(f"300,2023010{d}," + ",".join(str(v) for e, _, v in hours if e == d) + ",A,,,2023,\n" for d in (2, 3, 4)) + "900\n",
        "Month,therms\nMar 2022,10\nApr 2022,8\nMay 2022,6\n",
        "Billing Period,therms\n01/05/2022 - 02/13/2022,10\n02/13/2022 - 03/06/2022,8\n03/06/2022 - 04/05/2022,3\n",
    ]  # fmt: skip
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.csv", texts[-1])
    return [*(text.encode() for text in texts), packed.getvalue(), *workbook_and_page()]


def workbook_and_page() -> list[bytes]:
    """The same bills as a workbook and as a page that is called one."""
    book, stream = openpyxl.Workbook(), io.BytesIO()
    page = "<html><body><table><tr><th>From</th><th>To</th><th>therms</th></tr>"
    book.active.append(["From", "To", "therms"])
    for month in range(1, 9):
        first, last = datetime(2022, month, 15), datetime(2022, month + 1, 15)
        book.active.append([first, last, 10 + month])
        page += f"<tr><td>{first:%m/%d/%Y}</td><td>{last:%m/%d/%Y}</td><td>{10 + month}</td></tr>"
    book.save(stream)
    return [stream.getvalue(), f"{page}</table></body></html>".encode()]


def surfaces() -> list[bytes]:
    """A list of surfaces in either units."""
    return [
        b"name,area [ft2],u_value [Btu/(h ft2 degF)],difference\nWalls,1000,0.08,\nFloor,1500,0.05,80 %\n",
        "Bauteil;Area;R-value (m2 K/W)\nWalls;100 m2;2,2\n".replace(",", ".").encode(),
        b"name,area,typical\nWindows,12 m2,window_double\n",
    ]


def hpxml() -> list[bytes]:
    """A small building."""
    wall = "<Wall><SystemIdentifier id='w'/><Area>900</Area><Insulation><Layer><NominalRValue>13</NominalRValue></Layer></Insulation></Wall>"
    leak = (
        "<AirInfiltration><AirInfiltrationMeasurement><HousePressure>50</HousePressure><BuildingAirLeakage><UnitofMeasure>CFM"
        "</UnitofMeasure><AirLeakage>1300</AirLeakage></BuildingAirLeakage></AirInfiltrationMeasurement></AirInfiltration>"
    )
    facts = "<BuildingSummary><BuildingConstruction><ConditionedFloorArea>1500</ConditionedFloorArea></BuildingConstruction></BuildingSummary>"
    inside = f"{facts}<Enclosure>{leak}<Walls>{wall}</Walls></Enclosure>"
    text = f"<HPXML><Building><BuildingID id='b'/><BuildingDetails>{inside}</BuildingDetails></Building></HPXML>"
    return [text.encode()]


@functools.cache
def green_button() -> list[bytes]:
    """Two days of hours, plain and with prefixes."""
    hours = "".join(reading(START_S + at * HOUR_S, HOUR_S, 700 + at) for at in range(48))
    text = feed(meter([hours]))
    return [text.encode(), prefixed(text).encode()]


@functools.cache
def dated() -> list[bytes]:
    """A dated table of daily temperatures."""
    rows = "".join(f"2022-{m:02d}-{d:02d},{m + d / 10:.1f}\n" for m in range(1, 13) for d in range(1, 29))
    return [b"date,temperature [degC]\n" + rows.encode()]


@functools.cache
def means() -> list[bytes]:
    """Twelve monthly means with their place."""
    rows = "".join(f"{month},{-5 + 2 * month},0.5\n" for month in range(1, 13))
    return [b"# latitude: 47.0\n# longitude: 12.8\n# utc_offset: 1\nmonth,mean [degC],clearness\n" + rows.encode()]
